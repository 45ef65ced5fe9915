"""What taped readings say, in sentences: the same for the answer on screen and the drawn report."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.tape.adjust import Adjustment, JudgedReading, Misread, PlaceVerdict
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import PLATE_MARKS, measure_share, write_slip
from pocketref.tape.settling import NextPull, SettledBy
from pocketref.tape.verdicts import PlateCheck, StationVerdict, TapeReport
from pocketref.units.notation import write_measured, write_tape

MOST_NAMED = 6
"""More pulls than this are counted, not named."""
MOST_WORST = 4
_STRIKING = 2.0
"""A reading this many of its standard deviations off is worth naming where the readings disagree."""


def say_faults(report: TapeReport) -> list[str]:
    """What is wrong with the readings themselves: before anything else, for nothing is moved by a misread."""
    adjustment = report.adjustment
    lines = []
    if not adjustment.is_consistent:
        worst = list_worst(adjustment)
        which = f"; tape these again first: {', '.join(worst)}" if worst else "; tape the worst ones again"
        lines.append(f"the readings disagree by more than such a tape explains: nothing is judged{which}")
    return lines + say_misreads(adjustment)


def list_worst(adjustment: Adjustment) -> list[str]:
    """Where the readings disagree, those that do so most, the worst first."""
    if adjustment.is_consistent:
        return []
    tested = [(abs(judged.standardised or 0.0), judged.reading.name) for judged in adjustment.readings]
    return [name for size, name in sorted(tested, reverse=True) if size > _STRIKING][:MOST_WORST]


def say_misreads(adjustment: Adjustment) -> list[str]:
    """The misread pulls, those that look swapped, and those that one of must be; nothing if there are none."""
    paired = {name for pair in adjustment.swapped for name in pair}
    said = {judged.reading.name: judged for judged in adjustment.readings}
    reads = {name: write_tape(judged.reading.length) for name, judged in said.items()}
    lines = [
        f"misread: {first} ({reads[first]}) and {second} ({reads[second]}) look swapped; "
        "both left out, tape both again"
        for first, second in adjustment.swapped
    ]
    lines += [
        _say_misread(adjustment, misread, said[misread.name])
        for misread in adjustment.misreads
        if misread.name not in paired
    ]
    for group in adjustment.suspect_groups:
        lines.append(f"misread: one of {', '.join(group)}; the readings can't say which, tape them again")
    return lines


def _say_misread(adjustment: Adjustment, misread: Misread, judged: JudgedReading) -> str:
    amount = write_measured(abs(misread.by_mm))
    way = "long" if misread.by_mm > 0 else "short"
    slip = write_slip(measure_share(adjustment.plan, judged.reading))
    guess = f" ({slip}?)" if slip else ""
    reads = f"{misread.name} reads {write_tape(judged.reading.length)}, {amount} too {way}{guess}"
    return f"misread: {reads}; left out, tape it again"


def say_counts(report: TapeReport) -> list[str]:
    """How many stations have which verdict, in a line."""
    order = (PlaceVerdict.OUT, PlaceVerdict.NOT_JUDGED, PlaceVerdict.TOO_CLOSE, PlaceVerdict.GOOD)
    counts = [(len(report.list_stations(verdict)), verdict) for verdict in order]
    said = ", ".join(f"{count} {verdict}" for count, verdict in counts if count)
    return [said] if said else []


def say_settling(report: TapeReport) -> list[str]:
    """Temperature and kind of tape: where these would settle a station, taping it again would not."""
    marks: dict[SettledBy | None, list[str]] = {}
    for mark, judged in report.stations.items():
        marks.setdefault(judged.settled_by, []).append(mark)
    lines = []
    if SettledBy.TEMPERATURE in marks:
        lines.append(f"write the tape's temperature: that settles {' '.join(marks[SettledBy.TEMPERATURE])}")
    if SettledBy.STEEL in marks:
        many = " ".join(marks[SettledBy.STEEL])
        lines.append(f"this tape can't settle {many}: use a steel tape and write its temperature")
    return lines


def say_stations(report: TapeReport) -> list[str]:
    """One line a station that needs something; good ones and pins together."""
    lines = say_unsettled(report)
    for verdict in (PlaceVerdict.GOOD, PlaceVerdict.TAKEN_AS_KNOWN):
        marks = report.list_stations(verdict)
        lines += [f"{verdict}: {' '.join(marks)}"] if marks else []
    return lines


def say_unsettled(report: TapeReport) -> list[str]:
    """The plate; then one line a station that is out, too close to call, not judged, or in one of two places."""
    lines = _say_plate(report, report.plate) if report.plate else []
    said = set(report.adjustment.off_frame)
    for shared in report.together:
        lines.append(
            f"{' '.join(shared.marks)}, {shared.name}: out as a whole, move it {shared.move.write()}"
        )
        said.update(shared.marks)
    for mark, judged in report.stations.items():
        if mark in said:
            continue
        is_told = judged.verdict in (PlaceVerdict.OUT, PlaceVerdict.TOO_CLOSE) or judged.check_first
        if is_told:
            lines.append(f"{mark}, {judged.found.label}: {say_station(judged)}")
        if judged.found.mirror_mm and report.adjustment.is_consistent:
            lines.append(f"{mark}: its readings fit a second place as well; tape one more pull to it")
    marks = [m for m in report.list_stations(PlaceVerdict.NOT_JUDGED) if not report.stations[m].check_first]
    return [*lines, *([f"{PlaceVerdict.NOT_JUDGED}: {' '.join(marks)}"] if marks else [])]


def _say_plate(report: TapeReport, plate: PlateCheck) -> list[str]:
    """Whether home plate, from which the rest is judged, is true by its own pulls; not while readings disagree."""
    if not report.adjustment.is_consistent:
        return []
    if plate.off:
        firm = [mark for mark in PLATE_MARKS if mark not in plate.off]
        said = [
            f"{mark} is {write_measured(report.stations[mark].found.offset_mm)} from where its dimensions put it"
            for mark in plate.off
        ]
        line = f"home plate is not true: {', '.join(said)}; see to the plate first"
        return [line, f"the rest is judged from the plate's other corners, {' '.join(firm)}"]
    if not plate.taped:
        return ["home plate was not taped: it is taken as true, and the rest is judged from it"]
    many = f"{len(plate.taped)} own pulls" if len(plate.taped) > 1 else "one own pull"
    return [f"home plate is true by its {many}, and the rest is judged from it"]


def say_station(judged: StationVerdict) -> str:
    """A station's verdict with its move and how sure it is."""
    sure = say_sureness(judged)
    if judged.verdict is PlaceVerdict.OUT:
        return f"out, move it {judged.move.write()} ({sure})"
    if judged.verdict is PlaceVerdict.TOO_CLOSE:
        cure = say_what_settles(judged)
        return f"too close to call: {sure}{'; ' + cure if cure else ''}"
    if judged.check_first:
        first = name_pulls(judged.check_first)
        return f"not judged: {sure}, but a misread could do that; before it is moved tape again {first}"
    return str(judged.verdict)


def say_sureness(judged: StationVerdict) -> str:
    """How far off, how sure, and how far off it may be."""
    off, sure = write_measured(judged.found.offset_mm), write_measured(judged.found.ellipse.semi_major_mm)
    return f"off about {off}, give or take {sure}; allowed {write_tape(judged.tolerance)}"


def say_what_settles(judged: StationVerdict) -> str:
    """What would settle a station that is too close to call; nothing if nothing at hand would."""
    match judged.settled_by:
        case SettledBy.TEMPERATURE:
            return "write the temperature"
        case SettledBy.STEEL:
            return "use a steel tape"
        case _ if judged.pull:
            return f"tape {judged.pull.pull.name} {'once more' if judged.pull.is_repeat else 'too'}"
        case _:
            return ""


def name_pulls(names: Sequence[str]) -> str:
    """Names in a row; the first of them and how many more where there are many."""
    if len(names) <= MOST_NAMED:
        return ", ".join(names)
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more"


def say_readings(report: TapeReport) -> list[str]:
    """What nothing checks, what to tape next, and what was not taped."""
    adjustment = report.adjustment
    lines = []
    if adjustment.unchecked:
        lines.append(f"unchecked, a misread would not show: {', '.join(adjustment.unchecked)}")
    if report.next_pull:
        lines.append(_say_next(report.next_pull))
    if report.untaped:
        lines.append(_say_untaped(report))
    return lines


def _say_next(following: NextPull) -> str:
    pull = following.pull
    if following.is_repeat:
        return (
            f"tape again: {pull.name}, {pull.description} (settles most); give both readings, as two rows of a "
            "CSV or YAML file"
        )
    gain = "settles most" if following.reason == "settles" else "checks most"
    return f"tape next: {pull.name}, {pull.description} ({gain}; should read {write_tape(pull.length)})"


def _say_untaped(report: TapeReport) -> str:
    if len(report.untaped) <= MOST_NAMED:
        return f"not taped: {', '.join(report.untaped)}"
    whole = len(list_sheet_pulls(report.adjustment.plan))
    return f"not taped: {len(report.untaped)} of the check sheet's {whole} pulls"
