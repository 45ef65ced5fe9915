"""Reads a run's files back: on every page what is placed where, and what its slots say.

What pages place was read in full in the template, whose bytes each file begins with. So a page is read by its lines of
content: each different one operator by operator, once, and the strings in them on every page, by the fonts' own maps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from itertools import zip_longest
from typing import Any

import pikepdf

from pocketref.output.pdf_run import SHOWN, RunPage, RunTemplate, lift_slots, read_unicode_map
from pocketref.output.reading.readback import read_pages
from pocketref.output.reading.readback_checks import BOX_TOLERANCE_MM, SIZE_TOLERANCE_PT, check_page
from pocketref.pages.page import Element, Page, Role
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.items import Placed
from pocketref.scene.typefaces import fill_slot
from pocketref.units.length import MM_PER_PT
from pocketref.words.terminal import tell

_PAGE_KEYS = 3
"""A page's type, its parent and its content: all else it inherits."""


@dataclass(frozen=True, slots=True)
class _Mark:
    """A form, or the start of a text: its resource name, its place in mm, its turn in degrees, its type size."""

    name: str
    x: float
    y: float
    angle: float
    size_pt: float = 0.0

    def agrees(self, other: _Mark) -> bool:
        """Whether both would print alike."""
        turned = abs((self.angle - other.angle + 180) % 360 - 180)
        apart = max(abs(self.x - other.x), abs(self.y - other.y), abs(self.size_pt - other.size_pt), turned)
        return self.name == other.name and apart <= BOX_TOLERANCE_MM


class RunReader:
    """Reads the files that are made from one template; what it has read once it knows in the next file."""

    def __init__(self, template: RunTemplate, floor_pt: float) -> None:
        self._template, self._floor_pt = template, floor_pt
        self._read: set[bytes] = set()
        self._fonts: dict[tuple[int, bytes], tuple[list[str], Placed]] = {}
        self._blank = pikepdf.new()
        with _open(template.data) as pdf:
            self._maps = {
                name: dict.fromkeys(range(256), "�") | dict(read_unicode_map(font))
                for name, font in pdf.Root.Pages.Kids[0].Resources.Font.items()
                if "/FontFile2" in font.FontDescriptor
            }

    def check(self, data: bytes, template: RunTemplate, pages: Sequence[RunPage]) -> None:
        """Raise PocketrefError ("print-differs") unless the file's pages are these, line by line.

        `template` is the reader's, maybe with scenes added: a page that is first to place one of them is read in full,
        as those of any document are.
        """
        if not data.startswith(self._template.data):
            raise _refuse(tell("what its pages share is not what was read back"))
        with _open(data) as pdf:
            self._check_shared(pdf, template)
            kids = list(pdf.Root.Pages.Kids)
            if len(kids) != len(pages):
                raise _refuse(tell("it has {count} pages, not {count2}", count=len(kids), count2=len(pages)))
            self._check_pages(kids, template, pages)
        left = {name: content for name, content in template.added.items() if content not in self._read}
        for index, lines in enumerate(pages if left else ()):
            new = left.keys() & {template.name_form(placed.scene) for placed, _ in lines}
            if new:
                self._read.update([left.pop(name) for name in new])
                self._check_in_full(data, template, index, lines)
            if not left:
                break

    def _check_shared(self, pdf: pikepdf.Pdf, template: RunTemplate) -> None:
        """Raise PocketrefError unless all pages are on the right paper and take forms and fonts from the template."""
        tree = pdf.Root.Pages
        sides = (0.0, 0.0, template.width_mm, template.height_mm)
        edges = zip(map(float, tree.MediaBox), sides, strict=True)
        if not all(abs(edge * MM_PER_PT - side) <= BOX_TOLERANCE_MM for edge, side in edges):
            raise _refuse(tell("its paper is not the one asked for"))
        shared = [font for _, font in tree.Resources.Font.items()]
        own = [name for name in template.forms.values() if name not in template.added]
        shared += [tree.Resources.XObject[f"/{name}"] for name in own]
        if not all(0 < each.objgen[0] < template.objects for each in shared):
            raise _refuse(tell("it does not use what was read back"))

    def _check_in_full(self, data: bytes, template: RunTemplate, index: int, lines: RunPage) -> None:
        found = next(read_pages(data, index))
        elements = [
            Element(Role.FIGURE, (placed, *map(fill_slot, lift_slots(placed), said)))
            for placed, said in lines
        ]
        size = (template.width_mm, template.height_mm)
        wanted = Page(f"page {index + 1}", *size, tuple(elements), template.safe)
        problems = check_page(found, wanted, self._floor_pt)
        # Names and numbers may look like fractions, which measures set larger.
        faults = [each.sentence for each in problems if each.code != "text-too-small"]
        faults += [run.content for run in found.texts if run.size_pt < self._floor_pt - SIZE_TOLERANCE_PT]
        if faults:
            raise _refuse(faults[0])

    def _check_pages(
        self, kids: Sequence[pikepdf.Object], template: RunTemplate, pages: Sequence[RunPage]
    ) -> None:
        """Raise PocketrefError unless each page's content is its lines, and all else is as on all pages."""
        say = cache(self._say)
        streams: dict[int, tuple[int, int]] = {}
        kinds: dict[tuple[object, ...], list[str]] = {}
        for number, (page, lines) in enumerate(zip(kids, pages, strict=True), 1):
            if len(page) != _PAGE_KEYS:
                raise _refuse(tell("page {number} does not take its paper from all pages", number=number))
            contents = page.Contents
            if streams.get(id(lines)) == contents.objgen:
                continue
            streams[id(lines)] = contents.objgen
            *slots, end = [slot.partition(b"(") for slot in contents.read_bytes().split(SHOWN)]
            kind = (*[id(placed) for placed, _ in lines], *[head for head, _, _ in slots], end)
            fonts = kinds.get(kind)
            if fonts is None:
                blank = b"".join([head + b"(" + SHOWN for head, _, _ in slots]) + end[0]
                fonts = kinds[kind] = self._check_lines(blank, template, lines, number)
            said = [say(font, codes) for font, (_, _, codes) in zip(fonts, slots, strict=True)]
            wanted = [text for _, texts in lines for text in texts]
            if said != wanted:
                raise _refuse(
                    tell("page {number} says {said}, not {wanted}", number=number, said=said, wanted=wanted)
                )

    def _check_lines(self, blank: bytes, template: RunTemplate, lines: RunPage, number: int) -> list[str]:
        """The font that each slot of a page begins in. PocketrefError unless scenes and slots are in their places."""
        *found, end = blank.split(b"\n")
        if end or len(found) != len(lines):
            raise _refuse(
                tell(
                    "page {number} shows {count} scenes, not {count2}",
                    number=number,
                    count=len(found),
                    count2=len(lines),
                )
            )
        fonts: list[str] = []
        for line, (placed, _) in zip(found, lines, strict=True):
            key = (id(placed), line)
            if key not in self._fonts:
                self._fonts[key] = self._check_marks(line, template, placed, number), placed
            fonts += self._fonts[key][0]
        return fonts

    def _check_marks(self, line: bytes, template: RunTemplate, placed: Placed, number: int) -> list[str]:
        """The font that each slot begins in. PocketrefError unless the line places the scene and its slots as asked."""
        form = f"/{template.name_form(placed.scene)}"
        wanted = [_Mark(form, placed.x, placed.y, 90 * placed.quarter_turns)]
        for slot in lift_slots(placed):
            font = template.fonts.main[slot.face]
            wanted.append(_Mark(font, slot.x, slot.y, slot.angle, slot.size_pt))
        found = self._read_marks(line)
        for got, asked in zip_longest(found, wanted):
            if got is None or asked is None or not got.agrees(asked):
                raise _refuse(
                    tell("page {number} has {got}, not {asked}", number=number, got=got, asked=asked)
                )
        fonts = [mark.name for mark in found[1:]]
        if not self._maps.keys() >= set(fonts):
            raise _refuse(tell("page {number} is set in a font that is not embedded", number=number))
        return fonts

    def _read_marks(self, line: bytes) -> list[_Mark]:
        """The scene that a line places, and where its slots begin. PocketrefError if it does anything else."""
        stream = pikepdf.Stream(self._blank, line)
        read = [(str(each.operator), each.operands) for each in pikepdf.parse_content_stream(stream)]
        read = [each for each in read if each[0] not in ("g", "Tw")]
        slots = list(zip(*[iter(read[3:-1])] * 5, strict=False))
        names = [name for name, _ in read]
        # The operators that place a form, and those that show a text (ISO 32000-1, annex A).
        shown = (each for slot in slots for each in ("BT", slot[1][0], "Tf", "Tj", "ET"))
        if names != ["q", "cm", "Do", *shown, "Q"]:
            raise _refuse(tell("a page holds the operators {names}", names=" ".join(names)))
        outer = pikepdf.Matrix(*map(float, read[1][1]))
        marks = [_make_mark(read[2][1][0], outer, 0)]
        for _, (way, place), (_, (font, size)), _, _ in slots:
            matrix = {"Td": (1, 0, 0, 1, *place), "Tm": place}.get(way, ())
            marks.append(_make_mark(font, pikepdf.Matrix(*map(float, matrix)) @ outer, size))
        return marks

    def _say(self, font: str, codes: bytes) -> str:
        """What the strings of a slot that begins in a font say."""
        said = ""
        for part in codes.split(b"("):
            shown, _, after = part.partition(b")")
            first, *escaped = shown.split(b"\\")  # as octal escapes of three digits
            plain = first + b"".join([bytes([int(each[:3], 8)]) + each[3:] for each in escaped])
            said += plain.decode("latin-1").translate(self._maps[font])
            if after:  # another font goes on
                font = after.split()[1].decode("ascii")
        return said


def _open(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(data), inherit_page_attributes=False)


def _refuse(sentence: str) -> PocketrefError:
    hint = tell("nothing was published; this is a fault in how the pages are made")
    return PocketrefError(
        [Problem("print-differs", tell("a run is not as it should be: {sentence}", sentence=sentence), hint)]
    )


def _make_mark(name: pikepdf.Object, matrix: pikepdf.Matrix, size_pt: Any) -> _Mark:
    angle = math.degrees(math.atan2(matrix.b, matrix.a))
    size = float(size_pt) * math.hypot(matrix.a, matrix.b)
    return _Mark(str(name), matrix.e * MM_PER_PT, matrix.f * MM_PER_PT, angle, size)
