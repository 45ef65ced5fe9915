"""Reads a PDF back as it prints, by pdfium's walk over page objects, through nested, turned and scaled forms.

It knows nothing of how the file was written: positions, sizes and fonts come from the finished bytes alone.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pypdfium2.raw as pdfium

from pocketref.output.reading.printed import (
    Point,
    PrintedDocument,
    PrintedImage,
    PrintedPage,
    PrintedPath,
    PrintedText,
)
from pocketref.pages.page import Box
from pocketref.units.length import MM_PER_PT

Matrix = tuple[float, float, float, float, float, float]

_UPRIGHT: Matrix = (MM_PER_PT, 0.0, 0.0, MM_PER_PT, 0.0, 0.0)  # from PDF's points to millimetres
_HYPHEN = "\x02"  # what pdfium says for a hyphen at the end of a line
_REPEAT_EM = 0.15  # pdfium takes a run for a repetition if it lies closer than about this to its twin
_TEXT_UNITS = 4096
_ARTIFACT = "Artifact\0".encode("utf-16-le")


def read_pdf(data: bytes) -> PrintedDocument:
    """Everything that is on the pages. ValueError if the bytes are not a PDF that opens unlocked."""
    return PrintedDocument(tuple(read_pages(data)))


def read_pages(data: bytes, first: int = 0) -> Iterator[PrintedPage]:
    """The pages from `first` on one by one, for files too long to hold whole. ValueError as for `read_pdf`."""
    document = pdfium.FPDF_LoadMemDocument64(data, len(data), None)
    if not document:
        raise ValueError("these bytes cannot be read as a PDF")
    try:
        for index in range(first, pdfium.FPDF_GetPageCount(document)):
            with _open_page(document, index) as (page, text_page):
                yield _PageReader(page, text_page).read()
    finally:
        pdfium.FPDF_CloseDocument(document)


@contextmanager
def _open_page(document: Any, index: int) -> Iterator[tuple[Any, Any]]:
    page = pdfium.FPDF_LoadPage(document, index)
    if not page:
        raise ValueError(f"page {index + 1} cannot be read")
    text_page = pdfium.FPDFText_LoadPage(page)
    try:
        yield page, text_page
    finally:
        pdfium.FPDFText_ClosePage(text_page)
        pdfium.FPDF_ClosePage(page)


def _multiply(inner: Matrix, outer: Matrix) -> Matrix:
    """The matrix that applies `inner`, then `outer` (row vectors, as in PDF)."""
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _apply(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _apply_to_box(matrix: Matrix, *edges: float) -> tuple[float, float, float, float]:
    """The upright box around a box (left, bottom, right, top) that is moved, scaled and turned."""
    left, bottom, right, top = edges
    a, b, c, d, e, f = matrix
    if b == c == 0 and a > 0 and d > 0 and left <= right and bottom <= top:  # as nearly all are
        return a * left + e, d * bottom + f, a * right + e, d * top + f
    corners = [_apply(matrix, x, y) for x in (left, right) for y in (bottom, top)]
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


class _PageReader:
    """Walks the objects of one open page."""

    def __init__(self, page: Any, text_page: Any) -> None:
        self._page = page
        self._text_page = text_page
        self._texts: list[PrintedText] = []
        self._paths: list[PrintedPath] = []
        self._images: list[PrintedImage] = []
        self._fonts: dict[int, tuple[str, bool]] = {}
        self._matrix = pdfium.FS_MATRIX()
        self._quad = pdfium.FS_QUADPOINTSF()
        self._edges = [ctypes.c_float() for _ in range(4)]
        self._units = (ctypes.c_ushort * _TEXT_UNITS)()

    def read(self) -> PrintedPage:
        """The page's boxes and everything on it."""
        for index in range(pdfium.FPDFPage_CountObjects(self._page)):
            self._read_object(pdfium.FPDFPage_GetObject(self._page, index), _UPRIGHT, is_artifact=False)
        media = self._read_box(pdfium.FPDFPage_GetMediaBox, self._read_size())
        crop = self._read_box(pdfium.FPDFPage_GetCropBox, media)
        return PrintedPage(
            media=media,
            crop=crop,
            trim=self._read_box(pdfium.FPDFPage_GetTrimBox, crop),
            bleed=self._read_box(pdfium.FPDFPage_GetBleedBox, crop),
            texts=tuple(self._texts),
            paths=tuple(self._paths),
            images=tuple(self._images),
        )

    def _read_size(self) -> Box:
        """The page as large as it is shown: its MediaBox, where it inherits that (ISO 32000-1, 7.7.3.4)."""
        width, height = pdfium.FPDF_GetPageWidthF(self._page), pdfium.FPDF_GetPageHeightF(self._page)
        return Box(0.0, 0.0, width * MM_PER_PT, height * MM_PER_PT)

    def _read_box(self, getter: Callable[..., int], default: Box) -> Box:
        """A page box in mm; one that the page does not state is `default` (ISO 32000-1, 14.11.2)."""
        if not getter(self._page, *self._edges):
            return default
        left, bottom, right, top = (edge.value * MM_PER_PT for edge in self._edges)
        return Box(left, bottom, right - left, top - bottom)

    def _read_object(self, item: Any, outer: Matrix, *, is_artifact: bool) -> None:
        kind = pdfium.FPDFPageObj_GetType(item)
        if kind == pdfium.FPDF_PAGEOBJ_TEXT:
            self._texts.append(self._read_text(item, outer))
        elif kind == pdfium.FPDF_PAGEOBJ_PATH:
            self._read_path(item, outer, is_artifact or _is_artifact(item))
        elif kind == pdfium.FPDF_PAGEOBJ_IMAGE:
            self._read_image(item, outer, is_artifact or _is_artifact(item))
        elif kind == pdfium.FPDF_PAGEOBJ_FORM:
            is_artifact = is_artifact or _is_artifact(item)
            inner = _multiply(self._read_matrix(item), outer)
            for index in range(pdfium.FPDFFormObj_CountObjects(item)):
                self._read_object(pdfium.FPDFFormObj_GetObject(item, index), inner, is_artifact=is_artifact)

    def _read_matrix(self, item: Any) -> Matrix:
        m = self._matrix
        pdfium.FPDFPageObj_GetMatrix(item, m)
        return m.a, m.b, m.c, m.d, m.e, m.f

    def _read_text(self, item: Any, outer: Matrix) -> PrintedText:
        a, b, c, d, e, f = _multiply(self._read_matrix(item), outer)
        size = self._edges[0]
        pdfium.FPDFTextObj_GetFontSize(item, size)
        size_pt = size.value * math.hypot(c, d) / MM_PER_PT
        quad = self._quad
        pdfium.FPDFPageObj_GetRotatedBounds(item, quad)
        corners = (
            _apply(outer, quad.x1, quad.y1),
            _apply(outer, quad.x2, quad.y2),
            _apply(outer, quad.x3, quad.y3),
            _apply(outer, quad.x4, quad.y4),
        )
        font, is_embedded = self._read_font(item)
        angle = math.degrees(math.atan2(b, a))
        text = PrintedText(self._read_content(item), e, f, size_pt, angle, font, is_embedded, corners)
        return text if text.content or not text.has_ink else self._restore_content(text)

    def _read_content(self, item: Any) -> str:
        length = pdfium.FPDFTextObj_GetText(item, self._text_page, self._units, _TEXT_UNITS)
        if length > 2 * _TEXT_UNITS:
            self._units = (ctypes.c_ushort * length)()
            length = pdfium.FPDFTextObj_GetText(item, self._text_page, self._units, length)
        content = bytes(memoryview(self._units).cast("B")[: max(length - 2, 0)]).decode("utf-16-le")
        return content.replace(_HYPHEN, "-").rstrip(" ")

    def _restore_content(self, text: PrintedText) -> PrintedText:
        """The run with the characters of the one that it repeats in the same place: pdfium gives it none."""
        for other in reversed(self._texts):
            apart_pt = math.hypot(text.x - other.x, text.y - other.y) / MM_PER_PT
            if other.font == text.font and apart_pt < _REPEAT_EM * text.size_pt:
                return replace(text, content=other.content)
        return text

    def _read_font(self, item: Any) -> tuple[str, bool]:
        font = pdfium.FPDFTextObj_GetFont(item)
        address = ctypes.addressof(font.contents)
        if address not in self._fonts:
            buffer = ctypes.create_string_buffer(256)
            pdfium.FPDFFont_GetBaseFontName(font, buffer, 256)
            name = buffer.value.decode("utf-8", "replace")
            self._fonts[address] = (name, pdfium.FPDFFont_GetIsEmbedded(font) == 1)
        return self._fonts[address]

    def _read_path(self, item: Any, outer: Matrix, is_artifact: bool) -> None:
        fill, stroked = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDFPath_GetDrawMode(item, fill, stroked)
        if not fill.value and not stroked.value:
            return
        pdfium.FPDFPageObj_GetBounds(item, *self._edges)
        left, bottom, right, top = (edge.value for edge in self._edges)
        width = 0.0
        if stroked.value:
            pdfium.FPDFPageObj_GetStrokeWidth(item, self._edges[0])
            width = self._edges[0].value  # pdfium pads a stroked path's bounds by this much on every side
        extent = _apply_to_box(outer, left + width, bottom + width, right - width, top - width)
        scale = math.sqrt(abs(outer[0] * outer[3] - outer[1] * outer[2]))
        self._paths.append(PrintedPath(extent, width * scale, is_artifact))

    def _read_image(self, item: Any, outer: Matrix, is_artifact: bool) -> None:
        """An image fills the unit square that its matrix puts in place (ISO 32000-1, 8.9.5.1)."""
        matrix = _multiply(self._read_matrix(item), outer)
        xs, ys = zip(*[_apply(matrix, x, y) for x in (0, 1) for y in (0, 1)], strict=True)
        self._images.append(PrintedImage((min(xs), min(ys), max(xs), max(ys)), is_artifact))


def _is_artifact(item: Any) -> bool:
    """Whether the object stands in marked content with the tag Artifact (ISO 32000-1, 14.8.2.2)."""
    count = pdfium.FPDFPageObj_CountMarks(item)
    if not count:
        return False
    buffer = ctypes.create_string_buffer(2 * 64)
    length = ctypes.c_ulong()
    for index in range(count):
        mark = pdfium.FPDFPageObj_GetMark(item, index)
        name = ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))
        if pdfium.FPDFPageObjMark_GetName(mark, name, len(buffer), length) and buffer.raw.startswith(
            _ARTIFACT
        ):
            return True
    return False
