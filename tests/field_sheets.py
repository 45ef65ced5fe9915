"""The starter set's sheets as published, and a hand that types into them through pdfium's forms."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cache
from io import BytesIO
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium

from pocketref.edition.pdf_file import build_pdf
from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.source.library import Library, read_library
from pocketref.units.length import MM_PER_INCH, Length
from pocketref.units.notation import write_feet_inches

ROOT = Path(__file__).parents[1]
CONTENT, LAYOUTS = ROOT / "content", ROOT / "layouts"
LEVEL = "high-school-90-ft"


@cache
def library() -> Library:
    return read_library(CONTENT)


@cache
def layouts() -> Layouts:
    return read_layouts(LAYOUTS, library())


def lengths_of(level: str = LEVEL) -> dict[str, Length]:
    return {name: dimension.value for name, dimension in library().fields[level].dimensions.items()}


@cache
def plan_of(name: str, level: str = LEVEL) -> Plan:
    construct = construct_plate_area if name == "plate-area" else construct_diamond
    return construct(lengths_of(level))


@cache
def lay_out(name: str, paper: str = "") -> LaidOut:
    for card in layouts().cards:
        if card.card == name:
            return lay_out_card(card, library(), layouts())
    sheet = next(sheet for sheet in layouts().sheets if sheet.sheet == name)
    return lay_out_sheet(sheet, library(), layouts(), paper)


@cache
def publish(name: str, paper: str = "") -> bytes:
    """The PDF, read back as a publish does."""
    item = lay_out(name, paper)
    return build_pdf(name, item.document, item.floor_pt).data


def read_pulls(
    plan: Plan, moved_in: Mapping[str, tuple[float, float]], misread_in: Mapping[str, float] | None = None
) -> dict[str, str]:
    """What a tape reads, to 1/16 in, by pull: stations moved by inches, pulls misread by inches."""
    places = {}
    for mark, station in plan.stations.items():
        dx, dy = moved_in.get(mark, (0.0, 0.0))
        places[mark] = (station.x_mm / float(MM_PER_INCH) + dx, station.y_mm / float(MM_PER_INCH) + dy)
    read = {}
    for pull in pulls(plan):
        inches = math.dist(places[pull.from_station], places[pull.to_station])
        inches += (misread_in or {}).get(pull.name, 0.0)
        read[pull.name] = write_feet_inches(Length(Fraction(round(inches * 16), 16)))
    return read


def fill_sheet(data: bytes, values: Mapping[str, str]) -> bytes:
    """Type each value into the field of that name, as a viewer does, and save."""
    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    form = document.formenv.raw
    left = dict(values)
    for page in document:
        pdfium.FORM_OnAfterLoadPage(page.raw, form)
        for name, x, y in list(_find_fields(page.raw, form)):
            if name in left:
                _type(page.raw, form, x, y, left.pop(name))
        pdfium.FORM_OnBeforeClosePage(page.raw, form)
    assert not left, f"the sheet has no fields {sorted(left)}"
    saved = BytesIO()
    document.save(saved)
    document.close()
    # pdfium makes up half of the file's identifier anew each time; here it is the other half again.
    return re.sub(rb"/ID\[<(\w+)><\w+>\]", rb"/ID[<\1><\1>]", saved.getvalue())


def _find_fields(page: object, form: object) -> Iterator[tuple[str, float, float]]:
    for index in range(pdfium.FPDFPage_GetAnnotCount(page)):
        annotation = pdfium.FPDFPage_GetAnnot(page, index)
        length = pdfium.FPDFAnnot_GetFormFieldName(form, annotation, None, 0)
        units = (ctypes.c_ushort * (length // 2))()
        pdfium.FPDFAnnot_GetFormFieldName(form, annotation, units, length)
        rect = pdfium.FS_RECTF()
        pdfium.FPDFAnnot_GetRect(annotation, rect)
        pdfium.FPDFPage_CloseAnnot(annotation)
        yield (
            bytes(units).decode("utf-16-le").rstrip("\0"),
            (rect.left + rect.right) / 2,
            (rect.top + rect.bottom) / 2,
        )


def _type(page: object, form: object, x: float, y: float, words: str) -> None:
    pdfium.FORM_OnLButtonDown(form, page, 0, x, y)
    pdfium.FORM_OnLButtonUp(form, page, 0, x, y)
    encoded = (words + "\0").encode("utf-16-le")
    units = (ctypes.c_ushort * (len(encoded) // 2)).from_buffer_copy(encoded)
    pdfium.FORM_ReplaceSelection(form, page, units)
    pdfium.FORM_ForceToKillFocus(form)
