"""The page that is printed first: rulers that show whether the printer kept the size, and what to do if not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pocketref.layouts.footers import explain_language
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.page import Box, Element, Page, Role
from pocketref.pages.stocks import Sheet
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Placed, Scene, Shape, Stroke
from pocketref.scene.paths import polyline
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.units.length import INCH_MM, Length
from pocketref.units.notation import write_feet_inches
from pocketref.words.speech import say

RULER_MM = 100
RULER_IN = 4

_BODY_PT = 10.4
_TITLE_PT = 20.0
_LABEL_PT = 9.0
_MARGIN_MM = 12.0
_GAP_MM = 5.0
_EDGE_PEN = Stroke(0.35, BLACK)
_TICK_PEN = Stroke(0.18, BLACK)
_NO_BREAK = "\u00a0"
_HUNDRED = f"100{_NO_BREAK}%"


@dataclass(frozen=True, slots=True)
class FitTrap:
    """A printer setting that changes the size: what happened, and the scale that comes of it."""

    what: str
    scale: float


def fit_scale(sheet: Sheet, onto: Sheet, edge_mm: float = 0.0) -> float:
    """The scale at which all of `sheet` fits on `onto` inside an edge of `edge_mm`: the lesser of two ratios."""
    width, height = onto.width_mm - 2 * edge_mm, onto.height_mm - 2 * edge_mm
    return min(width / sheet.width_mm, height / sheet.height_mm)


def list_fit_traps(paper: Sheet, others: Sequence[Sheet]) -> tuple[FitTrap, ...]:
    """What fitting to the page makes of a file for `paper`, on that paper and on others, nearest to 1 first."""
    inside = say("fitted into the margins of {paper}", paper=paper.name)
    traps = [FitTrap(inside, fit_scale(paper, paper, paper.edge_mm))]
    for other in others:
        if (other.width_mm, other.height_mm) == (paper.width_mm, paper.height_mm):
            continue
        traps.append(FitTrap(say("fitted to {paper} paper", paper=other.name), fit_scale(paper, other)))
        inside = say("fitted into the margins of {paper}", paper=other.name)
        traps.append(FitTrap(inside, fit_scale(paper, other, other.edge_mm)))
    return tuple(sorted(traps, key=lambda trap: abs(trap.scale - 1)))


def lay_out_print_check(
    paper: Sheet,
    *,
    others: Sequence[Sheet] = (),
    flip: str = "long",
    edition: str = "",
    floor_pt: float = 7.57,
) -> Page:
    """The print-check page for a paper at least as large as A5: steps, rulers, a table of traps, notes.

    `others` are papers that may be in the printer instead; `flip` is the edge that press sheets turn over.
    """
    sizes = sizes_for(_BODY_PT, floor_pt)
    inner = Box(0, 0, paper.width_mm, paper.height_mm).inset(max(_MARGIN_MM, paper.edge_mm))
    elements: list[Element] = []
    top = inner.top - cap_height_mm(FontFace.BOLD, _TITLE_PT)
    words = say("Print at {scale}", scale=_HUNDRED)
    title = set_text(inner.x, top, words, FontFace.BOLD, _TITLE_PT, BLACK)
    elements.append(Element(Role.TITLE, (title,)))
    top -= _GAP_MM
    if edition:
        whose = say("{edition}. For {paper} paper.", edition=edition, paper=paper.name)
        lead = Paragraphs("edition", (f"{whose} {explain_language(())}".rstrip(),))
        top = _stack([lead], elements, Box(inner.x, inner.y, inner.width_mm, top - inner.y), sizes)
    ruler_room = RULER_MM + 4 + _GAP_MM
    beside = inner.width_mm - 26.0
    upright_top = top
    top = _stack([_steps(flip)], elements, Box(inner.x, inner.y, beside, top - inner.y), sizes)
    elements += _draw_rulers(inner, top, upright_top)
    top = min(top - _RULERS_MM, upright_top - ruler_room)
    rest: list[Block] = [_trap_table(paper, others), _remedies(), _laminating()]
    _stack(rest, elements, Box(inner.x, inner.y, inner.width_mm, top - inner.y), sizes)
    section = Element(Role.SECTION, (), tuple(elements), label="print check")
    return Page("print check", paper.width_mm, paper.height_mm, (section,), paper.printable)


def _stack(blocks: Sequence[Block], elements: list[Element], box: Box, sizes: TypeSizes) -> float:
    """Draw the blocks from the top of the box at their own heights; gives where the next may start."""
    top = box.top
    for block in blocks:
        height = block.measure_mm(box.width_mm, sizes)
        elements.append(block.draw(Box(box.x, top - height, box.width_mm, height), sizes))
        top -= height + _GAP_MM
    return top


# --- words -----------------------------------------------------------------------------------------------


def _steps(flip: str) -> Paragraphs:
    entries = (
        say(
            "In the print window choose *Actual size*, or a scale of {scale}. Turn off every setting that fits, "
            "shrinks or enlarges pages.",
            scale=_HUNDRED,
        ),
        say("Choose the paper that is in the printer, and let nothing rotate the page."),
        say("For cards choose printing on both sides, flipped on the *long edge*.")
        if flip == "long"
        else say("For cards choose printing on both sides, flipped on the *short edge*."),
        say("Print this page alone and lay a steel rule on the bars: both ways across the sheet."),
        say(
            "When all three bars are true, print one press sheet on both sides and hold it to the light: the "
            "register marks in its corners must lie on each other. Then print the rest."
        ),
    )
    return Paragraphs("steps", entries, heading=say("Before printing cards or sheets"), kind="steps")


def _trap_table(paper: Sheet, others: Sequence[Sheet]) -> TableBlock:
    traps = (FitTrap(say("true to size"), 1.0), *list_fit_traps(paper, others))
    columns = (
        Column(say("The page was"), flex=True),
        Column(say("Scale"), "end", 22),
        Column(say("{length} measures", length=f"{RULER_MM} mm"), "end", 34),
        Column(say("{length} measures", length=f"{RULER_IN} in"), "end", 34),
    )
    rows = tuple(tuple(Cell(words) for words in _write_trap(trap)) for trap in traps)
    heading = say("If a bar is short or long, this is what the printer did")
    return TableBlock("scales", columns, rows, heading, grows=False)


def _write_trap(trap: FitTrap) -> tuple[str, str, str, str]:
    inches = Length.from_inches(Fraction(trap.scale) * RULER_IN)
    measured_mm = f"{trap.scale * RULER_MM:.1f}{_NO_BREAK}mm"
    scale = f"{trap.scale * 100:.2f}{_NO_BREAK}%"
    return trap.what, scale, measured_mm, write_feet_inches(inches)


def _remedies() -> Paragraphs:
    entries = (
        say(
            "A bar that measures something else: the scale is what it measures in mm, read as per cent. Look for "
            "that figure among the print settings, in the viewer and in the printer itself."
        ),
        say(
            "Bars that differ between across and along: the paper slips or the printer stretches. Use another one."
        ),
        say(
            "Don't make up for a wrong scale with a second one: scales printed on drawings would no longer hold."
        ),
    )
    return Paragraphs("remedies", entries, heading=say("What to do"), kind="list")


def _laminating() -> Paragraphs:
    entries = (
        say(
            "Cut along the crop marks, each cut right across the sheet. Round the corners before laminating, so "
            "that they don't pierce the pouch."
        ),
        say(
            "Take a pouch at least 3 mm (1/8 in) larger than the card on every side, and leave that rim on: a pouch "
            "trimmed flush comes apart."
        ),
        say(
            "*Mind your hands:* cutters are sharp and laminators hot. Use guards and follow the makers' own "
            "instructions."
        ),
    )
    return Paragraphs("laminating", entries, heading=say("Cutting and laminating"), kind="list")


# --- rulers ----------------------------------------------------------------------------------------------

_RULERS_MM = 38.0
"""The height of the two level rulers with their labels."""


def _draw_rulers(inner: Box, top: float, upright_top: float) -> list[Element]:
    """Two level rulers below `top` and an upright one at the right."""
    metric = Scene("metric-ruler", RULER_MM + 4, _RULERS_MM / 2, draw_metric_ruler(2, 6))
    inch = draw_inch_ruler(inner.x + 2, top - _RULERS_MM + 6)
    placed = (
        (
            Placed(metric, inner.x, top - _RULERS_MM / 2),
            say("A ruler of exactly {length} across the page", length=f"{RULER_MM} mm"),
        ),
        (inch, say("A ruler of exactly {length} across the page", length=f"{RULER_IN} in")),
        (
            Placed(metric, inner.right, upright_top - metric.width_mm, 1),
            say("A ruler of exactly {length} up the page", length=f"{RULER_MM} mm"),
        ),
    )
    return [
        Element(Role.FIGURE, items if isinstance(items, tuple) else (items,), alt=alt)
        for items, alt in placed
    ]


def draw_metric_ruler(x: float, y: float) -> tuple[Item, ...]:
    """A bar of 100 mm from (x, y): a tick every mm, longer at 5 and 10, centimetres numbered above."""
    ticks = [(x + mm, 7.0 if mm % 10 == 0 else 5.0 if mm % 5 == 0 else 3.0) for mm in range(RULER_MM + 1)]
    labels = [(x + 10 * cm, str(cm)) for cm in range(RULER_MM // 10 + 1)]
    return _draw_ruler(x, y, float(RULER_MM), ticks, labels, _write_bar("cm", RULER_MM, "mm"))


def draw_inch_ruler(x: float, y: float) -> tuple[Item, ...]:
    """A bar of 4 in from (x, y): a tick every 1/16 in, longer at each halving, inches numbered above."""
    heights = {16: 7.0, 8: 6.0, 4: 5.0, 2: 4.0, 1: 3.0}
    ticks = []
    for sixteenth in range(16 * RULER_IN + 1):
        step = next(s for s in heights if sixteenth % s == 0)
        ticks.append((x + sixteenth * INCH_MM / 16, heights[step]))
    labels = [(x + n * INCH_MM, str(n)) for n in range(RULER_IN + 1)]
    return _draw_ruler(x, y, RULER_IN * INCH_MM, ticks, labels, _write_bar("in", RULER_IN, "in"))


def _write_bar(numbered: str, length: int, unit: str) -> str:
    return say("{unit}: the bar is {length}", unit=numbered, length=f"{length}{_NO_BREAK}{unit}")


def _draw_ruler(
    x: float,
    y: float,
    length_mm: float,
    ticks: Sequence[tuple[float, float]],
    labels: Sequence[tuple[float, str]],
    name: str,
) -> tuple[Item, ...]:
    below = y - cap_height_mm(FontFace.REGULAR, _LABEL_PT) - 1.2
    return (
        Shape(polyline([(x, y), (x + length_mm, y)]), stroke=_EDGE_PEN),
        *(Shape(polyline([(at, y), (at, y + high)]), stroke=_TICK_PEN) for at, high in ticks),
        *(set_text(at, y + 8.0, label, FontFace.REGULAR, _LABEL_PT, BLACK, "middle") for at, label in labels),
        set_text(x, below, name, FontFace.REGULAR, _LABEL_PT, BLACK),
    )
