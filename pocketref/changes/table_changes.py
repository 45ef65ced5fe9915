"""Subjects and decision tables of two editions or codes compared: the calls that change, and what changes none."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from pocketref.blocks.differences import write_combination
from pocketref.changes.change_set import CALLS, SOURCES, WORDING, Change, ChangedCall, RulingSide
from pocketref.changes.change_words import Editions, write_difference, write_sections
from pocketref.changes.differences import Difference
from pocketref.changes.followers import Told, fold_row
from pocketref.rulings.boxes import Combination, intersect, is_covered
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.effects import sign_effect, write_effect
from pocketref.rulings.table import NO_RULING, Row, Table, read_ending
from pocketref.source.library import Library
from pocketref.source.ruling_models import RowModel, SightModel, SubjectModel, TableModel, answer_in
from pocketref.source.situation_models import list_situations
from pocketref.words.speech import say, say_count

_EFFECT = ("ball", "batter", "runners", "count", "out", "may-take-play")
_OF_RULING = ("ruling", "what to say", "signal")
"""Told by the ruling's name, or with the call that changes."""
ROW_PARTS = ("section", "confidence", "note", "why it is unsettled", *_OF_RULING)
"""What is compared of a row besides what its plays come to."""


@dataclass(frozen=True, slots=True)
class Side:
    """A code's table with the facts that it is over, and the library whose works it cites."""

    library: Library
    subject: SubjectModel
    model: TableModel

    def construct(self) -> Table:
        """The table itself."""
        return construct_table(self.subject, self.model)

    def sign(self, ruling: str, is_open: bool) -> Hashable:
        """What a ruling comes to. All that is unsettled comes to the same: the call is the league's."""
        return None if is_open else sign_effect(self.model.rulings[ruling])


def find_side(library: Library, code: str, subject: str) -> Side | None:
    """The table that a code rules on a subject by; None without one."""
    model = library.rulings.get((code, subject))
    return Side(library, library.subjects[subject], model) if model else None


def compare_subject(editions: Editions, found: Difference) -> Told:
    """What differs in a subject. Where its questions are answered otherwise by themselves, calls change."""
    match found.path[2:]:
        case ():
            old, new = (_write_codes(library, found.path[1]) for library in (editions.old, editions.new))
            yield CALLS, Change(f"*{editions.name(found.path)}*", old, new)
        case (_, _, "from") if _answers_otherwise(editions, found):
            yield CALLS, write_difference(editions, found)[1]
        case _:
            yield write_difference(editions, found)


def _write_codes(library: Library, subject: str) -> str:
    """Which codes rule on a subject; "" if the library has none of that name."""
    codes = [library.codes[code].name.lower() for code, name in library.rulings if name == subject]
    if subject not in library.subjects:
        return ""
    return say("ruled on by {codes}", codes=", ".join(codes)) if codes else say("ruled on by no code")


def _answers_otherwise(editions: Editions, found: Difference) -> bool:
    """Whether what is seen, or where the game stands, now answers a fact otherwise."""
    one, other = found.old, found.new
    if not isinstance(one, SightModel) or not isinstance(other, SightModel):
        return False
    _, subject, _, fact, _ = found.path
    old, new = (library.subjects[subject].facts[fact].answers for library in (editions.old, editions.new))
    return one.picture != other.picture or any(
        answer_in(one.situation, old, each) != answer_in(other.situation, new, each)
        for each in list_situations()
    )


def compare_table(editions: Editions, code: str, subject: str, found: Sequence[Difference]) -> Told:
    """What differs between the tables of a code on a subject; `found` are the leaves of the tables that do."""
    old, new = (find_side(library, code, subject) for library in (editions.old, editions.new))
    title = editions.name(("rulings", f"{code}/{subject}"))
    if not old or not new:
        if subject in editions.old.subjects and subject in editions.new.subjects:
            was, now = (_count_rows(side) if side else "" for side in (old, new))
            yield CALLS, Change(f"*{title}*", was, now)
        return
    calls = compare_calls(old, new, title)
    told = _compare_rows(title, old, new, calls)
    told[:0] = [(CALLS, change) for change in calls]
    sides = (side for change in calls if change.call for side in (change.call.old, change.call.new))
    outcomes = {side.outcome for side in sides if side}
    for difference in found:
        match difference.path[2:]:
            case ("rows",):
                continue
            case ("rulings", name, *key) if name in outcomes and (
                not key or key[0] in (*_EFFECT, "headline")
            ):
                continue  # told with the plays that are called otherwise
            case ("never",) if [row.when for row in old.model.never] != [row.when for row in new.model.never]:
                told.append((CALLS, write_difference(editions, difference)[1]))
            case _:
                told.append(write_difference(editions, difference))
    if found and (not told or _is_rewritten(old, new, told)):
        calls_change = any(group == CALLS for group, _ in told)
        same = say("rows written otherwise, every play ruled as before")
        if calls_change:
            same = say("rows written otherwise, every other play ruled as before")
        told.append((WORDING, Change(f"*{title}*", "", same)))
    yield from told


def _count_rows(side: Side) -> str:
    return say_count(len(side.model.rows), "ruled on, in {count} row", "ruled on, in {count} rows")


def _is_rewritten(old: Side, new: Side, told: Sequence[tuple[str, Change]]) -> bool:
    """Whether rows are drawn otherwise; beside calls that change, other rows than those that their plays meet."""
    whens = [[row.when for row in side.model.rows] for side in (old, new)]
    if not any(group == CALLS for group, _ in told):
        return whens[0] != whens[1]
    tables = [side.construct() for side in (old, new)]
    changed = [change.call.when for _, change in told if change.call]
    called = [
        [n for n in range(len(table.rows)) if any(_meets(table, n, when) for when in changed)]
        for table in tables
    ]
    return any(
        when not in whens[1 - side]
        and number not in called[side]
        and not any(_meets(tables[1 - side], n, when) for n in called[1 - side])
        for side in (0, 1)
        for number, when in enumerate(whens[side])
    )


def compare_calls(old: Side, new: Side, title: str) -> list[Change]:
    """The plays that both rule on and that come to something else, or that one alone rules on, in the fewest rows."""
    tables = [side.construct() for side in (old, new)]

    def same(left: str, right: str) -> bool:
        return old.sign(*read_ending(left)) == new.sign(*read_ending(right))

    calls = []
    for found in contrast_tables(tables[0], tables[1], same):
        was = _write_side(old, tables[0], found.left_outcome, found.when)
        now = _write_side(new, tables[1], found.right_outcome, found.when)
        play = write_combination(found.when, new.subject, old.subject)
        call = ChangedCall(new.model.code, new.model.subject, play, dict(found.when.allowed), was, now)
        words = [side.words if side else say("no ruling") for side in (was, now)]
        calls.append(Change(f"*{title}:* {play}", words[0], words[1], call=call))
    return calls


def _write_side(side: Side, table: Table, ending: str, when: Combination) -> RulingSide | None:
    if ending == NO_RULING:
        return None
    name, is_open = read_ending(ending)
    ruling = side.model.rulings[name]
    met = [n for n, row in enumerate(table.rows) if row.ending == ending and _meets(table, n, when.when)]
    rows = [side.model.rows[number] for number in met]
    sections = write_sections(side.library, [cite for row in rows for cite in row.source])
    words = say("*check your league*") if is_open else f"*{ruling.headline}.* {write_effect(ruling)}"
    return RulingSide(name, f"{words} ({sections})", sections, is_open)


def _meets(table: Table, number: int, when: Mapping[str, Iterable[str]]) -> bool:
    """Whether a row is met by some of the plays, of those that can happen."""
    known = {
        name: [answer for answer in answers if answer in table.fact_by_name[name].answers]
        for name, answers in when.items()
        if name in table.fact_by_name
    }
    return all(known.values()) and not is_covered(
        intersect(table.row_boxes[number], table.space.box(known)), table.never_boxes
    )


def _compare_rows(title: str, old: Side, new: Side, calls: list[Change]) -> list[tuple[str, Change]]:
    """What rows that plays meet now say otherwise than those that they met.

    Of plays that are called as before that is a change of its own, by another ruling or for another reason; of the
    others it goes with their call, by what it is of, such as "note".
    """
    tables = [
        replace(table, rows=tuple(Row(row.when, str(number)) for number, row in enumerate(table.rows)))
        for table in (side.construct() for side in (old, new))
    ]

    def is_called_otherwise(one: RowModel, other: RowModel) -> bool:
        return old.sign(one.ruling, bool(one.unsettled)) != new.sign(other.ruling, bool(other.unsettled))

    def list_parts(left: str, right: str) -> list[tuple[str, str, str]]:
        one, other = old.model.rows[int(left)], new.model.rows[int(right)]
        told: tuple[str, ...] = _OF_RULING if one.ruling == other.ruling else ()
        if is_called_otherwise(one, other):
            told = ("section", *_OF_RULING)
        was, now = _write_row(old, one), _write_row(new, other)
        return [(part, was[part], now[part]) for part in was if part not in told and was[part] != now[part]]

    plays: dict[tuple[str, str], list[Combination]] = {}
    for found in contrast_tables(tables[0], tables[1], lambda left, right: not list_parts(left, right)):
        if NO_RULING not in (found.left_outcome, found.right_outcome):
            plays.setdefault((found.left_outcome, found.right_outcome), []).append(found.when)
    told = []
    for (left, right), met in plays.items():
        words = " / ".join(write_combination(when, new.subject, old.subject) for when in met)
        follows = is_called_otherwise(old.model.rows[int(left)], new.model.rows[int(right)])
        for part, was, now in list_parts(left, right):
            if follows:
                fold_row(calls, dict(met[0].allowed), Change(say(part), was, now))
            else:
                group = SOURCES if part in ("section", "confidence", "note") else WORDING
                told.append((group, Change(f"*{title}:* {words}, {say(part)}", was, now)))
    return told


def _write_row(side: Side, row: RowModel) -> dict[str, str]:
    """What a row says of its plays, and its ruling, besides what they come to; by names that are not printed yet."""
    ruling = side.model.rulings[row.ruling]
    said = (
        write_sections(side.library, row.source),
        say(row.confidence),
        row.note,
        row.unsettled,
        ruling.headline,
        " / ".join(ruling.say),
        " / ".join(ruling.signal),
    )
    return dict(zip(ROW_PARTS, said, strict=True))
