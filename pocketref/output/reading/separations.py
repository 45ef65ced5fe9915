"""Which plates each page of a finished PDF prints on, read from its bytes alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pikepdf

from pocketref.output.contents import inks_in, items_of
from pocketref.pages.page import Document
from pocketref.problems import Problem
from pocketref.scene.inks import PROCESS_PLATES
from pocketref.words.terminal import tell

_FILLS = ("f", "F", "f*", "B", "B*", "b", "b*", "Tj", "TJ")
_STROKES = ("S", "s", "B", "B*", "b", "b*")

Plates = frozenset[str]
_BLACK: Plates = frozenset({"Black"})


def read_plates(data: bytes) -> tuple[Plates, ...]:
    """For each page the names of the plates that it has ink on; a spot ink's plate has the ink's own name.

    Paint without ink needs no plate, and RGB, which is no mix of inks, counts as all four process inks.
    """
    with pikepdf.open(BytesIO(data)) as pdf:
        return tuple(_list_plates(page.obj, page.obj.Resources) for page in pdf.pages)


def check_plates(data: bytes, document: Document) -> list[Problem]:
    """A problem for each page whose spot inks are not on the plates that it was drawn for.

    A document without spot inks is not read again for it.
    """
    wanted = [{ink.plate for ink in inks_in(items_of(page.elements)) if ink.plate} for page in document.pages]
    if not any(wanted):
        return []
    problems = []
    for page, asked, found in zip(document.pages, wanted, read_plates(data), strict=True):
        if found - set(PROCESS_PLATES) != asked:
            sentence = tell(
                "{title}, {name}: spot inks {asked} were sent, {found} printed",
                title=document.title,
                name=page.name,
                asked=sorted(asked),
                found=sorted(found),
            )
            problems.append(Problem("print-differs", sentence))
    return problems


@dataclass(frozen=True, slots=True)
class _Paint:
    """The plates that paint goes to, and the spot ink last chosen: for fills, or for strokes."""

    plates: Plates = _BLACK
    spot: str = ""


def _list_plates(
    stream: pikepdf.Object, resources: pikepdf.Object, fill: _Paint = _Paint(), stroke: _Paint = _Paint()
) -> Plates:
    plates: set[str] = set()
    kept: list[tuple[_Paint, _Paint]] = []
    for instruction in pikepdf.parse_content_stream(stream):
        name, operands = str(instruction.operator), list(instruction.operands)
        if name == "q":
            kept.append((fill, stroke))
        elif name == "Q":
            fill, stroke = kept.pop()
        elif name == "Do":
            plates |= _list_object(resources.XObject[str(operands[0])], fill, stroke)
        elif name.isupper():
            stroke = _choose_paint(stroke, name, operands, resources)
        else:
            fill = _choose_paint(fill, name, operands, resources)
        if name in _FILLS:
            plates |= fill.plates
        if name in _STROKES:
            plates |= stroke.plates
    return frozenset(plates)


def _list_object(placed: pikepdf.Object, fill: _Paint, stroke: _Paint) -> Plates:
    if placed.Subtype == "/Form":
        return _list_plates(placed, placed.Resources, fill, stroke)
    return _BLACK if placed.get("/ColorSpace") == "/DeviceGray" else frozenset(PROCESS_PLATES)


def _choose_paint(paint: _Paint, name: str, operands: Sequence[Any], resources: pikepdf.Object) -> _Paint:
    """The paint after an operator of colour (ISO 32000-1, 8.6.8), whose capitals are for strokes; or the same."""
    match name.lower():
        case "g":
            return _Paint(_BLACK if operands[0] < 1 else frozenset())
        case "k":
            inks = zip(PROCESS_PLATES, operands, strict=True)
            return _Paint(frozenset(plate for plate, share in inks if share > 0))
        case "rg":
            return _Paint(frozenset(PROCESS_PLATES))
        case "cs":
            return _Paint(spot=str(resources.ColorSpace[str(operands[0])][1]).removeprefix("/"))
        case "scn":
            return _Paint(frozenset({paint.spot} if operands[0] > 0 else ()), paint.spot)
        case _:
            return paint
