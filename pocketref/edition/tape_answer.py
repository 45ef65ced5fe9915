"""What taped readings say, as a short text for a crew and as JSON for a program."""

from __future__ import annotations

import json
from fractions import Fraction

from pocketref.edition.tape_file import JudgedFile
from pocketref.field.adjust import Adjustment, FoundStation, JudgedReading
from pocketref.field.mound import JudgedSlope
from pocketref.field.mound_readings import JudgedMound, word_height
from pocketref.field.readings import FieldReadings
from pocketref.field.verdicts import StationVerdict, TapeReport, Verdict
from pocketref.units.length import Length
from pocketref.units.notation import write_tape

PLAN_NAMES = {"plate-area": "plate area", "diamond": "whole field"}
CAUTION = (
    "Moving a line? Never mark with hydrated lime or quicklime: it burns eyes and skin. "
    "Read the material's safety data sheet."
)
OURS = "Tolerances are our own: rule books give none. The rule book and the league govern."


def write_tape_answer(judged: JudgedFile) -> str:
    """The answer for a crew: what is out and which way to move it, what to tape once more."""
    if isinstance(judged.outcome, JudgedMound):
        body = _say_mound(judged.outcome)
        what = "mound"
    else:
        body = [*say_counts(judged.outcome), *say_stations(judged.outcome), *say_readings(judged.outcome)]
        what = PLAN_NAMES[judged.readings.plan] if isinstance(judged.readings, FieldReadings) else ""
    return "\n".join([f"{judged.field.key}, {what}: {judged.name}", *body, *_say_footing(judged)])


def _say_footing(judged: JudgedFile) -> list[str]:
    is_moved = judged.has_findings and not isinstance(judged.outcome, JudgedMound)
    return [*([CAUTION] if is_moved else []), OURS]


def _say_mound(mound: JudgedMound) -> list[str]:
    lines = [word_height(mound.plate, is_plate=True)] if mound.plate else []
    return lines + [word_height(height) for height in mound.slope]


def say_counts(report: TapeReport) -> list[str]:
    """How many stations have which verdict, in a line."""
    order = (Verdict.OUT, Verdict.TOO_CLOSE, Verdict.GOOD)
    counts = [(len(report.list_stations(verdict)), verdict) for verdict in order]
    return [", ".join(f"{count} {verdict}" for count, verdict in counts if count)]


def say_stations(report: TapeReport) -> list[str]:
    """One line a station that needs something; good ones and pins together."""
    lines = say_unsettled(report)
    for verdict in (Verdict.GOOD, Verdict.TAKEN_AS_KNOWN):
        marks = report.list_stations(verdict)
        lines += [f"{verdict}: {' '.join(marks)}"] if marks else []
    return lines


def say_unsettled(report: TapeReport) -> list[str]:
    """One line a station that is out, too close to call, or in one of two places."""
    lines = []
    for mark, judged in report.stations.items():
        if judged.verdict in (Verdict.OUT, Verdict.TOO_CLOSE):
            lines.append(f"{mark}, {judged.found.label}: {say_station(judged)}")
        if judged.found.mirror_mm:
            lines.append(f"{mark}: its readings fit a second place as well; tape one more pull to it")
    return lines


def say_station(judged: StationVerdict) -> str:
    """A station's verdict with its move and how sure it is."""
    found = judged.found
    off, sure = (
        write_tape(Length.from_mm(Fraction(mm))) for mm in (found.offset_mm, found.ellipse.semi_major_mm)
    )
    if judged.verdict is Verdict.OUT:
        return f"out, move it {judged.move.write()} (off {off}, known to {sure})"
    if judged.verdict is Verdict.TOO_CLOSE:
        return f"too close to call, measure once more (off {off}, known to {sure})"
    return str(judged.verdict)


def say_readings(report: TapeReport) -> list[str]:
    """What is wrong with readings, and what to tape next."""
    adjustment = report.adjustment
    lines = say_misread(adjustment)
    if adjustment.unchecked:
        lines.append(f"unchecked, a misread would not show: {', '.join(adjustment.unchecked)}")
    if not adjustment.is_consistent:
        lines.append("the readings disagree by more than such a tape explains: tape the worst ones again")
    if report.list_stations(Verdict.TOO_CLOSE) and any(
        judged.reading.temperature_f is None for judged in adjustment.readings
    ):
        lines.append("write the tape's temperature: without it long pulls are less sure than they could be")
    if report.next_pull:
        pull, why = report.next_pull.pull, report.next_pull.reason
        gain = "settles most" if why == "settles" else "checks most"
        lines.append(
            f"tape next: {pull.name}, {pull.description} ({gain}; should read {write_tape(pull.length)})"
        )
    return lines


def say_misread(adjustment: Adjustment) -> list[str]:
    """The misread pull, or those that one of must be; nothing if there is none."""
    if adjustment.misread:
        amount = write_tape(Length.from_mm(Fraction(abs(adjustment.misread_by_mm))))
        way = "long" if adjustment.misread_by_mm > 0 else "short"
        said = next(judged for judged in adjustment.readings if judged.reading.name == adjustment.misread)
        read = write_tape(said.reading.length)
        return [f"misread: {adjustment.misread} reads {read}, {amount} too {way}; left out, tape it again"]
    if adjustment.suspects:
        return [f"misread: one of {', '.join(adjustment.suspects)}; the readings can't say which"]
    return []


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
        return _write(content)
    report, adjustment = judged.outcome, judged.outcome.adjustment
    content["plan"] = adjustment.plan.name
    content["stations"] = {mark: _dump_station(station) for mark, station in report.stations.items()}
    content["readings"] = {reading.reading.name: _dump_reading(reading) for reading in adjustment.readings}
    content["misread"] = adjustment.misread or None
    content["misread-by-mm"] = round(adjustment.misread_by_mm, 2)
    content["suspects"] = list(adjustment.suspects)
    content["unchecked"] = list(adjustment.unchecked)
    content["next-pull"] = report.next_pull.pull.name if report.next_pull else None
    content["chi-square"] = round(adjustment.chi_square, 3)
    content["degrees-of-freedom"] = adjustment.spare
    return _write(content)


def _write(content: dict[str, object]) -> str:
    return json.dumps(content, ensure_ascii=False, indent=1)


def _dump_station(judged: StationVerdict) -> dict[str, object]:
    found: FoundStation = judged.found
    return {
        "verdict": str(judged.verdict),
        "move": judged.move.write() if judged.verdict is Verdict.OUT else None,
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
    }
