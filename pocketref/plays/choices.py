"""The choices of a case play: the ruling, and wrong ones with the reason computed for each.

Wrong choices are what another code rules on the same facts, then the rulings that one misread fact leads to; if
these are too few, rulings of the subjects that the table turns to next, and last what takes more than one fact
otherwise, or one that goes without saying. No two choices come to the same.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pocketref.plays.plays import RuleBooks, RuledPlay
from pocketref.problems import PocketrefError
from pocketref.rulings.answer import SubjectRules
from pocketref.rulings.boxes import Box, contains, intersect, is_empty
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.situation import SITUATION
from pocketref.rulings.table import Table
from pocketref.source.ruling_models import UNSAID, RulingModel
from pocketref.words.speech import join_words, quote, say

MOST_CHOICES = 4
FEW_CHOICES = 3
"""Choices that betray no single misreading are taken only up to this many: three tell as much as four, and are read
sooner (Rodriguez 2005, a meta-analysis of 80 years)."""
LETTERS = "ABCD"
MOST_FACTS = 2
"""Who takes more facts otherwise has not misread a fact, but thought of another play: our own figure."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A ruling offered as an answer; `wordings` say why it is wrong, each in full, and are none for the right one."""

    ruling: RulingModel
    wordings: tuple[str, ...] = ()

    @property
    def is_right(self) -> bool:
        """Whether this is the ruling on the play."""
        return not self.wordings

    @property
    def reason(self) -> str:
        """Why it is wrong; empty for the right one."""
        return self.wordings[0] if self.wordings else ""


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
    questions, used = [], Counter[str]()
    for play, (right, *wrong), place in zip(plays, found, places, strict=True):
        wrong.sort(key=lambda choice: _rank(play.key, choice.ruling.as_written.headline))
        told = [_word_anew(choice, used) for choice in wrong]
        told.insert(place, right)
        questions.append(AskedPlay(play, tuple(told)))
    return tuple(questions)


def _word_anew(choice: Choice, used: Counter[str]) -> Choice:
    """The choice in the wording that is used least so far, so that a sheet's plays do not read alike."""
    wording = min(choice.wordings, key=lambda each: used[each])
    used[wording] += 1
    return replace(choice, wordings=(wording,))


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


def sign_choice(ruling: RulingModel) -> tuple[Hashable, ...]:
    """What a ruling comes to for a player and for the umpire's voice: choices differ in some part of it."""
    return *sign_effect(ruling), bool(ruling.say)


def find_choices(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """The right choice first, then at most three wrong ones, the most telling first."""
    choices = [Choice(play.answer.ruling)]
    taken = {sign_choice(play.answer.ruling)}
    misread, far, plain = _other_rulings(books, play)
    near, rest = (*_other_codes(books, play), *misread), (*far, *_other_subjects(books, play), *plain)
    for most, others in ((MOST_CHOICES, near), (FEW_CHOICES, rest)):
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
        cites = f"{', '.join(other.answer.cites)}{books.library.mark_doubt(other.answer.row)}"
        said = {"code": books.library.codes[code].name.lower(), "cites": cites}
        said["difference"] = _write_difference(play, other)
        so = say("So by the {code} code ({cites}){difference}.", **said)
        right = say("Right under the {code} code ({cites}){difference}.", **said)
        wordings = _turn([so, right], play, code)
        choices.append(Choice(other.answer.ruling, wordings))
    return choices


def _write_difference(play: RuledPlay, other: RuledPlay) -> str:
    """Which question one code asks of this play and the other does not."""
    mine = {name: ask for name, ask, _ in play.answer.asked}
    theirs = {name: ask for name, ask, _ in other.answer.asked}
    only_theirs = [ask for name, ask in theirs.items() if name not in mine]
    only_mine = [ask for name, ask in mine.items() if name not in theirs]
    if only_theirs:
        return say(": there “{ask}” counts", ask=only_theirs[-1])
    if only_mine:
        return say(": there “{ask}” does not count", ask=only_mine[-1])
    return say(", on the same facts")


def _other_rulings(books: RuleBooks, play: RuledPlay) -> tuple[list[Choice], ...]:
    """The table's other rulings, the nearest first: after one misread fact, after two, and what nobody takes so."""
    rules = books.rules(play.case.subject, play.code)
    model = books.library.rulings[play.code, play.case.subject]
    found = []
    for number, (outcome, ruling) in enumerate(model.rulings.items()):
        near = list_near_rows(rules, play, outcome) if outcome != play.answer.outcome else []
        for row in near[:1]:
            mark = books.library.mark_doubt(model.rows[row.number - 1])
            wordings = [f"{_write_misreading(books, play, row, way)}{mark}." for way in range(_WAYS)]
            misread = sum(name in play.answers for name in row.changes)
            is_plain = misread > MOST_FACTS or _goes_without_saying(books, play, row)
            group = 2 if is_plain else int(row.is_of_another or misread > 1)
            found.append((group, row.far, number, Choice(ruling, _turn(wordings, play, outcome))))
    found.sort(key=lambda entry: entry[:3])
    return tuple([each[-1] for each in found if each[0] == group] for group in range(3))


def _goes_without_saying(books: RuleBooks, play: RuledPlay, row: NearRow) -> bool:
    """Whether what would be misread is told, and so plain that the cards leave it out: nobody misreads it."""
    facts = books.library.subjects[play.case.subject].facts
    return all(
        name not in play.derived and facts[name].brief.get(play.answers.get(name, "")) == UNSAID
        for name in row.changes
    )


def _write_misreading(books: RuleBooks, play: RuledPlay, row: NearRow, way: int) -> str:
    """What was seen, and what it would be taken for, in one of the ways to say it."""
    rules = books.rules(play.case.subject, play.code)
    table_row = rules.table.rows[row.number - 1]
    parts = []
    for name, taken in row.changes.items():
        fact = rules.table.fact_by_name[name]
        labels = dict(zip(fact.answers, fact.labels, strict=True))
        said = {
            "ask": quote(fact.ask),
            "taken": f"*{join_words([labels[answer] for answer in taken], is_or=True)}*",
        }
        wordings = _READINGS[_find_kind(play, name)]
        wording = wordings[way % len(wordings)]
        parts.append(say(wording, seen=f"*{labels.get(play.answers.get(name, ''), '')}*", **said))
    head = say("Another play.") if row.is_of_another else ""
    head = say("The league may rule so.") if table_row.is_open else head
    return f"{head} {'; '.join(parts)}".lstrip()


def _find_kind(play: RuledPlay, fact: str) -> str:
    """How a play tells a fact: "drawn", by its "situation", "told", or "untold"."""
    if fact not in play.answers:
        return "untold"
    source = play.derived.get(fact)
    return "told" if source is None else "situation" if source == SITUATION else "drawn"


_READINGS = {
    "drawn": (
        "{ask} The picture shows {seen}, not {taken}",
        "{ask} Look again: {seen}; this is for {taken}",
    ),
    "situation": (
        "{ask} By runners, outs and count {seen}, not {taken}",
        "{ask} The standing says {seen}; this is for {taken}",
    ),
    "told": (
        "{ask} Here {seen}; this is for {taken}",
        "{ask} It was {seen}, not {taken}",
        "{ask} Right for {taken}; here {seen}",
    ),
    "untold": ("{ask} Not told, and it needs {taken}",),
}
"""How a fact may be misread, in our words, by how the play tells it."""
_WAYS = max(map(len, _READINGS.values()))


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


def _other_subjects(books: RuleBooks, play: RuledPlay) -> list[Choice]:
    """Rulings of the subjects that this play's table turns to, none of which was told here."""
    library = books.library
    here = library.rulings[play.code, play.case.subject]
    turned_to = dict.fromkeys(ruling.see for ruling in here.rulings.values() if ruling.see)
    return [
        Choice(
            ruling,
            _turn(
                [f"{say(head)}: {library.subjects[subject].title.lower()}." for head in _OTHER_MATTERS],
                play,
                subject,
            ),
        )
        for subject in turned_to
        if (play.code, subject) in library.rulings and subject != play.case.subject
        for ruling in library.rulings[play.code, subject].rulings.values()
    ]


_OTHER_MATTERS = ("A ruling on another matter", "Goes with another question", "From another chart")


def list_reasons() -> Iterator[str]:
    """What is looked up of the words for why a choice is wrong."""
    yield from (*(wording for wordings in _READINGS.values() for wording in wordings), *_OTHER_MATTERS)


def _turn(wordings: Sequence[str], play: RuledPlay, part: str) -> tuple[str, ...]:
    """The wordings, each once, from one on that the play's name fixes."""
    start = _rank(play.key, part)[0] % len(wordings)
    return tuple(dict.fromkeys((*wordings[start:], *wordings[:start])))


def _rank(key: str, part: str) -> bytes:
    """A fixed place in an order that follows no pattern."""
    return hashlib.sha256(f"{key}/{part}".encode()).digest()
