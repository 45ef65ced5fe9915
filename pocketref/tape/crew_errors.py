"""The errors that crews make when they lay out the plate area, as moves of its stations.

Which errors, how large, and which is likelier, is our own list: kinds of error in the order of likelihood that we
give them, each error one slip with its usual size.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pocketref.field.dimensions import PlateDimensions, read_plate_dimensions
from pocketref.field.plan import Plan, PointMm
from pocketref.units.length import INCH_MM, Length

CORNER_IN = 0.5
"""A single corner off, in each of eight directions."""
SLIP_IN = 2
"""A box shifted, or its gap to the plate wrong."""
SIZE_SLIP_IN = 3
"""A box too long or too wide."""
REAR_SLIP_IN = 1
TURN_DEG = 1.0

CORNER, SHIFTED, SIZED, TURNED = "one corner alone", "a box shifted", "a box of another size", "a box turned"
BOTH, ALL, LINE, CATCHER = "both boxes alike", "all but the plate", "a foul line's start", "the catcher's box"
_BOXES = (("F", 1, "first-base-side box"), ("T", -1, "third-base-side box"))
_ALONG, _ACROSS = ("toward the pitcher", "toward the backstop"), ("toward first", "toward third")
_OUTWARD = {"1": (-1, -1), "2": (1, -1), "3": (1, 1), "4": (-1, 1)}
"""By corner, which way is out of a box on the first-base side: across and along."""
_BOX_ERRORS: tuple[tuple[str, str, tuple[str, str], str, tuple[float, float]], ...] = (
    (SHIFTED, f"{{box}} {SLIP_IN} in {{}}", _ALONG, "1234", (0, SLIP_IN)),
    (SHIFTED, f"{{box}} {SLIP_IN} in {{}} the plate", ("away from", "toward"), "1234", (SLIP_IN, 0)),
    (SIZED, f"{{box}} {SIZE_SLIP_IN} in too {{}} in front", ("long", "short"), "34", (0, SIZE_SLIP_IN)),
    (SIZED, f"{{box}} {SIZE_SLIP_IN} in too {{}} behind", ("long", "short"), "12", (0, -SIZE_SLIP_IN)),
    (SIZED, f"{{box}} {SIZE_SLIP_IN} in too {{}}", ("wide", "narrow"), "23", (SIZE_SLIP_IN, 0)),
    (
        SIZED,
        f"inner line of the {{box}} {SLIP_IN} in too {{}} the plate",
        ("far from", "near"),
        "14",
        (SLIP_IN, 0),
    ),
)
"""What spoils one box: its words, the corners that move, and how, in: across is away from the plate."""


@dataclass(frozen=True, slots=True)
class CrewError:
    """One error: its kind, what went wrong, and how it moves each station that it moves, mm; None: not there at all."""

    kind: str
    name: str
    moves: Mapping[str, PointMm | None]


def list_crew_errors(plan: Plan, dimensions: Mapping[str, Length]) -> tuple[CrewError, ...]:
    """Every error of the list that the plan of a plate area can have, the likelier kinds first."""
    every = [mark for mark in plan.stations if mark[0] in "FTCL"]
    spoilt = [
        *_move_corners(every),
        *(error for box in _BOXES for error in _spoil_box(plan, *box)),
        *_spoil_boxes(plan, read_plate_dimensions(dimensions)),
        *_spoil_all(plan, every),
        *(_spoil_catchers_box() if "C1" in plan.stations else ()),
    ]
    order = (CORNER, SHIFTED, SIZED, TURNED, BOTH, ALL, LINE, CATCHER)
    return tuple(sorted(spoilt, key=lambda error: order.index(error.kind)))


def _move(kind: str, name: str, moves_in: Mapping[str, tuple[float, float]]) -> CrewError:
    """Marks moved by inches."""
    return CrewError(kind, name, {mark: (x * INCH_MM, y * INCH_MM) for mark, (x, y) in moves_in.items()})


def _spoil(
    kind: str, name: str, words: tuple[str, str], marks: Iterable[str], move_in: tuple[float, float]
) -> Iterator[CrewError]:
    """Marks moved alike one way and the other, each named with its word in the place of {}."""
    for way, word in zip((1, -1), words, strict=True):
        yield _move(kind, name.format(word), dict.fromkeys(marks, (way * move_in[0], way * move_in[1])))


def _turn(plan: Plan, kind: str, name: str, marks: Sequence[str], centre: PointMm) -> Iterator[CrewError]:
    """Stations turned about a point, counter-clockwise and clockwise."""
    for degrees in (TURN_DEG, -TURN_DEG):
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        arms = {m: (plan.stations[m].x_mm - centre[0], plan.stations[m].y_mm - centre[1]) for m in marks}
        moves = {mark: (x * cos - y * sin - x, x * sin + y * cos - y) for mark, (x, y) in arms.items()}
        yield CrewError(kind, name.format(f"{degrees:+g}"), moves)


def _move_corners(marks: Iterable[str]) -> Iterator[CrewError]:
    for mark in marks:
        for degrees in range(0, 360, 45):
            x, y = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            yield _move(CORNER, f"{mark} 1/2 in off at {degrees}°", {mark: (CORNER_IN * x, CORNER_IN * y)})


def _spoil_box(plan: Plan, letter: str, sign: int, box: str) -> Iterator[CrewError]:
    for kind, name, words, corners, (across, along) in _BOX_ERRORS:
        marks = [letter + number for number in corners]
        yield from _spoil(kind, name.format("{}", box=box), words, marks, (sign * across, along))
    corner = [plan.stations[letter + number] for number in _OUTWARD]
    centre = sum(each.x_mm for each in corner) / 4, sum(each.y_mm for each in corner) / 4
    yield from _turn(plan, TURNED, f"{box} turned {{}}°", [each.name for each in corner], centre)


def _spoil_boxes(plan: Plan, plate: PlateDimensions) -> Iterator[CrewError]:
    """Both boxes wrong in the same way: centred wrong, shifted, turned, or by another template."""
    marks = [letter + number for letter, _, _ in _BOXES for number in _OUTWARD]
    half, width = float(plate.half_plate), float(plate.line_width)
    apart = float(
        plate.front - plate.back - plate.plate_width
    )  # farther ahead of the plate's middle than behind
    how = "measured from" if apart else "centred on"
    yield from _spoil(BOTH, f"both boxes {how} the plate's {{}}", ("tip", "front edge"), marks, (0, -half))
    if apart:
        yield _move(BOTH, "both boxes centred on the plate", dict.fromkeys(marks, (0.0, -apart / 2)))
        yield _move(BOTH, "both boxes the wrong way round", dict.fromkeys(marks, (0.0, -apart)))
    yield from _spoil(BOTH, f"both boxes {SLIP_IN} in {{}}", _ALONG, marks, (0, SLIP_IN))
    yield from _spoil(BOTH, f"both boxes {SLIP_IN} in {{}}", _ACROSS, marks, (SLIP_IN, 0))
    yield from _turn(plan, BOTH, "both boxes turned {}° about the plate", marks, (0.0, half * INCH_MM))
    templates: dict[str, Callable[[int, int], tuple[float, float]]] = {
        "measured to the inside of their lines": lambda x, y: (x * width, y * width),
        "by a template a foot longer": lambda _, y: (0.0, y * 6.0),
        "by a template a foot narrower": lambda x, _: (-12.0 if x > 0 else 0.0, 0.0),
    }
    for name, out in templates.items():
        moves = {f + n: (s * out(*way)[0], out(*way)[1]) for f, s, _ in _BOXES for n, way in _OUTWARD.items()}
        yield _move(BOTH, f"both boxes {name}", moves)


def _spoil_all(plan: Plan, marks: Sequence[str]) -> Iterator[CrewError]:
    """All as one, where the plate itself is off; and the foul lines."""
    yield from _spoil(ALL, f"all but the plate {SLIP_IN} in {{}}", _ALONG, marks, (0, SLIP_IN))
    yield from _spoil(ALL, f"all but the plate {SLIP_IN} in {{}}", _ACROSS, marks, (SLIP_IN, 0))
    yield from _turn(plan, ALL, "all but the plate turned {}°", marks, (0.0, plan.stations["P2"].y_mm / 2))
    for mark, name in (("L1", "first-base foul line"), ("L3", "third-base foul line")):
        yield from _spoil(LINE, f"{name} starts {SLIP_IN} in {{}}", _ACROSS, [mark], (SLIP_IN, 0))


def _spoil_catchers_box() -> Iterator[CrewError]:
    marks, half = ("C1", "C2", "C3", "C4"), SIZE_SLIP_IN / 2
    yield from _spoil(CATCHER, f"catcher's box {SLIP_IN} in {{}}", _ACROSS, marks, (SLIP_IN, 0))
    for way, word in ((half, "wide"), (-half, "narrow")):
        wider = {mark: (way if mark in marks[:2] else -way, 0.0) for mark in marks}
        yield _move(CATCHER, f"catcher's box {SIZE_SLIP_IN} in too {word}", wider)
    rear = f"catcher's box's rear line {REAR_SLIP_IN} in too {{}}"
    yield from _spoil(CATCHER, rear, ("deep", "near"), ("C1", "C3"), (0, -REAR_SLIP_IN))
    yield CrewError(CATCHER, "no catcher's box painted", dict.fromkeys(marks))
