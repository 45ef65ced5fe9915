"""Figures that follow from a level's dimensions, each computed from the formula that it can be told by.

A figure is exact where it is a rational number of inches; else it is a float that carries a square root to
better than 1e-9 in. Formulas use the names of the dimensions, and of figures before them.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from pocketref.field.dimensions import DiamondDimensions, PlateDimensions
from pocketref.units.length import Length

_Number = Fraction | float

# Rear edges of 12 in and a front of 17 in make no right angle: Mathematics Magazine 69 (1996) 44-45. The width and
# the right angle are kept, so the rear edges come out longer than their nominal 12 in.
_PLATE_AREA = """
plate-side = plate-width / 2: side edge of the plate
plate-rear-edge = plate-width / √2: rear edge of the plate
plate-depth = plate-width: rear tip to front edge of the plate
box-diagonal = √(box-length² + box-width²): diagonal of a batter's box
front-line-ahead-of-plate = {ahead} - plate-width / 2: front line ahead of the plate's front edge
front-line-ahead-of-apex = {ahead} + plate-width / 2: front line ahead of the plate's rear tip
back-line-behind-apex = {behind} - plate-width / 2: back line behind the plate's rear tip
gap-between-boxes = plate-width + 2 × box-offset: between the two boxes
boxes-outer-to-outer = plate-width + 2 × box-offset + 2 × box-width: across both boxes, outside to outside
box-inside-length = box-length - 2 × line-width: inside the box's lines, front to back
box-inside-width = box-width - 2 × line-width: inside the box's lines, side to side
box-inside-diagonal = √(box-inside-length² + box-inside-width²): diagonal inside the box's lines
foul-line-meets-inner-line = plate-width / 2 + box-offset:
    foul line meets the box's inner line, ahead of the plate's rear tip
"""
_LEAVES = {
    by_front: f"""
foul-line-leaves-box-out = {leaves}: foul line leaves the box by the {edge}, out from the centre line
foul-line-leaves-box-along = √2 × ({leaves}):
    foul line leaves the box by the {edge}, along the foul line from the rear tip
"""
    for by_front, edge, leaves in (
        (True, "front line", "{ahead} + plate-width / 2"),
        (False, "outer side line", "plate-width / 2 + box-offset + box-width"),
    )
}
"""The figures of a foul line that leaves the box by its front line, and by its side line."""
_CATCHERS_BOX = """
catchers-box-overlap = (catchers-box-width - plate-width) / 2 - box-offset:
    catcher's box reaches behind each batter's box
catchers-box-inside-width = catchers-box-width - 2 × line-width: inside the catcher's box's lines, side to side
"""
# What a level may give or leave to be reckoned from others, each way of saying it from the other.
_BOX_LENGTH = """
box-length = box-ahead + box-behind: length of a batter's box, back line to front line
"""
_BEHIND_BOXES = """
catchers-box-behind-boxes = catchers-box-depth - ({behind} - plate-width / 2):
    catcher's box behind the batter's boxes
"""
_CATCHERS_DEPTH = """
catchers-box-depth = catchers-box-length + {behind} - plate-width / 2:
    catcher's box, from the plate's rear tip to its rear
catchers-box-behind-boxes = catchers-box-length: catcher's box behind the batter's boxes
"""
# To second is to the corner of the exact square, where the base is staked, not the published home to second.
_DIAMOND = """
square-diagonal = √2 × base-distance:
    home to the centre of second, and first to third: the square's diagonals
first-third-crossing = base-distance / √2: line from first to third crosses the centre line, from the rear tip
first-third-crossing-behind-pitchers-plate = base-distance / √2 - pitching-distance:
    line from first to third behind the front of the pitcher's plate (ahead if negative)
published-diagonal-excess = second-base-diagonal - √2 × base-distance:
    published home to second is longer than the exact diagonal (shorter if negative)
home-to-first-near-edge = base-distance - base-size: rear tip of the plate to the near edge of first base
first-to-second-gap = base-distance - base-size - base-size / 2: between first base and second base, near edges
base-anchor-along = base-distance - base-size / 2:
    anchor of first or third base, along the foul line from the rear tip
base-anchor-inside = base-size / 2: anchor of first or third base, inside the foul line
plate-front-to-pitchers-plate = pitching-distance - plate-width:
    front of home plate to the front of the pitcher's plate
pitchers-plate-to-second = √2 × base-distance - pitching-distance:
    front of the pitcher's plate to the centre of second base
pitchers-plate-behind-mound-centre = pitching-distance - mound-centre:
    front of the pitcher's plate behind the mound's centre
"""
_LANE = "lane-start = START: running lane starts, along the foul line from the rear tip"
_ROW = re.compile(r"^(\S+) = (.*?):\s+(.*)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class PlanFigure:
    """A derived figure: `value` is an exact Length, or a float in inches where it holds a square root."""

    name: str
    label: str
    value: Length | float
    formula: str
    rests_on: tuple[str, ...]
    """The dimensions that it follows from."""

    @property
    def inches(self) -> float:
        """The figure in inches."""
        return float(self.value.inches) if isinstance(self.value, Length) else self.value

    @property
    def length(self) -> Length:
        """The figure as a Length, for print: exact, or the float's own value."""
        return self.value if isinstance(self.value, Length) else Length(Fraction(self.value))


def construct_plate_figures(plate: PlateDimensions) -> Mapping[str, PlanFigure]:
    """Every figure of the area around home plate that the dimensions lead to."""
    by_front = plate.front <= plate.outer
    ahead, behind = ("box-length / 2",) * 2 if plate.box_ahead is None else ("box-ahead", "box-behind")
    length = "" if plate.box_length is not None else _BOX_LENGTH
    catchers = _CATCHERS_DEPTH if plate.catchers_box_depth is None else _BEHIND_BOXES
    rows = length + _PLATE_AREA + _LEAVES[by_front] + _CATCHERS_BOX + catchers
    return _construct_figures(rows.format(ahead=ahead, behind=behind), asdict(plate))


def construct_diamond_figures(field: DiamondDimensions) -> Mapping[str, PlanFigure]:
    """Every figure of the whole field that the dimensions lead to."""
    start = "base-distance / 2" if field.lane_length is None else "base-distance - lane-length"
    lane = _LANE.replace("START", start) if field.lane_width is not None else ""
    return _construct_figures(_DIAMOND + lane, asdict(field))


def list_labels() -> list[str]:
    """What the figures are, all that any field has."""
    given_or_not = _BOX_LENGTH + _BEHIND_BOXES + _CATCHERS_DEPTH
    rows = _PLATE_AREA + "".join(_LEAVES.values()) + _CATCHERS_BOX + given_or_not + _DIAMOND + _LANE
    return [label for _, _, label in _ROW.findall(rows)]


def find_root(square: _Number) -> _Number:
    """The square root: exact if it is rational, else a float."""
    if isinstance(square, Fraction):
        root = Fraction(math.isqrt(square.numerator), math.isqrt(square.denominator))
        if root * root == square:
            return root
    return math.sqrt(square)


def _construct_figures(rows: str, dimensions: Mapping[str, Fraction | None]) -> Mapping[str, PlanFigure]:
    """The figures, a row each, whose dimensions are all there."""
    values: dict[str, _Number] = {name: value for name, value in dimensions.items() if value is not None}
    rests_on: dict[str, tuple[str, ...]] = {name: (name.replace("_", "-"),) for name in values}
    figures = {}
    for name, formula, label in _ROW.findall(rows):
        tree, names = _parse_formula(formula)
        if not all(each in values for each in names):
            continue
        key = name.replace("-", "_")
        value = values[key] = _evaluate(tree, values)
        rests_on[key] = tuple(dict.fromkeys(one for each in names for one in rests_on[each]))
        exact = Length(value) if isinstance(value, Fraction) else value
        figures[name] = PlanFigure(name, label, exact, formula, rests_on[key])
    return MappingProxyType(figures)


@cache
def _parse_formula(formula: str) -> tuple[ast.expr, tuple[str, ...]]:
    """A formula as a tree, and the names in it with underscores for hyphens."""
    text = re.sub(r"(?<=[a-z])-(?=[a-z])", "_", formula)
    for sign, written in (("×", "*"), ("²", "**2"), ("√2", "√(2)"), ("√", "root")):
        text = text.replace(sign, written)
    tree = ast.parse(text, mode="eval").body
    return tree, tuple(name for name in re.findall("[a-z_]+", text) if name != "root")


_OPERATORS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def _evaluate(node: ast.expr, values: Mapping[str, _Number]) -> _Number:
    match node:
        case ast.BinOp(left, sign, right):
            found: _Number = _OPERATORS[type(sign)](_evaluate(left, values), _evaluate(right, values))
            return found
        case ast.Call(args=[square]):
            return find_root(_evaluate(square, values))
        case ast.Name(id=name):
            return values[name]
        case ast.Constant(value=int(number)):
            return Fraction(number)
    raise AssertionError(f"no formula has this in it: {ast.dump(node)}")
