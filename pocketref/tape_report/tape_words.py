"""What readings say, in a crew's sentences: the same for the answer on screen and the drawn report."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.field.mound import Doubt, JudgedSlope
from pocketref.tape.explain import find_critical
from pocketref.tape.mound_readings import JudgedMound
from pocketref.tape.network import Cause, Kind
from pocketref.tape.readings import PLATE_MARKS, measure_share, write_slip
from pocketref.tape.sheet_pulls import list_untaped
from pocketref.tape.verdicts import (
    FoundStation,
    PlaceVerdict,
    TapeFault,
    TapeReport,
    write_shared_move,
)
from pocketref.units.notation import write_measured, write_tape

PLAN_NAMES = {"plate-area": "plate area", "diamond": "whole field", "mound": "mound"}
CAUTION = (
    "Moving a line? Never mark with hydrated lime or quicklime: it burns eyes and skin. "
    "Read the material's safety data sheet."
)
OURS = "Tolerances are our own: rule books give none. The rule book and the league govern."
MOST_NAMED = 6
"""More pulls than this are counted, not named."""
_SECOND = "with a second tape, and write it in a row of its own, 'second' in the column 'tape'"
_COUNTS = (
    (PlaceVerdict.OUT, "to move"),
    (PlaceVerdict.AGAIN, "to tape again"),
    (PlaceVerdict.FEW, "not known for lack of pulls"),
    (PlaceVerdict.GOOD, "good"),
    (PlaceVerdict.PASSES, "good as far as this tape tells"),
)


def write_faults(report: TapeReport) -> list[str]:
    """What is wrong with the readings themselves: before anything else, for nothing is moved by a misread."""
    if not report.is_settled:
        worst = f"tape these again first: {', '.join(report.worst)}"
        return [f"the readings disagree by more than this tape explains: nothing is judged; {worst}"]
    lines = [_write_tape(report.tape)] if report.tape else []
    if pull := report.second_pull:
        lines.append(f"nothing is to be moved yet: tape {pull.name}, {pull.description}, {_SECOND}")
    if report.field_thousandths:
        lines.append(f"the whole field is {_write_share(report.field_thousandths, 'large', 'small')}")
    paired = {name for pair in report.swapped for name in pair}
    swapped = (" and ".join(pair) for pair in report.swapped)
    lines += [f"misread: {pair} look swapped; both left out, tape both again" for pair in swapped]
    lines += [_write_misread(report, misread) for misread in report.misreads if misread.name not in paired]
    for doubt in report.doubts:
        which = f"{'one of ' if len(doubt.pulls) > 1 else ''}{name_pulls(doubt.pulls)} is misread"
        off = f", or {' or '.join(doubt.places)} is off" if doubt.places else ""
        lines.append(f"tape again: {which}{off}; the readings can't say which")
    return lines


def _write_tape(fault: TapeFault) -> str:
    said, field = [], "was set out with such a tape"
    if Kind.FACTOR in fault.kinds:
        said.append(f"reads {_write_share(fault.thousandths, 'long', 'short')}")
        field = f"was set out {_write_share(fault.thousandths, 'large', 'small')}"
    if Kind.OFFSET in fault.kinds:
        far, way = write_measured(abs(fault.offset_mm)), "long" if fault.offset_mm > 0 else "short"
        said.append(f"reads {far} too {way} on every pull (a worn or cut end?)")
    tape, other = " and ".join(said), f", or the whole field {field}" if fault.is_field_perhaps else ""
    if fault.is_proved:
        return f"check the tape: it {tape}, the second tape shows; stations are judged without that"
    if fault.is_harmless:
        return f"the tape {tape}{other}: within tolerance{' either way' if other else ''}"
    return f"check the tape: it {tape}{other}"


def _write_share(thousandths: float, more: str, less: str) -> str:
    return f"{abs(thousandths) / 10:.1f} % too {more if thousandths > 0 else less}"


def _write_misread(report: TapeReport, misread: Cause) -> str:
    reading = report.readings[report.explanation.network.number(misread)]
    by_mm, slip = report.explanation.measure(misread), write_slip(measure_share(report.plan, reading))
    far, way = write_measured(abs(by_mm)), "long" if by_mm > 0 else "short"
    guess = f" ({slip}?)" if slip else ""
    reads = f"{misread.name} reads {write_tape(reading.length)}, {far} too {way}{guess}"
    return f"misread: {reads}; left out, tape it again"


def write_counts(report: TapeReport) -> list[str]:
    """How many stations have which verdict, in a line."""
    counts = [(len(report.list_stations(verdict)), words) for verdict, words in _COUNTS]
    said = ", ".join(f"{count} {words}" for count, words in counts if count)
    return [said] if said else []


def write_work(report: TapeReport) -> list[str]:
    """Home plate; then a line for each shape to move whole and each station that needs something."""
    lines, said = _write_plate(report), set(PLATE_MARKS)
    for name, marks in report.together.items():
        shared = write_shared_move([report.stations[mark] for mark in marks])
        each = "; ".join(f"{mark} {report.stations[mark].move}" for mark in marks)
        how = f"move it {shared}" if shared else f"corner by corner: {each}"
        lines.append(f"{name}, {' '.join(marks)}: out as a whole, {how}")
        said.update(marks)
    needing = report.list_stations(PlaceVerdict.OUT, PlaceVerdict.AGAIN, PlaceVerdict.FEW)
    rest = (report.stations[mark] for mark in needing if mark not in said)
    return lines + [f"{found.mark}, {found.label}: {write_station(found, report)}" for found in rest]


def write_leave(report: TapeReport) -> list[str]:
    """The stations to leave where they are, and how well they are known."""
    good, passed = report.list_stations(PlaceVerdict.GOOD), report.list_stations(PlaceVerdict.PASSES)
    lines = [f"leave: {' '.join(good)}"] if good else []
    if passed:
        worst = max(report.stations[mark].ellipse_mm[0] for mark in passed)
        known = f"known to {write_measured(worst)} or better, 19 times of 20"
        lines.append(f"leave, as far as this tape tells: {' '.join(passed)} ({known})")
    return lines


def _write_plate(report: TapeReport) -> list[str]:
    """Whether home plate, from which the rest is judged, is true by its own pulls."""
    if "1B" in report.plan.stations or not report.is_settled:
        return []
    corners = [report.stations[mark] for mark in PLATE_MARKS if mark in report.stations]
    off = [f"{each.mark} is {write_measured(each.offset_mm)}" for each in corners if each.offset_mm]
    if off:
        return [
            f"home plate is not true: {', '.join(off)} from where its dimensions put it; see to the plate first"
        ]
    own = sum(reading.pair <= set(PLATE_MARKS) for reading in report.readings)
    if not own:
        return ["home plate was not taped: it is taken as true, and the rest is judged from it"]
    many = f"{own} own pulls" if own > 1 else "one own pull"
    return [f"home plate is true by its {many}, and the rest is judged from it"]


def write_station(found: FoundStation, report: TapeReport) -> str:
    """What to do about a station, and how sure that is."""
    off, sure = write_measured(found.offset_mm), write_measured(found.ellipse_mm[0])
    known = f"off about {off}, give or take {sure}; allowed {write_tape(found.tolerance)}"
    pulls = write_pulls(found, report)
    if found.verdict is PlaceVerdict.OUT:
        return f"move it {found.move} ({known})"
    if found.verdict is PlaceVerdict.FEW:
        return f"too few pulls fix it{'; ' if pulls else ''}{pulls}"
    if not pulls:
        return f"not moved yet ({known})"
    is_doubted = any(set(found.pulls) <= set(doubt.pulls) for doubt in report.doubts)
    return pulls if is_doubted else f"{pulls} ({known})"


def write_pulls(found: FoundStation, report: TapeReport) -> str:
    """What to tape for a station: again, or for the first time."""
    taped = {reading.pair for reading in report.readings}
    again = [name for name in found.pulls if frozenset(name.split("-")) in taped]
    more = [name for name in found.pulls if name not in again]
    parts = [f"tape {name_pulls(names)} {how}" for names, how in ((again, "again"), (more, "too")) if names]
    return ", ".join(parts)


def name_pulls(names: Sequence[str]) -> str:
    """Names in a row; the first of them and how many more where there are many."""
    if len(names) <= MOST_NAMED:
        return ", ".join(names)
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more"


def write_reading(report: TapeReport, index: int) -> str:
    """What is wrong with a single reading, or that it is by the second tape."""
    reading = report.readings[index]
    if index in map(report.explanation.network.number, report.misreads):
        return "*misread*, left out: tape it again"
    if any(reading.name in doubt.pulls for doubt in report.doubts):
        return "perhaps *misread*: tape it again"
    return "second tape" if reading.is_second_tape else ""


def write_how(readings: int) -> tuple[str, str]:
    """How a table of so many readings is read."""
    critical = find_critical(1, readings) ** 0.5
    return (
        "Left over: what the tape would read between the stations as found, less what was read.",
        f"In errors: the same in standard errors of its own; beyond {critical:.1f} something is wrong.",
    )


def write_untaped(report: TapeReport) -> list[str]:
    """The pulls that the check sheet asks for and that were not taped."""
    untaped = list_untaped(report.plan, report.readings, report.tolerance)
    return [f"not taped, of those the sheet asks for: {name_pulls(untaped)}"] if untaped else []


def write_all(report: TapeReport) -> list[str]:
    """All of it, in the order in which a crew needs it."""
    judged = (*write_counts(report), *write_work(report), *write_leave(report)) if report.is_settled else ()
    return [*write_faults(report), *judged, *write_untaped(report)]


def write_heights(mound: JudgedMound) -> list[tuple[str, str, str, str, str]]:
    """Of each height that was read: where, what it should be, what was read, good or not, and what to do."""
    plate = [(mound.plate, True)] if mound.plate else []
    return [_write_height(*each) for each in (*plate, *((height, False) for height in mound.slope))]


def _write_height(judged: JudgedSlope, is_plate: bool) -> tuple[str, str, str, str, str]:
    if is_plate:
        place = "pitcher's plate above home plate"
        wanted, found = judged.target.height, judged.target.height - judged.add
        change = f"{'raise' if judged.add.inches > 0 else 'lower'} it {write_tape(abs(judged.add))}"
    else:
        place = f"{write_tape(judged.reading.ahead)} ahead of the pitcher's plate"
        wanted, found, change = judged.target.below_plate, judged.reading.below_plate, judged.change
    if judged.doubt:
        only = f", and only if it reads the same {change}" if judged.doubt is Doubt.FAR else ""
        change = f"{judged.move}{only}"
    read = f"{write_tape(abs(found))} above the line" if found.inches < 0 else write_tape(found)
    return place, write_tape(wanted), read, judged.verdict, "" if judged.is_good else change


def write_mound(mound: JudgedMound) -> list[str]:
    """The whole mound, a line a height: first what spoils all of them, last what was not measured."""
    lines = []
    if any(one.doubt is Doubt.OTHER_COLUMN for one in mound.slope):
        lines.append(
            "the slope's readings fit the column 'Above home plate': measure down from the level line, "
            "and move no ground before"
        )
    for place, wanted, read, verdict, change in write_heights(mound):
        what = " ".join(
            filter(None, (verdict if verdict.endswith("?") or not change else f"{verdict}:", change))
        )
        lines.append(f"{place}: {what} (reads {read}, target {wanted})")
    unread = [] if mound.plate else ["pitcher's plate above home plate"]
    places = ", ".join(write_tape(point.ahead) for point in mound.unread)
    unread += [f"{places} ahead of the pitcher's plate"] if places else []
    return [*lines, *([f"not measured: {'; '.join(unread)}"] if unread else [])]
