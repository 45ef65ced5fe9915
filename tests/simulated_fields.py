"""Fields whose truth is known, taped with the errors of the model: to see whether what is claimed is so."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np

from pocketref.field.plan import Plan, PointMm
from pocketref.field.pulls import Pull
from pocketref.tape.error_model import HOLDING_MM, STEEL, STEP, UNKNOWN_TEMPERATURE_ERROR_F, Tape
from pocketref.tape.readings import Reading
from pocketref.units.length import INCH_MM, Length


@dataclass(frozen=True, slots=True)
class SimulatedField:
    """Where its stations truly are, by mark, and what a crew would read."""

    true_mm: dict[str, PointMm]
    readings: tuple[Reading, ...]


def simulate_field(
    plan: Plan,
    taped: Sequence[Pull],
    random: np.random.Generator,
    *,
    held: Sequence[str] = (),
    misplaced_mm: float = 0.0,
    moved_in: Mapping[str, tuple[float, float]] | None = None,
    misread_in: Mapping[str, float] | None = None,
    factor: float = 0.0,
    offset_in: float = 0.0,
    tape: Tape = STEEL,
) -> SimulatedField:
    """A field as planned, but marked with errors (standard deviation `misplaced_mm` each way, none for `held`) and with
    stations moved; taped by a tape that is off by a factor and an offset, pulls misread.

    Each part of the model is drawn as what it is: graduations uniform within their tolerance, each end held normally,
    one unknown warmth for the whole field, the reading rounded to its step.
    """
    marks = dict.fromkeys(mark for pull in taped for mark in (pull.from_station, pull.to_station))
    true_mm = {}
    for mark in marks:
        dx, dy = (moved_in or {}).get(mark, (0.0, 0.0))
        noise = (0.0, 0.0) if mark in held else random.normal(0.0, 1.0, 2) * misplaced_mm
        station = plan.stations[mark]
        true_mm[mark] = (
            station.x_mm + dx * INCH_MM + float(noise[0]),
            station.y_mm + dy * INCH_MM + float(noise[1]),
        )
    warmth = 1 + tape.expansion_per_f * random.normal(0.0, UNKNOWN_TEMPERATURE_ERROR_F)
    length = np.array([math.dist(true_mm[pull.from_station], true_mm[pull.to_station]) for pull in taped])
    tolerance = tape.tolerance_mm(length)
    read = (
        (1 + factor) * length / warmth + offset_in * INCH_MM + random.uniform(-1, 1, len(taped)) * tolerance
    )
    read += random.normal(0.0, HOLDING_MM * math.sqrt(2), len(taped))
    read += np.array([(misread_in or {}).get(pull.name, 0.0) for pull in taped]) * INCH_MM
    steps = np.maximum(np.round(read / STEP.float_mm), 1).astype(int).tolist()
    return SimulatedField(
        true_mm,
        tuple(
            Reading(p.from_station, p.to_station, Length(step * Fraction(STEP.inches)))
            for p, step in zip(taped, steps, strict=True)
        ),
    )


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a field: given to `simulate_field`, the stations truly off, and other pulls taped."""

    given: dict[str, Any]
    off: tuple[str, ...] = ()
    taped: tuple[Pull, ...] = ()
    misread: str = ""


Draw = Callable[[Plan, Sequence[Pull], np.random.Generator], Fault]
_PLATE = ("A", "P1", "P2", "P3", "P4", "2B")


def _give(name: str, amount: float) -> Draw:
    return lambda *_: Fault({name: amount})


def _move_corner(inches: float) -> Draw:
    def draw(plan: Plan, taped: Sequence[Pull], random: np.random.Generator) -> Fault:
        marks = sorted(
            {mark for pull in taped for mark in (pull.from_station, pull.to_station)} - set(_PLATE)
        )
        mark, turn = marks[int(random.integers(len(marks)))], float(random.uniform(0, 2 * math.pi))
        return Fault({"moved_in": {mark: (inches * math.cos(turn), inches * math.sin(turn))}}, (mark,))

    return draw


def _misread(inches: float) -> Draw:
    def draw(plan: Plan, taped: Sequence[Pull], random: np.random.Generator) -> Fault:
        pull = taped[int(random.integers(len(taped)))]
        by = inches if random.integers(2) or pull.length_mm < 2 * inches * INCH_MM else -inches
        return Fault({"misread_in": {pull.name: by}}, misread=pull.name)

    return draw


def _move_box(plan: Plan, taped: Sequence[Pull], random: np.random.Generator) -> Fault:
    box = "FT"[int(random.integers(2))]
    marks = tuple(f"{box}{number}" for number in (1, 2, 3, 4))
    size, turn = float(random.uniform(0.75, 4)), float(random.uniform(0, 2 * math.pi))
    return Fault({"moved_in": dict.fromkeys(marks, (size * math.cos(turn), size * math.sin(turn)))}, marks)


def _fill_half(plan: Plan, taped: Sequence[Pull], random: np.random.Generator) -> Fault:
    return Fault({}, taped=tuple(pull for pull in taped if random.integers(2)))


def _spoil_half(plan: Plan, taped: Sequence[Pull], random: np.random.Generator) -> Fault:
    half = _fill_half(plan, taped, random).taped
    return replace(_misread(12.0)(plan, half, random), taped=half)


FAULTS: dict[str, Draw] = {
    "nothing": lambda *_: Fault({}),
    **{f"corner {inches} in off": _move_corner(inches) for inches in (0.5, 0.75, 1.0, 3.0, 12.0)},
    "whole box off": _move_box,
    **{f"pull misread by {inches} in": _misread(inches) for inches in (1.0, 12.0)},
    **{f"factor {k}": _give("factor", k) for k in (-0.02, -0.01, -0.005, -0.003, 0.003, 0.005, 0.01, 0.02)},
    **{f"offset {c} in": _give("offset_in", c) for c in (-2.0, -1.0, -0.5, 0.5, 1.0, 2.0)},
    "half filled": _fill_half,
    "half filled, pull misread by 12 in": _spoil_half,
}
"""Faults to draw, by name: each of a plan and the pulls taped."""
