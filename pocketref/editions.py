"""The commands from one edition to the next: what changed, what a bulletin says, which edition is which."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from pocketref.console import (
    PATH,
    command,
    count_errors,
    find_sources,
    option,
    paper_option,
    print_problems,
    prove_source,
    report_refusals,
    source_options,
)
from pocketref.words.terminal import tell


@command()
@click.argument("sources", nargs=-1, type=PATH, metavar="OLD NEW")
@option("--codes", nargs=2, metavar="CODE CODE", help="Compare two codes of one content folder.")
@option("--json", "as_json", is_flag=True, help="Print the changes as JSON.")
@option("--out", type=PATH, help="Write the sheet to this PDF file as well.")
@paper_option("Paper of the sheet, by its name in stocks.yaml; default: the one that house.yaml names.")
@option("--layouts", type=PATH, help="The layouts folder with stocks.yaml.")
@report_refusals(count_errors)
def changes(
    sources: tuple[Path, ...],
    codes: tuple[str, str] | None,
    as_json: bool,
    out: Path | None,
    paper: str,
    layouts: Path | None,
) -> None:
    """Say what differs between two editions (published, stored or content folders), or two codes.

    \b
    Example:
      pocketref changes content/past/2026.json out/2027 --out what-changed.pdf
      pocketref changes --codes high-school college
    """
    from pocketref.changes.change_sheet import build_change_sheet, write_sheet
    from pocketref.changes.change_text import write_changes, write_changes_json
    from pocketref.changes.changes import compare_codes, compare_editions
    from pocketref.edition.source_reading import read_edition_source
    from pocketref.layouts.layout_library import read_papers
    from pocketref.output.files import recover_folders
    from pocketref.publish.starter import find_folder

    if codes is None and len(sources) != 2:
        raise click.UsageError(tell("give two editions, or --codes and two codes"))
    if codes is not None and len(sources) > 1:
        raise click.UsageError(tell("--codes compares within one content folder"))
    _check_pdf(out, tell("the sheet is a PDF, and {out} does not end in .pdf", out=out))
    for source in sources:
        recover_folders(source.parent)
    if codes is None:
        found = compare_editions(*(read_edition_source(source) for source in sources))
    else:
        content = find_folder("content", sources[0] if sources else None, Path.cwd())
        found = compare_codes(read_edition_source(content).library, *codes)
    if out is not None:
        papers = read_papers(find_folder("layouts", layouts, Path.cwd()))
        write_sheet(build_change_sheet(found, papers, paper), out)
    click.echo(write_changes_json(found) if as_json else write_changes(found))


@command()
@source_options
@option("--out", type=PATH, help="Write its page to this PDF file as well.")
@paper_option("Paper of the page, by its name in stocks.yaml; default: the one that house.yaml names.")
@report_refusals(count_errors)
def bulletin(content: Path | None, layouts: Path | None, out: Path | None, paper: str) -> None:
    """Say what the newest bulletin in edition.yaml changes and which cards it concerns; publish nothing.

    `publish` prints it with all that goes with it: feed entry, replacement cards, the edition corrected.

    \b
    Example:
      pocketref bulletin --out bulletin.pdf
    """
    from pocketref.bulletins.bulletin import no_bulletin
    from pocketref.bulletins.bulletin_sheet import build_bulletin_sheet
    from pocketref.bulletins.bulletin_text import write_bulletin
    from pocketref.changes.change_sheet import write_sheet
    from pocketref.edition.press import make_run
    from pocketref.publish.build import check_edition

    _check_pdf(out, tell("the page is a PDF, and {out} does not end in .pdf", out=out))
    proven = prove_source(*find_sources(content, layouts), "")
    found = check_edition(proven, make_run(proven.layouts)).bulletin
    if found is None:
        raise no_bulletin(proven.library.edition)
    if out is not None:
        page = build_bulletin_sheet(found, proven.library, proven.layouts, paper, is_published=False)
        write_sheet(page, out)
    click.echo(write_bulletin(found))


def _check_pdf(out: Path | None, sentence: str) -> None:
    if out is not None and out.suffix.lower() != ".pdf":
        raise click.BadParameter(sentence, param_hint="--out")


@command()
@click.argument("folder", type=PATH)
@option("--key", type=PATH, help="The association's public key (PEM).")
@option("--digest", default="", help="The digest beside a card's QR code, to compare.")
@report_refusals(count_errors)
def verify(folder: Path, key: Path | None, digest: str) -> None:
    """Say whether the published edition in FOLDER is as its manifest says, who vouches for that, and whether a
    later one lies beside it.

    \b
    Example:
      pocketref verify out/2027 --key association-public.pem
      pocketref verify out/2027 --digest "12345 67890 12345 67890"
    """
    from pocketref.edition.signing import read_public_key
    from pocketref.edition.verify import verify_folder
    from pocketref.output.files import recover_folders
    from pocketref.publish.current import name_edition, write_current

    recover_folders(folder.parent)
    public = read_public_key(key) if key else None
    found = verify_folder(folder, public, digest)
    problems = name_edition(found.problems, folder, digest) or (() if key else found.find_unknown_key())
    print_problems(tuple(problems), None)
    if problems:
        if found.printed and not found.problems:
            click.echo(found.write_digest())
        click.echo(found.write_fault(problems, folder), err=True)
        sys.exit(1)
    click.echo(found.write(has_key=key is not None))
    click.echo(found.write_digest())
    click.echo(write_current(folder, public))
