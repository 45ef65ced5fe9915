"""A level's named dimensions, checked for sense before anything is constructed from them.

Every value here is an exact number of inches. Whatever is wrong is reported together, in one PocketrefError.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pocketref.problems import Problem, ProblemLog
from pocketref.units.length import Length
from pocketref.units.notation import write_tape

NOMINAL_PLATE_EDGE_IN = Fraction(1, 16)
"""How far a published rear edge of the plate may be from the exact one and still be its nominal size."""
PUBLISHED_DIAGONAL_IN = Fraction(1)
"""How far a published home-to-second may be from the exact one: charts differ by up to 0.53 in."""

BAGS_TO_A_BASE_LINE = 20
"""A base line at least this many bags long is plausible: 18-in bags on 50 ft make 33. Our own bound."""


@dataclass(frozen=True, slots=True)
class DimensionProblem(Problem):
    """A problem with what a level's dimensions say; `dimensions` are those concerned, the one to look at first."""

    dimensions: tuple[str, ...] = ()


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
    lane_length: Fraction | None = None
    coach_box_length: Fraction | None = None
    coach_box_width: Fraction | None = None
    coach_box_offset: Fraction | None = None
    on_deck_diameter: Fraction | None = None
    on_deck_distance: Fraction | None = None
    infield_arc: Fraction | None = None

    @property
    def lane_start(self) -> Fraction:
        """From the apex to where the running lane starts; it is the last half where no length is given."""
        length = self.base_distance / 2 if self.lane_length is None else self.lane_length
        return self.base_distance - length


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
    "lane-length",
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
            _note(
                problems, "missing", (name,), f"the field has no '{name}'", f"add '{name}' to its dimensions"
            )
    inches = {name: Fraction(dimensions[name].inches) for name in (*needed, *optional) if name in dimensions}
    for name, value in inches.items():
        if value <= 0:
            _note(
                problems,
                "not-positive",
                (name,),
                f"'{name}' must be more than zero",
                "give a length above zero",
            )
    for group in _TOGETHER:
        given = [name for name in group if name in inches]
        for name in group:
            if given and name not in inches and name in optional:
                _note_missing_part(problems, given[0], name)
    if "lane-length" in inches and "lane-width" not in inches:
        _note_missing_part(problems, "lane-length", "lane-width")
    return inches


def _note(problems: ProblemLog, code: str, names: tuple[str, ...], sentence: str, hint: str) -> None:
    problems.extend([DimensionProblem(f"dimension-{code}", sentence, hint, dimensions=names)])


def _note_missing_part(problems: ProblemLog, given: str, name: str) -> None:
    sentence = f"'{given}' is given without '{name}'"
    _note(problems, "missing", (given,), sentence, f"add '{name}', or leave out '{given}'")


def _disagree(problems: ProblemLog, names: tuple[str, ...], sentence: str, hint: str) -> None:
    """Two or more dimensions that can't all be true; the first named is the likeliest slip."""
    _note(problems, "inconsistent", names, sentence, hint)


def _say(inches: Fraction | float) -> str:
    return write_tape(Length(Fraction(inches)))


def _say_all(field: PlateDimensions | DiamondDimensions, *names: str) -> str:
    """What dimensions are, for a hint: "'box-offset' is 6 in, 'box-width' 4 in"."""
    said = [f"'{name}' {_say(getattr(field, name.replace('-', '_')))}" for name in names]
    return ", ".join([said[0].replace("' ", "' is ", 1), *said[1:]])


def _check_plate(plate: PlateDimensions, inches: Mapping[str, Fraction], problems: ProblemLog) -> None:
    side = inches.get("plate-side")
    if side is not None and side != plate.half_plate:
        _disagree(
            problems,
            ("plate-side", "plate-width"),
            "the plate's side must be half its width, or its rear corner is no right angle",
            f"a plate {_say(plate.plate_width)} wide has sides of {_say(plate.half_plate)}",
        )
    rear = inches.get("plate-rear-edge")
    exact = float(plate.half_plate) * math.sqrt(2)
    if rear is not None and abs(float(rear) - exact) > NOMINAL_PLATE_EDGE_IN:
        _disagree(
            problems,
            ("plate-rear-edge", "plate-width"),
            "the plate's rear edge doesn't fit its width",
            f"a plate {_say(plate.plate_width)} wide has rear edges of {exact:.3f} in",
        )


def _check_boxes(plate: PlateDimensions, problems: ProblemLog) -> None:
    if plate.box_length <= plate.plate_width:
        names = ("box-length", "plate-width")
        _disagree(
            problems,
            names,
            "the batter's box is no longer than home plate is deep",
            f"{_say_all(plate, *names)}; a box runs from back line to front line",
        )
    if plate.box_offset >= plate.box_width:
        names = ("box-offset", "box-width")
        sentence = "the batter's box is as far from the plate as it is wide, or farther"
        _disagree(problems, names, sentence, _say_all(plate, *names))
    if plate.inner >= plate.front:
        names = ("box-offset", "box-length")
        sentence = "the foul lines would not cross the batter's boxes"
        _disagree(problems, (*names, "plate-width"), sentence, _say_all(plate, *names))
    if 2 * plate.line_width >= min(plate.box_width, plate.box_length):
        sentence = "the lines leave no room inside the batter's box"
        concerned = ("line-width", "box-width", "box-length")
        _disagree(problems, concerned, sentence, _say_all(plate, *concerned))


def _check_catchers_box(plate: PlateDimensions, problems: ProblemLog) -> None:
    width, depth = plate.catchers_box_width, plate.catchers_box_depth
    if width is None or depth is None:
        return
    if width < plate.plate_width:
        names = ("catchers-box-width", "plate-width")
        sentence = "the catcher's box is narrower than home plate"
        _disagree(problems, names, sentence, _say_all(plate, *names))
    if width > 2 * plate.outer:
        _disagree(
            problems,
            ("catchers-box-width", "box-width", "box-offset", "plate-width"),
            "the catcher's box is wider than both batter's boxes together",
            f"{_say_all(plate, 'catchers-box-width')}; the boxes reach {_say(2 * plate.outer)} across",
        )
    if depth <= plate.back:
        _disagree(
            problems,
            ("catchers-box-depth", "box-length", "plate-width"),
            "the catcher's box ends no farther back than the batter's boxes",
            f"they end {_say(plate.back)} behind the plate's rear tip, which its depth is measured from",
        )


def _check_diamond(field: DiamondDimensions, problems: ProblemLog) -> None:
    exact = float(field.base_distance) * math.sqrt(2)
    published = field.second_base_diagonal
    if published is not None and abs(float(published) - exact) > PUBLISHED_DIAGONAL_IN:
        names = ("second-base-diagonal", "base-distance")
        hint = f"{_say_all(field, *names)}; a square with such sides has a diagonal of {_say(exact)}"
        _disagree(problems, names, "'second-base-diagonal' doesn't fit 'base-distance'", hint)
    if BAGS_TO_A_BASE_LINE * field.base_size > field.base_distance:
        names = ("base-size", "base-distance")
        _disagree(problems, names, "the bases are too large for the diamond", _say_all(field, *names))
    if field.pitching_distance + field.pitchers_plate_depth >= exact:
        _disagree(
            problems,
            ("pitching-distance", "base-distance", "pitchers-plate-depth"),
            "the pitcher's plate is not in front of second base",
            f"{_say_all(field, 'pitching-distance')}; second base is {_say(exact)} from the plate's rear tip",
        )
    if field.pitching_distance <= field.plate_width:
        names = ("pitching-distance", "plate-width")
        _disagree(problems, names, "the pitcher's plate is on home plate", _say_all(field, *names))
    if field.lane_length is not None and field.lane_length > field.base_distance:
        names = ("lane-length", "base-distance")
        sentence = "the running lane would start behind home plate"
        _disagree(problems, names, sentence, _say_all(field, *names))
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
        _disagree(
            problems,
            ("infield-arc", "base-distance", "pitching-distance"),
            "the infield arc passes in front of a base",
            f"{_say_all(field, 'infield-arc')}; from the front of the pitcher's plate second base is "
            f"{_say(to_second)} off and first base {_say(to_first)}",
        )


def _check_mound(
    field: DiamondDimensions, diameter: Fraction, centre: Fraction, problems: ProblemLog
) -> None:
    rear = field.pitching_distance + field.pitchers_plate_depth
    if field.pitching_distance < centre - diameter / 2 or rear > centre + diameter / 2:
        names = ("mound-centre", "mound-diameter", "pitching-distance")
        _disagree(
            problems,
            (*names, "pitchers-plate-depth"),
            "the pitcher's plate is not on the mound",
            f"{_say_all(field, *names)}; distances are measured from the plate's rear tip",
        )
