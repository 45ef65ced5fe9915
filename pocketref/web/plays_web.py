"""Training sheets and their keys as web pages to mail out: each a single file that needs no other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from urllib.parse import quote

from pocketref.blocks.doubt import explain_doubt
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.play_proof import PlayProof
from pocketref.layouts.answer_sheets import ANSWERS
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.play_blocks import PlayQuestion
from pocketref.layouts.play_sheets import (
    PICTURE_PT,
    PlaySheet,
    build_entry,
    build_mechanics,
    build_question,
    list_key_cited,
    list_legends,
)
from pocketref.pages.words import Blank, FigureWords, Paragraph, TableWords
from pocketref.plays.plays import RuleBooks
from pocketref.scene.items import Item
from pocketref.source.library import Library
from pocketref.web.feed import INVENTED
from pocketref.web.html import write_html
from pocketref.web.html_content import WebContent, WebLink, WebLinks, WebPage, WebPart, WebSection, WebWords
from pocketref.words.speech import count

PLAYS = "plays"
_PICTURE_MM = (88.0, 66.0)
"""Room for a picture: at its least type it is no wider than a phone."""
_FORMS = (
    ("", ".html", "Questions, web page"),
    ("-key", ".html", "Instructor’s key, web page"),
    ("", ".pdf", "Questions to print"),
    (ANSWERS, ".pdf", "Answer sheet to print or fill in"),
    ("-key", ".pdf", "Instructor’s key to print"),
)


def build_play_pages(plays: PlayProof) -> Iterator[BuiltFile]:
    """plays/<sheet>.html and plays/<sheet>-key.html for every training sheet.

    Raises PocketrefError ("glyph-missing") if a picture holds a character that its face cannot set.
    """
    for sheet in plays.sheets:
        questions = _ask(sheet, plays.books)
        for name, page in (
            (sheet.name, write_questions(sheet, plays.books, questions)),
            (f"{sheet.name}-key", write_key(sheet, plays.books, questions)),
        ):
            yield BuiltFile(f"{PLAYS}/{name}.html", write_html(page).encode())


def _ask(sheet: PlaySheet, books: RuleBooks) -> tuple[PlayQuestion, ...]:
    """Each play as it is asked; its picture is drawn once for the questions and the key."""
    questions = enumerate(sheet.questions, start=1)
    return tuple(build_question(number, each, books, sheet, PICTURE_PT) for number, each in questions)


def write_questions(sheet: PlaySheet, books: RuleBooks, questions: Sequence[PlayQuestion]) -> WebPage:
    """The questions: each play's story, picture and choices, with nothing that tells the answer."""
    parts = []
    for number, asked in enumerate(questions, start=1):
        # What the picture shows in words would tell the answer, so all readers see it in the key alone.
        content = WebWords(asked.words(), _draw_picture(asked), is_told=False, is_black_on_white=True)
        parts.append(WebPart(f"play-{number}", asked.heading.title, (content,), f"{number}"))
    blanks = (Blank("Name"), Blank("Date"), Blank(f"Right, of {len(parts)}"))
    advice = "*Choose one ruling a play.* The page keeps no answers: print it, or note the letters."
    legends = (Paragraph(each) for each in (advice, *list_legends(sheet)))
    begin = WebPart("begin", "Before you begin", (WebWords((*blanks, *legends)),))
    plays = WebSection("plays", "Plays", tuple(parts), is_close=True)
    return _make_page(
        sheet,
        books.library,
        sheet.title,
        "Case plays of invented teams",
        (WebSection("start", "Your sheet", (begin,), is_close=True), plays),
    )


def write_key(sheet: PlaySheet, books: RuleBooks, questions: Sequence[PlayQuestion]) -> WebPage:
    """The key: letters at a glance, each ruling with section, way, mechanics and other codes, and how to enforce."""
    parts, rows = [], []
    for number, (question, asked) in enumerate(zip(sheet.questions, questions, strict=True), start=1):
        entry = build_entry(number, question, books)
        story, *answer = entry.words()
        picture = _write_picture(asked)
        contents = (WebWords((story,)), *picture, WebWords(tuple(answer)))
        mark = f"Answer {question.letter}"
        parts.append(WebPart(f"play-{number}", entry.heading.title, contents, f"{number}", mark))
        ruling = question.ruled.answer.ruling.headline
        rows.append((f"{number} {entry.heading.title}", f"*{question.letter}*", ruling))
    glance = WebWords(
        (TableWords("answers", ("Play", "Answer", "Ruling"), tuple(rows), "Letter and ruling"),)
    )
    sections = [
        WebSection("glance", "Answers", (WebPart("answers", "At a glance", (glance,)),)),
        WebSection("plays", "Plays", tuple(parts), is_close=True),
    ]
    if mechanics := tuple(word for block in build_mechanics(sheet, books) for word in block.words()):
        part = WebPart("enforce", "How to enforce", (WebWords(mechanics),))
        sections.append(WebSection("mechanics", "Mechanics", (part,), is_close=True))
    title = f"Key: {sheet.title}"
    what = "Key computed from the decision tables"
    meaning = explain_doubt(books.library, list_key_cited(sheet, books))
    return _make_page(sheet, books.library, title, what, tuple(sections), meaning)


def _draw_picture(asked: PlayQuestion) -> tuple[tuple[Item, ...], ...]:
    """The play's picture at a size for a screen, if it has one."""
    drawing = asked.picture(*_PICTURE_MM)
    return (drawing.items,) if drawing else ()


def _write_picture(asked: PlayQuestion) -> tuple[WebWords, ...]:
    return tuple(
        WebWords((word,), _draw_picture(asked), is_black_on_white=True)
        for word in asked.words()
        if isinstance(word, FigureWords)
    )


def _make_page(
    sheet: PlaySheet,
    library: Library,
    title: str,
    what: str,
    sections: tuple[WebSection, ...],
    meaning: str = "",
) -> WebPage:
    edition, model = library.edition, sheet.model
    code, field = library.codes[model.code].name, library.fields[f"{model.code}-{model.level}"].name
    invented = (INVENTED,) if edition.invented else ()
    what_rules = f"Rule by the {code.lower()} code, season {edition.season}. Field in the pictures: {field}."
    return WebPage(
        title=f"{title}, {edition.association}, {edition.season}",
        heading=title,
        sections=sections,
        lead=(f"{edition.association}. {what_rules}", *invented),
        foot=(
            f"{write_edition(edition)}. {what}. {write_validity(edition)}.",
            *([meaning] if meaning else []),
            write_governs(),
        ),
    )


# --- on the edition's page -----------------------------------------------------------------------------------


def write_plays_section(plays: PlayProof, files: Sequence[BuiltFile]) -> WebSection:
    """For the edition's page: every training sheet that a layout asks for, and its files; a series in one part."""
    sheets: dict[str, list[PlaySheet]] = {}
    for sheet in plays.sheets:
        sheets.setdefault(sheet.model.sheet, []).append(sheet)
    sizes = {file.name: len(file.data) for file in files}
    parts = []
    for name, own in sheets.items():
        contents: list[WebContent] = [WebWords((Paragraph(_write_plays(own)),))]
        contents += [
            WebLinks(_link_forms(sheet, f"Sheet {number}: " if len(own) > 1 else "", sizes))
            for number, sheet in enumerate(own, start=1)
        ]
        mark = plays.books.library.codes[own[0].model.code].name
        parts.append(WebPart(f"plays-{name}", own[0].model.title, tuple(contents), tag=mark))
    return WebSection(PLAYS, "Case plays", tuple(parts), is_close=True)


def name_play_files(plays: PlayProof) -> dict[str, str]:
    """What each file of the training sheets is called where files are listed."""
    return {
        f"{PLAYS}/{sheet.name}{end}{kind}": f"{sheet.title}: {words[0].lower()}{words[1:]}"
        for sheet in plays.sheets
        for end, kind, words in _FORMS
    }


def _write_plays(sheets: Sequence[PlaySheet]) -> str:
    said = count(sum(len(sheet.questions) for sheet in sheets), "play")
    if len(sheets) > 1:
        said += f" on {len(sheets)} sheets, none asked twice"
    return f"{said}. Keys are for the instructor, and computed from the decision tables that the cards print from."


def _link_forms(sheet: PlaySheet, which: str, sizes: dict[str, int]) -> tuple[WebLink, ...]:
    """The sheet's files that there are, each link saying which it is."""
    names = [(f"{PLAYS}/{sheet.name}{end}{kind}", words) for end, kind, words in _FORMS]
    return tuple(
        WebLink(quote(name), f"{which}{words}", f"({-(-sizes[name] // 1000)} kB)")
        for name, words in names
        if name in sizes
    )
