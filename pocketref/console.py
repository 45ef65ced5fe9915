"""What every command shares: its options for folders, its refusals, and an output that may take little."""

from __future__ import annotations

import errno
import io
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import click

from pocketref.problems import PocketrefError, Problem, Severity, render_problem


def report_problems(command: Callable[..., Any]) -> Callable[..., Any]:
    """Print what a command refuses, place and remedy, and exit 1."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        try:
            return command(*args, **kwargs)
        except PocketrefError as error:
            print_problems(error.problems)
            sys.exit(1)

    return run


def count(number: int, noun: str) -> str:
    """A number of things in words, such as "1 card" or "2 cards"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def print_problems(problems: tuple[Problem, ...]) -> None:
    """Each finding with its place and remedy; after errors, their number and that nothing was written."""
    for problem in problems:
        click.echo(render_problem(problem), err=True)
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    if errors:
        click.echo(f"{errors} {'error' if errors == 1 else 'errors'}; nothing was written.", err=True)


def content_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --content."""
    words = "Content folder; default: content beside you, else the starter set."
    return click.option("--content", type=click.Path(path_type=Path), help=words)(command)


def source_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --content and --layouts."""
    words = "Layouts folder; default: layouts beside you, else the starter set."
    return content_option(click.option("--layouts", type=click.Path(path_type=Path), help=words)(command))


class Commands(click.Group):
    """The commands, to an output that may know few characters or take no more."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run a command; what cannot be shown is spelled out, and a full disk is told in a line."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="backslashreplace")
        try:
            return super().main(*args, **kwargs)
        except OSError as error:
            if error.filename is not None or error.errno not in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
                raise
            click.echo(
                f"the output cannot be written: {(error.strerror or 'no reason given').lower()}", err=True
            )
            sys.exit(1)
