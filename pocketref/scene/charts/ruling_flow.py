"""A decision chart as flowchart nodes, and the same chart in words."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace

from pocketref.rulings.boxes import intersect, is_covered
from pocketref.rulings.chart import Chart
from pocketref.rulings.effects import BY_LEAGUE, GOES_ON, write_batter, write_runners
from pocketref.rulings.nodes import Exit, Question
from pocketref.rulings.table import Row, Table
from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion, list_questions
from pocketref.source.ruling_models import Ball, Batter, RulingModel, Runners
from pocketref.words.speech import join_answers, say

_BALL_MARKS = {Ball.LIVE: "ball-live", Ball.DEAD: "ball-dead", Ball.DELAYED_DEAD: "ball-delayed"}
SUBJECTS = {"ball": "ball {words}", "batter": "batter {words}", "runners": "runners {words}"}
"""Whom a mark's words are about, for who cannot see the mark."""
_RUNNER_MARKS = {
    Runners.AS_RULED: "runners-ruled",
    Runners.AT_OWN_RISK: "runners-advance",
    Runners.STAY: "runners-stay",
    Runners.RETURN: "runners-back",
    Runners.RETURN_TO_TOUCHED: "runners-back",
    Runners.FORCED: "runners-one-base",
    Runners.FORCED_OR_GOING: "runners-one-base",
    Runners.THIRD_SCORES: "runners-one-base",
    Runners.ONE_BASE: "runners-one-base",
    Runners.LEAGUE: "runners-league",
}


def mark_ruling(ruling: RulingModel) -> tuple[tuple[str, str], ...]:
    """What a terminal carries at a glance: ball, batter and runners, each with its mark."""
    is_out = ruling.batter is Batter.OUT
    return (
        (_BALL_MARKS[ruling.ball], say(ruling.ball)),
        ("batter-out" if is_out else "batter", write_batter(ruling).brief),
        ("runners-out" if ruling.out else _RUNNER_MARKS[ruling.runners], write_runners(ruling).brief),
    )


def construct_flow(
    chart: Chart,
    table: Table,
    rulings: Mapping[str, RulingModel],
    doubted: Sequence[Row] = (),
    mark: str = "",
) -> tuple[dict[str, FlowNode], str]:
    """Flowchart nodes by key, and the root's key. Endings that are unsettled say "check your league".

    Where a way may lead to one of the `doubted` rows, its ending carries the `mark`.
    """
    nodes: dict[str, FlowNode] = {}
    in_doubt = _find_doubted(chart, table, doubted)
    for number, node in enumerate(chart.nodes):
        key = str(number)
        if isinstance(node, Question):
            fact = table.fact_by_name[node.fact]
            # The answers' own order decides which side an exit takes: the fact's last answer leads down.
            exits = sorted(node.exits, key=lambda leave: min(fact.answers.index(a) for a in leave.answers))
            labels = [
                FlowExit(
                    _label_exit(leave.answers, fact.answers, fact.labels),
                    f"{leave.target}{mark if (number, leave) in in_doubt else ''}",
                )
                for leave in exits
            ]
            nodes[key] = FlowQuestion(key, fact.ask, tuple(labels))
        else:
            for each in dict.fromkeys(("", mark)):
                nodes[key + each] = construct_ending(
                    key + each, rulings[node.outcome], each, is_open=node.is_open
                )
    root = str(chart.root)
    reached = {
        leave.target for node in nodes.values() if isinstance(node, FlowQuestion) for leave in node.exits
    }
    if doubted and not reached:
        root += mark
    return {key: node for key, node in nodes.items() if key in {root, *reached}}, root


def _find_doubted(chart: Chart, table: Table, doubted: Sequence[Row]) -> set[tuple[int, Exit]]:
    """The exits, with their question's number, from which some way ends on one of these rows."""
    boxes = [table.space.box(row.when) for row in doubted]
    found: set[tuple[int, Exit]] = set()
    ways = [(chart.root, table.space.full)] if boxes else []
    met = set(ways)
    for number, region in ways:
        node = chart.nodes[number]
        if not isinstance(node, Question):
            continue
        for leave in node.exits:
            after = intersect(region, table.space.box({node.fact: leave.answers}))
            if isinstance(chart.nodes[leave.target], Question):
                way = (leave.target, after)
                ways += [way] if way not in met else []
                met.add(way)
            elif any(not is_covered(intersect(box, after), table.never_boxes) for box in boxes):
                found.add((number, leave))
    return found


def shorten_ending(node: FlowNode, mark: str = "") -> FlowNode:
    """An ending in few words: its headline up to the colon, and no line that says that all goes on as it was.

    A headline that ends in `mark` keeps it.
    """
    if not isinstance(node, FlowEnding):
        return node
    goes_on = {"runners-advance", "runners-ruled"}
    as_it_was = {say(words) for words in GOES_ON}
    lines = tuple(
        (name, words)
        for name, words in node.lines
        if name not in goes_on and not (name == "batter" and words in as_it_was)
    )
    headline, colon, _ = node.headline.partition(":")
    kept = mark if colon and mark and node.headline.endswith(mark) else ""
    return replace(node, headline=headline + kept, lines=lines)


def construct_ending(key: str, ruling: RulingModel, mark: str = "", *, is_open: bool = False) -> FlowEnding:
    """A ruling as a chart's ending, its headline with a `mark`; one that is open says "check your league"."""
    lines = mark_ruling(ruling)
    if is_open:
        settled = (line for line in lines if line[1] != say(BY_LEAGUE))
        lines = (*settled, ("league", say("check your league")))
    return FlowEnding(key, ruling.headline + mark, lines)


def _label_exit(answers: tuple[str, ...], order: tuple[str, ...], labels: tuple[str, ...]) -> str:
    """The answers yes and no as they are; others by what they say in print."""
    plain = {"yes": say("yes"), "no": say("no")}
    return join_answers(plain.get(a) or labels[order.index(a)] for a in sorted(answers, key=order.index))


def write_chart_words(nodes: Mapping[str, FlowNode], root: str, shown: Container[int] | None = None) -> str:
    """The chart as numbered questions in words, for who cannot see it; only those that are `shown`, if it is cut."""
    order = list_questions(nodes, root)
    numbers = {node.key: number for number, node in enumerate(order, 1)}
    sentences = []
    for node in order:
        if shown is not None and numbers[node.key] not in shown:
            continue
        ways = [f"{leave.label}: {_write_target(nodes[leave.target], numbers)}" for leave in node.exits]
        sentences.append(f"{numbers[node.key]}. {node.text} {'; '.join(ways)}.")
    return " ".join(sentences) or _write_target(nodes[root], numbers)


def _write_target(node: FlowNode, numbers: Mapping[str, int]) -> str:
    if isinstance(node, FlowQuestion):
        return say("go to {number}", number=numbers[node.key])
    if isinstance(node, FlowEnding):
        return f"{node.headline} ({', '.join(write_ending_mark(mark, words) for mark, words in node.lines)})"
    return ""


def write_ending_mark(mark: str, words: str) -> str:
    """A mark and its words for who cannot see the mark: "ball dead", "batter out", "runners back"."""
    template = SUBJECTS.get(mark.partition("-")[0])
    return words if template is None or mark == "runners-out" else say(template, words=words)
