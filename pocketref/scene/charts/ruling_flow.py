"""A decision chart as flowchart nodes, and the same chart in words."""

from __future__ import annotations

from collections.abc import Container, Mapping

from pocketref.rulings.chart import Chart
from pocketref.rulings.effects import BY_LEAGUE, write_batter, write_runners
from pocketref.rulings.nodes import Ending, Question
from pocketref.rulings.table import Table
from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion, list_questions
from pocketref.source.ruling_models import Ball, Batter, RulingModel, Runners

_BALL_MARKS = {Ball.LIVE: "ball-live", Ball.DEAD: "ball-dead", Ball.DELAYED_DEAD: "ball-delayed"}
_RUNNER_MARKS = {
    Runners.AS_RULED: "runners-ruled",
    Runners.AT_OWN_RISK: "runners-advance",
    Runners.STAY: "runners-stay",
    Runners.RETURN: "runners-back",
    Runners.RETURN_TO_TOUCHED: "runners-back",
    Runners.FORCED: "runners-one-base",
    Runners.FORCED_OR_GOING: "runners-one-base",
    Runners.ONE_BASE: "runners-one-base",
    Runners.LEAGUE: "runners-league",
}


def mark_ruling(ruling: RulingModel) -> tuple[tuple[str, str], ...]:
    """What a terminal carries at a glance: ball, batter and runners, each with its mark."""
    is_out = ruling.batter is Batter.OUT
    return (
        (_BALL_MARKS[ruling.ball], str(ruling.ball)),
        ("batter-out" if is_out else "batter", write_batter(ruling).brief),
        ("runners-out" if ruling.out else _RUNNER_MARKS[ruling.runners], write_runners(ruling).brief),
    )


def construct_flow(
    chart: Chart, table: Table, rulings: Mapping[str, RulingModel]
) -> tuple[dict[str, FlowNode], str]:
    """Flowchart nodes by key, and the root's key. Endings that are unsettled say "check your league"."""
    nodes: dict[str, FlowNode] = {}
    for number, node in enumerate(chart.nodes):
        key = str(number)
        if isinstance(node, Question):
            fact = table.fact_by_name[node.fact]
            # The answers' own order decides which side an exit takes: the fact's last answer leads down.
            exits = sorted(node.exits, key=lambda leave: min(fact.answers.index(a) for a in leave.answers))
            labels = [
                FlowExit(_label_exit(leave.answers, fact.answers, fact.labels), str(leave.target))
                for leave in exits
            ]
            nodes[key] = FlowQuestion(key, fact.ask, tuple(labels))
        else:
            nodes[key] = _construct_ending(key, node, rulings[node.outcome])
    return nodes, str(chart.root)


def _construct_ending(key: str, node: Ending, ruling: RulingModel) -> FlowEnding:
    lines = mark_ruling(ruling)
    if node.is_open:
        settled = (line for line in lines if line[1] != BY_LEAGUE)
        lines = (*settled, ("league", "check your league"))
    return FlowEnding(key, ruling.headline, lines)


def _label_exit(answers: tuple[str, ...], order: tuple[str, ...], labels: tuple[str, ...]) -> str:
    """The answers yes and no as they are; others by what they say in print."""
    words = [a if a in ("yes", "no") else labels[order.index(a)] for a in sorted(answers, key=order.index)]
    return " or ".join(words)


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
        return f"go to {numbers[node.key]}"
    if isinstance(node, FlowEnding):
        return f"{node.headline} ({', '.join(write_ending_mark(mark, words) for mark, words in node.lines)})"
    return ""


def write_ending_mark(mark: str, words: str) -> str:
    """A mark and its words for who cannot see the mark: "ball dead", "batter out", "runners back"."""
    subject = mark.partition("-")[0]
    names_itself = subject == "league" or words.startswith("runner ")
    return words if names_itself else f"{subject} {words}"
