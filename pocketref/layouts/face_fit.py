"""Faces fitted to their stock: the type of each, more faces where two have no room, and what fits on none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from itertools import chain, compress, zip_longest

from pocketref.blocks.chart import ChartBlock
from pocketref.blocks.kinds import Blocks, find_block
from pocketref.layouts.footers import is_association_long, write_long_association
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.blocks import Block, Footer
from pocketref.pages.change_bar import BAR_ROOM_MM, mark_changes
from pocketref.pages.composition import Face, Misfit, choose_sizes, draw_stack
from pocketref.pages.face_cut import cut_faces, list_blocks, number_faces, pair_faces
from pocketref.pages.page import Box, Document, Page, change_page_inks
from pocketref.pages.page_language import mark_pages
from pocketref.pages.pagination import compose_page
from pocketref.pages.stock_models import StockModel
from pocketref.pages.stocks import content_box
from pocketref.pages.twin import join_faces, part_face
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.pages.words import list_texts
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.source.edition_models import EditionModel
from pocketref.source.library import Library
from pocketref.source.statements import DOUBT
from pocketref.words.speech import name_language, speak
from pocketref.words.terminal import tell

_SIDES = {"face-1": "front", "face-2": "back"}
"""What the layout calls the faces of a card that is not cut."""
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

    @property
    def is_two_sided(self) -> bool:
        """Whether its faces have another language's on their backs."""
        return self.own is not self

    @property
    def own(self) -> LaidOut:
        """Without the faces in another language than the document's."""
        pages, kept = self.document.pages, [not page.language for page in self.document.pages]
        if all(kept):
            return self
        document = replace(self.document, pages=tuple(compress(pages, kept)))
        faces, sizes = tuple(compress(self.faces, kept)), tuple(compress(self.sizes, kept))
        return replace(self, document=document, faces=faces, sizes=sizes)


@dataclass(frozen=True, slots=True)
class Job:
    """What is laid out: its file's name, what it is, its title, its layout, and its stock's name."""

    name: str
    what: str
    title: str
    model: CardModel | SheetModel
    stock: str
    keywords: tuple[str, ...] = ()
    is_two_sided: bool = False
    """Whether each face is in two languages, one on either side."""


Version = tuple[Sequence[Face], Sequence[Face]]
"""The faces in one language, and those that the edition before would have in their place."""


def fit_faces(
    job: Job,
    versions: Sequence[Version],
    stock: StockModel,
    layouts: Layouts,
    scale: Sequence[Decimal],
    library: Library,
) -> LaidOut:
    """Each face at the largest step of the scale at which it fits; a card's that fit at none cut over more of them.

    Of several versions, in as many languages, each face has itself in the next language on its back.
    """
    inner, floor_pt = content_box(stock), layouts.styles.floor_pt
    steps = list_steps(job.model, layouts, scale)
    fit = partial(_fit_face, inner=inner, steps=steps)

    def fit_whole() -> list[list[_Fit]]:
        is_one = len(versions) == 1
        return [[fit(*pair) for pair in _pair_whole(*each, is_one=is_one)] for each in versions]

    found = fit_whole()
    if isinstance(job.model, SheetModel) and not _fit_all(found):
        versions = [(tuple(map(_let_climb, faces)), tuple(map(_let_climb, old))) for faces, old in versions]
        found = fit_whole()
    if isinstance(job.model, CardModel) and not _fit_all(found):
        room = replace(inner, width_mm=inner.width_mm - BAR_ROOM_MM * bool(versions[0][1]))
        for ways in _list_cuts(versions, room, steps):
            refound = [[fit(*pair) for pair in pairs] for pairs in ways]
            if _fit_all(refound):
                found = refound
                break
    problems = [
        _write_misfit(job, stock, face, misfit, steps[0], library)
        for face, _, misfits in chain.from_iterable(found)
        for misfit in misfits
    ]
    if problems:
        raise PocketrefError(problems)
    fitted = [(face, sizes) for sides in zip(*found, strict=True) for face, sizes, _ in sides if sizes]
    pages = [compose_in_language(face, sizes, stock, layouts) for face, sizes in fitted]
    flip = find_flip(stock)
    document = make_document(job.title, job.what, pages, library.edition, flip, job.keywords)
    placed, chosen = zip(*fitted, strict=True)
    bled, where = stock.bleed.float_mm, job.model.location
    return LaidOut(job.name, document, chosen, floor_pt, where, bled, job.stock, placed)


_Fit = tuple[Face, TypeSizes | None, list[Misfit]]


def _fit_all(found: Sequence[Sequence[_Fit]]) -> bool:
    return all(sizes for faces in found for _, sizes, _ in faces)


def _pair_whole(
    faces: Sequence[Face], before: Sequence[Face], *, is_one: bool
) -> Iterator[tuple[Face, Face | None, str]]:
    """Each face with that of the edition before and what the mark of doubt means; numbered unless it `is_one`."""
    note, whole = find_note(faces), (faces, before) if is_one else (number_faces(faces), number_faces(before))
    return ((face, old, note) for face, old in zip_longest(*whole))


def _fit_face(whole: Face, before: Face | None, note: str, *, inner: Box, steps: Sequence[TypeSizes]) -> _Fit:
    """The face, with its bars, at the largest type at which it fits; what does not at the least."""
    with speak(whole.language):
        sizes, misfits = choose_sizes(whole, inner, steps)
        meaning = note if note and _shows_doubt(whole, inner, sizes or steps[0]) else ""
        face, old = set_meaning(whole, meaning), before and set_meaning(before, meaning)
        if face.foot != whole.foot:
            sizes, misfits = choose_sizes(face, inner, steps)
        marked = mark_changes(face, old, inner, sizes) if old and sizes else face
        if sizes and marked != face:  # bars leave less room
            sizes, misfits = choose_sizes(marked, inner, steps[: steps.index(sizes) + 1])
        return marked, sizes, misfits


def compose_in_language(face: Face, sizes: TypeSizes, stock: StockModel, layouts: Layouts) -> Page:
    """The face drawn in the inks of the layouts; in another language than that in force it says so."""
    own = name_language()
    with speak(face.language):
        (page,) = mark_pages([change_page_inks(compose_page(face, sizes, stock), layouts.styles.inks)])
        return page if name_language() == own else replace(page, language=name_language())


def _let_climb(face: Face) -> Face:
    """The face, its charts ladders where those need less room."""
    body = (replace(block, may_climb=True) if isinstance(block, ChartBlock) else block for block in face.body)
    return replace(face, body=tuple(body))


def _list_cuts(
    versions: Sequence[Version], room: Box, steps: Sequence[TypeSizes]
) -> Iterator[list[list[tuple[Face, Face | None, str]]]]:
    """Ways to cut faces over more of them, each new face with what the edition before has there, in each language.

    The first way leaves each face room for its own footer. A block that is cut off one face may come to stand on
    another, over a taller footer or one that must then explain the mark of doubt: so the other ways leave room on every
    face for the footer of the front, then for that of the back, with the explanation.
    """
    notes = [find_note(faces) for faces, _ in versions]
    for foot in (None, *range(len(versions[0][0]))):
        feet = [
            None if foot is None else set_meaning(faces[foot], note).foot
            for (faces, _), note in zip(versions, notes, strict=True)
        ]
        cut = _cut_alike([faces for faces, _ in versions], feet, room, steps)
        old = _cut_alike([before for _, before in versions], feet, room, steps)
        if not cut[0]:
            continue
        found = []
        for parts, was, (_, before), note in zip(cut, old, versions, notes, strict=True):
            earlier = pair_faces(parts, before) if before and len(was) != len(parts) else was
            found.append([(face, each, note) for face, each in zip_longest(parts, earlier)])
        yield found


def _cut_alike(
    versions: Sequence[Sequence[Face]], feet: Sequence[Block | None], room: Box, steps: Sequence[TypeSizes]
) -> list[tuple[Face, ...]]:
    """The faces in each language, cut at the same places over their own footers, or over one given for each."""
    if not versions[0]:
        return [() for _ in versions]
    held = [
        [replace(face, foot=foot or face.foot) for face in faces]
        for faces, foot in zip(versions, feet, strict=True)
    ]
    if len(versions) == 1:
        cut = [cut_faces(held[0], room, steps)]
    else:
        joined = cut_faces([join_faces(faces) for faces in zip(*held, strict=True)], room, steps)
        if len(joined) == len(held[0]):
            joined = number_faces(joined)
        cut = [tuple(part_face(face, number) for face in joined) for number in range(len(versions))]
    return [
        tuple(replace(part, foot=faces[number % len(faces)].foot) for number, part in enumerate(parts))
        for parts, faces in zip(cut, versions, strict=True)
    ]


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
    named = face.name
    if job.is_two_sided:
        with speak(face.language):
            named = tell("{face} in {language}", face=face.name, language=name_language())
    sentence = tell(
        "{what}, {face}: {block} is {excess} for {stock}, even at the least type, {body_pt:g} pt",
        what=job.what,
        face=named,
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
    blocks: Blocks = getattr(model, _SIDES.get(side, side))
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
