"""A level's named dimensions, checked for sense before anything is constructed from them.

Every value here is an exact number of inches. Whatever is wrong is reported together, in one PocketrefError.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields
from fractions import Fraction

from pocketref.problems import Problem, ProblemLog
from pocketref.units.length import Length
from pocketref.units.notation import write_tape
from pocketref.words.terminal import tell, tell_list

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
    """What the area around home plate follows from, in inches. No catcher's box where it is None.

    A batter's box is centred on the plate by its length alone, or placed by how far it reaches ahead of and behind
    the plate's centre line. A catcher's box ends so far behind the apex, or so far behind the batter's boxes.
    """

    plate_width: Fraction
    box_length: Fraction | None
    box_width: Fraction
    box_offset: Fraction
    line_width: Fraction
    box_ahead: Fraction | None = None
    box_behind: Fraction | None = None
    catchers_box_width: Fraction | None = None
    catchers_box_depth: Fraction | None = None
    catchers_box_length: Fraction | None = None

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
        return self.half_plate + self._reach(self.box_ahead)

    @property
    def back(self) -> Fraction:
        """From the apex backward to the back line's outer edge."""
        return self._reach(self.box_behind) - self.half_plate

    def _reach(self, placed: Fraction | None) -> Fraction:
        """From the plate's centre line to one end of the boxes, half their length where they are centred on it."""
        return (self.box_length or Fraction(0)) / 2 if placed is None else placed

    @property
    def catchers_box_back(self) -> Fraction | None:
        """From the apex backward to the catcher's box's rear line's outer edge."""
        if self.catchers_box_length is None:
            return self.catchers_box_depth
        return self.back + self.catchers_box_length

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
    double_base_width: Fraction | None = None
    second_base_diagonal: Fraction | None = None
    pitchers_plate_height: Fraction | None = None
    mound_diameter: Fraction | None = None
    mound_centre: Fraction | None = None
    pitching_circle_radius: Fraction | None = None
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


TOGETHER = (
    ("box-ahead", "box-behind"),
    ("catchers-box-width", "catchers-box-depth"),
    ("mound-diameter", "mound-centre"),
    ("coach-box-length", "coach-box-width", "coach-box-offset"),
    ("on-deck-diameter", "on-deck-distance"),
)
"""Dimensions that only make sense together."""
NEEDED_BY = {"lane-length": "lane-width", "catchers-box-length": "catchers-box-width"}
"""Dimensions that make no sense alone, and what they need."""
INSTEAD = {
    "box-length": ("box-ahead", "box-behind"),
    "catchers-box-depth": ("catchers-box-length",),
}
"""Dimensions in whose place others may be given; beside them they must agree."""

DISAGREEMENTS = dict(
    line.split(": ", 1)
    for line in """
| plate-side plate-width: the plate's side must be half its width, or its rear corner is no right angle
| plate-rear-edge plate-width: the plate's rear edge doesn't fit its width
box-length plate-width: the batter's box is no longer than home plate is deep
box-ahead plate-width: the batter's box ends no farther ahead than home plate
box-behind plate-width: the batter's box ends no farther behind than home plate
box-length box-ahead box-behind: the batter's box isn't as long as it reaches ahead and behind together
box-offset box-width: the batter's box is as far from the plate as it is wide, or farther
box-offset box-length box-ahead | plate-width: the foul lines would not cross the batter's boxes
line-width box-width box-length box-ahead box-behind: the lines leave no room inside the batter's box
catchers-box-width plate-width: the catcher's box is narrower than home plate
catchers-box-width | box-width box-offset plate-width: the catcher's box is wider than both batter's boxes together
| catchers-box-depth box-length box-behind plate-width: the catcher's box ends no farther back than the batter's boxes
catchers-box-depth catchers-box-length | plate-width: the catcher's box's depth and length don't agree
second-base-diagonal base-distance: 'second-base-diagonal' doesn't fit 'base-distance'
base-size base-distance: the bases are too large for the diamond
double-base-width base-size: the double base is no wider than its white half
pitching-distance | base-distance pitchers-plate-depth: the pitcher's plate is not in front of second base
pitching-distance plate-width: the pitcher's plate is on home plate
lane-length base-distance: the running lane would start behind home plate
mound-centre mound-diameter pitching-distance | pitchers-plate-depth: the pitcher's plate is not on the mound
pitching-circle-radius mound-diameter: a field has a mound or a pitching circle, not both
pitching-circle-radius pitchers-plate-width | pitchers-plate-depth: the pitcher's plate reaches out of its circle
infield-arc | base-distance pitching-distance: the infield arc passes in front of a base
""".strip().splitlines()
)
"""Dimensions that can't all be true, the likeliest slip first; a hint gives those before a bar that the field has."""

_Check = tuple[bool, str, str]
"""Whether dimensions disagree, which of the above, and what the hint says besides."""


def read_plate_dimensions(dimensions: Mapping[str, Length]) -> PlateDimensions:
    """The checked dimensions of the area around home plate; raises PocketrefError with all that is wrong.

    The catcher's box is optional. `plate-side` and `plate-rear-edge` may be given and are then compared with
    what the square plate makes them.
    """
    problems = ProblemLog()
    published = ("plate-side", "plate-rear-edge")
    inches = read_inches(dimensions, *list_names(PlateDimensions, published), problems)
    problems.raise_errors()
    rest = {name: value for name, value in inches.items() if name not in published}
    length = rest.pop("box-length", None)
    plate = PlateDimensions(box_length=length, **{name.replace("-", "_"): rest[name] for name in rest})
    checks = (*_check_plate(plate, inches), *_check_boxes(plate), *_check_catchers_box(plate))
    _note_disagreements(inches, checks, problems)
    return plate


def read_diamond_dimensions(dimensions: Mapping[str, Length]) -> DiamondDimensions:
    """The checked dimensions of the whole field; raises PocketrefError with all that is wrong."""
    problems = ProblemLog()
    inches = read_inches(dimensions, *list_names(DiamondDimensions), problems)
    problems.raise_errors()
    field = DiamondDimensions(**{name.replace("-", "_"): value for name, value in inches.items()})
    _note_disagreements(inches, (*_check_diamond(field), *_check_infield_arc(field)), problems)
    return field


def list_names(
    model: type[PlateDimensions | DiamondDimensions], more: Sequence[str] = ()
) -> tuple[list[str], list[str]]:
    """The dimensions that are needed, and those that may be given."""
    needed = [f.name.replace("_", "-") for f in fields(model) if f.default is MISSING]
    optional = [f.name.replace("_", "-") for f in fields(model) if f.default is not MISSING]
    return needed, [*optional, *more]


def read_inches(
    dimensions: Mapping[str, Length],
    needed: Iterable[str],
    optional: Iterable[str],
    problems: ProblemLog,
    beside: tuple[str, ...] = (),
) -> dict[str, Fraction]:
    """The dimensions asked for that are there, noting those that are missing or not above zero.

    One that is missing is told at `beside`, if that is given.
    """
    needed, optional = list(needed), list(optional)
    for name in needed:
        if dimensions.keys().isdisjoint((name, *INSTEAD.get(name, ()))):
            _note_missing(problems, name, beside)
    inches = {name: Fraction(dimensions[name].inches) for name in (*needed, *optional) if name in dimensions}
    for name, value in inches.items():
        if value <= 0:
            sentence = tell("'{name}' must be more than zero", name=name)
            _note(problems, "not-positive", (name,), sentence, tell("give a length above zero"))
    for group in TOGETHER:
        given = [name for name in group if name in inches]
        for name in group:
            if given and name in optional and inches.keys().isdisjoint((name, *INSTEAD.get(name, ()))):
                _note_missing_part(problems, given[0], name)
    for name, other in NEEDED_BY.items():
        if name in inches and other not in inches:
            _note_missing_part(problems, name, other)
    return inches


def _note(problems: ProblemLog, code: str, names: tuple[str, ...], sentence: str, hint: str) -> None:
    problems.extend([DimensionProblem(f"dimension-{code}", sentence, hint, dimensions=names)])


def _note_missing(problems: ProblemLog, name: str, beside: tuple[str, ...]) -> None:
    if others := INSTEAD.get(name, ()):
        hint = tell(
            "add '{name}' to its dimensions; or {others}, for one not centred on the plate",
            name=name,
            others=tell_list(map(repr, others)),
        )
    else:
        hint = tell("add '{name}' to its dimensions", name=name)
    _note(problems, "missing", (name, *beside), tell("the field has no '{name}'", name=name), hint)


def _note_missing_part(problems: ProblemLog, given: str, name: str) -> None:
    sentence = tell("'{given}' is given without '{name}'", given=given, name=name)
    _note(
        problems,
        "missing",
        (given,),
        sentence,
        tell("add '{name}', or leave out '{given}'", name=name, given=given),
    )


def _note_disagreements(
    inches: Mapping[str, Fraction], checks: Iterable[_Check], problems: ProblemLog
) -> None:
    """Raise PocketrefError with all that is wrong, a hint as "'box-offset' is 6 in, 'box-width' 4 in; …"."""
    for is_wrong, names, more in checks:
        if is_wrong:
            shown, _, rest = names.partition("|")
            lengths = [(name, _write(inches[name])) for name in shown.split() if name in inches]
            given = [tell("'{name}' is {length}", name=name, length=length) for name, length in lengths[:1]]
            given += [f"'{name}' {length}" for name, length in lengths[1:]]
            hint = "; ".join(part for part in (", ".join(given), more) if part)
            concerned = tuple(name for name in (*shown.split(), *rest.split()) if name in inches)
            _note(problems, "inconsistent", concerned, tell(DISAGREEMENTS[names]), hint)
    problems.raise_errors()


def _write(inches: Fraction | float) -> str:
    return write_tape(Length(Fraction(inches)))


def _check_plate(plate: PlateDimensions, inches: Mapping[str, Fraction]) -> Iterator[_Check]:
    side, rear = inches.get("plate-side", plate.half_plate), inches.get("plate-rear-edge")
    exact = float(plate.half_plate) * math.sqrt(2)
    off = 0.0 if rear is None else abs(float(rear) - exact)
    wide = _write(plate.plate_width)
    half = tell("a plate {wide} wide has sides of {side}", wide=wide, side=_write(plate.half_plate))
    yield side != plate.half_plate, "| plate-side plate-width", half
    edges = tell("a plate {wide} wide has rear edges of {exact:.3f} in", wide=wide, exact=exact)
    yield off > NOMINAL_PLATE_EDGE_IN, "| plate-rear-edge plate-width", edges


def _check_boxes(plate: PlateDimensions) -> Iterator[_Check]:
    width, line, ends = plate.box_width, plate.line_width, plate.front + plate.back
    if plate.box_ahead is None or plate.box_behind is None:
        yield (
            ends <= plate.plate_width,
            "box-length plate-width",
            tell("a box runs from back line to front line"),
        )
    else:
        half = tell("home plate reaches {half} either way", half=_write(plate.half_plate))
        yield plate.front <= plate.plate_width, "box-ahead plate-width", half
        yield plate.back <= 0, "box-behind plate-width", half
        together = tell("these together are {ends}; one of the three may be wrong", ends=_write(ends))
        yield plate.box_length not in {None, ends}, "box-length box-ahead box-behind", together
    yield plate.box_offset >= width, "box-offset box-width", ""
    yield plate.inner >= plate.front, "box-offset box-length box-ahead | plate-width", ""
    yield 2 * line >= min(width, ends), "line-width box-width box-length box-ahead box-behind", ""


def _check_catchers_box(plate: PlateDimensions) -> Iterator[_Check]:
    width, depth, back = plate.catchers_box_width, plate.catchers_box_depth, plate.catchers_box_back
    if width is None or back is None:
        return
    across = _write(2 * plate.outer)
    reach = tell("the boxes reach {across} across", across=across)
    behind = _write(plate.back)
    begins = tell(
        "they end {behind} behind the plate's rear tip, which its depth is measured from", behind=behind
    )
    yield width < plate.plate_width, "catchers-box-width plate-width", ""
    yield width > 2 * plate.outer, "catchers-box-width | box-width box-offset plate-width", reach
    yield back <= plate.back, "| catchers-box-depth box-length box-behind plate-width", begins
    both = tell(
        "it begins {behind} behind the plate's rear tip, which its depth is measured from", behind=behind
    )
    names = "catchers-box-depth catchers-box-length | plate-width"
    yield depth not in {None, back}, names, both


def _check_diamond(field: DiamondDimensions) -> Iterator[_Check]:
    base, pitching = field.base_distance, field.pitching_distance
    rear = pitching + field.pitchers_plate_depth
    exact = float(base) * math.sqrt(2)
    published = exact if field.second_base_diagonal is None else float(field.second_base_diagonal)
    square = tell("a square with such sides has a diagonal of {exact}", exact=_write(exact))
    yield abs(published - exact) > PUBLISHED_DIAGONAL_IN, "second-base-diagonal base-distance", square
    yield BAGS_TO_A_BASE_LINE * field.base_size > base, "base-size base-distance", ""
    double = field.double_base_width
    yield double is not None and double <= field.base_size, "double-base-width base-size", ""
    second = tell("second base is {exact} from the plate's rear tip", exact=_write(exact))
    yield rear >= exact, "pitching-distance | base-distance pitchers-plate-depth", second
    yield pitching <= field.plate_width, "pitching-distance plate-width", ""
    yield (field.lane_length or 0) > base, "lane-length base-distance", ""
    if field.mound_diameter is not None and field.mound_centre is not None:
        near, far = (field.mound_centre + way * field.mound_diameter / 2 for way in (-1, 1))
        names = "mound-centre mound-diameter pitching-distance | pitchers-plate-depth"
        yield pitching < near or rear > far, names, tell("distances are measured from the plate's rear tip")
    if (radius := field.pitching_circle_radius) is not None:
        yield (
            field.mound_diameter is not None,
            "pitching-circle-radius mound-diameter",
            tell("leave out one of them"),
        )
        corner = math.hypot(field.pitchers_plate_width / 2, field.pitchers_plate_depth)
        names = "pitching-circle-radius pitchers-plate-width | pitchers-plate-depth"
        yield radius <= corner, names, tell("it is drawn about the middle of the plate's front edge")


def _check_infield_arc(field: DiamondDimensions) -> Iterator[_Check]:
    """The arc must pass behind all the bases; its centre is the front of the pitcher's plate."""
    base, pitching = float(field.base_distance), float(field.pitching_distance)
    to_second = abs(base * math.sqrt(2) - pitching)
    to_first = math.hypot(base * math.sqrt(0.5), base * math.sqrt(0.5) - pitching)
    is_short = field.infield_arc is not None and field.infield_arc <= max(to_second, to_first)
    names = "infield-arc | base-distance pitching-distance"
    yield (
        is_short,
        names,
        tell(
            "from the front of the pitcher's plate second base is {second} off and first base {first}",
            second=_write(to_second),
            first=_write(to_first),
        ),
    )
