"""What `publish` does and says: whether all is as it was, else proof, making and putting in place."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from pocketref.console import count, find_sources, print_problems, print_source, prove_source, show_files


def run_publish(
    given: tuple[Path | None, Path | None],
    out: Path,
    looks: dict[str, Any],
    members: Path | None,
    sign: Path | None,
    *,
    fresh: bool,
    told: str,
) -> None:
    """Publish into `out`, unless an edition there is as it would come out.

    `given` are the content and layouts folders, where they are; `looks` holds stock, paper, flip and order. What was
    made is `told` by "folder", by "file", or for "nothing" not at all.
    Raises PocketrefError with all that is wrong.
    """
    from pocketref.edition.reuse import find_unchanged, is_signed_by, list_options
    from pocketref.output.files import recover_folders
    from pocketref.publish.starter import is_carried

    sources = find_sources(*given)
    recover_folders(out)
    options = list_options(sources[0], members, **looks)
    unchanged = None if fresh else find_unchanged(out, *sources, options)
    if unchanged and is_signed_by(unchanged, _read_signer(sign, unchanged)):
        _keep_unchanged(unchanged, sources[0], quiet=told == "nothing")
        return
    is_demo = is_carried("content", sources[0], given[0], Path.cwd())
    _publish_anew(*sources, out, options, (members, sign), fresh=fresh, is_demo=is_demo, told=told)


def _build_members(roster: Path | None, proven: Any, run: Any) -> list[Any]:
    """The member run's files, with a progress bar in a terminal; none without a roster."""
    if roster is None:
        return []
    from pocketref.members.members import build_members
    from pocketref.members.roster import read_roster

    members = read_roster(roster)
    if not sys.stderr.isatty():
        return list(build_members(proven, members, roster.name, run))
    with click.progressbar(length=len(members), label="Members", file=sys.stderr) as bar:
        return list(build_members(proven, members, roster.name, run, bar.update))


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
    content: Path,
    layouts: Path,
    out: Path,
    options: dict[str, Any],
    files: tuple[Path | None, Path | None],
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

    members, sign = files
    with hold_collector():
        proven = prove_source(content, layouts, options["stock"], quiet=told == "nothing")
        run = make_run(proven.layouts, options["paper"], options["flip"], options["order"])
        edition = proven.library.edition
        target = out / edition.mark
        if is_demo:
            check_demo_place(edition.association, out)
        check_replaceable(edition.association, edition.mark, target)
        signer = _read_signer(sign, target)
        earlier = EarlierFiles() if fresh else read_earlier_files(target, signer)
        built = show_files(build_edition(proven, run, earlier))
    built += _build_members(members, proven, run)
    before = read_published(target)
    publish_edition(proven, built, out, signer, options)
    for line in _FILES_TOLD[told](target, built):
        click.echo(line)
    left_out = write_left_out(before, target, has_roster=members is not None, is_signed=sign is not None)
    print_problems((*left_out, *find_unkept(proven, content, out)))


def _list_folders(target: Path, files: list[Any]) -> list[str]:
    """A line for each folder: how many files of each kind, how many pages, and what there is to say besides."""
    folders: dict[Path, list[Any]] = {}
    for file in files:
        folders.setdefault((target / file.name).parent, []).append(file)
    return [f"{folder}  {_count_files(made)}" for folder, made in folders.items()]


def _count_files(files: list[Any]) -> str:
    from pocketref.edition.reuse import REUSED

    kinds = Counter(Path(file.name).suffix.lstrip(".").upper() for file in files)
    counted = [f"{number:,} {kind}" for kind, number in sorted(kinds.items())]
    pages = sum(file.pages for file in files)
    reused = sum(file.report.endswith(REUSED) for file in files)
    counted += [count(pages, "page")] * bool(pages) + [f"{reused:,} {REUSED}"] * bool(reused)
    news = [f"{Path(file.name).name}: {rest}" for file in files if (rest := file.report.partition("; ")[2])]
    return "; ".join([", ".join(counted), *news])


def _list_files(target: Path, files: list[Any]) -> list[str]:
    """A line for each file, with what reading it back gave."""
    return [f"{target / file.name}" + (f"  {file.report}" if file.report else "") for file in files]


_FILES_TOLD: dict[str, Callable[[Path, list[Any]], list[str]]] = {
    "folder": _list_folders,
    "file": _list_files,
    "nothing": lambda target, files: [],
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
    click.echo(f"{folder}  unchanged: every file is as its manifest says; --fresh makes it anew")
