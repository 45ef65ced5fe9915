"""The commands of training nights; like the other commands they print and exit."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from pocketref.console import (
    PATH,
    command,
    content_option,
    count_errors,
    find_languages,
    find_sources,
    language_option,
    option,
    paper_option,
    print_problems,
    report_refusals,
    say_unwritten,
    source_options,
    speak_languages,
)
from pocketref.problems import Severity
from pocketref.words.terminal import tell, tell_count

_USED = "Another sheet or series whose plays are not to be asked again; may be given several times."
_ROSTER = "The roster (CSV), for names, chapters and who handed in nothing."


@command("game-report")
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
        tell(
            "To go under 'cases' of content/plays/{subject}.yaml, if you agree with what it expects:",
            subject=report.subject,
        )
    )
    click.echo(write_case_play(file, ruled, books), nl=False)


@command("mail")
@click.argument("sheet")
@option("--out", type=PATH, default=Path("mail"), show_default=True, help="Where a folder of that name goes.")
@language_option
@source_options
@report_refusals(say_unwritten)
def mail(sheet: str, content: Path | None, layouts: Path | None, out: Path, language: str) -> None:
    """Write each play of a training SHEET as pictures, and as a piece of HTML to mail.

    Each play has a PNG with its question, a PNG of its picture alone, and the HTML, which shows that one: open it in a
    browser, copy all of it and paste it into a message; the picture comes with it. The key is behind its link.

    \b
    Example:
      pocketref mail weekly-01
    """
    from pocketref.edition.making import Maker
    from pocketref.edition.proof import prove_training
    from pocketref.edition.whole_source import read_whole_source, translate_source
    from pocketref.output.files import publish_folder
    from pocketref.problems import ProblemLog
    from pocketref.web.mail import build_mail, check_mailed
    from pocketref.words.speech import find_language

    sources, problems = find_sources(content, layouts), ProblemLog()
    with speak_languages(find_languages(language, content), *sources):
        source = read_whole_source(*sources)
        if spoken := find_language():
            source = translate_source(source, spoken)
        plays, _ = prove_training(source, problems, Maker(), with_classes=False)
        problems.raise_errors()
        files = {file.name: file.data for file in build_mail(sheet, plays, source.layouts)}
    folder = out / language / sheet
    publish_folder(folder, files, check_mailed)
    pieces = [name for name in files if name.endswith(".html")]
    click.echo(
        tell_count(
            len(pieces),
            "{count} play to mail: {first} is the first of {files} files.",
            "{count} plays to mail: {first} is the first of {files} files.",
            first=folder / pieces[0],
            files=len(files),
        )
    )


@command()
@click.argument("answers", nargs=-1, type=PATH)
@option("--members", type=PATH, help=_ROSTER)
@option("--json", "as_json", is_flag=True, help="Print the marks as JSON.")
@option("--csv", "tables", type=PATH, metavar="FOLDER", help="Write the marks as CSV into a new folder.")
@option("--report", type=PATH, help="Write the marks to this PDF file as well.")
@paper_option("Paper of the report, by its name in stocks.yaml; default: the one that house.yaml names.")
@option(
    "--next",
    "next_sheet",
    type=PATH,
    metavar="YAML",
    help="Write a layout of the fewest plays for the rows that were missed, such as layouts/plays/week-5.yaml.",
)
@option("--used", multiple=True, metavar="SHEET", help=_USED)
@option(
    "--template",
    nargs=2,
    metavar="SHEET CSV",
    help="Write an empty answers file for a sheet to type answers into, a row for each of --members.",
)
@source_options
@report_refusals(count_errors)
def mark(
    content: Path | None,
    layouts: Path | None,
    answers: tuple[Path, ...],
    members: Path | None,
    as_json: bool,
    tables: Path | None,
    report: Path | None,
    paper: str,
    next_sheet: Path | None,
    used: tuple[str, ...],
    template: tuple[str, str] | None,
) -> None:
    """Mark answers to training sheets: who has what right, what each play showed, and what was misread.

    ANSWERS are CSV files, typed or saved by the edition's page, and answer sheets as filled in (PDF). Exit 0 if
    all were marked, 1 if not. Names and marks are written only into the files that you name.

    \b
    Example:
      pocketref mark --template weekly-01 answers.csv --members roster.csv
      pocketref mark answers.csv --report marks.pdf --next layouts/plays/week-2.yaml

    \b
    A row of CSV is a member's answers to a sheet, a letter a play, - for none; number and chapter may be left out:
      name,number,chapter,sheet,answers
      Ann Exemplar,1001,North Shore,weekly-01,ABD-CA
    """
    from pocketref.marks.mark_files import write_marks_json, write_template
    from pocketref.marks.mark_text import write_marks
    from pocketref.marks.training_sheets import read_training
    from pocketref.members.roster import read_roster

    if bool(answers) == bool(template):
        raise click.UsageError(tell("give answers to mark, or --template SHEET CSV"))
    training = read_training(*find_sources(content, layouts))
    roster = read_roster(members) if members else ()
    if template:
        path = Path(template[1])
        write_template(training.find_sheets(template[0])[0], roster, path)
        click.echo(path)
        return
    marks, is_whole = _mark(training, answers, roster)
    click.echo(write_marks_json(marks) if as_json else write_marks(marks))
    _write_files(training, marks, (tables, report, next_sheet), paper, used, err=as_json)
    sys.exit(0 if is_whole else 1)


def _mark(training: Any, answers: tuple[Path, ...], roster: Any) -> tuple[Any, bool]:
    """The marks, and whether all that came in is marked; says what is not. PocketrefError if nothing is."""
    from pocketref.marks.answers import read_answers
    from pocketref.marks.marking import mark_answers
    from pocketref.problems import PocketrefError, refusal

    intake = read_answers(answers, training.sheets, training.books.library.edition.mark)
    marks = mark_answers(intake, training.sheets, training.books, roster)
    found = tuple(intake.problems.problems)
    is_whole = not any(problem.severity is Severity.ERROR for problem in found)
    if not marks.sheets:
        if is_whole:
            raise refusal(
                "answers-empty", tell("no play is answered"), tell("fill in a letter for each play")
            )
        raise PocketrefError(found)
    print_problems(found, None)
    return marks, is_whole


def _write_files(
    training: Any,
    marks: Any,
    files: tuple[Path | None, Path | None, Path | None],
    paper: str,
    used: tuple[str, ...],
    *,
    err: bool,
) -> None:
    """Write those that are wanted of the folder of CSV, the report and the next sheet, and name them."""
    from pocketref.marks.mark_files import write_marks_csv
    from pocketref.marks.mark_report import write_mark_report
    from pocketref.marks.next_sheet import write_next_layout

    tables, report, next_sheet = files
    if tables:
        write_marks_csv(marks, tables)
    if report:
        write_mark_report(marks, training.layouts, paper, report)
    if next_sheet:
        click.echo(write_next_layout(training, marks, used, next_sheet), err=err)
    for path in filter(None, files):
        click.echo(path, err=err)


@command()
@click.argument("sheet")
@click.argument("answers", nargs=-1, type=PATH)
@option("--weeks", type=click.IntRange(1, 60), help="How many weeks; default: as SHEET's series has.")
@option("--each", type=click.IntRange(1, 30), help="Plays in a week; default: as SHEET's series has.")
@option("--used", multiple=True, metavar="SHEET", help=_USED)
@option("--out", type=PATH, metavar="YAML", help="Write the weeks as a layout, as layouts/plays/season.yaml.")
@source_options
@report_refusals(count_errors)
def syllabus(
    content: Path | None,
    layouts: Path | None,
    sheet: str,
    answers: tuple[Path, ...],
    weeks: int | None,
    each: int | None,
    used: tuple[str, ...],
    out: Path | None,
) -> None:
    """Plan the weeks of a season: every row of the tables as early as can be, no play twice.

    SHEET is a layout of layouts/plays: its code, subjects and tags say which plays may come up. Rows that a class
    missed, by its ANSWERS, come again 1, 4 and 8 weeks later (our proposal); weeks of SHEET that were marked stay.

    \b
    Example:
      pocketref syllabus weekly --weeks 16 --each 7 --out layouts/plays/season.yaml
      pocketref syllabus season week-1.csv week-2.csv --out layouts/plays/season.yaml
    """
    from pocketref.marks.syllabus import plan_syllabus, size_syllabus, write_syllabus, write_syllabus_file
    from pocketref.marks.training_sheets import read_training

    sources = find_sources(content, layouts)
    training = read_training(*sources)
    size = size_syllabus(training, sheet, weeks, each)
    marks, is_whole = _mark(training, answers, ()) if answers else (None, True)
    found = plan_syllabus(training, sheet, size, marks, used)
    click.echo(write_syllabus(found))
    if out:
        write_syllabus_file(found, out)
        click.echo(out)
    sys.exit(0 if is_whole else 1)
