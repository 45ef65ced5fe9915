"""What a wrong choice betrays: the row of a table that rules so, and what must be misread to come to it.

A wrong ruling may be right by the same table with some facts taken otherwise, right on the same facts by another
code, or a ruling on another matter. Often it is more than one of these. Of a whole class, the misreading that
explains the most answers is told, since one misunderstanding shows in several plays.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import takewhile

from pocketref.marks.item_analysis import Share, add_shares
from pocketref.plays.choices import (
    MOST_FACTS,
    AskedPlay,
    Choice,
    NearRow,
    list_near_rows,
    rule_elsewhere,
    sign_choice,
)
from pocketref.plays.plays import Row, RuleBooks, RuledPlay
from pocketref.problems import Location
from pocketref.source.ruling_models import RulingModel
from pocketref.words.terminal import tell, tell_list

Taken = tuple[str, str, tuple[str, ...]]
"""A fact, the answer that the play has ("" if it is not told), and the answers that it was taken for."""
SHARED = 0.2
"""From this share of the answers on, a misreading is told as one of the class: our own figure."""
Place = tuple[str, int, str]
"""A wrong choice: the sheet, the play's number on it, the letter."""


@dataclass(frozen=True, slots=True)
class Misreading:
    """What was mistaken; the same in two plays if it is the same mistake.

    Of `subject`, the facts `taken` otherwise; or the rules of another `code` for one's own; or, with neither, the
    ruling of another subject.
    """

    subject: str
    code: str = ""
    taken: tuple[Taken, ...] = ()


@dataclass(frozen=True, slots=True)
class Betrayal:
    """A misreading, and the row that rules so: its table, its number from 1, where it stands."""

    misreading: Misreading
    row: Row
    where: Location | None


def find_betrayals(books: RuleBooks, play: RuledPlay, choice: Choice) -> list[Betrayal]:
    """All that a wrong choice may betray; what asks for the fewest other facts comes first."""
    return [
        *_find_misread_facts(books, play, choice.ruling),
        *_find_other_codes(books, play, choice.ruling),
    ] or _find_other_subjects(books, play, choice.ruling)


def _find_misread_facts(books: RuleBooks, play: RuledPlay, ruling: RulingModel) -> list[Betrayal]:
    """The rows of the play's own table that rule so with the fewest facts told taken otherwise."""
    subject, code = play.case.subject, play.code
    rules, model = books.rules(subject, code), books.library.rulings[code, subject]
    near = [
        row
        for outcome, other in model.rulings.items()
        if sign_choice(other) == sign_choice(ruling)
        for row in list_near_rows(rules, play, outcome)
    ]

    def measure(row: NearRow) -> tuple[bool, int]:
        return row.is_of_another, sum(name in play.answers for name in row.changes)

    near.sort(key=measure)
    betrayals = []
    for row in takewhile(lambda row: measure(row) == measure(near[0]), near):
        # What is not told is filled in as it suits: the mistake is about what is told, if anything of it is.
        told = [name for name in row.changes if name in play.answers] or list(row.changes)
        taken = tuple((name, play.answers.get(name, ""), row.changes[name]) for name in told)
        where = rules.table.rows[row.number - 1].where
        betrayals.append(Betrayal(Misreading(subject, "", taken), (code, subject, row.number), where))
    return betrayals


def _find_other_codes(books: RuleBooks, play: RuledPlay, ruling: RulingModel) -> list[Betrayal]:
    """The rows of other codes that rule so on the same facts."""
    return [
        Betrayal(Misreading("", code), other.row, other.answer.where)
        for code, other in rule_elsewhere(books, play).items()
        if not other.answer.unsettled and sign_choice(other.answer.ruling) == sign_choice(ruling)
    ]


def _find_other_subjects(books: RuleBooks, play: RuledPlay, ruling: RulingModel) -> list[Betrayal]:
    """The first row of another subject that rules so."""
    for (code, subject), model in books.library.rulings.items():
        if code == play.code and subject != play.case.subject and ruling in model.rulings.values():
            for number, row in enumerate(books.rules(subject, code).table.rows, start=1):
                if model.rulings[row.outcome] == ruling:
                    return [Betrayal(Misreading(subject), (code, subject, number), row.where)]
    return []


@dataclass(frozen=True, slots=True)
class Tally:
    """A misreading, the wrong choices that it explains, and how many of the answers that could show it took these."""

    misreading: Misreading
    places: tuple[Place, ...]
    taken: Share

    @property
    def is_shared(self) -> bool:
        """Whether so many show it that it is worth telling the class."""
        return self.taken.count > 1 and self.taken.value >= SHARED


def explain_choices(
    found: Mapping[Place, Sequence[Betrayal]], taken: Mapping[Place, Share]
) -> tuple[dict[Place, Betrayal], tuple[Tally, ...]]:
    """For each wrong choice that was taken the betrayal that the answers support best, and what each explains.

    `found` are the betrayals of every wrong choice on offer, `taken` how many of those who answered its play took it.
    Support is the least share, by its confidence interval, of all answers that a misreading would lead to these
    choices: the more plays show it the better, unless most of those who could show it do not. The misreading with
    the most support is told first; what it explains is no evidence for another.
    """
    told: dict[Place, Betrayal] = {}
    tallies = []
    open_ = {place: {each.misreading: each for each in betrayals} for place, betrayals in found.items()}
    while any(taken[place].count and betrayals for place, betrayals in open_.items()):
        offered: dict[Misreading, list[Place]] = {}
        for place, betrayals in open_.items():
            for misreading in betrayals:
                offered.setdefault(misreading, []).append(place)
        support = {each: add_shares(taken[place] for place in places) for each, places in offered.items()}
        best = max(support, key=lambda each: support[each].least)
        places = tuple(place for place in offered[best] if taken[place].count)
        told |= {place: open_.pop(place)[best] for place in places}
        tallies.append(Tally(best, places, support[best]))
    return told, tuple(tallies)


def write_misreading(books: RuleBooks, misreading: Misreading, *, is_brief: bool = False) -> str:
    """A misreading in words: "“Foot on plate at contact?” is *yes*, taken as *no*"; what it is left out in brief."""
    library = books.library
    if misreading.code:
        return tell("ruled as the {code} code does", code=library.codes[misreading.code].name.lower())
    if not misreading.taken:
        title = library.subjects[misreading.subject].title.lower()
        return tell("taken for another matter: {title}", title=title)
    if len(misreading.taken) > MOST_FACTS:
        return tell("another play, with {count} facts otherwise", count=len(misreading.taken))
    facts, parts = library.subjects[misreading.subject].facts, []
    for name, shown, taken in misreading.taken:
        labels = facts[name].answers
        said = {"fact": facts[name].ask, "taken": tell_list((labels[each] for each in taken), is_or=True)}
        if shown and not is_brief:
            parts.append(tell("“{fact}” is *{shown}*, taken as *{taken}*", shown=labels[shown], **said))
        else:
            parts.append(tell("“{fact}” taken as *{taken}*", **said))
    return reduce(lambda most, last: tell("{most}, and {last}", most=most, last=last), parts)


def list_betrayals(books: RuleBooks, question: AskedPlay) -> list[Sequence[Betrayal]]:
    """The betrayals of each choice of a play, in the order of their letters; none of the right one."""
    return [
        () if choice.is_right else find_betrayals(books, question.ruled, choice)
        for choice in question.choices
    ]
