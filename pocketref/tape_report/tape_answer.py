"""What taped readings say, as a short text for a crew and as JSON for a program."""

from __future__ import annotations

import json

from pocketref.field.mound import JudgedSlope
from pocketref.tape.mound_readings import JudgedMound
from pocketref.tape.sheet_pulls import list_untaped
from pocketref.tape.verdicts import FoundStation, PlaceVerdict, TapeFault, TapeReport
from pocketref.tape_report.tape_file import JudgedFile
from pocketref.tape_report.tape_words import CAUTION, OURS, PLAN_NAMES, write_all, write_mound
from pocketref.words.speech import say, speak


def write_tape_answer(judged: JudgedFile) -> str:
    """The answer for a crew: what is out and which way to move it, what to tape once more."""
    outcome, head = (
        judged.outcome,
        f"{judged.field.key}, {say(PLAN_NAMES[judged.readings.plan])}: {judged.name}",
    )
    if isinstance(outcome, JudgedMound):
        return "\n".join([head, *write_mound(outcome), say(OURS)])
    caution = [say(CAUTION)] if outcome.list_stations(PlaceVerdict.OUT) else []
    return "\n".join([head, *write_all(outcome), *caution, say(OURS)])


def write_tape_json(judged: JudgedFile) -> str:
    """The same for a program; keys are stable, lengths in mm, and words English."""
    head = {
        "file": judged.name,
        "level": judged.field.key,
        "findings": judged.has_findings,
        "plan": judged.readings.plan,
    }
    outcome = judged.outcome
    with speak(None):
        said = _dump_mound(outcome) if isinstance(outcome, JudgedMound) else _dump_report(outcome)
    return json.dumps(head | said, ensure_ascii=False, indent=1)


def _dump_mound(mound: JudgedMound) -> dict[str, object]:
    return {
        "pitchers-plate": _dump_height(mound.plate) if mound.plate else None,
        "slope": [_dump_height(height) for height in mound.slope],
        "unread-mm": [round(point.ahead.float_mm, 2) for point in mound.unread],
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


def _dump_report(report: TapeReport) -> dict[str, object]:
    misreads = {misread.name: round(report.explanation.measure(misread), 2) for misread in report.misreads}
    return {
        "agree": report.is_settled,
        "tape": _dump_tape(report.tape) if report.tape else None,
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
        "misreads": misreads,
        "swapped": report.swapped,
        "one-of": [{"pulls": doubt.pulls, "places": doubt.places} for doubt in report.doubts],
        "worst": report.worst,
        "moved-together": report.together,
        "not-taped": list_untaped(report.plan, report.readings, report.tolerance),
    }


def _dump_tape(tape: TapeFault) -> dict[str, object]:
    return {
        "thousandths": round(tape.thousandths, 3),
        "offset-mm": round(tape.offset_mm, 2),
        "or-the-field": tape.is_field_perhaps,
        "harmless": tape.is_harmless,
    }


def _dump_station(found: FoundStation) -> dict[str, object]:
    major, minor, turn = found.ellipse_mm
    return {
        "verdict": str(found.verdict),
        "move": found.move if found.verdict is PlaceVerdict.OUT else None,
        "tape": found.pulls,
        "allowed-mm": round(found.tolerance.float_mm, 2),
        "off-mm": round(found.offset_mm, 2),
        "off-xy-mm": [round(amount, 2) for amount in found.off_mm],
        "ellipse-mm": [round(major, 2), round(minor, 2)],
        "ellipse-turn-deg": round(turn, 1),
    }
