"""What stands at the foot of a face: the sections that it cites, whose edition it is, through when it holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import chain

from pocketref.blocks.doubt import explain_doubt
from pocketref.blocks.kinds import Blocks, list_cited, list_cites
from pocketref.blocks.setting import Setting
from pocketref.layouts.layout_library import Layouts
from pocketref.pages.blocks import Block, Footer
from pocketref.pages.stock_models import StockModel
from pocketref.pages.stocks import content_box
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.pages.words import list_texts
from pocketref.problems import Problem
from pocketref.source.edition_models import EditionModel
from pocketref.source.library import Library
from pocketref.source.syntax.kinds import Cite
from pocketref.units.length import Length
from pocketref.words.speech import UNTRANSLATED, find_language, say, say_day
from pocketref.words.terminal import tell

SMALL_CARD = Length.from_mm(110)
"""The width under which a card has no room for the association's name in its footer."""
SECTIONS = ("Appendix", "Diagram", "Figure", "Item", "Table")
"""What parts of books are called besides by their numbers."""
ASSOCIATION_LONG = "association-long"
"""The code of the one problem behind every footer that is too wide for the association's name."""


def write_all_cites(sides: Mapping[str, Blocks], setting: Setting) -> str:
    """The sections that all sides of a card or sheet cite."""
    cites = list_cites(tuple(block for models in sides.values() for block in models), setting)
    return write_cites(cites, setting.library)


def add_meaning(foot: Footer, blocks: Blocks, setting: Setting) -> Footer:
    """The footer of a face, with what the mark of doubt means where the face has it."""
    return replace(foot, note=explain_doubt(setting.library, list_cited(blocks, setting)))


def write_cites(cites: tuple[Cite, ...], library: Library) -> str:
    """Sections by work, as a footer prints them: "HS 7-1-1, 7-3-1"; a work whose sections have no number alone."""
    by_work: dict[str, list[str]] = {}
    for cite in cites:
        sections = by_work.setdefault(library.works[cite.work].mark, [])
        if any(character.isdigit() for character in cite.section):
            sections.append(_write_section(cite.section))
    return "; ".join(f"{mark} {', '.join(sections)}".rstrip() for mark, sections in by_work.items())


def _write_section(section: str) -> str:
    """A section as it is cited in print: "diagram-2" is "Diagram 2"."""
    name, _, number = section.partition("-")
    if not (name.isalpha() and number):
        return section
    words = name.capitalize()
    return f"{say(words) if words in SECTIONS else words} {number}"


def write_edition(edition: EditionModel) -> str:
    """The edition mark and who issued it; an invented association says so."""
    names = {"association": edition.association, "edition": edition.mark}
    if edition.invented:
        return say("{association} (invented), edition {edition}", **names)
    return say("{association}, edition {edition}", **names)


def write_mark(edition: EditionModel) -> str:
    """The edition mark alone; that of an invented association says so."""
    if edition.invented:
        return say("Edition {edition} (invented)", edition=edition.mark)
    return say("Edition {edition}", edition=edition.mark)


def write_validity(edition: EditionModel) -> str:
    """Through when the edition holds."""
    return say("Valid through {day}", day=say_day(edition.valid.through))


def write_governs() -> str:
    """What every face says of itself."""
    return say("The rule book and the league govern.")


def explain_language(blocks: Iterable[Block], title: str = "") -> str:
    """Where there is a title above blocks in another language, whose the words are, and what the mark of English means.

    "" in English.
    """
    texts = (text for block in blocks for text in list_texts(block.words()))
    return " ".join(list_language_notes(chain([title], texts)))


def list_language_notes(texts: Iterable[str]) -> Iterator[str]:
    """What there is to say of the language of texts: whose it is, and where it occurs the mark of English."""
    language = find_language()
    if language is None:
        return
    if not language.is_signed_off:
        yield say("Translated from memory: not yet read by an umpire who speaks it.")
    if any(UNTRANSLATED in text for text in texts):
        yield say("{mark} In English: not translated yet.", mark=UNTRANSLATED)


def find_long_association(library: Library, layouts: Layouts, stock_name: str = "") -> Problem | None:
    """What is wrong with an association's name that some footer has no room for, told once for all of them."""
    cards = {stock_name or card.stock for card in layouts.cards}
    faces = [
        (name, layouts.styles.card_scale)
        for name in sorted(cards)
        if layouts.stocks[name].width >= SMALL_CARD
    ]
    faces += [(sheet.stock, layouts.styles.sheet_scale) for sheet in layouts.sheets]
    foot = Footer((write_edition(library.edition),), (write_validity(library.edition),))
    worst, tightest = 0.0, None
    for name, scale in dict.fromkeys(faces):
        stock = layouts.stocks[name]
        least = sizes_for(layouts.styles.list_steps(scale)[0], layouts.styles.floor_pt)
        excess = foot.excess_mm(content_box(stock).width_mm, least)
        if excess > worst:
            worst, tightest = excess, stock
    return write_long_association(worst, tightest, library) if tightest else None


def is_association_long(foot: Block, width_mm: float, sizes: TypeSizes, library: Library) -> bool:
    """Whether a footer is too wide and would not be without the association's name."""
    if not isinstance(foot, Footer) or not foot.excess_mm(width_mm, sizes):
        return False
    bare = replace(foot, left=tuple(line.replace(library.edition.association, "") for line in foot.left))
    return not bare.excess_mm(width_mm, sizes)


def write_long_association(excess_mm: float, stock: StockModel, library: Library) -> Problem:
    """That a footer has no room for the association's name, placed at the name."""
    sentence = tell(
        "'{edition}' is {excess_mm:.1f} mm too wide for the footers of {name}",
        edition=write_edition(library.edition),
        excess_mm=excess_mm,
        name=stock.name,
    )
    hint = tell("shorten the association's name, or choose a larger stock")
    return Problem(ASSOCIATION_LONG, sentence, hint, library.edition.locate("association"))
