"""The edition's web page: every card and sheet as text with its drawings, the rulings, and the files to download."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from urllib.parse import quote

from pocketref.blocks.doubt import write_meaning
from pocketref.edition.languages import EditionLanguage
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.edition.statement_words import write_play, write_ruling_effect, write_sources
from pocketref.layouts.cards import LaidOut, write_side
from pocketref.layouts.class_layouts import CLASSES
from pocketref.layouts.footers import list_language_notes, write_edition, write_governs, write_validity
from pocketref.layouts.for_levels import names_level
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.output.contents import figures_in, items_of
from pocketref.pages.words import Blank, Listing, Paragraph, TableWords, Word, Words
from pocketref.source.edition_models import EditionModel
from pocketref.source.field_models import DIMENSIONS, TOLERANCES, Dimension, FieldModel
from pocketref.source.library import Library
from pocketref.source.ruling_models import RowModel
from pocketref.source.statements import DOUBTFUL, Cited
from pocketref.units.notation import write_mm, write_tape
from pocketref.web.feed import FEED, INVENTED
from pocketref.web.html import write_html
from pocketref.web.html_content import WebContent, WebLink, WebLinks, WebPage, WebPart, WebSection, WebWords
from pocketref.web.language_switch import link_languages
from pocketref.web.page_data import build_page_data
from pocketref.web.plays_web import name_play_files
from pocketref.web.rules_data import address_row
from pocketref.words.speech import UNTRANSLATED, name_language, say, say_count, say_day

INDEX = "index.html"
_BESIDE = {"png": "svg", "html": "pdf"}
"""Kinds of files that are listed beside one of another kind and the same name."""


def build_web_page(
    proof: Proof,
    files: Sequence[BuiltFile],
    more: Sequence[WebSection] = (),
    first: Sequence[WebSection] = (),
    languages: Sequence[EditionLanguage] = (),
) -> BuiltFile:
    """The page over the files built so far, to which it links, and to itself in the edition's other `languages`.

    Some sections stand `first`, `more` before the downloads.

    Raises PocketrefError ("glyph-missing") if a drawing holds a character that its face cannot set.
    """
    library = proof.library
    edition = library.edition
    feed = proof.language.find_home() + FEED
    dates = say(
        "Valid from {start} through {day}", start=say_day(edition.starts), day=say_day(edition.valid.through)
    )
    invented = (say(INVENTED),) if edition.invented else ()
    meaning = write_meaning() if library.mark_doubt(*_list_told(library)) else ""
    sections = (
        *first,
        WebSection("cards", say("Pocket cards"), _list_cards(proof, files)),
        WebSection("sheets", say("Field sheets"), _list_sheets(proof, files)),
        WebSection("rulings", say("Rulings"), _list_rulings(library), _explain_rulings(edition)),
        WebSection("fields", say("Field dimensions"), _list_fields(library)),
        *more,
        WebSection("downloads", say("Downloads"), (*_list_downloads(proof, files), _write_follow(feed))),
    )
    page = WebPage(
        title=say("Edition {edition}, {association}", edition=edition.mark, association=edition.association),
        heading=edition.association,
        lead=(
            f"{_write_season(edition)} {dates}.{_write_corrected(edition)}",
            *invented,
            *list_language_notes((UNTRANSLATED,)),  # the script may set any word
            write_governs(),
        ),
        sections=tuple(section for section in sections if section.parts),
        foot=(
            f"{write_edition(edition)}. {write_validity(edition)}.",
            *([meaning] if meaning else []),
            write_governs(),
        ),
        language=name_language(),
        data=build_page_data(proof),
        feed=feed,
        others=link_languages(proof.language, languages, INDEX),
    )
    return BuiltFile(INDEX, write_html(page).encode())


def _write_corrected(edition: EditionModel) -> str:
    if not edition.bulletins:
        return ""
    return " " + say("In place of edition {edition}.", edition=edition.list_marks()[-2])


def _write_season(edition: EditionModel) -> str:
    return say("Edition {edition}, season {season}.", edition=edition.mark, season=edition.season)


def _write_follow(where: str) -> WebPart:
    feed = WebLink(where, say("Feed of the association’s editions"), say("(Atom, for a feed reader)"))
    return WebPart("downloads-feed", say("Editions to come"), (WebLinks((feed,)),))


def _list_told(library: Library) -> Iterator[Cited]:
    """The rows and figures that the page tells of, whatever cards and sheets print."""
    for code, subject in library.rulings:
        yield from library.rulings[code, subject].rows if code in library.edition.codes else ()
    for key in library.edition.levels:
        yield from (*library.fields[key].dimensions.values(), *library.fields[key].tolerances.values())


def _explain_rulings(edition: EditionModel) -> str:
    return say("Each play meets exactly one row of its table. Season {season}.", season=edition.season)


# --- cards and sheets ------------------------------------------------------------------------------------


def _list_cards(proof: Proof, files: Sequence[BuiltFile]) -> tuple[WebPart, ...]:
    library = proof.library
    models = {card.card: card for card in proof.layouts.cards}
    parts = []
    for item in proof.cards:
        card = models[item.name]
        level = f" {card.level}" if names_level(library) else ""
        mark = f"{library.codes[card.code].name}{level} {library.edition.season}"
        contents = _write_item("cards", item.own, files, library)
        parts.append(WebPart(f"card-{card.card}", card.title, contents, card.number, mark))
    return tuple(parts)


def _list_sheets(proof: Proof, files: Sequence[BuiltFile]) -> tuple[WebPart, ...]:
    library = proof.library
    models = {sheet.sheet: sheet for sheet in proof.layouts.sheets}
    parts = []
    for item in proof.sheets:
        sheet = models[item.name]
        code = f"{library.codes[sheet.code].name}, " if names_level(library) else ""
        mark = code + library.fields[sheet.key].name
        contents = _write_item("sheets", item, files, library)
        parts.append(WebPart(f"sheet-{sheet.sheet}", sheet.title, contents, tag=mark))
    return tuple(parts)


def _write_item(
    folder: str, item: LaidOut, files: Sequence[BuiltFile], library: Library
) -> tuple[WebContent, ...]:
    """What is on the faces, and the files made of them. Pages to be cut and joined are only for print."""
    pages = item.document.pages[: len(item.faces)]
    contents: list[WebContent] = []
    for face, page in zip(item.faces, pages, strict=True):
        words = tuple(
            _spare_blanks(word)
            for block in face.body
            for word in block.words()
            if not isinstance(word, Blank)
        )
        words += tuple(_spare_feet(face.foot.words(), library.edition))
        drawings = tuple(tuple(items_of([figure])) for figure in figures_in(page))
        contents.append(WebWords(words, drawings, write_side(face.name) if len(pages) > 1 else ""))
    if left := len(item.document.pages) - len(pages):
        more = say_count(
            left,
            "*{count} more page* is in the PDF, to be printed at actual size.",
            "*{count} more pages* are in the PDF, to be printed at actual size.",
        )
        contents.append(WebWords((Paragraph(more),)))
    own = f"{folder}/{item.name}.pdf"
    links = tuple(_link(file, say("PDF to print")) for file in files if _name_within(file) == own)
    return (*contents, WebLinks(links)) if links else tuple(contents)


def _spare_blanks(word: Word) -> Word:
    """A table whose blanks are left to the sheet in print: readings are typed where they are judged."""
    if not isinstance(word, TableWords):
        return word
    rows = tuple(tuple("" if isinstance(cell, Blank) else cell for cell in row) for row in word.rows)
    return replace(word, rows=rows)


def _spare_feet(words: Words, edition: EditionModel) -> Iterator[Word]:
    """A face's foot without what the page's own says for all."""
    said = {write_edition(edition), write_validity(edition), write_governs()}
    for word in words:
        if not isinstance(word, Paragraph):
            yield word
        elif lines := [line for line in word.text.split("\n") if line not in said]:
            yield Paragraph("\n".join(lines))


# --- rulings ---------------------------------------------------------------------------------------------


def _list_rulings(library: Library) -> tuple[WebPart, ...]:
    """A table for each code in force and each subject it rules on."""
    return tuple(
        _write_rulings(library, code, subject)
        for code in library.edition.codes
        for subject in library.subjects
        if (code, subject) in library.rulings
    )


def _write_rulings(library: Library, code: str, subject: str) -> WebPart:
    table, facts = library.rulings[code, subject], library.subjects[subject]
    rows = tuple(
        (
            _start_large(write_play(row.when, facts)),
            write_ruling_effect(table, row, library.mark_doubt(row)),
            *_write_source(row, library),
        )
        for row in table.rows
    )
    name = library.codes[code].name
    caption = say(
        "{subject}, {code}: what is ruled, and where it stands", subject=facts.title, code=name.lower()
    )
    columns = (say("Play"), say("Ruling"), say("Sections"), say("How sure"))
    names = tuple(address_row(code, subject, row.when) for row in table.rows)
    grid = TableWords("rulings", columns, rows, caption, is_narrow=False, row_names=names)
    notes = tuple(f"*{r.headline}:* {r.note}" for r in table.rulings.values() if r.note)
    words = (grid, Listing(notes)) if notes else (grid,)
    return WebPart(f"rulings-{code}-{subject}", facts.title, (WebWords(words),), tag=name)


def _start_large(words: str) -> str:
    return words[0].upper() + words[1:]


def _write_source(statement: RowModel | Dimension, library: Library) -> tuple[str, str]:
    """Where a statement stands, and how sure that is, with what is to be known of it."""
    sure = say(statement.confidence)
    if statement.confidence in DOUBTFUL and not library.mark_doubt(statement):
        sure = say("{sure}, and compared with the book", sure=sure)
    return write_sources(statement.source, library), "\n".join(
        [sure, statement.note] if statement.note else [sure]
    )


# --- dimensions ------------------------------------------------------------------------------------------


def _list_fields(library: Library) -> tuple[WebPart, ...]:
    return tuple(_write_field(key, library.fields[key], library) for key in library.edition.levels)


def _write_field(key: str, field: FieldModel, library: Library) -> WebPart:
    rows = [
        _write_dimension(say(DIMENSIONS[name]), value, library) for name, value in field.dimensions.items()
    ]
    rows += [
        _write_dimension(say("tolerance: {of}", of=say(TOLERANCES[name])), value, library)
        for name, value in field.tolerances.items()
    ]
    columns = (say("Dimension"), say("Value"), say("Metric"), say("Sections"), say("How sure"))
    caption = say("{level}: dimensions and tolerances", level=field.name)
    grid = TableWords("dimensions", columns, tuple(rows), caption, is_narrow=False)
    return WebPart(f"field-{key}", field.name, (WebWords((grid,)),), tag=library.codes[field.code].name)


def _write_dimension(what: str, dimension: Dimension, library: Library) -> tuple[str, ...]:
    metric = f"{write_mm(dimension.value)}\u00a0mm"
    value = f"*{write_tape(dimension.value)}{library.mark_doubt(dimension)}*"
    return (_start_large(what), value, metric, *_write_source(dimension, library))


# --- files -----------------------------------------------------------------------------------------------


def _name_files(proof: Proof) -> dict[str, str]:
    """The titles of what is in the files, by their names; of those alone that have one."""
    library = proof.library

    def write_title(layout: CardModel | SheetModel) -> str:
        level = f", {library.codes[layout.code].name} {layout.level}" if names_level(library) else ""
        return layout.title + level

    titles = {f"cards/{card.card}.pdf": f"{card.number} {write_title(card)}" for card in proof.layouts.cards}
    titles |= {f"sheets/{sheet.sheet}.pdf": write_title(sheet) for sheet in proof.layouts.sheets}
    titles |= {"sheets/what-changed.pdf": say("What changed"), "sheets/bulletin.pdf": say("Bulletin")}
    titles |= name_play_files(proof.plays)
    for each in proof.classes:
        said = {"title": each.model.title, "minutes": each.model.minutes}
        slides, notes = (
            say("{title}, {minutes} minutes: slides", **said),
            say("{title}: speaker’s notes", **said),
        )
        titles |= {f"{CLASSES}/{each.deck.name}.pdf": slides, f"{CLASSES}/{each.notes.name}.pdf": notes}
    return titles


def _list_downloads(proof: Proof, files: Sequence[BuiltFile]) -> tuple[WebPart, ...]:
    """The files by folder, named by the title of what is in them; the drawings of one thing in one line."""
    faces = {
        f"drawings/{item.name}-{page.name}.svg": (item.name, write_side(page.name).lower())
        for item in (*proof.cards, *proof.sheets)
        for page in item.own.document.pages
    }
    titles = _name_files(proof)
    folders: dict[str, list[WebLink]] = {}
    by_name = {file.name: file for file in files}
    for file in files:
        folder, _, name = _name_within(file).rpartition("/")
        stem, _, kind = file.name.rpartition(".")
        if kind in _BESIDE and f"{stem}.{_BESIDE[kind]}" in by_name:
            continue
        link = _link(file, titles.get(_name_within(file), name))
        for other, first in _BESIDE.items():
            if kind == first and f"{stem}.{other}" in by_name:
                also = _link(
                    by_name[f"{stem}.{other}"], say("web page") if other == "html" else other.upper()
                )
                link = replace(link, also=(also,))
        links = folders.setdefault(folder, [])
        item, face = faces.get(file.name, ("", ""))
        if item and links and links[-1].words.startswith(f"{item} "):
            links[-1] = replace(links[-1], also=(*links[-1].also, replace(link, words=face)))
        else:
            links.append(replace(link, words=f"{item} {face}") if item else link)
    return tuple(
        WebPart(
            f"downloads-{quote(folder, safe='') or 'edition'}",
            _name_folder(folder),
            (WebLinks(tuple(links)),),
        )
        for folder, links in folders.items()
    )


def _name_within(file: BuiltFile) -> str:
    """A file's name from the folder of its language on, also of one that is there once for all languages."""
    return file.name.removeprefix("../")


def _name_folder(folder: str) -> str:
    names = {
        "": say("The edition"),
        "cards": say("Cards to print"),
        "sheets": say("Field sheets to print"),
        "drawings": say("Drawings"),
        "plays": say("Case plays"),
        CLASSES: say("Classes to project"),
        "press": say("For the print shop"),
    }
    return names.get(folder, folder.capitalize())


def _link(file: BuiltFile, words: str) -> WebLink:
    size = f"{-(-len(file.data) // 1000)} kB"
    if not file.pages:
        return WebLink(quote(file.name), words, f"({size})")
    note = say_count(file.pages, "({count} page, {size})", "({count} pages, {size})", size=size)
    return WebLink(quote(file.name), words, note)
