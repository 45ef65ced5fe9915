"""The commands of training nights; like the other commands they print and exit."""

from __future__ import annotations

from pathlib import Path

import click

from pocketref.console import PATH, content_option, report_refusals


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
