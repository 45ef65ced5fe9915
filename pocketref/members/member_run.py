"""Cards with their owners' names on press sheets: every face drawn once, every sheet a few operators.

Cards go member by member as the packing list has them, each member's set in the order of the cards' numbers,
cut-and-stack: the piles of a cut run, stacked as the slug line says, hold the sets one after the other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pocketref.edition.fingerprint import take_fingerprint
from pocketref.edition.press import PressRun
from pocketref.layouts.cards import LaidOut
from pocketref.members.owned_cards import write_owner
from pocketref.members.roster import LETTERS, Member
from pocketref.output.pdf_run import RunPage, RunTemplate, add_scenes, prepare_run
from pocketref.output.reading.printed import PrintedDocument
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.output.reading.run_readback import RunReader
from pocketref.pages.page import Document, Page, split_cards
from pocketref.pages.press.imposition import (
    SheetRun,
    draw_furniture,
    impose_cards,
    place_face,
    plan_run,
    write_sheet,
)
from pocketref.pages.stocks import Sheet
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Placed, Scene
from pocketref.scene.typefaces import set_text
from pocketref.words.speech import say

MOST_SHEETS = 1000
"""Sheets in one file: what a cutter takes in a few lifts, and what keeps memory flat."""


@dataclass(frozen=True, slots=True)
class MemberPress:
    """Everything that all runs of one size of card share."""

    sets: Mapping[tuple[str, str], Sequence[int]]
    """For each code and level, which cards are in its set."""
    sheets: SheetRun
    template: RunTemplate
    faces: tuple[tuple[tuple[Placed, ...], ...], ...]
    """Of fronts and of backs, at each place of a sheet, what each card shows there."""
    reader: RunReader
    made_of: str
    """The fingerprint of what all runs share."""


def prepare_press(
    sets: Mapping[tuple[str, str], Sequence[LaidOut]],
    members: Sequence[Member],
    sheet: Sheet,
    run: PressRun,
    edition: str,
) -> MemberPress:
    """The template for all chapters of `members`, whose sets' cards have one size; read back as every PDF is.

    It can set every letter of LETTERS, so that a member more is seldom news to other chapters.
    """
    groups = {
        key: [document for card in cards for document in split_cards(card.document)]
        for key, cards in sets.items()
    }
    documents = [document for group in groups.values() for document in group]
    sheets = plan_run(documents, sheet, flip=run.flip, order="cut-and-stack", edition=edition)
    imposed = replace(
        impose_cards(documents, sheet, flip=run.flip, order="sequence", edition=edition),
        title=say("Members' cards, {edition}", edition=edition),
        subject=f"press sheets, cut-and-stack, flip on the {run.flip} edge",
    )
    note = set_text(0, 0, sheets.note, FontFace.REGULAR, 8, BLACK).content
    characters = {
        FontFace.BOLD: set(LETTERS).union(*map(write_owner, members)),
        FontFace.REGULAR: set(LETTERS).union(note, sheets.note, *{member.chapter for member in members}),
    }
    template = prepare_run(imposed, characters)
    floor_pt = min(card.floor_pt for cards in sets.values() for card in cards)
    _, *printed = read_pdf(template.data).pages
    if problems := check_document(PrintedDocument(tuple(printed)), imposed, floor_pt):
        raise PocketrefError(problems)
    faces = tuple(_place_faces(sheets, documents, imposed.pages[side::2], side) for side in (0, 1))
    numbers = iter(range(len(documents)))
    indexed = {key: [next(numbers) for _ in group] for key, group in groups.items()}
    placed = tuple(
        (face.scene.key, face.x, face.y, face.quarter_turns)
        for side in faces
        for places in side
        for face in places
    )
    made_of = take_fingerprint(hashlib.sha256(template.data).hexdigest(), placed, float(floor_pt))
    return MemberPress(indexed, sheets, template, faces, RunReader(template, floor_pt), made_of)


def _place_faces(
    sheets: SheetRun, documents: Sequence[Document], pages: Sequence[Page], side: int
) -> tuple[tuple[Placed, ...], ...]:
    """At each place of a sheet's side, what each card shows there; `pages` show each card once, in order."""
    elements = (element for page in pages for element in page.elements)
    scenes = [item.scene for element in elements for item in element.items if isinstance(item, Placed)]
    shown = list(zip(documents, scenes, strict=True))
    places = range(sheets.grid.count)
    return tuple(tuple(place_face(sheets, *each, place, side) for each in shown) for place in places)


class ChapterRun:
    """One chapter's cards on its sheets; `list_pages` says what is on a part of them."""

    def __init__(self, press: MemberPress, chapter: str, members: Sequence[Member]) -> None:
        self._faces, self._members, self._sets = press.faces, members, press.sets
        self._owners = [(write_owner(member),) for member in members]
        self.sequence = [
            (number, card)
            for number, member in enumerate(members)
            for _ in range(member.quantity)
            for card in press.sets.get((member.code, member.level), ())
        ]
        self.places = press.sheets.grid.count
        self.sheets = -(-len(self.sequence) // self.places)
        run = replace(press.sheets, edition=f"{press.sheets.edition}, {chapter}", sheets=self.sheets)
        furniture = [draw_furniture(run, side, None) for side in (0, 1)]
        self._furniture = [
            Placed(
                Scene(
                    f"furniture-{side}", run.sheet.width_mm, run.sheet.height_mm, (*marks.items, *slug.items)
                ),
                0,
                0,
            )
            for side, (slug, marks) in enumerate(furniture)
        ]
        self.template = add_scenes(press.template, [placed.scene for placed in self._furniture])
        rows = tuple((write_owner(each), each.quantity, each.code, each.level) for each in members)
        shown = tuple(placed.scene for placed in self._furniture)
        self._made_of = take_fingerprint(press.made_of, shown, rows)

    def count_cards(self) -> list[int]:
        """How many cards each row of the roster comes to."""
        return [each.quantity * len(self._sets.get((each.code, each.level), ())) for each in self._members]

    def mark_part(self, part: range) -> str:
        """The fingerprint of a part of the sheets."""
        return take_fingerprint(self._made_of, part.start, part.stop)

    def list_parts(self) -> list[range]:
        """The run's sheets in parts of at most `MOST_SHEETS`, each a file and a stack of its own."""
        return [
            range(start, min(start + MOST_SHEETS, self.sheets))
            for start in range(0, self.sheets, MOST_SHEETS)
        ]

    def list_pages(self, part: range) -> list[RunPage]:
        """Front and back of each sheet of a part. Backs carry no number, so that those alike are the same."""
        (fronts, backs), count = self._faces, len(part)
        cards = self.sequence[part.start * self.places : part.stop * self.places]
        known: dict[tuple[int, ...], RunPage] = {}
        pages: list[RunPage] = []
        for sheet in range(count):
            cells = cards[sheet::count]
            number = (write_sheet(part.start + sheet + 1, self.sheets),)
            front = [(fronts[place][card], self._owners[owner]) for place, (owner, card) in enumerate(cells)]
            shown = tuple([card for _, card in cells])
            if shown not in known:
                known[shown] = [
                    (self._furniture[1], ()),
                    *((backs[place][card], ()) for place, card in enumerate(shown)),
                ]
            pages += [[(self._furniture[0], number), *front], known[shown]]
        return pages
