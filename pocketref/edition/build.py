"""Building an edition: every file of it in memory, each PDF read back before anything is written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pocketref.edition.manifest import BuiltFile, write_manifest, write_source
from pocketref.edition.proof import Proof
from pocketref.output.files import publish_folder
from pocketref.output.pdf import write_pdf
from pocketref.output.readback import read_pdf
from pocketref.output.readback_checks import check_document
from pocketref.output.svg import write_svg
from pocketref.pages.cards import LaidOut
from pocketref.problems import ProblemLog


def build_edition(proof: Proof) -> Iterator[BuiltFile]:
    """The edition's files one by one; raises PocketrefError if a PDF read back is not what was asked for."""
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            yield build_pdf(folder, item)
            yield from _build_drawings(item)
    yield write_source(proof.library)


def build_pdf(folder: str, item: LaidOut) -> BuiltFile:
    """One card's or sheet's PDF, written and read back."""
    data = write_pdf(item.document)
    printed = read_pdf(data)
    problems = ProblemLog()
    problems.extend(check_document(printed, item.document, item.floor_pt))
    problems.raise_errors()
    runs = [run for page in printed.pages for run in page.texts]
    smallest = min(run.size_pt for run in runs)
    fonts = len({run.font for run in runs})
    report = (
        f"{len(printed.pages)} pages, {len(runs)} texts, smallest {smallest:.2f} pt "
        f"(floor {item.floor_pt:.2f}), {fonts} fonts embedded"
    )
    return BuiltFile(f"{folder}/{item.name}.pdf", data, len(printed.pages), report)


def _build_drawings(item: LaidOut) -> Iterator[BuiltFile]:
    for page in item.document.pages:
        suffix = f"-{page.name}" if len(item.document.pages) > 1 else ""
        svg = write_svg(page, title=item.document.title, description=item.document.subject)
        yield BuiltFile(f"drawings/{item.name}{suffix}.svg", svg.encode())


def publish_edition(proof: Proof, files: list[BuiltFile], out: Path) -> Path:
    """Put the files and their manifest in out/<edition>, whole or not at all; gives the folder."""
    target = out / proof.library.edition.edition
    manifest = write_manifest(proof.library, files, proof.inputs)
    publish_folder(target, {file.name: file.data for file in (*files, manifest)})
    return target
