"""Ladders as drawn: nothing overlaps or crosses, each answer leads where the chart says, outs are seen first."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ladder_samples import SIZE_PT, WIDTH_MM, Nodes, ReadLadder, charts, is_box, read_ladder
from scene_measures import ink, outline, shapes_of, texts_of
from shapely import Point, Polygon, STRtree, box

from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowQuestion
from pocketref.scene.charts.flow_symbols import FlowDrawing
from pocketref.scene.charts.ladder import draw_ladder
from pocketref.scene.charts.ladder_layout import LadderPart, Rung, construct_rungs, group_rows, lead_down
from pocketref.scene.charts.ladder_parts import cut_ladder
from pocketref.scene.charts.verdict_box import HEADLINE, OUTLINE_MM
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Text
from pocketref.scene.paths import extent_of_all
from pocketref.scene.textfit import bind

_HAIR = 0.01

sizes = st.sampled_from([10.0, 11.0, 13.0])
widths = st.sampled_from([78.8, 97.0, WIDTH_MM])


def draw(nodes: Nodes, width_mm: float = WIDTH_MM, size_pt: float = SIZE_PT) -> FlowDrawing:
    return draw_ladder(nodes, "0", width_mm, size_pt)


def rungs_of(nodes: Nodes) -> tuple[Rung, ...]:
    return lead_down(construct_rungs(nodes, "0"))


def join(texts: Sequence[Text]) -> str:
    return " ".join(" ".join(text.content for text in texts).replace("\u00a0", " ").split())


def plain(words: str) -> str:
    return bind(words).replace("\u00a0", " ")


# --- nothing overlaps -------------------------------------------------------------------------------------


@settings(max_examples=80)
@given(charts(), widths, sizes)
def test_every_text_is_inside_one_tile_or_box_or_free_of_all_lines(
    nodes: Nodes, width_mm: float, size_pt: float
) -> None:
    drawing = draw(nodes, width_mm, size_pt)
    if drawing.overflow_mm:
        return
    ladder = read_ladder(drawing)
    areas = [*ladder.tiles, *(each.buffer(-OUTLINE_MM / 2) for each in ladder.boxes)]
    inside, lines = STRtree(areas), STRtree(ladder.lines)
    for text in ladder.texts:
        inked = ink(text)
        assert all(areas[place].covers(inked) for place in inside.query(inked, "intersects")), text.content
        assert len(lines.query(inked, "intersects")) == 0, text.content


@settings(max_examples=80)
@given(charts(), widths)
def test_no_two_texts_overlap(nodes: Nodes, width_mm: float) -> None:
    drawing = draw(nodes, width_mm)
    inked = [ink(text).envelope for text in texts_of(drawing.items)]
    assert drawing.overflow_mm or all(one.disjoint(other) for one, other in itertools.combinations(inked, 2))


@settings(max_examples=80)
@given(charts(), widths)
def test_no_two_tiles_or_boxes_meet_and_no_connector_crosses_anything(nodes: Nodes, width_mm: float) -> None:
    ladder = read_ladder(draw(nodes, width_mm))
    areas = [*ladder.tiles, *ladder.boxes]
    assert all(one.distance(other) > 1 for one, other in itertools.combinations(areas, 2))
    for one, other in itertools.combinations(ladder.connectors, 2):
        assert one.disjoint(other)
    for connector in ladder.connectors:
        assert sum(connector.distance(area) < _HAIR for area in areas) <= 1


@settings(max_examples=60)
@given(charts(), widths, st.floats(0, 400))
def test_a_ladder_is_as_wide_and_high_as_it_says_and_no_higher_than_it_must_be(
    nodes: Nodes, width_mm: float, height_mm: float
) -> None:
    least = draw(nodes, width_mm)
    drawing = draw_ladder(nodes, "0", width_mm, SIZE_PT, height_mm)
    assert drawing.height_mm <= max(least.height_mm, height_mm) + 0.11
    left, bottom, right, top = extent_of_all(drawing.items)
    assert left >= -_HAIR
    assert bottom >= -_HAIR
    assert top <= drawing.height_mm + _HAIR
    assert drawing.overflow_mm or right <= width_mm + _HAIR


# --- it says what the chart says --------------------------------------------------------------------------


def spell(nodes: Nodes) -> str:
    """What is to be read, rung by rung: the answers that lead right, each with its verdict, then the one down."""
    rungs = rungs_of(nodes)
    starts = {group[0] for group in group_rows(rungs)}
    words, row = [], 0
    for rung in rungs:
        words += [str(rung.number), rung.question]
        for leave in rung.exits:
            words.append(leave.answer)
            if leave.jump:
                words += ["go to", str(leave.jump)]
            elif row in starts and leave.ending:
                words.append(leave.ending.headline)
                says_out = leave.ending.headline.startswith("Out:")
                words += [each for mark, each in leave.ending.lines if mark != "batter-out" or not says_out]
            row += 1
        words.append(rung.down)
    return " ".join(plain(each) for each in words if each)


@settings(max_examples=80)
@given(charts())
def test_the_words_are_in_reading_order_rung_by_rung(nodes: Nodes) -> None:
    assert join(texts_of(draw(nodes).items)) == spell(nodes)


@settings(max_examples=80)
@given(charts(), widths)
def test_every_answer_leads_to_its_verdict_its_number_or_the_question_below(
    nodes: Nodes, width_mm: float
) -> None:
    drawing = draw(nodes, width_mm)
    if drawing.overflow_mm:
        return
    ladder, rungs = read_ladder(drawing), rungs_of(nodes)
    rights = [head for head in ladder.heads if is_rightward(head)]
    exits = [(rung, leave) for rung in rungs for leave in rung.exits]
    assert len(rights) == len(exits)
    assert len(ladder.heads) - len(rights) == sum(bool(rung.down) for rung in rungs)
    for head, (rung, leave) in zip(rights, exits, strict=True):
        tip = Point(head.bounds[2], (head.bounds[1] + head.bounds[3]) / 2)
        tile = ladder.tiles[rung.number - 1]
        assert tile.bounds[1] < tip.y < tile.bounds[3], "a connector leaves its own question's tile"
        reached = [each for each in ladder.boxes if each.distance(tip) < OUTLINE_MM]
        if leave.ending:
            assert leave.ending.headline in read_box(reached[0], ladder)
        else:
            assert reached == []
            row = box(tip.x, tip.y - 1.5, width_mm, tip.y + 1.5)
            assert join([t for t in ladder.texts if row.intersects(ink(t))]) == f"go to {leave.jump}"


def is_rightward(head: Polygon) -> bool:
    left, bottom, right, top = head.bounds
    return right - left > top - bottom


def read_box(area: Polygon, ladder: ReadLadder) -> str:
    return join([text for text in ladder.texts if area.covers(ink(text))])


@settings(max_examples=40)
@given(charts())
def test_a_question_reached_from_above_is_the_next_one_down(nodes: Nodes) -> None:
    ladder, rungs = read_ladder(draw(nodes)), rungs_of(nodes)
    downs = [head for head in ladder.heads if not is_rightward(head)]
    below = [ladder.tiles[rung.number] for rung in rungs if rung.down]
    for head, tile in zip(downs, below, strict=True):
        assert head.bounds[1] == pytest.approx(tile.bounds[3])


@settings(max_examples=40)
@given(charts())
def test_numbers_only_ever_lead_on(nodes: Nodes) -> None:
    for rung in construct_rungs(nodes, "0"):
        assert all(leave.jump > rung.number for leave in rung.exits if leave.jump)


# --- what is seen first -----------------------------------------------------------------------------------


@settings(max_examples=40)
@given(charts(), sizes)
def test_headlines_are_larger_and_all_else_is_at_the_size_asked_for(nodes: Nodes, size_pt: float) -> None:
    texts = texts_of(draw(nodes, size_pt=size_pt).items)
    large = [text for text in texts if text.size_pt != size_pt]
    assert {text.size_pt for text in large} <= {HEADLINE * size_pt}
    assert {text.face for text in large} <= {FontFace.BOLD}
    assert join(large) == " ".join(ending.headline for ending in list_shown(nodes))


def list_shown(nodes: Nodes) -> list[FlowEnding]:
    """The verdicts that have a box, from the top."""
    rungs = rungs_of(nodes)
    endings = [leave.ending for rung in rungs for leave in rung.exits]
    return [ending for group in group_rows(rungs) if (ending := endings[group[0]])]


@settings(max_examples=40)
@given(charts())
def test_outs_are_white_on_black_and_nothing_else_is(nodes: Nodes) -> None:
    drawing = draw(nodes)
    blocks = [shape for shape in shapes_of(drawing.items) if is_box(shape)]
    black: list[Polygon] = []
    for block, ending in zip(blocks, list_shown(nodes), strict=True):
        is_out = any(mark == "batter-out" for mark, _ in ending.lines)
        assert block.fill == (BLACK if is_out else WHITE)
        black += [outline(block)] * is_out
    for text in texts_of(drawing.items):
        assert (text.ink == WHITE) is any(area.covers(ink(text)) for area in black), text.content


def verdict(key: str, headline: str, *lines: tuple[str, str]) -> FlowEnding:
    return FlowEnding(key, headline, lines)


def yes_no(key: str, text: str, yes: str, no: str) -> FlowQuestion:
    return FlowQuestion(key, text, (FlowExit("yes", yes), FlowExit("no", no)))


OUT = (("ball-dead", "dead"), ("batter-out", "out"), ("runners-back", "back"))
LIVE = (("ball-live", "live"), ("batter", "bats on"))
CHAIN: Nodes = {
    "0": yes_no("0", "On the plate?", "a", "1"),
    "1": yes_no("1", "All outside?", "b", "c"),
    "a": verdict("a", "Out: out of the box", *OUT),
    "b": verdict("b", "Out: out of the box", *OUT),
    "c": verdict("c", "Legal", *LIVE),
}


def test_equal_neighbours_share_one_box_that_spans_their_rungs() -> None:
    ladder = read_ladder(draw(CHAIN))
    assert len(ladder.boxes) == 2
    first, second = ladder.tiles
    assert ladder.boxes[0].bounds[3] > first.centroid.y
    assert ladder.boxes[0].bounds[1] < second.bounds[3]


def test_height_to_spare_is_spread_between_tiles_and_between_boxes() -> None:
    least = draw(CHAIN)
    spread = draw_ladder(CHAIN, "0", WIDTH_MM, SIZE_PT, least.height_mm + 8)
    assert spread.height_mm == pytest.approx(least.height_mm + 8, abs=0.01)
    low, high = read_ladder(least), read_ladder(spread)
    assert high.tiles[0].distance(high.tiles[1]) > low.tiles[0].distance(low.tiles[1]) + 1
    assert high.boxes[0].distance(high.boxes[1]) > low.boxes[0].distance(low.boxes[1]) + 1


def test_a_box_says_no_more_than_once_what_becomes_of_the_batter() -> None:
    ladder = read_ladder(draw(CHAIN))
    assert read_box(ladder.boxes[0], ladder) == "Out: out of the box dead back"


def test_marks_with_the_same_words_share_them() -> None:
    words = "as the ball is ruled"
    nodes: Nodes = {"0": verdict("0", "Legal", ("batter", words), ("runners-ruled", words))}
    assert join(texts_of(draw(nodes).items)) == f"Legal {words}"


def test_a_chart_that_asks_nothing_is_its_verdict() -> None:
    drawing = draw({"0": verdict("0", "Legal", *LIVE)})
    assert join(texts_of(drawing.items)) == "Legal live bats on"
    assert len(read_ladder(drawing).boxes) == 1


def test_what_cannot_fit_is_told_in_millimetres() -> None:
    nodes = CHAIN | {"c": verdict("c", "Counterrevolutionary", *LIVE)}
    assert draw(nodes).overflow_mm == 0
    narrow = draw(nodes, width_mm=50)
    assert narrow.overflow_mm > 5


# --- parts ------------------------------------------------------------------------------------------------


@settings(max_examples=40)
@given(charts(), st.sampled_from([(78.8, 34.0), (97.0, 52.0)]))
def test_the_parts_of_a_ladder_hold_every_rung_once_and_each_that_can_fits(
    nodes: Nodes, face: tuple[float, float]
) -> None:
    width_mm, height_mm = face
    parts = cut_ladder(nodes, "0", width_mm, height_mm, SIZE_PT)
    assert [n for part in parts for n in range(part.first, part.last + 1)] == [
        rung.number for rung in construct_rungs(nodes, "0")
    ]
    for part in parts:
        drawing = draw_ladder(nodes, "0", width_mm, SIZE_PT, 0.0, part)
        assert part.first == part.last or drawing.height_mm <= height_mm + _HAIR


@settings(max_examples=40)
@given(charts(), st.data())
def test_a_part_names_the_number_and_the_place_of_what_is_elsewhere(
    nodes: Nodes, data: st.DataObject
) -> None:
    rungs = construct_rungs(nodes, "0")
    first = data.draw(st.integers(1, len(rungs)))
    last = data.draw(st.integers(first, len(rungs)))
    part = LadderPart(first, last, {rung.number: f"face {rung.number}" for rung in rungs[last:]})
    words = join(texts_of(draw_ladder(nodes, "0", WIDTH_MM, SIZE_PT, 0.0, part).items))
    for rung in rungs[first - 1 : last]:
        for leave in rung.exits:
            if leave.jump > last:
                assert f"go to {leave.jump} face {leave.jump}" in words
    assert f"{first} {plain(rungs[first - 1].question)}" in words


def test_of_cuts_that_fit_one_with_the_fewest_answers_across_is_taken() -> None:
    nodes: Nodes = {
        "0": yes_no("0", "First?", "a", "1"),
        "1": yes_no("1", "Second?", "2", "3"),
        "2": yes_no("2", "Third?", "b", "c"),
        "3": yes_no("3", "Fourth?", "d", "e"),
        **{key: verdict(key, f"Ending {key}", *LIVE) for key in "abcde"},
    }
    whole = draw_ladder(nodes, "0", WIDTH_MM, SIZE_PT)
    first, second = cut_ladder(nodes, "0", WIDTH_MM, 0.75 * whole.height_mm, SIZE_PT)
    assert (first.last, second.first) in ((1, 2), (3, 4)), "between 2 and 3 there are two answers to follow"
    assert set(first.elsewhere.values()) == {"next face"}
    assert second.elsewhere == dict.fromkeys(range(1, second.first), "face 1")
