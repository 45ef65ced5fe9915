"""The figure of the plate area: it shows the plan, prints the source's values, and nothing collides."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from fractions import Fraction

import pytest
from field_samples import PLACED, PLATE_AREA, read_lengths
from field_strategies import legal_plate_areas
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_measures import inked_overlaps, outline, shapes_of, texts_of
from scene_measures import line as line_of
from scene_samples import list_crossings, list_off_centre
from shapely import Polygon
from shapely.affinity import scale as stretch

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.problems import PocketrefError
from pocketref.scene.figures.plate_figure import Detail, draw_plate_area
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import Shape
from pocketref.scene.paths import extent_of_all
from pocketref.scene.plan_view import OUTLINE_MM, SCALES, FigureDrawing, draw_smallest
from pocketref.units.length import Length
from pocketref.units.notation import read_length, spell_fractions, write_tape

Lengths = Mapping[str, Length]
DETAILS: tuple[Detail, ...] = ("card", "sheet")
LARGE_SCALES = [scale for scale in SCALES if 20 <= scale <= 50]
# On a sheet the corners of the plate carry marks, which need at least 1:40.
WITH_ROOM = [
    (detail, scale) for detail in DETAILS for scale in LARGE_SCALES if (detail, scale) != ("sheet", 50)
]
LEAST_PT, MOST_PT = 7.6, 9.4


def printed(drawing: FigureDrawing) -> list[str]:
    return [spell_fractions(text.content).replace("\u00a0", " ") for text in texts_of(drawing.items)]


def outlines(drawing: FigureDrawing, ink: object) -> list[Polygon]:
    """The closed shapes with a thick outline and a fill, moved so that the plan's origin is (0, 0), in plan mm."""
    ox, oy = drawing.plan_origin
    return [
        Polygon(
            [((x - ox) * drawing.scale, (y - oy) * drawing.scale) for x, y in outline(shape).exterior.coords]
        )
        for shape in shapes_of(drawing.items)
        if is_outline(shape) and shape.fill is ink
    ]


def is_outline(shape: Shape) -> bool:
    return shape.stroke is not None and shape.stroke.width_mm == OUTLINE_MM


def label(length: Length) -> str:
    return write_tape(length)


def changed(lengths: Lengths, **values: str) -> Lengths:
    return {**lengths, **{name.replace("_", "-"): read_length(text) for name, text in values.items()}}


@pytest.mark.parametrize(("detail", "scale"), WITH_ROOM)
@pytest.mark.parametrize("size_pt", [LEAST_PT, MOST_PT])
def test_no_two_texts_meet_at_any_scale(
    plan: Plan, lengths: Lengths, detail: Detail, scale: int, size_pt: float
) -> None:
    drawing = draw_plate_area(plan, lengths, scale, size_pt, detail)
    assert inked_overlaps(texts_of(drawing.items)) == []


@pytest.mark.parametrize(("detail", "scale"), WITH_ROOM)
def test_each_dimension_is_written_at_the_middle_of_its_line_or_beyond_it(
    plan: Plan, lengths: Lengths, detail: Detail, scale: int
) -> None:
    assert list_off_centre(draw_plate_area(plan, lengths, scale, LEAST_PT, detail)) == []


@pytest.mark.parametrize("detail", DETAILS)
@pytest.mark.parametrize("scale", [25, 40])
def test_the_figure_shows_the_plan(plan: Plan, lengths: Lengths, detail: Detail, scale: int) -> None:
    drawing = draw_plate_area(plan, lengths, scale, LEAST_PT, detail)
    boxes = [Polygon(plan.areas[name].points_mm) for name in ("box-third", "box-first")]
    drawn = outlines(drawing, GREY_LIGHT)[:2]
    (plate,) = outlines(drawing, WHITE)
    for wanted, found in zip(boxes, drawn, strict=True):
        assert found.symmetric_difference(wanted).area < 1
    assert plate.symmetric_difference(Polygon(plan.areas["plate"].points_mm)).area < 1


@pytest.mark.parametrize("detail", DETAILS)
def test_the_two_boxes_are_mirror_images(plan: Plan, lengths: Lengths, detail: Detail) -> None:
    third, first, *_ = outlines(draw_plate_area(plan, lengths, 40, LEAST_PT, detail), GREY_LIGHT)
    assert stretch(third, xfact=-1, origin=(0, 0)).symmetric_difference(first).area < 1
    assert third.bounds[2] < 0 < first.bounds[0]


@pytest.mark.parametrize("detail", DETAILS)
def test_the_printed_labels_are_the_sources_own_values(plan: Plan, lengths: Lengths, detail: Detail) -> None:
    words = printed(draw_plate_area(plan, lengths, 40, LEAST_PT, detail))
    for name in ("box-length", "box-offset", "plate-width", "catchers-box-width"):
        assert label(lengths[name]) in words
    assert words.count(label(lengths["box-width"])) == 2
    for name in ("gap-between-boxes", "box-diagonal", "plate-depth"):
        assert label(plan.figures[name].length) in words


def test_a_value_that_is_no_whole_sixteenth_is_still_the_sources_own(lengths: Lengths) -> None:
    odd = changed(lengths, box_length="1.85 m")
    words = printed(draw_plate_area(construct_plate_area(odd), odd, 40, LEAST_PT, "sheet"))
    assert "[1850]" in words


@pytest.mark.parametrize("detail", DETAILS)
def test_changing_one_dimension_changes_figure_label_diagonal_and_pulls(
    plan: Plan, lengths: Lengths, detail: Detail
) -> None:
    longer = changed(lengths, box_length="7 ft")
    new_plan = construct_plate_area(longer)
    before = draw_plate_area(plan, lengths, 40, LEAST_PT, detail)
    after = draw_plate_area(new_plan, longer, 40, LEAST_PT, detail)
    assert {"6 ft", "7 ft 2 9/16 in"} <= set(printed(before))
    assert {"7 ft", "8 ft 3/4 in"} <= set(printed(after))
    assert "6 ft" not in printed(after)
    box_before, box_after = (outlines(drawing, GREY_LIGHT)[0].bounds for drawing in (before, after))
    assert box_after[3] - box_after[1] == pytest.approx(box_before[3] - box_before[1] + 304.8)
    old, new = ({pull.name: pull.length for pull in pulls(p)} for p in (plan, new_plan))
    assert new["T2-T3"] - old["T2-T3"] == Length(Fraction(12))
    assert new["T1-T3"] > old["T1-T3"]
    assert new["P2-P3"] == old["P2-P3"]


@pytest.mark.parametrize("detail", DETAILS)
def test_the_figure_fills_the_extent_it_states(plan: Plan, lengths: Lengths, detail: Detail) -> None:
    drawing = draw_plate_area(plan, lengths, 40, LEAST_PT, detail)
    assert extent_of_all(drawing.items) == pytest.approx((0, 0, drawing.width_mm, drawing.height_mm))


def test_a_smaller_scale_makes_a_smaller_figure(plan: Plan, lengths: Lengths) -> None:
    sizes = [draw_plate_area(plan, lengths, scale, LEAST_PT, "sheet") for scale in LARGE_SCALES]
    for larger, smaller in itertools.pairwise(sizes):
        assert smaller.width_mm < larger.width_mm
        assert smaller.height_mm < larger.height_mm


def test_a_sheet_carries_every_station_and_a_scale_bar_and_a_card_neither(
    plan: Plan, lengths: Lengths
) -> None:
    sheet = printed(draw_plate_area(plan, lengths, 40, LEAST_PT, "sheet"))
    card = printed(draw_plate_area(plan, lengths, 40, LEAST_PT, "card"))
    assert set(plan.stations) <= set(sheet)
    assert not set(plan.stations) & set(card)
    assert "3 ft" in sheet
    assert "3 ft" not in card


def test_the_figure_says_which_way_the_pitcher_is(plan: Plan, lengths: Lengths) -> None:
    for detail in DETAILS:
        assert "to pitcher" in printed(draw_plate_area(plan, lengths, 40, LEAST_PT, detail))


@pytest.mark.parametrize("detail", DETAILS)
def test_a_field_without_a_catchers_box_is_drawn_without_one(lengths: Lengths, detail: Detail) -> None:
    bare = {name: length for name, length in lengths.items() if not name.startswith("catchers")}
    words = printed(draw_plate_area(construct_plate_area(bare), bare, 40, LEAST_PT, detail))
    assert "43 in" not in words
    assert "6 ft" in words


@pytest.mark.parametrize("detail", DETAILS)
def test_the_description_says_in_words_what_the_figure_shows(
    plan: Plan, lengths: Lengths, detail: Detail
) -> None:
    alt = draw_plate_area(plan, lengths, 40, LEAST_PT, detail).alt
    for words in ("4 ft wide", "6 ft long", "2 ft 5 in between them", "7 ft 2 9/16 in"):
        assert words in alt


@pytest.mark.parametrize(
    ("detail", "scale"), [("card", 50), ("card", 40), ("card", 25), ("sheet", 30), ("sheet", 40)]
)
def test_the_foul_lines_end_under_the_dimension_line_over_the_boxes(
    plan: Plan, lengths: Lengths, detail: Detail, scale: int
) -> None:
    figure = draw_plate_area(plan, lengths, scale, LEAST_PT, detail)
    front = figure.plan_origin[1] + plan.stations["F3"].y_mm / scale
    lines = [line_of(shape) for shape in shapes_of(figure.items) if shape.stroke and shape.fill is None]
    over = min(
        line.bounds[1] for line in lines if line.bounds[1] > front + 2 and line.bounds[1] == line.bounds[3]
    )
    paint = [outline(shape) for shape in shapes_of(figure.items) if shape.fill is GREY_LIGHT]
    ahead = [strip.bounds[3] for strip in paint if strip.bounds[1] > front - 0.1]
    assert len(ahead) == 2
    assert all(front + 1 < top < over for top in ahead)


def test_a_cards_catchers_box_is_dimensioned_past_its_lines(plan: Plan, lengths: Lengths) -> None:
    figure = draw_plate_area(plan, lengths, 50, LEAST_PT, "card")
    heads = [
        outline(shape) for shape in shapes_of(figure.items) if shape.fill is BLACK and shape.stroke is None
    ]
    paint = [
        outline(shape)
        for shape in shapes_of(figure.items)
        if shape.fill is GREY_LIGHT and shape.stroke is None
    ]
    assert len(paint) == 2
    assert not any(head.intersects(strip) for head in heads for strip in paint)


@settings(max_examples=25)
@given(
    legal_plate_areas(),
    st.sampled_from(DETAILS),
    st.sampled_from([20, 30, 40, 50, 75]),
    st.sampled_from([7.0, LEAST_PT, MOST_PT]),
)
def test_no_label_of_any_legal_plate_area_meets_another_or_a_line(
    lengths: Lengths, detail: Detail, scale: int, size_pt: float
) -> None:
    plan = construct_plate_area(lengths)
    drawing = draw_plate_area(plan, lengths, scale, size_pt, detail)
    if drawing.is_crowded:  # then it is drawn larger, which is always enough
        drawing = draw_smallest(
            lambda larger: draw_plate_area(plan, lengths, larger, size_pt, detail), (20, 10)
        )
    assert inked_overlaps(texts_of(drawing.items)) == []
    assert list_crossings(drawing) == []


@pytest.mark.parametrize(("detail", "scale"), WITH_ROOM)
def test_a_box_placed_by_the_plates_centre_line_says_how_far_it_reaches_either_way(
    detail: Detail, scale: int
) -> None:
    lengths = read_lengths(PLACED)
    plan = construct_plate_area(lengths)
    drawing = draw_plate_area(plan, lengths, scale, LEAST_PT, detail)
    words = printed(drawing)
    assert {"4 ft", "36 in", "7 ft", "7 ft 7 3/8 in", "8 ft 5 in"} <= set(words)
    by_edges = {"39 1/2 in", "27 1/2 in", "10 ft"}
    assert by_edges <= set(words) if detail == "sheet" else not by_edges & set(words)
    assert "from 4 ft ahead to 3 ft behind the plate's centre line" in drawing.alt
    assert list_off_centre(drawing) == []
    assert inked_overlaps(texts_of(drawing.items)) == []


def test_a_figure_that_is_crowded_at_the_smallest_scale_allowed_is_drawn_as_much_larger_as_it_needs() -> None:
    lengths = read_lengths(PLATE_AREA, box_width="2 ft")
    plan = construct_plate_area(lengths)

    def draw_at(scale: float) -> FigureDrawing:
        return draw_plate_area(plan, lengths, scale, MOST_PT, "card")

    assert draw_at(75).is_crowded
    drawing = draw_smallest(draw_at, SCALES)
    assert not drawing.is_crowded
    assert draw_at(SCALES[SCALES.index(int(drawing.scale)) + 1]).is_crowded
    with pytest.raises(PocketrefError, match="no room, however large"):
        draw_smallest(draw_at, (75,))
