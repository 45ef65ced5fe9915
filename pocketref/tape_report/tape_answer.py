"""What taped readings say, as a short text for a crew and as JSON for a program."""

from __future__ import annotations

import json

from pocketref.field.mound import JudgedSlope
from pocketref.tape.adjust import FoundStation, JudgedReading, PlaceVerdict
from pocketref.tape.mound_readings import JudgedMound, write_mound
from pocketref.tape.readings_file import FieldReadings
from pocketref.tape.verdicts import StationVerdict, TapeReport
from pocketref.tape_report.tape_file import JudgedFile
from pocketref.tape_report.tape_words import (
    list_worst,
    say_counts,
    say_faults,
    say_readings,
    say_settling,
    say_stations,
)

PLAN_NAMES = {"plate-area": "plate area", "diamond": "whole field"}
CAUTION = (
    "Moving a line? Never mark with hydrated lime or quicklime: it burns eyes and skin. "
    "Read the material's safety data sheet."
)
OURS = "Tolerances are our own: rule books give none. The rule book and the league govern."


def write_tape_answer(judged: JudgedFile) -> str:
    """The answer for a crew: what is out and which way to move it, what to tape once more."""
    if isinstance(judged.outcome, JudgedMound):
        body = write_mound(judged.outcome)
        what = "mound"
    else:
        report = judged.outcome
        body = [
            *say_faults(report),
            *say_counts(report),
            *say_settling(report),
            *say_stations(report),
            *say_readings(report),
        ]
        what = PLAN_NAMES[judged.readings.plan] if isinstance(judged.readings, FieldReadings) else ""
    return "\n".join([f"{judged.field.key}, {what}: {judged.name}", *body, *_say_footing(judged)])


def _say_footing(judged: JudgedFile) -> list[str]:
    is_moved = judged.has_findings and not isinstance(judged.outcome, JudgedMound)
    return [*([CAUTION] if is_moved else []), OURS]


def write_tape_json(judged: JudgedFile) -> str:
    """The same for a program; keys are stable, lengths in mm."""
    content: dict[str, object] = {
        "file": judged.name,
        "level": judged.field.key,
        "findings": judged.has_findings,
    }
    if isinstance(judged.outcome, JudgedMound):
        content["plan"] = "mound"
        content["pitchers-plate"] = _dump_height(judged.outcome.plate) if judged.outcome.plate else None
        content["slope"] = [_dump_height(height) for height in judged.outcome.slope]
        content["unread-mm"] = [round(point.ahead.float_mm, 2) for point in judged.outcome.unread]
        return _write(content)
    return _write(content | _dump_report(judged.outcome))


def _dump_report(report: TapeReport) -> dict[str, object]:
    adjustment, plate = report.adjustment, report.plate
    return {
        "plan": adjustment.plan.name,
        "agree": adjustment.is_consistent,
        "stations": {mark: _dump_station(station) for mark, station in report.stations.items()},
        "readings": {reading.reading.name: _dump_reading(reading) for reading in adjustment.readings},
        "misread": adjustment.misread or None,
        "misread-by-mm": round(adjustment.misread_by_mm, 2),
        "misreads": {misread.name: round(misread.by_mm, 2) for misread in adjustment.misreads},
        "swapped": [list(pair) for pair in adjustment.swapped],
        "suspects": list(adjustment.suspects),
        "suspect-groups": [list(group) for group in adjustment.suspect_groups],
        "worst": list_worst(adjustment),
        "home-plate": {"taped": list(plate.taped), "off": list(plate.off)} if plate else None,
        "moved-together": [
            {"stations": list(shared.marks), "move": shared.move.write()} for shared in report.together
        ],
        "unchecked": list(adjustment.unchecked),
        "not-taped": list(report.untaped),
        "next-pull": report.next_pull.pull.name if report.next_pull else None,
        "next-pull-again": report.next_pull.is_repeat if report.next_pull else False,
        "chi-square": round(adjustment.chi_square, 3),
        "degrees-of-freedom": adjustment.spare,
    }


def _write(content: dict[str, object]) -> str:
    return json.dumps(content, ensure_ascii=False, indent=1)


def _dump_station(judged: StationVerdict) -> dict[str, object]:
    found: FoundStation = judged.found
    return {
        "verdict": str(judged.verdict),
        "move": judged.move.write() if judged.verdict is PlaceVerdict.OUT else None,
        "check-first": list(judged.check_first),
        "settled-by": str(judged.settled_by) if judged.settled_by else None,
        "tape": judged.pull.pull.name if judged.pull else None,
        "allowed-mm": round(judged.tolerance.float_mm, 2),
        "off-mm": round(found.offset_mm, 2),
        "found-mm": [round(found.x_mm, 2), round(found.y_mm, 2)],
        "planned-mm": [round(found.planned_x_mm, 2), round(found.planned_y_mm, 2)],
        "ellipse-mm": [round(found.ellipse.semi_major_mm, 2), round(found.ellipse.semi_minor_mm, 2)],
        "ellipse-turn-deg": round(found.ellipse.turn_deg, 1),
    }


def _dump_reading(judged: JudgedReading) -> dict[str, object]:
    return {
        "read-mm": round(judged.reading.length.float_mm, 2),
        "planned-mm": round(judged.planned_mm, 2),
        "residual-mm": round(judged.residual_mm, 2),
        "standardised": None if judged.standardised is None else round(judged.standardised, 2),
        "redundancy": round(judged.redundancy, 3),
    }


def _dump_height(judged: JudgedSlope) -> dict[str, object]:
    return {
        "ahead-mm": round(judged.reading.ahead.float_mm, 2),
        "below-mm": round(judged.reading.below_plate.float_mm, 2),
        "target-below-mm": round(judged.target.below_plate.float_mm, 2),
        "add-mm": round(judged.add.float_mm, 2),
        "good": judged.is_good,
        "verdict": judged.verdict,
    }
