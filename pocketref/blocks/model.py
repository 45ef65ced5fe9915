"""What all kinds of block have in common: how a layout asks for one, and what its keys refer to."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from pocketref.problems import ProblemLog, suggest_match, write_unknown
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.source.pictures import PictureFile
from pocketref.source.statements import Cited as Cited
from pocketref.source.syntax.kinds import Line, Name, OneOf, OneOrList
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell

MOST_ENTRIES = 40
"""In any list of a block: no face has room for more."""


class BlockModel(SourceModel):
    """Base of a kind of block; the kinds are listed in `pocketref.blocks.kinds.AnyBlock`.

    A kind adds its keys, a `block` that names it, `list_cited(setting)`, the statements that it rests on, and
    `build(setting)`, what is laid out. A key that names something of the content says so by its type, below.
    """

    for_: OneOrList[Name] = Field(
        default=(),
        description="the levels that it is for, of those of its layout's 'for', or their codes; all without it",
    )

    def tell_unfit(self, field: FieldModel) -> str:
        """Why nothing of the kind stands on such a field; empty where it may."""
        return ""

    def check(self, code: str, library: Library, problems: ProblemLog) -> None:
        """Note what is wrong with the block on a face of `code`: each name that leads nowhere, at its place."""
        for key, field in type(self).model_fields.items():
            for refers in (mark for mark in field.metadata if isinstance(mark, Refers)):
                value, known = getattr(self, key), refers.list_known(library, code, self)
                for index, name in enumerate((value,) if isinstance(value, str) else value):
                    if name not in known:
                        where = self.locate(key) if isinstance(value, str) else self.locate(key, index)
                        sentence = _write_unknown(refers.what, name, library, self)
                        problems.error(f"{refers.what}-unknown", sentence, suggest_match(name, known), where)


@dataclass(frozen=True, slots=True)
class Refers:
    """The mark of a key that names something of the content: what it is, and the names there are.

    `list_known` is given the content, the face's code and the block.
    """

    what: str
    list_known: Callable[[Library, str, Any], Collection[str]]


def _list_tables(library: Library, code: str, block: object) -> Collection[str]:
    return [subject for table_code, subject in library.rulings if table_code == code]


def _list_codes(library: Library, code: str, block: Any) -> Collection[str]:
    return [table_code for table_code, subject in library.rulings if subject == block.subject]


TableSubject = Annotated[Name, Refers("subject", _list_tables)]
"""A subject that the face's code has a table on."""
Subject = Annotated[Name, Refers("subject", lambda library, code, block: library.subjects)]
Subjects = Annotated[tuple[Name, ...], Refers("subject", lambda library, code, block: library.subjects)]
TableCodes = Annotated[tuple[Name, ...], Refers("code", _list_codes)]
"""Codes that have a table on the block's subject."""
Text = Annotated[Line, Refers("text", lambda library, code, block: library.texts)]
Caution = Annotated[Name, Refers("caution", lambda library, code, block: library.cautions)]


@dataclass(frozen=True, slots=True)
class ShowsPicture:
    """The mark of a key that names a picture file of the content; `check` is given the block, the picture and a log."""

    check: Callable[[Any, PictureFile, ProblemLog], None]


PLANS: Mapping[str, tuple[str, ...]] = {
    "plate-area": ("plate-width", "box-length", "box-ahead", "box-behind", "box-width", "box-offset"),
    "diamond": ("base-distance", "base-size", "double-base-width", "pitching-distance"),
}
"""The plans of a level, by name, and the dimensions whose sections they rest on."""

PlanName = Annotated[str, AfterValidator(OneOf("plan", PLANS))]


def list_pictures(block: SourceModel) -> Iterator[tuple[str, ShowsPicture]]:
    """The keys of a model that name a picture file, each with its mark."""
    for key, field in type(block).model_fields.items():
        yield from ((key, mark) for mark in field.metadata if isinstance(mark, ShowsPicture))


def _write_unknown(what: str, name: str, library: Library, block: Any) -> str:
    if what == "code" and name in library.codes:
        return tell("'{name}' has no table on '{subject}'", name=name, subject=block.subject)
    return write_unknown(what, name)


def list_nothing() -> Iterator[Cited]:
    """What a block cites that states nothing of the content."""
    return iter(())
