"""Flowcharts as drawn: nothing overlaps, nothing crosses, and the exits go where a reader expects them."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ladder_samples import charts, is_box
from scene_measures import ink, inked_overlaps, line, outline, shapes_of, texts_of
from shapely import LineString, Point, Polygon

from pocketref.blocks.chart import ChartBlock
from pocketref.pages.page import Box
from pocketref.pages.type_scale import sizes_for
from pocketref.scene.charts.flow_layout import (
    RAIL_INSET_MM,
    ROW_GAP_MM,
    FlowEnding,
    FlowExit,
    FlowNode,
    FlowQuestion,
    unfold_nodes,
)
from pocketref.scene.charts.flow_symbols import (
    CONNECTOR_MM,
    OUTLINE_MM,
    FlowDrawing,
    draw_flowchart,
    find_least_gap,
    find_least_white,
)
from pocketref.scene.charts.verdict_box import HEADLINE
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Shape, Text
from pocketref.scene.paths import extent_of_all
from pocketref.scene.typefaces import cap_height_mm

WIDTH_MM = 240.0
SIZE_PT = 8.0
HALF_PEN_MM = OUTLINE_MM * 1.4 / 2
"""An arrow that ends under the pen of an outline touches it."""
Nodes = dict[str, FlowNode]

_QUESTIONS = st.sampled_from(
    [
        "Foot past a line's outer edge?",
        "Has the pitcher started?",
        "Told to get in, and still won't?",
        "Dead?",
        "Did the bat meet the ball a second time, in fair or foul ground?",
    ]
)
_LINES = st.lists(
    st.sampled_from([("ball-live", "ball live"), ("batter-out", "out"), ("runners-stay", "stay")]),
    max_size=3,
)


@st.composite
def diagrams(draw: st.DrawFn, *, shared: bool = True) -> Nodes:
    """A decision diagram whose root is "0"; questions come one after the other, and may be reached twice."""
    count = draw(st.integers(1, 5))
    nodes: Nodes = {}
    free = list(range(1, count))
    for number in range(count):
        exits = []
        for leave in range(draw(st.integers(2, 3))):
            later = [n for n in range(number + 1, count) if n in free or shared]
            choice = draw(st.sampled_from([None, *later]))
            if choice in free:
                free.remove(choice)
            target = f"{number}-{leave}" if choice is None else str(choice)
            if choice is None:
                nodes[target] = FlowEnding(target, "Play on", tuple(draw(_LINES)))
            exits.append(FlowExit(f"{number}.{leave}", target))
        nodes[str(number)] = FlowQuestion(str(number), draw(_QUESTIONS), tuple(exits))
    return nodes


@dataclass(frozen=True)
class Chart:
    """A drawn chart, its parts told apart by how they are drawn."""

    drawing: FlowDrawing
    symbols: list[Polygon]
    rhombi: list[Polygon]
    circles: list[Polygon]
    connectors: list[LineString]
    heads: list[Polygon]
    labels: dict[str, Text]
    texts: list[Text]


def is_symbol(shape: Shape) -> bool:
    return shape.stroke is not None and shape.stroke.width_mm >= OUTLINE_MM


def draw(nodes: Nodes, width_mm: float = WIDTH_MM, row_gap_mm: float = ROW_GAP_MM) -> Chart:
    drawing = draw_flowchart(nodes, "0", width_mm, SIZE_PT, row_gap_mm)
    shapes = shapes_of(drawing.items)
    symbols = [outline(shape) for shape in shapes if is_symbol(shape)]
    texts = texts_of(drawing.items)
    return Chart(
        drawing,
        symbols,
        [symbol for symbol in symbols if len(symbol.exterior.coords) == 5],
        [symbol for symbol in symbols if abs(symbol.bounds[2] - symbol.bounds[0] - 5.0) < 0.01],
        [line(shape) for shape in shapes if shape.stroke and shape.stroke.width_mm == CONNECTOR_MM],
        [
            outline(shape)
            for shape in shapes
            if shape.stroke is None and shape.fill is BLACK and len(shape.path) == 4
        ],
        {text.content: text for text in texts if text.face is FontFace.BOLD and "." in text.content},
        texts,
    )


def count_exits(nodes: Nodes) -> int:
    tree, _ = unfold_nodes(nodes, "0")
    return sum(len(node.exits) for node in tree.values() if isinstance(node, FlowQuestion))


def share_a_rail(one: LineString, other: LineString) -> bool:
    """Whether two connectors leave one question by its right corner."""
    (x1, y1), (x2, y2) = one.coords[0], other.coords[0]
    return abs(y1 - y2) < 1e-6 and abs(x1 - x2) <= RAIL_INSET_MM + 1e-6


@settings(max_examples=60)
@given(diagrams())
def test_no_two_symbols_overlap(nodes: Nodes) -> None:
    chart = draw(nodes)
    marked = [circle for circle in chart.circles if any(circle.intersects(r) for r in chart.rhombi)]
    for one, other in itertools.combinations(chart.symbols, 2):
        if one in marked or other in marked:
            continue  # the letter of a question stands at its own symbol's shoulder
        assert one.intersection(other).area < 1e-6


@settings(max_examples=60)
@given(diagrams())
def test_no_two_texts_overlap(nodes: Nodes) -> None:
    assert inked_overlaps(draw(nodes).texts) == []


@settings(max_examples=60)
@given(diagrams())
def test_no_connector_crosses_another_one(nodes: Nodes) -> None:
    for one, other in itertools.combinations(draw(nodes).connectors, 2):
        assert share_a_rail(one, other) or not one.intersects(other)


@settings(max_examples=60)
@given(diagrams())
def test_no_connector_passes_through_a_symbol(nodes: Nodes) -> None:
    chart = draw(nodes)
    for connector, symbol in itertools.product(chart.connectors, chart.symbols):
        assert connector.intersection(symbol).length < 0.01


@settings(max_examples=60)
@given(diagrams())
def test_every_exit_is_drawn_once_with_its_arrowhead_and_label(nodes: Nodes) -> None:
    chart = draw(nodes)
    assert len(chart.connectors) == len(chart.heads) == count_exits(nodes)
    drawn = [text.content for text in chart.texts if text.face is FontFace.BOLD and "." in text.content]
    assert sorted(drawn) == sorted(leave.label for node in unfolded_questions(nodes) for leave in node.exits)


def unfolded_questions(nodes: Nodes) -> list[FlowQuestion]:
    tree, _ = unfold_nodes(nodes, "0")
    return [node for node in tree.values() if isinstance(node, FlowQuestion)]


@settings(max_examples=60)
@given(diagrams())
def test_every_arrow_ends_on_a_symbol(nodes: Nodes) -> None:
    chart = draw(nodes)
    for head in chart.heads:
        tip = head.exterior.coords[0]
        assert min(symbol.exterior.distance(Point(tip)) for symbol in chart.symbols) < HALF_PEN_MM


@settings(max_examples=60)
@given(diagrams())
def test_every_connector_starts_at_a_question_or_on_its_rail(nodes: Nodes) -> None:
    chart = draw(nodes)
    for connector in chart.connectors:
        start = Point(connector.coords[0])
        near = min(rhombus.exterior.distance(start) for rhombus in chart.rhombi)
        assert near < 0.01 or near == pytest.approx(RAIL_INSET_MM, abs=0.01)


@settings(max_examples=60)
@given(diagrams())
def test_the_last_exit_leads_down_and_every_other_one_to_the_right(nodes: Nodes) -> None:
    chart = draw(nodes)
    for connector in chart.connectors:
        (x1, y1), (x2, y2) = connector.coords[0], connector.coords[-1]
        rhombus = min(chart.rhombi, key=lambda r: r.distance(Point(x1, y1)))
        left, bottom, right, _ = rhombus.bounds
        if abs(x1 - x2) < 1e-6 and left < x1 < right:
            assert y2 < y1 <= bottom + 1e-6
        else:
            assert x2 > x1 >= right - 1e-6
    for question in unfolded_questions(nodes):
        *others, last = (chart.labels[leave.label] for leave in question.exits)
        assert all(other.x > last.x for other in others)


@settings(max_examples=40)
@given(diagrams(), st.floats(160, 300))
def test_the_chart_is_as_wide_as_asked_and_as_high_as_it_says(nodes: Nodes, width_mm: float) -> None:
    chart = draw(nodes, width_mm)
    half_pen = OUTLINE_MM * 1.4 / 2 + 1e-6
    symbols = [shape for shape in shapes_of(chart.drawing.items) if is_symbol(shape)]
    left, bottom, right, top = extent_of_all(symbols)
    assert chart.drawing.width_mm == width_mm
    assert left >= -half_pen
    assert right <= width_mm + half_pen
    if not chart.circles:
        assert left == pytest.approx(width_mm - right, abs=0.5), "the chart stands in the middle"
    assert bottom == pytest.approx(0, abs=half_pen)
    assert top == pytest.approx(chart.drawing.height_mm, abs=half_pen)


@settings(max_examples=30)
@given(diagrams(shared=False))
def test_a_tree_is_drawn_without_a_connector_circle(nodes: Nodes) -> None:
    assert draw(nodes).circles == []


TWICE: Nodes = {
    "0": FlowQuestion("0", "Fair?", (FlowExit("0.0", "1"), FlowExit("0.1", "2"))),
    "1": FlowQuestion("1", "Caught?", (FlowExit("1.0", "e"), FlowExit("1.1", "2"))),
    "2": FlowQuestion("2", "Touched?", (FlowExit("2.0", "e"), FlowExit("2.1", "f"))),
    "e": FlowEnding("e", "Out"),
    "f": FlowEnding("f", "Play on"),
}


def test_a_question_reached_twice_is_asked_once_and_jumped_to_by_its_letter() -> None:
    chart = draw(TWICE)
    said = [text.content for text in chart.texts]
    assert said.count("Touched?") == 1
    assert said.count("A") == 2
    assert len(chart.circles) == 2


SAME: Nodes = {
    "0": FlowQuestion("0", "Fair?", (FlowExit("0.0", "a"), FlowExit("0.1", "1"))),
    "1": FlowQuestion("1", "Caught?", (FlowExit("1.0", "b"), FlowExit("1.1", "c"))),
    "a": FlowEnding("a", "Out", (("ball-dead", "dead"),)),
    "b": FlowEnding("b", "Out", (("ball-dead", "dead"),)),
    "c": FlowEnding("c", "Play on"),
}


def test_equal_endings_one_above_the_other_are_one_symbol_that_both_arrows_reach() -> None:
    chart = draw(SAME)
    assert [text.content for text in chart.texts].count("Out") == 1
    assert len(chart.symbols) == 4
    joined = max(chart.symbols, key=lambda symbol: symbol.bounds[3] - symbol.bounds[1])
    tips = [Point(head.exterior.coords[0]) for head in chart.heads]
    assert sum(joined.exterior.distance(tip) < HALF_PEN_MM for tip in tips) == 2


@settings(max_examples=60)
@given(charts())
def test_a_verdicts_box_is_as_high_as_its_words_and_white_on_black_where_somebody_is_out(
    nodes: Nodes,
) -> None:
    drawing = draw_flowchart(nodes, "0", WIDTH_MM, SIZE_PT, find_least_gap(SIZE_PT))
    boxes = [shape for shape in shapes_of(drawing.items) if is_box(shape)]
    assert boxes
    for shape in boxes:
        box = outline(shape)
        words = [text for text in texts_of(drawing.items) if box.contains(Point(text.x, text.y))]
        assert box.bounds[3] - max(t.y + cap_height_mm(t.face, t.size_pt) for t in words) < 3.0
        assert min(text.y for text in words) - box.bounds[1] < 3.0
        assert {text.ink for text in words if text.content != "?"} == {
            WHITE if shape.fill is BLACK else BLACK
        }
        assert max(text.size_pt for text in words) == pytest.approx(HEADLINE * SIZE_PT)
    endings = [node for node in nodes.values() if isinstance(node, FlowEnding)]
    are_out = any(mark == "batter-out" for node in endings for mark, _ in node.lines)
    assert any(shape.fill is BLACK for shape in boxes) == are_out


def test_endings_that_differ_in_a_mark_are_not_joined() -> None:
    nodes = {**SAME, "b": FlowEnding("b", "Out", (("ball-live", "live"),))}
    assert [text.content for text in draw(nodes).texts].count("Out") == 2


def test_wider_gaps_make_a_higher_chart_that_is_otherwise_the_same() -> None:
    narrow, wide = draw(TWICE), draw(TWICE, row_gap_mm=8.0)
    assert wide.drawing.height_mm > narrow.drawing.height_mm
    assert [t.content for t in wide.texts] == [t.content for t in narrow.texts]


def test_a_word_wider_than_its_symbol_is_told_as_overflow() -> None:
    nodes: Nodes = {"0": FlowEnding("0", "Incontrovertibly")}
    assert draw(nodes, 60).drawing.overflow_mm == 0
    narrow = draw(nodes, 20).drawing
    (word,) = texts_of(narrow.items)
    assert narrow.overflow_mm > 0
    assert narrow.overflow_mm < word.width_mm


def test_a_chart_too_wide_for_even_columns_gives_each_gap_the_room_that_its_own_words_take() -> None:
    nodes: Nodes = {
        "0": FlowQuestion("0", "Dead?", (FlowExit("unquestionably", "1"), FlowExit("no", "a"))),
        "1": FlowQuestion("1", "Out?", (FlowExit("yes", "b"), FlowExit("no", "c"))),
        **{key: FlowEnding(key, "interference") for key in "abc"},
    }
    even, uneven = (draw(nodes, width_mm) for width_mm in (115.0, 100.0))
    assert even.drawing.overflow_mm == uneven.drawing.overflow_mm == 0
    columns = [sorted({round(symbol.centroid.x) for symbol in chart.symbols}) for chart in (even, uneven)]
    (first, second), (wide, narrow) = ([b - a for a, b in itertools.pairwise(each)] for each in columns)
    assert abs(first - second) <= 1
    assert wide > narrow + 10


@pytest.mark.parametrize("more_mm", [2.0, 6.0, 12.0])
def test_a_chart_that_is_spread_stays_in_its_room_where_words_hold_some_rows_apart(more_mm: float) -> None:
    downs = ["no", *["only where nobody had told them"] * 3]
    nodes: Nodes = {
        f"{number}": FlowQuestion(
            f"{number}", "Dead?", (FlowExit("yes", f"a{number}"), FlowExit(down, f"{number + 1}"))
        )
        for number, down in enumerate(downs)
    }
    nodes |= {f"a{number}": FlowEnding(f"a{number}", f"Out {number}") for number in range(len(downs))}
    block = ChartBlock("chart", {**nodes, f"{len(downs)}": FlowEnding("z", "Play on")}, "0")
    sizes = sizes_for(SIZE_PT, SIZE_PT, SIZE_PT)
    room = block.measure_mm(120.0, sizes) + more_mm
    shapes = shapes_of(block.draw(Box(0, 0, 120.0, room), sizes).items)
    bounds = [outline(shape).bounds for shape in shapes if is_symbol(shape)]
    assert min(bottom for _, bottom, _, _ in bounds) > -OUTLINE_MM
    assert max(top for _, _, _, top in bounds) < room + OUTLINE_MM


@pytest.mark.parametrize("size_pt", [7.6, 9.2, 11.0])
def test_the_label_of_an_exit_touches_neither_its_connector_nor_a_symbol(size_pt: float) -> None:
    yes = FlowQuestion("0", "Was it?", (FlowExit("yes", "a"), FlowExit("no", "b")))
    nodes: Nodes = {"0": yes, "a": FlowEnding("a", "Out"), "b": FlowEnding("b", "Play on")}
    drawing = draw_flowchart(nodes, "0", WIDTH_MM, size_pt, find_least_gap(size_pt))
    shapes = shapes_of(drawing.items)
    labels = [ink(text) for text in texts_of(drawing.items) if text.content in ("yes", "no")]
    assert len(labels) == 2
    for label in labels:
        assert all(label.distance(outline(shape)) > 0.25 for shape in shapes if is_symbol(shape))
        assert all(
            label.distance(line(s)) > 0.25 for s in shapes if s.stroke and s.stroke.width_mm == CONNECTOR_MM
        )


@settings(max_examples=80, deadline=None)
@given(charts(), st.sampled_from([120.0, 190.0, WIDTH_MM]))
def test_no_word_of_up_to_five_answers_touches_a_line_or_another_word(nodes: Nodes, width_mm: float) -> None:
    """Phrases as answers, on the width of a card, a sheet and more; what does not fit says so."""
    drawing = draw_flowchart(nodes, "0", width_mm, SIZE_PT, find_least_gap(SIZE_PT))
    if drawing.overflow_mm:
        return
    shapes = shapes_of(drawing.items)
    pens = [shape for shape in shapes if shape.stroke]
    lines = [line(s).buffer(CONNECTOR_MM / 2) for s in pens if s.stroke and s.stroke.width_mm == CONNECTOR_MM]
    lines += [outline(shape).exterior.buffer(OUTLINE_MM / 2) for shape in pens if is_symbol(shape)]
    lines += [
        outline(shape)
        for shape in shapes
        if not shape.stroke and shape.fill is BLACK and len(shape.path) == 4
    ]
    texts = texts_of(drawing.items)
    # The letter of a question reached twice stands at its own symbol's shoulder.
    words = [ink(text) for text in texts if text.face is FontFace.BOLD and len(text.content) > 1]
    assert not [1 for word, pen in itertools.product(words, lines) if word.intersects(pen)]
    assert not [1 for one, other in itertools.combinations(map(ink, texts), 2) if one.intersects(other)]
    assert {word for node in nodes.values() for word in _list_answer_words(node)} <= {
        word for text in texts for word in text.content.split()
    }


def _list_answer_words(node: FlowNode) -> list[str]:
    exits = node.exits if isinstance(node, FlowQuestion) else ()
    return [word for leave in exits for word in leave.label.split()]


def test_larger_type_is_set_with_more_white_around_questions() -> None:
    assert find_least_white(7.6) < find_least_white(8.8) < find_least_white(9.8) == find_least_white(11.0)


def test_words_beside_a_connector_are_stacked_only_where_height_or_width_is_short() -> None:
    label = "near or off dirt"
    nodes: Nodes = {
        "0": FlowQuestion("0", "Where has the batter gone?", (FlowExit(label, "1"), FlowExit("dugout", "2"))),
        "1": FlowEnding("1", "Live: batter may run"),
        "2": FlowEnding("2", "Out: gave up first base"),
    }

    def count_lines(width_mm: float) -> int:
        drawing = draw_flowchart(nodes, "0", width_mm, SIZE_PT, room_mm=99.0)
        assert drawing.overflow_mm == 0
        return sum(set(text.content.split()) <= set(label.split()) for text in texts_of(drawing.items))

    assert (count_lines(70.0), count_lines(46.5)) == (2, 3)
