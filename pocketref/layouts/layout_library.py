"""A layouts folder read whole, with its references into the content folder resolved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from pocketref.blocks.kinds import walk_blocks
from pocketref.blocks.model import list_pictures
from pocketref.layouts.class_layouts import list_faces, read_classes
from pocketref.layouts.class_models import ClassModel
from pocketref.layouts.for_levels import check_levels_alike, expand_layouts, find_levels
from pocketref.layouts.house import HOUSE, HouseModel
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.layouts.places import list_sets
from pocketref.layouts.references import check_level
from pocketref.pages.stock_models import StockModel, StocksModel, StylesModel, suggest_stock
from pocketref.problems import Problem, ProblemLog, write_unknown
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.library import Library
from pocketref.source.pictures import PictureFile, read_picture
from pocketref.source.syntax.folder import FolderReader
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.syntax.located import SourceModel
from pocketref.source.translation import translate_model
from pocketref.units.notation import write_tape
from pocketref.words.speech import Language
from pocketref.words.terminal import tell

_Forced = CardModel | SheetModel | ClassModel

MOST_BLOCKS = 40
"""On one face, those inside columns too."""


@dataclass(frozen=True, slots=True)
class Layouts:
    """What a layouts folder says: stocks by name, the typographic scale, cards, sheets and classes in order.

    `pictures` are those that photo blocks show, by the path they are named by. `warnings` stop nothing.
    """

    stocks: Mapping[str, StockModel]
    styles: StylesModel
    cards: tuple[CardModel, ...]
    sheets: tuple[SheetModel, ...]
    classes: tuple[ClassModel, ...] = ()
    pictures: Mapping[str, PictureFile] = field(default_factory=dict)
    house: HouseModel = field(default_factory=HouseModel)
    warnings: tuple[Problem, ...] = ()

    @property
    def by_name(self) -> dict[str, SourceModel]:
        """Cards and sheets by the names of what is made of them, without the ending."""
        cards = {f"cards/{card.card}": card for card in self.cards}
        return {**cards, **{f"sheets/{sheet.sheet}": sheet for sheet in self.sheets}}


def read_layouts(
    layouts: Path, library: Library, content: Path | None = None, kept: KeptFiles | None = None
) -> Layouts:
    """Everything in a layouts folder; raises PocketrefError with every problem of every file.

    Photo blocks take their pictures from the folder `content`; without it, none is read. Files `kept` are read
    anew if they changed.
    """
    problems = ProblemLog()
    reader = FolderReader(layouts, problems, kept)
    stocks, styles, house = _read_papers(reader, problems)
    find_levels(house, library, problems)
    problems.raise_errors()
    read_cards = reader.read_named("cards", CardModel, "card").values()
    read_sheets = reader.read_named("sheets", SheetModel, "sheet").values()
    cards = expand_layouts(filter(None, read_cards), library, house, problems)
    sheets = expand_layouts(filter(None, read_sheets), library, house, problems)
    known = stocks.stocks if stocks else None
    faces: list[CardModel | SheetModel] = [*cards, *sheets]
    check_levels_alike(faces, lambda face, log: _check_face(face, library, known, log), problems)
    classes = read_classes(reader, library, known, house, problems)
    if all((*read_cards, *read_sheets)):
        _check_force([*faces, *classes], library, problems)
    if all(read_cards):
        check_levels_alike(cards, lambda card, log: _check_sets(card, cards, log), problems)
    _check_numbers(cards, problems)
    if stocks is not None:
        _check_sizes(stocks.stocks, problems)
    pictures = {} if content is None else _read_pictures(faces, classes, house, content, problems)
    problems.raise_errors()
    if stocks is None or styles is None:
        raise AssertionError("a file without a model must have raised")
    placed = sorted(cards, key=lambda card: (*_rank_level(card, library), len(card.number), card.number))
    shown = sorted(sheets, key=lambda sheet: _rank_level(sheet, library))
    found = tuple(problems.problems)
    return Layouts(stocks.stocks, styles, tuple(placed), tuple(shown), classes, pictures, house, found)


def _rank_level(layout: ForLevelsModel, library: Library) -> tuple[int, str]:
    """The levels in force in their order, then the others."""
    levels = library.edition.levels
    return (levels.index(layout.key), "") if layout.key in levels else (len(levels), layout.key)


def translate_layouts(layouts: Layouts, language: Language | None) -> Layouts:
    """The layouts with their sentences in a language, whichever they are in; None for as they were written."""
    return replace(
        layouts,
        cards=tuple(translate_model(card, language) for card in layouts.cards),
        sheets=tuple(translate_model(sheet, language) for sheet in layouts.sheets),
        classes=tuple(translate_model(each, language) for each in layouts.classes),
    )


def read_papers(layouts: Path) -> Layouts:
    """Stocks and type of a layouts folder alone, for what no layout lays out; raises as `read_layouts`."""
    problems = ProblemLog()
    stocks, styles, house = _read_papers(FolderReader(layouts, problems), problems)
    problems.raise_errors()
    if stocks is None or styles is None:
        raise AssertionError("a file without a model must have raised")
    return Layouts(stocks.stocks, styles, (), (), house=house)


def _read_papers(
    reader: FolderReader, problems: ProblemLog
) -> tuple[StocksModel | None, StylesModel | None, HouseModel]:
    """Stocks, type and the house; one whose stocks are none stops all, as layouts are laid out on them."""
    reader.require(tell("give the folder that holds stocks.yaml and styles.yaml"))
    stocks, styles = reader.read("stocks.yaml", StocksModel), reader.read("styles.yaml", StylesModel)
    house = reader.read(HOUSE, HouseModel) if reader.has(HOUSE) else None
    if stocks is not None and house is not None:
        house.check(stocks.stocks, problems)
        problems.raise_errors()
    return stocks, styles, house or HouseModel()


def _read_pictures(
    faces: Iterable[CardModel | SheetModel],
    classes: Iterable[ClassModel],
    house: HouseModel,
    content: Path,
    problems: ProblemLog,
) -> dict[str, PictureFile]:
    """The pictures of photo blocks and of the house, each read once; a refusal is told wherever one is asked for."""
    pictures: dict[str, PictureFile] = {}
    log = ProblemLog()
    asking: list[SourceModel] = [house.logo] if house.logo else []
    sides = [side for face in faces for side in (face.front, face.back)]
    for side in (*sides, *(face for each in classes for face in list_faces(each))):
        blocks = list(walk_blocks(side))
        asking += blocks if len(blocks) <= MOST_BLOCKS else ()
    for model in asking:
        for key, mark in list_pictures(model):
            name = getattr(model, key)
            picture = pictures.get(name) or read_picture(content, name, model.locate(key), log)
            if picture is not None:
                pictures[name] = picture
                mark.check(model, picture, log)
    problems.extend(dict.fromkeys(log.problems))  # a block is on the face of each level
    return pictures


def _check_face(
    face: CardModel | SheetModel,
    library: Library,
    stocks: Mapping[str, StockModel] | None,
    problems: ProblemLog,
) -> None:
    """Every name that a card or sheet uses must lead somewhere."""
    if stocks is not None and face.stock not in stocks:
        hint = suggest_stock(face.stock, stocks)
        problems.error("stock-unknown", write_unknown("stock", face.stock), hint, face.locate("stock"))
    check_level(face, library, problems)
    for side, part in (("front", face.front), ("back", face.back)):
        blocks = list(walk_blocks(part))
        if len(blocks) > MOST_BLOCKS:
            sentence = tell(
                "the {side} has {count} blocks; no face has room for more than {most_blocks}",
                side=side,
                count=len(blocks),
                most_blocks=MOST_BLOCKS,
            )
            problems.error("blocks-many", sentence, tell("take some out"), face.locate(side))
        for block in blocks:
            block.check(face.code, library, problems)


_IDLE = {
    "code": "the code '{name}' is not in force: 'codes' in edition.yaml does not list it",
    "level": "the level '{name}' is not in force: 'levels' in edition.yaml does not list it",
}


def _check_force(faces: Iterable[_Forced], library: Library, problems: ProblemLog) -> None:
    """Warn of layouts whose code or level is not in force, once for each, and of levels in force without a layout."""
    edition = library.edition
    idle: dict[tuple[str, str], list[_Forced]] = {}
    printed = set()
    for face in faces:
        level = face.key
        printed.add(level)
        if face.code in library.codes and face.code not in edition.codes:
            idle.setdefault(("code", face.code), []).append(face)
        elif level in library.fields and level not in edition.levels:
            idle.setdefault(("level", level), []).append(face)
    for (what, name), found in idle.items():
        sentence = tell(_IDLE[what], name=name)
        if len(found) > 1:
            hint = tell(
                "list it there, or take this layout out or give it another 'code' and 'level', and "
                "{more} more for it",
                more=len(found) - 1,
            )
        else:
            hint = tell("list it there, or take this layout out or give it another 'code' and 'level'")
        problems.warn(f"{what}-not-in-force", sentence, hint, found[0].locate_level(what))
    for index, level in enumerate(edition.levels):
        if level in library.fields and level not in printed:
            sentence = tell("no card or sheet is for '{level}', which is in force", level=level)
            hint = tell("add {level} to the 'for' of a layout, or take the level out", level=level)
            problems.warn("level-not-printed", sentence, hint, edition.locate("levels", index))


def _check_sets(card: CardModel, cards: Sequence[CardModel], problems: ProblemLog) -> None:
    """A set that a finder lists must have a card of the finder's code and level."""
    same = [other for other in cards if other.key == card.key]
    known = sorted({other.set_ for other in same if other.set_ not in ("", card.set_)})
    for name, where in list_sets(card).items():
        problems.need(name, known, "set", where)


def _check_numbers(cards: Iterable[CardModel], problems: ProblemLog) -> None:
    """Warn of a number that two cards of one set have."""
    first: dict[tuple[str, ...], CardModel] = {}
    told = set()
    for card in cards:
        other = first.setdefault((card.code, card.level, card.set_, card.number), card)
        if other is not card and (card.location, other.location) not in told:
            told.add((card.location, other.location))
            sentence = tell(
                "card {card} has the number {number}, as card {card2} has",
                card=card.card,
                number=card.number,
                card2=other.card,
            )
            problems.warn(
                "number-twice", sentence, tell("give each card its own number"), card.locate("number")
            )


def _check_sizes(stocks: Mapping[str, StockModel], problems: ProblemLog) -> None:
    """A card must come out of one of the papers, upright or turned."""
    papers = [sorted((stock.width, stock.height)) for stock in stocks.values() if stock.kind == "paper"]
    for name, stock in stocks.items():
        short, long = sorted((stock.width, stock.height))
        if stock.kind == "card" and papers and not any(short <= a and long <= b for a, b in papers):
            size = f"{write_tape(stock.width)} by {write_tape(stock.height)}"
            sentence = tell("'{name}', {size}, is larger than every paper", name=name, size=size)
            hint = tell("mend its width and height, or add the paper that it is cut from")
            problems.error("stock-sizes", sentence, hint, stock.locate("width"))
