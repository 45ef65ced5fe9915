"""A slide, and the least type on it: that which the last row can read on the wall."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from pocketref.classes.slide_blocks import SlideFoot
from pocketref.layouts.class_models import ClassModel
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import BLOCK_GAP_MM, Face, Misfit, body_box, choose_sizes, compose_face, fits
from pocketref.pages.page import Box, Element, Page, Role
from pocketref.pages.pagination import Divisible
from pocketref.pages.stock_models import StylesModel
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.statements import Cited
from pocketref.units.length import Length
from pocketref.words.speech import say

Look = Literal["text", "dense", "opening"]
"""Running text; a chart or table, whose capitals fill the angle that small letters fill elsewhere; the first slide."""
WIDTH_MM, HEIGHT_MM = 160.0, 90.0
"""A page of 16 to 9, about as large as a card, so that pens, marks and gaps look on the wall as on cards."""
_EDGE_MM = 5.0
_SAFE_MM = 3.0
MOST_HEIGHTS = 6
"""A picture to teach by is seen from at most so many of its heights (a maker of projectors' white paper of 2001, read
in one place)."""
_STEPS: Mapping[Look, tuple[float, ...]] = {
    "text": (1.0, 1.06, 1.12, 1.2, 1.28),
    "dense": (1.0, 1.06, 1.12, 1.2, 1.28, 1.36, 1.44, 1.5),
    "opening": (1.0, 1.12, 1.28, 1.44, 1.6, 1.8),
}
"""The sizes that a slide's words may have, as shares of the least: our own."""
_TITLES = (1.4, 1.25, 1.1, 1.0)
"""The sizes that a title may have beside the least text, the largest that has room first."""


@dataclass(frozen=True, slots=True)
class Slide:
    """What is on one slide, what is said to it, and how long the class then thinks."""

    title: str
    body: tuple[Block, ...]
    notes: tuple[str, ...]
    cited: tuple[Cited, ...] = ()
    """The statements that it rests on."""
    number: str = ""
    """What stands before its title, such as a play's number."""
    look: Look = "text"
    is_doubted: bool = False
    """Whether its foot says what the mark of doubt means, though the mark may come on a later slide only."""
    think_s: float = 0.0
    """Seconds in which the class looks, thinks and answers."""


@dataclass(frozen=True)
class Screen:
    """The wall as the last row sees it: a slide's page looks so from `seen_at`."""

    distance: Length
    height: Length
    styles: StylesModel = field(repr=False)

    @property
    def seen_at(self) -> Length:
        """From where a page as high as a slide fills the angle that the picture on the wall fills."""
        return Length(self.distance.inches * Fraction(HEIGHT_MM) / self.height.mm)

    @property
    def floor_pt(self) -> float:
        """The least type of all: capitals fill the angle of `styles.floor`, as on cards."""
        return self.styles.find_floor_pt(self.seen_at)

    @property
    def text_floor_pt(self) -> float:
        """The least type of what is read out of running text: its small letters fill that angle."""
        face = typeface(FontFace.REGULAR)
        return self.floor_pt * face.cap_height_em / face.measure_reach_em("x")[1]

    @property
    def most_distance(self) -> Length:
        """From where the picture is last seen well enough to be taught by, whatever its type."""
        return Length(self.height.inches * MOST_HEIGHTS, self.height.system)

    def list_sizes(self, look: Look) -> list[TypeSizes]:
        """The sizes to choose from, the least first."""
        least = self.floor_pt if look == "dense" else self.text_floor_pt
        return [self._make_sizes(least * step) for step in _STEPS[look]]

    def _make_sizes(self, size_pt: float) -> TypeSizes:
        heading = max(size_pt, self.text_floor_pt)
        return TypeSizes(
            step_pt=size_pt,
            body_pt=size_pt,
            small_pt=size_pt,
            heading_pt=heading,
            lead_pt=size_pt,
            source_pt=self.floor_pt,
            title_pt=_TITLES[0] * self.text_floor_pt,
        )


def read_screen(model: ClassModel, styles: StylesModel) -> Screen:
    """The screen that a class is made for."""
    return Screen(model.reading_distance, model.screen_height, styles)


@dataclass(frozen=True, slots=True)
class Frame:
    """What all slides of a class have: the tag in the title's band, the foot's words, and the class's screen."""

    tag: str
    foot: str
    screen: Screen

    @property
    def box(self) -> Box:
        """Where a slide's blocks stand."""
        return Box(0, 0, WIDTH_MM, HEIGHT_MM).inset(_EDGE_MM)

    def make_face(self, slide: Slide, place: str, note: str) -> Face:
        """The slide before it is composed; `place` is its number among the others, `note` what a mark on it means."""
        foot = SlideFoot(Footer((self.foot,), (place,), note=note))
        return Face("slide", TitleBand(slide.title, self.tag, slide.number, breaks=True), slide.body, foot)

    def list_sizes(self, slide: Slide) -> list[TypeSizes]:
        """The sizes for a slide, the least first, with the largest title that there is room for."""
        sizes = self.screen.list_sizes(slide.look)
        title_pts = [share * self.screen.text_floor_pt for share in _TITLES]
        band = TitleBand(slide.title, self.tag, slide.number)
        fitting = (
            pt for pt in title_pts if not band.excess_mm(self.box.width_mm, replace(sizes[0], title_pt=pt))
        )
        title_pt = next(fitting, title_pts[-1])
        return [replace(each, title_pt=title_pt) for each in sizes]

    def find_room(self, slide: Slide, note: str) -> tuple[float, float]:
        """Width and height of the slide's body."""
        sizes = self.list_sizes(slide)[0]
        body = body_box(self.make_face(slide, write_place(999, 999), note), self.box, sizes)
        return body.width_mm, body.height_mm

    def divide(self, slide: Slide, note: str) -> Iterator[Slide]:
        """The slide; if its last block has no room and can go on elsewhere, as many slides as it takes."""
        sizes = self.list_sizes(slide)[0]
        while not fits(self.make_face(slide, write_place(999, 999), note), self.box, sizes):
            *above, last = slide.body
            width, height = self.find_room(slide, note)
            used = sum(block.measure_mm(width, sizes) + BLOCK_GAP_MM for block in above)
            if not isinstance(last, Divisible):
                break
            head, rest = (None, last) if _is_whole(last) else last.split(height - used, width, sizes)
            if rest is None or (head is None and not above):
                break
            yield replace(slide, body=(*above, *([head] if head else [])))
            slide = replace(slide, body=(rest,), title=continue_title(slide.title), think_s=0.0)
        yield slide

    def compose(
        self, slide: Slide, name: str, place: str, note: str
    ) -> tuple[Page, TypeSizes] | list[Misfit]:
        """The slide's page at the largest sizes at which it fits; what is in the way if it does at none."""
        face = self.make_face(slide, place, note)
        sizes, misfits = choose_sizes(face, self.box, self.list_sizes(slide))
        if sizes is None:
            return misfits
        drawn = Element(Role.SECTION, (), compose_face(face, self.box, sizes), label=name)
        safe = Box(0, 0, WIDTH_MM, HEIGHT_MM).inset(_SAFE_MM)
        return Page(name, WIDTH_MM, HEIGHT_MM, (drawn,), safe), sizes


def _is_whole(block: Block) -> bool:
    """Whether it stands on one slide, as choices do that are weighed against each other."""
    return isinstance(block, Paragraphs) and block.kind == "letters"


def continue_title(title: str) -> str:
    """The title of a slide that goes on with the one before."""
    goes_on = say(", continued")
    return title if title.endswith(goes_on) else title + goes_on


def write_place(number: int, of: int) -> str:
    """A slide's place among all."""
    return say("{number} of {all}", number=number, all=of)
