"""The review sheet: what is in doubt, by book and section, to be compared with the book and signed off.

The PDF is to tick; the CSV is to fill, and makes the entries of compared.yaml.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from pocketref.blocks.doubt import write_meaning
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.proof import Proof
from pocketref.edition.statement_words import find_faces, write_sources, write_statement
from pocketref.layouts.cards import lay_out_flow
from pocketref.layouts.footers import write_edition, write_governs
from pocketref.layouts.play_sheets import list_key_cited
from pocketref.output.files import publish_folder
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.problems import refusal
from pocketref.source.library import Library
from pocketref.source.statements import COMPARED, DOUBTFUL, Statement
from pocketref.source.syntax.kinds import HOUSE
from pocketref.words.speech import say
from pocketref.words.terminal import tell, tell_count

FILLED = ("agrees", "role", "date")
HEADS = (
    "number", "book", "edition", "section", "we say", "stands on", "how sure", "place", "statement", "mark", *FILLED
)  # fmt: skip
"""The columns of the CSV, which has them in the language in force; the last three are to be filled in."""


@dataclass(frozen=True, slots=True)
class ReviewLine:
    """A statement to compare with one of the books that it cites."""

    number: int
    book: str
    section: str
    statement: Statement
    says: str
    faces: tuple[str, ...]


def list_doubts(proof: Proof) -> Iterator[tuple[Statement, tuple[str, ...]]]:
    """Each statement in doubt, with where it is printed: faces and keys as their blocks say, else the web page."""
    faces = find_faces(proof.library, proof.layouts)
    for sheet in proof.plays.sheets:
        for cited in list_key_cited(sheet, proof.plays.books):
            known = faces.setdefault(id(cited), [])
            known += [] if say("keys to plays") in known else [say("keys to plays")]
    for statement in proof.library.doubts:
        yield statement, tuple(faces.get(id(statement.model), ())) or (say("web page"),)


def list_review(proof: Proof) -> tuple[ReviewLine, ...]:
    """What is to be compared, by book in the order of works.yaml and by section; what cites two books, with each."""
    library = proof.library
    found = []
    for statement, faces in list_doubts(proof):
        for book in statement.books:
            cites = tuple(cite for cite in statement.model.source if cite.work == book)
            sections = [] if book == HOUSE else list(library.works[book].sections)
            places = [sections.index(cite.section) for cite in cites if cite.section in sections]
            place = min(places, default=0)
            found.append((([*library.works, HOUSE].index(book), place), book, cites, statement, faces))
    found.sort(key=lambda each: each[0])
    return tuple(
        ReviewLine(number, book, write_sources(cites, library), each, write_statement(each, library), faces)
        for number, (_, book, cites, each, faces) in enumerate(found, 1)
    )


def write_doubts(proof: Proof) -> list[str]:
    """A line for each statement in doubt: its place, how sure it is, what it says, and where it is printed."""
    lines = []
    for found, faces in list_doubts(proof):
        words = write_statement(found, proof.library).replace("*", "")
        where = found.model.location or found.name
        lines.append(f"{where}: {tell(found.model.confidence)}: {words} ({', '.join(faces)})")
    return lines


def summarize_doubts(library: Library) -> str:
    """How much is in doubt, and what to do about it; "" if nothing is."""
    if not library.doubts:
        return ""
    sure = [statement.model.confidence for statement in library.doubts]
    counts = (f"{sure.count(each)} {tell(each)}" for each in DOUBTFUL if each in sure)
    return tell_count(
        len(sure),
        "{count} statement is in doubt and marked in print ({kinds}); --from-memory lists what, --review FOLDER "
        "writes sheets to compare it with the books.",
        "{count} statements are in doubt and marked in print ({kinds}); --from-memory lists what, --review FOLDER "
        "writes sheets to compare it with the books.",
        kinds=", ".join(counts),
    )


# --- the sheets --------------------------------------------------------------------------------------------


def build_review(proof: Proof, paper: str) -> dict[str, bytes]:
    """review.pdf and review.csv by name; PocketrefError as `lay_out_flow`, or if nothing is in doubt."""
    lines = list_review(proof)
    if not lines:
        raise refusal("review-empty", tell("nothing is in doubt"), tell("there is nothing to compare"))
    flow = _make_flow(lines, proof.library)
    edition = proof.library.edition
    title = say("To compare with the books")
    laid_out = lay_out_flow("review", title, (flow,), paper, proof.layouts, edition)
    pdf = build_pdf("review", laid_out.document, laid_out.floor_pt)
    return {pdf.name: pdf.data, "review.csv": _write_csv(lines, proof.library).encode()}


def write_review(proof: Proof, paper: str, folder: Path) -> None:
    """Put the sheets into a new or an empty folder; PocketrefError "folder-not-empty", and as `publish_folder`."""
    if folder.is_dir() and any(folder.iterdir()):
        sentence = tell("the folder {folder} is not empty", folder=folder.resolve())
        raise refusal("folder-not-empty", sentence, tell("name a new folder, or an empty one"))
    publish_folder(folder, build_review(proof, paper))


def _make_flow(lines: Sequence[ReviewLine], library: Library) -> Flow:
    def write_foot(page: int, pages: int) -> Footer:
        return Footer(
            (write_edition(library.edition),),
            (write_governs(), say("page {page} of {pages}", page=page, pages=pages)),
            note=write_meaning(),
        )

    steps = Paragraphs(
        "steps",
        (
            say(
                "Read each section in the book in force. Tick what agrees with it; write beside it what does not."
            ),
            say(
                "Sign off in content/{file}, by role and date: review.csv, filled in, writes the entries.",
                file=COMPARED,
            ),
        ),
        kind="steps",
    )
    named = ("Compared by", "Date", "Edition of the book")
    labels = say("Compared by (role)"), say("Date"), say("Edition of the book")
    blocks: list[Block] = [steps, Blanks(labels, 3, named)]
    columns = (
        Column("", "end"),
        Column(say("Agrees"), "middle", 13.0),
        Column(say("Section"), width_mm=22.0),
        Column(say("We say"), flex=True),
        Column(say("Stands on"), width_mm=30.0),
    )
    for book, group in groupby(lines, key=lambda line: line.book):
        rows = tuple(_write_row(line) for line in group)
        blocks.append(TableBlock(f"review {book}", columns, rows, _name_book(book, library), grows=False))
    title = TitleBand(say("To compare with the books"), library.edition.season)
    return Flow("review sheet", title, write_foot, (tuple(blocks),))


def _name_book(book: str, library: Library) -> str:
    if book == HOUSE:
        return say("Our own words: does the association stand by them?")
    work = library.works[book]
    return f"{work.title} ({work.mark}), {work.edition}"


def _write_row(line: ReviewLine) -> tuple[Cell, ...]:
    tip = say("{number} agrees with the book", number=line.number)
    tick = Cell(field_name=f"agrees {line.number}", tooltip=tip, is_tick=True)
    faces = ", ".join(line.faces)
    return (Cell(f"{line.number}"), tick, Cell(line.section), Cell(line.says), Cell(faces))


def _write_csv(lines: Sequence[ReviewLine], library: Library) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(say, HEADS))
    for line in lines:
        edition = library.editions[line.book]
        statement, model = line.statement, line.statement.model
        what = (line.number, line.book, edition, line.section, line.says.replace("*", ""))
        where = ("; ".join(line.faces), say(model.confidence), model.location or "", statement.name)
        writer.writerow((*what, *where, statement.mark, *("" for _ in FILLED)))
    return text.getvalue()
