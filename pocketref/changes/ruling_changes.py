"""Decision tables of two editions or codes compared: the calls that flip, and what is only worded otherwise."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from pocketref.blocks.differences import say_play
from pocketref.changes.model_changes import Change, compare_models, write_value
from pocketref.rulings.boxes import Combination, intersect, is_covered
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.effects import say_batter, say_count, say_runners, sign_effect
from pocketref.rulings.table import NO_RULING, Table, read_ending
from pocketref.source.library import Library
from pocketref.source.ruling_models import RulingModel, SubjectModel, TableModel
from pocketref.source.syntax.kinds import Cite

_EFFECT_KEYS = ("headline", "ball", "batter", "runners", "count")


@dataclass(frozen=True, slots=True)
class RulingSide:
    """A ruling in words with its sections; `is_unsettled` tells that the league must be asked."""

    outcome: str
    headline: str
    ball: str
    batter: str
    runners: str
    count: str
    sections: str
    is_unsettled: bool


@dataclass(frozen=True, slots=True)
class RulingChange:
    """Plays that are ruled differently; a side is None where nothing rules on them."""

    code: str
    subject: str
    title: str
    play: str
    """The plays in words: each fact's answers as briefly as a card prints them."""
    when: tuple[tuple[str, tuple[str, ...]], ...]
    """The same as facts and their answers."""
    old: RulingSide | None
    new: RulingSide | None


Side = tuple[Library, SubjectModel, TableModel]
"""A table with the facts it is over, and the library whose works it cites."""


def compare_rulings(
    old: Library, new: Library
) -> tuple[tuple[RulingChange, ...], tuple[Change, ...], tuple[Change, ...]]:
    """Calls that flip; tables, questions and rulings in other words; and rows that only cite otherwise."""
    flips: list[RulingChange] = []
    wording: list[Change] = []
    cites: list[Change] = []
    for name in dict.fromkeys((*old.subjects, *new.subjects)):
        before, after = old.subjects.get(name), new.subjects.get(name)
        if before is None or after is None:
            titles = ("" if subject is None else subject.title for subject in (before, after))
            wording.append(Change(name, "subject", *titles))
        else:
            wording += _compare_subject(before, after)
    for code, name in dict.fromkeys((*old.rulings, *new.rulings)):
        one, other = old.rulings.get((code, name)), new.rulings.get((code, name))
        if one is None or other is None:
            words = ("" if table is None else f"{len(table.rows)} rows" for table in (one, other))
            wording.append(Change(f"{code}, {name}", "table", *words))
            continue
        found = compare_tables((old, old.subjects[name], one), (new, new.subjects[name], other))
        flips += found
        flipped = {(side.old.outcome, side.new.outcome) for side in found if side.old and side.new}
        wording += compare_wording(f"{code}, {name}", one, other, flipped)
        cites += _compare_cites(f"{code}, {name}", one, other)
    return tuple(flips), tuple(wording), tuple(cites)


def compare_tables(old: Side, new: Side) -> list[RulingChange]:
    """The plays ruled differently, as the fewest rows; rulings are the same if they come to the same."""
    tables = [construct_table(subject, model) for _, subject, model in (old, new)]

    def same(left: str, right: str) -> bool:
        return _sign(old[2], left) == _sign(new[2], right)

    changes = []
    for found in contrast_tables(tables[0], tables[1], same):
        sides = [
            _describe_side(side, table, ending, found.when)
            for side, table, ending in zip(
                (old, new), tables, (found.left_outcome, found.right_outcome), strict=True
            )
        ]
        play = say_play(found.when, new[1], old[1])
        model, subject = new[2], new[1]
        changes.append(
            RulingChange(
                model.code, model.subject, subject.title, play, found.when.allowed, sides[0], sides[1]
            )
        )
    return changes


def _sign(model: TableModel, ending: str) -> Hashable:
    """What a ruling comes to."""
    name, is_open = read_ending(ending)
    if is_open:
        return (
            None  # whatever its rows say, the call is the league's: all that is unsettled comes to the same
        )
    return sign_effect(model.rulings[name])


def _describe_side(side: Side, table: Table, ending: str, when: Combination) -> RulingSide | None:
    if ending == NO_RULING:
        return None
    library, _, model = side
    name, is_open = read_ending(ending)
    ruling = model.rulings[name]
    cites = dict.fromkeys(
        cite
        for number, row in enumerate(model.rows)
        if table.rows[number].ending == ending and _meets(table, number, when)
        for cite in row.source
    )
    sections = ", ".join(write_cite(library, cite) for cite in cites)
    return RulingSide(
        name,
        ruling.headline,
        ruling.ball.value,
        say_batter(ruling).full,
        say_runners(ruling).full,
        say_count(ruling),
        sections,
        is_open,
    )


def _meets(table: Table, number: int, when: Combination) -> bool:
    """Whether a row rules on some of the plays, of those that can happen."""
    known = {
        name: [answer for answer in answers if answer in table.fact_by_name[name].answers]
        for name, answers in when.allowed
        if name in table.fact_by_name
    }
    if not all(known.values()):
        return False
    return not is_covered(intersect(table.row_boxes[number], table.space.box(known)), table.never_boxes)


def write_cite(library: Library, cite: Cite) -> str:
    """A section as a card cites it: the work's mark and the section, or the house."""
    return "house" if cite.is_house else f"{library.works[cite.work].mark} {cite.section}"


def _compare_subject(old: SubjectModel, new: SubjectModel) -> list[Change]:
    where = old.subject
    changes = [] if old.title == new.title else [Change(where, "title", old.title, new.title)]
    for name in dict.fromkeys((*old.facts, *new.facts)):
        before, after = old.facts.get(name), new.facts.get(name)
        if before is None or after is None:
            asked = ("" if fact is None else fact.ask for fact in (before, after))
            changes.append(Change(where, f"fact {name}", *asked))
        else:
            changes += compare_models(f"{where}, {name}", before, after)
    if not changes and list(old.facts) != list(new.facts):
        changes.append(Change(where, "order of facts", ", ".join(old.facts), ", ".join(new.facts)))
    return changes


def compare_wording(
    where: str, old: TableModel, new: TableModel, flipped: set[tuple[str, str]]
) -> list[Change]:
    """Rulings in other words. What changes the call itself is told with the plays it flips."""
    changes: list[Change] = []
    for name in dict.fromkeys((*old.rulings, *new.rulings)):
        before, after = old.rulings.get(name), new.rulings.get(name)
        if before is None or after is None:
            if not any(name in pair for pair in flipped):
                changes.append(Change(where, f"ruling {name}", _headline(before), _headline(after)))
            continue
        skip = _EFFECT_KEYS if (name, name) in flipped else ()
        changes += compare_models(f"{where}, {name}", before, after, skip)
    if old.order != new.order:
        changes.append(Change(where, "order of questions", ", ".join(old.order), ", ".join(new.order)))
    reasons = [[row.reason for row in table.never] for table in (old, new)]
    if reasons[0] != reasons[1]:
        changes.append(Change(where, "what cannot happen", *(write_value(list(group)) for group in reasons)))
    return changes


def _headline(ruling: RulingModel | None) -> str:
    return "" if ruling is None else ruling.headline


def _compare_cites(where: str, old: TableModel, new: TableModel) -> list[Change]:
    """Rows that both tables have, whose sources, confidence or notes differ."""
    changes: list[Change] = []
    for number, after in enumerate(new.rows, 1):
        twins = [row for row in old.rows if row.when == after.when and row.ruling == after.ruling]
        if twins:
            changes += compare_models(f"{where}, row {number}", twins[0], after, skip=("when", "unsettled"))
    return changes
