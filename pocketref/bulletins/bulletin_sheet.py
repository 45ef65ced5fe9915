"""The bulletin on one page: what changed, which cards it concerns, what to do with them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from pocketref.blocks.qr import build_qr
from pocketref.bulletins.bulletin import Bulletin, ConcernedCard
from pocketref.changes.change_set import EDITION, GROUPS, Change
from pocketref.changes.change_sheet import write_what
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import LaidOut, lay_out_flow, write_side
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.layout_library import Layouts
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.problems import PocketrefError, Problem
from pocketref.source.library import Library
from pocketref.words.speech import find_language, join_words, say, say_count, say_day
from pocketref.words.terminal import tell, tell_count

BULLETIN_SHEET = "sheets/bulletin"
"""Its name within an edition, without the ending."""
_ROWS = (1000, 12, 8, 5, 3, 1, 0)
"""How many changes are told on the page, the first of these with which it is one."""
CARDS = "Cards to change, by the mark at the foot"
_LEFT_OUT = (EDITION,)


def build_bulletin_sheet(
    bulletin: Bulletin,
    library: Library,
    layouts: Layouts,
    paper: str,
    earlier: EarlierFiles | None = None,
    *,
    is_published: bool = True,
) -> BuiltFile:
    """The sheet as a PDF, read back; raises as `lay_out_bulletin`, or if it is not printed as asked for."""
    laid_out = lay_out_bulletin(bulletin, library, layouts, paper, is_published=is_published)
    built = build_pdf(BULLETIN_SHEET, laid_out.document, laid_out.floor_pt, earlier)
    cards = tell_count(len(bulletin.cards), "{count} card to change", "{count} cards to change")
    return replace(built, report=f"{built.report}; {bulletin.changes.headline} {cards}")


def lay_out_bulletin(
    bulletin: Bulletin, library: Library, layouts: Layouts, paper: str, *, is_published: bool = True
) -> LaidOut:
    """One page of a paper, with the edition's QR code and digest only if it is published with an edition.

    PocketrefError ("bulletin-long") if it takes two.
    """
    edition, model = bulletin.edition, bulletin.model
    foot = Footer((write_edition(edition),), (write_governs(), write_validity(edition)))
    head = TitleBand(write_title(bulletin), say_day(model.date))
    code = (
        build_qr(library)
        if is_published
        else Paragraphs(
            "not published",
            (say("To be looked at: it is published with the edition, and then has its digest."),),
        )
    )
    versions = [
        Flow("bulletin", head, lambda *_: foot, ((*build_bulletin_blocks(bulletin, most, is_short), code),))
        for is_short, most in product((False, True), _ROWS)
    ]
    laid_out = lay_out_flow("bulletin", write_title(bulletin), versions, paper, layouts, edition)
    if len(laid_out.document.pages) > 1:
        sentence = tell(
            "bulletin {number} takes {count} pages of {paper}, and has one",
            number=model.number,
            count=len(laid_out.document.pages),
            paper=paper,
        )
        hint = tell("take larger paper, shorten its reason, or publish what changed as an edition of its own")
        raise PocketrefError([Problem("bulletin-long", sentence, hint, model.location)])
    return laid_out


def write_title(bulletin: Bulletin) -> str:
    """What it is, such as "Bulletin 1 to edition 2027"."""
    number, edition = bulletin.model.number, bulletin.edition.edition
    return say("Bulletin {number} to edition {edition}", number=number, edition=edition)


def build_bulletin_blocks(
    bulletin: Bulletin, most: int = _ROWS[0], is_short: bool = False
) -> tuple[Block, ...]:
    """What stands between title and code: at most so many changes, and cards in short if there is little room."""
    cards = _list_cards(bulletin, is_short)
    return (*_tell(bulletin), *_list_changes(bulletin, most), *cards, *_list_steps(bulletin))


def _tell(bulletin: Bulletin) -> Iterator[Block]:
    day, marks = say_day(bulletin.model.date), bulletin.changes
    lead = say(
        "From {day} edition *{new}* is in force in place of {old}.", day=day, new=marks.new, old=marks.old
    )
    yield Paragraphs("reason", (f"{lead} {bulletin.model.reason}",))
    yield Paragraphs("in short", (bulletin.changes.summary,))


def _list_changes(bulletin: Bulletin, most: int) -> Iterator[Block]:
    """A table a group; what has no room is counted."""
    changes, left = bulletin.changes, most
    columns = tuple(
        Column(header, flex=True)
        for header in (
            say("What"),
            say("Until now, {old}", old=changes.old),
            say("From now on, {new}", new=changes.new),
        )
    )
    for name, found in changes.groups.items():
        shown = () if name in _LEFT_OUT else found[:left]
        left -= len(shown)
        if shown:
            rows = tuple(tuple(map(Cell, _write_row(change))) for change in shown)
            yield TableBlock(name, columns, rows, say(GROUPS[name]), grows=False)
    told = sum(len(found) for name, found in changes.groups.items() if name not in _LEFT_OUT)
    if more := told - (most - left):
        words = say_count(
            more,
            "*{count} more change is on the sheet “What changed”.*",
            "*{count} more changes are on the sheet “What changed”.*",
        )
        yield Paragraphs("more changes", (words,))


def _write_row(change: Change) -> tuple[str, str, str]:
    """What is now in bold, unless it has its own."""
    none = say("none")
    now = replace(change, new=change.new if "*" in change.new else f"*{change.new or none}*")
    return write_what(change), change.old or none, now.write_new()


def _list_cards(bulletin: Bulletin, is_short: bool) -> Iterator[Block]:
    """The cards to take out, a row each or, in short, a row for those to treat alike; and which hold."""
    columns = (Column(say("Card"), flex=True), Column(say("No longer holds")), Column(say("Holds")))
    rows: dict[tuple[str, str], list[str]] = {}
    for concerned in bulletin.cards:
        marks = concerned.withdrawn, bulletin.list_holding(concerned)
        key = ", ".join(marks[0]), ", ".join(marks[1])
        rows.setdefault(key, []).append(write_card(concerned))
    if rows:
        cells = [
            (names, *key)
            for key, cards in rows.items()
            for names in (["; ".join(cards)] if is_short else cards)
        ]
        table = tuple(tuple(map(Cell, row)) for row in cells)
        yield TableBlock("cards", columns, table, say(CARDS), grows=False)
    yield Paragraphs("what holds", write_holding(bulletin), "" if rows else say("Cards and sheets"))


def write_card(concerned: ConcernedCard) -> str:
    """A card's number and title, and which of its faces changed."""
    faces = join_words([write_side(face).lower() for face in concerned.faces])
    return f"*{concerned.number}* {concerned.title}, {faces}"


def write_holding(bulletin: Bulletin) -> tuple[str, ...]:
    """Which cards hold as they are, and which field and training sheets are to be printed anew."""
    titles, added, training = (
        "; ".join(f"*{title}*" for title in found)
        for found in (bulletin.sheets, bulletin.added, bulletin.training)
    )
    anew = say("No field sheet shows any of this.")
    if titles or added:
        told = say("Print anew, and throw the old away: {titles}.", titles=titles) if titles else ""
        new = say("New, to print: {titles}.", titles=added) if added else ""
        anew = " ".join(filter(None, (told, new)))
    elif _list_outdated(bulletin):
        anew = say("No field sheet shows any of this but what it says of the edition.")
    taught = say(
        "Train by the new ones, keys too, of {training}: what they ask, answer or show changed.",
        training=training,
    )
    gone = say("No longer among cards and sheets, and not compared: {names}.", names="; ".join(bulletin.gone))
    return (
        *([gone] if bulletin.gone else ()),
        *([_write_held(bulletin)] if bulletin.held else ()),
        anew,
        *([taught] if training else ()),
    )


def _write_held(bulletin: Bulletin) -> str:
    """Which cards hold, what of them is as it was, and what of that is supposed."""
    marks, said = join_words(bulletin.earlier, is_or=True), join_words(_list_outdated(bulletin))
    is_rest = bool(bulletin.cards or bulletin.gone)
    if said and is_rest:
        held = say(
            "Every other card marked {marks} holds: nothing changed of what it shows but what it says of the "
            "edition: {said}.",
            marks=marks,
            said=said,
        )
    elif said:
        held = say(
            "Every card marked {marks} holds: nothing changed of what it shows but what it says of the "
            "edition: {said}.",
            marks=marks,
            said=said,
        )
    elif is_rest:
        held = say("Every other card marked {marks} holds: nothing changed of what it shows.", marks=marks)
    else:
        held = say("Every card marked {marks} holds: nothing changed of what it shows.", marks=marks)
    unknown = (
        "" if bulletin.knows_layouts else say("layouts"),
        say("pictures") if bulletin.shows_pictures else "",
        say("translations") if find_language() else "",
    )
    supposed = join_words(list(filter(None, unknown)))
    return (
        f"{held} {say('This supposes that {supposed} are as they were.', supposed=supposed)}"
        if supposed
        else held
    )


def _list_outdated(bulletin: Bulletin) -> list[str]:
    """What cards and sheets say of the edition that was otherwise in some earlier one of the season."""
    now, before = bulletin.edition, bulletin.before
    otherwise = {
        say("its association"): any(each.association != now.association for each in before),
        say("that it is invented"): any(bool(each.invented) != bool(now.invented) for each in before),
        say("its address"): any(each.address != now.address for each in before),
        say("its season"): any(each.season != now.season for each in before),
        say("its last day"): any(each.valid.through != now.valid.through for each in before),
    }
    return [what for what, is_otherwise in otherwise.items() if is_otherwise]


def _list_steps(bulletin: Bulletin) -> Iterator[Block]:
    """What the holder of the old cards does."""
    if not bulletin.cards:
        return
    stuck: dict[str, list[str]] = {}
    for card in bulletin.cards:
        if marks := card.list_stuck():
            stuck.setdefault(join_words(marks, is_or=True), []).append(card.number)
    told = "; ".join(
        say("card {numbers} marked {marks}", numbers=", ".join(numbers), marks=marks)
        for marks, numbers in stuck.items()
    )
    steps = (
        say("Look at the mark at the foot of the front of each card named above."),
        say("Take out each whose mark no longer holds. Cut it in two, so that nobody rules by it."),
        say(
            "Put in one marked {mark}. Until you have it, keep this page with your set.",
            mark=bulletin.edition.mark,
        ),
        say("Stickers do for {cards}: stick them over the old words and the old mark.", cards=told)
        if told
        else "",
    )
    yield Paragraphs("what to do", tuple(filter(None, steps)), say("What to do"), "steps")
