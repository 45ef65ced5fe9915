"""Which plays a training sheet asks: by subject and tag, the fewest that cover every row, or a season's series."""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Sequence
from collections.abc import Set as AbstractSet
from itertools import chain

from pocketref.plays.computed_plays import compute_plays, read_computed_name
from pocketref.plays.plays import CasePlay, Row, RuleBooks, RuledPlay
from pocketref.problems import PocketrefError, refusal
from pocketref.rulings.cover import choose_cheapest
from pocketref.source.play_models import MOST_PLAYS, PlaySheetModel
from pocketref.words.terminal import tell


def select_plays(
    sheet: PlaySheetModel, cases: Sequence[CasePlay], ruled: Sequence[RuledPlay], books: RuleBooks
) -> tuple[tuple[CasePlay, ...], ...]:
    """The plays of each sheet of a series, or of the one sheet that it is, in the order they are asked.

    Raises PocketrefError: "play-sheet-empty" if no play fits, "play-sheet-full" if covering every row takes more
    plays than the sheet may have, "play-series-short" if there are too few plays for a series without repeats.
    """
    if sheet.named:
        by_name = {case.name: case for case in cases}
        return tuple(
            tuple(by_name.get(name) or _compute(name, sheet.code, books) for name in names)
            for names in sheet.named
        )
    pool = [case for case in cases if fits_sheet(sheet, case)]
    if sheet.fill:
        pool += _fill(sheet, pool, ruled, books)
    if sheet.cover:
        pool = _cover(sheet, pool, ruled, books)
    if not pool:
        raise _refuse(
            "play-sheet-empty", sheet, tell("no play fits it"), tell("ask for other subjects or tags")
        )
    if sheet.series is None:
        chosen = {case.name for case in deal_fairly(pool)[: sheet.plays]}
        return (tuple(case for case in pool if case.name in chosen),)
    weeks, each = sheet.series.weeks, sheet.series.each
    if len(pool) < weeks * each:
        sentence = tell(
            "{weeks} weeks of {each} take {weeks2} plays, and there are {count}",
            weeks=weeks,
            each=each,
            weeks2=weeks * each,
            count=len(pool),
        )
        raise _refuse(
            "play-series-short", sheet, sentence, tell("fewer weeks, fewer plays each, or more plays")
        )
    order = deal_fairly(pool)
    return tuple(tuple(order[start : start + each]) for start in range(0, weeks * each, each))


def deal_fairly(pool: Sequence[CasePlay]) -> list[CasePlay]:
    """The plays in a fixed order without pattern, in which every stretch holds each subject by its share, within one.

    Each play has a first and a last place by its share; of those that may stand next one at its last place does, else
    the one whose middle place comes first. Just-in-time sequencing by the last places alone always keeps within one
    (Steiner and Yeomans, 1993); by middle places, rare subjects come up sooner.
    """
    by_subject: dict[str, list[CasePlay]] = {}
    for case in sorted(pool, key=lambda case: hashlib.sha256(case.name.encode()).digest()):
        by_subject.setdefault(case.subject, []).append(case)
    total, dealt = len(pool), dict.fromkeys(by_subject, 0)
    order = []
    for place in range(1, total + 1):
        due = []
        for subject, done in dealt.items():
            share = len(by_subject[subject])
            if done < share and place > done * total // share:
                due.append((-(-(done + 1) * total // share) > place, (done + 0.5) / share, subject))
        subject = min(due)[-1]
        order.append(by_subject[subject][dealt[subject]])
        dealt[subject] += 1
    return order


def fits_sheet(sheet: PlaySheetModel, case: CasePlay) -> bool:
    """Whether a sheet asks for such a play, so that it may come up there."""
    if sheet.named:
        return any(case.name in names for names in sheet.named)
    return (
        sheet.code in case.model.expect
        and (not sheet.subjects or case.subject in sheet.subjects)
        and (not sheet.tags or any(tag in sheet.tags for tag in case.model.tags))
    )


def _compute(name: str, code: str, books: RuleBooks) -> CasePlay:
    """The computed play of a name, which has been checked."""
    found = read_computed_name(name, code, books.library)
    if found is None:
        raise AssertionError(f"the layout names {name}, which no row makes")
    return compute_plays(books, found[0], code, [found[1]])[0]


def _rows_met(pool: Sequence[CasePlay], ruled: Sequence[RuledPlay]) -> dict[str, set[Row]]:
    """The rows that each play meets, by its name."""
    met: dict[str, set[Row]] = {case.name: set() for case in pool}
    for play in ruled:
        if play.case.name in met:
            met[play.case.name].add(play.row)
    return met


def _list_rows(sheet: PlaySheetModel, codes: Sequence[str], books: RuleBooks) -> list[Row]:
    library = books.library
    subjects = [subject for subject in library.subjects if not sheet.subjects or subject in sheet.subjects]
    return [
        (code, subject, number)
        for subject in subjects
        for code in codes
        if (code, subject) in library.rulings
        for number in range(1, len(library.rulings[code, subject].rows) + 1)
    ]


def _fill(
    sheet: PlaySheetModel, pool: Sequence[CasePlay], ruled: Sequence[RuledPlay], books: RuleBooks
) -> list[CasePlay]:
    """A computed play for each row of the sheet's code that no play of the pool meets."""
    met = set().union(*_rows_met(pool, ruled).values()) if pool else set()
    missing = [row for row in _list_rows(sheet, [sheet.code], books) if row not in met]
    made = (compute_plays(books, subject, code, [number]) for code, subject, number in missing)
    return list(chain.from_iterable(made))


def _cover(
    sheet: PlaySheetModel, pool: Sequence[CasePlay], ruled: Sequence[RuledPlay], books: RuleBooks
) -> list[CasePlay]:
    """The fewest plays of the pool that meet every row of the codes to cover that any of them meets."""
    met = _rows_met(pool, ruled)
    for case in pool:
        if case.is_computed:
            number = int(case.name.rpartition("-")[2])
            met[case.name] = {(sheet.code, case.subject, number)}
    wanted = frozenset(_list_rows(sheet, sheet.covered, books))
    fewest = choose_fewest([met[case.name] & wanted for case in pool])
    if len(fewest) > min(sheet.plays, MOST_PLAYS):
        sentence = tell(
            "every row takes {count} plays, and it has room for {plays}", count=len(fewest), plays=sheet.plays
        )
        hint = (
            tell("write plays: {count}", count=len(fewest))
            if len(fewest) <= MOST_PLAYS
            else tell("cover fewer subjects")
        )
        raise _refuse("play-sheet-full", sheet, sentence, hint)
    return [pool[number] for number in fewest]


def choose_fewest(meets: Sequence[AbstractSet[Hashable]]) -> tuple[int, ...]:
    """The numbers of the fewest plays that meet all that any of them meets; of as few, those that come first."""
    meeting: dict[Hashable, int] = {}
    for number, met in enumerate(meets):
        for thing in met:
            meeting[thing] = meeting.get(thing, 0) | 1 << number
    return choose_cheapest(meeting.values(), [1] * len(meets))[0]


def _refuse(code: str, sheet: PlaySheetModel, why: str, hint: str) -> PocketrefError:
    return refusal(code, tell("the sheet '{sheet}': {why}", sheet=sheet.sheet, why=why), hint, sheet.location)
