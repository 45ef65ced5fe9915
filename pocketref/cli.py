"""The command line: the only place that prints and exits.

Exit 0 well, 1 findings, 2 wrong use. Heavy modules are imported by the command that needs them, so that
`--version` and `--help` start at once.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from pocketref.console import Commands, content_option, count, print_problems, report_problems, source_options
from pocketref.problems import PocketrefError, render_problem
from pocketref.version import VERSION


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(VERSION, prog_name="pocketref")
def main() -> None:
    """Compute and print an umpire association's cards and field sheets from one YAML source.

    \b
    Example: check everything, then publish into out/
      pocketref proof
      pocketref publish
    """


@main.command()
@source_options
@click.option("--plays", is_flag=True, help="Say for each table what the case plays exercise.")
@report_problems
def proof(content: Path | None, layouts: Path | None, plays: bool) -> None:
    """Check everything, write nothing.

    \b
    Example:
      pocketref proof --content my-content
    """
    from pocketref.edition.plays import summarize_plays, write_coverage
    from pocketref.edition.proof import prove
    from pocketref.edition.starter import find_folder

    here = Path.cwd()
    proven = prove(find_folder("content", content, here), find_folder("layouts", layouts, here))
    print_problems(proven.warnings)
    for line in proven.from_memory:
        click.echo(f"from memory, compare with the book: {line}")
    click.echo(
        f"{count(proven.tables, 'table')} ruling on {count(proven.combinations, 'combination')}, each exactly "
        f"once; {count(len(proven.cards), 'card')} and {count(len(proven.sheets), 'sheet')} that fit."
    )
    for line in (*write_coverage(proven.plays.coverage, all_tables=plays), *summarize_plays(proven.plays)):
        click.echo(line)


@main.command()
@click.argument("subject")
@click.argument("facts", nargs=-1, metavar="[FACT=ANSWER]...")
@content_option
@click.option("--code", default="high-school", show_default=True, help="The code to rule by.")
@click.option("--json", "as_json", is_flag=True, help="Print the ruling as JSON; ask nothing.")
@report_problems
def rule(subject: str, facts: tuple[str, ...], content: Path | None, code: str, as_json: bool) -> None:
    """Rule on a play: SUBJECT, and what was seen as fact=answer; in a terminal the rest is asked.

    \b
    Example:
      pocketref rule contact bat-meets-ball=yes on-plate=yes --code high-school
    """
    from pocketref.edition.ruling_text import write_answer, write_answer_json
    from pocketref.edition.starter import find_folder
    from pocketref.rulings.answer import answer_play, next_question, open_docket, read_facts
    from pocketref.source.library import read_library

    library = read_library(find_folder("content", content, Path.cwd()))
    try:
        docket = open_docket(library, subject, code)
        answers = read_facts(docket.table, facts)
        while sys.stdin.isatty() and not as_json and (fact := next_question(docket, answers)):
            shown = ", ".join(f"{a} ({words})" for a, words in zip(fact.answers, fact.labels, strict=True))
            choice = click.Choice(fact.answers)
            answers[fact.name] = click.prompt(f"{fact.ask}  {shown}", type=choice, show_choices=False)
        answer = answer_play(docket, answers)
    except PocketrefError as error:
        for problem in error.problems:
            click.echo(render_problem(problem), err=True)
        sys.exit(2)
    write = write_answer_json if as_json else write_answer
    click.echo(write(answer, code, subject))


def _build_members(roster: Path | None, proven: Any, run: Any, stock: str) -> list[Any]:
    """The member run's files, with a progress bar in a terminal; none without a roster."""
    if roster is None:
        return []
    from pocketref.edition.members import build_members
    from pocketref.edition.roster import read_roster

    members = read_roster(roster)
    with click.progressbar(length=len(members), label="Members", file=sys.stderr) as bar:
        return list(build_members(proven, members, roster.name, run, stock, bar.update))


def _show_files(files: Iterable[Any]) -> list[Any]:
    """All the files, with their number as they are made where somebody watches."""
    if not sys.stderr.isatty():
        return list(files)
    with click.progressbar(files, label="Files", show_pos=True, file=sys.stderr) as bar:
        return list(bar)


def _read_signer(path: Path | None, target: Path) -> Any:
    """What signs the manifest of the edition in `target`; None without a key."""
    if path is None:
        return None
    from pocketref.edition.signing import check_key_place, make_signer

    check_key_place(path, target)
    signer, warnings = make_signer(path)
    print_problems(warnings)
    return signer


@main.command()
@source_options
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("out"),
    show_default=True,
    help="Where editions go.",
)
@click.option("--stock", default="", help="Lay the cards out on another stock, by its name in stocks.yaml.")
@click.option(
    "--paper", default="letter", show_default=True, help="Paper of the press sheets, in stocks.yaml."
)
@click.option(
    "--flip", type=click.Choice(["long", "short"]), default="long", show_default=True, help="Duplex edge."
)
@click.option(
    "--order",
    type=click.Choice(["sequence", "repeat", "cut-and-stack"]),
    default="sequence",
    show_default=True,
    help="How cards follow on press sheets.",
)
@click.option("--members", type=click.Path(path_type=Path), help="Print cards by name for this roster (CSV).")
@click.option(
    "--sign", type=click.Path(path_type=Path), help="Sign the manifest with this private key (PEM)."
)
@click.option("--fresh", is_flag=True, help="Make every file anew, whatever is in OUT already.")
@report_problems
def publish(
    content: Path | None,
    layouts: Path | None,
    out: Path,
    stock: str,
    paper: str,
    flip: Any,
    order: Any,
    members: Path | None,
    sign: Path | None,
    fresh: bool,
) -> None:
    """Check everything, then write the edition into OUT/<edition>.

    Files of an edition that is there already are used again if they would come out the same.

    \b
    Example:
      pocketref publish --out out
      pocketref publish --members roster.csv --sign association-private.pem
    """
    from pocketref.edition.reuse import find_unchanged, is_signed_by, list_options
    from pocketref.edition.starter import find_folder
    from pocketref.output.files import sweep_leftovers

    here = Path.cwd()
    sources = find_folder("content", content, here), find_folder("layouts", layouts, here)
    options = list_options(sources[0], members, stock=stock, paper=paper, flip=flip, order=order)
    unchanged = None if fresh else find_unchanged(out, *sources, options)
    if unchanged and is_signed_by(unchanged, _read_signer(sign, unchanged)):
        sweep_leftovers(unchanged)
        click.echo(f"{unchanged}  unchanged: every file is as it was published; --fresh makes it anew")
        return
    from pocketref.edition.build import build_edition, hold_collector, publish_edition
    from pocketref.edition.press import PressRun
    from pocketref.edition.proof import prove
    from pocketref.edition.reuse import Shelf, open_shelf

    run = PressRun(paper, flip, order)
    with hold_collector():
        proven = prove(*sources, stock)
        print_problems(proven.warnings)
        target = out / proven.library.edition.edition
        signer = _read_signer(sign, target)
        files = _show_files(build_edition(proven, run, Shelf() if fresh else open_shelf(target)))
    files += _build_members(members, proven, run, stock)
    publish_edition(proven, files, out, signer, options)
    for file in files:
        click.echo(f"{target / file.name}" + (f"  {file.report}" if file.report else ""))


@main.command()
@click.argument("sources", nargs=-1, type=click.Path(path_type=Path), metavar="OLD NEW")
@click.option("--codes", nargs=2, metavar="CODE CODE", help="Compare two codes of one content folder.")
@click.option("--json", "as_json", is_flag=True, help="Print the changes as JSON.")
@click.option("--out", type=click.Path(path_type=Path), help="Write the sheet to this PDF file as well.")
@report_problems
def changes(
    sources: tuple[Path, ...], codes: tuple[str, str] | None, as_json: bool, out: Path | None
) -> None:
    """Say what differs between two editions (published, stored or content folders), or two codes.

    \b
    Example:
      pocketref changes out/2026 out/2027 --out what-changed.pdf
      pocketref changes --codes high-school college
    """
    from pocketref.edition.change_sheet import write_change_sheet
    from pocketref.edition.change_text import write_changes, write_changes_json
    from pocketref.edition.changes import compare_codes, compare_editions
    from pocketref.edition.source_reading import read_edition_source
    from pocketref.edition.starter import find_folder

    if codes is None and len(sources) != 2:
        raise click.UsageError("give two editions, or --codes and two codes")
    if codes is not None and len(sources) > 1:
        raise click.UsageError("--codes compares within one content folder")
    if codes is None:
        found = compare_editions(*(read_edition_source(source) for source in sources))
    else:
        content = find_folder("content", sources[0] if sources else None, Path.cwd())
        found = compare_codes(read_edition_source(content).library, *codes)
    if out is not None:
        write_change_sheet(found, out)
    click.echo(write_changes_json(found) if as_json else write_changes(found))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--level", default="", help="The level it must be of, such as high-school-90-ft.")
@click.option("--line-width", default="", help="The width of the lines in use, such as '4 in'.")
@click.option(
    "--report", type=click.Path(path_type=Path), help="Write the drawn report to this PDF file as well."
)
@click.option("--paper", default="letter", show_default=True, help="Paper of the report, in stocks.yaml.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@source_options
def tape(
    content: Path | None,
    layouts: Path | None,
    file: Path,
    level: str,
    line_width: str,
    report: Path | None,
    paper: str,
    as_json: bool,
) -> None:
    """Judge taped readings: FILE is YAML, CSV, or a check sheet as filled in and saved (PDF).

    Exit 0 if all is good, 1 if something is out, unsettled, misread or unchecked, 2 if FILE can't be judged.

    \b
    Example:
      pocketref tape plate-area.pdf --report tape-report.pdf
    """
    from pocketref.edition.starter import find_folder
    from pocketref.edition.tape_answer import write_tape_answer, write_tape_json
    from pocketref.edition.tape_file import judge_file, read_line_width
    from pocketref.edition.tape_report import write_tape_report
    from pocketref.source.library import read_library

    here = Path.cwd()
    try:
        library = read_library(find_folder("content", content, here))
        judged = judge_file(file, library, level, read_line_width(line_width))
        if report is not None:
            write_tape_report(judged, library, find_folder("layouts", layouts, here), paper, report)
    except PocketrefError as error:
        for problem in error.problems:
            click.echo(render_problem(problem), err=True)
        sys.exit(2)
    click.echo(write_tape_json(judged) if as_json else write_tape_answer(judged))
    sys.exit(1 if judged.has_findings else 0)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--key", type=click.Path(path_type=Path), help="The association's public key (PEM).")
@report_problems
def verify(folder: Path, key: Path | None) -> None:
    """Say whether the published edition in FOLDER is whole and unaltered, and who signed it.

    \b
    Example:
      pocketref verify out/2027 --key association-public.pem
    """
    from pocketref.edition.signing import read_public_key
    from pocketref.edition.verify import verify_folder

    verdict = verify_folder(folder, read_public_key(key) if key else None)
    for problem in verdict.problems:
        click.echo(render_problem(problem), err=True)
    if verdict.problems:
        click.echo(f"{folder} is not as it was published.", err=True)
        sys.exit(1)
    signer = f"signed by key {verdict.signed_by}" if verdict.signed_by else "not signed"
    if verdict.signed_by and key is None:
        signer += " (give --key to check whose it is)"
    click.echo(f"Edition {verdict.edition}: {verdict.files} files, whole and unaltered; {signer}.")


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@report_problems
def start(folder: Path) -> None:
    """Put a new association's own content and layouts into FOLDER, from the starter set.

    \b
    Example:
      pocketref start our-association
    """
    from pocketref.edition.start import start_folder
    from pocketref.edition.starter import find_folder

    nowhere = folder / "content"  # what stands beside the user is not the starter set
    sources = [find_folder(name, None, nowhere) for name in ("content", "layouts")]
    written = start_folder(folder, *sources)
    click.echo(
        f"{len(written)} files in {folder}. Write your own values into {folder}/content/edition.yaml, then"
    )
    click.echo(f"  cd {folder} && pocketref proof")
