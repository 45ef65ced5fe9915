"""The titled pieces of a face: what each needs in height at a width, and how it is drawn in a box.

A block is any value with the attributes of `Block`. Boxes are filled from their top; a block
that grows uses all the height it is given.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import zip_longest
from string import ascii_uppercase
from typing import Protocol, Self

from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Heading, Listing, Paragraph, Words
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Slot, Text
from pocketref.scene.marks import POINT, draw_mark, mark_width_mm
from pocketref.scene.paths import rounded_rectangle
from pocketref.scene.textfit import break_text, count_lines, leading_mm, measure_widest_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, open_slot, set_text
from pocketref.words.speech import say

HEADING_GAP_MM = 0.6
_MOST_ENTRY_GAP_MM = 3.2
"""What height to spare adds between a text's entries at most."""
_LINE_GAP_MM = 3.0
"""The least between what stands on the left and on the right of a footer's line."""
_TAG = 0.72
"""The size of what stands at the right of a title, as a share of the title's."""
_FIELD_MM = 0.7
"""What a white field in a title's band keeps clear of the band's edge."""
_LOGO_PAD_MM = 0.6
_NUMBERED = ("steps", "letters")


class Block(Protocol):
    """What composition asks of a block."""

    @property
    def label(self) -> str:
        """Its name in messages."""

    @property
    def grows(self) -> bool:
        """Whether more height than it needs makes it better."""

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The least height at this width."""

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the widest unbreakable piece is; 0 if everything fits."""

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The block drawn from the top of the box."""

    def words(self) -> Words:
        """What it says."""


def first_baseline(top: float, size_pt: float) -> float:
    """The baseline of a first line whose strip of leading starts at `top`."""
    lead, cap = leading_mm(size_pt), cap_height_mm(FontFace.REGULAR, size_pt)
    return top - (lead + cap) / 2


@dataclass(frozen=True, slots=True)
class Paragraphs:
    """Running text, with an optional heading; each entry is a paragraph, a numbered step or a list item."""

    label: str
    entries: tuple[str, ...]
    heading: str = ""
    kind: str = "plain"
    """plain, steps (numbered), letters (A, B, ...) or list (a dot before each)."""
    small: bool = False
    grows: bool = False
    first: int = 1
    """The number of the first step."""

    def _size(self, sizes: TypeSizes) -> float:
        return sizes.small_pt if self.small else sizes.body_pt

    def _indent(self, size_pt: float) -> float:
        if self.kind == "plain":
            return 0.0
        return mark_width_mm(size_pt) * (0.8 if self.kind == "list" else 1.0)

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Heading, lines and the little space between entries."""
        size = self._size(sizes)
        room = width_mm - self._indent(size)
        lines = sum([count_lines(entry, FontFace.REGULAR, room, size) for entry in self.entries])
        heading = leading_mm(sizes.heading_pt) + HEADING_GAP_MM if self.heading else 0.0
        return heading + lines * leading_mm(size) + self._entry_gap(size) * (len(self.entries) - 1)

    def most_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """As `measure_mm`, with entries as far apart as they may be."""
        return self.measure_mm(width_mm, sizes) + _MOST_ENTRY_GAP_MM * (len(self.entries) - 1)

    def split(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Self | None, Self | None]:
        """The entries that fit into a height, and those that go on elsewhere."""
        count = len(self.entries)
        while count and replace(self, entries=self.entries[:count]).measure_mm(width_mm, sizes) > height_mm:
            count -= 1
        head = replace(self, entries=self.entries[:count]) if count else None
        rest, heading = self.entries[count:], continue_heading(self.heading) if count else self.heading
        return head, replace(self, entries=rest, heading=heading, first=self.first + count) if rest else None

    def _entry_gap(self, size_pt: float) -> float:
        return 0.22 * leading_mm(size_pt)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the longest piece sticks out."""
        size = self._size(sizes)
        widths = [measure_widest_mm(entry, FontFace.REGULAR, size) for entry in self.entries]
        return max(max(widths, default=0.0) - (width_mm - self._indent(size)), 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """Heading, then entries, from the top."""
        size, top = self._size(sizes), box.top
        spare = max(box.height_mm - self.measure_mm(box.width_mm, sizes), 0.0)
        more = min(spare / max(len(self.entries) - 1, 1), _MOST_ENTRY_GAP_MM)
        children: list[Element] = []
        if self.heading:
            children.append(draw_heading(self.heading, box.x, top, sizes))
            top -= leading_mm(sizes.heading_pt) + HEADING_GAP_MM
        indent, lead = self._indent(size), leading_mm(size)
        entries: list[Element] = []
        for number, entry in enumerate(self.entries, self.first):
            items: list[Item] = []
            baseline = first_baseline(top, size)
            if self.kind in _NUMBERED:
                items.append(set_text(box.x, baseline, self._number(number), FontFace.BOLD, size, BLACK))
            marks = draw_mark(POINT, box.x, baseline, size) if self.kind == "list" else []
            for line in break_text(entry, FontFace.REGULAR, box.width_mm - indent, size):
                items += write_line(line, box.x + indent, first_baseline(top, size), size)
                top -= lead
            top -= self._entry_gap(size) + more
            role = Role.PARAGRAPH if self.kind == "plain" else Role.LIST_ITEM
            entries.append(
                Element(role, tuple(items), (Element(Role.DECORATION, tuple(marks)),) if marks else ())
            )
        if self.kind == "plain":
            children += entries
        else:
            children.append(Element(Role.LIST, (), tuple(entries)))
        return Element(Role.SECTION, (), tuple(children), label=self.label)

    def _number(self, number: int) -> str:
        return str(number) if self.kind == "steps" else ascii_uppercase[number - 1]

    def words(self) -> Words:
        """The heading, then each entry."""
        heading = (Heading(self.heading),) if self.heading else ()
        if self.kind == "plain":
            return (*heading, *(Paragraph(entry) for entry in self.entries))
        entries = self.entries
        if self.kind == "letters":
            entries = tuple(f"{self._number(n)} {entry}" for n, entry in enumerate(entries, self.first))
        return (*heading, Listing(entries, self.kind == "steps"))


def continue_heading(heading: str) -> str:
    """The heading of what goes on on another page or in another column."""
    continued = say(", continued")
    return f"{heading.removesuffix(continued)}{continued}" if heading else ""


def draw_heading(text: str, x: float, top: float, sizes: TypeSizes) -> Element:
    """A heading line in bold from `top`."""
    baseline = first_baseline(top, sizes.heading_pt)
    return Element(Role.HEADING, (set_text(x, baseline, text, FontFace.BOLD, sizes.heading_pt, BLACK),))


class Logo(Protocol):
    """A picture of a fixed size."""

    @property
    def width_mm(self) -> float:
        """Its printed width."""

    @property
    def height_mm(self) -> float:
        """Its printed height."""

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The picture at the top of the box, centred."""


@dataclass(frozen=True, slots=True)
class TitleBand:
    """The band across a face's top: card number, title, the code and season at the right, and the logo after them."""

    title: str
    tag: str
    number: str = ""
    grows: bool = False
    logo: Logo | None = None
    breaks: bool = False
    """Whether a title that has no room in one line takes more."""

    @property
    def label(self) -> str:
        """Its name in messages."""
        return "title"

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The title with room above and below, and a logo's height."""
        line = 1.7 * cap_height_mm(FontFace.BOLD, sizes.title_pt) + 1.2
        high = line + (len(self._list_lines(width_mm, sizes)) - 1) * leading_mm(sizes.title_pt)
        return max(high, self.logo.height_mm + 2 * (_FIELD_MM + _LOGO_PAD_MM)) if self.logo else high

    @property
    def _logo_mm(self) -> float:
        """The width of the logo with the white about it; 0 without one."""
        return self.logo.width_mm + 2 * _LOGO_PAD_MM if self.logo else 0.0

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much title, tag and number together are too wide."""
        lines = self._list_lines(width_mm, sizes)
        title = max(set_text(0, 0, each, FontFace.BOLD, sizes.title_pt, WHITE).width_mm for each in lines)
        return max(title - self._room_mm(width_mm, sizes), 0.0)

    def _room_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """What tag, number and logo leave of the width."""
        tag = set_text(0, 0, self.tag, FontFace.BOLD, _tag_pt(sizes), WHITE).width_mm
        number = self._number_mm(sizes) + 1.0 if self.number else 0.0
        return width_mm - (tag + number + self._logo_mm + 8.0)

    def _list_lines(self, width_mm: float, sizes: TypeSizes) -> list[str]:
        if not self.breaks:
            return [self.title]
        broken = break_text(self.title, FontFace.BOLD, self._room_mm(width_mm, sizes), sizes.title_pt)
        return [" ".join(text for word in line.words for text, _ in word.parts) for line in broken]

    def _number_mm(self, sizes: TypeSizes) -> float:
        """How wide the number's field is: as the band is high, or as wide as a long number needs."""
        number = set_text(0, 0, self.number, FontFace.BOLD, sizes.title_pt, BLACK).width_mm
        return max(1.7 * cap_height_mm(FontFace.BOLD, sizes.title_pt) + 1.2, number + 2 * _FIELD_MM)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """White words on a black band; the number in a white field at the left."""
        height = self.measure_mm(box.width_mm, sizes)
        bottom = box.top - height
        baseline = bottom + (height - cap_height_mm(FontFace.BOLD, sizes.title_pt)) / 2
        lines = self._list_lines(box.width_mm, sizes)
        band: list[Item] = [Shape(rounded_rectangle(box.x, bottom, box.width_mm, height, 1.2), fill=BLACK)]
        words: list[Item] = []
        x = box.x + 2.2
        if self.number:
            wide = self._number_mm(sizes)
            band.append(_draw_field(box.x + _FIELD_MM, bottom, wide, height))
            centre = box.x + _FIELD_MM + wide / 2
            words.append(
                set_text(centre, baseline, self.number, FontFace.BOLD, sizes.title_pt, BLACK, "middle")
            )
            x += wide
        for number, line in enumerate(lines):
            y = baseline + ((len(lines) - 1) / 2 - number) * leading_mm(sizes.title_pt)
            words.append(set_text(x, y, line, FontFace.BOLD, sizes.title_pt, WHITE))
        tag_base = bottom + (height - cap_height_mm(FontFace.BOLD, _tag_pt(sizes))) / 2
        end, figures = box.right - 2.2, []
        if self.logo:
            left = box.right - _FIELD_MM - self._logo_mm
            band.append(_draw_field(left, bottom, self._logo_mm, height))
            inner_mm = self.logo.height_mm
            room = Box(left, bottom + (height - inner_mm) / 2, self._logo_mm, inner_mm)
            figures.append(self.logo.draw(room, sizes))
            end = left - 1.5
        words.append(set_text(end, tag_base, self.tag, FontFace.BOLD, _tag_pt(sizes), WHITE, "end"))
        drawn = (Element(Role.DECORATION, tuple(band)), Element(Role.TITLE, tuple(words)), *figures)
        return Element(Role.SECTION, (), drawn)

    def words(self) -> Words:
        """None: whatever holds the face says its title."""
        return ()


def _tag_pt(sizes: TypeSizes) -> float:
    """The tag is set smaller than the title, but no smaller than the least type."""
    return max(_TAG * sizes.title_pt, sizes.source_pt)


def _draw_field(x: float, bottom: float, width_mm: float, height_mm: float) -> Shape:
    """A white field in a band that starts at `bottom`."""
    inner_mm = height_mm - 2 * _FIELD_MM
    return Shape(rounded_rectangle(x, bottom + _FIELD_MM, width_mm, inner_mm, 0.8), fill=WHITE)


@dataclass(frozen=True, slots=True)
class Footer:
    """A rule and one or more lines: what governs, sections, edition mark and validity."""

    left: tuple[str, ...]
    right: tuple[str, ...] = ()
    flows: bool = False
    """Whether the first line on the left goes on below where it has no room: sections may be many."""
    note: str = ""
    """What a mark on the page means."""
    grows: bool = False
    slot: Slot | None = None
    widest: str = ""
    """A slot that is open where the first line begins, and the widest words that are set in it."""

    @property
    def label(self) -> str:
        """Its name in messages."""
        return "footer"

    def _list_lines(self, width_mm: float, sizes: TypeSizes) -> list[tuple[str, str]]:
        """What stands on the left and on the right of each line; the note follows what flows, or has its own lines."""
        left = self._list_left()
        pairs = zip_longest(left, self.right, fillvalue="")
        flowing = 0 if self.flows else len(left) - 1 if self.note else None
        lines: list[tuple[str, str]] = []
        for number, pair in enumerate(pairs):
            lines += self._break_pair(*pair, width_mm, sizes) if number == flowing else [pair]
        return lines

    def _list_left(self) -> list[str]:
        if self.flows and self.note:
            first = self.left[0].removesuffix(".")
            return [f"{first}. {self.note}" if first else self.note, *self.left[1:]]
        return [*self.left, *([self.note] if self.note else [])]

    def _break_pair(self, left: str, right: str, width_mm: float, sizes: TypeSizes) -> list[tuple[str, str]]:
        """Words that go on below where they have no room, beside what stands on the right of their last line."""
        if self._measure_excess(left, right, width_mm, sizes) <= 0:
            return [(left, right)]
        broken = break_text(left, FontFace.REGULAR, width_mm, sizes.source_pt)
        lines = [" ".join(text for word in line.words for text, _ in word.parts) for line in broken]
        if self._measure_excess(lines[-1], right, width_mm, sizes) > 0:
            lines.append("")
        return [*((line, "") for line in lines[:-1]), (lines[-1], right)]

    def _measure_excess(self, left: str, right: str, width_mm: float, sizes: TypeSizes) -> float:
        gap = _LINE_GAP_MM if left and right else 0.0
        return _measure_line(left, sizes) + gap + _measure_line(right, sizes) - width_mm

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The rule and the lines."""
        return len(self._list_lines(width_mm, sizes)) * leading_mm(sizes.source_pt) + 0.9

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much the widest line is too wide."""
        lines = self._list_lines(width_mm, sizes)
        excess = [self._measure_excess(*pair, width_mm, sizes) for pair in lines]
        beside = _LINE_GAP_MM + _measure_line(lines[0][1], sizes)
        excess += [slot.width_mm + beside - width_mm for slot in self._open_slot(0, 0, sizes)]
        return max(0.0, *excess)

    def _open_slot(self, x: float, y: float, sizes: TypeSizes) -> list[Text]:
        face = FontFace.BOLD if self.slot is Slot.OWNER else FontFace.REGULAR
        widest = set_text(x, y, self.widest, face, sizes.source_pt, BLACK)
        return [open_slot(self.slot, widest)] if self.slot else []

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """A thin rule above the lines."""
        rule = Shape(rounded_rectangle(box.x, box.top - 0.2, box.width_mm, 0.2, 0), fill=BLACK)
        lines = self._list_lines(box.width_mm, sizes)
        items: list[Item] = [*self._open_slot(box.x, first_baseline(box.top - 0.9, sizes.source_pt), sizes)]
        for side, x, anchor in ((0, box.x, "start"), (1, box.right, "end")):
            baseline = first_baseline(box.top - 0.9, sizes.source_pt)
            for pair in lines:
                if pair[side]:
                    items.append(
                        set_text(x, baseline, pair[side], FontFace.REGULAR, sizes.source_pt, BLACK, anchor)
                    )
                baseline -= leading_mm(sizes.source_pt)
        return Element(
            Role.SECTION, (), (Element(Role.DECORATION, (rule,)), Element(Role.PARAGRAPH, tuple(items)))
        )

    def words(self) -> Words:
        """Each line as it stands."""
        return (Paragraph("\n".join(line for line in (*self._list_left(), *self.right) if line)),)


def _measure_line(text: str, sizes: TypeSizes) -> float:
    return set_text(0, 0, text, FontFace.REGULAR, sizes.source_pt, BLACK).width_mm
