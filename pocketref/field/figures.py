"""Figures that follow from a level's dimensions, each computed from the formula that it can be told by.

A figure is exact where it is a rational number of inches; else it is a float that carries a square root to
better than 1e-9 in. Formulas use the names of the dimensions, and of figures before them.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from pocketref.field.dimensions import DiamondDimensions, PlateDimensions
from pocketref.units.length import Length

_Row = tuple[str, str, str]
"""Name, label and formula of a figure."""
_Number = Fraction | float

# Rear edges of 12 in and a front of 17 in make no right angle: Mathematics Magazine 69 (1996) 44-45. The width and
# the right angle are kept, so the rear edges come out longer than their nominal 12 in.
_PLATE_AREA: tuple[_Row, ...] = (
    ("plate-side", "side edge of the plate", "plate-width / 2"),
    ("plate-rear-edge", "rear edge of the plate", "plate-width / √2"),
    ("plate-depth", "rear tip to front edge of the plate", "plate-width"),
    ("box-diagonal", "diagonal of a batter's box", "√(box-length² + box-width²)"),
    (
        "front-line-ahead-of-plate",
        "front line ahead of the plate's front edge",
        "box-length / 2 - plate-width / 2",
    ),
    (
        "front-line-ahead-of-apex",
        "front line ahead of the plate's rear tip",
        "box-length / 2 + plate-width / 2",
    ),
    ("back-line-behind-apex", "back line behind the plate's rear tip", "box-length / 2 - plate-width / 2"),
    ("gap-between-boxes", "between the two boxes", "plate-width + 2 × box-offset"),
    (
        "boxes-outer-to-outer",
        "across both boxes, outside to outside",
        "plate-width + 2 × box-offset + 2 × box-width",
    ),
    ("box-inside-length", "inside the box's lines, front to back", "box-length - 2 × line-width"),
    ("box-inside-width", "inside the box's lines, side to side", "box-width - 2 × line-width"),
    (
        "box-inside-diagonal",
        "diagonal inside the box's lines",
        "√(box-inside-length² + box-inside-width²)",
    ),
    (
        "foul-line-meets-inner-line",
        "foul line meets the box's inner line, ahead of the plate's rear tip",
        "plate-width / 2 + box-offset",
    ),
)
_CATCHERS_BOX: tuple[_Row, ...] = (
    (
        "catchers-box-overlap",
        "catcher's box reaches behind each batter's box",
        "(catchers-box-width - plate-width) / 2 - box-offset",
    ),
    (
        "catchers-box-behind-boxes",
        "catcher's box behind the batter's boxes",
        "catchers-box-depth - (box-length / 2 - plate-width / 2)",
    ),
    (
        "catchers-box-inside-width",
        "inside the catcher's box's lines, side to side",
        "catchers-box-width - 2 × line-width",
    ),
)
# To second is to the corner of the exact square, where the base is staked, not the published home to second.
_DIAMOND: tuple[_Row, ...] = (
    (
        "square-diagonal",
        "home to the centre of second, and first to third: the diagonals of the square",
        "√2 × base-distance",
    ),
    (
        "first-third-crossing",
        "line from first to third crosses the centre line, from the rear tip",
        "base-distance / √2",
    ),
    (
        "first-third-crossing-behind-pitchers-plate",
        "line from first to third behind the front of the pitcher's plate (ahead if negative)",
        "base-distance / √2 - pitching-distance",
    ),
    (
        "published-diagonal-excess",
        "published home to second is longer than the exact diagonal (shorter if negative)",
        "second-base-diagonal - √2 × base-distance",
    ),
    (
        "home-to-first-near-edge",
        "rear tip of the plate to the near edge of first base",
        "base-distance - base-size",
    ),
    (
        "first-to-second-gap",
        "between first base and second base, near edges",
        "base-distance - base-size - base-size / 2",
    ),
    (
        "base-anchor-along",
        "anchor of first or third base, along the foul line from the rear tip",
        "base-distance - base-size / 2",
    ),
    ("base-anchor-inside", "anchor of first or third base, inside the foul line", "base-size / 2"),
    (
        "plate-front-to-pitchers-plate",
        "front of home plate to the front of the pitcher's plate",
        "pitching-distance - plate-width",
    ),
    (
        "pitchers-plate-to-second",
        "front of the pitcher's plate to the centre of second base",
        "√2 × base-distance - pitching-distance",
    ),
    (
        "pitchers-plate-behind-mound-centre",
        "front of the pitcher's plate behind the mound's centre",
        "pitching-distance - mound-centre",
    ),
)


@dataclass(frozen=True, slots=True)
class Figure:
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


def construct_plate_figures(plate: PlateDimensions) -> Mapping[str, Figure]:
    """Every figure of the area around home plate that the dimensions lead to."""
    by_front = plate.front <= plate.outer
    edge = "front line" if by_front else "outer side line"
    leaves = "box-length / 2 + plate-width / 2" if by_front else "plate-width / 2 + box-offset + box-width"
    foul_line = f"foul line leaves the box by the {edge}"
    along = f"{foul_line}, along the foul line from the rear tip"
    rows = (
        *_PLATE_AREA,
        ("foul-line-leaves-box-out", f"{foul_line}, out from the centre line", leaves),
        ("foul-line-leaves-box-along", along, f"√2 × ({leaves})"),
        *_CATCHERS_BOX,
    )
    return _construct_figures(rows, asdict(plate))


def construct_diamond_figures(field: DiamondDimensions) -> Mapping[str, Figure]:
    """Every figure of the whole field that the dimensions lead to."""
    rows = _DIAMOND
    if field.lane_width is not None:
        start = "base-distance / 2" if field.lane_length is None else "base-distance - lane-length"
        rows += (("lane-start", "running lane starts, along the foul line from the rear tip", start),)
    return _construct_figures(rows, asdict(field))


def find_root(square: _Number) -> _Number:
    """The square root: exact if it is rational, else a float."""
    if isinstance(square, Fraction):
        root = Fraction(math.isqrt(square.numerator), math.isqrt(square.denominator))
        if root * root == square:
            return root
    return math.sqrt(square)


def _construct_figures(
    rows: Iterable[_Row], dimensions: Mapping[str, Fraction | None]
) -> Mapping[str, Figure]:
    """The figures whose dimensions are all there."""
    values: dict[str, _Number] = {name: value for name, value in dimensions.items() if value is not None}
    rests_on: dict[str, tuple[str, ...]] = {name: (name.replace("_", "-"),) for name in values}
    figures = {}
    for name, label, formula in rows:
        tree, names = _parse_formula(formula)
        if not all(each in values for each in names):
            continue
        key = name.replace("-", "_")
        value = values[key] = _evaluate(tree, values)
        rests_on[key] = tuple(dict.fromkeys(one for each in names for one in rests_on[each]))
        exact = Length(value) if isinstance(value, Fraction) else value
        figures[name] = Figure(name, label, exact, formula, rests_on[key])
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
