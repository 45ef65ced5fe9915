"""Training sheets and their keys: plays flowed in two columns over as many pages as they take."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from pocketref.layouts.cards import GOVERNS, LaidOut, write_edition, write_validity
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_blocks import Gap, Heading, KeyEntry, PlayQuestion
from pocketref.layouts.play_words import (
    BALL_LEGEND,
    FEET_LEGEND,
    FIELDER_LEGEND,
    KNEE_LEGEND,
    tell_facts,
    write_choice,
    write_key,
    write_wrong,
)
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import BLOCK_GAP_MM, Columns, Face, body_box, compose_face
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.panels import CautionPanel
from pocketref.pages.stocks import content_box, safe_box
from pocketref.pages.type_scale import TypeSizes, floor_size_pt, list_steps, sizes_for
from pocketref.plays.choices import LETTERS, AskedPlay
from pocketref.plays.placement import name_box
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError, Problem
from pocketref.rulings.situation import describe_situation
from pocketref.scene.figures.play_figure import draw_play
from pocketref.scene.plan_view import FigureDrawing
from pocketref.source.play_models import PlaySheetModel

_SHARES = (1.0, 1.0)
_SLACK_MM = 0.005
_PICTURES_MM = (48.0, 42.0, 36.0, 30.0)
"""The most height of a picture, and what it may come down to: our own figures."""
OPENING_MM = 26.0
"""Room kept for what stands above the columns of a first page: our own figure."""
PICTURE_PT = 8.4
"""Type in pictures, the same at every size of the text around them; more if the floor is higher."""


Flow = list[tuple[tuple[Block, ...], ...]]
"""For each page, the blocks of its columns."""


@dataclass(frozen=True, slots=True)
class PlaySheet:
    """One sheet of plays to be laid out: its layout, its file's name, the title in its band, and its questions."""

    model: PlaySheetModel
    name: str
    title: str
    questions: tuple[AskedPlay, ...]


def lay_out_questions(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> LaidOut:
    """The questions, with blanks for who answers; raises PocketrefError if a play is too large for a column."""
    size_pt = max(PICTURE_PT, _floor_pt(layouts))
    blocks = [build_question(n, each, books, sheet, size_pt) for n, each in enumerate(sheet.questions, 1)]
    opening: list[Block] = [Blanks(("Name", "Date", f"Right, of {len(blocks)}"), 3)]
    if legends := list_legends(sheet):
        opening.append(Paragraphs("how to read the pictures", (" ".join(legends),), small=True))
    return _lay_out(sheet, "questions", sheet.name, blocks, opening, books, layouts)


def list_legends(sheet: PlaySheet) -> tuple[str, ...]:
    """How to read the sheet's pictures: feet and knees if there are any, bat, ball and fielders likewise."""
    scenes = [each.ruled.scene for each in sheet.questions]
    legends = [FEET_LEGEND] if any(scene.feet for scene in scenes) else []
    legends += [KNEE_LEGEND] if any(scene.knees for scene in scenes) else []
    legends += [BALL_LEGEND] if any(scene.meets for scene in scenes) else []
    legends += [FIELDER_LEGEND] if any(scene.fielders for scene in scenes) else []
    return tuple(legends)


def lay_out_key(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> LaidOut:
    """The key: for each play the ruling, why, and why not otherwise; then how to enforce."""
    blocks: list[Block] = [build_entry(number, each, books) for number, each in enumerate(sheet.questions, 1)]
    blocks += build_mechanics(sheet, books)
    letters = " · ".join(f"*{number}{each.letter}*" for number, each in enumerate(sheet.questions, 1))
    opening: list[Block] = [Paragraphs("letters", (f"Answers at a glance: {letters}",))]
    return _lay_out(sheet, "key", f"{sheet.name}-key", blocks, opening, books, layouts)


def check_fit(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> list[Problem]:
    """Each play whose question or entry in the key is larger than a column even at the least type."""
    stock = layouts.stocks[sheet.model.stock]
    inner, floor_pt = content_box(stock), _floor_pt(layouts)
    sizes = sizes_for(min(list_steps(layouts.styles.sheet_scale, floor_pt), default=floor_pt), floor_pt)
    frame = Face("page", TitleBand(sheet.title, ""), (), _make_footer(books, "questions", 1, 1))
    width = Columns(((), ()), _SHARES).list_stacks(inner.width_mm)[0][1]
    room = body_box(frame, inner, sizes).height_mm - OPENING_MM
    size_pt = max(PICTURE_PT, floor_pt)
    problems = []
    for number, each in enumerate(sheet.questions, 1):
        for block in (
            build_question(number, each, books, sheet, size_pt),
            build_entry(number, each, books),
        ):
            excess = max(block.measure_mm(width, sizes) - room, block.excess_mm(width, sizes))
            if excess > 0:
                which = f"{block.label}, '{each.ruled.case.name}'"
                sentence = f"{which}, is {excess:.1f} mm too large for a column of {stock.name}"
                where = each.ruled.case.model.location or sheet.model.location
                problems.append(Problem("block-too-large", sentence, "shorten its story", where))
    return problems


def build_question(
    number: int, question: AskedPlay, books: RuleBooks, sheet: PlaySheet, size_pt: float
) -> PlayQuestion:
    """The play as it is asked, its picture with type of `size_pt`; a computed one says its facts."""
    play = question.ruled
    model = play.case.model
    draw: Callable[[float, float], FigureDrawing | None] = _draw_nothing
    if not play.scene.is_empty:
        plan = books.plan(play.code, sheet.model.level)
        draw = lru_cache(maxsize=8)(partial(draw_play, play.scene, plan, name_box(model), size_pt))
    told = tell_facts(books, play) if play.case.is_computed else ()
    return PlayQuestion(
        number=number,
        heading=_head(f"{number}", question),
        story=(model.story, *told),
        choices=tuple(
            (letter, write_choice(choice.ruling))
            for letter, choice in zip(LETTERS, question.choices, strict=False)
        ),
        picture=draw,
        caption="From above" if play.scene.ball or play.scene.bat else "From above, close up",
    )


def _draw_nothing(width_mm: float, height_mm: float) -> None:
    """A play without pictures."""


def _head(badge: str, question: AskedPlay) -> Heading:
    case = question.ruled.case
    title = case.model.title + (" (computed)" if case.is_computed else "")
    situation = case.model.situation
    return Heading(badge, title, describe_situation(situation), situation.runners)


def build_entry(number: int, question: AskedPlay, books: RuleBooks) -> KeyEntry:
    """The play's entry in the key: what happened, the ruling and why, and why not otherwise."""
    play = question.ruled
    told = " ".join(tell_facts(books, play)) if play.case.is_computed else ""
    return KeyEntry(
        number=number,
        heading=_head(f"{number} {question.letter}", question),
        story=f"{play.case.model.story} {told}".strip(),
        entries=write_key(books, question),
        wrong=write_wrong(question),
    )


def build_mechanics(sheet: PlaySheet, books: RuleBooks) -> list[Block]:
    """How to enforce each subject's rulings, what the rulings add, and the cautions of the plays."""
    library = books.library
    blocks: list[Block] = []
    for subject in dict.fromkeys(each.ruled.case.subject for each in sheet.questions):
        title = library.subjects[subject].title
        text = library.texts.get(f"mechanics/{subject}/enforce")
        rulings = [q.ruled.answer.ruling for q in sheet.questions if q.ruled.case.subject == subject]
        notes = dict.fromkeys(f"*{ruling.headline}:* {ruling.note}" for ruling in rulings if ruling.note)
        entries = (*(text.entries if text else ()), *notes)
        if entries:
            blocks.append(Paragraphs(f"enforce {subject}", entries, f"{title}: enforce", "list"))
    text = library.texts.get("mechanics/enforcement/sequence")
    if text:
        blocks.append(Paragraphs("enforcement", text.entries, text.heading, "steps"))
    for name in dict.fromkeys(each.ruled.case.model.caution for each in sheet.questions):
        if name:
            caution = library.cautions[name]
            blocks.append(CautionPanel(name, caution.signal_word, caution.title, caution.entries))
    return blocks


# --- flowing ------------------------------------------------------------------------------------------------


def _lay_out(
    sheet: PlaySheet,
    what: str,
    name: str,
    blocks: Sequence[Block],
    opening: Sequence[Block],
    books: RuleBooks,
    layouts: Layouts,
) -> LaidOut:
    """The blocks on pages of the sheet's paper, at the largest type that takes no more pages than the least."""
    stock = layouts.stocks[sheet.model.stock]
    inner, floor_pt = content_box(stock), _floor_pt(layouts)
    edition = books.library.edition
    tag = f"{books.library.codes[sheet.model.code].mark} {edition.season}"
    title = sheet.title if what == "questions" else f"Key: {sheet.title}"
    band = TitleBand(title, tag)
    frame = Face(what, band, (), _make_footer(books, what, 1, 1))
    found = _choose_flow(frame, inner, blocks, opening, layouts)
    if found is None:
        sentence = f"the sheet '{sheet.name}', {what}: a play is too large for a column of {stock.name}"
        hint = "shorten its story, or choose a larger paper"
        raise PocketrefError([Problem("block-too-large", sentence, hint, sheet.model.location)])
    sizes, stacks = found
    pages = []
    for number, columns in enumerate(stacks, start=1):
        body = (*(opening if number == 1 else (Gap(),)), Columns(columns, _SHARES))
        face = Face(f"page {number}", band, body, _make_footer(books, what, number, len(stacks)))
        elements = compose_face(face, inner, sizes)
        section = Element(Role.SECTION, (), elements, label=face.name)
        pages.append(
            Page(face.name, stock.width.float_mm, stock.height.float_mm, (section,), safe_box(stock))
        )
    document = Document(
        title=f"{band.title}, {edition.association}, {edition.season}",
        subject=f"case plays {sheet.name}, {what}, edition {edition.edition}",
        author=edition.association,
        pages=tuple(pages),
        duplex="long",
    )
    return LaidOut(name, document, (sizes,), floor_pt)


def _floor_pt(layouts: Layouts) -> float:
    floor = layouts.styles.floor
    return floor_size_pt(float(floor.arcmin), floor.distance.float_mm)


def _choose_flow(
    frame: Face, inner: Box, blocks: Sequence[Block], opening: Sequence[Block], layouts: Layouts
) -> tuple[TypeSizes, Flow] | None:
    """The largest type that takes no more pages than the least type does, and the flow; None if nothing fits.

    Smaller pictures are taken only where they save a page.
    """
    best = None
    for picture_mm in _PICTURES_MM if any(isinstance(block, PlayQuestion) for block in blocks) else (0.0,):
        drawn = [
            replace(block, most_picture_mm=picture_mm) if isinstance(block, PlayQuestion) else block
            for block in blocks
        ]
        found = _choose_type(frame, inner, drawn, opening, layouts)
        if found and (best is None or len(found[1]) < len(best[1])):
            best = found
        if best and len(best[1]) == 1:
            break
    return best


def _choose_type(
    frame: Face, inner: Box, blocks: Sequence[Block], opening: Sequence[Block], layouts: Layouts
) -> tuple[TypeSizes, Flow] | None:
    floor_pt = _floor_pt(layouts)
    steps = list_steps(layouts.styles.sheet_scale, floor_pt)
    if not steps:
        return None
    least_sizes = sizes_for(steps[0], floor_pt)
    least = _flow(frame, inner, blocks, opening, least_sizes)
    if least is None:
        return None
    for step in reversed(steps[1:]):
        sizes = sizes_for(step, floor_pt)
        flow = _flow(frame, inner, blocks, opening, sizes)
        if flow is not None and len(flow) == len(least):
            return sizes, flow
    return least_sizes, least


def _make_footer(books: RuleBooks, what: str, page: int, pages: int) -> Footer:
    edition = books.library.edition
    computed = (
        "Case plays of invented teams" if what == "questions" else "Key computed from the decision tables"
    )
    return Footer(
        (write_edition(edition), f"{computed}, page {page} of {pages}"), (GOVERNS, write_validity(edition))
    )


def _flow(
    frame: Face, inner: Box, blocks: Sequence[Block], opening: Sequence[Block], sizes: TypeSizes
) -> Flow | None:
    """The blocks of each page's two columns; None if one is larger than a column."""
    width = Columns(((), ()), _SHARES).list_stacks(inner.width_mm)[0][1]
    room = body_box(frame, inner, sizes).height_mm
    first, later = (
        room - sum(block.measure_mm(inner.width_mm, sizes) + BLOCK_GAP_MM for block in above)
        for above in (opening, (Gap(),))
    )
    heights = [block.measure_mm(width, sizes) for block in blocks]
    pages: Flow = []
    start = 0
    while start < len(blocks):
        high = later if pages else first
        middle = _fill_column(heights, start, high)
        end = _fill_column(heights, middle, high)
        if end == start:
            return None
        if end == len(blocks):
            middle = _balance(heights, start, end)
        pages.append((tuple(blocks[start:middle]), tuple(blocks[middle:end])))
        start = end
    return None if any(block.excess_mm(width, sizes) > _SLACK_MM for block in blocks) else pages


def _fill_column(heights: Sequence[float], start: int, room_mm: float) -> int:
    """The number of the first block that no longer fits into a column that begins with `start`."""
    used = 0.0
    for number in range(start, len(heights)):
        used += heights[number] + (BLOCK_GAP_MM if number > start else 0.0)
        if used > room_mm + _SLACK_MM:
            return number
    return len(heights)


def _balance(heights: Sequence[float], start: int, end: int) -> int:
    """Where to part the blocks of the last page so that its columns are most alike, the first no shorter if it can."""

    def height_of(first: int, last: int) -> float:
        return sum(heights[first:last]) + BLOCK_GAP_MM * max(last - first - 1, 0)

    parts = range(start + 1, end + 1)
    return min(parts, key=lambda middle: max(height_of(start, middle), height_of(middle, end)))
