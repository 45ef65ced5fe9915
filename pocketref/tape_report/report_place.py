"""Where a report of taped readings may be written: never over a file that is anything else."""

from __future__ import annotations

from pathlib import Path

from pocketref.output.reading.filled_sheet import read_subject
from pocketref.problems import Location, PocketrefError, Problem

REPORT_SUBJECT = "tape report, edition "
"""How the subject starts that every tape report carries among its properties."""
_MOST_BYTES = 20_000_000


def check_report_place(report: Path, readings: Path) -> None:
    """Raises PocketrefError if writing a report to that path would lose something else.

    It must end in .pdf, not be the file of readings by whatever name, and what is there already must be an
    earlier tape report. A path that can't be looked at is left to whoever writes to it.
    """
    where = Location(str(report))
    if report.suffix.lower() != ".pdf":
        sentence = "the report is a PDF file, and this name doesn't end in .pdf"
        raise _refuse(sentence, f"write --report {report.stem or 'tape-report'}.pdf", where)
    try:
        if not report.exists():
            return
        if readings.exists() and report.samefile(readings):
            sentence = "the report would take the place of the readings themselves"
            raise _refuse(sentence, f"write --report {report.stem}-report.pdf", where)
        if not report.is_file() or not _is_tape_report(report):
            sentence = "there is something else under the report's name already, and it stays as it is"
            raise _refuse(
                sentence, "give the report a name that is free, or that of an earlier report", where
            )
    except OSError:
        return


def _is_tape_report(path: Path) -> bool:
    if path.stat().st_size > _MOST_BYTES:
        return False
    return read_subject(path.read_bytes()).startswith(REPORT_SUBJECT)


def _refuse(sentence: str, hint: str, where: Location) -> PocketrefError:
    return PocketrefError([Problem("report-place", sentence, hint, where)])
