"""The weeks of a season: which plays are asked when, so that every row is met early and the difficult ones again.

Each week first asks the rows that are due again, then rows that no week has met, then those met longest ago. A row
that a class missed is due 1, 4 and 8 weeks after. That spacing is our proposal: gaps of 5 to 20 % of the time to the
test serve memory best (Cepeda and others, 2008), gaps that widen keep more of it through the training (Kang and
others, 2014), and both are of other matters than rules.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from pocketref.marks.mark_files import read_layout_name, write_file
from pocketref.marks.marking import Marks
from pocketref.marks.next_sheet import write_layout_head
from pocketref.marks.training_sheets import Training
from pocketref.plays.computed_plays import name_computed
from pocketref.plays.play_selection import deal_fairly, fits_sheet
from pocketref.plays.plays import Row
from pocketref.problems import refusal
from pocketref.source.play_models import PlaySheetModel
from pocketref.source.syntax.source_text import list_few
from pocketref.words.terminal import tell

AGAIN_WEEKS = (1, 4, 8)
"""How many weeks after it was missed a row comes again: our proposal."""
NEW, AGAIN, MORE, KEPT = "new", "again", "once more", "asked"
"""Why a play is asked in its week: its row is met first, is due again, is met longest ago; or it has been asked."""


@dataclass(frozen=True, slots=True)
class PlannedPlay:
    """A play in its week, the row that it meets, and why it is asked then."""

    name: str
    row: Row
    why: str


@dataclass(frozen=True, slots=True)
class Syllabus:
    """The plays of each week, and what did not come about: rows never met, and rows due again without a play left."""

    model: PlaySheetModel
    weeks: tuple[tuple[PlannedPlay, ...], ...]
    rows: int
    unmet: tuple[Row, ...]
    unrepeated: tuple[Row, ...]

    @property
    def all_met_by(self) -> int:
        """The week, from 1, in which the last row is met first."""
        firsts = [n for n, week in enumerate(self.weeks, 1) if any(play.why == NEW for play in week)]
        return firsts[-1] if firsts else 0


def plan_syllabus(
    training: Training,
    layout: str,
    size: tuple[int, int],
    marks: Marks | None = None,
    used: Collection[str] = (),
) -> Syllabus:
    """Weeks of the plays that a layout asks for: `size` is how many weeks, and plays in each.

    Weeks of the layout's own series up to the last that was marked stay as they are. No play stands twice, nor one
    of the `used` sheets. PocketrefError: "sheet-unknown"; "play-series-short" if there are too few plays.
    """
    model = training.find_sheets(layout)[0].model
    planner = _Planner(training, model, marks)
    marked = [sheet.sheet.name for sheet in marks.sheets] if marks else []
    planner.remove(training.list_used([*used, *marked]))
    weeks, each = size
    planned = planner.kept[:weeks]
    while len(planned) < weeks:
        week = planner.plan_week(len(planned) + 1, each)
        if not week:
            sentence = tell(
                "the plays last for {count} weeks of {each}, not for {weeks}",
                count=len(planned),
                each=each,
                weeks=weeks,
            )
            raise refusal(
                "play-series-short",
                sentence,
                tell("fewer weeks, fewer plays each, or more plays"),
                model.location,
            )
        planned.append(week)
    met = {play.row for week in planned for play in week}
    unmet = tuple(row for row in planner.rows if row not in met)
    return Syllabus(model, tuple(planned), len(planner.rows), unmet, tuple(planner.unrepeated))


class _Planner:
    """What is known while weeks are planned one after the other."""

    def __init__(self, training: Training, model: PlaySheetModel, marks: Marks | None) -> None:
        self._plays: dict[Row, list[str]] = {}
        self.unrepeated: dict[Row, None] = {}
        cases = {case.name: case for case in training.cases if fits_sheet(_widen(model), case)}
        rows = {
            play.case.name: play.row
            for play in training.ruled
            if play.code == model.code and play.case.name in cases
        }
        for case in deal_fairly(list(cases.values())):
            self._plays.setdefault(rows[case.name], []).append(case.name)
        self.rows = list(self._plays)
        for row in self.rows:  # the last resort: what the row says and no more
            self._plays[row].append(name_computed(row[1], row[0], row[2]))
        self.kept = _list_kept(training, model, marks)
        self._last = {play.row: number for number, week in enumerate(self.kept, 1) for play in week}
        missed = [mark.row for mark in marks.rows if mark.is_missed] if marks else []
        self._due = {
            row: [self._last.get(row, len(self.kept)) + gap for gap in AGAIN_WEEKS]
            for row in missed
            if row in self._plays
        }
        for row in missed:
            self._last.setdefault(row, len(self.kept))
        self.remove({play.name for week in self.kept for play in week})

    def remove(self, names: Collection[str]) -> None:
        """Ask these plays no more."""
        for plays in self._plays.values():
            plays[:] = [name for name in plays if name not in names]

    def plan_week(self, number: int, most: int) -> tuple[PlannedPlay, ...]:
        """At most so many plays for a week, each of a row of its own."""
        week: list[PlannedPlay] = []
        new = [row for row in self.rows if row not in self._last]
        # While there are new rows, what comes again takes no more than half of a week.
        room = max(most // 2, 1) if new else most
        for row in self._list_due(number)[:room]:
            self._ask(row, AGAIN, week)
            self._due[row] = [due for due in self._due[row] if due > number]
        for row in new[: most - len(week)]:
            self._ask(row, NEW, week)
        longest = sorted(self._last, key=lambda row: self._last[row])
        asked = {play.row for play in week}
        for row in [row for row in longest if row not in asked and self._has_written(row)][
            : most - len(week)
        ]:
            self._ask(row, MORE, week)
        self._last |= {play.row: number for play in week}
        return tuple(week)

    def _list_due(self, number: int) -> list[Row]:
        """The rows due by a week that have a play left, those due longest first; the others are noted."""
        first = [(dues[0], order, row) for order, (row, dues) in enumerate(self._due.items()) if dues]
        due = sorted(entry for entry in first if entry[0] <= number)
        self.unrepeated |= {row: None for _, _, row in due if not self._plays[row]}
        return [row for _, _, row in due if self._plays[row]]

    def _has_written(self, row: Row) -> bool:
        """Whether a play is left that tells more than the row does."""
        return len(self._plays.get(row, ())) > 1

    def _ask(self, row: Row, why: str, week: list[PlannedPlay]) -> None:
        week.append(PlannedPlay(self._plays[row].pop(0), row, why))


def _widen(model: PlaySheetModel) -> PlaySheetModel:
    """The layout without the plays it names: a series that is planned anew chooses among all that it could ask."""
    return model.model_copy(update={"weeks": (), "cases": ()})


def _list_kept(
    training: Training, model: PlaySheetModel, marks: Marks | None
) -> list[tuple[PlannedPlay, ...]]:
    """The weeks of the layout's own series up to the last that was marked."""
    marked = {sheet.sheet.name for sheet in marks.sheets} if marks else set()
    own = [sheet for sheet in training.sheets if sheet.model is model] if model.is_series else []
    last = max((number for number, sheet in enumerate(own, 1) if sheet.name in marked), default=0)
    return [
        tuple(PlannedPlay(question.ruled.case.name, question.ruled.row, KEPT) for question in sheet.questions)
        for sheet in own[:last]
    ]


def write_syllabus_layout(found: Syllabus, name: str) -> str:
    """The weeks as a layout of one series, a line a play that says its row and why it is asked then."""
    title = found.model.title if found.model.is_series else "Case plays of the week"
    lines = [
        "# A season of sheets: every row as early as can be, what was missed 1, 4 and 8 weeks after (our proposal).",
        *write_layout_head(found.model, name, title),
        "weeks:",
    ]
    for number, week in enumerate(found.weeks, 1):
        lines.append(f"  - # week {number}")
        for play in week:
            _, subject, row = play.row
            lines.append(f"    - {play.name}  # {subject}, row {row}, {play.why}")
    return "\n".join(lines) + "\n"


def write_syllabus_file(found: Syllabus, path: Path) -> None:
    """Write the layout, named as its file; it replaces only the layout of weeks that it was planned from.

    PocketrefError: "layout-place", "file-exists", "file-unwritable".
    """
    name, model = read_layout_name(path), found.model
    is_itself = model.weeks and model.sheet == name
    write_file(path, write_syllabus_layout(found, name).encode(), lambda _: bool(is_itself))


def size_syllabus(training: Training, layout: str, weeks: int | None, each: int | None) -> tuple[int, int]:
    """How many weeks, and plays in each: as given, else as the layout's own series has.

    PocketrefError: "sheet-unknown"; "syllabus-size" if neither says.
    """
    model = training.find_sheets(layout)[0].model
    own = (model.series.weeks, model.series.each) if model.series else (0, 0)
    own = (len(model.weeks), max(map(len, model.weeks))) if model.weeks else own
    size = weeks or own[0], each or own[1]
    if not all(size):
        sentence = tell(
            "'{layout}' is no series, so that it doesn't say how many weeks and plays there are to be",
            layout=layout,
        )
        raise refusal("syllabus-size", sentence, tell("give --weeks and --each"), model.location)
    return size


def write_syllabus(found: Syllabus) -> str:
    """What each week asks in a line, then what holds for all of it."""
    lines = []
    for number, week in enumerate(found.weeks, 1):
        counts = ((why, sum(play.why == why for play in week)) for why in (KEPT, NEW, AGAIN, MORE))
        said = ", ".join(f"{count} {tell(why)}" for why, count in counts if count)
        lines.append(tell("week {number}: {plays}", number=number, plays=said))
    met = {"met": found.rows - len(found.unmet), "rows": found.rows}
    if found.all_met_by:
        met["week"] = found.all_met_by
        lines.append(tell("{met} of {rows} rows are met; the last of them first in week {week}.", **met))
    else:
        lines.append(tell("{met} of {rows} rows are met.", **met))
    if found.unmet:
        rows = _list_rows(found.unmet)
        lines.append(tell("Not met: {rows}. More weeks, or more plays in each, meet more.", rows=rows))
    if found.unrepeated:
        lines.append(tell("Due again, and no play left: {rows}.", rows=_list_rows(found.unrepeated)))
    return "\n".join(lines)


def _list_rows(rows: Sequence[Row]) -> str:
    """A few rows, and how many more."""
    return list_few(
        [tell("{subject}, row {number}", subject=subject, number=number) for _, subject, number in rows], "; "
    )
