"""What every command shares: its options for folders, its refusals, and an output that may take little."""

from __future__ import annotations

import errno
import gettext
import inspect
import io
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from copy import copy
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import click

from pocketref.problems import PocketrefError, Problem, Severity, explain_refusal, render_problem
from pocketref.words.speech import Language, speak
from pocketref.words.terminal import list_wanted, name_reader, tell, tell_count, tell_help, tell_in

PATH = click.Path(path_type=Path)
_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow"}


Ending = Callable[[int], str]
"""What ends a list of findings, by the number of errors."""


def count_errors(count: int) -> str:
    """The number of errors."""
    return tell_count(count, "{count} error.", "{count} errors.")


def say_unwritten(count: int) -> str:
    """The number of errors, for which nothing was written."""
    return tell_count(count, "{count} error; nothing was written.", "{count} errors; nothing was written.")


@contextmanager
def report_refusals(ending: Ending | None = None) -> Iterator[None]:
    """Print what is refused, place and remedy; exit 1 with the number of errors by the ending, 2 if there is none."""
    try:
        yield
    except PocketrefError as error:
        print_problems(error.problems, ending)
        sys.exit(2 if ending is None else 1)


def print_problems(problems: tuple[Problem, ...], ending: Ending | None = say_unwritten) -> None:
    """Each finding with its place and remedy, warnings first; after errors, their number and what that means."""
    for problem in sorted(problems, key=lambda each: each.severity is Severity.ERROR):
        click.echo(render_problem(problem, _paint), err=True, color=_take_colour())
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    if errors and ending is not None:
        click.echo(ending(errors), err=True)


def _paint(severity: Severity) -> str:
    return click.style(tell(severity), fg=_COLOURS[severity], bold=True)


def _take_colour() -> bool | None:
    """False where the user wants no colour (no-color.org); else None, by which a terminal alone gets any."""
    return False if os.environ.get("NO_COLOR") else None


def print_source(content: Path, association: str = "", season: str = "", *, err: bool = False) -> None:
    """The first line of what is made from a source: which folder it is, and whose."""
    folder = content.resolve()
    if association:
        said = tell(
            "content: {folder} ({association}, {season})",
            folder=folder,
            association=association,
            season=season,
        )
    else:
        said = tell("content: {folder}", folder=folder)
    click.echo(said, err=err)


def find_sources(content: Path | None, layouts: Path | None) -> tuple[Path, Path]:
    """The two folders that a command works from; says so where they are the demo's for want of the user's own."""
    from pocketref.publish.starter import find_folder, write_carried

    here = Path.cwd()
    found = find_folder("content", content, here), find_folder("layouts", layouts, here)
    given = {"content": content, "layouts": layouts}
    print_problems(write_carried(dict(zip(given, found, strict=True)), given, here))
    return found


def prove_source(
    content: Path,
    layouts: Path,
    stock: str,
    only: Sequence[str] = (),
    languages: Sequence[Any] = (),
    *,
    quiet: bool = False,
) -> Any:
    """The proven source, in each of several languages.

    First of all says whose it is, unless it is to be quiet, and its warnings.
    """
    from pocketref.edition.making import WatchedMaker
    from pocketref.edition.proof import prove

    try:
        with show_progress(tell("Checks"), quiet=quiet) as progress:
            maker = WatchedMaker(progress.expect, progress.advance)
            proven = prove(content, layouts, stock, only, maker, languages)
    except PocketrefError:
        print_source(content, err=True)
        raise
    if not quiet:
        print_source(content, proven.library.edition.association, proven.library.edition.season)
    print_problems(proven.warnings)
    return proven


class Progress:
    """How far long work has come, on a bar on stderr if there is one."""

    def __init__(self, bar: Any = None) -> None:
        self._bar = bar

    def expect(self, steps: int) -> None:
        """Be told how many steps there are."""
        if self._bar:
            self._bar.length = steps

    def advance(self, steps: int) -> None:
        """Show that so many more steps are taken."""
        if self._bar:
            self._bar.update(steps)


@contextmanager
def show_progress(label: str, steps: int = 1, *, quiet: bool = False) -> Iterator[Progress]:
    """What is to be told how far long work has come; it shows that where somebody watches and wants to know."""
    if quiet or not sys.stderr.isatty():
        yield Progress()
        return
    with click.progressbar(length=steps, label=label, show_pos=True, file=sys.stderr) as bar:
        yield Progress(bar)


def show_files(files: Iterable[Any], *, quiet: bool = False) -> list[Any]:
    """All the files, with their number as they are made where somebody watches."""
    if quiet or not sys.stderr.isatty():
        return list(files)
    with click.progressbar(files, label=tell("Files"), show_pos=True, file=sys.stderr) as bar:
        return list(bar)


class Option(click.Option):
    """An option that tells its help in the reader's language; `slots` are what stands in it."""

    def __init__(self, *args: Any, slots: dict[str, object] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.slots = slots or {}

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """Its names, and its help."""
        told = copy(self)
        told.help = self.help and tell(self.help, **self.slots)
        return super(Option, told).get_help_record(ctx)


class Command(click.Command):
    """A command that tells its help in the reader's language."""

    def format_help_text(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write its help."""
        super(Command, _tell_command(self)).format_help_text(ctx, formatter)

    def get_short_help_str(self, limit: int = 45) -> str:
        """Its first sentence."""
        return super(Command, _tell_command(self)).get_short_help_str(limit)


_C = TypeVar("_C", bound=click.Command)


def _tell_command(command: _C) -> _C:
    told = copy(command)
    told.help = command.help and tell_help(inspect.cleandoc(command.help))
    return told


option = partial(click.option, cls=Option)
command = partial(click.command, cls=Command)


def content_option(called: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --content."""
    words = "Content folder; default: content beside you, else the demo's."
    return option("--content", type=PATH, help=words)(called)


def source_options(called: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --content and --layouts."""
    words = "Layouts folder; default: layouts beside you, else the demo's."
    return content_option(option("--layouts", type=PATH, help=words)(called))


def language_option(called: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --language."""
    words = "Print in another language, by its folder's name in content/languages, such as es."
    return option("--language", default="", help=words)(called)


languages_option = option(
    "--language",
    default="",
    help="Print in another language, by its folder's name in content/languages, such as es; en,es for both. "
    "Default: those of edition.yaml, else English.",
)


def find_languages(asked: str, content: Path | None) -> tuple[str, ...]:
    """The languages of an edition, its own first: those asked for, else those that edition.yaml names."""
    from pocketref.publish.starter import find_folder
    from pocketref.source.library import read_languages

    names = tuple(name.strip() for name in asked.split(",")) if asked else ()
    if len(set(names)) < len(names):
        raise click.BadParameter(tell("a language stands twice"), param_hint="--language")
    return names or read_languages(find_folder("content", content, Path.cwd()))


@contextmanager
def speak_languages(
    names: Sequence[str], content: Path | None, layouts: Path | None
) -> Iterator[tuple[tuple[Any, ...], tuple[Any, ...]]]:
    """Within it, what is printed is in the first language of these names, in English without.

    Gives the edition's languages, none where it is in one, and the proof of each but English.
    """
    from pocketref.edition.languages import list_in_order, take_in_each
    from pocketref.publish.starter import find_folder
    from pocketref.translations.language_proof import prove_language
    from pocketref.words.catalogue import ENGLISH_NAME
    from pocketref.words.speech import speak

    here = Path.cwd()
    folders = find_folder("content", content, here), find_folder("layouts", layouts, here)
    named = list_in_order(dict.fromkeys(names))
    proofs = take_in_each(
        named, lambda each: None if each.name == ENGLISH_NAME else prove_language(each.name, *folders)
    )
    spoken = [proof.language if proof else None for proof in proofs]
    languages = list_in_order(dict(zip(names, spoken, strict=True)))
    with languages[0].speak() if languages else speak(None):
        yield languages[1:] and languages, tuple(filter(None, proofs))


@contextmanager
def speak_to_reader(content: Path, library: Any, *, is_wanted: bool = True) -> Iterator[Any]:
    """Within it, what a print would say is said to the reader in their own language; gives the library in it.

    What has no translation is in English, unmarked: nothing explains a mark there.
    """
    if not is_wanted or (tag := name_reader()) is None:
        yield library
        return
    from pocketref.source.translation import translate_library
    from pocketref.translations.reader import read_print

    said = read_print(tag, content)
    with speak(said):
        yield translate_library(library, said) if said else library


def print_options(called: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --stock and --paper."""
    words = "Paper of the press sheets, by its name in stocks.yaml; default: the one that house.yaml names."
    return stock_option(paper_option(words)(called))


def paper_option(words: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command --paper, with its help."""
    return option("--paper", default="", help=words)


stock_option = option(
    "--stock", default="", help="Lay the cards out on another stock, by its name in stocks.yaml."
)


def complete_part(context: click.Context, _: click.Parameter, typed: str) -> list[str]:
    """For a shell: the names of cards, sheets, training sheets and classes that begin as typed, by their files."""
    from pocketref.publish.starter import find_folder

    layouts = find_folder("layouts", context.params.get("layouts"), Path.cwd())
    folder = typed.rpartition("/")[0] or "*"
    paths = sorted(layouts.glob(f"{folder}/*.yaml"))
    names = [f"{path.parent.name}/{path.stem}" if "/" in typed else path.stem for path in paths]
    return [name for name in names if name.startswith(typed)]


class Commands(Command, click.Group):
    """The commands, to an output that may know few characters or take no more."""

    command_class = Command

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run a command; what can't be shown is spelled out; a full disk, or nowhere to stand, is told in a line."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="backslashreplace")
        with tell_in(_find_reader()):
            return self._run(*args, **kwargs)

    def _run(self, *args: Any, **kwargs: Any) -> Any:
        try:
            return super().main(*args, **kwargs)
        except OSError as error:
            if error.filename is None and error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
                said = explain_refusal(tell("the output"), error, "written")[0]
            elif not _is_somewhere():
                said = tell("the folder that you are in is no longer there: go to one that is")
            elif isinstance(error, PermissionError) and error.filename is not None:
                said = "\n    ".join(explain_refusal(str(error.filename), error, "reached"))
            else:
                raise
            click.echo(tell("error: {said}", said=said), err=True)
            sys.exit(1)


def _find_reader() -> Language | None:
    """The language of the environment, for click's own words, too; what is wrong with its catalogue is told."""
    wanted = list_wanted(os.environ)
    if not wanted:
        return None
    from pocketref.translations.reader import read_reader
    from pocketref.words.catalogue import CARRIED

    try:
        found = read_reader(wanted, Path("content"))
    except PocketrefError as error:
        print_problems(error.problems, None)
        return None
    if found:
        gettext.bindtextdomain("messages", CARRIED)
    return found


def _is_somewhere() -> bool:
    try:
        Path.cwd()
    except OSError:
        return False
    return True
