"""Building an edition: every file of it in memory, each PDF read back before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from pocketref.edition.change_sheet import build_past_changes, find_past_changes
from pocketref.edition.changes_web import write_changes_section
from pocketref.edition.feed import FEED, write_feed
from pocketref.edition.manifest import BuiltFile, write_manifest, write_source
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.plays import lay_out_plays
from pocketref.edition.plays_web import build_play_pages, write_plays_section
from pocketref.edition.press import PressRun, build_press, check_run
from pocketref.edition.proof import Proof
from pocketref.edition.web import build_web_page
from pocketref.output.files import publish_folder
from pocketref.output.html_content import WebSection
from pocketref.output.svg import write_svg
from pocketref.pages.cards import LaidOut


def build_edition(proof: Proof, run: PressRun | None = None) -> Iterator[BuiltFile]:
    """The edition's files one by one; raises PocketrefError if a PDF read back is not what was asked for.

    The web page comes after what it links to.
    """
    linked = []
    for file in _build_prints(proof, run or PressRun()):
        linked.append(file)
        yield file
    yield build_web_page(proof, linked, _build_more(proof, linked))
    yield _build_feed(proof)
    yield write_source(proof.library)


def _build_more(proof: Proof, files: Sequence[BuiltFile]) -> list[WebSection]:
    """What else the web page holds: what changed since the edition before, and the training sheets."""
    changes = find_past_changes(proof)
    sections = [write_changes_section(changes, proof.library)] if changes else []
    return [*sections, write_plays_section(proof.plays, files)]


def _build_feed(proof: Proof) -> BuiltFile:
    """The Atom feed of this edition and the one before, for the association's site."""
    editions = [library.edition for library in (proof.library, proof.previous) if library is not None]
    return BuiltFile(FEED, write_feed(editions, proof.library.edition.address))


def _build_prints(proof: Proof, run: PressRun) -> Iterator[BuiltFile]:
    """Cards and sheets with their drawings, training sheets and keys, what changed, and what goes to the press."""
    check_run(run, proof.layouts)
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            yield build_pdf(f"{folder}/{item.name}", item.document, item.floor_pt)
            yield from build_drawings(item)
    for item in lay_out_plays(proof.plays, proof.layouts):
        yield build_pdf(f"plays/{item.name}", item.document, item.floor_pt)
    yield from build_play_pages(proof.plays)
    yield from build_past_changes(proof)
    yield from build_press(proof.cards, proof.library, proof.layouts, run)


def build_drawings(item: LaidOut) -> Iterator[BuiltFile]:
    """Each face of a card or sheet as SVG."""
    for page in item.document.pages:
        suffix = f"-{page.name}" if len(item.document.pages) > 1 else ""
        svg = write_svg(page, title=item.document.title, description=item.document.subject)
        yield BuiltFile(f"drawings/{item.name}{suffix}.svg", svg.encode())


def publish_edition(
    proof: Proof, files: list[BuiltFile], out: Path, sign: Callable[[bytes], BuiltFile] | None = None
) -> Path:
    """Put the files and their manifest in out/<edition>, whole or not at all; gives the folder.

    `sign` gives the signature over the manifest's bytes, where there is to be one.
    """
    target = out / proof.library.edition.edition
    manifest = write_manifest(proof.library, files, proof.inputs)
    signature = [sign(manifest.data)] if sign else []
    publish_folder(target, {file.name: file.data for file in (*files, manifest, *signature)})
    return target
