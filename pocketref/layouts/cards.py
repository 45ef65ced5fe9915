"""Cards and sheets: their faces composed, placed on pages with trim, bleed and safe area."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from itertools import chain
from typing import TypeVar

from pocketref.blocks.kinds import build_blocks
from pocketref.blocks.setting import Place, Setting
from pocketref.layouts.face_fit import (
    Job,
    Version,
    find_flip,
    find_note,
    fit_faces,
    list_steps,
    make_document,
    set_meaning,
)
from pocketref.layouts.face_fit import LaidOut as LaidOut
from pocketref.layouts.footers import (
    SMALL_CARD,
    add_meaning,
    explain_language,
    write_all_cites,
    write_edition,
    write_governs,
    write_mark,
    write_validity,
)
from pocketref.layouts.for_levels import names_level
from pocketref.layouts.layout_library import Layouts, translate_layouts
from pocketref.layouts.layout_models import BY_LANGUAGE, CardModel, SheetModel
from pocketref.layouts.places import find_places, needs_places
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.change_bar import BAR_MM, draw_bar, mark_all
from pocketref.pages.composition import Face, fits
from pocketref.pages.page import Box, Page
from pocketref.pages.page_language import mark_pages
from pocketref.pages.pagination import Flow, compose_page, paginate
from pocketref.pages.plate_template import lay_out_tiles
from pocketref.pages.stock_models import StockModel, suggest_stock
from pocketref.pages.stocks import content_box
from pocketref.problems import PocketrefError, Problem, write_unknown
from pocketref.source.edition_models import EditionModel
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.library import Library
from pocketref.source.translation import translate_library, translate_model
from pocketref.words.speech import Language, find_language, find_pair, say, speak

M = TypeVar("M", CardModel, SheetModel)


@dataclass(frozen=True, slots=True)
class CardFaces:
    """A card by its name, and what stands on which of its faces."""

    name: str
    faces: tuple[Face, ...]

    @property
    def own(self) -> CardFaces:
        """Itself: they are in one language."""
        return self


def lay_out_card(
    card: CardModel,
    library: Library,
    layouts: Layouts,
    stock_name: str = "",
    previous: Library | None = None,
    placed: Sequence[LaidOut | CardFaces] | None = None,
) -> LaidOut:
    """A card's front and back on its stock, or on another one by name; more faces where two have no room.

    Blocks that show what the `previous` edition did not get a change bar. A card that lists others lists those
    `placed`; their faces are found if not given. Raises PocketrefError naming each block that does not fit, and by how
    much.
    """
    stock = layouts.stocks[stock_name or card.stock]
    languages = find_languages(card)
    versions = []
    for language in languages:
        with speak(language):
            own = (
                _translate(card, library, layouts, previous, language)
                if language is not languages[0]
                else None
            )
            versions.append(_make_version(*(own or (card, library, layouts, previous)), stock_name, placed))
    name = stock_name or card.stock
    title = write_layout_title(card, library)
    job = Job(card.card, f"card {card.card}", title, card, name, is_two_sided=len(languages) > 1)
    return fit_faces(job, versions, stock, layouts, layouts.styles.card_scale, library)


def find_languages(card: CardModel) -> tuple[Language | None, ...]:
    """The languages of a card's faces, that in force first: of two, each face is in one in front and one behind."""
    own = find_language()
    others = find_pair() if card.sides == BY_LANGUAGE else ()
    return own, *(other for other in others if other is not own)


def _translate(
    card: CardModel, library: Library, layouts: Layouts, previous: Library | None, language: Language | None
) -> tuple[CardModel, Library, Layouts, Library | None]:
    """What a card is made from in another language."""
    return (
        translate_model(card, language),
        translate_library(library, language),
        translate_layouts(layouts, language) if needs_places(card) else layouts,
        previous and translate_library(previous, language),
    )


def _make_version(
    card: CardModel,
    library: Library,
    layouts: Layouts,
    previous: Library | None,
    stock_name: str,
    placed: Sequence[LaidOut | CardFaces] | None,
) -> Version:
    """A card's faces in the language in force, and those that the edition before would have in their place."""
    own = find_language()
    known = {item.name: item.faces for item in placed or ()}

    def find_faces(other: CardModel) -> Sequence[Face]:
        shown = known.get(other.card, ())
        said = [face for face in shown if face.language is own]
        if placed is None or (shown and not said):
            return find_card_faces(other, library, layouts, stock_name, previous).faces
        return said

    places = find_places(card, layouts.cards, find_faces) if needs_places(card) else ()
    _, setting, make_faces = _prepare_card(card, library, layouts, stock_name, previous, places)
    return make_faces(setting), make_faces(setting.before) if setting.before else ()


def find_card_faces(
    card: CardModel, library: Library, layouts: Layouts, stock_name: str = "", previous: Library | None = None
) -> CardFaces:
    """Which face everything is on, as `lay_out_card` has it; no faces where that would raise.

    What fits at the least type with a bar beside all of it is on the two that the layout says.
    """
    stock, setting, make_faces = _prepare_card(card, library, layouts, stock_name, previous)
    with suppress(PocketrefError):  # told where that card is laid out for itself
        faces, least = make_faces(setting), list_steps(card, layouts, layouts.styles.card_scale)[0]
        fullest = (mark_all(set_meaning(face, find_note(faces))) for face in faces)
        is_one = len(find_languages(card)) == 1
        if is_one and all(fits(face, content_box(stock), least) for face in fullest):
            return CardFaces(card.card, faces)
        return CardFaces(card.card, lay_out_card(card, library, layouts, stock_name, previous).own.faces)
    return CardFaces(card.card, ())


def _prepare_card(
    card: CardModel,
    library: Library,
    layouts: Layouts,
    stock_name: str,
    previous: Library | None,
    places: tuple[Place, ...] = (),
) -> tuple[StockModel, Setting, Callable[[Setting], tuple[Face, ...]]]:
    """The card's stock, what it is made from, and how its faces are."""
    stock = layouts.stocks[stock_name or card.stock]
    setting = Setting(
        library, card.code, card.level, "card", (0.0, 0.0), previous, False, layouts.pictures, places
    )
    find_logo = partial(layouts.house.find_logo, pictures=layouts.pictures)

    def make_faces(made_from: Setting) -> tuple[Face, ...]:
        model = _find_model(card, made_from, f"cards/{card.card}")
        sides = {"front": model.front, "back": model.back}
        tag = write_tag(model, made_from.library, library.edition.season)
        bands = {side: TitleBand(model.title, tag, model.number, logo=find_logo(side)) for side in sides}
        issuer = (write_mark if stock.width < SMALL_CARD else write_edition)(library.edition)
        cites, holds = write_all_cites(sides, made_from), write_validity(library.edition)
        feet = {
            "front": Footer((issuer,), (holds,)),
            "back": Footer((cites,), (write_governs(),), flows=True),
        }
        if len(find_languages(card)) > 1:  # whoever reads one side reads no other
            feet = dict.fromkeys(sides, _write_two_sided(cites, issuer, library.edition))
        feet = {side: add_meaning(foot, sides[side], made_from) for side, foot in feet.items()}
        faces = {side: build_blocks(models, made_from) for side, models in sides.items()}
        shown = list(chain.from_iterable(faces.values()))
        return tuple(
            Face(side, bands[side], built, _add_language(feet[side], shown, model.title))
            for side, built in faces.items()
        )

    return stock, setting, make_faces


def _write_two_sided(cites: str, issuer: str, edition: EditionModel) -> Footer:
    """The footer of a face of a card that is two-sided by language, with all that there is to say in one of them.

    Who issued it is the same in any language, and stands in front.
    """
    governs, holds = write_governs(), write_validity(edition)
    mark = write_mark(edition)
    if find_language() is find_pair()[0] or issuer == mark:
        return Footer((cites, issuer), (governs, holds), flows=True)
    return Footer((cites, f"{mark}. {holds}"), ("", governs), flows=True)


def write_tag(layout: ForLevelsModel, library: Library, season: str) -> str:
    """Whose rules and which season a layout is for, and its level where there are several."""
    level = layout.level if names_level(library) else ""
    return " ".join(filter(None, (_find_mark(library, layout.code), level, season)))


def _find_model(layout: M, made_from: Setting, name: str) -> M:
    """The layout as it is, or was in the edition that faces are made from, where that is known."""
    older = made_from.library.layouts.get(name) if made_from.is_past else None
    return older if isinstance(older, type(layout)) else layout


def write_layout_title(layout: CardModel | SheetModel, library: Library) -> str:
    """The title of a card or sheet, which tells its level where there are several."""
    if not names_level(library):
        return layout.title
    return f"{layout.title} ({_find_mark(library, layout.code)} {layout.level})"


def write_side(name: str) -> str:
    """A face by its name: "Front", "Back 2", "Page 1"."""
    side, _, number = name.replace("-", " ").partition(" ")
    return f"{say(side.capitalize())} {number}".rstrip()


def _add_language(foot: Footer, blocks: Sequence[Block], title: str) -> Footer:
    """The footer with what there is to say of the language; a card's front leaves it to its back."""
    said = explain_language(blocks, title) if foot.flows else ""
    first, *others = foot.left
    return replace(foot, left=(f"{first}. {said}" if first else said, *others)) if said else foot


def _find_mark(library: Library, code: str) -> str:
    """The mark of a code; none if the edition has no such code."""
    return library.codes[code].mark if code in library.codes else ""


def lay_out_sheet(
    sheet: SheetModel,
    library: Library,
    layouts: Layouts,
    stock_name: str = "",
    previous: Library | None = None,
) -> LaidOut:
    """A full-page sheet on its paper, with change bars as a card; raises PocketrefError as `lay_out_card` does."""
    stock = layouts.stocks[stock_name or sheet.stock]
    inner = content_box(stock)
    room_mm = (inner.width_mm, inner.height_mm)
    setting = Setting(
        library, sheet.code, sheet.level, "sheet", room_mm, previous=previous, pictures=layouts.pictures
    )
    edition, validity = write_edition(library.edition), write_validity(library.edition)
    find_logo = partial(layouts.house.find_logo, pictures=layouts.pictures)

    def write_tag(made_from: Setting) -> str:
        return (
            f"{_find_mark(made_from.library, made_from.code)} {library.edition.season}, {setting.field.name}"
        )

    def make_faces(made_from: Setting) -> tuple[Face, ...]:
        model = _find_model(sheet, made_from, f"sheets/{sheet.sheet}")
        sides = {side: blocks for side, blocks in (("front", model.front), ("back", model.back)) if blocks}
        tag = write_tag(made_from)
        bands = {side: TitleBand(model.title, tag, logo=find_logo(side)) for side in sides}
        foot = Footer((write_all_cites(sides, made_from), edition), (write_governs(), validity), flows=True)
        faces = {side: build_blocks(models, made_from) for side, models in sides.items()}
        return tuple(
            Face(
                side,
                bands[side],
                built,
                _add_language(add_meaning(foot, sides[side], made_from), built, model.title),
            )
            for side, built in faces.items()
        )

    # A filled-in sheet is known by its subject and this keyword when it comes back.
    keywords = (f"level {setting.field.key}",)
    name = stock_name or sheet.stock
    job = Job(sheet.sheet, f"sheet {sheet.sheet}", write_layout_title(sheet, library), sheet, name, keywords)
    laid_out = _lay_out(job, setting, make_faces, stock, layouts, layouts.styles.sheet_scale)
    foot = f"{sheet.title}. {edition}. {write_tag(setting)}."
    return _add_tiles(laid_out, setting, inner, foot) if sheet.tiles else laid_out


def _add_tiles(laid_out: LaidOut, setting: Setting, inner: Box, foot: str) -> LaidOut:
    """The sheet followed by the full-size plate, one side of the paper only."""
    document, sizes = laid_out.document, laid_out.sizes[0]

    def draw(made_from: Setting) -> tuple[Page, ...]:
        return lay_out_tiles(made_from.lengths["plate-width"], document.pages[0], inner, sizes, foot)

    tiles, before = draw(setting), draw(setting.before) if setting.before else None
    if before is not None and tiles != before:
        bar = draw_bar(Box(inner.x - 2 * BAR_MM, inner.y, inner.width_mm, inner.height_mm))
        tiles = tuple(replace(tile, elements=(*tile.elements, bar)) for tile in tiles)
    return replace(
        laid_out,
        document=replace(document, pages=(*document.pages, *mark_pages(tiles)), duplex=""),
        sizes=(*laid_out.sizes, *(sizes,) * len(tiles)),
    )


def lay_out_flow(
    name: str, title: str, versions: Sequence[Flow], paper: str, layouts: Layouts, edition: EditionModel
) -> LaidOut:
    """Blocks on as many pages as they take, as `paginate` has them, on a paper by its name or the house's.

    In another language than English the first page says whose the words are.
    PocketrefError: "stock-unknown" with the closest match, "block-too-large" for what fits on no page.
    """
    paper = paper or layouts.house.paper
    if paper not in layouts.stocks:
        hint = suggest_stock(paper, layouts.stocks)
        raise PocketrefError([Problem("stock-unknown", write_unknown("stock", paper), hint)])
    stock = layouts.stocks[paper]
    sizes, faces = paginate([open_language(flow) for flow in versions], stock, layouts.styles)
    pages = [compose_page(face, sizes, stock) for face in faces]
    document = make_document(title, versions[0].what, pages, edition, find_flip(stock))
    return LaidOut(name, document, (sizes,), layouts.styles.floor_pt)


def open_language(flow: Flow) -> Flow:
    """The flow, opened by what there is to say of the language."""
    said = explain_language(chain(flow.opening, *flow.parts), getattr(flow.head, "title", ""))
    return (
        replace(flow, opening=(*flow.opening, Paragraphs("language", (said,), small=True))) if said else flow
    )


def _lay_out(
    job: Job,
    setting: Setting,
    make_faces: Callable[[Setting], tuple[Face, ...]],
    stock: StockModel,
    layouts: Layouts,
    scale: Sequence[Decimal],
) -> LaidOut:
    """Faces made from content, with bars beside what those made from the edition before have otherwise."""
    before = make_faces(setting.before) if setting.before else ()
    return fit_faces(job, [(make_faces(setting), before)], stock, layouts, scale, setting.library)
