"""One PDF of an edition: written, read back, and reported in a line."""

from __future__ import annotations

from pocketref.edition.manifest import BuiltFile
from pocketref.output.pdf import write_pdf
from pocketref.output.readback import read_pdf
from pocketref.output.readback_checks import check_document
from pocketref.pages.page import Document
from pocketref.problems import ProblemLog


def build_pdf(name: str, document: Document, floor_pt: float) -> BuiltFile:
    """The document as <name>.pdf; raises PocketrefError if what was printed is not what was asked for."""
    data = write_pdf(document)
    printed = read_pdf(data)
    problems = ProblemLog()
    problems.extend(check_document(printed, document, floor_pt))
    problems.raise_errors()
    runs = [run for page in printed.pages for run in page.texts]
    smallest = min(run.size_pt for run in runs)
    fonts = len({run.font for run in runs})
    pages = len(printed.pages)
    report = (
        f"{pages} {'page' if pages == 1 else 'pages'}, {len(runs)} texts, smallest {smallest:.2f} pt "
        f"(floor {floor_pt:.2f}), {fonts} fonts embedded"
    )
    return BuiltFile(f"{name}.pdf", data, pages, report)
