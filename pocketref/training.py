"""The commands of training nights; like the other commands they print and exit."""

from __future__ import annotations

from pathlib import Path

import click

from pocketref.console import (
    NOTHING,
    PATH,
    content_option,
    count,
    find_sources,
    report_refusals,
    source_options,
)


@click.command("game-report")
@click.argument("file", type=PATH)
@content_option
@report_refusals()
def game_report(file: Path, content: Path | None) -> None:
    """Rule on a play that an umpire wrote down after a game, and make a case play of it.

    FILE is YAML: what a case play tells, with a name and its subject, and without what is expected.

    \b
    Example:
      pocketref game-report saturday.yaml

    \b
    What FILE holds:
      report: foot-on-plate
      subject: contact
      title: A foot on the plate
      situation: {runners: [third], outs: 1, count: 1-1}
      story: The batter bunts with one foot on the plate, and the runner scores.
      facts: {bat-meets-ball: "yes", on-plate: "yes"}
    """
    from pocketref.edition.ruling_text import write_answer
    from pocketref.plays.game_report import list_shown, read_game_report, rule_on_report, write_case_play
    from pocketref.plays.plays import RuleBooks
    from pocketref.publish.starter import find_folder
    from pocketref.rulings.next_state import find_next_states
    from pocketref.source.library import read_library

    library = read_library(find_folder("content", content, Path.cwd()))
    report, books = read_game_report(file), RuleBooks(library)
    ruled = rule_on_report(report, books)
    click.echo("".join(f"{line}\n" for line in list_shown(library, ruled[0])))
    for play in ruled:
        settled = () if play.answer.unsettled else (report.situation, play.answer.ruling, report.pitch)
        states = find_next_states(*settled) if settled else ()
        uncaught = library.codes[play.code].uncaught_third
        click.echo(write_answer(play.answer, play.code, report.subject, states, uncaught) + "\n")
    click.echo(
        f"To go under 'cases' of content/plays/{report.subject}.yaml, if you agree with what it expects:"
    )
    click.echo(write_case_play(file, ruled, books), nl=False)


@click.command("mail")
@click.argument("sheet")
@click.option(
    "--out", type=PATH, default=Path("mail"), show_default=True, help="Where a folder of that name goes."
)
@source_options
@report_refusals(NOTHING)
def mail(sheet: str, content: Path | None, layouts: Path | None, out: Path) -> None:
    """Write each play of a training SHEET as pictures, and as a piece of HTML to mail.

    Each play has a PNG with its question, a PNG of its picture alone, and the HTML, which shows that one: open it in a
    browser, copy all of it and paste it into a message; the picture comes with it. The key is behind its link.

    \b
    Example:
      pocketref mail weekly-01
    """
    from pocketref.edition.play_proof import prove_plays
    from pocketref.layouts.layout_library import read_layouts
    from pocketref.output.files import publish_folder
    from pocketref.problems import ProblemLog
    from pocketref.source.library import read_library
    from pocketref.web.mail import build_mail, check_mailed

    here, looks = find_sources(content, layouts)
    library = read_library(here)
    problems = ProblemLog()
    papers = read_layouts(looks, library, here)
    plays = prove_plays(library, papers, looks, problems)
    problems.raise_errors()
    files = {file.name: file.data for file in build_mail(sheet, plays, papers)}
    publish_folder(out / sheet, files, check_mailed)
    pieces = [name for name in files if name.endswith(".html")]
    click.echo(
        f"{count(len(pieces), 'play')} to mail: {out / sheet / pieces[0]} is the first of {len(files)} files."
    )
