"""What taped readings say, as a short text for a crew and as JSON for a program."""

from __future__ import annotations

import json

from pocketref.field.mound import JudgedSlope
from pocketref.tape.mound_readings import JudgedMound
from pocketref.tape.sheet_pulls import list_untaped
from pocketref.tape.verdicts import FoundStation, PlaceVerdict, TapeReport
from pocketref.tape_report.tape_file import JudgedFile
from pocketref.tape_report.tape_words import write_all, write_mound

PLAN_NAMES = {"plate-area": "plate area", "diamond": "whole field", "mound": "mound"}
CAUTION = (
    "Moving a line? Never mark with hydrated lime or quicklime: it burns eyes and skin. "
    "Read the material's safety data sheet."
)
OURS = "Tolerances are our own: rule books give none. The rule book and the league govern."


def write_tape_answer(judged: JudgedFile) -> str:
    """The answer for a crew: what is out and which way to move it, what to tape once more."""
    outcome, what = judged.outcome, PLAN_NAMES[judged.readings.plan]
    body = write_mound(outcome) if isinstance(outcome, JudgedMound) else write_all(outcome)
    return "\n".join([f"{judged.field.key}, {what}: {judged.name}", *body, *_write_footing(judged)])


def _write_footing(judged: JudgedFile) -> list[str]:
    is_moved = isinstance(judged.outcome, TapeReport) and bool(judged.outcome.list_stations(PlaceVerdict.OUT))
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
    tape = report.tape
    return {
        "plan": report.plan.name,
        "agree": report.is_settled,
        "tape": {
            "thousandths": round(tape.thousandths, 3),
            "offset-mm": round(tape.offset_mm, 2),
            "or-the-field": tape.is_field_perhaps,
            "harmless": tape.is_harmless,
        }
        if tape
        else None,
        "second-tape": report.second_pull.name if report.second_pull else None,
        "stations": {mark: _dump_station(found) for mark, found in report.stations.items()},
        "readings": [
            {
                "pull": reading.name,
                "read-mm": round(reading.length.float_mm, 2),
                "planned-mm": round(residual.target_mm, 2),
                "residual-mm": round(residual.left_mm, 2),
                "standardised": None if residual.errors is None else round(residual.errors, 2),
            }
            for reading, residual in zip(report.readings, report.list_residuals(), strict=True)
        ],
        "misreads": {
            misread.name: round(report.explanation.measure(misread), 2) for misread in report.misreads
        },
        "swapped": [list(pair) for pair in report.swapped],
        "one-of": [{"pulls": list(doubt.pulls), "places": list(doubt.places)} for doubt in report.doubts],
        "worst": list(report.worst),
        "moved-together": {name: list(marks) for name, marks in report.together.items()},
        "not-taped": list(list_untaped(report.plan, report.readings, report.tolerance)),
    }


def _write(content: dict[str, object]) -> str:
    return json.dumps(content, ensure_ascii=False, indent=1)


def _dump_station(found: FoundStation) -> dict[str, object]:
    major, minor, turn = found.ellipse_mm
    return {
        "verdict": str(found.verdict),
        "move": found.move if found.verdict is PlaceVerdict.OUT else None,
        "tape": list(found.pulls),
        "allowed-mm": round(found.tolerance.float_mm, 2),
        "off-mm": round(found.offset_mm, 2),
        "off-xy-mm": [round(amount, 2) for amount in found.off_mm],
        "ellipse-mm": [round(major, 2), round(minor, 2)],
        "ellipse-turn-deg": round(turn, 1),
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
