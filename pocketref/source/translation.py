"""What models say in another language: their sentences listed with their places, or put in place of the English.

A translated model is a copy that knows what it was written as (`SourceModel.as_written`); digests, records and whatever
is compared with the books go by that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any, TypeVar, get_args

from pocketref.problems import Location
from pocketref.source.library import Library
from pocketref.source.syntax.kinds import TRANSLATED
from pocketref.source.syntax.located import SourceModel, write_key
from pocketref.words.speech import Language

M = TypeVar("M", bound=SourceModel)
_Path = tuple[str | int, ...]
_Change = Callable[[SourceModel, _Path, str], str]
_GROUPS = ("cautions", "texts", "fields", "codes", "subjects", "rulings", "plays", "works")
"""Of a library, what is read first by whoever translates: what can hurt."""


@dataclass(frozen=True, slots=True)
class SourceSentence:
    """A sentence of the source: the name of its place, which lasts when lines move, and where it stands."""

    name: str
    english: str
    where: Location | None


def translate_model(model: M, language: Language | None) -> M:
    """The model with its sentences in a language, whichever they are in; None for as they were written."""
    written = model.as_written
    return _change_model(written, lambda _, __, text: language.find(text)) if language else written


def list_texts(name: str, model: SourceModel) -> Iterator[SourceSentence]:
    """Every sentence of a model; names of places begin with its own."""
    found: list[SourceSentence] = []

    def note(inner: SourceModel, path: _Path, text: str) -> str:
        found.append(
            SourceSentence("/".join((name, *map(str, path))), text, inner.locate(*_own_path(inner, path)))
        )
        return text

    _change_model(model, note)
    yield from found


def _own_path(model: SourceModel, path: _Path) -> _Path:
    """The end of a path that is within the model itself."""
    fields = {write_key(name) for name in type(model).model_fields}
    starts = [index for index, step in enumerate(path) if step in fields]
    return path[starts[-1] :] if starts else path


@lru_cache(maxsize=8)  # of an edition and those before, in each of its languages
def translate_library(library: Library, language: Language | None) -> Library:
    """The library with its sentences in a language, whichever they are in; None for as they were written."""
    groups: dict[str, Any] = {
        group: {key: translate_model(model, language) for key, model in getattr(library, group).items()}
        for group in (*_GROUPS, "layouts")
    }
    return replace(library, **groups, edition=translate_model(library.edition, language))


def list_library_texts(library: Library) -> Iterator[SourceSentence]:
    """Every sentence of a library."""
    for group in _GROUPS:
        for key, model in getattr(library, group).items():
            place = "/".join(key) if isinstance(key, tuple) else key
            yield from list_texts(place if group == "texts" else f"{group}/{place}", model)
    yield from list_texts("edition", library.edition)


def _change_model(model: M, change: _Change, before: _Path = ()) -> M:
    kinds = _find_said(type(model))
    changed = {
        name: new
        for name, is_said in kinds.items()
        if (
            new := _change_value(
                model, (*before, write_key(name)), old := getattr(model, name), change, is_said
            )
        )
        is not old
    }
    if not changed:
        return model
    copy = model.model_copy(update=changed)
    copy.note_written(model)
    return copy


def _change_value(model: SourceModel, path: _Path, value: Any, change: _Change, is_said: bool) -> Any:
    if isinstance(value, SourceModel):
        return _change_model(value, change, path)
    if type(value) is str:
        says = is_said and any(letter.isalpha() for letter in value)
        return change(model, path, value) if says else value
    if isinstance(value, tuple):
        items = tuple(_change_value(model, (*path, i), each, change, is_said) for i, each in enumerate(value))
        return items if any(new is not old for new, old in zip(items, value, strict=True)) else value
    if isinstance(value, Mapping):
        entries = {
            key: _change_value(model, (*path, key), each, change, is_said) for key, each in value.items()
        }
        return entries if any(entries[key] is not value[key] for key in value) else value
    return value


@cache
def _find_said(model: type[SourceModel]) -> dict[str, bool]:
    """A model's fields, and whether what is in each is a sentence of print."""
    return {
        name: TRANSLATED in field.metadata or _says(field.annotation)
        for name, field in model.model_fields.items()
    }


def _says(kind: Any) -> bool:
    return TRANSLATED in getattr(kind, "__metadata__", ()) or any(_says(inner) for inner in get_args(kind))
