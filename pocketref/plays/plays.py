"""Case plays ruled on: from what was told and what the pictures show to the ruling, by each code of the play."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.plays.placement import (
    NOTHING_DRAWN,
    PlayScene,
    derive_facts,
    find_off_drawing,
    find_undrawn,
    place_play,
    source_of,
)
from pocketref.problems import PocketrefError, Problem, ProblemLog, amending, refusal
from pocketref.rulings.answer import Answer, SubjectRules, answer_play, construct_rules
from pocketref.rulings.boxes import is_covered
from pocketref.rulings.next_state import find_next_states
from pocketref.rulings.situation import answer_from_situation
from pocketref.rulings.table import Fact, Table, decide, facts_that_matter
from pocketref.source.library import Library
from pocketref.source.play_models import PlayModel
from pocketref.source.ruling_models import FactModel
from pocketref.words.terminal import tell, tell_list


@dataclass(frozen=True, slots=True)
class CasePlay:
    """A play with its name and subject; `is_computed` if it was made from a table's row."""

    name: str
    subject: str
    model: PlayModel
    is_computed: bool = False


Row = tuple[str, str, int]
"""A row of a table: code, subject, and its number from 1."""


@dataclass(frozen=True, slots=True)
class RuledPlay:
    """A play as one code rules on it."""

    case: CasePlay
    code: str
    answers: Mapping[str, str]
    """Every fact known: told, shown by the pictures, or left no choice by a `never`."""
    derived: Mapping[str, str]
    """Those that pictures or the situation show, each with what shows it."""
    scene: PlayScene
    answer: Answer

    @property
    def key(self) -> str:
        """Names the play and the code: what its order of choices is computed from."""
        return f"{self.case.name} {self.code}"

    @property
    def row(self) -> Row:
        """The row that it meets."""
        return self.code, self.case.subject, self.answer.number


@dataclass
class RuleBooks:
    """What plays are ruled by, made once: each code's rules on each subject, each code's plan.

    A code's plan is that of its first field, in the order of the files.
    """

    library: Library
    _rules: dict[tuple[str, str], SubjectRules] = field(default_factory=dict)
    _answers: dict[tuple[str, str, frozenset[tuple[str, str]]], Answer] = field(default_factory=dict)
    _plans: dict[str, Plan] = field(default_factory=dict)
    _scenes: dict[tuple[int, int], tuple[PlayModel, PlayScene]] = field(default_factory=dict)

    def rules(self, subject: str, code: str) -> SubjectRules:
        """A code's table and chart on a subject; raises PocketrefError if there is none."""
        if (subject, code) not in self._rules:
            self._rules[subject, code] = construct_rules(self.library, subject, code)
        return self._rules[subject, code]

    def answer(self, subject: str, code: str, answers: Mapping[str, str]) -> Answer:
        """What `answer_play` gives, kept: sheets, keys and pages ask how every code rules on the same facts."""
        key = subject, code, frozenset(answers.items())
        if key not in self._answers:
            self._answers[key] = answer_play(self.rules(subject, code), answers)
        return self._answers[key]

    def plan(self, code: str, level: str = "") -> Plan:
        """The plate area of a code's level, or of its first field; raises PocketrefError if it has none."""
        fields = [f for f in self.library.fields.values() if f.code == code and level in ("", f.level)]
        if not fields:
            sentence = tell("there is no field of {code}", code=code)
            where = self.library.codes[code].location if code in self.library.codes else None
            raise refusal("level-unknown", sentence, tell("add one under fields/"), where)
        key = fields[0].key
        if key not in self._plans:
            lengths = {name: dimension.value for name, dimension in fields[0].dimensions.items()}
            where = fields[0].locate("dimensions")
            with amending(lambda p: p if p.where else replace(p, where=where)):
                plan = construct_plate_area(lengths)
            # Most codes share their plate area: one plan for all of them, so that a play is placed on it once.
            self._plans[key] = next((known for known in self._plans.values() if known == plan), plan)
        return self._plans[key]

    def scene(self, play: PlayModel, plan: Plan) -> PlayScene:
        """The play on a plan that `plan` has given; placed once for all codes that share the plan."""
        key = id(play), id(plan)
        if key not in self._scenes:
            self._scenes[key] = play, place_play(play, plan)  # the play is kept, or another might take its id
        return self._scenes[key][1]

    def codes_on(self, subject: str) -> list[str]:
        """The codes that have a table on a subject, in the order of codes.yaml."""
        return [code for code in self.library.codes if (code, subject) in self.library.rulings]


def list_plays(library: Library) -> tuple[CasePlay, ...]:
    """Every play of the content, named "<file>/<play>"."""
    return tuple(
        CasePlay(f"{file}/{name}", model.subject, play)
        for file, model in library.plays.items()
        for name, play in model.cases.items()
    )


def rule_on_play(books: RuleBooks, case: CasePlay, code: str, level: str = "") -> RuledPlay:
    """The ruling of one of the play's codes; raises PocketrefError with located problems if it has none.

    "play-fact-derived" if a fact is told that a picture or the situation shows, "play-foot-off" or "play-ball-off"
    if a thing is off the drawing, "play-impossible" if the facts meet a `never`, "play-fact-missing" for each fact
    that matters and is not told, "runner-missing" if the ruling puts out a runner who is not there.
    """
    play = case.model
    rules = books.rules(case.subject, code)
    scene, problems = NOTHING_DRAWN, []
    if play.feet or play.knees or play.bat or play.ball or play.fielders:
        plan = books.plan(code, level)
        scene = books.scene(play, plan)
        problems = find_off_drawing(play, scene, plan)
    subject = books.library.subjects[case.subject]
    shown = {**derive_facts(scene, subject), **answer_from_situation(subject, [play.situation])}
    derived = {name: source_of(subject.facts[name]) for name in shown}
    problems += _find_told_twice(play, shown, derived)
    if problems:
        raise PocketrefError(problems)
    answers = {**play.facts, **shown}
    with amending(lambda p: _place_problem(p, case, code, answers, derived)):
        if left := facts_that_matter(rules.table, answers):
            asked = ((rules.table.fact_by_name[name], subject.facts[name]) for name in left)
            raise PocketrefError(_ask_author(case, *fact) for fact in asked)
        decide(rules.table, answers)
    known = deduce_answers(rules.table, answers)
    answer = books.answer(case.subject, code, known)
    names, where = _write_names(case, code), play.locate("pitch" if play.pitch else "situation")
    with amending(lambda p: replace(p, sentence=names + p.sentence, where=where)):
        find_next_states(play.situation, answer.ruling, play.pitch)
    return RuledPlay(case, code, known, derived, scene, answer)


def deduce_answers(table: Table, answers: Mapping[str, str]) -> dict[str, str]:
    """The answers of a play that can happen, with those of open facts that leave only one answer possible."""
    known = dict(answers)
    for fact in table.facts:
        if fact.name in known:
            continue
        boxes = {answer: table.space.at({**known, fact.name: answer}) for answer in fact.answers}
        left = [answer for answer, box in boxes.items() if not is_covered(box, table.never_boxes)]
        if len(left) == 1:
            known[fact.name] = left[0]
    return known


def rule_on_all(
    books: RuleBooks, cases: Iterable[CasePlay], problems: ProblemLog, only: Collection[str] | None = None
) -> tuple[RuledPlay, ...]:
    """Every play by every code it is told for, or `only` by these; what is wrong is noted, another ruling among it."""
    ruled = []
    for case in cases:
        # What is wrong by several codes is told once, for all of them.
        wrong: dict[Problem, list[str]] = {}
        for code, expected in case.model.expect.items():
            if only is not None and code not in only:
                continue
            try:
                found = rule_on_play(books, case, code)
            except PocketrefError as error:
                for problem in error.problems:
                    sentence = problem.sentence.replace(_write_names(case, code), "", 1)
                    wrong.setdefault(replace(problem, sentence=sentence), []).append(code)
                continue
            ruled.append(found)
            if found.answer.outcome != expected:
                sentence = tell(
                    "'{name}' expects '{expected}' by {code}, but the table rules '{outcome}'",
                    name=case.name,
                    expected=expected,
                    code=code,
                    outcome=found.answer.outcome,
                )
                hints = (_write_explanation(books, found), _write_other_hand(books, found, expected))
                hint = "; ".join(filter(None, hints))
                problems.error("play-ruling", sentence, hint, case.model.locate("expect", code))
        for problem, codes in wrong.items():
            sentence = _write_names(case, *codes) + problem.sentence
            problems.extend([replace(problem, sentence=sentence)])
    return tuple(ruled)


def _write_names(case: CasePlay, *codes: str) -> str:
    return tell("'{name}' by {codes}: ", name=case.name, codes=", ".join(codes))


def _write_explanation(books: RuleBooks, ruled: RuledPlay) -> str:
    """How a ruling came about: the way, then the row with those of its conditions that are not on the way."""
    rows = books.rules(ruled.case.subject, ruled.code).table.rows
    row = rows[ruled.answer.number - 1]
    known = ruled.answers.keys() - {name for name, _, _ in ruled.answer.asked}
    more = [_write_fact(name, ruled.answers[name], ruled.derived) for name in row.when if name in known]
    said = {"path": write_path(ruled), "where": ruled.answer.where}
    if not more:
        return tell("computed: {path}; the row is at {where}", **said)
    more_said = {"more": ", ".join(more), **said}
    return tell("computed: {path}; the row is at {where}, which also asks {more}", **more_said)


def _write_other_hand(books: RuleBooks, ruled: RuledPlay, expected: str) -> str:
    """A hint to say which hand the batter bats with, if the feet give what is expected for the other."""
    play = ruled.case.model
    if not play.feet:
        return ""
    other = "left" if play.bats == "right" else "right"
    try:
        case = replace(ruled.case, model=play.model_copy(update={"bats": other}))
        found = rule_on_play(books, case, ruled.code)
    except PocketrefError:
        return ""
    if found.answer.outcome != expected:
        return ""
    if other == "left":
        return tell("a left-handed batter's feet give '{expected}': 'bats: left'?", expected=expected)
    return tell("a right-handed batter's feet give '{expected}': 'bats: right'?", expected=expected)


def write_path(ruled: RuledPlay) -> str:
    """The way through the chart: "on-plate = yes (from the feet), wholly-outside = no -> legal"."""
    steps = [_write_fact(name, answer, ruled.derived) for name, _, answer in ruled.answer.asked]
    return f"{', '.join(steps) or tell('nothing asked')} -> {ruled.answer.outcome}"


def _write_fact(name: str, answer: str, derived: Mapping[str, str]) -> str:
    if name not in derived:
        return f"{name} = {answer}"
    return tell("{name} = {answer} (from {source})", name=name, answer=answer, source=tell(derived[name]))


def _find_told_twice(play: PlayModel, shown: Mapping[str, str], derived: Mapping[str, str]) -> list[Problem]:
    told = {
        name: tell(
            "'{name}' follows from {source}: {answer}",
            name=name,
            source=tell(derived[name]),
            answer=shown[name],
        )
        for name in derived
    }
    return [
        Problem(
            "play-fact-derived", told[name], tell("leave it out of the facts"), play.locate_key("facts", name)
        )
        for name in play.facts
        if name in told
    ]


def _ask_author(case: CasePlay, fact: Fact, model: FactModel) -> Problem:
    """What the author of a play has left open, as it is to be written there."""
    told = tell_list((f'{fact.name}: "{answer}"' for answer in fact.answers), is_or=True)
    hint = tell("write under facts {told}", told=told)
    if undrawn := find_undrawn(case.model, model):
        hint = tell(
            "draw {model} ({undrawn}: ...), which answers it, or {hint}",
            model=tell(source_of(model)),
            undrawn=undrawn,
            hint=hint,
        )
    return Problem(
        "play-fact-missing",
        tell("the ruling depends on '{name}': {ask}", name=fact.name, ask=fact.ask),
        hint,
        fact.where,
    )


def _place_problem(
    problem: Problem, case: CasePlay, code: str, answers: Mapping[str, str], derived: Mapping[str, str]
) -> Problem:
    """A problem of ruling on a play, placed at the play, with what is known of it."""
    known = ", ".join(_write_fact(name, answer, derived) for name, answer in answers.items()) or tell(
        "nothing"
    )
    where = case.model.locate("facts") or case.model.location
    hints = [problem.hint, tell("computed so far: {known}", known=known)]
    if problem.code == "play-impossible" and problem.where is not None:
        hints.append(tell("see {where}", where=problem.where))
    sentence = _write_names(case, code) + problem.sentence
    return replace(problem, sentence=sentence, hint="; ".join(filter(None, hints)), where=where)
