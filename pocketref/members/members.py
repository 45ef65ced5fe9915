"""A member run: for each chapter its cards by name on press sheets, and its packing list."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from functools import reduce

from pocketref.bulletins.replacements import REPLACEMENTS
from pocketref.edition.collector import hold_collector
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.press import PressRun, check_run
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.footers import write_mark
from pocketref.layouts.places import list_sets
from pocketref.members.member_run import ChapterRun, MemberPress, prepare_press
from pocketref.members.owned_cards import open_owners
from pocketref.members.packing import PackingPress
from pocketref.members.parcels import PostBook, pack_rows, total_chapter, write_packing_csv
from pocketref.members.roster import Member, group_by_chapter, name_folder
from pocketref.members.run_file import build_run
from pocketref.pages.stocks import sheet_of
from pocketref.problems import Location, PocketrefError, Problem, refusal
from pocketref.words.terminal import tell

Sets = Mapping[tuple[str, str], Sequence[LaidOut]]
"""Cards by code and level."""


class MemberRun:
    """A roster that can be printed, and its files, chapter by chapter."""

    def __init__(
        self,
        proof: Proof,
        members: Sequence[Member],
        file: str,
        run: PressRun,
        replaced: Sequence[LaidOut] | None = None,
    ) -> None:
        """Open each set's cards for their owners; `file` names the roster in messages.

        Where some cards are `replaced`, only these are made, and nothing for members whose set has none of them.
        PocketrefError with every member whose set does not exist ("roster-set") or whose name is too long for a card
        ("roster-name-long").
        """
        check_run(run, proof.layouts)
        sets = _collect_sets(proof)
        _check_members(members, set(sets), file)
        self._what = ""
        if replaced is not None:
            self._what, anew = REPLACEMENTS, {card.name: card for card in replaced}
            sets = {
                key: [anew[card.name] for card in cards if card.name in anew] for key, cards in sets.items()
            }
        self.members = [member for member in members if sets[member.code, member.level]]
        if not self.members:
            sentence = tell("nobody in {file} holds a card that the bulletin changed", file=file)
            raise refusal("roster-holds", sentence, tell("leave out --bulletin for whole sets"))
        self._proof, self._run = proof, run
        self._sets = _open_sets(sets, self.members, proof, file)
        self._chapters = dict(group_by_chapter(self.members))
        self._weights = {name: stock.weigh_card() for name, stock in proof.layouts.stocks.items()}
        self._presses: dict[frozenset[tuple[str, str]], dict[str, MemberPress]] = {}

    def build(
        self, earlier: EarlierFiles | None = None, progress: Callable[[int], None] | None = None
    ) -> Iterator[BuiltFile]:
        """The files, of which those of the `earlier` that would come out the same are taken; few are held at a time.

        `progress` is told the rows of the roster done. PocketrefError ("print-differs") if a file read back is not what
        was asked for.
        """
        earlier = earlier or EarlierFiles()
        with hold_collector():
            partly, book = bool(self._what), PostBook()
            packing = PackingPress(self.members, self._proof, self._run.paper, is_partial=partly)
            for chapter, group in self._chapters.items():
                runs = {
                    name: (press, ChapterRun(press, chapter, group))
                    for name, press in self._find_presses(group).items()
                }
                for name, (press, chapter_run) in runs.items():
                    file = f"members/{name_folder(chapter)}/{self._what or 'cards'}-{name}"
                    yield from _build_cards(file, press, chapter_run, earlier)
                counts = {name: run.count_cards() for name, (_, run) in runs.items()}
                rows = pack_rows(group, counts, self._weights)
                total = total_chapter(chapter, rows, sum(run.sheets for _, run in runs.values()))
                book.add(total, rows)
                yield write_packing_csv(total, rows)
                yield packing.build_list(total, rows, earlier)
                if progress:
                    progress(len(group))
            yield from book.build()

    def _find_presses(self, group: Sequence[Member]) -> Mapping[str, MemberPress]:
        """What each size of card is printed with, by its stock's name, where a chapter's members have these sets.

        It holds no other set, whose change would be a change of theirs.
        """
        keys = _list_keys(group)
        if keys not in self._presses:
            theirs = [
                each for other in self._chapters.values() if _list_keys(other) == keys for each in other
            ]
            self._presses[keys] = _prepare_presses(
                {key: self._sets[key] for key in sorted(keys)}, theirs, self._proof, self._run
            )
        return self._presses[keys]


def _list_keys(members: Sequence[Member]) -> frozenset[tuple[str, str]]:
    return frozenset((member.code, member.level) for member in members)


def _prepare_presses(
    sets: Sets, members: Sequence[Member], proof: Proof, run: PressRun
) -> dict[str, MemberPress]:
    by_stock: dict[str, dict[tuple[str, str], list[LaidOut]]] = {}
    for key, cards in sets.items():
        for card in cards:
            by_stock.setdefault(card.stock, {}).setdefault(key, []).append(card)
    sheet = sheet_of(proof.layouts.stocks[run.paper])
    edition = f"{proof.library.edition.association}, {write_mark(proof.library.edition).lower()}"
    return {name: prepare_press(group, members, sheet, run, edition) for name, group in by_stock.items()}


def _check_members(members: Sequence[Member], known: set[tuple[str, str]], file: str) -> None:
    """Each member must have a set."""
    problems = [
        _find_no_set(member, known, file) for member in members if (member.code, member.level) not in known
    ]
    if problems:
        raise PocketrefError(problems)


def _open_sets(sets: Sets, members: Sequence[Member], proof: Proof, file: str) -> Sets:
    """Each member's set with room for whose it is."""
    by_key: dict[tuple[str, str], list[Member]] = {}
    for member in members:
        by_key.setdefault((member.code, member.level), []).append(member)
    return {key: open_owners(sets[key], theirs, proof, file) for key, theirs in sorted(by_key.items())}


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
    sentence = tell(
        "no card is for the code '{code}' with the level '{level}'", code=member.code, level=member.level
    )
    pairs = {tell("{code} with {level}", code=code, level=level) for code, level in known}
    asked = tell("{code} with {level}", code=member.code, level=member.level)
    close = get_close_matches(asked, sorted(pairs), n=1, cutoff=0.6)
    if close:
        hint = tell("did you mean {pair}?", pair=close[0])
    else:
        listed = reduce(lambda most, last: tell("{most}; for {last}", most=most, last=last), sorted(pairs))
        hint = tell("cards are for {pairs}", pairs=listed)
    return Problem("roster-set", sentence, hint, Location(file, member.line, 1))


def _build_cards(
    name: str, press: MemberPress, run: ChapterRun, earlier: EarlierFiles
) -> Iterator[BuiltFile]:
    parts = run.list_parts()
    for number, part in enumerate(parts, 1):
        suffix = f"-{number}" if len(parts) > 1 else ""
        file, pages = f"{name}{suffix}.pdf", run.list_pages(part)
        report = f"{len(pages)} pages, {len(part)} sheets of {run.places}"
        yield build_run(file, run.template, pages, press.reader, run.mark_part(part), earlier, report)
