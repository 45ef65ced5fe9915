"""The choices of every play, in their order, against the rule tried answer by answer."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping
from itertools import product

import pytest
from play_samples import CODES, books, content, ruled

from pocketref.plays.choices import LETTERS, ask_plays, find_choices, sign_choice
from pocketref.plays.plays import RuledPlay
from pocketref.problems import PocketrefError
from pocketref.rulings.table import Row, Table, decide


def list_other_codes(play: RuledPlay) -> Iterator[Hashable]:
    """What each other code that settles the same facts rules, in the order of the codes."""
    for code in content().codes:
        if code == play.code or (code, play.case.subject) not in content().rulings:
            continue
        table = books().rules(play.case.subject, code).table
        answers = {fact: play.answers[fact] for fact in play.answers if fact in table.fact_by_name}
        try:
            row = decide(table, answers)
        except PocketrefError:
            continue
        model = content().rulings[code, play.case.subject]
        if not any(r.location == row.where and r.unsettled for r in model.rows):
            yield sign_choice(model.rulings[row.outcome])


def list_nearest(play: RuledPlay) -> tuple[list[Hashable], list[Hashable], list[Hashable]]:
    """The table's other rulings by their nearest rows: after one misread fact, after two, and what nobody takes so."""
    table = books().rules(play.case.subject, play.code).table
    rulings = content().rulings[play.code, play.case.subject].rulings
    facts = content().subjects[play.case.subject].facts
    found = []
    for number, outcome in enumerate(rulings):
        rows = [row for row in table.rows if row.outcome == outcome != play.answer.outcome]
        ways = [(not can_happen(table, row, play.answers), count_changes(row, play.answers)) for row in rows]
        if ways:
            row = rows[ways.index(min(ways))]
            changed = [fact for fact, allowed in row.when.items() if play.answers.get(fact) not in allowed]
            told = [fact for fact in changed if fact in play.answers]
            unsaid = all(
                fact in told and fact not in play.derived and facts[fact].brief.get(play.answers[fact]) == "-"
                for fact in changed
            )
            group = 2 if len(told) > 2 or unsaid else int(min(ways)[0] or len(told) > 1)
            found.append((group, min(ways), number, sign_choice(rulings[outcome])))
    found.sort(key=lambda entry: entry[:3])
    one, two, plain = ([signed for kind, _, _, signed in found if kind == group] for group in range(3))
    return one, two, plain


def count_changes(row: Row, answers: Mapping[str, str]) -> int:
    return sum(answers.get(fact) not in allowed for fact, allowed in row.when.items())


def can_happen(table: Table, row: Row, answers: Mapping[str, str]) -> bool:
    """Whether some play meets the row, has all the answers that the row lets stand, and meets no `never`."""
    kept = {f: a for f, a in answers.items() if f not in row.when or a in row.when[f]}
    names = [fact.name for fact in table.facts]
    plays = [dict(zip(names, each, strict=True)) for each in product(*(f.answers for f in table.facts))]
    meeting = [
        play
        for play in plays
        if all(play[fact] in allowed for fact, allowed in row.when.items())
        and all(play[fact] == answer for fact, answer in kept.items() if fact in play)
    ]
    return any(
        not any(all(play[fact] in allowed for fact, allowed in never.when.items()) for never in table.never)
        for play in meeting
    )


def list_turned_to(play: RuledPlay) -> Iterator[Hashable]:
    """Rulings of the subjects that the table turns to."""
    here = content().rulings[play.code, play.case.subject]
    for subject in dict.fromkeys(ruling.see for ruling in here.rulings.values() if ruling.see):
        there = content().rulings.get((play.code, subject))
        if subject != play.case.subject and there is not None:
            yield from (sign_choice(ruling) for ruling in there.rulings.values())


def fill(chosen: list[Hashable], offered: Iterable[Hashable], most: int) -> None:
    for signed in offered:
        if len(chosen) < most and signed not in chosen:
            chosen.append(signed)


@pytest.mark.parametrize("code", CODES)
def test_choices_are_other_codes_rulings_then_what_one_misread_fact_leads_to(code: str) -> None:
    """Four at most, and of what betrays no single misreading only up to three; the right one first."""
    counts = set()
    for play in (play for play in ruled() if play.code == code):
        expected = [sign_choice(play.answer.ruling)]
        one, two, plain = list_nearest(play)
        fill(expected, list_other_codes(play), 4)
        fill(expected, one, 4)
        fill(expected, two, 3)
        fill(expected, list_turned_to(play), 3)
        fill(expected, plain, 3)
        assert [sign_choice(choice.ruling) for choice in find_choices(books(), play)] == expected, play.key
        counts.add(len(expected))
    assert counts == {3, 4}


def test_no_contact_is_offered_only_where_the_bat_may_have_missed() -> None:
    """Who reads that a ball was lined into left field does not take it for a miss."""
    plays = [
        play for play in ruled() if play.case.subject == "contact" and play.answers["bat-meets-ball"] == "yes"
    ]
    offered = [choice.ruling.headline for play in plays for choice in find_choices(books(), play)]
    assert len(plays) > 20
    assert not [headline for headline in offered if headline.startswith("No contact")]


def test_the_choices_of_a_sheet_are_those_found_in_another_order() -> None:
    plays = [play for play in ruled() if play.code == "youth"]
    letters = []
    for question, play in zip(ask_plays(books(), plays), plays, strict=True):
        assert question.ruled is play
        found = find_choices(books(), play)
        rulings = [choice.ruling.headline for choice in question.choices]
        assert sorted(rulings) == sorted(choice.ruling.headline for choice in found)
        wordings = {wording for choice in found for wording in choice.wordings}
        assert {choice.reason for choice in question.choices} - {""} <= wordings
        assert question.choices[LETTERS.index(question.letter)] == found[0]
        letters.append(question.letter)
    assert {*letters} == {*"ABCD"}
    assert letters != sorted(letters)


def test_each_letter_is_right_as_often_as_any_other_among_plays_with_as_many_choices() -> None:
    for code in CODES:
        for start in (0, 7, 20):
            plays = [play for play in ruled() if play.code == code][start : start + 25]
            questions = ask_plays(books(), plays)
            for size in {len(question.choices) for question in questions}:
                right = [q.letter for q in questions if len(q.choices) == size]
                used = [right.count(letter) for letter in LETTERS[:size]]
                assert max(used) - min(used) <= 1


SEEN = (
    r"“.+” (The picture shows \*.+\*, not \*.+\*|Look again: \*.+\*; this is for \*.+\*|"
    r"By runners, outs and count \*.+\*, not \*.+\*|The standing says \*.+\*; this is for \*.+\*|"
    r"Here \*.+\*; this is for \*.+\*|It was \*.+\*, not \*.+\*|Right for \*.+\*; here \*.+\*|"
    r"Not told, and it needs \*.+\*)"
)
REASONS = {
    "code": r"(So by|Right under) the .+ code \(.+\)(: there “.+” (counts|does not count)|, on the same facts)",
    "misread": rf"((Another play|The league may rule so)\. )?{SEEN}(; {SEEN})*†?",
    "matter": r"(A ruling on another matter|Goes with another question|From another chart): .+",
}


def test_a_reason_says_what_another_code_asks_or_what_was_seen_and_taken_otherwise() -> None:
    kinds = set()
    for play in ruled():
        for choice in find_choices(books(), play)[1:]:
            kind = [way for way, words in REASONS.items() if re.fullmatch(f"{words}\\.", choice.reason)]
            assert len(kind) == 1, choice.reason
            kinds |= {*kind}
    assert kinds == {*REASONS}


def test_what_was_seen_is_what_the_play_tells() -> None:
    for play in ruled():
        facts = content().subjects[play.case.subject].facts
        for choice in find_choices(books(), play)[1:]:
            for ask, seen in re.findall(
                r"“([^”]+)” (?:The picture shows|Look again:|By runners, outs and count|It was) \*([^*]+)\*",
                choice.reason,
            ):
                name = next(name for name, fact in facts.items() if fact.ask == ask)
                assert facts[name].answers[play.answers[name]] == seen, play.key


def test_no_reason_reads_like_most_others() -> None:
    """An instructor reads a key aloud: no wording opens, or goes on in, more than a quarter of the reasons."""
    reasons = [choice.reason for play in ruled() for choice in find_choices(books(), play)[1:]]
    shapes = Counter(re.sub(r"“[^”]+”|\*[^*]+\*|\([^)]+\)|†|: .+", "", reason).strip() for reason in reasons)
    assert shapes.most_common(1)[0][1] < len(reasons) / 4
