"""What readings say, in a crew's sentences: the same for the answer on screen and the drawn report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pocketref.field.mound import Doubt, JudgedSlope
from pocketref.tape.error_model import TAPES
from pocketref.tape.explain import find_critical
from pocketref.tape.mound_readings import JudgedMound
from pocketref.tape.network import SHAPES, Cause, Kind
from pocketref.tape.readings import PLATE_MARKS, SLIPS, measure_share, write_slip
from pocketref.tape.sheet_pulls import list_untaped
from pocketref.tape.verdicts import (
    FoundStation,
    PlaceVerdict,
    TapeFault,
    TapeReport,
    write_shared_move,
)
from pocketref.units.notation import write_measured, write_tape
from pocketref.words.speech import join_words, say, say_count

PLAN_NAMES = {"plate-area": "plate area", "diamond": "whole field", "mound": "mound"}
CAUTION = (
    "Moving a line? Never mark with hydrated lime or quicklime: it burns eyes and skin. "
    "Read the material's safety data sheet."
)
OURS = "Tolerances are our own: rule books give none. The rule book and the league govern."
MOST_NAMED = 6
"""More pulls than this are counted, not named."""


def list_tape_words() -> Iterator[str]:
    """What is looked up where it is said: names of plans and shapes, slips of the pencil, verdicts."""
    yield from (
        *PLAN_NAMES.values(),
        CAUTION,
        OURS,
        *SHAPES,
        *(add_article(name) for name in SHAPES),
        *SLIPS,
        *TAPES,
    )
    yield from (*map(str, PlaceVerdict), "good", "off", *map(str, filter(None, Doubt)))


def add_article(shape: str) -> str:
    """A shape as it is spoken of: "the catcher's box"."""
    return shape if shape.startswith("both") else f"the {shape}"


def write_faults(report: TapeReport) -> list[str]:
    """What is wrong with the readings themselves: before anything else, for nothing is moved by a misread."""
    if not report.is_settled:
        unsettled = say(
            "the readings disagree by more than this tape explains: nothing is judged; "
            "tape these again first: {pulls}",
            pulls=", ".join(report.worst),
        )
        return [unsettled]
    lines = [_write_tape(report.tape)] if report.tape else []
    if pull := report.second_pull:
        second = say(
            "nothing is to be moved yet: tape {pull}, {along}, with a second tape, "
            "and write it in a row of its own, 'second' in the column 'tape'",
            pull=pull.name,
            along=say(pull.description),
        )
        lines.append(second)
    if report.field_thousandths:
        share = _write_share(report.field_thousandths)
        large = say("the whole field is {share} % too large", share=share)
        small = say("the whole field is {share} % too small", share=share)
        lines.append(large if report.field_thousandths > 0 else small)
    paired = {name for pair in report.swapped for name in pair}
    lines += [
        say("misread: {pulls} look swapped; both left out, tape both again", pulls=join_words(pair))
        for pair in report.swapped
    ]
    lines += [_write_misread(report, misread) for misread in report.misreads if misread.name not in paired]
    return lines + [_write_doubt(doubt.pulls, doubt.places) for doubt in report.doubts]


def _write_tape(fault: TapeFault) -> str:
    share, is_long = _write_share(fault.thousandths), fault.thousandths > 0
    said, field = [], say("was set out with such a tape")
    if Kind.FACTOR in fault.kinds:
        reads = say("reads {share} % too long", share=share)
        said.append(reads if is_long else say("reads {share} % too short", share=share))
        large = say("was set out {share} % too large", share=share)
        field = large if is_long else say("was set out {share} % too small", share=share)
    if Kind.OFFSET in fault.kinds:
        far = write_measured(abs(fault.offset_mm))
        more = say("reads {far} too long on every pull (a worn or cut end?)", far=far)
        less = say("reads {far} too short on every pull (a worn or cut end?)", far=far)
        said.append(more if fault.offset_mm > 0 else less)
    reads = join_words(said)
    if fault.is_proved:
        return say(
            "check the tape: it {reads}, the second tape shows; stations are judged without that", reads=reads
        )
    if fault.is_harmless and fault.is_field_perhaps:
        return say(
            "the tape {reads}, or the whole field {field}: within tolerance either way",
            reads=reads,
            field=field,
        )
    if fault.is_harmless:
        return say("the tape {reads}: within tolerance", reads=reads)
    if fault.is_field_perhaps:
        return say("check the tape: it {reads}, or the whole field {field}", reads=reads, field=field)
    return say("check the tape: it {reads}", reads=reads)


def _write_share(thousandths: float) -> str:
    return f"{abs(thousandths) / 10:.1f}"


def _write_misread(report: TapeReport, misread: Cause) -> str:
    reading = report.readings[report.explanation.network.number(misread)]
    by_mm, slip = report.explanation.measure(misread), write_slip(measure_share(report.plan, reading))
    read, far = write_tape(reading.length), write_measured(abs(by_mm))
    guess = f" {say('({slip}?)', slip=say(slip))}" if slip else ""
    said = {"pull": misread.name, "read": read, "far": far, "guess": guess}
    if by_mm > 0:
        return say("misread: {pull} reads {read}, {far} too long{guess}; left out, tape it again", **said)
    return say("misread: {pull} reads {read}, {far} too short{guess}; left out, tape it again", **said)


def _write_doubt(pulls: Sequence[str], places: Sequence[str]) -> str:
    said = {"pulls": name_pulls(pulls), "places": join_words(places, is_or=True)}
    if len(pulls) > 1 and places:
        return say(
            "tape again: one of {pulls} is misread, or {places} is off; the readings can't say which", **said
        )
    if places:
        return say("tape again: {pulls} is misread, or {places} is off; the readings can't say which", **said)
    if len(pulls) > 1:
        return say("tape again: one of {pulls} is misread; the readings can't say which", **said)
    return say("tape again: {pulls} is misread; the readings can't say which", **said)


def write_counts(report: TapeReport) -> list[str]:
    """How many stations have which verdict, in a line."""
    count = {verdict: len(report.list_stations(verdict)) for verdict in PlaceVerdict}
    said = {
        PlaceVerdict.OUT: say("{count} to move", count=count[PlaceVerdict.OUT]),
        PlaceVerdict.AGAIN: say("{count} to tape again", count=count[PlaceVerdict.AGAIN]),
        PlaceVerdict.FEW: say("{count} not known for lack of pulls", count=count[PlaceVerdict.FEW]),
        PlaceVerdict.GOOD: say("{count} good", count=count[PlaceVerdict.GOOD]),
        PlaceVerdict.PASSES: say("{count} good as far as this tape tells", count=count[PlaceVerdict.PASSES]),
    }
    line = ", ".join(words for verdict, words in said.items() if count[verdict])
    return [line] if line else []


def write_work(report: TapeReport) -> list[str]:
    """Home plate; then a line for each shape to move whole and each station that needs something."""
    lines, said = _write_plate(report), set(PLATE_MARKS)
    for name, marks in report.together.items():
        shared = write_shared_move([report.stations[mark] for mark in marks])
        each = "; ".join(f"{mark} {report.stations[mark].move}" for mark in marks)
        moved = {"shape": say(name), "marks": " ".join(marks), "move": shared or each}
        if shared:
            lines.append(say("{shape}, {marks}: out as a whole, move it {move}", **moved))
        else:
            lines.append(say("{shape}, {marks}: out as a whole, corner by corner: {move}", **moved))
        said.update(marks)
    needing = report.list_stations(PlaceVerdict.OUT, PlaceVerdict.AGAIN, PlaceVerdict.FEW)
    rest = (report.stations[mark] for mark in needing if mark not in said)
    return lines + [f"{found.mark}, {say(found.label)}: {write_station(found, report)}" for found in rest]


def write_leave(report: TapeReport) -> list[str]:
    """The stations to leave where they are, and how well they are known."""
    good, passed = report.list_stations(PlaceVerdict.GOOD), report.list_stations(PlaceVerdict.PASSES)
    lines = [say("leave: {marks}", marks=" ".join(good))] if good else []
    if passed:
        worst = max(report.stations[mark].ellipse_mm[0] for mark in passed)
        known = say(
            "leave, as far as this tape tells: {marks} (known to {far} or better, 19 times of 20)",
            marks=" ".join(passed),
            far=write_measured(worst),
        )
        lines.append(known)
    return lines


def _write_plate(report: TapeReport) -> list[str]:
    """Whether home plate, from which the rest is judged, is true by its own pulls."""
    if "1B" in report.plan.stations or not report.is_settled:
        return []
    corners = [report.stations[mark] for mark in PLATE_MARKS if mark in report.stations]
    off = [
        say("{mark} is {far}", mark=each.mark, far=write_measured(each.offset_mm))
        for each in corners
        if each.offset_mm
    ]
    if off:
        return [
            say(
                "home plate is not true: {corners} from where its dimensions put it; see to the plate first",
                corners=", ".join(off),
            )
        ]
    own = sum(reading.pair <= set(PLATE_MARKS) for reading in report.readings)
    if not own:
        return [say("home plate was not taped: it is taken as true, and the rest is judged from it")]
    return [
        say_count(
            own,
            "home plate is true by its one own pull, and the rest is judged from it",
            "home plate is true by its {count} own pulls, and the rest is judged from it",
        )
    ]


def write_station(found: FoundStation, report: TapeReport) -> str:
    """What to do about a station, and how sure that is."""
    known = say(
        "off about {off}, give or take {sure}; allowed {allowed}",
        off=write_measured(found.offset_mm),
        sure=write_measured(found.ellipse_mm[0]),
        allowed=write_tape(found.tolerance),
    )
    pulls = write_pulls(found, report)
    if found.verdict is PlaceVerdict.OUT:
        return say("move it {move} ({known})", move=found.move, known=known)
    if found.verdict is PlaceVerdict.FEW:
        few = say("too few pulls fix it")
        return f"{few}; {pulls}" if pulls else few
    if not pulls:
        return say("not moved yet ({known})", known=known)
    is_doubted = any(set(found.pulls) <= set(doubt.pulls) for doubt in report.doubts)
    return pulls if is_doubted else f"{pulls} ({known})"


def write_pulls(found: FoundStation, report: TapeReport) -> str:
    """What to tape for a station: again, or for the first time."""
    taped = {reading.pair for reading in report.readings}
    again = [name for name in found.pulls if frozenset(name.split("-")) in taped]
    more = [name for name in found.pulls if name not in again]
    parts = [say("tape {pulls} again", pulls=name_pulls(again))] if again else []
    parts += [say("tape {pulls} too", pulls=name_pulls(more))] if more else []
    return ", ".join(parts)


def name_pulls(names: Sequence[str]) -> str:
    """Names in a row; the first of them and how many more where there are many."""
    if len(names) <= MOST_NAMED:
        return ", ".join(names)
    shown = ", ".join(names[: MOST_NAMED - 1])
    return say("{pulls} and {count} more", pulls=shown, count=len(names) - MOST_NAMED + 1)


def write_reading(report: TapeReport, index: int) -> str:
    """What is wrong with a single reading, or that it is by the second tape."""
    reading = report.readings[index]
    if index in map(report.explanation.network.number, report.misreads):
        return say("*misread*, left out: tape it again")
    if any(reading.name in doubt.pulls for doubt in report.doubts):
        return say("perhaps *misread*: tape it again")
    return say("second tape") if reading.is_second_tape else ""


def write_how(readings: int) -> tuple[str, str]:
    """How a table of so many readings is read."""
    critical = find_critical(1, readings) ** 0.5
    return (
        say("Left over: what the tape would read between the stations as found, less what was read."),
        say(
            "In errors: the same in standard errors of its own; beyond {critical} something is wrong.",
            critical=f"{critical:.1f}",
        ),
    )


def write_untaped(report: TapeReport) -> list[str]:
    """The pulls that the check sheet asks for and that were not taped."""
    untaped = list_untaped(report.plan, report.readings, report.tolerance)
    if not untaped:
        return []
    return [say("not taped, of those the sheet asks for: {pulls}", pulls=name_pulls(untaped))]


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
        place, by = say("pitcher's plate above home plate"), write_tape(abs(judged.add))
        wanted, found = judged.target.height, judged.target.height - judged.add
        change = say("raise it {by}", by=by) if judged.add.inches > 0 else say("lower it {by}", by=by)
    else:
        place = _write_ahead(write_tape(judged.reading.ahead))
        wanted, found, change = judged.target.below_plate, judged.reading.below_plate, judged.change
    if judged.doubt is Doubt.FAR:
        change = say("{move}, and only if it reads the same {change}", move=judged.move, change=change)
    elif judged.doubt:
        change = judged.move
    read = write_tape(abs(found))
    if found.inches < 0:
        read = say("{far} above the line", far=read)
    # A height is off; "out" is a batter, and another word in other languages.
    verdict = say("off") if judged.verdict == "out" else say(judged.verdict)
    return place, write_tape(wanted), read, verdict, "" if judged.is_good else change


def _write_ahead(far: str) -> str:
    return say("{far} ahead of the pitcher's plate", far=far)


def write_mound(mound: JudgedMound) -> list[str]:
    """The whole mound, a line a height: first what spoils all of them, last what was not measured."""
    lines = []
    if any(one.doubt is Doubt.OTHER_COLUMN for one in mound.slope):
        lines.append(
            say(
                "the slope's readings fit the column 'Above home plate': measure down from the level line, "
                "and move no ground before"
            )
        )
    for place, wanted, read, verdict, change in write_heights(mound):
        mark = "" if verdict.endswith("?") or not change else ":"
        what = f"{verdict}{mark} {change}".rstrip()
        lines.append(f"{place}: {what} ({say('reads {read}, target {wanted}', read=read, wanted=wanted)})")
    unread = [] if mound.plate else [say("pitcher's plate above home plate")]
    places = ", ".join(write_tape(point.ahead) for point in mound.unread)
    unread += [_write_ahead(places)] if places else []
    return [*lines, *([say("not measured: {heights}", heights="; ".join(unread))] if unread else [])]
