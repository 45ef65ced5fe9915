"""The choices of a case play: the ruling, and wrong ones with the reason computed for each.

Wrong choices are what another code rules on the same facts, then the table's other rulings, then, if these are
too few, rulings of the subjects that the ruling itself turns to next. No two choices come to the same.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass

from pocketref.plays.plays import RuleBooks, RuledPlay
from pocketref.problems import PocketrefError
from pocketref.rulings.answer import SubjectRules
from pocketref.rulings.boxes import Box, contains, intersect, is_empty
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.table import Table
from pocketref.source.ruling_models import RulingModel

MOST_CHOICES = 4
FEW_CHOICES = 3
"""Rulings of other subjects are taken only up to this many choices."""
LETTERS = "ABCD"


@dataclass(frozen=True, slots=True)
class Choice:
    """A ruling offered as an answer; `reason` says why it is wrong, and is empty for the right one."""

    ruling: RulingModel
    reason: str = ""

    @property
    def is_right(self) -> bool:
        """Whether this is the ruling on the play."""
        return not self.reason


@dataclass(frozen=True, slots=True)
class AskedPlay:
    """A play with its choices in the order of their letters."""

    ruled: RuledPlay
    choices: tuple[Choice, ...]

    @property
    def letter(self) -> str:
        """The letter of the right choice."""
        return LETTERS[next(i for i, choice in enumerate(self.choices) if choice.is_right)]


def ask_plays(books: RuleBooks, plays: Sequence[RuledPlay]) -> tuple[AskedPlay, ...]:
    """The plays of one sheet with their choices, in the plays' order.

    The order of wrong choices is fixed by the play's name and
    code; among the plays with as many choices, each letter is right as often as any other, give or take one.
    """
    found = [find_choices(books, play) for play in plays]
    places = _place_right([play.key for play in plays], [len(choices) for choices in found])
    questions = []
    for play, (right, *wrong), place in zip(plays, found, places, strict=True):
        wrong.sort(key=lambda choice: _rank(play.key, choice.ruling.headline))
        wrong.insert(place, right)
        questions.append(AskedPlay(play, tuple(wrong)))
    return tuple(questions)


def _place_right(keys: Sequence[str], counts: Sequence[int]) -> list[int]:
    """Where each play's right choice goes, from 0: the place least used by plays with as many choices.

    Balanced over all plays together, a letter that few plays offer would be right in most of these.
    """
    used: dict[int, list[int]] = {count: [0] * count for count in counts}
    places = [0] * len(keys)
    for number in sorted(range(len(keys)), key=lambda number: _rank(keys[number], "play")):
        key, mine = keys[number], used[counts[number]]
        ranks = [_rank(key, letter) for letter in LETTERS]
        places[number] = min(range(len(mine)), key=lambda place: (mine[place], ranks[place]))
        mine[places[number]] += 1
    return places


def sign_choice(ruling: RulingModel) -> Hashable:
    """What a ruling comes to for a player and for the umpire's voice: choices differ in some part of it."""
    return sign_effect(ruling), bool(ruling.say)


def find_choices(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """The right choice first, then at most three wrong ones, the most telling first."""
    choices = [Choice(play.answer.ruling)]
    taken = {sign_choice(play.answer.ruling)}
    near = (*_other_codes(books, play), *_other_rulings(books, play))
    for most, others in ((MOST_CHOICES, near), (FEW_CHOICES, _other_subjects(books, play))):
        for choice in others:
            if len(choices) < most and sign_choice(choice.ruling) not in taken:
                taken.add(sign_choice(choice.ruling))
                choices.append(choice)
    return choices


def rule_elsewhere(books: RuleBooks, play: RuledPlay) -> Mapping[str, RuledPlay]:
    """The same facts by each other code whose table they settle, in the codes' order."""
    found = {}
    for code in books.codes_on(play.case.subject):
        if code == play.code:
            continue
        try:
            answer = books.answer(play.case.subject, code, play.answers)
        except PocketrefError:  # the play lacks a fact that matters to this code, or cannot happen in it
            continue
        found[code] = RuledPlay(play.case, code, play.answers, play.derived, play.scene, answer)
    return found


def _other_codes(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """What other codes rule on the same facts, with the question that makes the difference."""
    choices = []
    for code, other in rule_elsewhere(books, play).items():
        if other.answer.unsettled:
            continue
        name, cites = books.library.codes[code].name.lower(), ", ".join(other.answer.cites)
        mark = books.library.mark_doubt(other.answer.row)
        reason = f"So by the {name} code ({cites}{mark}){_write_difference(play, other)}."
        choices.append(Choice(other.answer.ruling, reason))
    return choices


def _write_difference(play: RuledPlay, other: RuledPlay) -> str:
    """Which question one code asks of this play and the other does not."""
    mine = {name: ask for name, ask, _ in play.answer.asked}
    theirs = {name: ask for name, ask, _ in other.answer.asked}
    only_theirs = [ask for name, ask in theirs.items() if name not in mine]
    only_mine = [ask for name, ask in mine.items() if name not in theirs]
    if only_theirs:
        return f": there “{only_theirs[-1]}” counts"
    if only_mine:
        return f": there “{only_mine[-1]}” does not count"
    return ", on the same facts"


def _other_rulings(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """The table's other rulings, those that take the fewest other facts first, and which facts."""
    rules = books.rules(play.case.subject, play.code)
    table, model = rules.table, books.library.rulings[play.code, play.case.subject]
    found = []
    for number, (outcome, ruling) in enumerate(model.rulings.items()):
        near = list_near_rows(rules, play, outcome) if outcome != play.answer.outcome else []
        for row in near[:1]:
            takes = "It belongs to another play, with" if row.is_of_another else "It would be right with"
            takes = "The league may rule so with" if table.rows[row.number - 1].is_open else takes
            mark = books.library.mark_doubt(model.rows[row.number - 1])
            reason = f"{takes} {write_changes(rules, row.changes)}{mark}."
            found.append((row.far, number, Choice(ruling, reason)))
    return [choice for _, _, choice in sorted(found, key=lambda entry: entry[:2])]


@dataclass(frozen=True, slots=True)
class NearRow:
    """A row that a play would meet with other answers to some facts."""

    number: int
    """From 1."""
    changes: Mapping[str, tuple[str, ...]]
    """The answers that the row asks for, by the facts that the play has otherwise, or does not tell."""
    is_of_another: bool
    """Whether more of the play must change, since the rest can't happen with these answers."""

    @property
    def far(self) -> tuple[bool, int]:
        """How far it is from the play: by the kind of change first, then by how many facts."""
        return self.is_of_another, len(self.changes)


def list_near_rows(rules: SubjectRules, play: RuledPlay, outcome: str) -> list[NearRow]:
    """The rows with this outcome that the play does not meet, the nearest first."""
    table = rules.table
    found = []
    for number, (row, box) in enumerate(zip(table.rows, table.row_boxes, strict=True), start=1):
        wrong = {fact for fact, allowed in row.when.items() if play.answers.get(fact) not in allowed}
        if row.outcome == outcome and wrong:
            changes = {fact: tuple(sorted(allowed)) for fact, allowed in row.when.items() if fact in wrong}
            found.append(NearRow(number, changes, not _can_happen(table, play, box, wrong)))
    return sorted(found, key=lambda row: row.far)


def _can_happen(table: Table, play: RuledPlay, box: Box, wrong: Collection[str]) -> bool:
    """Whether the play with its wrong answers changed into the box's meets no `never` outright."""
    kept = {fact: answer for fact, answer in play.answers.items() if fact not in wrong}
    changed = intersect(box, table.space.at(kept))
    return not is_empty(changed) and not any(contains(never, changed) for never in table.never_boxes)


def write_changes(rules: SubjectRules, changes: Mapping[str, tuple[str, ...]]) -> str:
    """The facts to change in words: "“Foot on plate at contact?” answered *off the plate*"."""
    parts = []
    for name, answers in changes.items():
        fact = rules.table.fact_by_name[name]
        labels = dict(zip(fact.answers, fact.labels, strict=True))
        parts.append(f"“{fact.ask}” answered *{' or '.join(labels[answer] for answer in answers)}*")
    return ", and ".join(parts)


def _other_subjects(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """Rulings of the subjects that this play's table turns to, none of which was told here."""
    library = books.library
    here = library.rulings[play.code, play.case.subject]
    turned_to = dict.fromkeys(ruling.see for ruling in here.rulings.values() if ruling.see)
    return [
        Choice(ruling, f"A ruling on another matter: {library.subjects[subject].title.lower()}.")
        for subject in turned_to
        if (play.code, subject) in library.rulings and subject != play.case.subject
        for ruling in library.rulings[play.code, subject].rulings.values()
    ]


def _rank(key: str, part: str) -> bytes:
    """A fixed place in an order that follows no pattern."""
    return hashlib.sha256(f"{key}/{part}".encode()).digest()
