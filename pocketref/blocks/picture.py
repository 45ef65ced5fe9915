"""Blocks of small pictures that fill a width: feet and the box, umpires' positions, the slot."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from pocketref.blocks.model import PLANS, BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.field.feet import GroundJudgement
from pocketref.pages.blocks import HEADING_GAP_MM, Block, draw_heading
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Heading, Words
from pocketref.plays.placement import NOTHING_DRAWN, derive_facts
from pocketref.rulings.construct import construct_table
from pocketref.rulings.table import decide
from pocketref.scene.figures.feet_figure import CASES, draw_foot_set
from pocketref.scene.figures.position_figure import draw_position_set
from pocketref.scene.figures.slot_figure import draw_slot
from pocketref.scene.paths import shift
from pocketref.scene.plan_view import SCALES, FigureDrawing, draw_largest
from pocketref.scene.textfit import leading_mm
from pocketref.source.statements import DOUBT
from pocketref.source.syntax.kinds import OneOf, Sentence, WholeNumber
from pocketref.words.speech import say

_MOST_WIDENINGS = 60  # a quarter more each time: ten million times as wide

DrawIn = Callable[[float, float], FigureDrawing]
"""A picture as wide as the first number in mm, with type of the second in points."""


DrawWithin = Callable[[float, float, float], FigureDrawing]
"""A picture no wider and no higher than the first two numbers in mm, with type of the third in points."""

_LEAST_SLOT_SCALE = 75
_WORDS_MM, _WORDS_PT = 110.0, 8.0  # what a picture shows is the same at any width and type


@dataclass(frozen=True, slots=True)
class PictureBlock:
    """Pictures under a heading; as wide as the block, as high as they turn out.

    One that can be `draw_within` a height too grows into the height to spare; `draw_in` then draws it as small as it
    may be.
    """

    label: str
    draw_in: DrawIn = field(compare=False)
    made_of: object
    """All that decides what is drawn: pictures made of equal things look alike."""
    heading: str = ""
    draw_within: DrawWithin | None = field(default=None, compare=False)

    @property
    def grows(self) -> bool:
        """Whether it takes height to spare."""
        return self.draw_within is not None

    def _heading_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM if self.heading else 0.0

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The pictures' height and the heading."""
        return self.draw_in(width_mm, sizes.small_pt).height_mm + self._heading_mm(sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the pictures turn out."""
        return max(self.draw_in(width_mm, sizes.small_pt).width_mm - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box, centred."""
        top = box.top - self._heading_mm(sizes)
        drawing = (
            self.draw_within(box.width_mm, top - box.y, sizes.small_pt)
            if self.draw_within
            else self.draw_in(box.width_mm, sizes.small_pt)
        )
        left = box.x + (box.width_mm - drawing.width_mm) / 2
        items = shift(drawing.items, left, top - drawing.height_mm)
        figure = Element(Role.FIGURE, items, alt=drawing.alt, label=self.label)
        heading = (draw_heading(self.heading, box.x, box.top, sizes),) if self.heading else ()
        return Element(Role.SECTION, (), (*heading, figure), label=self.label)

    def words(self) -> Words:
        """The heading, and what the pictures show."""
        heading = (Heading(self.heading),) if self.heading else ()
        return (*heading, FigureWords(self.draw_in(_WORDS_MM, _WORDS_PT).alt))


def _draw_wider(draw_in: DrawIn) -> DrawIn:
    """As it draws, but at the next width that does where one is too narrow for any scale: the excess is told then."""

    def draw(width_mm: float, size_pt: float) -> FigureDrawing:
        wider = width_mm
        for _ in range(_MOST_WIDENINGS):
            try:
                return draw_in(wider, size_pt)
            except ValueError:
                wider = max(wider, 10.0) * 1.25
        return draw_in(wider, size_pt)

    return draw


def _foot_cases(setting: Setting, columns: int) -> DrawIn:
    """The six cases, each with what the code's contact table makes of it when bat meets ball."""
    line = setting.lengths["line-width"]
    model, subject = setting.find_table("contact"), setting.find_subject("contact")
    table = construct_table(subject, model)
    doubted = setting.list_doubted(table)
    usual = {"bat-meets-ball": "yes", "knee-out": "no", "caught-tip": "no"}

    def rule_on(feet: Sequence[GroundJudgement]) -> str:
        seen = derive_facts(replace(NOTHING_DRAWN, judged=tuple(feet)), subject)
        row = decide(table, usual | seen)
        words = say("Check league") if row.is_open else model.rulings[row.outcome].headline.split(":")[0]
        return words + (DOUBT if row in doubted else "")

    return lambda width, size: draw_foot_set(CASES, setting.plan, line, size, width, columns, rule_on)


def _positions(setting: Setting, columns: int) -> DrawIn:
    return lambda width, size: draw_position_set(setting.diamond, size, width)


def _slot(setting: Setting, columns: int) -> DrawIn:
    return lambda width_mm, size_pt: draw_slot(setting.plan, _LEAST_SLOT_SCALE, size_pt)


def _fit_slot(setting: Setting) -> DrawWithin:
    """The slot at the largest scale that fits, down to the least one."""

    def draw_within(width_mm: float, height_mm: float, size_pt: float) -> FigureDrawing:
        def draw_at(scale: float) -> FigureDrawing:
            return draw_slot(setting.plan, scale, size_pt)

        scales = [scale for scale in SCALES if 20 <= scale < _LEAST_SLOT_SCALE]
        return draw_largest(draw_at, scales, width_mm, height_mm) or draw_at(_LEAST_SLOT_SCALE)

    return draw_within


@dataclass(frozen=True, slots=True)
class _Picture:
    """How a picture is drawn, what it cites, and what it is made of beside the level's dimensions."""

    make: Callable[[Setting, int], DrawIn]
    list_cited: Callable[[Setting], Iterator[Cited]]
    find_rest: Callable[[Setting], object] = lambda setting: None
    make_fit: Callable[[Setting], DrawWithin] | None = None


def _cite_plate(setting: Setting) -> Iterator[Cited]:
    yield from setting.list_dimensions(PLANS["plate-area"])


def _cite_cases(setting: Setting) -> Iterator[Cited]:
    yield from setting.find_table("contact").rows
    yield from _cite_plate(setting)


PICTURES = {
    "foot-cases": _Picture(
        _foot_cases,
        _cite_cases,
        lambda setting: (
            setting.find_table("contact"),
            setting.find_subject("contact").facts,
            [setting.mark_doubt(row) for row in setting.find_table("contact").rows],
        ),
    ),
    "positions": _Picture(_positions, lambda setting: setting.list_dimensions(PLANS["diamond"])),
    "slot": _Picture(_slot, _cite_plate, make_fit=_fit_slot),
}
"""The small pictures that can be drawn, by name."""


class PictureBlockModel(BlockModel):
    """Small pictures that fill the width."""

    block: Literal["picture"]
    picture: Annotated[str, AfterValidator(OneOf("picture", PICTURES))] = Field(
        description="the picture's name"
    )
    heading: Sentence = Field(default="", description="a heading above it")
    columns: WholeNumber = Field(default=3, ge=1, le=6, description="pictures in a row")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """What the pictures show."""
        return PICTURES[self.picture].list_cited(setting)

    def build(self, setting: Setting) -> Block:
        """The pictures at any width."""
        kind = PICTURES[self.picture]
        # Kept, because a face is measured at each step of the scale and then drawn.
        draw_in = lru_cache(maxsize=64)(_draw_wider(kind.make(setting, self.columns)))
        made_of = (self.columns, dict(setting.lengths), kind.find_rest(setting))
        draw_within = kind.make_fit(setting) if kind.make_fit else None
        return PictureBlock(f"picture {self.picture}", draw_in, made_of, self.heading, draw_within)
