"""Reads a run's file back: on every page what is placed where, and what its slots say.

What pages place was read in full in the template, whose bytes the file begins with. So a page is read by its lines of
content: each different one operator by operator, once, and the strings in them on every page, by the fonts' own maps.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass
from io import BytesIO
from typing import Any

import pikepdf

from pocketref.output.pdf_run import SHOWN, RunPage, RunTemplate, lift_slots, read_unicode_map
from pocketref.output.reading.readback import read_pages
from pocketref.output.reading.readback_checks import BOX_TOLERANCE_MM, check_page
from pocketref.pages.page import Element, Page, Role
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.items import Placed
from pocketref.scene.typefaces import fill_slot
from pocketref.units.length import MM_PER_PT

_PAGE_KEYS = {"/Type", "/Parent", "/MediaBox", "/Contents"}


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


def check_print(
    data: bytes, template: RunTemplate, pages: Sequence[RunPage], floor_pt: float, seen: set[bytes]
) -> None:
    """Raise PocketrefError ("print-differs") unless the file's pages are these, line by line.

    Those that are first to place a scene that was added to the template are read in full, as any document's are;
    `seen` keeps what was, for the run's other files.
    """
    if not data.startswith(template.data):
        raise _refuse("what its pages share is not what was read back")
    with pikepdf.open(BytesIO(data), inherit_page_attributes=False) as pdf:
        reader, kids = _RunReader(pdf, template), list(pdf.Root.Pages.Kids)
        if len(kids) != len(pages):
            raise _refuse(f"it has {len(kids)} pages, not {len(pages)}")
        for number, (page, lines) in enumerate(zip(kids, pages, strict=True), 1):
            reader.check_page(page, lines, number)
    left = {name: content for name, content in template.added.items() if content not in seen}
    for index, lines in enumerate(pages if left else ()):
        new = left.keys() & {template.name_form(placed.scene) for placed, _ in lines}
        if new:
            seen.update([left.pop(name) for name in new])
            found = next(read_pages(data, index))
            if problems := check_page(found, _make_page(template, index, lines), floor_pt):
                raise PocketrefError(problems)
        if not left:
            break


def _refuse(sentence: str) -> PocketrefError:
    hint = "nothing was published; this is a fault in how the pages are made"
    return PocketrefError([Problem("print-differs", f"a run is not as it should be: {sentence}", hint)])


def _make_page(template: RunTemplate, index: int, lines: RunPage) -> Page:
    """A page as it must print."""
    elements = [
        Element(Role.FIGURE, (placed, *map(fill_slot, lift_slots(placed), said))) for placed, said in lines
    ]
    return Page(f"page {index + 1}", template.width_mm, template.height_mm, tuple(elements), template.safe)


class _RunReader:
    """Reads the pages of one open file."""

    def __init__(self, pdf: pikepdf.Pdf, template: RunTemplate) -> None:
        self._pdf = pdf
        self._template = template
        codes = {
            name: read_unicode_map(font)
            for name, font in pdf.Root.Pages.Resources.Font.items()
            if "/FontFile2" in font.FontDescriptor
        }
        self._papers: dict[tuple[int, int], bool] = {}
        self._pages: dict[int, tuple[int, int]] = {}
        self._fonts: dict[tuple[int, bytes], list[str]] = {}
        self._kinds: dict[tuple[object, ...], list[_Saying]] = {}
        self._sayings = {name: _Saying(codes, name) for name in codes}

    def check_page(self, page: pikepdf.Object, lines: RunPage, number: int) -> None:
        """Raise PocketrefError unless the page's content is these lines, on the paper of all pages."""
        if page.keys() != _PAGE_KEYS or not self._is_paper(page.MediaBox):
            raise _refuse(f"page {number} is not on the paper asked for")
        contents = page.Contents
        if self._pages.get(id(lines)) == contents.objgen:
            return
        self._pages[id(lines)] = contents.objgen
        *slots, end = [slot.partition(b"(") for slot in contents.read_bytes().split(SHOWN)]
        kind = (*[id(placed) for placed, _ in lines], *[head for head, _, _ in slots], end)
        sayings = self._kinds.get(kind)
        if sayings is None:
            blank = b"".join([head + b"(" + SHOWN for head, _, _ in slots]) + end[0]
            sayings = self._kinds[kind] = self._check_lines(blank, lines, number)
        said = [saying[codes] for saying, (_, _, codes) in zip(sayings, slots, strict=True)]
        wanted = [text for _, texts in lines for text in texts]
        if said != wanted:
            raise _refuse(f"page {number} says {said}, not {wanted}")

    def _is_paper(self, box: pikepdf.Object) -> bool:
        """Whether a page's MediaBox, which pages share, is as large as asked for."""
        if box.objgen not in self._papers:
            sides = (0.0, 0.0, self._template.width_mm, self._template.height_mm)
            edges = zip(map(float, box), sides, strict=True)
            self._papers[box.objgen] = all(
                abs(edge * MM_PER_PT - side) <= BOX_TOLERANCE_MM for edge, side in edges
            )
        return self._papers[box.objgen]

    def _check_lines(self, blank: bytes, lines: RunPage, number: int) -> list[_Saying]:
        """What reads each slot of a page. PocketrefError unless scenes and slots are in their places."""
        *found, end = blank.split(b"\n")
        if end or len(found) != len(lines):
            raise _refuse(f"page {number} shows {len(found)} scenes, not {len(lines)}")
        fonts: list[str] = []
        for line, (placed, _) in zip(found, lines, strict=True):
            key = (id(placed), line)
            if key not in self._fonts:
                self._fonts[key] = self._check_marks(line, placed, number)
            fonts += self._fonts[key]
        return [self._sayings[font] for font in fonts]

    def _check_marks(self, line: bytes, placed: Placed, number: int) -> list[str]:
        """The font that each slot begins in. PocketrefError unless the line places the scene and its slots as asked."""
        wanted = [
            _Mark(f"/{self._template.name_form(placed.scene)}", placed.x, placed.y, 90 * placed.quarter_turns)
        ]
        for slot in lift_slots(placed):
            font = self._template.fonts.main[slot.face]
            wanted.append(_Mark(font, slot.x, slot.y, slot.angle, slot.size_pt))
        found = self._read_marks(line)
        if len(found) != len(wanted) or not all(map(_Mark.agrees, found, wanted)):
            raise _refuse(f"page {number} shows {[*map(astuple, found)]}, not {[*map(astuple, wanted)]}")
        fonts = [mark.name for mark in found[1:]]
        if not self._sayings.keys() >= set(fonts):
            raise _refuse(f"page {number} is set in a font that is not embedded")
        return fonts

    def _read_marks(self, line: bytes) -> list[_Mark]:
        """The scene that a line places, and where its slots begin. PocketrefError if it does anything else."""
        read = [
            (str(each.operator), each.operands)
            for each in pikepdf.parse_content_stream(pikepdf.Stream(self._pdf, line))
            if str(each.operator) != "g"
        ]
        slots = list(zip(*[iter(read[3:-1])] * 5, strict=False))
        names = [name for name, _ in read]
        # The operators that place a form, and those that show a text (ISO 32000-1, annex A).
        wanted = [
            "q",
            "cm",
            "Do",
            *(each for slot in slots for each in ("BT", slot[1][0], "Tf", "Tj", "ET")),
            "Q",
        ]
        if names != wanted:
            raise _refuse(f"a page holds the operators {' '.join(names)}")
        outer = pikepdf.Matrix(*map(float, read[1][1]))
        marks = [_make_mark(read[2][1][0], outer, 0)]
        for _, (way, place), (_, (font, size)), _, _ in slots:
            matrix = {"Td": (1, 0, 0, 1, *place), "Tm": place}.get(way, ())
            marks.append(_make_mark(font, pikepdf.Matrix(*map(float, matrix)) @ outer, size))
        return marks


class _Saying(dict[bytes, str]):
    """What the strings of slots that begin in one font say, by their codes."""

    def __init__(self, fonts: Mapping[str, Mapping[int, str]], font: str) -> None:
        super().__init__()
        self._fonts, self._font = fonts, font

    def __missing__(self, codes: bytes) -> str:
        said, font = "", self._font
        for part in codes.split(b"("):
            shown, _, after = part.partition(b")")
            known = self._fonts[font]
            first, *escaped = shown.split(b"\\")  # as octal escapes of three digits
            plain = first + b"".join([bytes([int(each[:3], 8)]) + each[3:] for each in escaped])
            said += "".join([known.get(code, "\ufffd") for code in plain])
            if after:  # another font goes on
                font = after.split()[1].decode("ascii")
        self[codes] = said
        return said


def _make_mark(name: pikepdf.Object, matrix: pikepdf.Matrix, size_pt: Any) -> _Mark:
    angle = math.degrees(math.atan2(matrix.b, matrix.a))
    size = float(size_pt) * math.hypot(matrix.a, matrix.b)
    return _Mark(str(name), matrix.e * MM_PER_PT, matrix.f * MM_PER_PT, angle, size)
