"""Plays to mail: each as a picture with its question, and as a piece of HTML that mail programs show.

Mail programs run no script, draw no SVG, drop embedded and `data:` content, and heed only styles that stand at their
element; so a play is a table with its picture beside it as a PNG at twice its size, of fixed width, with a text in its
place. What the picture shows in words would tell the answer, so it stands behind the link to the key alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote
from xml.etree.ElementTree import Element as Tag
from xml.etree.ElementTree import tostring

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.play_proof import PlayProof
from pocketref.layouts.face_fit import make_document
from pocketref.layouts.footers import explain_language, write_edition, write_governs
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_blocks import PlayQuestion
from pocketref.layouts.play_sheets import PICTURE_PT, PlaySheet, build_question, list_legends
from pocketref.output.pdf import write_pdf
from pocketref.output.picture import draw_picture
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import BLOCK_GAP_MM, FOOT_GAP_MM, HEAD_GAP_MM, Face, compose_face
from pocketref.pages.page import Box, Element, Page, Role
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.plays.plays import RuleBooks
from pocketref.problems import refusal, suggest_match, write_unknown
from pocketref.scene.paths import enlarge
from pocketref.scene.plan_view import FigureDrawing
from pocketref.source.edition_models import EditionModel
from pocketref.source.syntax.source_text import list_few
from pocketref.units.length import INCH_MM
from pocketref.web.html_language import mark_english
from pocketref.web.html_tree import mark_bold, tag
from pocketref.words.speech import find_language, name_language, say
from pocketref.words.terminal import tell

_PIXEL_MM = INCH_MM / 96
"""A CSS pixel on paper."""
_WIDTH_PX = 600
"""As wide as mail is laid out by common practice, so that it is not cut off beside a list of messages."""
_EDGE_MM = 3.0
_MOST_MM, _MOST_TIMES = 66.0, 1.5
"""The most height of a picture, so that its play is seen without scrolling, and how much its pens may grow: our own."""
_BODY_PT = 10.4
_FONT = "font-family:Arial,Helvetica,sans-serif"
_OWN = re.compile(r"[a-z0-9-]+-play-[0-9]+(-picture)?\.(png|html)")


@dataclass(frozen=True, slots=True)
class _Mailed:
    """A play of a sheet: its number, its question, the legends to its picture, and the start of its files' names."""

    number: int
    asked: PlayQuestion
    legends: tuple[str, ...]
    name: str

    @property
    def untold(self) -> str:
        """What stands in the picture's place for who cannot see it."""
        seen = self.asked.caption[:1].lower() + self.asked.caption[1:]
        return say(
            "Picture of play {number}, {seen}. In words it would tell the answer: the key describes it.",
            number=self.number,
            seen=seen,
        )


def build_mail(name: str, plays: PlayProof, layouts: Layouts) -> Iterator[BuiltFile]:
    """For each play of a training sheet a PNG with picture and question, a PNG of the picture, and the piece of HTML.

    PocketrefError ("sheet-unknown") if there is no such sheet.
    """
    sheets = {sheet.name: sheet for sheet in plays.sheets}
    if name not in sheets:
        hint = suggest_match(name, sheets)
        raise refusal("sheet-unknown", write_unknown("training sheet", name), hint)
    sheet, edition = sheets[name], plays.books.library.edition
    mailed = [_ask(sheet, number, plays.books) for number in range(1, len(sheet.questions) + 1)]
    sizes = sizes_for(_BODY_PT, layouts.styles.floor_pt)
    for play in mailed:
        pages = [_compose(play, sheet, edition, sizes), *_cut_out(play)]
        title = say("{title}, play {number}", title=sheet.title, number=play.number)
        document = make_document(title, say("Case plays of invented teams"), pages, edition)
        pdf = write_pdf(document)
        for index, (page, end) in enumerate(zip(pages, ("", "-picture"), strict=False)):
            data = draw_picture(pdf, index, page, document.title, play.untold if end else document.subject)
            yield BuiltFile(f"{play.name}{end}.png", data)
        yield BuiltFile(f"{play.name}.html", _write_fragment(play, sheet, edition, pages[1:]))


def check_mailed(target: Path) -> None:
    """PocketrefError ("publish-target-foreign") if anything in a folder is no file that mailing a sheet writes."""
    with suppress(FileNotFoundError, NotADirectoryError):
        foreign = sorted(path.name for path in target.iterdir() if not _OWN.fullmatch(path.name))
        if foreign:
            sentence = tell(
                "{target} holds what pocketref did not write: {foreign}",
                target=target,
                foreign=list_few(foreign),
            )
            raise refusal(
                "publish-target-foreign", sentence, tell("name another folder with --out, or move that away")
            )


def _ask(sheet: PlaySheet, number: int, books: RuleBooks) -> _Mailed:
    question = sheet.questions[number - 1]
    column = build_question(number, question, books, sheet, PICTURE_PT)

    def draw(width_mm: float, height_mm: float) -> FigureDrawing | None:
        """The picture as in a column, then so many times as large, as there is room for on a screen."""
        drawing = column.picture(width_mm, height_mm)
        if drawing is None:
            return None
        times = min(width_mm / drawing.width_mm, _MOST_MM / drawing.height_mm, _MOST_TIMES)
        width, height = drawing.width_mm * times, drawing.height_mm * times
        return replace(drawing, items=enlarge(drawing.items, times), width_mm=width, height_mm=height)

    asked = replace(column, picture=draw, is_on_paper=False)
    legends = list_legends(replace(sheet, questions=(question,)))
    return _Mailed(number, asked, legends, f"{sheet.name}-play-{number}")


def _compose(play: _Mailed, sheet: PlaySheet, edition: EditionModel, sizes: TypeSizes) -> Page:
    """Picture and question on a page as wide as mail and as high as they need."""
    width = _WIDTH_PX * _PIXEL_MM - 2 * _EDGE_MM
    body: tuple[Block, ...] = (play.asked,)
    if play.legends:
        body += (Paragraphs("how to read the picture", (" ".join(play.legends),), small=True),)
    head = TitleBand(sheet.title, edition.season)
    own = f"{write_edition(edition)}. {say('Case plays of invented teams')}."
    note = explain_language(body, sheet.title)
    foot = Footer((own,), (write_governs(),), note=note)
    blocks = sum(block.measure_mm(width, sizes) for block in body) + BLOCK_GAP_MM * (len(body) - 1)
    around = head.measure_mm(width, sizes) + HEAD_GAP_MM + FOOT_GAP_MM + foot.measure_mm(width, sizes)
    box = Box(_EDGE_MM, _EDGE_MM, width, blocks + around)
    drawn = compose_face(Face("play", head, body, foot), box, sizes)
    elements = tuple(_hush(element, play.untold) for element in drawn)
    whole = Box(0, 0, width + 2 * _EDGE_MM, box.height_mm + 2 * _EDGE_MM)
    return Page(f"play {play.number}", whole.width_mm, whole.height_mm, elements, whole)


def _hush(element: Element, untold: str) -> Element:
    """The element with what its figures show left untold."""
    children = tuple(_hush(child, untold) for child in element.children)
    return replace(element, children=children, alt=untold if element.role is Role.FIGURE else element.alt)


def _cut_out(play: _Mailed) -> Iterator[Page]:
    """The picture alone on a page of its size, if the play has one."""
    drawing = play.asked.picture(_WIDTH_PX * _PIXEL_MM - 2 * _EDGE_MM, play.asked.most_picture_mm)
    if drawing:
        figure = Element(Role.FIGURE, drawing.items, alt=play.untold, label=play.asked.label)
        whole = Box(0, 0, drawing.width_mm, drawing.height_mm)
        yield Page("picture", whole.width_mm, whole.height_mm, (figure,), whole)


def _write_fragment(play: _Mailed, sheet: PlaySheet, edition: EditionModel, pictures: list[Page]) -> bytes:
    """The play as a table, its styles at their elements, in ASCII, as it does not say how it is encoded."""
    heading = play.asked.heading
    rows = [
        _write_row(
            f"{sheet.title}: {heading.badge} {heading.title}", "background:#000;color:#fff;font-size:18px"
        )
    ]
    rows += [_write_row(f"*{heading.game}.*"), *(_write_row(told) for told in play.asked.story)]
    for page in pictures:
        width, height = (str(round(side / _PIXEL_MM)) for side in (page.width_mm, page.height_mm))
        style = "display:block;max-width:100%;height:auto;border:0"
        image = tag(
            "img",
            src=quote(f"{play.name}-picture.png"),
            width=width,
            height=height,
            alt=play.untold,
            style=style,
        )
        rows += [_make_row(image), *(_write_row(each, "font-size:13px") for each in play.legends)]
    rows += [_write_row(f"*{letter}* {words}") for letter, words in play.asked.choices]
    if "address" in edition.model_fields_set:
        address = (
            f"{edition.address.rstrip('/')}/{quote(edition.mark)}/#play/{quote(sheet.name)}/{play.number}"
        )
        link = say("Choose a letter there, and see the ruling and why")
        rows.append(_make_row(tag("a", link, href=address)))
    own = f"{write_edition(edition)}. {say('Case plays of invented teams')}."
    foot = f"{own} {write_governs()} {explain_language((play.asked,), sheet.title)}".rstrip()
    rows.append(_write_row(foot, "font-size:12px;border-top:1px solid #000"))
    table = tag(
        "table",
        *rows,
        role="presentation",
        width=str(_WIDTH_PX),
        border="0",
        cellpadding="6",
        cellspacing="0",
    )
    table.set("style", f"{_FONT};font-size:15px;line-height:1.35;color:#000;background:#fff;max-width:100%")
    table.set("lang", name_language())
    if language := find_language():
        mark_english(table, language)
    written: bytes = tostring(table, encoding="us-ascii", method="html")
    return written + b"\n"


def _write_row(words: str, style: str = "") -> Tag:
    return _make_row(*mark_bold(words), style=style)


def _make_row(*nodes: Tag | str, style: str = "") -> Tag:
    cell = tag("td", *nodes, **({"style": style} if style else {}))
    row = tag("tr", cell)
    row.tail = "\n"
    return row
