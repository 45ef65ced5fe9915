"""Building an edition: every file of it in memory, each PDF read back before anything is written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pocketref.edition.manifest import BuiltFile, write_manifest, write_source
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.press import PressRun, build_press, check_run
from pocketref.edition.proof import Proof
from pocketref.output.files import publish_folder
from pocketref.output.svg import write_svg
from pocketref.pages.cards import LaidOut


def build_edition(proof: Proof, run: PressRun | None = None) -> Iterator[BuiltFile]:
    """The edition's files one by one; raises PocketrefError if a PDF read back is not what was asked for."""
    run = run or PressRun()
    check_run(run, proof.layouts)
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            yield build_pdf(f"{folder}/{item.name}", item.document, item.floor_pt)
            yield from build_drawings(item)
    yield from build_press(proof.cards, proof.library, proof.layouts, run)
    yield write_source(proof.library)


def build_drawings(item: LaidOut) -> Iterator[BuiltFile]:
    """Each face of a card or sheet as SVG."""
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
