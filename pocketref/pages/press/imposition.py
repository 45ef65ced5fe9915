"""Cards imposed on press sheets: fronts and backs that register, in an order that survives the cutter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pocketref.pages.page import Box, Document, Element, Page, Role, say_name
from pocketref.pages.press.press_grid import (
    FIT_MM,
    LEAST_MARK_MM,
    SLUG_PT,
    Grid,
    Order,
    arrange_cards,
    choose_grid,
    find_slug_room,
    slug_strip_mm,
)
from pocketref.pages.press.press_marks import (
    MARK_LENGTH_MM,
    MARK_OFFSET_MM,
    REGISTER_REACH_MM,
    draw_crop_marks,
    draw_register_mark,
    mark_offset_mm,
)
from pocketref.pages.stocks import Sheet
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, FormField, Item, Placed, Scene, Shape, Slot, Stroke
from pocketref.scene.paths import rectangle
from pocketref.scene.textfit import break_lines, leading_mm, split_words
from pocketref.scene.typefaces import measure_reach_em, open_slot, set_text, typeface
from pocketref.units.length import MM_PER_PT
from pocketref.words.speech import count, say, say_count
from pocketref.words.terminal import tell

Flip = Literal["long", "short"]
"""The edge of the sheet that a duplex printer turns it over."""
Turns = Literal[0, 1, 2, 3]

_SHEET_GAP = "\u00a0" * 3
"""White after the number of a sheet, so that a shorter one leaves no hole."""

_TURNED_BACK: dict[tuple[bool, bool], tuple[Turns, Turns]] = {
    # (sheet turns sideways, card turns sideways): quarter turns of the back of an upright and of a turned front
    (True, True): (0, 3),
    (True, False): (2, 1),
    (False, True): (2, 1),
    (False, False): (0, 3),
}


@dataclass(frozen=True, slots=True)
class _Slug:
    """The slug line: which sheet it is, the lines that follow, and whether it runs up the cards' left side."""

    sheet: str
    lines: tuple[str, ...]
    is_upright: bool


@dataclass(frozen=True, slots=True)
class SheetRun:
    """What every sheet of a run shares; `edition` heads the slug line, `note` ends that of fronts."""

    sheet: Sheet
    grid: Grid
    flip: Flip
    bleed_mm: float
    edition: str
    note: str
    sheets: int


# --- sheets ----------------------------------------------------------------------------------------------


def impose_cards(
    documents: Sequence[Document],
    sheet: Sheet,
    *,
    flip: Flip,
    order: Order,
    edition: str,
    bleed_mm: float = 0.0,
    gutter_mm: float | None = None,
) -> Document:
    """The cards on press sheets, a page of fronts and then a page of their backs for each sheet.

    Every document is one card with two pages of one size. `edition` heads the slug line. The gutter is twice
    the bleed unless given. A place without a card stays blank. PocketrefError if the cards differ in size
    ("card-sizes"), do not fit ("card-too-large"), leave no room for the slug line ("slug-too-long") or bleed
    into one another ("gutter-too-small"); ValueError if there is no card or one without two sides.
    """
    run = plan_run(
        documents, sheet, flip=flip, order=order, edition=edition, bleed_mm=bleed_mm, gutter_mm=gutter_mm
    )
    plan = arrange_cards(len(documents), run.grid.count, order)
    faces = SceneMaker()
    pages = []
    for number, cards in enumerate(plan, 1):
        picked = [None if card is None else documents[card] for card in cards]
        pages += [_compose_side(run, number, picked, side, faces) for side in (0, 1)]
    return _write_run(documents, run, order, tuple(pages))


def plan_run(
    documents: Sequence[Document],
    sheet: Sheet,
    *,
    flip: Flip,
    order: Order,
    edition: str,
    bleed_mm: float = 0.0,
    gutter_mm: float | None = None,
) -> SheetRun:
    """What the sheets of `impose_cards` share; raises as that does, but for the slug line."""
    width, height = _check_cards(documents)
    gutter = 2 * bleed_mm if gutter_mm is None else gutter_mm
    if gutter < 2 * bleed_mm - FIT_MM:
        sentence = tell(
            "a gutter of {gutter:g} mm is less than twice the bleed of {bleed_mm:g} mm",
            gutter=gutter,
            bleed_mm=bleed_mm,
        )
        raise PocketrefError(
            [Problem("gutter-too-small", sentence, tell("make it {value:g} mm or more", value=2 * bleed_mm))]
        )
    grid = choose_grid(sheet, width, height, gutter_mm=gutter, bleed_mm=bleed_mm)
    stacked = order == "cut-and-stack"
    note = say("stack the piles row by row, the top left one uppermost") if stacked else ""
    sheets = len(arrange_cards(len(documents), grid.count, order))
    return SheetRun(sheet, grid, flip, bleed_mm, edition, note, sheets)


def _check_cards(documents: Sequence[Document]) -> tuple[float, float]:
    """The size that all cards have."""
    if not documents or any(len(document.pages) != 2 for document in documents):
        raise ValueError("imposition takes at least one card, and each with a front and a back")
    first = documents[0].pages[0]
    for document in documents:
        for page in document.pages:
            if not _is_near(page.width_mm, first.width_mm) or not _is_near(page.height_mm, first.height_mm):
                sentence = tell(
                    "{title} is {width_mm:g} by {height_mm:g} mm, others are not",
                    title=document.title,
                    width_mm=page.width_mm,
                    height_mm=page.height_mm,
                )
                raise PocketrefError(
                    [Problem("card-sizes", sentence, tell("impose cards of each size by themselves"))]
                )
    return first.width_mm, first.height_mm


def _is_near(one_mm: float, other_mm: float) -> bool:
    return math.isclose(one_mm, other_mm, abs_tol=1e-3)


def _write_run(
    documents: Sequence[Document], run: SheetRun, order: Order, pages: tuple[Page, ...]
) -> Document:
    first, grid = documents[0], run.grid
    cards, told = count(len(documents), "card"), say_count(len(documents), "{count} card", "{count} cards")
    layout = f"{grid.columns} by {grid.rows} on {run.sheet.name}"
    return replace(
        first,
        title=say("{what}, press sheets", what=first.title if len(documents) == 1 else told),
        subject=f"{cards}, {layout}, order {order}, flip on the {run.flip} edge, {run.edition}",
        pages=pages,
        duplex=run.flip,
    )


def _compose_side(
    run: SheetRun, number: int, cards: Sequence[Document | None], side: int, faces: SceneMaker
) -> Page:
    """One side of a sheet: 0 is the fronts, 1 the backs."""
    elements = []
    for place, document in enumerate(cards):
        if document is None:
            continue
        page = document.pages[side]
        placed = place_face(run, document, faces.make_scene(page), place, side)
        alt, language = f"{document.title}: {say_name(page.name)}", page.language or document.language
        elements.append(Element(Role.FIGURE, (placed,), alt=alt, label=page.name, language=language))
    return Page(
        name=say("sheet {number}, backs", number=number)
        if side
        else say("sheet {number}, fronts", number=number),
        width_mm=run.sheet.width_mm,
        height_mm=run.sheet.height_mm,
        elements=(*elements, *draw_furniture(run, side, number)),
        safe=run.sheet.printable,
    )


def place_face(run: SheetRun, document: Document, scene: Scene, place: int, side: int) -> Placed:
    """A card's face, as a scene, where the card at a place of a sheet shows it: 0 is its front, 1 its back."""
    row, column = divmod(place, run.grid.columns)
    if side:
        return _place_scene(scene, *_find_back(run, document, column, row))
    return _place_scene(scene, run.grid.cell(column, row), 1 if run.grid.is_turned else 0)


def _find_back(run: SheetRun, document: Document, column: int, row: int) -> tuple[Box, Turns]:
    """Where the back of the front at (column, row) goes, and its quarter turns.

    A sheet turned about an upright axis shows its columns in reverse; about a level one, its rows. A card
    turns over its own side or top as its document says, whichever way the sheet turns.
    """
    grid, sheet = run.grid, run.sheet
    sheet_turns_sideways = (run.flip == "long") == (sheet.height_mm >= sheet.width_mm)
    front = document.pages[0]
    is_wide = front.width_mm > front.height_mm
    card_turns_sideways = not document.duplex or (document.duplex == "short") == is_wide
    cell = (
        grid.cell(grid.columns - 1 - column, row)
        if sheet_turns_sideways
        else grid.cell(column, grid.rows - 1 - row)
    )
    return cell, _TURNED_BACK[sheet_turns_sideways, card_turns_sideways][grid.is_turned]


def _place_scene(scene: Scene, box: Box, turns: Turns) -> Placed:
    """The scene turned and filling the box."""
    x = box.x if turns in (0, 3) else box.right
    y = box.y if turns in (0, 1) else box.top
    return Placed(scene, x, y, turns)


class SceneMaker:
    """Makes one scene of each face, however often it is placed; scenes inside faces keep keys of their own."""

    def __init__(self) -> None:
        self._faces: dict[int, tuple[Scene, Page]] = {}
        self._nested: dict[str, Scene] = {}

    def make_scene(self, page: Page) -> Scene:
        """The page as a scene; the same page gives the same scene."""
        if id(page) not in self._faces:
            items = tuple(self._settle(item) for element in page.elements for item in _list_items(element))
            key = f"imposed-face-{len(self._faces) + 1}"
            self._faces[id(page)] = (Scene(key, page.width_mm, page.height_mm, items), page)
        return self._faces[id(page)][0]

    def _settle(self, item: Item) -> Item:
        """The item as a scene may hold it: a blank is an empty box, a scene of another card's key is renamed."""
        if isinstance(item, FormField):
            box = rectangle(item.x, item.y, item.width_mm, item.height_mm)
            return Shape(box, stroke=Stroke(0.18, BLACK))
        if isinstance(item, Placed):
            own = replace(item.scene, items=tuple(self._settle(inner) for inner in item.scene.items))
            scene, number = own, 1
            while (known := self._nested.setdefault(scene.key, scene)) != scene:
                number += 1
                scene = replace(own, key=f"{own.key}-{number}")
            return replace(item, scene=known)
        return item


def _list_items(element: Element) -> Iterator[Item]:
    yield from element.items
    for child in element.children:
        yield from _list_items(child)


# --- slug line and marks ---------------------------------------------------------------------------------


def draw_furniture(run: SheetRun, side: int, number: int | None) -> tuple[Element, Element]:
    """The slug line and the marks of one side of a sheet.

    Without a number fronts have an open slot for `write_sheet`, and backs are all alike. PocketrefError
    ("slug-too-long") if the paper has no room for the line.
    """
    slug = _write_slug(run, side, number)
    return _draw_slug(run, slug, has_slot=number is None and not side), _draw_marks(run, slug)


def write_sheet(number: int, sheets: int, side: int = 0) -> str:
    """Which sheet of a run it is, as its slug line says."""
    place = {"number": number, "all": sheets}
    return (
        say("sheet {number} of {all}, backs", **place)
        if side
        else say("sheet {number} of {all}, fronts", **place)
    )


def _write_slug(run: SheetRun, side: int, number: int | None) -> _Slug:
    """The slug line, broken to the length of the side of the grid that it stands at."""
    sheet = write_sheet(number or run.sheets, run.sheets, side) if number or not side else say("backs")
    parts = [
        run.edition,
        say("flip on the long edge") if run.flip == "long" else say("flip on the short edge"),
        say("print at {scale}", scale="100\u00a0%"),
        run.note if side == 0 else "",  # from behind, another pile is at the top left
    ]
    # The sheet is one word, with room after it, for the line to go on where its number has taken the most.
    start = sheet.replace(" ", "\u00a0") + _SHEET_GAP
    words = split_words(f"{start} {' · '.join(part for part in parts if part)}", FontFace.REGULAR)
    for lines in range(1, 5):
        is_upright = find_slug_room(run.sheet, run.grid, run.bleed_mm, lines)
        if is_upright is None:
            break
        box = run.grid.box
        room = box.height_mm if is_upright else box.width_mm
        broken = break_lines(words, room, SLUG_PT)
        if len(broken) <= lines and all(line.width_mm <= room for line in broken):
            texts = [" ".join(text for word in line.words for text, _ in word.parts) for line in broken]
            return _Slug(sheet, (texts[0].removeprefix(start).lstrip(" "), *texts[1:]), is_upright)
    sentence = tell(
        "the slug line of {edition!r} is too long for {name}", edition=run.edition, name=run.sheet.name
    )
    raise PocketrefError(
        [Problem("slug-too-long", sentence, tell("shorten the edition's name, or take larger paper"))]
    )


def _draw_slug(run: SheetRun, slug: _Slug, *, has_slot: bool) -> Element:
    """The lines at the printable edge, below the cards or, read from the right, at their left."""
    em, lead, edge = SLUG_PT * MM_PER_PT, leading_mm(SLUG_PT), run.sheet.edge_mm
    after = typeface(FontFace.REGULAR).measure_mm(f"{slug.sheet}{_SHEET_GAP} ", SLUG_PT)
    rise = max(0.9, measure_reach_em(FontFace.REGULAR, f"{slug.sheet}{slug.lines[0]}")[1])
    items: list[Item] = []
    for index, (along, words) in enumerate(
        [(0.0, slug.sheet), (after, slug.lines[0]), *((0.0, line) for line in slug.lines[1:])]
    ):
        line = max(index - 1, 0)
        if slug.is_upright:
            x, y, angle = edge + line * lead + rise * em, run.grid.y + along, 90
        else:
            x, y, angle = run.grid.x + along, edge + (len(slug.lines) - 1 - line) * lead + 0.28 * em, 0
        text = set_text(x, y, words, FontFace.REGULAR, SLUG_PT, BLACK, angle=angle)
        items.append(open_slot(Slot.SHEET, text) if has_slot and not index else text)
    return Element(Role.PARAGRAPH, tuple(items), label="slug line")


def _draw_marks(run: SheetRun, slug: _Slug) -> Element:
    """Crop marks for every cut, and register marks in the corners outside the grid."""
    grid, edge = run.grid, run.sheet.edge_mm
    offset = mark_offset_mm(run.bleed_mm)
    strip = slug_strip_mm(len(slug.lines))
    side = _mark_length_mm(grid.x, edge, offset)
    end = _mark_length_mm(grid.y, edge, offset)
    left, bottom = side, end
    if slug.is_upright:
        left = min(side, grid.x - edge - strip - offset)
    else:
        bottom = min(end, grid.y - edge - strip - offset)
    marks: list[Item] = [*draw_crop_marks(grid.box, *grid.cuts(), offset, (left, bottom, side, end))]
    room = 2 * REGISTER_REACH_MM + run.bleed_mm
    if min(grid.x, grid.y) - edge >= room:
        inner = run.sheet.printable.inset(REGISTER_REACH_MM)
        for x in (inner.x, inner.right):
            for y in (inner.y, inner.top):
                marks += draw_register_mark(x, y)
    return Element(Role.DECORATION, tuple(marks), label="press marks")


def _mark_length_mm(room_mm: float, edge_mm: float, offset_mm: float) -> float:
    """A mark's length where the grid is `room_mm` from the sheet's edge.

    Marks end where printing does. Where that leaves too little they go on to the edge of the paper, as most
    printers reach further than the edge that is safe to count on.
    """
    printable = room_mm - edge_mm - offset_mm
    if printable >= LEAST_MARK_MM / 2:
        return min(MARK_LENGTH_MM, printable)
    return max(0.0, min(MARK_LENGTH_MM, room_mm - offset_mm, MARK_OFFSET_MM))
