"""Changes that follow from a changed call, told with it: what its rows say of themselves, and answers to case plays."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from pocketref.changes.change_set import CALLS, Change, ChangedCall
from pocketref.changes.change_words import Editions, write_difference
from pocketref.changes.differences import Difference
from pocketref.plays.plays import CasePlay, RuleBooks, rule_on_play
from pocketref.problems import PocketrefError
from pocketref.words.speech import say

Told = Iterator[tuple[str, Change]]
"""Changes, each with the name of its group."""
Answers = Mapping[str, tuple[str, ...]]


def fold_row(calls: list[Change], answers: Answers, found: Change) -> None:
    """Put what changed about rows with the first call that plays with these answers meet."""
    for number, change in enumerate(calls):
        if change.call and _meets(change.call, answers):
            calls[number] = replace(change, follows=(*change.follows, found))
            return


def fold_plays(
    editions: Editions, told: Iterable[tuple[str, Change]], expected: Iterable[Difference]
) -> Told:
    """The changes, an answer to a play with the call that it follows from, or by itself if it follows from none."""
    folded, books = list(told), RuleBooks(editions.new)
    for found in expected:
        number = next((n for n, (_, change) in enumerate(folded) if _follows(change, found, books)), None)
        group, change = write_difference(editions, found)
        if number is None:
            folded.append((group, change))
        else:
            _, call = folded[number]
            title = editions.name(found.path[:4])
            folded[number] = (
                CALLS,
                replace(
                    call, follows=(*call.follows, replace(change, what=say("play “{title}”", title=title)))
                ),
            )
    yield from folded


def _follows(change: Change, found: Difference, books: RuleBooks) -> bool:
    """Whether a play is one of those called otherwise, and was and is expected to be."""
    call, (_, file, _, name, _, code) = change.call, found.path
    plays = books.library.plays.get(file)
    if not (call and call.old and call.new and plays and name in plays.cases):
        return False
    if (call.code, call.subject) != (code, plays.subject):
        return False
    if (call.old.outcome, call.new.outcome) != (found.old, found.new):
        return False
    try:
        ruled = rule_on_play(books, CasePlay(f"{file}/{name}", plays.subject, plays.cases[name]), code)
    except PocketrefError:  # as it is told the code does not rule on it
        return False
    return _meets(call, {fact: (answer,) for fact, answer in ruled.answers.items()})


def _meets(call: ChangedCall, answers: Answers) -> bool:
    """Whether some play that is called otherwise may have these answers."""
    return all(set(allowed) & set(answers.get(fact, allowed)) for fact, allowed in call.when.items())
