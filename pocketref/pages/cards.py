"""Cards and sheets: their faces composed, placed on pages with trim, bleed and safe area."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.blocks import Footer, TitleBand
from pocketref.pages.composition import Face, choose_sizes, compose_face
from pocketref.pages.desk import Desk
from pocketref.pages.face_blocks import build_blocks, list_cites
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.type_scale import TypeSizes, floor_size_pt
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.source.edition_models import EditionModel
from pocketref.source.kinds import Cite
from pocketref.source.layout_library import Layouts
from pocketref.source.layout_models import CardModel, SheetModel, StockModel
from pocketref.source.library import Library

GOVERNS = "The rule book and the league govern."


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A finished card or sheet: its name, document, type sizes and the floor they were held to."""

    name: str
    document: Document
    sizes: TypeSizes
    floor_pt: float


def lay_out_card(card: CardModel, library: Library, layouts: Layouts, stock_name: str = "") -> LaidOut:
    """A card's front and back on its stock, or on another one by name.

    Raises PocketrefError naming each block that does not fit, and by how much.
    """
    stock = layouts.stocks[stock_name or card.stock]
    desk = Desk(library, card.code, card.level, "card")
    tag = f"{library.codes[card.code].mark} {library.edition.season}"
    band = TitleBand(card.title, tag, card.number)
    cites = write_cites(list_cites((*card.front, *card.back), desk), library)
    feet = {
        "front": Footer((write_edition(library.edition),), (write_validity(library.edition),)),
        "back": Footer((cites,), (GOVERNS,)),
    }
    sides = (("front", card.front), ("back", card.back))
    faces = [Face(side, band, build_blocks(models, desk), feet[side]) for side, models in sides]
    what = f"card {card.card}"
    return _lay_out(card.card, what, faces, stock, layouts, library, card.title, card.location, is_card=True)


def lay_out_sheet(sheet: SheetModel, library: Library, layouts: Layouts, stock_name: str = "") -> LaidOut:
    """A full-page sheet on its paper; raises PocketrefError as `lay_out_card` does."""
    stock = layouts.stocks[stock_name or sheet.stock]
    desk = Desk(library, sheet.code, sheet.level, "sheet")
    field = library.fields[f"{sheet.code}-{sheet.level}"]
    tag = f"{library.codes[sheet.code].mark} {library.edition.season}, {field.name}"
    cites = write_cites(list_cites((*sheet.front, *sheet.back), desk), library)
    foot = Footer((cites, write_edition(library.edition)), (GOVERNS, write_validity(library.edition)))
    band = TitleBand(sheet.title, tag)
    sides = [(side, models) for side, models in (("front", sheet.front), ("back", sheet.back)) if models]
    faces = [Face(side, band, build_blocks(models, desk), foot) for side, models in sides]
    what = f"sheet {sheet.sheet}"
    return _lay_out(
        sheet.sheet, what, faces, stock, layouts, library, sheet.title, sheet.location, is_card=False
    )


def _lay_out(
    name: str,
    what: str,
    faces: list[Face],
    stock: StockModel,
    layouts: Layouts,
    library: Library,
    title: str,
    where: Location | None,
    *,
    is_card: bool,
) -> LaidOut:
    styles = layouts.styles
    floor_pt = floor_size_pt(float(styles.floor.arcmin), styles.floor.distance.float_mm)
    scale = [float(step) for step in (styles.card_scale if is_card else styles.sheet_scale)]
    width, height = stock.width.float_mm, stock.height.float_mm
    inner = Box(0, 0, width, height).inset(stock.margin.float_mm)
    sizes, misfits = choose_sizes(faces, inner, scale, floor_pt)
    if sizes is None:
        raise PocketrefError(
            _word_misfit(what, stock, face.name, m.block, m.excess_mm, m.direction, min(scale), where)
            for face, m in misfits
        )
    pages = tuple(_make_page(face, inner, sizes, stock) for face in faces)
    edition = library.edition
    document = Document(
        title=f"{title}, {edition.association}, {edition.season}",
        subject=f"{what}, edition {edition.edition}",
        author=edition.association,
        pages=pages,
        duplex="short" if len(pages) > 1 else "",
    )
    return LaidOut(name, document, sizes, floor_pt)


def _word_misfit(
    what: str,
    stock: StockModel,
    face: str,
    block: str,
    excess_mm: float,
    direction: str,
    least_pt: float,
    where: Location | None,
) -> Problem:
    sentence = (
        f"{what}, {face}: {block} is {excess_mm:.1f} mm too {direction} for {stock.name}, "
        f"even at the least type, {least_pt:g} pt"
    )
    return Problem(
        "block-too-large", sentence, "shorten its text, drop a block, or choose a larger stock", where
    )


def _make_page(face: Face, inner: Box, sizes: TypeSizes, stock: StockModel) -> Page:
    width, height = stock.width.float_mm, stock.height.float_mm
    elements = compose_face(face, inner, sizes)
    return Page(
        name=face.name,
        width_mm=width,
        height_mm=height,
        elements=(Element(Role.SECTION, (), elements, label=face.name),),
        safe=Box(0, 0, width, height).inset(stock.safe.float_mm),
    )


def write_cites(cites: tuple[Cite, ...], library: Library) -> str:
    """Sections by work, as a footer prints them: "HS 7-1-1, 7-3-1"."""
    by_work: dict[str, list[str]] = {}
    for cite in cites:
        by_work.setdefault(library.works[cite.work].mark, []).append(_write_section(cite.section))
    return "; ".join(f"{mark} {', '.join(sections)}" for mark, sections in by_work.items())


def _write_section(section: str) -> str:
    """A section as it is cited in print: "diagram-2" is "Diagram 2"."""
    name, _, number = section.partition("-")
    return f"{name.capitalize()} {number}" if name.isalpha() and number else section


def write_edition(edition: EditionModel) -> str:
    """The edition mark and who issued it; an invented association says so."""
    invented = " (invented)" if edition.invented else ""
    return f"{edition.association}{invented}, edition {edition.edition}"


def write_validity(edition: EditionModel) -> str:
    """Through when the edition holds."""
    day = edition.valid.through
    return f"Valid through {day.day} {day:%b %Y}"
