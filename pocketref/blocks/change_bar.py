"""Change bars: a bar beside each block whose content is not what it was in the edition before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pocketref.blocks.block_models import (
    BlockModel,
    CallsBlockModel,
    CautionBlockModel,
    ChartBlockModel,
    DerivedBlockModel,
    DifferencesBlockModel,
    FigureBlockModel,
    PullsBlockModel,
    TextBlockModel,
)
from pocketref.pages.blocks import Block
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.inks import CHANGE
from pocketref.scene.items import Shape
from pocketref.scene.paths import rectangle
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library

BAR_MM = 0.7
_ROOM_MM = 2.0  # what a bar takes from a text's width, white space included
_DRAWING_ROOM_MM = 1.0  # a drawing brings white space of its own


@dataclass(frozen=True, slots=True)
class ChangeBar:
    """A block with a bar at its left, as high as the block."""

    block: Block

    @property
    def label(self) -> str:
        """The block's own name."""
        return self.block.label

    @property
    def grows(self) -> bool:
        """As the block does."""
        return self.block.grows

    @property
    def _room_mm(self) -> float:
        return _DRAWING_ROOM_MM if self.block.grows else _ROOM_MM

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The block's height in the width that is left."""
        return self.block.measure_mm(width_mm - self._room_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The block's excess in the width that is left."""
        return self.block.excess_mm(width_mm - self._room_mm, sizes)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The bar, then the block beside it."""
        bar = Element(Role.DECORATION, (Shape(rectangle(box.x, box.y, BAR_MM, box.height_mm), None, CHANGE),))
        inner = Box(box.x + self._room_mm, box.y, box.width_mm - self._room_mm, box.height_mm)
        return Element(Role.SECTION, (), (bar, self.block.draw(inner, sizes)), label=self.label)


def has_changed(model: BlockModel, code: str, level: str, now: Library, before: Library) -> bool:
    """Whether what the block shows differs from the edition before; what is new counts as changed."""
    match model:
        case ChartBlockModel() | CallsBlockModel():
            return _table_changed((code,), model.subject, now, before)
        case DifferencesBlockModel():
            return _table_changed(model.codes, model.subject, now, before)
        case TextBlockModel():
            return now.texts[model.text] != before.texts.get(model.text)
        case CautionBlockModel():
            return now.cautions[model.caution] != before.cautions.get(model.caution)
        case FigureBlockModel() | DerivedBlockModel():
            return _lengths(now.fields, code, level) != _lengths(before.fields, code, level)
        case PullsBlockModel():
            name = f"{code}-{level}"
            tolerances = [
                fields[name].tolerances if name in fields else None for fields in (now.fields, before.fields)
            ]
            return _lengths(now.fields, code, level) != _lengths(before.fields, code, level) or (
                tolerances[0] != tolerances[1]
            )
        case _:
            return False


def _table_changed(codes: tuple[str, ...], subject: str, now: Library, before: Library) -> bool:
    keys = [(code, subject) for code in codes]
    facts_changed = now.subjects[subject].facts != _facts(before, subject)
    return facts_changed or any(now.rulings[key] != before.rulings.get(key) for key in keys)


def _facts(library: Library, subject: str) -> object:
    return library.subjects[subject].facts if subject in library.subjects else None


def _lengths(fields: Mapping[str, FieldModel], code: str, level: str) -> dict[str, object]:
    field = fields.get(f"{code}-{level}")
    return {name: dimension.value for name, dimension in field.dimensions.items()} if field else {}
