"""Building an edition: every file of it in memory, each PDF read back before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import chain
from pathlib import Path
from types import MappingProxyType

from pocketref.bulletins.bulletin import Bulletin, compare_libraries, find_bulletin, list_news, no_bulletin
from pocketref.bulletins.bulletin_sheet import BULLETIN_SHEET, build_bulletin_sheet, lay_out_bulletin
from pocketref.bulletins.replacements import build_replacements, list_replacements
from pocketref.bulletins.sticker_sheet import build_stickers
from pocketref.changes.change_set import ChangeSet
from pocketref.changes.change_sheet import CHANGE_SHEET, build_change_sheet, lay_out_changes
from pocketref.edition.languages import EditionLanguage, say_in, take_in_each
from pocketref.edition.manifest import PAST, STORED, BuiltFile
from pocketref.edition.manifest_writing import write_manifest, write_source
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.play_proof import lay_out_plays
from pocketref.edition.press import PressRun, build_press, check_press, make_run
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles, FileList, Signer, read_left_files
from pocketref.layouts.answer_sheets import ANSWERS
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.class_layouts import CLASSES
from pocketref.output.contents import check_page_glyphs, items_of, texts_in
from pocketref.output.files import read_notes, stage_folder
from pocketref.output.pdf import write_pdf
from pocketref.output.picture import draw_picture
from pocketref.output.svg import write_svg
from pocketref.pages.page import Page, say_name
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog
from pocketref.publish.published import check_replaceable
from pocketref.source.digest import FIELD, is_covered, set_digest, take_digest
from pocketref.web.changes_web import write_bulletin_section, write_changes_section
from pocketref.web.feed import FEED, write_feed
from pocketref.web.html_content import WebSection
from pocketref.web.language_switch import link_languages
from pocketref.web.plays_web import build_play_pages, write_plays_section
from pocketref.web.site_files import build_site_files, build_site_manifest
from pocketref.web.web import build_web_page
from pocketref.words.terminal import tell

NO_OPTIONS: Mapping[str, str] = MappingProxyType({})


def build_edition(
    proof: Proof, run: PressRun | None = None, earlier: EarlierFiles | None = None
) -> Iterator[BuiltFile]:
    """The edition's files one by one; raises PocketrefError if a PDF read back is not what was asked for.

    Of the `earlier` files those that would come out the same are taken. The web page comes after what it
    links to.
    """
    run, earlier = run or make_run(proof.layouts), earlier or EarlierFiles()
    news, shared = check_languages(proof, run), list[BuiltFile]()
    languages = tuple(news)

    def build(each: Proof, earlier: EarlierFiles) -> Iterator[BuiltFile]:
        home = each.language.find_home()
        linked = [replace(file, name=f"{home}{file.name}") for file in shared]
        names = {f"cards/{card.name}.pdf" for card in each.printed if card.is_two_sided}
        for file in _build_pages(each, news[each.language], run, earlier, languages, linked):
            shared.extend([file] if file.name in names else ())
            yield file

    yield from _build_in_each(proof, earlier, build)
    yield from build_site_files(proof.library.edition, languages)
    yield _build_feed(proof)
    yield write_source(proof.library)


def _build_in_each(
    proof: Proof, earlier: EarlierFiles, build: Callable[[Proof, EarlierFiles], Iterator[BuiltFile]]
) -> Iterator[BuiltFile]:
    """What `build` makes in each of the edition's languages: its own, then the others in their folders."""
    yield from build(proof, earlier)
    for other in proof.others:
        folder = other.language.folder
        for file in say_in(other.language, build(other, earlier.find_within(folder))):
            yield replace(file, name=f"{folder}{file.name}")


def _build_pages(
    proof: Proof,
    news: News,
    run: PressRun,
    earlier: EarlierFiles,
    languages: Sequence[EditionLanguage],
    linked: list[BuiltFile],
) -> Iterator[BuiltFile]:
    """All that there is in one of the edition's languages: prints, and the page that links to them, and to `linked`."""
    for file in _build_prints(proof, news, run, earlier, languages):
        if is_covered(
            file.name
        ):  # not what differs with the paper of the press, as the page is of the digest
            linked.append(file)
        yield file
    first = [write_bulletin_section(news.bulletin)] if news.bulletin else []
    yield build_web_page(proof, linked, _build_more(proof, news, linked), first, languages)
    yield build_site_manifest(proof.library.edition, proof.language)


def find_replacements(proof: Proof) -> list[LaidOut]:
    """The cards that the newest bulletin changed; PocketrefError ("bulletin-missing", "bulletin-cards") if none."""
    bulletin = find_bulletin(proof, _find_changes(proof))
    if bulletin is None:
        raise no_bulletin(proof.library.edition)
    if found := list_replacements(proof, bulletin):
        return found
    sentence = tell(
        "bulletin {number} changes no card, so that nobody needs another", number=bulletin.model.number
    )
    hint = tell("leave out --bulletin for whole sets")
    raise PocketrefError([Problem("bulletin-cards", sentence, hint, bulletin.model.location)])


@dataclass(frozen=True, slots=True)
class News:
    """What changed since the edition before, where one is kept, and the bulletin that says so within a season."""

    changes: ChangeSet | None
    bulletin: Bulletin | None


def check_languages(proof: Proof, run: PressRun) -> Mapping[EditionLanguage, News]:
    """What is new, in each of the edition's languages, its own first; PocketrefError as `check_edition` in any."""
    proofs = {each.language: each for each in (proof, *proof.others)}
    if not proof.others:  # which is in the language in force
        return {proof.language: check_edition(proof, run)}
    news = take_in_each(tuple(proofs), lambda language: check_edition(proofs[language], run))
    return dict(zip(proofs, news, strict=True))


def check_edition(proof: Proof, run: PressRun) -> News:
    """What is new; PocketrefError with all that keeps a proven source from being made into files as the run says."""
    problems = ProblemLog()
    news = News(_find_changes(proof), None)
    for check in (_check_press, _check_names):
        try:
            check(proof, run)
        except PocketrefError as error:
            problems.extend(error.problems)
    try:
        news = _check_news(proof, news.changes)
    except PocketrefError as error:
        problems.extend(error.problems)
    problems.raise_errors()
    return news


def _check_press(proof: Proof, run: PressRun) -> None:
    check_press(proof.printed, proof.library, proof.layouts, run)


def _check_news(proof: Proof, changes: ChangeSet | None) -> News:
    """The sheet of what changed, and the bulletin; what is wrong with the first is told at the edition before."""
    if changes is None:
        return News(None, None)
    try:
        check_page_glyphs(lay_out_changes(changes, proof.layouts, proof.layouts.house.paper).document.pages)
    except PocketrefError as error:
        beside = proof.library.edition.location
        folder = beside.file.rpartition("/")[0] if beside else ""
        where = Location(f"{folder}/{PAST}/{changes.old}{STORED}")
        raise PocketrefError([replace(each, where=each.where or where) for each in error.problems]) from None
    bulletin = find_bulletin(proof, changes)
    if bulletin:
        lay_out_bulletin(bulletin, proof.library, proof.layouts, proof.layouts.house.paper)
    return News(changes, bulletin)


def _check_names(proof: Proof, run: PressRun) -> None:
    """No two layouts may make one file; told at the later."""
    made = {
        f"{CHANGE_SHEET}.pdf": tell("the sheet of what changed since the edition before"),
        f"{BULLETIN_SHEET}.pdf": tell("the bulletin"),
    }
    problems = ProblemLog()
    for name, where in _list_names(proof):
        first = made.setdefault(name, str(where))
        if first != str(where):
            hint = tell("rename this layout: its file and the name in it")
            problems.error(
                "file-twice",
                tell("{name} would be made twice, also of {first}", name=name, first=first),
                hint,
                where,
            )
    problems.raise_errors()


def _list_names(proof: Proof) -> Iterator[tuple[str, Location | None]]:
    """What is made of layouts, each with the layout's place."""
    for folder, laid_out in (("cards", proof.printed), ("sheets", proof.sheets)):
        for item in laid_out:
            yield f"{folder}/{item.name}.pdf", item.where
            yield from ((_name_drawing(item, page), item.where) for page in item.own.document.pages)
    for sheet in proof.plays.sheets:
        yield from ((f"plays/{sheet.name}{end}.pdf", sheet.model.location) for end in ("", ANSWERS, "-key"))
    for each in proof.classes:
        yield from ((f"{CLASSES}/{item.name}.pdf", each.model.location) for item in (each.deck, each.notes))


def _find_changes(proof: Proof) -> ChangeSet | None:
    """What changed since the edition before, where one is kept."""
    if proof.previous is None:
        return None
    return compare_libraries(proof.previous, proof.library)


def _build_more(proof: Proof, news: News, files: Sequence[BuiltFile]) -> list[WebSection]:
    """What else the web page holds: what changed since the edition before, and the training sheets."""
    sections = [write_changes_section(news.changes)] if news.changes else []
    return [*sections, write_plays_section(proof.plays, files)]


def _build_feed(proof: Proof) -> BuiltFile:
    """The Atom feed of this edition and those that are kept, for the association's site."""
    libraries = (*proof.past, proof.library)
    editions = [library.edition for library in libraries]
    feed = write_feed(editions, proof.library.edition.address, list_news(libraries))
    return BuiltFile(FEED, feed)


def _build_prints(
    proof: Proof, news: News, run: PressRun, earlier: EarlierFiles, languages: Sequence[EditionLanguage]
) -> Iterator[BuiltFile]:
    """All parts, what changed, and what goes to the press."""
    yield from _build_parts(proof, earlier, languages)
    paper = proof.layouts.house.paper  # the run's is for the press: what all read bears on the digest
    if news.changes:
        yield build_change_sheet(news.changes, proof.layouts, paper, earlier)
    if news.bulletin:
        yield build_bulletin_sheet(news.bulletin, proof.library, proof.layouts, paper, earlier)
    is_own = not proof.language.folder
    yield from build_press(proof.printed, proof.library, proof.layouts, run, earlier, is_checked=is_own)
    if news.bulletin:
        yield from build_replacements(proof, news.bulletin, run, earlier)
        yield from build_stickers(proof, news.bulletin, run.paper, earlier)


def build_parts(proof: Proof, earlier: EarlierFiles) -> Iterator[BuiltFile]:
    """Cards and sheets with their drawings, training sheets and classes, in each of the edition's languages.

    Raises as `build_edition`.
    """
    languages = tuple(each.language for each in (proof, *proof.others))
    yield from _build_in_each(proof, earlier, lambda each, kept: _build_parts(each, kept, languages))


def _build_parts(
    proof: Proof, earlier: EarlierFiles, languages: Sequence[EditionLanguage]
) -> Iterator[BuiltFile]:
    is_own = not proof.language.folder
    for folder, laid_out in (("cards", proof.cards), ("sheets", proof.sheets)):
        for item in laid_out:
            write: Callable[[], bytes] = cache(partial(write_pdf, item.document))
            if is_own or not item.is_two_sided:  # else pictures alone are made of it
                file = build_pdf(f"{folder}/{item.name}", item.document, item.floor_pt, earlier)
                yield file
                write = partial(bytes, file.data)
            yield from build_drawings(item.own)
            yield from _build_pictures(item, write, earlier)
    for item in lay_out_plays(proof.plays, proof.layouts):
        yield build_pdf(f"plays/{item.name}", item.document, item.floor_pt, earlier)
    yield from build_play_pages(proof.plays, partial(link_languages, proof.language, languages))
    for item in (item for each in proof.classes for item in (each.deck, each.notes)):
        yield build_pdf(f"{CLASSES}/{item.name}", item.document, item.floor_pt, earlier)


def build_drawings(item: LaidOut) -> Iterator[BuiltFile]:
    """Each face of a card or sheet as SVG."""
    document = item.document
    for page in document.pages:
        data = write_svg(page, _write_title(item, page), document.subject, document.language).encode()
        yield BuiltFile(_name_drawing(item, page), data)


def _build_pictures(item: LaidOut, write: Callable[[], bytes], earlier: EarlierFiles) -> Iterator[BuiltFile]:
    """Each face as PNG, drawn from what `write` gives, the finished file.

    None of a face that bears the digest, which isn't known yet.
    """
    document, made_of = item.document, earlier.mark_document(item.document, item.floor_pt)
    for index, page in enumerate(document.pages):
        name = _name_drawing(item, page, "png")
        if page.language or any(FIELD in text.content for text in texts_in(items_of(page.elements))):
            continue
        known = earlier.take(name, made_of)
        if known is None:
            data = draw_picture(write(), index, page, _write_title(item, page), document.subject)
            known = BuiltFile(name, data, made_of=made_of)
        yield known


def _write_title(item: LaidOut, page: Page) -> str:
    document = item.document
    return f"{document.title}, {say_name(page.name)}" if len(document.pages) > 1 else document.title


def _name_drawing(item: LaidOut, page: Page, kind: str = "svg") -> str:
    side = f"-{page.name}" if len(item.document.pages) > 1 else ""
    return f"drawings/{item.name}{side}.{kind}"


def publish_edition(
    proof: Proof,
    files: Sequence[BuiltFile],
    out: Path,
    sign: Signer | None = None,
    options: Mapping[str, str] = NO_OPTIONS,
    build_more: Callable[[EarlierFiles], Iterable[BuiltFile]] | None = None,
) -> Path:
    """Put the files, their digest set, and their manifest in out/<edition>, whole or not at all; gives the folder.

    `sign` gives the signature over the manifest's bytes, where there is to be one. `options` are what `list_options`
    lists, so that a later publish with the same can tell. What `build_more` builds, of which the digest is not taken,
    is written as it comes; it is given what a publish that was stopped had written.
    """
    edition = proof.library.edition
    target = out / edition.mark
    digest = take_digest({file.name: file.data for file in files})
    listed = FileList(options, digest, sign)
    with stage_folder(target, partial(check_replaceable, edition.association, edition.mark)) as stage:
        more = build_more(read_left_files(read_notes(stage.left), stage.left, sign)) if build_more else ()
        for file in chain(files, more):
            finished = replace(file, data=set_digest(file.data, digest))
            stage.write(file.name, finished.data, listed.add(finished))
        manifest = write_manifest(proof.library, listed.entries, proof.inputs, listed.write_making(), digest)
        for file in (manifest, *([sign(manifest.data)] if sign else [])):
            stage.write(file.name, file.data)
    return target
