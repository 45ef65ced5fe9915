"""What every refusal owes its reader, whatever was fed in."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable

from pocketref.problems import PocketrefError, Problem, Severity, render_problem

LONGEST_SENTENCE = 1_000
LONGEST_SHOWN = 4_000
"""A problem as printed, its quoted line clipped."""
PLACELESS: frozenset[str] = frozenset()


class BadRefusalError(AssertionError):
    """A problem that a reader could not act on."""


def collect(call: Callable[[], object], placeless: frozenset[str] = PLACELESS) -> tuple[Problem, ...]:
    """What a call refuses, checked; nothing if it goes well. Whatever else it raises goes through."""
    try:
        call()
    except PocketrefError as error:
        check_problems(error.problems, placeless)
        if not any(problem.severity is Severity.ERROR for problem in error.problems):
            raise BadRefusalError("refused without saying why") from error
        return error.problems
    return ()


def check_problems(problems: Iterable[Problem], placeless: frozenset[str] = PLACELESS) -> None:
    """Every problem has a code, a sentence of bearable length and a place, and can be printed."""
    for problem in problems:
        shown = render_problem(problem)
        _need(bool(problem.code and problem.sentence), "says nothing", problem)
        _need(len(problem.sentence) <= LONGEST_SENTENCE, f"has {len(problem.sentence)} characters", problem)
        _need(len(shown) <= LONGEST_SHOWN, f"prints {len(shown)} characters", problem)
        unprintable = [ch for ch in shown.replace("\n", "") if unicodedata.category(ch) in ("Cc", "Cs")]
        _need(not unprintable, f"prints control characters {unprintable[:3]}", problem)
        shown.encode()
        if problem.where is None:
            is_free = problem.severity is Severity.WARNING or problem.code in placeless
            _need(is_free, "has no place", problem)
        else:
            _need(bool(problem.where.file), "names no file", problem)
            if problem.where.line:
                _need(
                    1 <= problem.where.column <= len(problem.where.text) + 1, "points past its line", problem
                )


def _need(is_so: bool, what: str, problem: Problem) -> None:
    if not is_so:
        raise BadRefusalError(
            f"[{problem.code}] {what}: {problem.sentence[:300]!r} at {problem.where!s:.100}"
        )
