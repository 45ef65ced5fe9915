"""Training sheets and their keys as web pages to mail out: each a single file that needs no other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from urllib.parse import quote

from pocketref.blocks.doubt import explain_doubt
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.play_proof import PlayProof
from pocketref.layouts.answer_sheets import ANSWERS
from pocketref.layouts.footers import list_language_notes, write_edition, write_governs, write_validity
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
from pocketref.pages.words import Blank, FigureWords, Paragraph, TableWords, list_texts
from pocketref.plays.plays import RuleBooks
from pocketref.scene.items import Item
from pocketref.source.library import Library
from pocketref.web.feed import INVENTED
from pocketref.web.html import write_html
from pocketref.web.html_content import (
    WebContent,
    WebLanguage,
    WebLink,
    WebLinks,
    WebPage,
    WebPart,
    WebSection,
    WebWords,
)
from pocketref.words.speech import name_language, say, say_count

PLAYS = "plays"
_PICTURE_MM = (88.0, 66.0)
"""Room for a picture: at its least type it is no wider than a phone."""


def build_play_pages(
    plays: PlayProof, link: Callable[[str], tuple[WebLanguage, ...]] = lambda _: ()
) -> Iterator[BuiltFile]:
    """plays/<sheet>.html and plays/<sheet>-key.html for every training sheet.

    `link` lists the page of a name in the edition's other languages.

    Raises PocketrefError ("glyph-missing") if a picture holds a character that its face cannot set.
    """
    for sheet in plays.sheets:
        questions = _ask(sheet, plays.books)
        for end, page in (
            ("", write_questions(sheet, plays.books, questions)),
            ("-key", write_key(sheet, plays.books, questions)),
        ):
            name = f"{PLAYS}/{sheet.name}{end}.html"
            yield BuiltFile(name, write_html(replace(page, others=link(name))).encode())


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
    blanks = (Blank(say("Name")), Blank(say("Date")), Blank(say("Right, of {all}", all=len(parts))))
    advice = say("*Choose one ruling a play.* The page keeps no answers: print it, or note the letters.")
    legends = (Paragraph(each) for each in (advice, *list_legends(sheet)))
    begin = WebPart("begin", say("Before you begin"), (WebWords((*blanks, *legends)),))
    plays = WebSection("plays", say("Plays"), tuple(parts), is_close=True)
    return _make_page(
        sheet,
        books.library,
        sheet.title,
        say("Case plays of invented teams"),
        (WebSection("start", say("Your sheet"), (begin,), is_close=True), plays),
    )


def write_key(sheet: PlaySheet, books: RuleBooks, questions: Sequence[PlayQuestion]) -> WebPage:
    """The key: letters at a glance, each ruling with section, way, mechanics and other codes, and how to enforce."""
    parts, rows = [], []
    for number, (question, asked) in enumerate(zip(sheet.questions, questions, strict=True), start=1):
        entry = build_entry(number, question, books)
        story, *answer = entry.words()
        picture = _write_picture(asked)
        contents = (WebWords((story,)), *picture, WebWords(tuple(answer)))
        mark = say("Answer {letter}", letter=question.letter)
        parts.append(WebPart(f"play-{number}", entry.heading.title, contents, f"{number}", mark))
        ruling = question.ruled.answer.ruling.headline
        rows.append((f"{number} {entry.heading.title}", f"*{question.letter}*", ruling))
    columns = (say("Play"), say("Answer"), say("Ruling"))
    glance = WebWords((TableWords("answers", columns, tuple(rows), say("Letter and ruling")),))
    sections = [
        WebSection("glance", say("Answers"), (WebPart("answers", say("At a glance"), (glance,)),)),
        WebSection("plays", say("Plays"), tuple(parts), is_close=True),
    ]
    if mechanics := tuple(word for block in build_mechanics(sheet, books) for word in block.words()):
        part = WebPart("enforce", say("How to enforce"), (WebWords(mechanics),))
        sections.append(WebSection("mechanics", say("Mechanics"), (part,), is_close=True))
    title = say("Key: {title}", title=sheet.title)
    what = say("Key computed from the decision tables")
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
    invented = (say(INVENTED),) if edition.invented else ()
    what_rules = say(
        "Rule by the {code} code, season {season}. Field in the pictures: {field}.",
        code=code.lower(),
        season=edition.season,
        field=field,
    )
    contents = (content for section in sections for part in section.parts for content in part.contents)
    texts = (
        text for content in contents if isinstance(content, WebWords) for text in list_texts(content.words)
    )
    return WebPage(
        title=f"{title}, {edition.association}, {edition.season}",
        heading=title,
        sections=sections,
        lead=(f"{edition.association}. {what_rules}", *invented),
        foot=(
            f"{write_edition(edition)}. {what}. {write_validity(edition)}.",
            *([meaning] if meaning else []),
            *list_language_notes((title, *texts)),
            write_governs(),
        ),
        language=name_language(),
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
            WebLinks(_link_forms(sheet, number if len(own) > 1 else 0, sizes))
            for number, sheet in enumerate(own, start=1)
        ]
        mark = plays.books.library.codes[own[0].model.code].name
        parts.append(WebPart(f"plays-{name}", own[0].model.title, tuple(contents), tag=mark))
    return WebSection(PLAYS, say("Case plays"), tuple(parts), is_close=True)


def name_play_files(plays: PlayProof) -> dict[str, str]:
    """What each file of the training sheets is called where files are listed."""
    return {
        f"{PLAYS}/{sheet.name}{end}": f"{sheet.title}: {words[0].lower()}{words[1:]}"
        for sheet in plays.sheets
        for end, words in _list_forms().items()
    }


def _list_forms() -> dict[str, str]:
    """What there is of a sheet, by how the name of its file ends."""
    return {
        ".html": say("Questions, web page"),
        "-key.html": say("Instructor’s key, web page"),
        ".pdf": say("Questions to print"),
        f"{ANSWERS}.pdf": say("Answer sheet to print or fill in"),
        "-key.pdf": say("Instructor’s key to print"),
    }


def _write_plays(sheets: Sequence[PlaySheet]) -> str:
    plays = sum(len(sheet.questions) for sheet in sheets)
    said = say_count(plays, "{count} play.", "{count} plays.")
    if len(sheets) > 1:
        said = say("{plays} plays on {sheets} sheets, none asked twice.", plays=plays, sheets=len(sheets))
    keys = say(
        "Keys are for the instructor, and computed from the decision tables that the cards print from."
    )
    return f"{said} {keys}"


def _link_forms(sheet: PlaySheet, number: int, sizes: dict[str, int]) -> tuple[WebLink, ...]:
    """The sheet's files that there are, each link saying which it is, by its number where there are several."""
    links = []
    for end, words in _list_forms().items():
        name = f"{PLAYS}/{sheet.name}{end}"
        which = say("Sheet {number}: {what}", number=number, what=words) if number else words
        if name in sizes:
            links.append(WebLink(quote(name), which, f"({-(-sizes[name] // 1000)} kB)"))
    return tuple(links)
