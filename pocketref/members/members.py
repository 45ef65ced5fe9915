"""A member run: for each chapter its cards by name on press sheets, and its packing list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from difflib import get_close_matches

from pocketref.edition.collector import hold_collector
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.press import PressRun, check_run
from pocketref.edition.proof import Proof
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.footers import write_mark
from pocketref.layouts.places import list_sets
from pocketref.members.member_run import ChapterRun, MemberPress, prepare_press
from pocketref.members.owned_cards import open_owners
from pocketref.members.packing import ChapterTotal, PackingPress, write_packing_csv, write_totals
from pocketref.members.roster import Member, group_by_chapter, name_folder
from pocketref.output.pdf_run import write_run
from pocketref.pages.stocks import sheet_of
from pocketref.problems import Location, PocketrefError, Problem


def build_members(
    proof: Proof,
    members: Sequence[Member],
    file: str,
    run: PressRun,
    progress: Callable[[int], None] | None = None,
) -> Iterator[BuiltFile]:
    """The files of a member run, chapter by chapter; `progress` is told the members done.

    `file` names the roster in messages. PocketrefError with every member whose set does not exist
    ("roster-set") or whose name is too long for a card ("roster-name-long"); "print-differs" if a file read
    back is not what was asked for.
    """
    with hold_collector():
        yield from _build_chapters(proof, members, file, run, progress)


def _build_chapters(
    proof: Proof,
    members: Sequence[Member],
    file: str,
    run: PressRun,
    progress: Callable[[int], None] | None,
) -> Iterator[BuiltFile]:
    check_run(run, proof.layouts)
    presses = prepare_presses(proof, members, file, run)
    packing = PackingPress(members, proof, run.paper)
    totals = []
    for chapter, group in group_by_chapter(members):
        runs = [(name, press, ChapterRun(press, chapter, group)) for name, press in presses.items()]
        for name, press, chapter_run in runs:
            yield from _build_cards(name, press, chapter_run, chapter)
        total = _count_chapter(chapter, group, [chapter_run for _, _, chapter_run in runs])
        totals.append(total)
        counted = Counter(owner for _, _, chapter_run in runs for owner, _ in chapter_run.sequence)
        cards = [counted[number] for number in range(len(group))]
        yield BuiltFile(f"members/{total.folder}/packing-list.csv", write_packing_csv(group, cards))
        yield packing.build_list(total, group, cards)
        if progress:
            progress(len(group))
    yield write_totals(totals)


def prepare_presses(
    proof: Proof, members: Sequence[Member], file: str, run: PressRun
) -> dict[str, MemberPress]:
    """What each size of card is printed with, by its stock's name."""
    sets = _collect_sets(proof)
    problems = [
        _find_no_set(member, set(sets), file) for member in members if (member.code, member.level) not in sets
    ]
    if problems:
        raise PocketrefError(problems)
    by_stock: dict[str, dict[tuple[str, str], list[LaidOut]]] = {}
    for key, cards in sets.items():
        theirs = [member for member in members if (member.code, member.level) == key]
        for card in open_owners(cards, theirs, proof, file) if theirs else ():
            by_stock.setdefault(card.stock, {}).setdefault(key, []).append(card)
    sheet = sheet_of(proof.layouts.stocks[run.paper])
    edition = f"{proof.library.edition.association}, {write_mark(proof.library.edition).lower()}"
    return {name: prepare_press(group, members, sheet, run, edition) for name, group in by_stock.items()}


def _collect_sets(proof: Proof) -> dict[tuple[str, str], list[LaidOut]]:
    """By code and level the cards of no set of their own, and of the sets that their finder sends a member to."""
    sets: dict[tuple[str, str], list[LaidOut]] = {}
    cards = list(zip(proof.layouts.cards, proof.cards, strict=True))
    listed = {(m.code, m.level, name) for m, _ in cards if not m.set_ for name in list_sets(m)}
    for model, card in cards:
        if not model.set_ or (model.code, model.level, model.set_) in listed:
            sets.setdefault((model.code, model.level), []).append(card)
    return sets


def _find_no_set(member: Member, known: set[tuple[str, str]], file: str) -> Problem:
    sentence = f"no card is for the code '{member.code}' with the level '{member.level}'"
    pairs = {f"{code} with {level}" for code, level in known}
    close = get_close_matches(f"{member.code} with {member.level}", sorted(pairs), n=1, cutoff=0.6)
    hint = f"did you mean {close[0]}?" if close else f"cards are for {'; for '.join(sorted(pairs))}"
    return Problem("roster-set", sentence, hint, Location(file, member.line, 1))


def _count_chapter(chapter: str, members: Sequence[Member], runs: Sequence[ChapterRun]) -> ChapterTotal:
    return ChapterTotal(
        chapter=chapter,
        folder=name_folder(chapter),
        members=len({member.number for member in members}),
        sets=sum(member.quantity for member in members),
        cards=sum(len(run.sequence) for run in runs),
        sheets=sum(run.sheets for run in runs),
    )


def _build_cards(name: str, press: MemberPress, run: ChapterRun, chapter: str) -> Iterator[BuiltFile]:
    parts = run.list_parts()
    for number, part in enumerate(parts, 1):
        pages = run.list_pages(part)
        data = write_run(run.template, pages)
        press.reader.check(data, run.template, pages)
        suffix = f"-{number}" if len(parts) > 1 else ""
        report = f"{len(pages)} pages, {len(part)} sheets of {run.places}"
        yield BuiltFile(f"members/{name_folder(chapter)}/cards-{name}{suffix}.pdf", data, len(pages), report)
