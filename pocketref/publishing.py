"""The command `publish`: whether all is as it was, else proof, making and putting in place; or some parts alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from pocketref.console import (
    PATH,
    command,
    complete_part,
    find_languages,
    find_sources,
    languages_option,
    option,
    print_options,
    print_problems,
    print_source,
    prove_source,
    report_refusals,
    say_unwritten,
    show_files,
    show_progress,
    source_options,
    speak_languages,
)
from pocketref.words.terminal import tell, tell_count

MEMBERS = "members"
"""The folder of an edition in which each chapter of a roster has its own."""


@command()
@source_options
@option("--out", type=PATH, default=Path("out"), show_default=True, help="Where editions go.")
@print_options
@languages_option
@option("--flip", type=click.Choice(["long", "short"]), help="Duplex edge; default: the house's.")
@option(
    "--order",
    type=click.Choice(["sequence", "repeat", "cut-and-stack"]),
    help="How cards follow on press sheets; default: the house's.",
)
@option("--members", type=PATH, help="Print cards by name for this roster (CSV).")
@option("--bulletin", is_flag=True, help="With --members: only the cards that the newest bulletin changed.")
@option("--sign", type=PATH, help="Sign the manifest with this private key (PEM).")
@option("--fresh", is_flag=True, help="Make every file anew, whatever is in OUT already.")
@option(
    "--only",
    multiple=True,
    metavar="NAME...",
    shell_complete=complete_part,
    help="Make these cards, sheets, training sheets and classes alone, into OUT/<edition>-only.",
)
@click.argument("more", nargs=-1, metavar="", shell_complete=complete_part)
@option("--each", "told", flag_value="file", help="Name each file, with what reading it back gave.")
@option("--quiet", "told", flag_value="nothing", help="Say nothing of what was made.")
@report_refusals(say_unwritten)
def publish(
    content: Path | None,
    layouts: Path | None,
    out: Path,
    stock: str,
    paper: str,
    language: str,
    flip: Any,
    order: Any,
    members: Path | None,
    bulletin: bool,
    sign: Path | None,
    fresh: bool,
    only: tuple[str, ...],
    more: tuple[str, ...],
    told: str | None,
) -> None:
    """Check everything, then write the edition into OUT/<edition>.

    Files of an edition that is there already are used again if they would come out the same. With --only, an edition
    that is published stays as it is: what is asked for goes into a folder of its own beside it, unsigned. In
    another language all goes into OUT/<language>/<edition>; in several, as edition.yaml or --language says, the
    first is the edition's own, and each other has a folder of its name in OUT/<edition>.

    \b
    Example:
      pocketref publish --out out
      pocketref publish --only contact sheets/plate-area weekly-03
      pocketref publish --language es --only plate-area
      pocketref publish --language en,es
      pocketref publish --members roster.csv --sign association-private.pem
      pocketref publish --members roster.csv --bulletin

    \b
    A roster says who gets how many sets of the cards of a code and level:
      name,number,chapter,code,level,quantity
      Ann Exemplar,1001,North Shore,high-school,90-ft,1
      "Sample, Bo",1002,South Shore,high-school,90-ft,2
    """
    _check_options(only, more, members, sign, is_partial=bulletin)
    names, given, told = find_languages(language, content), (content, layouts), told or "folder"
    out = out / names[0] if len(names) == 1 else out
    with speak_languages(names, *given) as (languages, said):
        if only:
            _publish_only(given, out, stock, (*only, *more), languages, fresh=fresh, told=told)
        else:
            looks = {"stock": stock, "paper": paper, "flip": flip or "", "order": order or ""}
            looks |= {"language": ",".join(names), "replaced": "yes" if bulletin else ""}
            _run_publish(given, out, looks, (members, sign), languages, fresh=fresh, told=told)
    for each in said if told != "nothing" else ():
        click.echo(each.summarize())


def _check_options(
    only: tuple[str, ...], more: tuple[str, ...], members: Path | None, sign: Path | None, *, is_partial: bool
) -> None:
    """UsageError for what does not go together; `is_partial` is whether members get replaced cards alone."""
    if more and not only:
        raise click.UsageError(
            tell("Got unexpected extra argument ({more}); names of cards go after --only", more=more[0])
        )
    if only and (members or sign):
        option = "--members" if members else "--sign"
        raise click.UsageError(
            tell("{option} is for a whole edition: leave it out, or --only", option=option)
        )
    if is_partial and not members:
        raise click.UsageError(
            tell("--bulletin goes with --members; without, the edition has replacement cards in press")
        )


def _run_publish(
    given: tuple[Path | None, Path | None],
    out: Path,
    looks: dict[str, Any],
    files: tuple[Path | None, Path | None],
    languages: Sequence[Any],
    *,
    fresh: bool,
    told: str,
) -> None:
    """Publish into `out`, unless an edition there is as it would come out.

    `given` are the content and layouts folders, where they are; `looks` holds stock, paper, flip and order, `files`
    are the roster and the key, `languages` those of an edition in several. What was made is `told` by "folder", by
    "file", or for "nothing" not at all.
    Raises PocketrefError with all that is wrong.
    """
    from pocketref.edition.reuse import find_unchanged, is_signed_by, list_options
    from pocketref.output.files import recover_folders
    from pocketref.publish.starter import is_carried

    sources = find_sources(*given)
    recover_folders(out)
    options = list_options(sources[0], files[0], **looks)
    unchanged = None if fresh else find_unchanged(out, *sources, options)
    if unchanged and is_signed_by(unchanged, _read_signer(files[1], unchanged)):
        _keep_unchanged(unchanged, sources[0], quiet=told == "nothing")
        return
    is_demo = is_carried("content", sources[0], given[0], Path.cwd())
    _publish_anew(sources, out, options, files, languages, fresh=fresh, is_demo=is_demo, told=told)


def _publish_only(
    given: tuple[Path | None, Path | None],
    out: Path,
    stock: str,
    names: Sequence[str],
    languages: Sequence[Any],
    *,
    fresh: bool,
    told: str,
) -> None:
    """Make the parts of these names, without a manifest or signature, and leave what is published as it is.

    `given`, `out`, `languages`, `fresh` and `told` are as those of `_run_publish`. Raises PocketrefError with all that
    is wrong.
    """
    from pocketref.edition.collector import hold_collector
    from pocketref.edition.reuse import EarlierFiles, read_earlier_files
    from pocketref.publish.build import build_parts
    from pocketref.publish.part_files import bears_digest, find_part_folder, write_part_files

    content, layouts = find_sources(*given)
    quiet = told == "nothing"
    with hold_collector():
        proven = prove_source(content, layouts, stock, names, languages, quiet=quiet)
        edition = proven.library.edition.mark
        folder = find_part_folder(out, edition)
        earlier = EarlierFiles() if fresh else read_earlier_files(out / edition)
        built = show_files(build_parts(proven, earlier), quiet=quiet)
    write_part_files(built, folder)
    for line in _FILES_TOLD[told](folder, built, {}):
        click.echo(line)
    if not quiet:
        if any(map(bears_digest, built)):
            said = tell(
                "Only these were made, unsigned; zeros stand where the edition's digest will; pocketref proof checks "
                "the rest."
            )
        else:
            said = tell("Only these were made, unsigned; pocketref proof checks the rest.")
        click.echo(said)


def _prepare_members(roster: Path | None, proven: Any, run: Any, *, is_partial: bool) -> Any:
    """The member run of a roster, of whole sets or of the cards that a bulletin changed; None without one."""
    if roster is None:
        return None
    from pocketref.members.members import MemberRun
    from pocketref.members.roster import read_roster
    from pocketref.publish.build import find_replacements

    replaced = find_replacements(proven) if is_partial else None
    return MemberRun(proven, read_roster(roster), roster.name, run, replaced)


def _build_members(members: Any, earlier: Any, told: list[Any], *, quiet: bool) -> Iterator[Any]:
    """The member run's files, with their progress where somebody watches; what they are is added to `told`."""
    with show_progress(tell("Members"), len(members.members), quiet=quiet) as progress:
        for file in members.build(earlier, progress.advance):
            told.append(replace(file, data=b""))
            yield file


def _read_signer(path: Path | None, target: Path) -> Any:
    """What signs the manifest of the edition in `target`; None without a key."""
    if path is None:
        return None
    from pocketref.edition.signing import check_key_place, make_signer

    check_key_place(path, target)
    signer, warnings = make_signer(path)
    print_problems(warnings)
    return signer


def _publish_anew(
    sources: tuple[Path, Path],
    out: Path,
    options: dict[str, Any],
    files: tuple[Path | None, Path | None],
    languages: Sequence[Any],
    *,
    fresh: bool,
    is_demo: bool,
    told: str,
) -> None:
    """Prove, build and put in place; `options` are those of `list_options`, `files` the roster and the key."""
    from pocketref.edition.collector import hold_collector
    from pocketref.edition.press import make_run
    from pocketref.edition.reuse import EarlierFiles, read_earlier_files
    from pocketref.publish.build import build_edition, publish_edition
    from pocketref.publish.published import check_demo_place, check_replaceable, read_published
    from pocketref.publish.seasons import find_unkept, write_left_out

    (members, sign), quiet = files, told == "nothing"
    with hold_collector():
        proven = prove_source(*sources, options["stock"], (), languages, quiet=quiet)
        run = make_run(proven.layouts, options["paper"], options["flip"], options["order"])
        edition = proven.library.edition
        target = out / edition.mark
        if is_demo:
            check_demo_place(edition.association, out)
        check_replaceable(edition.association, edition.mark, target)
        signer = _read_signer(sign, target)
        member_run = _prepare_members(members, proven, run, is_partial=bool(options["replaced"]))
        earlier = EarlierFiles() if fresh else read_earlier_files(target, signer)
        built = show_files(build_edition(proven, run, earlier), quiet=quiet)
    before, told_files = read_published(target), [replace(file, data=b"") for file in built]
    entries = read_earlier_files(target).entries

    def build_more(left: Any) -> Iterable[Any]:
        earlier.before = None if fresh else left
        return _build_members(member_run, earlier, told_files, quiet=quiet) if member_run else ()

    try:
        publish_edition(proven, built, out, signer, options, build_more)
    except KeyboardInterrupt:
        click.echo(tell("stopped: the members' cards made so far are used by the next publish"), err=True)
        raise
    for line in _FILES_TOLD[told](target, told_files, entries):
        click.echo(line)
    left_out = write_left_out(before, target, has_roster=members is not None, is_signed=sign is not None)
    print_problems((*left_out, *find_unkept(proven, sources[0], out)))


def _list_folders(target: Path, files: list[Any], before: Mapping[str, object]) -> list[str]:
    """A line for each folder: how many files of each kind, how many pages, and what there is to say besides.

    The chapters of a roster have one together; `before` is what the manifest before said of each file.
    """
    folders: dict[Path, list[Any]] = {}
    for file in files:
        name = Path(file.name)
        folders.setdefault(target / (MEMBERS if name.parts[0] == MEMBERS else name.parent), []).append(file)
    lines = [f"{folder}  {_count_files(made)}" for folder, made in folders.items()]
    if target / MEMBERS in folders:
        lines[-1] += f"; {_count_chapters(target, folders[target / MEMBERS], before)}"
    return lines


def _count_chapters(target: Path, files: list[Any], before: Mapping[str, object]) -> str:
    """How many chapters there are, and whose cards or lists are not as they were published before, where some are.

    Used again or not: where a card bears the edition's digest, that is set anew.
    """
    from pocketref.edition.reuse import read_earlier_files
    from pocketref.source.syntax.source_text import list_few

    names, now = [file.name for file in files if file.pages], read_earlier_files(target).entries
    chapters = {Path(name).parts[1] for name in names}
    anew = {Path(name).parts[1] for name in names if before.get(name) != now.get(name)}
    if len(anew) == len(chapters):
        return tell_count(len(chapters), "{count} chapter", "{count} chapters")
    said = tell_count(
        len(chapters),
        "{anew} of {count} chapter new or changed",
        "{anew} of {count} chapters new or changed",
        anew=len(anew),
    )
    return f"{said}: {list_few(sorted(anew))}" if anew else said


def _count_files(files: list[Any]) -> str:
    from pocketref.edition.reuse import REUSED

    kinds = Counter(Path(file.name).suffix.lstrip(".").upper() for file in files)
    counted = [f"{number:,} {kind}" for kind, number in sorted(kinds.items())]
    pages = sum(file.pages for file in files)
    reused = sum(file.report.endswith(tell(REUSED)) for file in files)
    counted += [tell_count(pages, "{count} page", "{count} pages")] * bool(pages)
    counted += [f"{reused:,} {tell(REUSED)}"] * bool(reused)
    news = [f"{Path(file.name).name}: {rest}" for file in files if (rest := file.report.partition("; ")[2])]
    return "; ".join([", ".join(counted), *news])


def _list_files(target: Path, files: list[Any], _: Mapping[str, object]) -> list[str]:
    """A line for each file, with what reading it back gave."""
    return [f"{target / file.name}" + (f"  {file.report}" if file.report else "") for file in files]


_FILES_TOLD: dict[str, Callable[[Path, list[Any], Mapping[str, object]], list[str]]] = {
    "folder": _list_folders,
    "file": _list_files,
    "nothing": lambda *_: [],
}


def _keep_unchanged(folder: Path, content: Path, *, quiet: bool) -> None:
    """Sweep up beside an edition that is as publishing would make it, and say so."""
    from pocketref.output.files import sweep_unfinished
    from pocketref.publish.published import read_published

    sweep_unfinished(folder)
    if quiet:
        return
    edition = read_published(folder)
    if edition is not None:
        print_source(content, edition.association, edition.season)
    click.echo(
        tell("{folder}  unchanged: every file is as its manifest says; --fresh makes it anew", folder=folder)
    )
