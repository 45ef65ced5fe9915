"""Flowchart symbols against ISO 5807:1985 as digests of it give them (secondary): decision, terminator, connector."""

from __future__ import annotations

import math

import pytest

from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion
from pocketref.scene.charts.flow_symbols import draw_flowchart
from pocketref.scene.items import CurveTo, LineTo, MoveTo, Shape, Text

NODES: dict[str, FlowNode] = {
    "a": FlowQuestion("a", "First?", (FlowExit("yes", "b"), FlowExit("no", "c"))),
    "b": FlowQuestion("b", "Second?", (FlowExit("yes", "end"), FlowExit("no", "d"))),
    "c": FlowQuestion("c", "Third?", (FlowExit("yes", "d"), FlowExit("no", "end"))),
    "d": FlowQuestion("d", "Shared?", (FlowExit("yes", "end"), FlowExit("no", "other"))),
    "end": FlowEnding("end", "One end"),
    "other": FlowEnding("other", "Another end"),
}
DRAWING = draw_flowchart(NODES, "a", 119.0, 8.0)
OUTLINES = [item for item in DRAWING.items if isinstance(item, Shape) and item.stroke and item.fill]


def points_of(shape: Shape) -> list[tuple[float, float]]:
    return [(s.x, s.y) for s in shape.path if isinstance(s, MoveTo | LineTo | CurveTo)]


def is_straight(shape: Shape) -> bool:
    return not any(isinstance(segment, CurveTo) for segment in shape.path)


def test_a_decision_is_a_rhombus_with_its_corners_at_the_middles_of_its_sides() -> None:
    rhombi = [shape for shape in OUTLINES if is_straight(shape)]
    assert len(rhombi) == sum(isinstance(node, FlowQuestion) for node in NODES.values())
    for shape in rhombi:
        (left, y1), (x1, top), (right, y2), (x2, bottom) = points_of(shape)
        assert y1 == y2 == pytest.approx((top + bottom) / 2)
        assert x1 == x2 == pytest.approx((left + right) / 2)


def test_a_terminator_has_straight_top_and_bottom_and_round_ends() -> None:
    ends = [shape for shape in OUTLINES if sum(isinstance(s, LineTo) for s in shape.path) == 4]
    assert ends
    for shape in ends:
        assert sum(isinstance(segment, CurveTo) for segment in shape.path) == 4


def test_a_connector_is_a_small_circle_and_the_same_letter_stands_at_both_of_its_places() -> None:
    circles = [
        s
        for s in OUTLINES
        if sum(isinstance(p, CurveTo) for p in s.path) == 4 and not any(isinstance(p, LineTo) for p in s.path)
    ]
    assert len(circles) == 2
    for shape in circles:
        xs, ys = zip(*points_of(shape), strict=True)
        assert max(xs) - min(xs) == pytest.approx(max(ys) - min(ys))
        assert max(xs) - min(xs) < 6
    letters = [item.content for item in DRAWING.items if isinstance(item, Text) and item.content == "A"]
    assert letters == ["A", "A"]


def test_flow_runs_down_and_to_the_right_with_an_arrowhead_at_each_end() -> None:
    # Flow from top to bottom and from left to right is the standard's own direction.
    heads = [item for item in DRAWING.items if isinstance(item, Shape) and item.fill and not item.stroke]
    exits = sum(len(node.exits) for node in NODES.values() if isinstance(node, FlowQuestion))
    tips = [shape for shape in heads if len(points_of(shape)) == 3 and is_straight(shape)]
    assert len(tips) == exits
    for shape in tips:
        tip, one, two = points_of(shape)
        back = ((one[0] + two[0]) / 2, (one[1] + two[1]) / 2)
        heading = math.degrees(math.atan2(tip[1] - back[1], tip[0] - back[0]))
        assert heading == pytest.approx(0, abs=1e-6) or heading == pytest.approx(-90, abs=1e-6)


def test_every_way_out_of_a_decision_is_labelled() -> None:
    words = [item.content for item in DRAWING.items if isinstance(item, Text)]
    assert words.count("yes") == words.count("no") == 4
