"""Judges what was printed against what was asked for: sizes, boxes, fonts, type, safe area, overlaps."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from pocketref.output.contents import items_of, rasters_in, texts_in
from pocketref.output.reading.printed import PrintedDocument, PrintedPage, PrintedText
from pocketref.pages.page import Box, Document, Page
from pocketref.problems import Problem
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.units.length import MM_PER_PT
from pocketref.units.notation import has_fraction
from pocketref.words.terminal import tell

BOX_TOLERANCE_MM = 0.01
SAFE_TOLERANCE_MM = 0.01
_OVERHANG_EM = 0.09
"""How far marks of letters, such as those of ï and at most that of ď, reach out of the width that these are set in."""
OVERLAP_TOLERANCE_MM = 0.05
TRIM_TOLERANCE_MM = 0.05
SIZE_TOLERANCE_PT = 0.005


def check_document(printed: PrintedDocument, document: Document, floor_pt: float) -> list[Problem]:
    """Every way in which the printed pages are not the pages asked for; empty if they are.

    `floor_pt` is the smallest type the document may be set in. A problem names its page; its code tells the
    check: page-count, page-size, page-blank, font-not-embedded, text-too-small, text-outside-safe,
    drawing-outside-trim, text-overlap, glyph-missing, text-differs, image-missing.
    """
    if len(printed.pages) != len(document.pages):
        sentence = tell(
            "{title}: {count} pages were sent and {count2} printed",
            title=document.title,
            count=len(document.pages),
            count2=len(printed.pages),
        )
        return [_found("page-count", sentence)]
    problems: list[Problem] = []
    for found, page in zip(printed.pages, document.pages, strict=True):
        problems += check_page(found, page, floor_pt)
    return problems


def check_page(printed: PrintedPage, page: Page, floor_pt: float) -> list[Problem]:
    """As `check_document`, for one page."""
    return [
        *_check_boxes(printed, page),
        *_check_ink(printed, page),
        *_check_fonts(printed, page),
        *_check_sizes(printed, page, floor_pt),
        *_check_safe(printed, page),
        *_check_trim(printed, page),
        *_check_overlaps(printed, page),
        *_check_words(printed, page),
        *_check_images(printed, page),
    ]


def _found(code: str, sentence: str) -> Problem:
    return Problem(
        code, sentence, tell("the file was not published; this is a fault in how the page is laid out")
    )


def _check_boxes(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    media = Box(0, 0, page.width_mm, page.height_mm)
    for name, found, asked in (
        ("MediaBox", printed.media, media),
        ("CropBox", printed.crop, media),
        ("TrimBox", printed.trim, page.trim or media),
        ("BleedBox", printed.bleed, page.bleed or media),
    ):
        edges = zip(_edges(found), _edges(asked), strict=True)
        if any(abs(a - b) > BOX_TOLERANCE_MM for a, b in edges):
            shown = f"{found.width_mm:.3f} by {found.height_mm:.3f} mm at ({found.x:.3f}, {found.y:.3f})"
            wanted = f"{asked.width_mm:.3f} by {asked.height_mm:.3f} mm at ({asked.x:.3f}, {asked.y:.3f})"
            yield _found(
                "page-size",
                tell(
                    "{name}: the {name2} is {shown}, not {wanted}",
                    name=page.name,
                    name2=name,
                    shown=shown,
                    wanted=wanted,
                ),
            )


def _edges(box: Box) -> tuple[float, float, float, float]:
    return box.x, box.y, box.right, box.top


def _check_ink(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    if not printed.has_ink:
        yield _found("page-blank", tell("{name}: nothing is printed on the page", name=page.name))


def _check_fonts(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    for font in dict.fromkeys(text.font for text in printed.texts if not text.is_embedded):
        yield _found(
            "font-not-embedded", tell("{name}: the font {font} is not embedded", name=page.name, font=font)
        )


def _check_sizes(printed: PrintedPage, page: Page, floor_pt: float) -> Iterator[Problem]:
    """Every run must be as large as the floor, and fractions as much larger as their figures need."""
    for text in printed.texts:
        least_pt = floor_pt
        if has_fraction(text.content):
            least_pt *= typeface(FontFace.REGULAR).fraction_scale
        if text.has_ink and text.size_pt < least_pt - SIZE_TOLERANCE_PT:
            sentence = tell(
                "{name}: {content!r} is {size_pt:.2f} pt, below the floor of {least_pt:.2f} pt",
                name=page.name,
                content=text.content,
                size_pt=text.size_pt,
                least_pt=least_pt,
            )
            yield _found("text-too-small", sentence)


def _check_safe(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    for text in printed.texts:
        excess = _excess_mm(text.extent, page.safe)
        if text.has_ink and excess > SAFE_TOLERANCE_MM + _measure_overhang(text):
            yield _found(
                "text-outside-safe",
                tell(
                    "{name}: {content!r} is {excess:.2f} mm outside the safe area",
                    name=page.name,
                    content=text.content,
                    excess=excess,
                ),
            )


def _measure_overhang(text: PrintedText) -> float:
    """How far marks on a run's outermost letters may stick out of it, mm."""
    ends = text.content.strip()
    is_marked = any(len(unicodedata.normalize("NFD", letter)) > 1 for letter in (*ends[:1], *ends[-1:]))
    return _OVERHANG_EM * text.size_pt * MM_PER_PT if is_marked else 0.0


def _check_trim(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    """What says something must not be cut off; decoration may, and half the pen of a frame on the trim."""
    trim = page.trim or Box(0, 0, page.width_mm, page.height_mm)
    drawn = [("a path", path.extent) for path in printed.paths if not path.is_artifact]
    drawn += [("an image", image.extent) for image in printed.images if not image.is_artifact]
    for what, extent in drawn:
        excess = _excess_mm(extent, trim)
        if excess > TRIM_TOLERANCE_MM:
            left, bottom, right, top = extent
            place = f"from ({left:.1f}, {bottom:.1f}) to ({right:.1f}, {top:.1f}) mm"
            yield _found(
                "drawing-outside-trim",
                tell(
                    "{name}: {what} {place} is {excess:.2f} mm outside the trim",
                    name=page.name,
                    what=what,
                    place=place,
                    excess=excess,
                ),
            )


def _excess_mm(extent: tuple[float, float, float, float], box: Box) -> float:
    """How far the extent reaches outside the box; negative if it stays inside."""
    left, bottom, right, top = extent
    return max(box.x - left, box.y - bottom, right - box.right, top - box.top)


def _check_overlaps(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    """Pairs of runs whose ink boxes meet, found by sweeping from left to right."""
    boxed = sorted(((text.extent, text) for text in printed.texts if text.has_ink), key=lambda pair: pair[0])
    for index, (extent, text) in enumerate(boxed):
        for other_extent, other in boxed[index + 1 :]:
            if other_extent[0] >= extent[2]:
                break
            if other_extent[1] >= extent[3] or other_extent[3] <= extent[1]:
                continue
            depth = overlap_mm(text, other)
            if depth > OVERLAP_TOLERANCE_MM:
                sentence = tell(
                    "{name}: {content!r} and {content2!r} overlap by {depth:.2f} mm",
                    name=page.name,
                    content=text.content,
                    content2=other.content,
                    depth=depth,
                )
                yield _found("text-overlap", sentence)


def overlap_mm(one: PrintedText, other: PrintedText) -> float:
    """How deep two turned ink boxes lie in each other: 0 or less if some line parts them.

    By the separating axis theorem, over the edge directions of both boxes.
    """
    depth = math.inf
    for (ax, ay), (bx, by), _, (dx, dy) in (one.corners, other.corners):
        for ux, uy in ((bx - ax, by - ay), (dx - ax, dy - ay)):
            length = math.hypot(ux, uy)
            if length == 0:
                continue
            first = [(x * ux + y * uy) / length for x, y in one.corners]
            second = [(x * ux + y * uy) / length for x, y in other.corners]
            depth = min(depth, max(first) - min(second), max(second) - min(first))
    return depth


def _check_words(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    """The runs must say what was sent, in the order sent, all of it and no more. The first fault is told.

    A reader leaves out a glyph that stands for no character, so a run that has lost some has printed them as
    .notdef boxes.
    """
    sent = [
        content
        for content in (_squash(text.content) for text in texts_in(items_of(page.elements)))
        if content
    ]
    runs = [_squash(text.content) for text in printed.texts if text.has_ink]
    for wanted, got in zip_longest(sent, _join_pieces(runs, sent), fillvalue=""):
        if wanted == got:
            continue
        if got and _is_subsequence(got, wanted):
            lost = "".join(character for character in wanted if character not in got)
            sentence = tell(
                "{name}: {wanted!r} is printed as {got!r}, with empty boxes for {lost!r}",
                name=page.name,
                wanted=wanted,
                got=got,
                lost=lost,
            )
            yield _found("glyph-missing", sentence)
        else:
            yield _found(
                "text-differs",
                tell(
                    "{name}: {got!r} is printed where {wanted!r} was sent",
                    name=page.name,
                    got=got,
                    wanted=wanted,
                ),
            )
        return


def _check_images(printed: PrintedPage, page: Page) -> Iterator[Problem]:
    sent = len(list(rasters_in(items_of(page.elements))))
    if len(printed.images) != sent:
        sentence = tell(
            "{name}: {count} images are printed where {sent} were sent",
            name=page.name,
            count=len(printed.images),
            sent=sent,
        )
        yield _found("image-missing", sentence)


def _is_subsequence(short: str, full: str) -> bool:
    rest = iter(full)
    return all(character in rest for character in short)


def _join_pieces(pieces: Sequence[str], sent: Sequence[str]) -> list[str]:
    """Pieces of one text put together again: a text set from two subsets of a font prints as two runs."""
    joined: list[str] = []
    rest = iter(pieces)
    for wanted in sent:
        got = next(rest, "")
        while got != wanted and wanted.startswith(got):
            piece = next(rest, "")
            if not piece:
                break
            got += piece
        joined.append(got)
    return [*joined, *rest]


def _squash(content: str) -> str:
    """The text without spaces, in compatibility form and with fractions spelt, as it survives every reader alike."""
    return "".join(unicodedata.normalize("NFKC", content).replace("⁄", "/").split())
