"""Form fields to type into (ISO 32000-1, 12.7): text and checkboxes over the boxes drawn on the page."""

from __future__ import annotations

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from pocketref.output.font_subsets import subset_font
from pocketref.output.numbers import number, numbers
from pocketref.output.pdf_fonts import write_unicode_map
from pocketref.scene.items import FontFace, FormField
from pocketref.scene.typefaces import typeface
from pocketref.units.length import PT_PER_MM

_LINES_FOR_MULTILINE = 2.4  # a box this many type sizes high takes more than one line
_MULTILINE = 1 << 12
_PRINTED = 1 << 2
_FONT = "Typed"
_NONSYMBOLIC = 1 << 5
# The two strokes of a tick, in shares of its box.
_TICK = ((0.2, 0.5), (0.42, 0.24), (0.82, 0.8))
# ISO 32000-1, annex D: the codes that WinAnsiEncoding gives a character of its own.
_CODES = {
    code: bytes([code]).decode("cp1252")
    for code in range(0x20, 0x100)
    if code not in (0x7F, 0x81, 0x8D, 0x8F, 0x90, 0x9D)
}


class FormFields:
    """The fields of one document, and the font that is embedded for what will be typed into them."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas, self._doc = canvas, canvas._doc
        self._fields: dict[str, pdfdoc.PDFObjectReference] = {}
        self._drawn: dict[bytes, pdfdoc.PDFObjectReference] = {}

    def add(self, blank: FormField) -> tuple[pdfdoc.PDFDictionary, pdfdoc.PDFObjectReference]:
        """Put the blank's widget on the current page; the widget and its reference.

        The widget has no border or fill of its own: the page draws the box, so that it prints from any viewer.
        ValueError if a field of the document has its name.
        """
        if blank.name in self._fields:
            raise ValueError(f"two form fields have the name {blank.name!r}")
        entries = self._write_tick(blank) if blank.kind == "checkbox" else self._write_text(blank)
        widget = pdfdoc.PDFDictionary(
            {
                "Type": "/Annot",
                "Subtype": "/Widget",
                "T": pdfdoc.PDFString(blank.name),
                "TU": pdfdoc.PDFString(blank.tooltip),
                "F": _PRINTED,
                "P": self._doc.thisPageRef(),
                **entries,
            }
        )
        self._canvas._addAnnotation(widget)
        self._fields[blank.name] = self._canvas._annotationrefs[-1]
        return widget, self._fields[blank.name]

    def finish(self) -> pdfdoc.PDFDictionary | None:
        """The form's entry in the catalog; None if there are no fields."""
        if not self._fields:
            return None
        entries = {"Fields": pdfdoc.PDFArray([*self._fields.values()])}
        if self._doc.idToObject.get(_FONT):
            font = pdfdoc.PDFDictionary({_FONT: pdfdoc.PDFObjectReference(_FONT)})
            entries |= {
                "DR": pdfdoc.PDFDictionary({"Font": font}),
                "DA": pdfdoc.PDFString(f"/{_FONT} 0 Tf 0 g"),
            }
        return pdfdoc.PDFDictionary(entries)

    def _write_text(self, blank: FormField) -> dict[str, object]:
        if _FONT not in self._doc.idToObject:
            self._doc.Reference(_write_font(self._doc), _FONT)
        sides = blank.width_mm * PT_PER_MM, blank.height_mm * PT_PER_MM
        is_tall = sides[1] >= _LINES_FOR_MULTILINE * blank.size_pt
        return {
            "FT": "/Tx",
            "Ff": _MULTILINE if is_tall else 0,
            "V": pdfdoc.PDFString(""),
            "DV": pdfdoc.PDFString(""),
            "DA": pdfdoc.PDFString(f"/{_FONT} {number(blank.size_pt)} Tf 0 g"),
            "Rect": _write_box(blank.x * PT_PER_MM, blank.y * PT_PER_MM, *sides),
            "AP": pdfdoc.PDFDictionary({"N": self._draw(b"/Tx BMC EMC\n", *sides)}),
        }

    def _write_tick(self, blank: FormField) -> dict[str, object]:
        width, height = blank.width_mm * PT_PER_MM, blank.height_mm * PT_PER_MM
        size = min(width, height)
        (a, b), *rest = [(x * size, y * size) for x, y in _TICK]
        lines = " ".join(f"{numbers(x, y)} l" for x, y in rest)
        tick = f"{number(size / 8)} w 0 G {numbers(a, b)} m {lines} S\n".encode("ascii")
        states = {"Yes": self._draw(tick, size, size), "Off": self._draw(b"\n", size, size)}
        left, bottom = blank.x * PT_PER_MM + (width - size) / 2, blank.y * PT_PER_MM + (height - size) / 2
        return {
            "FT": "/Btn",
            "Ff": 0,
            "V": "/Off",
            "AS": "/Off",
            "H": "/N",
            "Rect": _write_box(left, bottom, size, size),
            "AP": pdfdoc.PDFDictionary({"N": pdfdoc.PDFDictionary(states)}),
        }

    def _draw(self, content: bytes, width: float, height: float) -> pdfdoc.PDFObjectReference:
        """An appearance, written once for all widgets that look the same."""
        box = numbers(0, 0, width, height)
        key = content + box.encode("ascii")
        if key not in self._drawn:
            entries = {"Type": "/XObject", "Subtype": "/Form", "BBox": f"[{box}]", "Resources": "<< >>"}
            stream = pdfdoc.PDFStream(pdfdoc.PDFDictionary(entries), content, [])
            self._drawn[key] = self._doc.Reference(stream)
        return self._drawn[key]


def _write_box(x: float, y: float, width: float, height: float) -> pdfdoc.PDFArray:
    return pdfdoc.PDFArray([number(edge) for edge in (x, y, x + width, y + height)])


def _write_font(doc: pdfdoc.PDFDocument) -> pdfdoc.PDFDictionary:
    """A simple TrueType font of what WinAnsiEncoding can say (ISO 32000-1, 9.6.6), so that a reader needs none."""
    kind = typeface(FontFace.REGULAR)
    known = {code: each for code, each in _CODES.items() if not kind.missing(each)}
    program = subset_font(FontFace.REGULAR, frozenset(known.values()), "")
    file = pdfdoc.PDFStream(pdfdoc.PDFDictionary({"Length1": len(program)}), program, [pdfdoc.PDFZCompress])
    name = f"/TYPEDA+{kind.postscript_name}"
    em = 1000
    box = (-em, -kind.descent_em * em, 2 * em, kind.ascent_em * em)
    described = {
        "Type": "/FontDescriptor",
        "FontName": name,
        "Flags": _NONSYMBOLIC,
        "FontBBox": f"[{numbers(*box)}]",
        "ItalicAngle": 0,
        "Ascent": number(kind.ascent_em * em),
        "Descent": number(-kind.descent_em * em),
        "CapHeight": number(kind.cap_height_em * em),
        "StemV": 80,
        "FontFile2": doc.Reference(file),
    }
    widths = [
        number(kind.advance_em(known[code]) * em) if code in known else 0 for code in range(0x20, 0x100)
    ]
    codes = {code: ord(each) for code, each in known.items()}
    unicode = pdfdoc.PDFStream(
        pdfdoc.PDFDictionary({}), write_unicode_map(_FONT, codes), [pdfdoc.PDFZCompress]
    )
    return pdfdoc.PDFDictionary(
        {
            "Type": "/Font",
            "Subtype": "/TrueType",
            "BaseFont": name,
            "Encoding": "/WinAnsiEncoding",
            "FirstChar": 0x20,
            "LastChar": 0xFF,
            "Widths": pdfdoc.PDFArray(widths),
            "FontDescriptor": doc.Reference(pdfdoc.PDFDictionary(described)),
            "ToUnicode": doc.Reference(unicode),
        }
    )
