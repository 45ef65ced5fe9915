"""Figures that follow from a level's dimensions, each able to say what it was computed from.

A figure is exact where it is a rational number of inches; else it is a float that carries a square root to
better than 1e-9 in. Formulas use the names of the dimensions.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from pocketref.field.dimensions import PlateDimensions
from pocketref.units.length import Length


@dataclass(frozen=True, slots=True)
class Figure:
    """A derived figure: `value` is an exact Length, or a float in inches where it holds a square root."""

    name: str
    label: str
    value: Length | float
    formula: str
    rests_on: tuple[str, ...]

    @property
    def is_exact(self) -> bool:
        """Whether the figure is a rational number of inches, with nothing rounded."""
        return isinstance(self.value, Length)

    @property
    def inches(self) -> float:
        """The figure in inches."""
        return float(self.value.inches) if isinstance(self.value, Length) else self.value

    @property
    def length(self) -> Length:
        """The figure as a Length, for print: exact, or the float's own value."""
        return self.value if isinstance(self.value, Length) else Length(Fraction(self.value))


def construct_figure(
    name: str, label: str, inches: Fraction | float, formula: str, rests_on: tuple[str, ...]
) -> Figure:
    """A figure from a number of inches; only a Fraction makes it exact."""
    value = Length(inches) if isinstance(inches, Fraction) else inches
    return Figure(name, label, value, formula, rests_on)


def find_root(square: Fraction) -> Fraction | float:
    """The square root: exact if it is rational, else a float."""
    root = Fraction(math.isqrt(square.numerator), math.isqrt(square.denominator))
    return root if root * root == square else math.sqrt(square)


def index_figures(figures: Iterable[Figure]) -> Mapping[str, Figure]:
    """Figures by name, in their order; frozen."""
    return MappingProxyType({figure.name: figure for figure in figures})


def construct_plate_figures(plate: PlateDimensions) -> Mapping[str, Figure]:
    """Every figure of the area around home plate that the dimensions lead to."""
    return index_figures(
        (
            *_construct_home_plate(plate),
            *_construct_boxes(plate),
            *_construct_inside_sizes(plate),
            *_construct_foul_line(plate),
            *_construct_catchers_box(plate),
        )
    )


def _construct_home_plate(plate: PlateDimensions) -> tuple[Figure, ...]:
    """Rear edges of 12 in and a front of 17 in make no right angle: Mathematics Magazine 69 (1996) 44-45.

    The width and the right angle are kept, so the rear edges come out longer than their nominal 12 in.
    """
    width = ("plate-width",)
    return (
        construct_figure("plate-side", "side edge of the plate", plate.half_plate, "plate-width / 2", width),
        construct_figure(
            "plate-rear-edge",
            "rear edge of the plate",
            float(plate.half_plate) * math.sqrt(2),
            "plate-width / √2",
            width,
        ),
        construct_figure(
            "plate-depth", "rear tip to front edge of the plate", plate.plate_width, "plate-width", width
        ),
    )


def _construct_boxes(plate: PlateDimensions) -> tuple[Figure, ...]:
    length, width = plate.box_length, plate.box_width
    along, across = ("box-length", "plate-width"), ("plate-width", "box-offset")
    return (
        construct_figure(
            "box-diagonal",
            "diagonal of a batter's box",
            find_root(length * length + width * width),
            "√(box-length² + box-width²)",
            ("box-length", "box-width"),
        ),
        construct_figure(
            "front-line-ahead-of-plate",
            "front line ahead of the plate's front edge",
            plate.front - plate.plate_width,
            "box-length / 2 - plate-width / 2",
            along,
        ),
        construct_figure(
            "front-line-ahead-of-apex",
            "front line ahead of the plate's rear tip",
            plate.front,
            "box-length / 2 + plate-width / 2",
            along,
        ),
        construct_figure(
            "back-line-behind-apex",
            "back line behind the plate's rear tip",
            plate.back,
            "box-length / 2 - plate-width / 2",
            along,
        ),
        construct_figure(
            "gap-between-boxes",
            "between the two boxes",
            2 * plate.inner,
            "plate-width + 2 × box-offset",
            across,
        ),
        construct_figure(
            "boxes-outer-to-outer",
            "across both boxes, outside to outside",
            2 * plate.outer,
            "plate-width + 2 × box-offset + 2 × box-width",
            (*across, "box-width"),
        ),
    )


def _construct_inside_sizes(plate: PlateDimensions) -> tuple[Figure, ...]:
    length, width = plate.box_length - 2 * plate.line_width, plate.box_width - 2 * plate.line_width
    return (
        construct_figure(
            "box-inside-length",
            "inside the box's lines, front to back",
            length,
            "box-length - 2 × line-width",
            ("box-length", "line-width"),
        ),
        construct_figure(
            "box-inside-width",
            "inside the box's lines, side to side",
            width,
            "box-width - 2 × line-width",
            ("box-width", "line-width"),
        ),
        construct_figure(
            "box-inside-diagonal",
            "diagonal inside the box's lines",
            find_root(length * length + width * width),
            "√(box-inside-length² + box-inside-width²)",
            ("box-length", "box-width", "line-width"),
        ),
    )


def _construct_foul_line(plate: PlateDimensions) -> tuple[Figure, ...]:
    leaves = plate.foul_line_exit
    by_front = plate.front <= plate.outer
    edge = "front line" if by_front else "outer side line"
    formula = "box-length / 2 + plate-width / 2" if by_front else "plate-width / 2 + box-offset + box-width"
    rests_on = ("box-length", "plate-width") if by_front else ("plate-width", "box-offset", "box-width")
    return (
        construct_figure(
            "foul-line-meets-inner-line",
            "foul line meets the box's inner line, ahead of the plate's rear tip",
            plate.inner,
            "plate-width / 2 + box-offset",
            ("plate-width", "box-offset"),
        ),
        construct_figure(
            "foul-line-leaves-box-out",
            f"foul line leaves the box by the {edge}, out from the centre line",
            leaves,
            formula,
            rests_on,
        ),
        construct_figure(
            "foul-line-leaves-box-along",
            f"foul line leaves the box by the {edge}, along the foul line from the rear tip",
            float(leaves) * math.sqrt(2),
            f"√2 × ({formula})",
            rests_on,
        ),
    )


def _construct_catchers_box(plate: PlateDimensions) -> tuple[Figure, ...]:
    width, depth = plate.catchers_box_width, plate.catchers_box_depth
    if width is None or depth is None:
        return ()
    return (
        construct_figure(
            "catchers-box-overlap",
            "catcher's box reaches behind each batter's box",
            width / 2 - plate.inner,
            "(catchers-box-width - plate-width) / 2 - box-offset",
            ("catchers-box-width", "plate-width", "box-offset"),
        ),
        construct_figure(
            "catchers-box-behind-boxes",
            "catcher's box behind the batter's boxes",
            depth - plate.back,
            "catchers-box-depth - (box-length / 2 - plate-width / 2)",
            ("catchers-box-depth", "box-length", "plate-width"),
        ),
        construct_figure(
            "catchers-box-inside-width",
            "inside the catcher's box's lines, side to side",
            width - 2 * plate.line_width,
            "catchers-box-width - 2 × line-width",
            ("catchers-box-width", "line-width"),
        ),
    )
