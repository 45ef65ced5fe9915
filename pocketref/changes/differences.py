"""The sources of two editions compared leaf by leaf: all that differs, by where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields

from pocketref.source.edition_models import ValidDates
from pocketref.source.library import Library
from pocketref.source.play_models import BallModel, BatModel
from pocketref.source.ruling_models import SightModel
from pocketref.source.situation_models import SituationModel
from pocketref.source.syntax.located import SourceModel

_WHOLE = (SightModel, SituationModel, BatModel, BallModel, ValidDates)
"""Models that are told as one value."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A leaf that differs: the keys that lead to it from the library on, and what was and is there, None for nothing.

    The order of a subject's facts or of a fact's answers is a leaf of its own, under the key "".
    """

    path: tuple[str, ...]
    old: object
    new: object


def find_differences(old: Library, new: Library) -> Iterator[Difference]:
    """Every leaf that differs, in the order of the newer library; lengths are compared, not how they are written."""
    for group in fields(Library):
        if group.name not in ("warnings", "layouts"):
            one, other = getattr(old, group.name), getattr(new, group.name)
            yield from compare_leaves((group.name,), one, other)


def compare_leaves(path: tuple[str, ...], one: object, other: object) -> Iterator[Difference]:
    """Every leaf that differs below a path."""
    if one is other:
        return
    if isinstance(one, SourceModel) and isinstance(other, SourceModel) and not isinstance(one, _WHOLE):
        one, other = open_model(one), open_model(other)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        for key in dict.fromkeys((*other, *one)):
            name = "/".join(key) if isinstance(key, tuple) else key
            yield from compare_leaves((*path, name), one.get(key), other.get(key))
        is_ordered = path[0] == "subjects" and path[-1] in ("facts", "answers")
        if is_ordered and one.keys() == other.keys() and list(one) != list(other):
            yield Difference((*path, ""), tuple(one), tuple(other))
    elif one != other:
        yield Difference(path, one, other)


def open_model(model: SourceModel) -> dict[str, object]:
    """The model's values by their keys in the source."""
    fields = type(model).model_fields.items()
    return {info.alias or name: getattr(model, name) for name, info in fields if not info.exclude}
