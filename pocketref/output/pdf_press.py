"""What a file for the print shop says of itself: PDF/X-4 (ISO 15930-7), on one grey plate and on spot plates."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.pdfbase import pdfdoc

from pocketref.output.contents import inks_in, items_of, rasters_in
from pocketref.output.grey_profile import CONDITION, write_grey_profile
from pocketref.output.numbers import numbers
from pocketref.output.pdf_images import is_grey
from pocketref.pages.page import Document
from pocketref.scene.items import FormField, Ink, Item

_D50 = (0.9642, 1.0, 0.8249)
# IEC 61966-2-1, adapted from D65 to D50 (ICC.1, annex E): linear red, green and blue to XYZ.
_TO_XYZ = ((0.4361, 0.3851, 0.1431), (0.2225, 0.7169, 0.0606), (0.0139, 0.0971, 0.7141))


def fits_press(document: Document) -> bool:
    """Whether a document for the press may say that it is PDF/X-4 under an output intent of grey (6.2.4.3, 6.3).

    It may not if it prints process colours or a picture in colour, for which the intent would have to be
    another, or if it has fields to type into.
    """
    items = [item for page in document.pages for item in items_of(page.elements)]
    return (
        bool(document.press_day)
        and is_on_plates(items)
        and not any(isinstance(item, FormField) for item in items)
    )


def is_on_plates(items: Sequence[Item], *, spot: bool = True) -> bool:
    """Whether all is drawn in greys, pictures too, or in `spot` inks."""
    return all(
        (spot and ink.plate) or (not ink.plate and ink.cmyk[:3] == (0, 0, 0)) for ink in inks_in(items)
    ) and all(is_grey(raster) for raster in rasters_in(items))


def write_intent(doc: pdfdoc.PDFDocument) -> pdfdoc.PDFArray:
    """The output intent, with its profile in the file (ISO 32000-1, 14.11.5)."""
    stream = pdfdoc.PDFStream(pdfdoc.PDFDictionary({"N": 1}), write_grey_profile(), [pdfdoc.PDFZCompress])
    intent = {
        "Type": "/OutputIntent",
        "S": "/GTS_PDFX",
        "OutputConditionIdentifier": pdfdoc.PDFString("Custom"),
        "Info": pdfdoc.PDFString(CONDITION),
        "DestOutputProfile": doc.Reference(stream),
    }
    return pdfdoc.PDFArray([pdfdoc.PDFDictionary(intent)])


def write_lab_separation(ink: Ink, name: str) -> str:
    """A spot ink's colour space, told by CIE L*a*b* where there is no plate: no mix of inks is asked for (6.2.4.4)."""
    tint = (
        f"<< /FunctionType 2 /Domain [0 1] /N 1 /C0 [100 0 0] /C1 [{numbers(*convert_to_lab(ink.srgb))}] >>"
    )
    return f"[/Separation /{name} [/Lab << /WhitePoint [{' '.join(map(str, _D50))}] >>] {tint}]"


def convert_to_lab(srgb: str) -> tuple[float, float, float]:
    """L*, a*, b* (ISO/CIE 11664-4, under D50) of "#rrggbb"."""
    shares = [int(srgb[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    xyz = [sum(a * b for a, b in zip(row, linear, strict=True)) for row in _TO_XYZ]
    ratios = [value / white for value, white in zip(xyz, _D50, strict=True)]
    fx, fy, fz = (t ** (1 / 3) if t > (6 / 29) ** 3 else t * (29 / 6) ** 2 / 3 + 4 / 29 for t in ratios)
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)
