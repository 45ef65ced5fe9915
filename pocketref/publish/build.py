"""Building an edition: every file of it in memory, each PDF read back before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import MappingProxyType

from pocketref.changes.change_set import ChangeSet
from pocketref.changes.change_sheet import CHANGE_SHEET, build_change_sheet, lay_out_changes
from pocketref.changes.changes import compare_editions
from pocketref.edition.manifest import PAST, STORED, BuiltFile
from pocketref.edition.manifest_writing import write_manifest, write_source
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.play_proof import lay_out_plays
from pocketref.edition.press import PressRun, build_press, check_press
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles, write_making
from pocketref.edition.source_reading import EditionSource
from pocketref.layouts.answer_sheets import ANSWERS
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.class_layouts import CLASSES
from pocketref.output.contents import check_page_glyphs, items_of, texts_in
from pocketref.output.files import publish_folder
from pocketref.output.picture import draw_picture
from pocketref.output.svg import write_svg
from pocketref.pages.page import Page
from pocketref.problems import Location, PocketrefError, ProblemLog
from pocketref.publish.published import check_replaceable
from pocketref.source.digest import FIELD, set_digest, take_digest
from pocketref.web.changes_web import write_changes_section
from pocketref.web.feed import FEED, write_feed
from pocketref.web.html_content import WebSection
from pocketref.web.plays_web import build_play_pages, write_plays_section
from pocketref.web.site_files import build_site_files
from pocketref.web.web import build_web_page

NO_OPTIONS: Mapping[str, str] = MappingProxyType({})


def build_edition(
    proof: Proof, run: PressRun | None = None, earlier: EarlierFiles | None = None
) -> Iterator[BuiltFile]:
    """The edition's files one by one; raises PocketrefError if a PDF read back is not what was asked for.

    Of the `earlier` files those that would come out the same are taken. The web page comes after what it
    links to.
    """
    run, linked, changes = run or PressRun(), [], _find_changes(proof)
    check_edition(proof, run)
    for file in _build_prints(proof, changes, run, earlier or EarlierFiles()):
        linked.append(file)
        yield file
    yield build_web_page(proof, linked, _build_more(proof, changes, linked))
    yield from build_site_files(proof.library.edition)
    yield _build_feed(proof)
    yield write_source(proof.library)


def check_edition(proof: Proof, run: PressRun) -> None:
    """Raise PocketrefError with all that keeps a proven source from being made into files as the run says."""
    problems = ProblemLog()
    for check in (_check_press, _check_changes, _check_names):
        try:
            check(proof, run)
        except PocketrefError as error:
            problems.extend(error.problems)
    problems.raise_errors()


def _check_press(proof: Proof, run: PressRun) -> None:
    check_press(proof.cards, proof.library, proof.layouts, run)


def _check_changes(proof: Proof, run: PressRun) -> None:
    """The sheet of what changed; what is wrong with it is told at the edition before, as it is kept."""
    changes = _find_changes(proof)
    if changes is None:
        return
    try:
        check_page_glyphs(lay_out_changes(changes, proof.layouts, run.paper).document.pages)
    except PocketrefError as error:
        beside = proof.library.edition.location
        folder = beside.file.rpartition("/")[0] if beside else ""
        where = Location(f"{folder}/{PAST}/{changes.old}{STORED}")
        raise PocketrefError([replace(each, where=each.where or where) for each in error.problems]) from None


def _check_names(proof: Proof, run: PressRun) -> None:
    """No two layouts may make one file; told at the later."""
    made = {f"{CHANGE_SHEET}.pdf": "the sheet of what changed since the edition before"}
    problems = ProblemLog()
    for name, where in _list_names(proof):
        first = made.setdefault(name, str(where))
        if first != str(where):
            hint = "rename this layout: its file and the name in it"
            problems.error("file-twice", f"{name} would be made twice, also of {first}", hint, where)
    problems.raise_errors()


def _list_names(proof: Proof) -> Iterator[tuple[str, Location | None]]:
    """What is made of layouts, each with the layout's place."""
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            yield f"{folder}/{item.name}.pdf", item.where
            yield from ((_name_drawing(item, page), item.where) for page in item.document.pages)
    for sheet in proof.plays.sheets:
        yield from ((f"plays/{sheet.name}{end}.pdf", sheet.model.location) for end in ("", ANSWERS, "-key"))
    for each in proof.classes:
        yield from ((f"{CLASSES}/{item.name}.pdf", each.model.location) for item in (each.deck, each.notes))


def _find_changes(proof: Proof) -> ChangeSet | None:
    """What changed since the edition before, where one is kept."""
    if proof.previous is None:
        return None
    return compare_editions(EditionSource("", proof.previous), EditionSource("", proof.library))


def _build_more(proof: Proof, changes: ChangeSet | None, files: Sequence[BuiltFile]) -> list[WebSection]:
    """What else the web page holds: what changed since the edition before, and the training sheets."""
    sections = [write_changes_section(changes)] if changes else []
    return [*sections, write_plays_section(proof.plays, files)]


def _build_feed(proof: Proof) -> BuiltFile:
    """The Atom feed of this edition and the one before, for the association's site."""
    editions = [library.edition for library in (proof.library, proof.previous) if library is not None]
    return BuiltFile(FEED, write_feed(editions, proof.library.edition.address))


def _build_prints(
    proof: Proof, changes: ChangeSet | None, run: PressRun, earlier: EarlierFiles
) -> Iterator[BuiltFile]:
    """Cards and sheets with their drawings, training sheets, classes, what changed, and what goes to the press."""
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            file = build_pdf(f"{folder}/{item.name}", item.document, item.floor_pt, earlier)
            yield file
            yield from build_drawings(item)
            yield from _build_pictures(item, file, earlier)
    for item in lay_out_plays(proof.plays, proof.layouts):
        yield build_pdf(f"plays/{item.name}", item.document, item.floor_pt, earlier)
    yield from build_play_pages(proof.plays)
    for item in (item for each in proof.classes for item in (each.deck, each.notes)):
        yield build_pdf(f"{CLASSES}/{item.name}", item.document, item.floor_pt, earlier)
    if changes:
        yield build_change_sheet(changes, proof.layouts, run.paper, earlier)
    yield from build_press(proof.cards, proof.library, proof.layouts, run, earlier)


def build_drawings(item: LaidOut) -> Iterator[BuiltFile]:
    """Each face of a card or sheet as SVG."""
    document = item.document
    for page in document.pages:
        data = write_svg(page, _write_title(item, page), document.subject, document.language).encode()
        yield BuiltFile(_name_drawing(item, page), data)


def _build_pictures(item: LaidOut, file: BuiltFile, earlier: EarlierFiles) -> Iterator[BuiltFile]:
    """Each face as PNG, drawn from its finished file; none of a face that bears the digest, which isn't known yet."""
    document = item.document
    for index, page in enumerate(document.pages):
        name = _name_drawing(item, page, "png")
        if any(FIELD in text.content for text in texts_in(items_of(page.elements))):
            continue
        known = earlier.take(name, file.made_of) if file.made_of else None
        if known is None:
            data = draw_picture(file.data, index, page, _write_title(item, page), document.subject)
            known = BuiltFile(name, data, made_of=file.made_of)
        yield known


def _write_title(item: LaidOut, page: Page) -> str:
    document = item.document
    return f"{document.title}, {page.name}" if len(document.pages) > 1 else document.title


def _name_drawing(item: LaidOut, page: Page, kind: str = "svg") -> str:
    side = f"-{page.name}" if len(item.document.pages) > 1 else ""
    return f"drawings/{item.name}{side}.{kind}"


def publish_edition(
    proof: Proof,
    files: list[BuiltFile],
    out: Path,
    sign: Callable[[bytes], BuiltFile] | None = None,
    options: Mapping[str, str] = NO_OPTIONS,
) -> Path:
    """Put the files, their digest set, and their manifest in out/<edition>, whole or not at all; gives the folder.

    `sign` gives the signature over the manifest's bytes, where there is to be one. `options` are what `list_options`
    lists, so that a later publish with the same can tell.
    """
    target = out / proof.library.edition.edition
    digest = take_digest({file.name: file.data for file in files})
    files = [replace(file, data=set_digest(file.data, digest)) for file in files]
    manifest = write_manifest(proof.library, files, proof.inputs, write_making(files, options), digest)
    signature = [sign(manifest.data)] if sign else []
    edition = proof.library.edition
    check = partial(check_replaceable, edition.association, edition.edition)
    made = {file.name: file.data for file in (*files, manifest, *signature)}
    publish_folder(target, made, check)
    return target
