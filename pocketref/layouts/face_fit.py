"""Faces fitted to their stock: the type of each, more faces where two have no room, and what fits on none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import zip_longest

from pocketref.blocks.chart import ChartBlock
from pocketref.blocks.kinds import Blocks, find_block
from pocketref.layouts.footers import is_association_long, write_long_association
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.blocks import Footer
from pocketref.pages.change_bar import BAR_ROOM_MM, mark_changes
from pocketref.pages.composition import Face, Misfit, choose_sizes, draw_stack
from pocketref.pages.face_cut import cut_faces, list_blocks, pair_faces
from pocketref.pages.page import Box, Document, Page, change_page_inks
from pocketref.pages.page_language import mark_pages
from pocketref.pages.pagination import compose_page
from pocketref.pages.stock_models import StockModel
from pocketref.pages.stocks import content_box
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.pages.words import list_texts
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.source.edition_models import EditionModel
from pocketref.source.library import Library
from pocketref.source.statements import DOUBT
from pocketref.words.speech import name_language
from pocketref.words.terminal import tell

TOO_LARGE = "block-too-large"
"""The code of what has no room on its face."""


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A finished card or sheet: its name, document, type sizes and the floor they were held to."""

    name: str
    document: Document
    sizes: tuple[TypeSizes, ...]
    """By face: each face takes the largest step of the scale at which it fits."""
    floor_pt: float
    where: Location | None = None
    """Where its layout stands in the source."""
    bleed_mm: float = 0.0
    """Ink past the trimmed edge that its stock asks for."""
    stock: str = ""
    """The name of the stock it is laid out on, where it is a card or a sheet of the layouts."""
    faces: tuple[Face, ...] = ()
    """What the document's first pages were composed from, for what their blocks say."""


@dataclass(frozen=True, slots=True)
class Job:
    """What is laid out: its file's name, what it is, its title, its layout, and its stock's name."""

    name: str
    what: str
    title: str
    model: CardModel | SheetModel
    stock: str
    keywords: tuple[str, ...] = ()


def fit_faces(
    job: Job,
    faces: Sequence[Face],
    before: Sequence[Face],
    stock: StockModel,
    layouts: Layouts,
    scale: Sequence[Decimal],
    library: Library,
) -> LaidOut:
    """Each face at the largest step of the scale at which it fits; a card's that fit at none cut over more of them."""
    inner, floor_pt = content_box(stock), layouts.styles.floor_pt
    steps, note = list_steps(job.model, layouts, scale), find_note(faces)
    least = steps[0]

    def fit(whole: Face, before: Face | None) -> tuple[Face, TypeSizes | None, list[Misfit]]:
        sizes, misfits = choose_sizes(whole, inner, steps)
        meaning = note if note and _shows_doubt(whole, inner, sizes or least) else ""
        face, old = set_meaning(whole, meaning), before and set_meaning(before, meaning)
        if face.foot != whole.foot:
            sizes, misfits = choose_sizes(face, inner, steps)
        marked = mark_changes(face, old, inner, sizes) if old and sizes else face
        if sizes and marked != face:  # bars leave less room
            sizes, misfits = choose_sizes(marked, inner, steps[: steps.index(sizes) + 1])
        return marked, sizes, misfits

    found = [fit(*pair) for pair in zip_longest(faces, before)]
    if isinstance(job.model, SheetModel) and not all(sizes for _, sizes, _ in found):
        faces, before = (tuple(map(_let_climb, each)) for each in (faces, before))
        found = [fit(*pair) for pair in zip_longest(faces, before)]
    if isinstance(job.model, CardModel) and not all(sizes for _, sizes, _ in found):
        room = replace(inner, width_mm=inner.width_mm - BAR_ROOM_MM * bool(before))
        for pairs in _list_cuts(faces, before, room, steps):
            refound = [fit(*pair) for pair in pairs]
            if all(sizes for _, sizes, _ in refound):
                found = refound
                break
    problems = [
        _write_misfit(job, stock, face, misfit, least, library)
        for face, _, misfits in found
        for misfit in misfits
    ]
    if problems:
        raise PocketrefError(problems)
    fitted = [(face, sizes) for face, sizes, _ in found if sizes]
    composed = (compose_page(face, sizes, stock) for face, sizes in fitted)
    pages = [change_page_inks(page, layouts.styles.inks) for page in composed]
    flip = find_flip(stock)
    document = make_document(job.title, job.what, pages, library.edition, flip, job.keywords)
    placed, chosen = zip(*fitted, strict=True)
    bled, where = stock.bleed.float_mm, job.model.location
    return LaidOut(job.name, document, chosen, floor_pt, where, bled, job.stock, placed)


def _let_climb(face: Face) -> Face:
    """The face, its charts ladders where those need less room."""
    body = (replace(block, may_climb=True) if isinstance(block, ChartBlock) else block for block in face.body)
    return replace(face, body=tuple(body))


def _list_cuts(
    faces: Sequence[Face], before: Sequence[Face], room: Box, steps: Sequence[TypeSizes]
) -> Iterator[list[tuple[Face, Face | None]]]:
    """Ways to cut faces over more of them, each new face with what the edition before has there.

    The first way leaves each face room for its own footer. A block that is cut off one face may come to stand on
    another, over a taller footer or one that must then explain the mark of doubt: so the other ways leave room on every
    face for the footer of the front, then for that of the back, with the explanation.
    """
    note = find_note(faces)
    for foot in (None, *(set_meaning(face, note).foot for face in faces)):
        cut, old = (
            tuple(
                replace(part, foot=whole[number % len(whole)].foot)
                for number, part in enumerate(
                    cut_faces([replace(face, foot=foot or face.foot) for face in whole], room, steps)
                )
            )
            for whole in (faces, before)
        )
        if before and len(old) != len(cut):
            old = pair_faces(cut, before)
        if cut:
            yield list(zip_longest(cut, old))


def list_steps(model: CardModel | SheetModel, layouts: Layouts, scale: Sequence[Decimal]) -> list[TypeSizes]:
    """The sizes of type that a layout may be set in, the least first."""
    styles = layouts.styles
    lead_pt = styles.find_floor_pt(model.reading_distance)
    return [sizes_for(step, styles.floor_pt, lead_pt) for step in styles.list_steps(scale)]


def find_note(faces: Sequence[Face]) -> str:
    """What the footers have to say on the mark of doubt, where it stands."""
    return max((face.foot.note for face in faces if isinstance(face.foot, Footer)), key=len, default="")


def _shows_doubt(face: Face, box: Box, sizes: TypeSizes) -> bool:
    """Whether the mark of doubt is in what is drawn: of a chart that is cut, a face has a part."""
    doubted = [block for block in list_blocks(face.body) if _says_doubt(block.words())]
    cut = [block for block in doubted if isinstance(block, ChartBlock) and block.part]
    return len(cut) < len(doubted) or any(_says_doubt(draw_stack([block], box, sizes)) for block in cut)


def _says_doubt(said: Sequence[object]) -> bool:
    return any(DOUBT in text for text in list_texts(said))


def set_meaning(face: Face, note: str) -> Face:
    """The face with what the mark of doubt means, or without it."""
    return replace(face, foot=replace(face.foot, note=note)) if isinstance(face.foot, Footer) else face


def _write_misfit(
    job: Job, stock: StockModel, face: Face, misfit: Misfit, least: TypeSizes, library: Library
) -> Problem:
    if misfit.block == "footer" and is_association_long(
        face.foot, content_box(stock).width_mm, least, library
    ):
        return write_long_association(misfit.excess_mm, stock, library)
    sentence = tell(
        "{what}, {face}: {block} is {excess} for {stock}, even at the least type, {body_pt:g} pt",
        what=job.what,
        face=face.name,
        block=misfit.block,
        excess=misfit.write_excess(),
        stock=stock.name,
        body_pt=least.body_pt,
    )
    hint = tell("shorten its text, drop a block, or choose a larger stock")
    return Problem(TOO_LARGE, sentence, hint, _locate_misfit(job.model, face.name, misfit))


def _locate_misfit(model: CardModel | SheetModel, side: str, misfit: Misfit) -> Location | None:
    """Where the block that does not fit stands in the layout; the title's own place for the title."""
    if not misfit.path:
        return model.locate("title") if misfit.block == "title" else model.location
    blocks: Blocks = getattr(model, side)
    return find_block(blocks, misfit.path).location


def make_document(
    title: str,
    what: str,
    pages: Sequence[Page],
    edition: EditionModel,
    duplex: str = "",
    keywords: tuple[str, ...] = (),
) -> Document:
    """Pages as one file of the edition: `what` it is, and the edge it is turned over at for printing."""
    return Document(
        title=f"{title}, {edition.association}, {edition.season}",
        subject=f"{what}, edition {edition.mark}",
        author=edition.association,
        pages=mark_pages(pages),
        language=name_language(),
        duplex=duplex,
        keywords=keywords,
    )


def find_flip(stock: StockModel) -> str:
    """The edge at which paper is turned for the back: "short" where it is wider than high, else "long"."""
    return "short" if stock.width > stock.height else "long"
