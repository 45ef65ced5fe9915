"""The plan of the plate area: what stands where, what figures say, and which dimensions are refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from field_samples import CATCHERS_BOX, EDGES, PLATE_AREA, read_lengths
from field_strategies import plate_areas
from hypothesis import given, settings

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.problems import PocketrefError
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches

FULL_SIZE = PLATE_AREA | EDGES | CATCHERS_BOX


def plan_of(**changes: str) -> Plan:
    return construct_plate_area(read_lengths(FULL_SIZE, **changes))


def problems_of(**changes: str) -> list[tuple[str, str]]:
    with pytest.raises(PocketrefError) as caught:
        plan_of(**changes)
    return [(problem.code, problem.sentence) for problem in caught.value.problems]


def area_of(points: tuple[tuple[float, float], ...]) -> float:
    following = points[1:] + points[:1]
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(points, following, strict=True)) / 2


def test_the_apex_is_the_origin_and_a_right_angle_on_the_foul_lines() -> None:
    plan = plan_of()
    apex, first, third = (plan.stations[mark] for mark in ("A", "P1", "P4"))
    assert (apex.x_mm, apex.y_mm) == (0, 0)
    assert first.x_mm == first.y_mm == pytest.approx(215.9)
    assert third.x_mm == -first.x_mm
    assert first.x_mm * third.x_mm + first.y_mm * third.y_mm == 0


def test_the_boxes_are_mirror_images_with_one_number_a_corner() -> None:
    stations = plan_of().stations
    for number in "1234":
        ours, theirs = stations[f"F{number}"], stations[f"T{number}"]
        assert (ours.x_mm, ours.y_mm) == (-theirs.x_mm, theirs.y_mm)
        assert ours.x_mm > 0
        assert ours.label.replace("first", "third") == theirs.label


@given(plate_areas)
@settings(max_examples=60)
def test_boxes_are_centred_on_the_middle_of_the_plate_and_off_it_by_the_offset(
    dimensions: dict[str, Length],
) -> None:
    stations = construct_plate_area(dimensions).stations
    middle = dimensions["plate-width"].float_mm / 2
    assert (stations["F1"].y_mm + stations["F4"].y_mm) / 2 == pytest.approx(middle)
    assert stations["F4"].x_mm - stations["P2"].x_mm == pytest.approx(dimensions["box-offset"].float_mm)
    assert stations["F3"].x_mm - stations["F4"].x_mm == pytest.approx(dimensions["box-width"].float_mm)


@given(plate_areas)
@settings(max_examples=60)
def test_figures_agree_with_the_plan_they_belong_to(dimensions: dict[str, Length]) -> None:
    plan = construct_plate_area(dimensions)
    measured = {
        "box-diagonal": ("F1", "F3"),
        "gap-between-boxes": ("T1", "F1"),
        "boxes-outer-to-outer": ("T3", "F3"),
        "plate-rear-edge": ("A", "P1"),
        "foul-line-leaves-box-along": ("A", "L1"),
    }
    for name, (start, end) in measured.items():
        a, b = plan.stations[start], plan.stations[end]
        distance = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        assert plan.figures[name].inches * 25.4 == pytest.approx(distance, abs=1e-8)
        assert plan.figures[name].length.float_mm == pytest.approx(distance, abs=1e-8)


@given(plate_areas)
@settings(max_examples=60)
def test_the_foul_line_starts_on_the_edge_of_the_box_and_is_fair(dimensions: dict[str, Length]) -> None:
    plan = construct_plate_area(dimensions)
    start, corner = plan.stations["L1"], plan.stations["F3"]
    assert start.x_mm == start.y_mm == min(corner.x_mm, corner.y_mm)
    outline = plan.lines["foul-line-first"].outline_mm
    assert all(y >= x - 1e-9 for x, y in outline)
    mirrored = plan.lines["foul-line-third"].outline_mm
    for (x1, y1), (x2, y2) in zip(outline, mirrored, strict=True):
        assert (x1, y1) == pytest.approx((-x2, y2))


def test_no_foul_line_is_painted_inside_a_batters_box() -> None:
    plan = plan_of()
    front = plan.stations["F4"].y_mm
    assert min(y for _, y in plan.lines["foul-line-first"].outline_mm) == pytest.approx(front)


def test_box_lines_lie_inside_the_measured_edges() -> None:
    plan = plan_of()
    for box in ("box-first", "box-third"):
        xs = [x for x, _ in plan.areas[box].points_mm]
        ys = [y for _, y in plan.areas[box].points_mm]
        for edge in ("back", "outer", "front", "inner"):
            line = plan.lines[f"{box}-{edge}"]
            assert line.measured_edge == "outer"
            for x, y in line.outline_mm:
                assert min(xs) - 1e-9 <= x <= max(xs) + 1e-9
                assert min(ys) - 1e-9 <= y <= max(ys) + 1e-9
            assert abs(area_of(line.outline_mm)) == pytest.approx(
                63.5 * math.dist(line.start_mm, line.end_mm)
            )


def test_the_catchers_box_leaves_the_batters_boxes_to_the_batters() -> None:
    plan = plan_of()
    inches = [(round(x / 25.4, 6), round(y / 25.4, 6)) for x, y in plan.areas["catchers-box"].points_mm]
    assert inches == [
        (-21.5, -27.5),
        (-21.5, -96),
        (21.5, -96),
        (21.5, -27.5),
        (14.5, -27.5),
        (14.5, 0),
        (-14.5, 0),
        (-14.5, -27.5),
    ]
    painted = [name for name in plan.lines if name.startswith("catchers-box")]
    assert painted == ["catchers-box-third-base-side", "catchers-box-rear", "catchers-box-first-base-side"]
    rear = plan.lines["catchers-box-rear"]
    assert min(y for _, y in rear.outline_mm) / 25.4 == pytest.approx(-96)


def test_a_catchers_box_narrower_than_the_gap_begins_beside_the_apex() -> None:
    plan = plan_of(catchers_box_width="24 in")
    assert plan.stations["C2"].y_mm == 0
    assert plan.figures["catchers-box-overlap"].inches == -2.5


def test_a_field_without_a_catchers_box_has_none_on_its_plan() -> None:
    plan = construct_plate_area(
        read_lengths(PLATE_AREA, box_width="3 ft", box_offset="4 in", line_width="2 in")
    )
    assert "catchers-box" not in plan.areas
    assert not any("catchers" in name for name in (*plan.lines, *plan.figures))
    assert not any(mark.startswith("C") for mark in plan.stations)


def test_a_foul_line_leaves_a_long_narrow_box_by_its_outer_line() -> None:
    plan = plan_of(box_length="8 ft", box_width="2 ft")
    figure = plan.figures["foul-line-leaves-box-out"]
    assert figure.inches == 38.5
    assert "outer side line" in figure.label
    assert figure.rests_on == ("plate-width", "box-offset", "box-width")


def test_rational_figures_are_exact_and_roots_say_they_are_not() -> None:
    figures = plan_of().figures
    assert figures["front-line-ahead-of-plate"].value == Length(Fraction(55, 2))
    assert isinstance(figures["front-line-ahead-of-plate"].value, Length)
    assert isinstance(figures["box-diagonal"].value, float)
    whole = plan_of(box_length="4 ft", box_width="3 ft").figures["box-diagonal"]
    assert whole.value == Length(Fraction(60))


def test_every_figure_rests_on_dimensions_that_the_field_has_and_its_formula_names_them() -> None:
    for figure in plan_of().figures.values():
        assert set(figure.rests_on) <= set(FULL_SIZE)
        assert figure.rests_on
        assert figure.formula
        assert figure.label


def test_inside_sizes_follow_the_line_width_in_use() -> None:
    wide, narrow = plan_of(line_width="3 in").figures, plan_of(line_width="2 in").figures
    assert write_feet_inches(wide["box-inside-length"].length) == "5 ft 6 in"
    assert write_feet_inches(narrow["box-inside-length"].length) == "5 ft 8 in"
    assert write_feet_inches(wide["box-inside-width"].length) == "3 ft 6 in"


def test_a_plan_cannot_be_changed() -> None:
    plan = plan_of()
    with pytest.raises(TypeError):
        plan.stations["A"] = plan.stations["P1"]  # type: ignore[index]


def test_missing_dimensions_are_reported_together() -> None:
    found = problems_of(box_length="", line_width="")
    assert found == [
        ("dimension-missing", "the field has no 'box-length'"),
        ("dimension-missing", "the field has no 'line-width'"),
    ]


def test_half_a_catchers_box_is_refused() -> None:
    (found,) = problems_of(catchers_box_depth="")
    assert found == ("dimension-missing", "'catchers-box-width' is given without 'catchers-box-depth'")


@pytest.mark.parametrize("inches", [0, -6])
def test_a_dimension_of_zero_or_less_is_refused(inches: int) -> None:
    dimensions = read_lengths(FULL_SIZE) | {"box-offset": Length(Fraction(inches))}
    with pytest.raises(PocketrefError, match="'box-offset' must be more than zero"):
        construct_plate_area(dimensions)


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("plate_side", "9 in", "plate's side must be half its width"),
        ("plate_rear_edge", "13 in", "rear edge doesn't fit its width"),
        ("box_length", "6 in", "no longer than home plate"),
        ("box_offset", "6 ft", "as far from the plate as it is wide"),
        ("line_width", "2 ft", "leave no room"),
        ("catchers_box_width", "16 in", "narrower than home plate"),
        ("catchers_box_width", "43 ft", "wider than both batter's boxes"),
        ("catchers_box_depth", "8 in", "no farther back"),
    ],
)
def test_dimensions_that_make_no_sense_together_are_refused(name: str, value: str, sentence: str) -> None:
    found = problems_of(**{name: value})
    assert any(sentence in text for _, text in found)
    assert {code for code, _ in found} == {"dimension-inconsistent"}


def test_equal_plans_are_one_key_whoever_made_them() -> None:
    """Drawings are remembered by the plan that they show."""
    assert {plan_of(): "drawn"}[plan_of()] == "drawn"
    assert hash(plan_of()) != hash(plan_of(box_length="7 ft"))
