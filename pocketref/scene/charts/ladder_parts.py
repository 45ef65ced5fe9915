"""How a ladder is cut by rungs where it is too high for one face."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from pocketref.scene.charts.flow_layout import FlowExit, FlowNode, FlowQuestion
from pocketref.scene.charts.ladder import measure_ladder
from pocketref.scene.charts.ladder_layout import LadderPart, construct_rungs, count_leaps
from pocketref.words.speech import say

_SLACK_MM = 0.005
_Cut = tuple[int, int, float, tuple[tuple[int, int], ...]]
"""Of a ladder that is cut: its parts, the answers from one to another, the greatest height, first and last rungs."""


def split_answers(nodes: Mapping[str, FlowNode], most: int) -> dict[str, FlowNode]:
    """The chart with at most so many answers, 2 or more, to a question: the rest follow under the question again."""
    split: dict[str, FlowNode] = {}
    waiting = list(nodes.values())
    while waiting:
        node = waiting.pop(0)
        if isinstance(node, FlowQuestion) and len(node.exits) > most:
            rest = FlowQuestion(f"{node.key}+", node.text, node.exits[most - 1 :])
            waiting.append(rest)
            node = replace(node, exits=(*node.exits[: most - 1], FlowExit(say("none of these"), rest.key)))
        split[node.key] = node
    return split


def cut_ladder(
    nodes: Mapping[str, FlowNode],
    root: str,
    width_mm: float,
    height_mm: float,
    size_pt: float,
    first_face: int = 1,
    measure: Callable[[int, int], tuple[float, float]] | None = None,
) -> tuple[LadderPart, ...]:
    """The ladder in the fewest parts that each fit the box at this size; among those with fewest answers that
    lead from one part to another the evenest. A rung that does not fit alone is a part all the same; a chart that
    asks nothing has no parts. They are named by their faces, the first of them by `first_face`. `measure` gives the
    height and the overflow, mm, of a part from one rung to another, where that is not this ladder's alone.
    """
    rungs = construct_rungs(nodes, root)
    measure = measure or measure_parts(nodes, root, width_mm, size_pt)
    best: list[_Cut] = [(0, 0, 0.0, ())]
    for last in range(1, len(rungs) + 1):
        options: list[_Cut] = []
        for first in range(last, 0, -1):
            high, overflow = measure(first, last)
            if first < last and (overflow > _SLACK_MM or high > height_mm + _SLACK_MM):
                break
            count, leaps, highest, spans = best[first - 1]
            leaps += count_leaps(rungs, first, last)
            options.append((count + 1, leaps, max(highest, high), (*spans, (first, last))))
        best.append(min(options))
    return _number_parts(best[-1][3], first_face)


def measure_parts(
    nodes: Mapping[str, FlowNode], root: str, width_mm: float, size_pt: float
) -> Callable[[int, int], tuple[float, float]]:
    """What gives the height and the overflow, mm, of a part of a ladder, before it is known where other rungs are."""
    elsewhere = dict.fromkeys(range(1, len(construct_rungs(nodes, root)) + 1), say("next face"))

    def measure(first: int, last: int) -> tuple[float, float]:
        return measure_ladder(nodes, root, width_mm, size_pt, LadderPart(first, last, elsewhere))

    return measure


def _number_parts(spans: Sequence[tuple[int, int]], first_face: int) -> tuple[LadderPart, ...]:
    faces = {n: face for face, (first, last) in enumerate(spans, first_face) for n in range(first, last + 1)}
    return tuple(
        LadderPart(
            first,
            last,
            {
                n: say("next face") if other == face + 1 else say("face {number}", number=other)
                for n, other in faces.items()
                if other != face
            },
        )
        for face, (first, last) in enumerate(spans, first_face)
    )
