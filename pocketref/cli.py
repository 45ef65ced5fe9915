"""The command line: the commands, their options and examples; with console and publishing all that prints and exits.

Exit 0 well, 1 findings, 2 wrong use. Heavy modules are imported by the command that needs them, so that
`--version` and `--help` start at once.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import click

from pocketref.console import (
    PATH,
    Commands,
    content_option,
    find_languages,
    find_sources,
    language_option,
    languages_option,
    option,
    paper_option,
    print_options,
    prove_source,
    report_refusals,
    say_unwritten,
    source_options,
    speak_languages,
    speak_to_reader,
)
from pocketref.editions import bulletin, changes, verify
from pocketref.looking import look
from pocketref.publishing import publish
from pocketref.training import game_report, mail, mark, syllabus
from pocketref.version import VERSION
from pocketref.words.terminal import tell, tell_count


def _show_version(context: click.Context, _: click.Parameter, is_wanted: bool) -> None:
    if is_wanted:
        click.echo(tell("pocketref, version {version}", version=VERSION))
        context.exit()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and exit.",
)
def main() -> None:
    """Compute and print an umpire association's cards and field sheets from one YAML source.

    \b
    Example: check everything, then publish into out/
      pocketref proof
      pocketref publish
    """
    # Matrices are small here: numpy's threads would wait for one another, ten times as long on a busy machine.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


@main.command()
@source_options
@print_options
@languages_option
@option("--plays", is_flag=True, help="Say for each table what the case plays exercise.")
@option("--from-memory", is_flag=True, help="List what is in doubt, and where it is printed.")
@option(
    "--review",
    type=PATH,
    metavar="FOLDER",
    help="Write what is in doubt into a new folder, to be compared with the books: a PDF to tick, a CSV to fill.",
)
@option(
    "--sign-off",
    type=PATH,
    metavar="CSV",
    help="Print what a filled-in review.csv puts into content/compared.yaml.",
)
@report_refusals(say_unwritten)
def proof(
    content: Path | None,
    layouts: Path | None,
    stock: str,
    paper: str,
    language: str,
    plays: bool,
    from_memory: bool,
    review: Path | None,
    sign_off: Path | None,
) -> None:
    """Check everything that publishing checks, publish nothing.

    A statement from memory or inferred is in doubt: it is marked wherever it is printed, until
    content/compared.yaml says that it was compared with the edition of the book that is in force.

    \b
    Example:
      pocketref proof --content my-content
      pocketref proof --review to-compare
      pocketref proof --sign-off to-compare/review.csv
    """
    from pocketref.edition.press import make_run
    from pocketref.edition.review import write_doubts, write_review
    from pocketref.edition.sign_off import read_sign_off
    from pocketref.publish.build import check_languages
    from pocketref.publish.starter import find_folder
    from pocketref.source.library import read_library

    if sign_off:
        with speak_languages(find_languages(language, content), content, layouts):
            click.echo(read_sign_off(sign_off, read_library(find_folder("content", content, Path.cwd()))))
        return
    sources = find_sources(content, layouts)
    with speak_languages(find_languages(language, content), *sources) as (languages, said):
        for line in (line for each in said for line in (*each.list_lacks(), each.summarize())):
            click.echo(line)
        proven = prove_source(*sources, stock, (), languages)
        run = make_run(proven.layouts, paper)
        check_languages(proven, run)
        if review:
            write_review(proven, run.paper, review)
    for line in write_doubts(proven) if from_memory else ():
        click.echo(line)
    _print_proof(proven, plays=plays)


def _print_proof(proven: Any, *, plays: bool) -> None:
    """What was proven, in figures, and what is in doubt; with what the plays exercise if that is asked for."""
    from pocketref.classes.class_proof import summarize_classes
    from pocketref.edition.play_proof import summarize_plays, write_coverage
    from pocketref.edition.review import summarize_doubts

    proved = tell(
        "{tables} ruling on {combinations}, each exactly once; {cards} and {sheets} that fit.",
        tables=tell_count(proven.tables, "{count} table", "{count} tables"),
        combinations=tell_count(proven.combinations, "{count} combination", "{count} combinations"),
        cards=tell_count(len(proven.cards), "{count} card", "{count} cards"),
        sheets=tell_count(len(proven.sheets), "{count} sheet", "{count} sheets"),
    )
    said = [
        proved,
        summarize_classes(proven.classes),
        *(write_coverage(proven.plays) if plays else ()),
        summarize_plays(proven.plays),
        summarize_doubts(proven.library),
    ]
    for line in filter(None, said):
        click.echo(line)


def _ask_fact(fact: Any) -> str:
    """The answer typed for a fact, asked until it is one of its answers or begins one."""
    from pocketref.rulings.answer import complete_answer

    shown = ", ".join(f"{a} ({words})" for a, words in zip(fact.answers, fact.labels, strict=True))
    while True:
        typed = click.prompt(f"{fact.ask}  {shown}")
        if given := complete_answer(fact, typed):
            return given
        click.echo(tell("'{typed}' is not one of: {answers}", typed=typed, answers=", ".join(fact.answers)))


@main.command()
@click.argument("subject", default="")
@click.argument("facts", nargs=-1, metavar="[FACT=ANSWER]...")
@content_option
@option("--code", default="", help="The code to rule by; default: the first in force.")
@option("--runners", default="", help="Bases with a runner, such as first,third; none for none.")
@option("--outs", default="", help="How many are out: 0, 1 or 2.")
@option("--count", "balls_strikes", default="", help="Balls and strikes, such as 1-2.")
@option("--json", "as_json", is_flag=True, help="Print the ruling as JSON; ask nothing.")
@report_refusals(say_unwritten)
def rule(
    subject: str,
    facts: tuple[str, ...],
    content: Path | None,
    code: str,
    runners: str,
    outs: str,
    balls_strikes: str,
    as_json: bool,
) -> None:
    """Rule on a play: SUBJECT, and what was seen as fact=answer; in a terminal the rest is asked.

    Without a SUBJECT, list the subjects with their facts, and the codes. The starter set has the codes
    high-school, professional, college and youth. Asked for an answer, its first letters are enough: y for yes.
    With runners, outs and count, what they answer is not asked, and where the game stands after the ruling is
    said.

    \b
    Example:
      pocketref rule
      pocketref rule contact bat-meets-ball=yes on-plate=yes --code high-school
      pocketref rule contact bat-meets-ball=yes on-plate=yes --runners first,third --outs 1 --count 1-2
    """
    from pocketref.edition.ruling_text import list_subjects, write_answer, write_answer_json
    from pocketref.publish.starter import find_folder
    from pocketref.rulings.answer import answer_play, construct_rules, next_question, read_facts
    from pocketref.rulings.next_state import find_next_states
    from pocketref.rulings.situation import add_situation, read_situations
    from pocketref.source.library import read_library

    folder = find_folder("content", content, Path.cwd())
    if not subject:
        with speak_to_reader(folder, read_library(folder)) as library:
            click.echo(list_subjects(library))
        return
    with report_refusals(), speak_to_reader(folder, read_library(folder), is_wanted=not as_json) as library:
        code = code or library.edition.codes[0]
        rules = construct_rules(library, subject, code)
        situations = read_situations(runners, outs, balls_strikes)
        answers = add_situation(library.subjects[subject], read_facts(rules.table, facts), situations)
        while sys.stdin.isatty() and not as_json and (fact := next_question(rules, answers)):
            answers[fact.name] = _ask_fact(fact)
        answer = answer_play(rules, answers)
        is_settled = len(situations) == 1 and not answer.unsettled
        states = find_next_states(situations[0], answer.ruling) if is_settled else ()
        if as_json:
            click.echo(write_answer_json(answer, code, subject, states))
        else:
            click.echo(write_answer(answer, code, subject, states, library.codes[code].uncaught_third))


@main.command()
@click.argument("language")
@source_options
@report_refusals(say_unwritten)
def words(language: str, content: Path | None, layouts: Path | None) -> None:
    """Write the catalogues of LANGUAGE, or bring them up to date: content/languages/LANGUAGE/*.po.

    LANGUAGE is a tag such as es or fr. Translations are kept; one whose English has changed is marked fuzzy, with
    what the English was. Any editor for PO files (GNU gettext) opens them.

    \b
    Example:
      pocketref words es
      pocketref proof --language es
    """
    from pocketref.layouts.layout_library import read_layouts
    from pocketref.publish.part_files import write_part_files
    from pocketref.source.library import read_library
    from pocketref.translations.refreshing import check_tag, refresh_language

    check_tag(language)

    sources = find_sources(content, layouts)
    library = read_library(sources[0])
    made = refresh_language(language, library, read_layouts(sources[1], library), *sources)
    write_part_files(made, sources[0])
    for file in made:
        click.echo(sources[0] / file.name)


@main.command()
@click.argument("file", type=PATH)
@option("--level", default="", help="The level it must be of, such as high-school-90-ft.")
@option("--line-width", default="", help="The width of the lines in use, such as '4 in'.")
@option("--report", type=PATH, help="Write the drawn report to this PDF file as well.")
@paper_option("Paper of the report, by its name in stocks.yaml; default: the one that house.yaml names.")
@option("--json", "as_json", is_flag=True, help="Print the answer as JSON, its words in English.")
@language_option
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
    language: str,
) -> None:
    """Judge taped readings: FILE is YAML, CSV, or a check sheet as filled in and saved (PDF).

    Exit 0 if all is good, 1 if something is out, unsettled, misread or unchecked, 2 if FILE can't be judged.

    \b
    Example:
      pocketref tape plate-area.pdf --report tape-report.pdf
    """
    from pocketref.publish.starter import find_folder
    from pocketref.source.library import read_library
    from pocketref.source.translation import translate_library
    from pocketref.tape_report.tape_answer import write_tape_answer, write_tape_json
    from pocketref.tape_report.tape_file import judge_file, read_line_width
    from pocketref.tape_report.tape_report import check_report_place, write_tape_report
    from pocketref.translations.language_proof import read_language
    from pocketref.words.speech import speak

    here = Path.cwd()
    with report_refusals():
        if report is not None:
            check_report_place(report, file)
        folder = find_folder("content", content, here)
        library, said = (
            read_library(folder),
            read_language(language, folder) if language not in ("", "en") else None,
        )
        with speak(said):
            library = translate_library(library, said) if said else library
            judged = judge_file(file, library, level, read_line_width(line_width))
            if report is not None:
                write_tape_report(judged, library, find_folder("layouts", layouts, here), paper, report)
            answer = write_tape_json(judged) if as_json else write_tape_answer(judged)
        if not language and not as_json:
            with speak_to_reader(folder, library):
                answer = write_tape_answer(judged)
    click.echo(answer)
    sys.exit(1 if judged.has_findings else 0)


main.add_command(publish)
main.add_command(changes)
main.add_command(bulletin)
main.add_command(verify)
main.add_command(look)
main.add_command(game_report)
main.add_command(mark)
main.add_command(syllabus)
main.add_command(mail)


@main.command()
@click.argument("folder")
@option(
    "--code",
    "codes",
    multiple=True,
    help="A code to start with, in place of the demo's; several may be given.",
)
@option(
    "--level",
    "levels",
    multiple=True,
    help="A level to start with, such as youth-70-ft, several too; else the first of each code.",
)
@report_refusals(say_unwritten)
def start(folder: str, codes: tuple[str, ...], levels: tuple[str, ...]) -> None:
    """Put a new association's own content and layouts into FOLDER, as copies of the demo's.

    \b
    Example:
      pocketref start our-association
      pocketref start our-youth-league --code youth
      pocketref start our-schools --code high-school --level youth-60-ft --level youth-70-ft
    """
    from pocketref.publish.start import start_folder
    from pocketref.publish.starter import find_carried

    if not folder.strip():
        raise click.BadParameter(tell("the folder's name is empty"), param_hint="FOLDER")
    made = start_folder(Path(folder), find_carried("content"), find_carried("layouts"), codes, levels)
    for note in made.notes:
        click.echo(note)
    click.echo(
        tell(
            "{count} files in {folder}. Write your own values into {folder}/content/edition.yaml, then",
            count=len(made.files),
            folder=folder,
        )
    )
    click.echo(f"  cd {folder} && pocketref proof")
