"""Random decision charts, and a ladder's drawing told apart into what it is made of."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st
from scene_measures import line, outline, shapes_of, texts_of
from shapely import LineString, Polygon

from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion
from pocketref.scene.charts.flow_symbols import FlowDrawing
from pocketref.scene.charts.ladder import CONNECTOR_MM
from pocketref.scene.charts.verdict_box import OUTLINE_MM
from pocketref.scene.inks import GREY_PALE
from pocketref.scene.items import Shape, Text

Nodes = dict[str, FlowNode]
WIDTH_MM = 119.8
"""The safe content of a card of 3 x 5 in."""
SIZE_PT = 10.0

QUESTIONS = (
    "Dead?",
    "A foul tip?",
    "Foot past a line's outer edge?",
    "Did the bat meet the ball a second time, in fair or foul ground?",
)
ANSWERS = ("yes", "no", "in the air", "on the ground, wholly outside the lines", "inside")
HEADLINES = ("Strike", "Play on, watch the feet", "Out: batted out of the box", "Foul")
LINES = (
    ("ball-live", "live"),
    ("ball-dead", "dead"),
    ("batter-out", "out"),
    ("batter", "as the pitch is called"),
    ("runners-back", "back"),
    ("runners-advance", "may advance"),
    ("runners-stay", "stay"),
    ("league", "check your league"),
)


@st.composite
def charts(draw: st.DrawFn) -> Nodes:
    """A decision chart with the root "0": up to six questions of two to five answers, some reached twice."""
    count = draw(st.integers(1, 6))
    nodes: Nodes = {}
    for number in range(count):
        exits = []
        answers = ANSWERS[: draw(st.integers(2, 5))]
        onward = draw(st.integers(0, len(answers) - 1))
        for leave, answer in enumerate(answers):
            target = draw(st.sampled_from([None, *range(number + 1, count)]))
            if leave == onward and number + 1 < count:
                target = number + 1  # so that every question is reached
            key = f"{number}-{leave}" if target is None else str(target)
            if target is None:
                lines = draw(st.lists(st.sampled_from(LINES), max_size=4, unique=True))
                nodes[key] = FlowEnding(key, draw(st.sampled_from(HEADLINES)), tuple(lines))
            exits.append(FlowExit(answer, key))
        nodes[str(number)] = FlowQuestion(str(number), draw(st.sampled_from(QUESTIONS)), tuple(exits))
    return nodes


@dataclass(frozen=True)
class ReadLadder:
    """What a drawing holds: tiles of questions, boxes of verdicts, numbers' rings, connectors, arrowheads, texts."""

    tiles: list[Polygon]
    boxes: list[Polygon]
    rings: list[Polygon]
    connectors: list[LineString]
    heads: list[Polygon]
    texts: list[Text]

    @property
    def lines(self) -> list[Polygon]:
        """All that is drawn as a line, as wide as its pen."""
        outlines = [(shape.exterior, OUTLINE_MM) for shape in self.boxes]
        outlines += [(shape.exterior, CONNECTOR_MM) for shape in self.rings]
        outlines += [(shape, CONNECTOR_MM) for shape in self.connectors]
        return [shape.buffer(width / 2) for shape, width in outlines] + self.heads


def read_ladder(drawing: FlowDrawing) -> ReadLadder:
    shapes = shapes_of(drawing.items)
    heads = [shape for shape in shapes if len(shape.path) == 4 and shape.stroke is None]
    return ReadLadder(
        [outline(shape) for shape in shapes if shape.fill is GREY_PALE],
        [outline(shape) for shape in shapes if is_box(shape)],
        [outline(shape) for shape in shapes if is_ring(shape)],
        [line(shape) for shape in shapes if is_connector(shape)],
        [outline(shape) for shape in heads],
        texts_of(drawing.items),
    )


def is_ring(shape: Shape) -> bool:
    """A circle drawn with a connector's pen; marks are drawn with a thinner one."""
    return shape.stroke is not None and shape.stroke.width_mm == CONNECTOR_MM and len(shape.path) == 6


def is_box(shape: Shape) -> bool:
    return shape.stroke is not None and shape.stroke.width_mm == OUTLINE_MM and len(shape.path) == 10


def is_connector(shape: Shape) -> bool:
    return shape.stroke is not None and shape.stroke.width_mm == CONNECTOR_MM and len(shape.path) == 2
