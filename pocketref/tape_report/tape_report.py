"""The drawn report of taped readings, and where it may be written: never over a file that is anything else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.cards import LaidOut, lay_out_flow
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.layout_library import Layouts, read_papers
from pocketref.output.reading.filled_sheet import read_subject
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.figure_block import FigureBlock
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.problems import Location, explain_refusal, refusal
from pocketref.scene.figures.tape_figure import draw_tape_report
from pocketref.scene.plan_view import FigureDrawing
from pocketref.source.library import Library
from pocketref.tape.mound_readings import JudgedMound
from pocketref.tape.readings import Reading
from pocketref.tape.verdicts import FoundStation, PlaceVerdict, Residual, TapeReport
from pocketref.tape_report.tape_file import JudgedFile
from pocketref.tape_report.tape_words import (
    CAUTION,
    OURS,
    write_all,
    write_heights,
    write_how,
    write_pulls,
    write_reading,
)
from pocketref.units.notation import write_measured, write_tape
from pocketref.words.speech import say
from pocketref.words.terminal import tell

REPORT_SUBJECT = "tape report, edition "
"""How the subject starts that every tape report carries among its properties."""
_MOST_BYTES = 20_000_000
_SMALLEST = 1000


def check_report_place(report: Path, readings: Path) -> None:
    """Raises PocketrefError if writing a report to that path would lose something else.

    It must end in .pdf, not be the file of readings by whatever name, and what is there already must be an
    earlier tape report. A path that can't be looked at is left to whoever writes to it.
    """
    said: tuple[str, ...] = ()
    if report.suffix.lower() != ".pdf":
        sentence = tell("the report is a PDF file, and this name doesn't end in .pdf")
        said = sentence, tell("write --report {name}.pdf", name=report.stem or "tape-report")
    try:
        if not said and report.exists():
            if readings.exists() and report.samefile(readings):
                sentence = tell("the report would take the place of the readings themselves")
                said = sentence, tell("write --report {name}.pdf", name=f"{report.stem}-report")
            elif not _is_tape_report(report):
                sentence = tell(
                    "there is something else under the report's name already, and it stays as it is"
                )
                said = sentence, tell("give the report a name that is free, or that of an earlier report")
    except OSError:
        return
    if said:
        raise refusal("report-place", said[0], said[1], Location(str(report)))


def _is_tape_report(path: Path) -> bool:
    is_small = path.is_file() and path.stat().st_size <= _MOST_BYTES
    return is_small and read_subject(path.read_bytes()).startswith(REPORT_SUBJECT)


def write_tape_report(judged: JudgedFile, library: Library, layouts: Path, paper: str, path: Path) -> None:
    """The report as a PDF file, read back before it is written; raises PocketrefError if it can't be."""
    laid_out = lay_out_report(judged, library, read_papers(layouts), paper)
    data = build_pdf("tape-report", laid_out.document, laid_out.floor_pt).data
    try:
        path.write_bytes(data)
    except OSError as error:
        said = explain_refusal(
            tell("the report"), error, "written", tell("name a file in a folder you may write to")
        )
        raise refusal("report-unwritable", *said, Location(str(path))) from None


def lay_out_report(judged: JudgedFile, library: Library, layouts: Layouts, paper: str) -> LaidOut:
    """The report as a document on a paper; raises PocketrefError if something does not fit."""
    edition = library.edition
    tag = f"{library.codes[judged.field.code].mark} {edition.season}, {judged.field.name}"

    def write_foot(page: int, pages: int) -> Footer:
        readings = say("Readings: {file}, page {page} of {pages}", file=judged.name, page=page, pages=pages)
        return Footer((readings, write_edition(edition)), (write_governs(), write_validity(edition)))

    outcome = judged.outcome
    parts = (_list_heights(outcome),) if isinstance(outcome, JudgedMound) else _list_parts(outcome)
    title = say("Tape report")
    flow = Flow("tape report", TitleBand(title, tag), write_foot, parts)
    return lay_out_flow("tape-report", title, (flow,), paper, layouts, edition)


def _build_table(
    label: str, columns: tuple[Column, ...], rows: Iterable[Sequence[str]], title: str
) -> TableBlock:
    return TableBlock(label, columns, tuple(tuple(map(Cell, row)) for row in rows), title, grows=False)


def _list_heights(mound: JudgedMound) -> tuple[Block, ...]:
    rows = [
        (place[0].upper() + place[1:], wanted, read, f"*{verdict}*" if change else verdict, change)
        for place, wanted, read, verdict, change in write_heights(mound)
    ]
    columns = (
        Column(say("Where"), flex=True),
        Column(say("Target"), "end"),
        Column(say("Read"), "end"),
        Column(say("Verdict")),
        Column(say("What to do")),
    )
    return (_build_table("heights", columns, rows, say("Heights")), _caution())


def _list_parts(report: TapeReport) -> tuple[tuple[Block, ...], ...]:
    """Summary and figure on a page of their own, then the stations and the readings."""

    def draw_at(scale: float, size_pt: float) -> FigureDrawing:
        return draw_tape_report(report, scale, size_pt)

    figure = FigureBlock(
        "figure of the field as found",
        say("The field as found"),
        draw_at,
        _SMALLEST,
        report.stations,
        note="",
    )
    words = [words[0].upper() + words[1:] + "." for words in write_all(report)]
    summary = Paragraphs("summary", tuple(words), say("In short"), "list")
    stations = [_row_of_station(report, found) for found in report.stations.values()]
    pairs = zip(report.readings, report.list_residuals(), strict=True)
    readings = [_row_of_reading(report, index, *pair) for index, pair in enumerate(pairs)]
    tables: tuple[Block, ...] = (
        _build_table("stations", _list_station_columns(), stations, say("Stations")),
        _build_table("readings", _list_reading_columns(readings), readings, say("Readings")),
        Paragraphs("how to read it", write_how(len(readings)), small=True),
    )
    return (summary, figure, _caution()), tables


def _list_station_columns() -> tuple[Column, ...]:
    return (
        Column("", "middle"),
        Column(say("Station")),
        Column(say("Verdict")),
        Column(say("Move"), flex=True),
        Column(say("Off"), "end"),
        Column(say("Known to"), "end"),
    )


def _list_reading_columns(rows: Sequence[Sequence[str]]) -> tuple[Column, ...]:
    """The last has no heading where no reading has anything to say."""
    return (
        Column(say("Pull")),
        Column(say("Target"), "end"),
        Column(say("Read"), "end"),
        Column(say("Left over"), "end"),
        Column(say("In errors"), "end"),
        Column(say("What it says") if any(row[-1] for row in rows) else "", flex=True),
    )


def _caution() -> Paragraphs:
    return Paragraphs("caution", (f"*{say('WARNING')}* {say(CAUTION)}", say(OURS)), small=True)


def _row_of_station(report: TapeReport, found: FoundStation) -> tuple[str, ...]:
    is_out = found.verdict is PlaceVerdict.OUT
    is_known = found.verdict not in (PlaceVerdict.KNOWN, PlaceVerdict.FEW)
    verdict = say(found.verdict)
    verdict, what = (f"*{verdict}*", found.move) if is_out else (verdict, write_pulls(found, report))
    known = [write_measured(mm) if is_known else "" for mm in (found.offset_mm, found.ellipse_mm[0])]
    return (f"*{found.mark}*", say(found.label), verdict, what, *known)


def _row_of_reading(report: TapeReport, index: int, reading: Reading, residual: Residual) -> tuple[str, ...]:
    left, share = "", ""
    if residual.errors is not None and index not in map(report.explanation.network.number, report.misreads):
        left = write_measured(residual.left_mm, 32)
        share = f"{residual.errors + 0.0:+.1f}".replace("-", "−").replace("−0.0", "+0.0")
    target, read = write_measured(residual.target_mm), write_tape(reading.length)
    return (f"*{reading.name}*", target, read, left, share, write_reading(report, index))
