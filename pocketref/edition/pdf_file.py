"""One PDF of an edition: written, read back, and reported in a line."""

from __future__ import annotations

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.reuse import EarlierFiles
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.printed import PrintedDocument
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.output.reading.separations import check_plates
from pocketref.pages.page import Document
from pocketref.problems import PocketrefError, Problem
from pocketref.words.terminal import tell, tell_count


def build_pdf(
    name: str, document: Document, floor_pt: float, earlier: EarlierFiles | None = None
) -> BuiltFile:
    """The document as <name>.pdf; raises PocketrefError if what was printed is not what was asked for.

    With `earlier` files, one of them that was made of the same document, and still reads as asked, is taken.
    """
    made_of = earlier.mark_document(document, floor_pt) if earlier else ""
    known = earlier.take(f"{name}.pdf", made_of) if earlier else None
    if known and not _read_back(known.data, document, floor_pt)[1]:
        return known
    data = write_pdf(document)
    printed, problems = _read_back(data, document, floor_pt)
    if problems or printed is None:
        raise PocketrefError(problems)
    runs = [run for page in printed.pages for run in page.texts]
    smallest = min(run.size_pt for run in runs)
    fonts = len({run.font for run in runs})
    pages = len(printed.pages)
    report = tell(
        "{pages}, {texts} texts, smallest {smallest:.2f} pt (floor {floor:.2f}), {fonts} fonts embedded",
        pages=tell_count(pages, "{count} page", "{count} pages"),
        texts=len(runs),
        smallest=smallest,
        floor=floor_pt,
        fonts=fonts,
    )
    return BuiltFile(f"{name}.pdf", data, pages, report, made_of)


def _read_back(
    data: bytes, document: Document, floor_pt: float
) -> tuple[PrintedDocument | None, list[Problem]]:
    """What is printed, and where it is not what was asked for."""
    try:
        printed = read_pdf(data)
    except ValueError:
        return None, [Problem("print-differs", tell("it is no PDF that can be read"))]
    return printed, [*check_document(printed, document, floor_pt), *check_plates(data, document)]
