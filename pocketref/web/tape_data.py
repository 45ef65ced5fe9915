"""What the page judges taped readings with: the plans, their pulls and limits, and the figures of the error model."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.problems import PocketrefError
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.tape import error_model, explain, network, readings, readings_file, verdicts
from pocketref.tape.error_model import TAPES, Tape
from pocketref.tape.sheet_pulls import choose_sheet_pulls, find_limit_mm
from pocketref.tape_report.tape_words import CAUTION, MOST_NAMED, OURS, PLAN_NAMES, add_article
from pocketref.units.length import Length
from pocketref.words.speech import say

_PLANS: Mapping[str, Callable[[Mapping[str, Length]], Plan]] = {
    "plate-area": construct_plate_area,
    "diamond": construct_diamond,
}
_SQUARE = ("A", "1B", "2B", "3B")


def build_tape_data(library: Library, levels: tuple[str, ...] = ()) -> dict[str, object]:
    """The edition's levels, or those named, and all that verdicts on their readings rest on; lengths in mm."""
    chosen = [library.fields[key] for key in levels or library.edition.levels]
    described = {
        field.key: _describe_level(field) | {"name": f"{library.codes[field.code].name}, {field.name}"}
        for field in chosen
        if "station" in field.tolerances
    }
    described = {key: level for key, level in described.items() if level["plans"]}
    most = max(
        (len(plan["pulls"]) for level in described.values() for plan in level["plans"].values()), default=0
    )
    return {"levels": described, "caution": say(CAUTION), "ours": say(OURS), **_describe_model(2 * most)}


def _describe_level(field: FieldModel) -> dict[str, Any]:
    lengths = {name: dimension.value for name, dimension in field.dimensions.items()}
    tolerance = field.tolerances["station"].value
    plans = {name: _construct(construct, lengths) for name, construct in _PLANS.items()}
    return {
        "plans": {
            name: _describe_plan(plan, tolerance) | {"name": say(PLAN_NAMES[name])}
            for name, plan in plans.items()
            if plan
        }
    }


def _construct(
    construct: Callable[[Mapping[str, Length]], Plan], lengths: Mapping[str, Length]
) -> Plan | None:
    """The plan; None for a level that states too few dimensions for it."""
    try:
        return construct(lengths)
    except PocketrefError:
        return None


def _describe_plan(plan: Plan, tolerance: Length) -> dict[str, Any]:
    every, sheet = pulls(plan), choose_sheet_pulls(plan, tolerance)
    number = {pull.name: index for index, pull in enumerate(every)}
    return {
        "toleranceMm": tolerance.float_mm,
        "shown": verdicts.find_shown(plan),
        "stations": {
            mark: [round(station.x_mm, 6), round(station.y_mm, 6), say(station.label)]
            for mark, station in plan.stations.items()
        },
        "pulls": [
            [
                pull.from_station,
                pull.to_station,
                say(pull.description),
                round(pull.length_mm, 6),
                find_limit_mm(pull),
                *(_measure_graduation_mm(tape, pull.length_mm) for tape in TAPES.values()),
            ]
            for pull in every
        ],
        "outlines": list(_list_outlines(plan)),
        "rings": list(_list_rings(plan)),
        "must": [number[pull.name] for pull in sheet.must],
        "more": [number[pull.name] for pull in sheet.more],
    }


def _list_outlines(plan: Plan) -> Iterator[list[tuple[float, float]]]:
    """The field as planned, as lines through points: areas closed, of the catcher's box its lines."""
    paths = [
        (*area.points_mm, area.points_mm[0]) for name, area in plan.areas.items() if name != "catchers-box"
    ]
    paths += [
        (line.start_mm, line.end_mm) for name, line in plan.lines.items() if name.startswith("catchers-box")
    ]
    if "1B" in plan.stations:
        paths.append(tuple((plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in (*_SQUARE, "A")))
    for path in paths:
        yield [(round(x), round(y)) for x, y in path]


def _list_rings(plan: Plan) -> Iterator[list[str]]:
    """The marks around each box, or the square of the bases: what is drawn through the marks as found."""
    place = {(round(s.x_mm, 3), round(s.y_mm, 3)): mark for mark, s in plan.stations.items()}
    for name, area in plan.areas.items():
        marks = [place.get((round(x, 3), round(y, 3)), "") for x, y in area.points_mm]
        if name != "plate" and all(marks):
            yield marks
    if "1B" in plan.stations:
        yield list(_SQUARE)


def _measure_graduation_mm(tape: Tape, length_mm: float) -> float:
    return round(float(tape.predict_graduation_mm(np.array([length_mm]))[0]), 9)


def _describe_model(most_readings: int) -> dict[str, object]:
    return _describe_errors() | _describe_explanations(most_readings) | _describe_verdicts()


def _describe_errors() -> dict[str, object]:
    """How a tape errs, and how marks are placed by it."""
    return {
        "plateMarks": readings.PLATE_MARKS,
        "centreMarks": network.CENTRE_MARKS,
        "plateMm": error_model.PLATE_MM,
        "turnMm": error_model.TURN_MM,
        "offsetMm": error_model.OFFSET_MM,
        "honest": error_model.HONEST,
        "ellipse": error_model.ELLIPSE_FACTOR,
        "standardF": error_model.STANDARD_TEMPERATURE_F,
        "coldestF": readings_file.COLDEST_F,
        "hottestF": readings_file.HOTTEST_F,
        "handMm2": float(error_model.predict_hand_mm2(error_model.STEP.float_mm)),
        "tapes": {
            name: {
                "name": say(name),
                "expansionPerF": tape.expansion_per_f,
                "factor": {
                    "known": tape.predict_factor(is_warmth_known=True),
                    "unknown": tape.predict_factor(is_warmth_known=False),
                },
            }
            for name, tape in TAPES.items()
        },
        "freeMm": network.FREE_MM,
        "mostSteps": network.MOST_STEPS,
        "settledMm": network.SETTLED_MM,
    }


def _describe_explanations(most_readings: int) -> dict[str, object]:
    """What may explain readings that do not agree, and when it does."""
    return {
        "shapes": network.SHAPES,
        "shapeWords": {name: say(name) for name in network.SHAPES},
        "shapeNames": {name: say(add_article(name)) for name in network.SHAPES},
        "critical": [
            [round(explain.find_critical(size, count), 9) for count in range(1, most_readings + 1)]
            for size in (1, 2, 3)
        ],
        "rival": explain.RIVAL,
        "mostCauses": explain.MOST_CAUSES,
        "fewLeftOut": explain.FEW_LEFT_OUT,
        "mostShare": explain.MOST_SHARE,
        "fewBeside": explain.FEW_BESIDE,
        "mostSolved": explain.MOST_SOLVED,
        "hopeful": explain.HOPEFUL,
        "rounding": explain.ROUNDING,
        "unchecked": explain.UNCHECKED,
    }


def _describe_verdicts() -> dict[str, object]:
    """When a mark is moved, taped again or left, and what slips of the pencil are known by."""
    return {
        "order": verdicts.ORDER,
        "silent": verdicts.SILENT,
        "loose": verdicts.LOOSE,
        "alikeMm": verdicts.ALIKE_MM,
        "worst": verdicts.WORST,
        "swapped": verdicts.SWAPPED,
        "leastMoveMm": verdicts.LEAST_MOVE.float_mm,
        "mostNamed": MOST_NAMED,
        "slips": readings.SLIPS,
        "slipNames": {slip: say(slip) for slip in readings.SLIPS},
        "slipWithin": readings.WITHIN,
        "slipFewest": readings.FEWEST,
        "slipNearlyAll": readings.NEARLY_ALL,
        "verdicts": {verdict.name.lower(): say(verdict) for verdict in verdicts.PlaceVerdict},
    }
