"""A QR code as one filled path: squares of modules, quiet zone included."""

from __future__ import annotations

from pocketref.scene.inks import BLACK
from pocketref.scene.items import Segment, Shape
from pocketref.scene.paths import rectangle
from pocketref.scene.plan_view import FigureDrawing
from pocketref.words.speech import cache_words, say

MODULE_MM = 0.42  # 10 dots at 600 dpi; general-purpose readers want 0.396 mm or more
QUIET_MODULES = 4  # ISO/IEC 18004: clear space on every side


@cache_words(64)  # asked for wherever the code is measured, and again where it is drawn
def draw_qr(text: str, module_mm: float = MODULE_MM) -> FigureDrawing:
    """The text as a QR code (ISO/IEC 18004) with error correction level M, about 15 % of it recoverable."""
    import segno  # deferred: only what prints a code pays for it

    code = segno.make(text, error="m", micro=False, boost_error=False)
    rows = [list(row) for row in code.matrix]
    size = len(rows) + 2 * QUIET_MODULES
    path: list[Segment] = []
    for number, row in enumerate(rows):
        y = (size - QUIET_MODULES - number - 1) * module_mm
        start = None
        for column, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                x = (QUIET_MODULES + start) * module_mm
                path += rectangle(x, y, (column - start) * module_mm, module_mm)
                start = None
    side = size * module_mm
    alt = say("QR code that holds: {text}", text=text)
    return FigureDrawing((Shape(tuple(path), None, BLACK),), side, side, 1.0, alt)
