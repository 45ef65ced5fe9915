"""Where a report of taped readings may be written: never over a file that is anything else."""

from __future__ import annotations

from pathlib import Path

from pocketref.output.reading.filled_sheet import read_subject
from pocketref.problems import Location, refusal

REPORT_SUBJECT = "tape report, edition "
"""How the subject starts that every tape report carries among its properties."""
_MOST_BYTES = 20_000_000


def check_report_place(report: Path, readings: Path) -> None:
    """Raises PocketrefError if writing a report to that path would lose something else.

    It must end in .pdf, not be the file of readings by whatever name, and what is there already must be an
    earlier tape report. A path that can't be looked at is left to whoever writes to it.
    """
    said: tuple[str, ...] = ()
    if report.suffix.lower() != ".pdf":
        sentence = "the report is a PDF file, and this name doesn't end in .pdf"
        said = sentence, f"write --report {report.stem or 'tape-report'}.pdf"
    try:
        if not said and report.exists():
            if readings.exists() and report.samefile(readings):
                sentence = "the report would take the place of the readings themselves"
                said = sentence, f"write --report {report.stem}-report.pdf"
            elif not _is_tape_report(report):
                sentence = "there is something else under the report's name already, and it stays as it is"
                said = sentence, "give the report a name that is free, or that of an earlier report"
    except OSError:
        return
    if said:
        raise refusal("report-place", said[0], said[1], Location(str(report)))


def _is_tape_report(path: Path) -> bool:
    is_small = path.is_file() and path.stat().st_size <= _MOST_BYTES
    return is_small and read_subject(path.read_bytes()).startswith(REPORT_SUBJECT)
