"""A member run: for each chapter its cards by name on press sheets, and its packing list."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from difflib import get_close_matches
from itertools import islice

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.press import PressRun, check_run
from pocketref.edition.proof import Proof
from pocketref.layouts.cards import write_mark
from pocketref.members.member_run import (
    ChapterRun,
    MemberPress,
    OwnedCard,
    check_owners,
    lay_out_owned,
    measure_owner_mm,
    prepare_press,
    write_owner,
)
from pocketref.members.packing import (
    ChapterTotal,
    PackingList,
    build_packing_list,
    write_packing_csv,
    write_totals,
)
from pocketref.members.roster import Member, group_by_chapter, name_folder
from pocketref.output.pdf_run import write_run
from pocketref.output.readback import read_pages
from pocketref.pages.stocks import Sheet, sheet_of
from pocketref.problems import Location, PocketrefError, Problem

_SAMPLE = 2
"""Pages of each file that are read back: a front and its back; the others differ in words alone."""


def build_members(
    proof: Proof,
    members: Sequence[Member],
    file: str,
    run: PressRun,
    stock: str = "",
    progress: Callable[[int], None] | None = None,
) -> Iterator[BuiltFile]:
    """The files of a member run, chapter by chapter; `progress` is told the members done.

    `file` names the roster in messages. PocketrefError with every member whose set does not exist
    ("roster-set") or whose name is too long for a card ("roster-name-long"); "print-differs" if a file read
    back is not what was asked for.
    """
    check_run(run, proof.layouts)
    presses = prepare_presses(proof, members, file, run, stock)
    totals = []
    for chapter, group in group_by_chapter(members):
        runs = [(name, press, ChapterRun(press, chapter, group)) for name, press in presses.items()]
        for name, press, chapter_run in runs:
            yield from _build_cards(name, press, chapter_run, chapter, group)
        total = _count_chapter(chapter, group, [chapter_run for _, _, chapter_run in runs])
        totals.append(total)
        yield from _build_lists(total, group, runs, proof, sheet_of(proof.layouts.stocks[run.paper]))
        if progress:
            progress(len(group))
    yield write_totals(totals)


def prepare_presses(
    proof: Proof, members: Sequence[Member], file: str, run: PressRun, stock: str
) -> dict[str, MemberPress]:
    """What each size of card is printed with, by its stock's name."""
    known = {(card.code, card.level) for card in proof.layouts.cards}
    problems = [
        _find_no_set(member, known, file) for member in members if (member.code, member.level) not in known
    ]
    if problems:
        raise PocketrefError(problems)
    wanted = {(member.code, member.level) for member in members}
    needed_mm = max(map(measure_owner_mm, members))
    cards = [
        owned
        for card in proof.layouts.cards
        if (card.code, card.level) in wanted
        for owned in lay_out_owned(card, proof.library, proof.layouts, stock, needed_mm)
    ]
    if problems := check_owners(members, cards, file):
        raise PocketrefError(problems)
    by_stock: dict[str, list[OwnedCard]] = {}
    for card in cards:
        by_stock.setdefault(stock or card.model.stock, []).append(card)
    sheet = sheet_of(proof.layouts.stocks[run.paper])
    edition = f"{proof.library.edition.association}, {write_mark(proof.library.edition).lower()}"
    return {name: prepare_press(group, members, sheet, run, edition) for name, group in by_stock.items()}


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


def _build_cards(
    name: str, press: MemberPress, run: ChapterRun, chapter: str, members: Sequence[Member]
) -> Iterator[BuiltFile]:
    parts = run.list_parts()
    for number, part in enumerate(parts, 1):
        data = write_run(press.template, run.pages(part), run.forms)
        first = members[run.sequence[part.start * run.places][0]]
        _check_print(data, press, write_owner(first), chapter)
        suffix = f"-{number}" if len(parts) > 1 else ""
        pages = 2 * len(part)
        report = f"{pages} pages, {len(part)} sheets of {run.places}"
        yield BuiltFile(f"members/{name_folder(chapter)}/cards-{name}{suffix}.pdf", data, pages, report)


def _check_print(data: bytes, press: MemberPress, owner: str, chapter: str) -> None:
    """Read the first sheet back: embedded type above the floor, on the paper, with its owner's name."""
    floor_pt = min(card.floor_pt for card in press.cards)
    room = press.template
    pages = list(islice(read_pages(data), _SAMPLE))
    for page in pages:
        runs = [text for text in page.texts if text.has_ink]
        sound = all(
            text.is_embedded
            and text.size_pt >= floor_pt - 0.005
            and text.extent[0] >= 0
            and text.extent[1] >= 0
            and text.extent[2] <= room.width_mm
            and text.extent[3] <= room.height_mm
            for text in runs
        )
        if not sound or abs(page.media.width_mm - room.width_mm) > 0.01:
            _refuse_print(chapter, "its type or its paper is not what was asked for")
    if owner not in {text.content for text in pages[0].texts}:
        _refuse_print(chapter, f"'{owner}' is not on the first sheet")


def _refuse_print(chapter: str, why: str) -> None:
    sentence = f"the cards of {chapter} are not printed as they should be: {why}"
    hint = "nothing was published; this is a fault in how the sheets are made"
    raise PocketrefError([Problem("print-differs", sentence, hint)])


def _build_lists(
    total: ChapterTotal,
    members: Sequence[Member],
    runs: Sequence[tuple[str, MemberPress, ChapterRun]],
    proof: Proof,
    sheet: Sheet,
) -> Iterator[BuiltFile]:
    cards = [0] * len(members)
    for _, _, run in runs:
        for owner, _ in run.sequence:
            cards[owner] += 1
    floor_pt = min(card.floor_pt for _, press, _ in runs for card in press.cards)
    yield BuiltFile(f"members/{total.folder}/packing-list.csv", write_packing_csv(members, cards))
    yield from build_packing_list(PackingList(total, members, cards, sheet, proof.library.edition, floor_pt))
