"""Cards with their owners' names on press sheets: every face drawn once, every sheet a few operators.

Cards go member by member, each member's set in the order of the cards' numbers, cut-and-stack: the piles of
a cut run, stacked as the slug line says, hold the sets one after the other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import ceil, inf
from typing import Literal

from pocketref.edition.press import PressRun
from pocketref.layouts.cards import Owner, lay_out_card
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel
from pocketref.members.roster import Member
from pocketref.output.pdf_run import (
    RunTemplate,
    begin_text,
    place_form,
    prepare_run,
    show_text,
    use_form,
)
from pocketref.pages.imposition import impose_cards
from pocketref.pages.page import Box, Document, Element, Page, Role, split_cards
from pocketref.pages.press_grid import SLUG_PT, arrange_cards, choose_grid
from pocketref.pages.stocks import Sheet
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.scene.items import FontFace, Item, Placed, Scene, Text
from pocketref.scene.textfit import Line, break_lines, split_words
from pocketref.scene.typefaces import typeface
from pocketref.source.library import Library

OWNER_FACE = FontFace.BOLD
MOST_SHEETS = 1000
"""Sheets in one file: what a cutter takes in a few lifts, and what keeps memory flat."""

_WAYS: tuple[Literal["back", "below", "short"], ...] = ("back", "below", "short")
"""What can give way to the owner in a footer, the best first: the association's name goes last."""
_GAP_MM = 3.0
_BLANK = "\u00a0\u00a0\u00a0"  # as many as are wide enough stand on the layout where the owner goes
_CHAPTER_LETTER = "\u0445"  # as many of these as are wide enough stand for any chapter until it is known
_LEAST_LETTERS = 8  # and make room for the sheet numbers too
_SLUG_CHARACTERS = "0123456789 \u2019"


@dataclass(frozen=True, slots=True)
class OwnedCard:
    """A card without its owner: its document, and where the owner's line starts on the front."""

    model: CardModel
    document: Document
    x_mm: float
    y_mm: float
    size_pt: float
    room_mm: float
    floor_pt: float


def lay_out_owned(
    card: CardModel, library: Library, layouts: Layouts, stock: str = "", needed_mm: float = 0.0
) -> tuple[OwnedCard, ...]:
    """A card, or those that its faces take, the owner's place left free; raises PocketrefError as `lay_out_card` does.

    `needed_mm` is the width at SLUG_PT of the longest owner's line; the association's name stands beside it if
    both fit. What is too long for any footer is left to `check_owners`.
    """
    blank_mm = typeface(FontFace.REGULAR).measure_mm(_BLANK, SLUG_PT)
    blank = _BLANK * max(1, ceil(needed_mm / blank_mm))
    for way in _WAYS:
        with suppress(PocketrefError):
            return _lay_out_beside(card, library, layouts, stock, Owner(blank, way))
    return _lay_out_beside(card, library, layouts, stock, Owner(_BLANK, "short"))


def _lay_out_beside(
    card: CardModel, library: Library, layouts: Layouts, stock: str, owner: Owner
) -> tuple[OwnedCard, ...]:
    laid_out = lay_out_card(card, library, layouts, stock, owner)
    documents = split_cards(laid_out.document)
    return tuple(_take_owner(card, document, owner, laid_out.floor_pt) for document in documents)


def _take_owner(card: CardModel, document: Document, owner: Owner, floor_pt: float) -> OwnedCard:
    front, back = document.pages
    texts = [item for element in front.elements for item in _list_texts(element)]
    blank = next(text for text in texts if text.content == owner.line)
    beside = next(text for text in texts if text.y == blank.y and text.anchor == "end")
    bare = replace(front, elements=tuple(_take_out(element, blank) for element in front.elements))
    room = beside.x - beside.width_mm - _GAP_MM - blank.x
    bare_document = replace(document, pages=(bare, back))
    return OwnedCard(card, bare_document, blank.x, blank.y, blank.size_pt, room, floor_pt)


def measure_owner_mm(member: Member) -> float:
    """The width of the line that tells whose card it is, at SLUG_PT."""
    return typeface(OWNER_FACE).measure_mm(write_owner(member), SLUG_PT)


def _list_texts(element: Element) -> Iterator[Text]:
    yield from (item for item in element.items if isinstance(item, Text))
    for child in element.children:
        yield from _list_texts(child)


def _take_out(element: Element, gone: Item) -> Element:
    children = tuple(_take_out(child, gone) for child in element.children)
    return replace(
        element, items=tuple(item for item in element.items if item is not gone), children=children
    )


def write_owner(member: Member) -> str:
    """The line that tells whose card it is."""
    return f"{member.name}, {member.number}".replace("'", "\u2019")


def check_owners(members: Sequence[Member], cards: Sequence[OwnedCard], file: str) -> list[Problem]:
    """A problem for each owner's line that is too long for one of the member's cards."""
    rooms: dict[tuple[str, str], float] = {}
    for card in cards:
        key = (card.model.code, card.model.level)
        rooms[key] = min(rooms.get(key, inf), card.room_mm * SLUG_PT / card.size_pt)
    problems = []
    for member in members:
        excess = measure_owner_mm(member) - rooms[member.code, member.level]
        if excess > 0:
            sentence = f"'{write_owner(member)}' is {excess:.1f} mm too long for the cards"
            problems.append(
                Problem(
                    "roster-name-long",
                    sentence,
                    "shorten the name, such as to initials",
                    Location(file, member.line, 1),
                )
            )
    return problems


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """Where everything stands on every sheet of a run."""

    fronts: tuple[Placed, ...]
    backs: tuple[Placed, ...]
    scenes: tuple[tuple[Scene, Scene], ...]
    """Front and back of each card."""
    marks: tuple[Scene, Scene]
    slugs: tuple[tuple[Text, ...], tuple[Text, ...]]


@dataclass(frozen=True, slots=True)
class MemberPress:
    """Everything that all runs of one size of card share."""

    cards: tuple[OwnedCard, ...]
    template: RunTemplate
    plan: SheetPlan

    def index_sets(self) -> dict[tuple[str, str], list[int]]:
        """For each code and level, which cards are in its set."""
        sets: dict[tuple[str, str], list[int]] = {}
        for number, card in enumerate(self.cards):
            sets.setdefault((card.model.code, card.model.level), []).append(number)
        return sets


def prepare_press(
    cards: Sequence[OwnedCard], members: Sequence[Member], sheet: Sheet, run: PressRun, edition: str
) -> MemberPress:
    """The template for all chapters of `members`, whose cards have one size."""
    measure = typeface(FontFace.REGULAR).measure_mm
    widest = max(measure(chapter, SLUG_PT) for chapter in {member.chapter for member in members})
    stand_in = _CHAPTER_LETTER * (ceil(widest / measure(_CHAPTER_LETTER, SLUG_PT)) + _LEAST_LETTERS)
    plan = _plan_sheets(cards, sheet, run, f"{edition}, {stand_in}")
    scenes = [*plan.marks, *(scene for pair in plan.scenes for scene in pair)]
    owners = set().union(*(write_owner(member) for member in members))
    chapters = set().union(*(member.chapter for member in members))
    slug = {character for side in plan.slugs for text in side for character in text.content}
    characters = {
        OWNER_FACE: owners,
        FontFace.REGULAR: (slug | chapters | set(_SLUG_CHARACTERS)) - {_CHAPTER_LETTER},
    }
    about = replace(
        cards[0].document,
        title=f"Members' cards, {edition}",
        subject=f"press sheets, cut-and-stack, flip on the {run.flip} edge",
        duplex=run.flip,
    )
    box = Box(0, 0, sheet.width_mm, sheet.height_mm)
    unique = {scene.key: scene for scene in scenes}
    template = prepare_run(tuple(unique.values()), characters, about, box)
    return MemberPress(tuple(cards), template, plan)


def _plan_sheets(cards: Sequence[OwnedCard], sheet: Sheet, run: PressRun, label: str) -> SheetPlan:
    """The plan, read off cards imposed without owners; `label` heads the slug line."""
    documents = [card.document for card in cards]
    front = documents[0].pages[0]
    places = choose_grid(sheet, front.width_mm, front.height_mm).count
    padded = [documents[n % len(documents)] for n in range(max(places, len(documents)))]
    padded += [documents[0]] * (-len(padded) % places)
    imposed = impose_cards(padded, sheet, flip=run.flip, order="cut-and-stack", edition=label)
    sheets = arrange_cards(len(padded), places, "cut-and-stack")
    scenes: dict[int, tuple[Scene, Scene]] = {}
    for number, cells in enumerate(sheets):
        sides = [_list_placed(imposed.pages[2 * number + side]) for side in (0, 1)]
        for place, card in enumerate(cells):
            if card is not None and card < len(documents):
                scenes[card] = (sides[0][place].scene, sides[1][place].scene)
    front, back = imposed.pages[:2]
    return SheetPlan(
        _list_placed(front),
        _list_placed(back),
        tuple(scenes[card] for card in range(len(documents))),
        (_make_marks(front, "marks-front"), _make_marks(back, "marks-back")),
        (_find_slug(front), _find_slug(back)),
    )


def _list_placed(page: Page) -> tuple[Placed, ...]:
    figures = [element for element in page.elements if element.role is Role.FIGURE]
    return tuple(item for figure in figures for item in figure.items if isinstance(item, Placed))


def _make_marks(page: Page, key: str) -> Scene:
    items = tuple(
        item for element in page.elements if element.role is Role.DECORATION for item in element.items
    )
    return Scene(key, page.width_mm, page.height_mm, items)


def _find_slug(page: Page) -> tuple[Text, ...]:
    return next(tuple(_list_texts(element)) for element in page.elements if element.role is Role.PARAGRAPH)


# --- the pages of one chapter ----------------------------------------------------------------------------


class ChapterRun:
    """One chapter's cards on its sheets; `pages` gives the content streams of a part of them."""

    def __init__(self, press: MemberPress, chapter: str, members: Sequence[Member]) -> None:
        self._press = press
        sets = press.index_sets()
        self.sequence = [
            (number, card)
            for number, member in enumerate(members)
            for _ in range(member.quantity)
            for card in sets.get((member.code, member.level), ())
        ]
        owners = [press.template.encode(write_owner(member), OWNER_FACE) for member in members]
        sizes = {card.size_pt for card in press.cards}
        self._owners = {size: [show_text(owner, size) for owner in owners] for size in sizes}
        plan = press.plan
        self.places = len(plan.fronts)
        self.sheets = -(-len(self.sequence) // self.places)
        self._fronts = _prefix_all(press, plan, 0)
        self._backs = _prefix_all(press, plan, 1)
        marks = [place_form(press.template, Placed(scene, 0.0, 0.0)) for scene in plan.marks]
        front, back = plan.slugs
        self._begin: dict[int, bytes] = {}
        self.forms = {"Backs": marks[1] + _NumberedSlug(press.template, back, chapter, self.sheets).still}
        """What every back shows alike, and every front whose number has as many digits, for `write_run`."""
        for digits in range(1, len(str(self.sheets)) + 1):
            slug = _NumberedSlug(press.template, front, chapter, self.sheets, digits)
            self.forms[f"Fronts{digits}"] = marks[0] + slug.still
            self._begin[digits] = use_form(f"Fronts{digits}") + slug.begin

    def list_parts(self) -> list[range]:
        """The run's sheets in parts of at most `MOST_SHEETS`, each a file and a stack of its own."""
        return [
            range(start, min(start + MOST_SHEETS, self.sheets))
            for start in range(0, self.sheets, MOST_SHEETS)
        ]

    def pages(self, part: range) -> Iterator[bytes]:
        """Front and back of each sheet of a part. Backs carry no number, so that those alike are the same."""
        first = part.start * self.places
        cards = self.sequence[first : part.stop * self.places]
        owners = [self._owners[card.size_pt] for card in self._press.cards]
        count, encode = len(part), self._press.template.encode
        side = use_form("Backs")
        for sheet in range(count):
            digits = str(part.start + sheet + 1)
            number = show_text(encode(digits, FontFace.REGULAR), SLUG_PT)
            front, back = [self._begin[len(digits)], number], [side]
            for place, (owner, card) in enumerate(cards[sheet::count]):
                front += (self._fronts[place][card], owners[card][owner])
                back.append(self._backs[place][card])
            yield b"".join(front)
            yield b"".join(back)


_COUNTED = re.compile(r"sheet 1 of \d+, (fronts|backs)")
_STAND_IN = re.compile(f"{_CHAPTER_LETTER}{{{_LEAST_LETTERS},}}")
_NUMBER = "\ue000"  # stands in a slug line where the sheet's number goes; a private character, so in no name


class _NumberedSlug:
    """The slug line of one side: what sheets show alike whose number has so many digits, and where that goes."""

    def __init__(
        self, template: RunTemplate, texts: Sequence[Text], chapter: str, sheets: int, digits: int = 1
    ) -> None:
        self.still = self.begin = b""
        width = typeface(FontFace.REGULAR).measure_mm
        for text in _number_slug(texts, chapter, sheets):
            turns = round(text.angle / 90) % 4
            along = (0.0, 0.0)
            for index, part in enumerate(text.content.split(_NUMBER)):
                if index:
                    self.begin = begin_text(text.x + along[0], text.y + along[1], turns)
                    along = _go_on(along, turns, width("0" * digits, text.size_pt))
                start = begin_text(text.x + along[0], text.y + along[1], turns)
                self.still += start + show_text(template.encode(part, text.face), text.size_pt)
                along = _go_on(along, turns, width(part, text.size_pt))


def _go_on(along: tuple[float, float], turns: int, by_mm: float) -> tuple[float, float]:
    x, y = ((1, 0), (0, 1), (-1, 0), (0, -1))[turns]
    return along[0] + x * by_mm, along[1] + y * by_mm


def _prefix_all(press: MemberPress, plan: SheetPlan, side: int) -> list[list[bytes]]:
    """By place and card: the face's form, and on a front the start of the owner's line."""
    placed = (plan.fronts, plan.backs)[side]
    found = []
    for cell in placed:
        row = []
        for card, scenes in zip(press.cards, plan.scenes, strict=True):
            code = place_form(press.template, replace(cell, scene=scenes[side]))
            row.append(code if side else code + _begin_owner(card, cell))
        found.append(row)
    return found


def _begin_owner(card: OwnedCard, cell: Placed) -> bytes:
    x, y, turns = card.x_mm, card.y_mm, cell.quarter_turns
    turned = ((x, y), (-y, x), (-x, -y), (y, -x))[turns]
    return begin_text(cell.x + turned[0], cell.y + turned[1], turns)


def _number_slug(texts: Sequence[Text], chapter: str, sheets: int) -> tuple[Text, ...]:
    """The slug line's texts with a mark for the sheet's number, in as many lines as it had room for."""
    joined = " ".join(text.content for text in texts)
    widest = "0" * len(str(sheets))
    count = f"sheet\u00a0{widest}\u00a0of\u00a0{sheets}, fronts"
    counted = _COUNTED.sub(lambda found: count if found[1] == "fronts" else "backs", joined, count=1)
    counted = _STAND_IN.sub(lambda _: chapter, counted)
    room = max(text.width_mm for text in texts)
    lines = break_lines(split_words(counted, FontFace.REGULAR), room, SLUG_PT)
    if len(lines) > len(texts):
        sentence = f"the slug line of the chapter '{chapter}' is too long"
        raise PocketrefError([Problem("slug-too-long", sentence, "shorten the chapter's name")])
    marked = [
        _join_words(line).replace(f"sheet\u00a0{widest}\u00a0of\u00a0", f"sheet {_NUMBER} of ", 1)
        for line in lines
    ]
    return tuple(
        replace(text, content=content.replace("\u00a0", " "))
        for text, content in zip(texts, marked, strict=False)
    )


def _join_words(line: Line) -> str:
    return " ".join(text for word in line.words for text, _ in word.parts)
