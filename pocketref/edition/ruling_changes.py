"""Decision tables of two editions or codes compared: the calls that flip, and what is only worded otherwise."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace

from pocketref.edition.model_changes import Change, compare_models, write_value
from pocketref.pages.difference_table import sign_effect
from pocketref.rulings.boxes import Combination
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.table import NO_RULING, Table
from pocketref.source.kinds import Cite
from pocketref.source.library import Library
from pocketref.source.ruling_models import RowModel, RulingModel, SubjectModel, TableModel

_OPEN = "?"
"""What marks an outcome whose rows the source calls unsettled; no ruling's name may hold it."""
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
    """The plays in words: each fact's answers as a card prints them."""
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
    is_one_code = old[2].code == new[2].code
    tables = [_mark_unsettled(construct_table(subject, model), model) for _, subject, model in (old, new)]

    def same(left: str, right: str) -> bool:
        return _sign(old[2], left, with_count=is_one_code) == _sign(new[2], right, with_count=is_one_code)

    changes = []
    for found in contrast_tables(tables[0], tables[1], same):
        sides = [
            _describe_side(side, outcome, found.when)
            for side, outcome in ((old, found.left_outcome), (new, found.right_outcome))
        ]
        play = _describe_play(found.when, old[1], new[1])
        model, subject = new[2], new[1]
        changes.append(
            RulingChange(
                model.code, model.subject, subject.title, play, found.when.allowed, sides[0], sides[1]
            )
        )
    return changes


def _mark_unsettled(table: Table, model: TableModel) -> Table:
    """The table with the rows that are open to question leading to outcomes of their own."""
    rows = tuple(
        replace(row, outcome=row.outcome + _OPEN) if source.unsettled else row
        for row, source in zip(table.rows, model.rows, strict=True)
    )
    return replace(table, rows=rows, outcomes=tuple(dict.fromkeys(row.outcome for row in rows)))


def _sign(model: TableModel, outcome: str, *, with_count: bool) -> Hashable:
    """What a ruling comes to. Codes word the count each in its own way, so only one code's is compared."""
    if outcome.endswith(_OPEN):
        return (
            None  # whatever an unsettled row says, the call is the league's: all such rows come to the same
        )
    ruling = model.rulings[outcome]
    return sign_effect(ruling), ruling.count.lower() if with_count else ""


def _describe_side(side: Side, outcome: str, when: Combination) -> RulingSide | None:
    if outcome == NO_RULING:
        return None
    library, _, model = side
    name = outcome.removesuffix(_OPEN)
    ruling = model.rulings[name]
    cites = dict.fromkeys(
        cite
        for row in model.rows
        if row.ruling == name and bool(row.unsettled) == outcome.endswith(_OPEN) and _meets(row, when)
        for cite in row.source
    )
    sections = ", ".join(write_cite(library, cite) for cite in cites)
    return RulingSide(
        name,
        ruling.headline,
        ruling.ball.value,
        ruling.batter,
        ruling.runners,
        ruling.count,
        sections,
        outcome.endswith(_OPEN),
    )


def _meets(row: RowModel, when: Combination) -> bool:
    """Whether a row rules on some of the plays."""
    allowed = dict(when.allowed)
    return all(
        not set(answers).isdisjoint(allowed[fact]) for fact, answers in row.when.items() if fact in allowed
    )


def write_cite(library: Library, cite: Cite) -> str:
    """A section as a card cites it: the work's mark and the section, or the house."""
    return "house" if cite.is_house else f"{library.works[cite.work].mark} {cite.section}"


def _describe_play(when: Combination, old: SubjectModel, new: SubjectModel) -> str:
    """The plays by the answers' words in print, the newer words where both have them."""
    parts = []
    for fact, answers in when.allowed:
        labels: dict[str, str] = {}
        for subject in (old, new):
            labels |= subject.facts[fact].answers if fact in subject.facts else {}
        parts.append(" or ".join(labels[answer] for answer in answers))
    return "; ".join(parts) or "any play"


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
