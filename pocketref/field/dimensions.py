"""A level's named dimensions, checked for sense before anything is constructed from them.

Every value here is an exact number of inches. Whatever is wrong is reported together, in one PocketrefError.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pocketref.problems import ProblemLog
from pocketref.units.length import Length

NOMINAL_PLATE_EDGE_IN = Fraction(1, 16)
"""How far a published rear edge of the plate may be from the exact one and still be its nominal size."""
PUBLISHED_DIAGONAL_IN = Fraction(1)
"""How far a published home-to-second may be from the exact one: charts differ by up to 0.53 in."""

BAGS_TO_A_BASE_LINE = 20
"""A base line at least this many bags long is plausible: 18-in bags on 50 ft make 33. Our own bound."""


@dataclass(frozen=True, slots=True)
class PlateDimensions:
    """What the area around home plate follows from, in inches. No catcher's box where it is None."""

    plate_width: Fraction
    box_length: Fraction
    box_width: Fraction
    box_offset: Fraction
    line_width: Fraction
    catchers_box_width: Fraction | None = None
    catchers_box_depth: Fraction | None = None

    @property
    def half_plate(self) -> Fraction:
        """Half the plate's width: also the length of its sides and the depth of its rear corner."""
        return self.plate_width / 2

    @property
    def inner(self) -> Fraction:
        """From the centre line to the edge of a batter's box nearest the plate."""
        return self.half_plate + self.box_offset

    @property
    def outer(self) -> Fraction:
        """From the centre line to the edge of a batter's box farthest from the plate."""
        return self.inner + self.box_width

    @property
    def front(self) -> Fraction:
        """From the apex forward to the front line's outer edge."""
        return self.half_plate + self.box_length / 2

    @property
    def back(self) -> Fraction:
        """From the apex backward to the back line's outer edge."""
        return self.box_length / 2 - self.half_plate

    @property
    def foul_line_exit(self) -> Fraction:
        """How far out, and how far forward, a foul line leaves the batter's box."""
        return min(self.front, self.outer)


@dataclass(frozen=True, slots=True)
class DiamondDimensions:
    """What the whole field follows from, in inches. An area is not drawn where its dimension is None."""

    plate_width: Fraction
    base_distance: Fraction
    base_size: Fraction
    pitching_distance: Fraction
    pitchers_plate_width: Fraction
    pitchers_plate_depth: Fraction
    line_width: Fraction
    second_base_diagonal: Fraction | None = None
    pitchers_plate_height: Fraction | None = None
    mound_diameter: Fraction | None = None
    mound_centre: Fraction | None = None
    lane_width: Fraction | None = None
    coach_box_length: Fraction | None = None
    coach_box_width: Fraction | None = None
    coach_box_offset: Fraction | None = None
    on_deck_diameter: Fraction | None = None
    on_deck_distance: Fraction | None = None
    infield_arc: Fraction | None = None


_PLATE_NEEDED = ("plate-width", "box-length", "box-width", "box-offset", "line-width")
_DIAMOND_NEEDED = (
    "plate-width",
    "base-distance",
    "base-size",
    "pitching-distance",
    "pitchers-plate-width",
    "pitchers-plate-depth",
    "line-width",
)
# Dimensions that only make sense together.
_TOGETHER = (
    ("catchers-box-width", "catchers-box-depth"),
    ("mound-diameter", "mound-centre"),
    ("coach-box-length", "coach-box-width", "coach-box-offset"),
    ("on-deck-diameter", "on-deck-distance"),
)
_DIAMOND_OPTIONAL = (
    "second-base-diagonal",
    "pitchers-plate-height",
    "mound-diameter",
    "mound-centre",
    "lane-width",
    "coach-box-length",
    "coach-box-width",
    "coach-box-offset",
    "on-deck-diameter",
    "on-deck-distance",
    "infield-arc",
)


def read_plate_dimensions(dimensions: Mapping[str, Length]) -> PlateDimensions:
    """The checked dimensions of the area around home plate; raises PocketrefError with all that is wrong.

    The catcher's box is optional. `plate-side` and `plate-rear-edge` may be given and are then compared with
    what the square plate makes them.
    """
    problems = ProblemLog()
    optional = ("catchers-box-width", "catchers-box-depth", "plate-side", "plate-rear-edge")
    inches = _read_inches(dimensions, _PLATE_NEEDED, optional, problems)
    problems.raise_errors()
    checked = PlateDimensions(
        plate_width=inches["plate-width"],
        box_length=inches["box-length"],
        box_width=inches["box-width"],
        box_offset=inches["box-offset"],
        line_width=inches["line-width"],
        catchers_box_width=inches.get("catchers-box-width"),
        catchers_box_depth=inches.get("catchers-box-depth"),
    )
    _check_plate(checked, inches, problems)
    _check_boxes(checked, problems)
    _check_catchers_box(checked, problems)
    problems.raise_errors()
    return checked


def read_diamond_dimensions(dimensions: Mapping[str, Length]) -> DiamondDimensions:
    """The checked dimensions of the whole field; raises PocketrefError with all that is wrong."""
    problems = ProblemLog()
    inches = _read_inches(dimensions, _DIAMOND_NEEDED, _DIAMOND_OPTIONAL, problems)
    problems.raise_errors()
    checked = DiamondDimensions(**{name.replace("-", "_"): value for name, value in inches.items()})
    _check_diamond(checked, problems)
    problems.raise_errors()
    return checked


def _read_inches(
    dimensions: Mapping[str, Length], needed: tuple[str, ...], optional: tuple[str, ...], problems: ProblemLog
) -> dict[str, Fraction]:
    """The dimensions asked for that are there, noting those that are missing or not above zero."""
    for name in needed:
        if name not in dimensions:
            problems.error(
                "dimension-missing", f"the field has no '{name}'", f"add '{name}' to its dimensions"
            )
    inches = {name: Fraction(dimensions[name].inches) for name in (*needed, *optional) if name in dimensions}
    for name, value in inches.items():
        if value <= 0:
            problems.error(
                "dimension-not-positive", f"'{name}' must be more than zero", "give a length above zero"
            )
    for group in _TOGETHER:
        given = [name for name in group if name in inches]
        for name in group:
            if given and name not in inches and name in optional:
                sentence = f"'{given[0]}' is given without '{name}'"
                problems.error("dimension-missing", sentence, f"add '{name}', or leave out '{given[0]}'")
    return inches


def _disagree(problems: ProblemLog, sentence: str, hint: str) -> None:
    problems.error("dimension-inconsistent", sentence, hint)


def _check_plate(plate: PlateDimensions, inches: Mapping[str, Fraction], problems: ProblemLog) -> None:
    side = inches.get("plate-side")
    if side is not None and side != plate.half_plate:
        _disagree(
            problems,
            "the plate's side must be half its width, or its rear corner is no right angle",
            f"a plate {float(plate.plate_width):g} in wide has sides of {float(plate.half_plate):g} in",
        )
    rear = inches.get("plate-rear-edge")
    exact = float(plate.half_plate) * math.sqrt(2)
    if rear is not None and abs(float(rear) - exact) > NOMINAL_PLATE_EDGE_IN:
        _disagree(
            problems,
            "the plate's rear edge doesn't fit its width",
            f"a plate {float(plate.plate_width):g} in wide has rear edges of {exact:.3f} in",
        )


def _check_boxes(plate: PlateDimensions, problems: ProblemLog) -> None:
    if plate.box_length <= plate.plate_width:
        _disagree(
            problems,
            "the batter's box is no longer than home plate is deep",
            "check 'box-length' and its unit; it runs from back line to front line",
        )
    if plate.box_offset >= plate.box_width:
        _disagree(
            problems,
            "the batter's box is as far from the plate as it is wide, or farther",
            "check 'box-offset' and its unit",
        )
    if plate.inner >= plate.front:
        _disagree(
            problems,
            "the foul lines would not cross the batter's boxes",
            "check 'box-offset' and 'box-length'",
        )
    if 2 * plate.line_width >= min(plate.box_width, plate.box_length):
        _disagree(
            problems, "the lines leave no room inside the batter's box", "check 'line-width' and its unit"
        )


def _check_catchers_box(plate: PlateDimensions, problems: ProblemLog) -> None:
    width, depth = plate.catchers_box_width, plate.catchers_box_depth
    if width is None or depth is None:
        return
    if width < plate.plate_width:
        _disagree(problems, "the catcher's box is narrower than home plate", "check 'catchers-box-width'")
    if width > 2 * plate.outer:
        _disagree(
            problems,
            "the catcher's box is wider than both batter's boxes together",
            "check 'catchers-box-width' and its unit",
        )
    if depth <= plate.back:
        _disagree(
            problems,
            "the catcher's box ends no farther back than the batter's boxes",
            "check 'catchers-box-depth'; it is measured from the plate's rear tip",
        )


def _check_diamond(field: DiamondDimensions, problems: ProblemLog) -> None:
    exact = float(field.base_distance) * math.sqrt(2)
    published = field.second_base_diagonal
    if published is not None and abs(float(published) - exact) > PUBLISHED_DIAGONAL_IN:
        _disagree(
            problems,
            "'second-base-diagonal' doesn't fit 'base-distance'",
            f"the square's exact diagonal is {exact:.3f} in",
        )
    if BAGS_TO_A_BASE_LINE * field.base_size > field.base_distance:
        _disagree(problems, "the bases are too large for the diamond", "check 'base-size' and its unit")
    if field.pitching_distance + field.pitchers_plate_depth >= exact:
        _disagree(
            problems,
            "the pitcher's plate is not in front of second base",
            "check 'pitching-distance' and 'base-distance'",
        )
    if field.pitching_distance <= field.plate_width:
        _disagree(problems, "the pitcher's plate is on home plate", "check 'pitching-distance' and its unit")
    if field.mound_diameter is not None and field.mound_centre is not None:
        _check_mound(field, field.mound_diameter, field.mound_centre, problems)
    _check_infield_arc(field, problems)


def _check_infield_arc(field: DiamondDimensions, problems: ProblemLog) -> None:
    """The arc must pass behind all the bases; its centre is the front of the pitcher's plate."""
    if field.infield_arc is None:
        return
    base, pitching = float(field.base_distance), float(field.pitching_distance)
    to_second = abs(base * math.sqrt(2) - pitching)
    to_first = math.hypot(base * math.sqrt(0.5), base * math.sqrt(0.5) - pitching)
    if field.infield_arc <= max(to_second, to_first):
        _disagree(problems, "the infield arc passes in front of a base", "check 'infield-arc' and its unit")


def _check_mound(
    field: DiamondDimensions, diameter: Fraction, centre: Fraction, problems: ProblemLog
) -> None:
    rear = field.pitching_distance + field.pitchers_plate_depth
    if field.pitching_distance < centre - diameter / 2 or rear > centre + diameter / 2:
        _disagree(
            problems,
            "the pitcher's plate is not on the mound",
            "check 'mound-centre', which is measured from the plate's rear tip, and 'mound-diameter'",
        )
