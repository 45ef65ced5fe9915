"""A play that an umpire reports after a game: ruled on by each code, and made into a case play."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import yaml

from pocketref.plays.choices import rule_elsewhere
from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, rule_on_play
from pocketref.problems import PocketrefError, ProblemLog
from pocketref.source.library import Library
from pocketref.source.play_models import GameReportModel, PlayModel
from pocketref.source.references import check_play_facts
from pocketref.source.syntax.nodes import read_tree
from pocketref.source.syntax.validation import validate_node
from pocketref.words.terminal import tell

_HEAD = ("report", "subject", "codes")
"""What is said of a report and not of a play."""


class _PlayDumper(yaml.SafeDumper):
    """Quotes only what other readers of YAML would take for something else than a word or a number."""

    yaml_implicit_resolvers = {  # noqa: RUF012  # the library's own
        first: [(tag, pattern) for tag, pattern in found if tag.endswith((":bool", ":null"))]
        for first, found in yaml.SafeDumper.yaml_implicit_resolvers.items()
    }


def read_game_report(path: Path) -> GameReportModel:
    """The report in a YAML file; raises PocketrefError with everything that is wrong with it."""
    problems = ProblemLog()
    tree = read_tree(path, path.name, problems)
    report = validate_node(tree, GameReportModel, problems) if tree is not None else None
    problems.raise_errors()
    if report is None:
        raise AssertionError("a file without a model must have raised")
    return report


def rule_on_report(report: GameReportModel, books: RuleBooks) -> tuple[RuledPlay, ...]:
    """The reported play as each of its codes rules; raises PocketrefError if one of them can't."""
    case = CasePlay(f"{report.subject}/{report.report}", report.subject, report.as_play())
    codes = _find_codes(report, books, case.model)
    problems, ruled = ProblemLog(), []
    for code in codes:
        try:
            ruled.append(rule_on_play(books, case, code))
        except PocketrefError as error:
            problems.extend(error.problems)
    problems.raise_errors()
    return tuple(ruled)


def _find_codes(report: GameReportModel, books: RuleBooks, play: PlayModel) -> Sequence[str]:
    """The codes to rule by; raises PocketrefError for an unknown subject, fact, answer or code."""
    problems, library = ProblemLog(), books.library
    problems.need(report.subject, library.subjects, "subject", report.locate("subject"))
    problems.raise_errors()
    check_play_facts(play, library.subjects[report.subject], problems)
    known = books.codes_on(report.subject)
    for number, code in enumerate(report.codes):
        if code not in known:
            sentence, where = (
                tell("'{code}' has no rulings on {subject}", code=code, subject=report.subject),
                report.locate("codes", number),
            )
            problems.unknown("code-unknown", sentence, code, known, where)
    problems.raise_errors()
    return report.codes or [code for code in known if code in library.edition.codes] or known


def write_case_play(path: Path, ruled: Sequence[RuledPlay], books: RuleBooks) -> str:
    """The report as a case play in YAML, to go under `cases` of its subject's file of plays.

    What it expects is what was computed, by every code that the facts are enough for: its author's to confirm.
    """
    first = ruled[0]
    found = {play.code: play for play in ruled} | dict(rule_elsewhere(books, first))
    told = yaml.load(path.read_text(encoding="utf-8-sig"), Loader=yaml.BaseLoader)
    play = {key: value for key, value in told.items() if key not in _HEAD}
    play["expect"] = {
        code: found[code].answer.outcome for code in books.codes_on(first.case.subject) if code in found
    }
    name = told["report"]
    style: dict[str, Any] = {
        "sort_keys": False,
        "allow_unicode": True,
        "width": 108,
        "default_flow_style": None,
    }
    text = yaml.dump({name: play}, Dumper=_PlayDumper, **style)
    return "".join(f"  {line}\n" for line in text.splitlines())


def list_shown(library: Library, play: RuledPlay) -> list[str]:
    """The facts that a picture or the situation shows, in words, each with what shows it."""
    facts = library.subjects[play.case.subject].facts
    return [
        tell(
            "{ask} {answer} (from {source})",
            ask=facts[name].ask,
            answer=facts[name].answers[play.answers[name]],
            source=tell(source),
        )
        for name, source in play.derived.items()
    ]
