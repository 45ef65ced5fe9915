"""Composing a face: the largest type at which all fits, and what is told when nothing does."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.output.contents import items_of
from pocketref.pages.blocks import Footer, Paragraphs, TitleBand
from pocketref.pages.composition import (
    BLOCK_GAP_MM,
    COLUMN_GAP_MM,
    FOOT_GAP_MM,
    HEAD_GAP_MM,
    Columns,
    Face,
    Misfit,
    choose_sizes,
    compose_face,
    draw_stack,
    find_misfits,
    stack_height_mm,
)
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Shape, Text
from pocketref.scene.paths import extent_of, rectangle
from pocketref.scene.textfit import leading_mm

FLOOR_PT = 7.5
SCALE = (7.6, 8.0, 8.4, 9.0, 10.0, 11.0)
STEPS = [sizes_for(step, FLOOR_PT) for step in SCALE]
BOX = Box(4, 4, 119, 68)
BAND = TitleBand("Batter's box", "HS 2027", "1")
FOOT = Footer(("HS 7-1-1",), ("The rule book and the league govern.",))


@dataclass(frozen=True)
class Slab:
    """A block of a fixed height and least width, for the sums."""

    label: str
    height_mm: float
    width_mm: float = 10.0
    grows: bool = False

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        return self.height_mm

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        return max(self.width_mm - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        shape = Shape(rectangle(box.x, box.y, box.width_mm, box.height_mm), fill=BLACK)
        return Element(Role.DECORATION, (shape,), label=self.label)


def boxes_of(elements: list[Element]) -> list[tuple[float, float, float, float]]:
    return [extent_of(element.items[0]) for element in elements]


def bare_face(*body: Slab) -> Face:
    return Face("front", Slab("head", 5), body, Slab("foot", 3))


ROOM_MM = BOX.height_mm - 5 - 3 - HEAD_GAP_MM - FOOT_GAP_MM
SIZES = sizes_for(8.4, FLOOR_PT)
SENTENCES = st.lists(
    st.sampled_from(
        [
            "A foot *on the line is in*. Past its outer edge is not.",
            "Wrong? *Hold the pitcher, tell the batter,* wait.",
            "Feet first, as the batter sets.",
            "No call on the stance: watch the feet at contact, and then rule on what the bat met and where.",
        ]
    ),
    min_size=1,
    max_size=14,
)


@settings(max_examples=80)
@given(SENTENCES)
def test_the_type_is_the_largest_step_at_which_the_face_fits(sentences: list[str]) -> None:
    face = Face("front", BAND, (Paragraphs("first", ("Look.",)), Paragraphs("long", tuple(sentences))), FOOT)
    sizes, misfits = choose_sizes(face, BOX, STEPS)
    fitting = [step for step in SCALE if not find_misfits(face, BOX, sizes_for(step, FLOOR_PT))]
    if sizes is None:
        assert fitting == []
        assert {misfit.block for misfit in misfits} == {"long"}
    else:
        assert sizes.body_pt == max(fitting)
        assert misfits == []


@settings(max_examples=60)
@given(SENTENCES)
def test_nothing_is_drawn_outside_the_box(sentences: list[str]) -> None:
    face = Face("front", BAND, (Paragraphs("text", tuple(sentences), "Look", "steps"),), FOOT)
    sizes, _ = choose_sizes(face, BOX, STEPS)
    if sizes is None:
        return
    for item in items_of(compose_face(face, BOX, sizes)):
        # An extent gives a text more room below its baseline than its letters take.
        left, bottom, right, top = extent_of(item)
        assert left >= BOX.x - 0.01
        assert bottom >= BOX.y - 0.1
        assert right <= BOX.right + 0.01
        assert top <= BOX.top + 0.01


@pytest.mark.parametrize("body_pt", SCALE)
def test_no_size_of_a_step_is_below_the_floor(body_pt: float) -> None:
    sizes = sizes_for(body_pt, FLOOR_PT)
    assert min(sizes.small_pt, sizes.body_pt, sizes.heading_pt, sizes.title_pt) >= FLOOR_PT
    assert sizes.small_pt <= sizes.body_pt <= sizes.heading_pt < sizes.title_pt


def test_a_misfit_names_the_block_that_the_height_runs_out_in_and_by_how_much() -> None:
    face = bare_face(Slab("figure", 30), Slab("chart", 40), Slab("calls", 5))
    needed = 30 + 40 + 5 + 2 * BLOCK_GAP_MM
    (misfit,) = find_misfits(face, BOX, SIZES)
    assert (misfit.block, misfit.direction) == ("chart", "high")
    assert misfit.excess_mm == pytest.approx(needed - ROOM_MM)


def test_a_misfit_among_columns_names_the_block_itself() -> None:
    stacks = ((Slab("lines", 10), Slab("look", 70)), (Slab("figure", 40, 95),))
    face = Face("front", Slab("head", 5), (Columns(stacks, (1.0, 1.0)),), Slab("foot", 3))
    wide, high = find_misfits(face, BOX, SIZES)
    assert (wide.block, wide.direction) == ("figure", "wide")
    assert (high.block, high.direction) == ("look", "high")
    assert high.excess_mm == pytest.approx(80 + BLOCK_GAP_MM - ROOM_MM)


def test_a_misfit_names_every_block_that_is_too_wide() -> None:
    face = bare_face(Slab("figure", 5, 130), Slab("calls", 5), Slab("chart", 5, 121.5))
    assert find_misfits(face, BOX, SIZES) == [
        Misfit("figure", 11.0, "wide", (0,)),
        Misfit("chart", 2.5, "wide", (2,)),
    ]


def test_a_misfit_inside_columns_is_found_by_its_stack_and_its_place_in_it() -> None:
    columns = Columns(((Slab("a", 5),), (Slab("b", 5), Slab("c", 5, 80))), (1.0, 1.0))
    (wide,) = find_misfits(bare_face(Slab("top", 5), columns), BOX, SIZES)
    assert (wide.block, wide.path) == ("c", (1, 1, 1))
    tall = Columns(((Slab("a", 500),), (Slab("b", 5), Slab("c", 600))), (1.0, 1.0))
    (high,) = find_misfits(bare_face(tall), BOX, SIZES)
    assert (high.block, high.path) == ("c", (0, 1, 1))


def test_blocks_that_just_fit_are_no_misfit() -> None:
    assert find_misfits(bare_face(Slab("text", ROOM_MM)), BOX, SIZES) == []
    assert find_misfits(bare_face(Slab("text", ROOM_MM + 0.1)), BOX, SIZES) != []


def test_height_to_spare_goes_to_the_blocks_that_grow() -> None:
    stack = [Slab("text", 10), Slab("chart", 10, grows=True), Slab("figure", 10, grows=True)]
    text, chart, figure = boxes_of(draw_stack(stack, Box(0, 0, 50, 60), SIZES))
    spare = (60 - 30 - 2 * BLOCK_GAP_MM) / 2
    assert text[3] == 60
    assert chart[3] - chart[1] == figure[3] - figure[1] == pytest.approx(10 + spare)
    assert figure[1] == pytest.approx(0)


def test_where_nothing_grows_gaps_widen_a_little_and_the_rest_stays_white() -> None:
    first, second = boxes_of(draw_stack([Slab("a", 10), Slab("b", 10)], Box(0, 0, 50, 100), SIZES))
    assert BLOCK_GAP_MM < first[1] - second[3] <= BLOCK_GAP_MM + 3


def test_a_stack_is_as_high_as_its_blocks_and_the_gaps_between_them() -> None:
    assert stack_height_mm([Slab("a", 10), Slab("b", 20)], 50, SIZES) == 30 + BLOCK_GAP_MM
    assert stack_height_mm([], 50, SIZES) == 0


def test_columns_share_the_width_and_keep_a_gap() -> None:
    columns = Columns(((Slab("a", 10),), (Slab("b", 20),)), (2.0, 1.0))
    drawn = columns.draw(Box(0, 0, 63, 40), SIZES)
    a, b = boxes_of(list(drawn.children))
    assert (a[0], a[2]) == (0, 40)
    assert (b[0], b[2]) == (40 + COLUMN_GAP_MM, 63)
    assert a[3] == b[3] == 40
    assert columns.measure_mm(63, SIZES) == 20


def test_columns_pass_on_the_excess_of_the_widest_block_in_them() -> None:
    columns = Columns(((Slab("a", 10, 45),), (Slab("b", 20, 10),)), (2.0, 1.0))
    assert columns.excess_mm(63, SIZES) == 5


def lines_of(foot: Footer, width_mm: float) -> list[str]:
    """What a footer prints, line by line from the top, left before right."""
    sizes = sizes_for(8.0, FLOOR_PT)
    drawn = foot.draw(Box(0, 0, width_mm, foot.measure_mm(width_mm, sizes)), sizes)
    by_line: dict[float, list[Text]] = {}
    for item in items_of((drawn,)):
        if isinstance(item, Text):
            by_line.setdefault(round(item.y, 3), []).append(item)
    return [
        " | ".join(text.content for text in sorted(line, key=lambda text: text.x))
        for _, line in sorted(by_line.items(), reverse=True)
    ]


def test_sections_go_on_below_where_a_footer_has_no_room_for_them_beside_what_governs() -> None:
    foot = Footer(
        ("PRO 6.03(a), 6.05, 6.06, 6.08; HS 7-3-1", "Edition 2027"), ("The rule book governs.", "Valid")
    )
    flowing = replace(foot, flows=True)
    assert lines_of(flowing, 160) == lines_of(foot, 160)
    assert lines_of(flowing, 50) == [
        "PRO\u00a06.03(a), 6.05, 6.06, 6.08; HS\u00a07-3-1",
        "The rule book governs.",
        "Edition 2027 | Valid",
    ]
    sizes = sizes_for(8.0, FLOOR_PT)
    assert flowing.excess_mm(50, sizes) == 0
    assert foot.excess_mm(50, sizes) > 5
    assert flowing.measure_mm(50, sizes) == pytest.approx(0.9 + 3 * leading_mm(sizes.small_pt))
    assert flowing.measure_mm(160, sizes) == pytest.approx(0.9 + 2 * leading_mm(sizes.small_pt))


def test_a_footer_too_narrow_for_one_section_is_too_narrow_by_what_that_lacks() -> None:
    flowing = Footer(("PRO 6.03(a), 6.05",), ("The rule book governs.",), flows=True)
    assert flowing.excess_mm(12, sizes_for(8.0, FLOOR_PT)) > 1
