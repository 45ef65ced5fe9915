"""Form fields to type into (ISO 32000-1, 12.7): text and checkboxes over the boxes drawn on the page."""

from __future__ import annotations

from functools import cache

from reportlab.lib.colors import CMYKColor
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from pocketref.scene.items import FormField
from pocketref.units.length import PT_PER_MM

_BLACK = CMYKColor(0, 0, 0, 1)
_LINES_FOR_MULTILINE = 2.4  # a box this many type sizes high takes more than one line


def add_field(canvas: Canvas, blank: FormField) -> tuple[pdfdoc.PDFDictionary, pdfdoc.PDFObjectReference]:
    """Put the blank's widget on the current page; the widget and its reference.

    The widget has no border or fill of its own: the page draws the box, so that it prints from any viewer.
    """
    form = canvas.acroForm
    if "makeFont" not in vars(form):
        form.makeFont = cache(form.makeFont)  # else the library writes the same font anew for every field
        form.checkboxAP = cache(form.checkboxAP)  # else it draws six appearances for every box, to keep six
    left, bottom = round(blank.x * PT_PER_MM, 3), round(blank.y * PT_PER_MM, 3)
    width, height = round(blank.width_mm * PT_PER_MM, 3), round(blank.height_mm * PT_PER_MM, 3)
    plain = {
        "name": blank.name,
        "tooltip": blank.tooltip,
        "fillColor": None,
        "borderColor": None,
        "textColor": _BLACK,
        "borderWidth": 0,
    }
    if blank.kind == "checkbox":
        size = min(width, height)
        x, y = round(left + (width - size) / 2, 3), round(bottom + (height - size) / 2, 3)
        form.checkbox(x=x, y=y, size=size, buttonStyle="check", fieldFlags="", **plain)
    else:
        is_tall = height >= _LINES_FOR_MULTILINE * blank.size_pt
        form.textfield(
            x=left,
            y=bottom,
            width=width,
            height=height,
            fontSize=int(blank.size_pt),  # the library writes whole points
            fieldFlags="multiline" if is_tall else "",
            maxlen=0,
            **plain,
        )
    ref = canvas._annotationrefs[-1]
    return canvas._doc.idToObject[ref.name], ref
