"""What a face's blocks are made from: content, code and level, and what is computed from them once."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NoReturn, TypeVar

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.rulings.chart import Chart, find_chart
from pocketref.rulings.construct import construct_table
from pocketref.rulings.table import Row, Table
from pocketref.scene.figures.plate_figure import Detail
from pocketref.source.field_models import Dimension, FieldModel
from pocketref.source.library import Library
from pocketref.source.pictures import PictureFile
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.statements import Cited
from pocketref.source.syntax.located import SourceModel
from pocketref.source.text_models import CautionModel, TextModel
from pocketref.tape.field_check import FieldCheck, choose_field_check
from pocketref.units.length import Length
from pocketref.words.terminal import tell

M = TypeVar("M", bound=SourceModel)


_LACKING = {
    "dimension": "the field has no dimension '{name}', which a face needs",
    "tolerance": "the field has no tolerance '{name}', which a face needs",
    "subject": "there is no subject '{name}', which a face needs",
    "level": "there is no level '{name}', which a face needs",
    "text": "there is no text '{name}', which a face needs",
    "caution": "there is no caution '{name}', which a face needs",
}
"""What a face needs and there is not, by kind."""


class _Named(dict[str, Length]):
    """Lengths by name that tell, where they are missing, which file lacks them."""

    def __init__(self, what: str, values: Mapping[str, Length], field: FieldModel) -> None:
        super().__init__(values)
        self._what, self._field = what, field

    def __missing__(self, name: str) -> NoReturn:
        sentence = tell(_LACKING[self._what], name=name)
        hint = tell("add '{name}' under '{what}s'", name=name, what=self._what)
        raise PocketrefError([Problem(f"{self._what}-missing", sentence, hint, self._field.location)])


@dataclass(frozen=True, slots=True)
class Place:
    """A block on a face of a card: the card's number and title, the face's name in print, the block's label.

    `subject` is that of a chart that starts there, `set_` the set of a card that is of another.
    """

    number: str
    title: str
    face: str
    block: str
    subject: str = ""
    set_: str = ""


@dataclass(frozen=True)
class Setting:
    """What a face's blocks are made from: the content, and the code and level the face goes by."""

    library: Library
    code: str
    level: str
    detail: Detail
    room_mm: tuple[float, float] = (0.0, 0.0)
    """Width and height that blocks have on a page, for a drawing that is cut into pages."""
    previous: Library | None = None
    """The edition before, for change bars; None draws none."""
    is_past: bool = False
    """Whether this is what the blocks of the edition before are made from: there what is missing is no fault."""
    pictures: Mapping[str, PictureFile] = dataclasses.field(default_factory=dict)
    """The pictures of photo blocks, by the path they are named by."""
    places: tuple[Place, ...] = ()
    """Where everything is on the other cards of the code and level, for a face that asks for it."""

    @cached_property
    def before(self) -> Setting | None:
        """The same for the edition before; None without one."""
        if self.previous is None:
            return None
        return replace(self, library=self.previous, previous=None, is_past=True)

    @property
    def field(self) -> FieldModel:
        """The level the face is of."""
        return _find("level", f"{self.code}-{self.level}", self.library.fields)

    def find_text(self, name: str) -> TextModel:
        """A text by where it is, such as mechanics/stance/do."""
        return _find("text", name, self.library.texts)

    def find_caution(self, name: str) -> CautionModel:
        """A caution by name."""
        return _find("caution", name, self.library.cautions)

    def find_subject(self, name: str) -> SubjectModel:
        """A subject's facts by its name."""
        return _find("subject", name, self.library.subjects)

    def mark_doubt(self, *cited: Cited) -> str:
        """The mark to set after words that rest on these statements; empty if none of them is in doubt."""
        return self.library.mark_doubt(*cited)

    def list_dimensions(self, names: Iterable[str]) -> Iterator[Dimension]:
        """Those of the level's dimensions that it gives."""
        given = self.field.dimensions
        return (given[name] for name in names if name in given)

    def list_tolerances(self, *names: str) -> Iterator[Dimension]:
        """Those of the level's tolerances that it gives."""
        given = self.field.tolerances
        return (given[name] for name in names if name in given)

    @cached_property
    def lengths(self) -> Mapping[str, Length]:
        """The level's dimensions by name; one that is missing is a located problem, not a KeyError."""
        values = {name: dimension.value for name, dimension in self.field.dimensions.items()}
        return _Named("dimension", values, self.field)

    @cached_property
    def tolerances(self) -> Mapping[str, Length]:
        """The level's tolerances by name; one that is missing is a located problem too."""
        values = {name: tolerance.value for name, tolerance in self.field.tolerances.items()}
        return _Named("tolerance", values, self.field)

    @cached_property
    def plan(self) -> Plan:
        """The plan of the plate area."""
        return self.construct(construct_plate_area)

    @cached_property
    def diamond(self) -> Plan:
        """The plan of the whole field."""
        return self.construct(construct_diamond)

    def construct(self, make: Callable[[Mapping[str, Length]], Plan]) -> Plan:
        """A plan from the level's dimensions; what is wrong with them is told at the level's file."""
        try:
            return make(self.lengths)
        except PocketrefError as error:
            where = self.field.locate("dimensions")
            raise PocketrefError(p if p.where else replace(p, where=where) for p in error.problems) from None

    def find_plan(self, name: str) -> Plan:
        """A plan by its name, plate-area or diamond."""
        return self.diamond if name == "diamond" else self.plan

    @cached_property
    def field_check(self) -> FieldCheck:
        """The five pulls of the plate area that catch the most of the errors crews make."""
        return choose_field_check(self.plan, self.lengths)

    def find_table(self, subject: str, code: str = "") -> TableModel:
        """A code's table on a subject, as its author wrote it: the face's own code's, or another's."""
        code = code or self.code
        model = self.library.rulings.get((code, subject))
        if model is None:
            sentence = tell(
                "{code} has no table on '{subject}', which a face needs", code=code, subject=subject
            )
            raise PocketrefError(
                [
                    Problem(
                        "subject-unknown",
                        sentence,
                        tell("add rulings/{code}/{subject}.yaml", code=code, subject=subject),
                    )
                ]
            )
        return model

    def chart(self, subject: str) -> tuple[Chart, Table]:
        """The shortest chart of the code's table on a subject, and the table."""
        table = construct_table(self.find_subject(subject), self.find_table(subject))
        return find_chart(table), table

    def list_doubted(self, table: Table) -> list[Row]:
        """The rows of a table that are in doubt."""
        models = self.find_table(table.subject, table.code).rows
        return [row for row, model in zip(table.rows, models, strict=True) if self.mark_doubt(model)]


def _find(what: str, name: str, known: Mapping[str, M]) -> M:
    if name not in known:
        sentence = tell(_LACKING[what], name=name)
        raise PocketrefError([Problem(f"{what}-unknown", sentence, suggest_match(name, known))])
    return known[name]
