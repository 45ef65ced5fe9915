"""A case play on paper: the question with its choices and picture, and its entry in the key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pocketref.pages.blocks import HEADING_GAP_MM, Paragraphs, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Choices, FigureWords, Heading, Listing, Paragraph, Words
from pocketref.scene.figures.play_figure import draw_bases
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, FormField, Item, Shape, Stroke
from pocketref.scene.paths import rectangle, rounded_rectangle, shift
from pocketref.scene.plan_view import FigureDrawing
from pocketref.scene.textfit import break_text, count_lines, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.words.speech import say

_GAP_MM = 0.9
_BADGE_GAP_MM = 1.6
_TOP_MM = 0.8  # keeps a badge apart from the band above a page's first play
_TICK_MM = 2.6
_WORDS_MM = (88.0, 66.0)  # what a picture shows is the same in any room

DrawPicture = Callable[[float, float], FigureDrawing | None]
"""The picture within a width and a height in mm; asked more than once."""


@dataclass(frozen=True, slots=True)
class PlayHeading:
    """A play's first lines: a number or letter in a black badge, the title, where the game stands, the bases."""

    badge: str
    title: str
    game: str
    bases: tuple[str, ...]

    def _inner_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        return width_mm - self._badge_mm(sizes) - _BADGE_GAP_MM - (self._bases_mm(sizes) + 1.0)

    def _badge_mm(self, sizes: TypeSizes) -> float:
        words = set_text(0, 0, self.badge, FontFace.BOLD, sizes.heading_pt, WHITE).width_mm
        return max(words + 2.4, leading_mm(sizes.heading_pt) + 0.6)

    def _bases_mm(self, sizes: TypeSizes) -> float:
        """As high as a line of the title and one under it."""
        return leading_mm(sizes.heading_pt) + leading_mm(sizes.small_pt)

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The lines, or the bases if they are higher."""
        inner = self._inner_mm(width_mm, sizes)
        title = count_lines(f"*{self.title}*", FontFace.REGULAR, inner, sizes.heading_pt)
        game = count_lines(self.game, FontFace.REGULAR, inner, sizes.small_pt)
        lines = title * leading_mm(sizes.heading_pt) + game * leading_mm(sizes.small_pt)
        return _TOP_MM + max(lines, self._bases_mm(sizes)) + HEADING_GAP_MM

    def draw(self, box: Box, sizes: TypeSizes) -> list[Element]:
        """From the top of the box."""
        badge, lead = self._badge_mm(sizes), leading_mm(sizes.heading_pt)
        inner = self._inner_mm(box.width_mm, sizes)
        title = break_text(f"*{self.title}*", FontFace.REGULAR, inner, sizes.heading_pt)
        game = break_text(self.game, FontFace.REGULAR, inner, sizes.small_pt)
        baseline = first_baseline(box.top - _TOP_MM, sizes.heading_pt)
        mark = rounded_rectangle(box.x, box.top - _TOP_MM - lead - 0.15, badge, lead + 0.3, 0.8)
        words: list[Item] = [
            set_text(
                box.x + badge / 2, baseline, self.badge, FontFace.BOLD, sizes.heading_pt, WHITE, "middle"
            )
        ]
        x, top = box.x + badge + _BADGE_GAP_MM, box.top - _TOP_MM
        for line in title:
            words += write_line(line, x, first_baseline(top, sizes.heading_pt), sizes.heading_pt)
            top -= lead
        said: list[Item] = []
        for line in game:
            said += write_line(line, x, first_baseline(top, sizes.small_pt), sizes.small_pt)
            top -= leading_mm(sizes.small_pt)
        marks: list[Item] = [Shape(mark, fill=BLACK)]
        size = self._bases_mm(sizes)
        marks += shift(draw_bases(self.bases, size), box.right - size, box.top - _TOP_MM - size)
        return [
            Element(Role.DECORATION, tuple(marks)),
            Element(Role.HEADING, tuple(words)),
            Element(Role.PARAGRAPH, tuple(said)),
        ]


@dataclass(frozen=True, slots=True)
class PlayQuestion:
    """A play as it is asked: heading, story, picture, choices with a box to tick."""

    number: int
    heading: PlayHeading
    story: tuple[str, ...]
    choices: tuple[tuple[str, str], ...]
    """Each letter and its words."""
    picture: DrawPicture
    caption: str
    most_picture_mm: float = 48.0
    is_on_paper: bool = True
    """Whether its picture has the scale that it is drawn at, which is said then, and its choices boxes to tick."""
    grows: bool = False

    @property
    def label(self) -> str:
        """Its name in messages."""
        return f"play {self.number}"

    def _story(self) -> Paragraphs:
        return Paragraphs(self.label, self.story)

    def _drawn(self, width_mm: float) -> FigureDrawing | None:
        return self.picture(width_mm, self.most_picture_mm)

    def _picture_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        drawing = self._drawn(width_mm)
        return drawing.height_mm + leading_mm(sizes.small_pt) + 2 * _GAP_MM if drawing else 0.0

    @property
    def _tick_mm(self) -> float:
        return _TICK_MM + 1.4 if self.is_on_paper else 0.0

    def _indent_mm(self, sizes: TypeSizes) -> float:
        return self._tick_mm + set_text(0, 0, "D", FontFace.BOLD, sizes.body_pt, BLACK).width_mm + 1.6

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Everything, with its gaps."""
        size, inner = sizes.body_pt, width_mm - self._indent_mm(sizes)
        lines = sum([count_lines(words, FontFace.REGULAR, inner, size) for _, words in self.choices])
        choices = lines * leading_mm(size) + 0.5 * (len(self.choices) - 1)
        story = self._story().measure_mm(width_mm, sizes)
        return (
            self.heading.measure_mm(width_mm, sizes)
            + story
            + self._picture_mm(width_mm, sizes)
            + _GAP_MM
            + choices
            + 1.4
        )

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the story's longest word sticks out."""
        return self._story().excess_mm(width_mm, sizes)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box."""
        children = self.heading.draw(box, sizes)
        top = box.top - self.heading.measure_mm(box.width_mm, sizes)
        story = self._story()
        height = story.measure_mm(box.width_mm, sizes)
        children.append(story.draw(Box(box.x, top - height, box.width_mm, height), sizes))
        top -= height
        drawing = self._drawn(box.width_mm)
        if drawing:
            children += self._draw_picture(drawing, box, top, sizes)
            top -= self._picture_mm(box.width_mm, sizes)
        children.append(self._draw_choices(box, top - _GAP_MM, sizes))
        return Element(Role.SECTION, (), tuple(children), label=self.label)

    def words(self) -> Words:
        """Where the game stands, the story, the picture and the choices; the title is whose block it is."""
        drawing = self.picture(*_WORDS_MM)
        picture = (FigureWords(drawing.alt, f"{self.caption}."),) if drawing else ()
        choices = Choices(
            say("Ruling on play {number}", number=self.number), tuple(words for _, words in self.choices)
        )
        story = (Paragraph(each) for each in self.story)
        return (Paragraph(f"*{self.heading.game}.*"), *story, *picture, choices)

    def _draw_picture(self, drawing: FigureDrawing, box: Box, top: float, sizes: TypeSizes) -> list[Element]:
        left = box.x + (box.width_mm - drawing.width_mm) / 2
        bottom = top - _GAP_MM - drawing.height_mm
        words = f"{self.caption}, 1:{drawing.scale:g}" if self.is_on_paper else self.caption
        baseline = first_baseline(bottom - 0.4, sizes.small_pt)
        caption = set_text(
            box.x + box.width_mm / 2, baseline, words, FontFace.ITALIC, sizes.small_pt, BLACK, "middle"
        )
        return [
            Element(Role.FIGURE, shift(drawing.items, left, bottom), alt=drawing.alt, label=self.label),
            Element(Role.PARAGRAPH, (caption,)),
        ]

    def _draw_choices(self, box: Box, top: float, sizes: TypeSizes) -> Element:
        lead, indent = leading_mm(sizes.body_pt), self._indent_mm(sizes)
        entries = []
        for letter, words in self.choices:
            baseline = first_baseline(top, sizes.body_pt)
            items = self._draw_tick(letter, box.x, baseline, sizes) if self.is_on_paper else []
            items.append(
                set_text(box.x + self._tick_mm, baseline, letter, FontFace.BOLD, sizes.body_pt, BLACK)
            )
            for line in break_text(words, FontFace.REGULAR, box.width_mm - indent, sizes.body_pt):
                items += write_line(line, box.x + indent, first_baseline(top, sizes.body_pt), sizes.body_pt)
                top -= lead
            top -= 0.5
            entries.append(Element(Role.LIST_ITEM, tuple(items)))
        return Element(Role.LIST, (), tuple(entries))

    def _draw_tick(self, letter: str, x: float, baseline: float, sizes: TypeSizes) -> list[Item]:
        """The box to tick before a letter, in print and as a field."""
        low = baseline + (cap_height_mm(FontFace.BOLD, sizes.body_pt) - _TICK_MM) / 2
        name, tooltip = (
            f"play {self.number} {letter}",
            say("Play {number}, answer {letter}", number=self.number, letter=letter),
        )
        return [
            Shape(rectangle(x, low, _TICK_MM, _TICK_MM), Stroke(0.25, BLACK), WHITE),
            FormField(x, low, _TICK_MM, _TICK_MM, name, tooltip, sizes.body_pt, "checkbox"),
        ]


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """A play in the key: heading with the right letter, what happened, ruling, way, and why the others are wrong."""

    number: int
    heading: PlayHeading
    story: str
    entries: tuple[str, ...]
    wrong: tuple[str, ...]
    grows: bool = False

    @property
    def label(self) -> str:
        """Its name in messages."""
        return f"key to play {self.number}"

    def _parts(self) -> tuple[Paragraphs, ...]:
        parts = (
            Paragraphs(self.label, (self.story,), small=True),
            Paragraphs(self.label, self.entries),
            Paragraphs(self.label, self.wrong, small=True),
        )
        return tuple(part for part in parts if part.entries)

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Everything, with its gaps."""
        parts = sum(part.measure_mm(width_mm, sizes) + _GAP_MM for part in self._parts())
        return self.heading.measure_mm(width_mm, sizes) + parts + 1.0

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the longest word sticks out."""
        return max(part.excess_mm(width_mm, sizes) for part in self._parts())

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box."""
        children = self.heading.draw(box, sizes)
        top = box.top - self.heading.measure_mm(box.width_mm, sizes)
        for part in self._parts():
            height = part.measure_mm(box.width_mm, sizes)
            children.append(part.draw(Box(box.x, top - height, box.width_mm, height), sizes))
            top -= height + _GAP_MM
        return Element(Role.SECTION, (), tuple(children), label=self.label)

    def words(self) -> Words:
        """The story, the answer and why, and why not otherwise; the title is whose block it is."""
        answer = self.heading.badge.split()[-1]
        why = (Heading(say("Answer {letter}", letter=answer)), *(Paragraph(entry) for entry in self.entries))
        wrong = (Heading(say("Why not otherwise")), Listing(self.wrong)) if self.wrong else ()
        return (Paragraph(f"*{self.heading.game}.* {self.story}"), *why, *wrong)
