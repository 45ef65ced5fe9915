"""What is wrong with a table, exactly: plays met by two rows or by none, and parts of it that do nothing.

Hit policy *unique* (OMG DMN): every combination that can happen meets exactly one row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, islice

from pocketref.problems import Location, Problem, ProblemLog
from pocketref.rulings.boxes import (
    Box,
    BoxIndex,
    Combination,
    LabelledBoxes,
    bits,
    intersect,
    is_covered,
    subtract_boxes,
)
from pocketref.rulings.cover import cover_set
from pocketref.rulings.table import Row, Table, cut_possible
from pocketref.words.terminal import tell

MOST_GAPS = 40
"""Gaps listed at most; a reader mends these first and looks again."""
MOST_GAP_BOXES = 1000
MOST_OVERLAPS = 400
"""Overlaps listed at most."""
MOST_POSSIBLE_BOXES = 4000
"""Idle parts are looked for while the possible plays are no more boxes than this."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two rows that meet the same plays."""

    when: Combination
    first: Row
    second: Row


@dataclass(frozen=True, slots=True)
class IdleAnswers:
    """Two answers of a fact that lead to the same outcome whatever the other answers are."""

    fact: str
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Audit:
    """The findings on one table, all in the author's order.

    - `overlaps`: pairs of rows that meet the same possible play, whatever their outcomes;
      `overlaps_complete` is false if there are more than are listed.
    - `gaps`: the possible plays no row rules on, as few maximal combinations (they may overlap);
      `gaps_complete` is false if there are more than are listed.
    - `dead_rows`: rows that no possible play meets.
    - `impossible_answers`: (fact, answer) that can never happen.
    - `idle_facts`: facts that can all be left out and still every outcome is known.
    - `idle_answers`: pairs of answers nowhere distinguishable, of the other facts.
    - `unused_outcomes`: names in `outcomes` that no row which can be met leads to.

    A play without a ruling counts as an outcome of its own in the idle findings. These are left empty, and
    `idle_complete` is false, while not all gaps are known or `never` cuts the rows into too many boxes.
    """

    table: Table
    overlaps: tuple[Overlap, ...]
    overlaps_complete: bool
    gaps: tuple[Combination, ...]
    gaps_complete: bool
    dead_rows: tuple[Row, ...]
    impossible_answers: tuple[tuple[str, str], ...]
    idle_complete: bool
    idle_facts: tuple[str, ...]
    idle_answers: tuple[IdleAnswers, ...]
    unused_outcomes: tuple[str, ...]

    @property
    def is_unique(self) -> bool:
        """Whether every possible play meets exactly one row."""
        return not self.overlaps and not self.gaps


def audit_table(table: Table) -> Audit:
    """Audit a table whose names are all known, without listing its combinations."""
    space = table.space
    overlaps, overlaps_complete = _find_overlaps(table)
    gaps, gaps_complete = _find_gaps(table)
    dead = [is_covered(box, table.never_boxes) for box in table.row_boxes]
    used = {row.outcome for row, is_dead in zip(table.rows, dead, strict=True) if not is_dead}
    impossible = _impossible_answers(table) if table.never else ()
    parts = list(islice(cut_possible(table, space.full), MOST_POSSIBLE_BOXES + 1)) if gaps_complete else []
    is_small = gaps_complete and len(parts) <= MOST_POSSIBLE_BOXES
    possible = LabelledBoxes(space, parts) if is_small else None
    everything = range(len(space.names))
    asked = possible.enough_places(possible.everyone, everything) if possible else everything
    return Audit(
        table=table,
        overlaps=overlaps,
        overlaps_complete=overlaps_complete,
        gaps=tuple(space.describe(box) for box in gaps),
        gaps_complete=gaps_complete,
        dead_rows=tuple(row for row, is_dead in zip(table.rows, dead, strict=True) if is_dead),
        impossible_answers=impossible,
        idle_complete=possible is not None,
        idle_facts=tuple(name for place, name in enumerate(space.names) if place not in asked),
        idle_answers=_find_idle_answers(possible, asked, impossible) if possible else (),
        unused_outcomes=tuple(name for name in table.outcomes if name not in used),
    )


def _find_overlaps(table: Table) -> tuple[tuple[Overlap, ...], bool]:
    """The overlaps, and whether that is all of them."""
    index = BoxIndex(table.space.full, table.row_boxes)
    found: list[Overlap] = []
    for number, box in enumerate(table.row_boxes):
        for other in bits(index.meeting(box) >> (number + 1) << (number + 1)):
            common = intersect(box, table.row_boxes[other])
            if is_covered(common, table.never_boxes):
                continue
            if len(found) == MOST_OVERLAPS:
                return tuple(found), False
            found.append(Overlap(table.space.describe(common), table.rows[number], table.rows[other]))
    return tuple(found), True


def _find_gaps(table: Table) -> tuple[tuple[Box, ...], bool]:
    """The plays without a ruling as few maximal boxes, and whether that is all of them."""
    full = table.space.full
    ruled = (*table.row_boxes, *table.never_boxes)
    boxes = list(islice(subtract_boxes(full, ruled), MOST_GAP_BOXES + 1))
    cover = cover_set(full, boxes, ruled, MOST_GAPS)
    return cover.boxes, cover.whole and len(boxes) <= MOST_GAP_BOXES


def _impossible_answers(table: Table) -> tuple[tuple[str, str], ...]:
    return tuple(
        (fact.name, answer)
        for fact in table.facts
        for answer in fact.answers
        if is_covered(table.space.box({fact.name: (answer,)}), table.never_boxes)
    )


def _find_idle_answers(
    possible: LabelledBoxes, asked: Sequence[int], impossible: tuple[tuple[str, str], ...]
) -> tuple[IdleAnswers, ...]:
    """Pairs of possible answers with no two rivals that agree on all other facts."""
    space = possible.space
    found = []
    for place in asked:
        told = _pairs_told_apart(possible, place)
        answers = space.answers[place]
        happen = [i for i, answer in enumerate(answers) if (space.names[place], answer) not in impossible]
        found += [
            IdleAnswers(space.names[place], answers[i], answers[j])
            for number, i in enumerate(happen)
            for j in happen[number + 1 :]
            if (i, j) not in told
        ]
    return tuple(found)


def _pairs_told_apart(possible: LabelledBoxes, place: int) -> set[tuple[int, int]]:
    """Pairs of answers of one fact (lower first) that change the label of some combination."""
    told: set[tuple[int, int]] = set()
    for number, box in enumerate(possible.boxes):
        agreeing = possible.everyone & ~possible.by_label[possible.labels[number]]
        for other, mask in enumerate(box):
            if other != place:
                agreeing &= possible.index.meeting_in(other, mask)
        if not agreeing:
            continue
        for answer in range(len(possible.space.answers[place])):
            if agreeing & possible.index.with_answer(place, answer):
                told.update((min(a, answer), max(a, answer)) for a in bits(box[place]) if a != answer)
    return told


# --- in words -----------------------------------------------------------------------------------------------


def list_problems(audit: Audit) -> list[Problem]:
    """The findings as sentences: overlaps, gaps and dead rows are errors, rulings that are never met warnings.

    What is idle or impossible is told by `list_idle_in_all`, for all codes that share a vocabulary of facts.
    """
    table, found = audit.table, ProblemLog()
    again = tell("mend these, then check again")
    for overlap in audit.overlaps:
        first, second = overlap.first, overlap.second
        at = str(first.where or tell("an unknown place"))
        hint = tell(
            "the other row, which rules '{outcome}', is at {at}; this one rules '{outcome2}'",
            outcome=first.outcome,
            at=at,
            outcome2=second.outcome,
        )
        sentence = tell("two rows meet the same play: {when}", when=overlap.when)
        found.error("table-overlap", sentence, hint, second.where or first.where)
    if not audit.overlaps_complete:
        sentence = tell("{title} has more overlaps than are listed", title=table.title)
        found.error("table-overlap", sentence, again, table.rows_where)
    for gap in audit.gaps:
        hint = tell("add a row, or say under 'never' why not ({title})", title=table.title)
        found.error("table-gap", tell("no row rules on: {gap}", gap=gap), hint, table.rows_where)
    if not audit.gaps_complete:
        found.error(
            "table-gap",
            tell("{title} has more gaps than are listed here", title=table.title),
            again,
            table.rows_where,
        )
    for row in audit.dead_rows:
        hint = tell("its combinations are all under 'never', or a fact has no answer left")
        sentence = tell("no play can ever meet this row, which rules '{outcome}'", outcome=row.outcome)
        found.error("row-dead", sentence, hint, row.where)
    for outcome in audit.unused_outcomes:
        sentence = tell(
            "no play leads to the ruling '{outcome}' of {title}", outcome=outcome, title=table.title
        )
        hint = tell("leave it out, or add the row that leads to it")
        found.warn("ruling-unused", sentence, hint, table.where)
    return found.problems


def list_idle_in_all(audits: Sequence[Audit]) -> list[Problem]:
    """Warnings for the facts and answers that change no ruling, or can't happen, in any of a subject's tables."""
    found = ProblemLog()
    if not audits:
        return []
    table = audits[0].table
    for fact, answer in audits[0].impossible_answers:
        if all((fact, answer) in audit.impossible_answers for audit in audits):
            hint = tell("every combination with it is under 'never'")
            found.warn(
                "answer-impossible",
                tell("'{fact} = {answer}' can never happen", fact=fact, answer=answer),
                hint,
                _place(table, fact),
            )
    if not all(audit.idle_complete for audit in audits):
        return found.problems
    titles = " or ".join(audit.table.title for audit in audits)
    idle_facts = [f for f in audits[0].idle_facts if all(f in audit.idle_facts for audit in audits)]
    for fact in idle_facts:
        hint = tell("leave it out, or see whether a row lacks a condition")
        found.warn(
            "fact-idle",
            tell("'{fact}' never changes a ruling of {titles}", fact=fact, titles=titles),
            hint,
            _place(table, fact),
        )
    for fact in (fact for fact in table.space.names if fact not in idle_facts):
        for first, second in combinations(table.fact_by_name[fact].answers, 2):
            idle = IdleAnswers(fact, first, second)
            if all(idle in audit.idle_answers or fact in audit.idle_facts for audit in audits):
                sentence = tell(
                    "'{first}' and '{second}' of '{fact}' always lead to the same ruling of {titles}",
                    first=first,
                    second=second,
                    fact=fact,
                    titles=titles,
                )
                hint = tell("one answer would do, or a row lacks a condition")
                found.warn("answer-idle", sentence, hint, _place(table, fact))
    return found.problems


def _place(table: Table, fact: str) -> Location | None:
    return table.fact_by_name[fact].where or table.where
