"""Field sheets against figures from outside: published diagonals, arcs by shapely, plate closure, right angles."""

from __future__ import annotations

import math

import pytest
from field_sheets import LEVEL, lengths_of, plan_of
from shapely import Point

from pocketref.field.mound import list_slope
from pocketref.field.pulls import pulls
from pocketref.field.square_checks import find_triangle, list_square_checks
from pocketref.scene.figures.template_figure import outline_plate
from pocketref.tape.crew_errors import list_crew_errors
from pocketref.tape.field_check import measure_change_mm
from pocketref.tape.stakeout import mark_string, order_stakeout
from pocketref.units.notation import write_feet_inches


@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_the_first_two_arcs_of_each_stakeout_row_cross_on_its_station(name: str) -> None:
    """Circles drawn by shapely as 4,096-sided polygons: their rims cross within 0.5 mm of the station."""
    plan = mark_string(plan_of(name))
    for stage in order_stakeout(plan_of(name)):
        for point in stage.points:
            rims = []
            for pull in point.pulls:
                pin = plan.stations[pull.from_station]
                rims.append(Point(pin.x_mm, pin.y_mm).buffer(pull.length_mm, quad_segs=1024).exterior)
            station = plan.stations[point.station]
            crossings = rims[0].intersection(rims[1])
            assert crossings.distance(Point(station.x_mm, station.y_mm)) < 0.5


@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_the_side_of_a_stakeout_row_is_the_sign_of_the_cross_product(name: str) -> None:
    plan = mark_string(plan_of(name))
    for stage in order_stakeout(plan_of(name)):
        for point in stage.points:
            first, second = (plan.stations[pull.from_station] for pull in point.pulls[:2])
            station = plan.stations[point.station]
            turn = (second.x_mm - first.x_mm) * (station.y_mm - first.y_mm) - (second.y_mm - first.y_mm) * (
                station.x_mm - first.x_mm
            )
            assert point.side == ("left" if turn > 0 else "right")


@pytest.mark.parametrize(
    ("level", "published"),
    # Home to second as published: 127 ft 3 3/8 in for 90 ft (OBR 2.01); 84 ft 10 1/4 in for 60 ft and
    # 113 ft 1 5/8 in for 80 ft are exact diagonals to 1/8 in as dimension charts print them (from memory).
    [(LEVEL, "127 ft 3 3/8 in"), ("youth-60-ft", "84 ft 10 1/4 in"), ("youth-80-ft", "113 ft 1 5/8 in")],
)
def test_the_diagonal_check_is_the_published_one(level: str, published: str) -> None:
    check = next(c for c in list_square_checks(plan_of("diamond", level)) if c.what == "1B to 3B")
    assert write_feet_inches(check.length, 8) == published


def test_three_four_five_at_the_scale_of_the_field() -> None:
    """Euclid I.47; 60-80-100 ft is what one 100-ft tape checks on a 90-ft field."""
    side = lengths_of()["base-distance"]
    assert find_triangle(side, 100) == (60, 80, 100)
    assert find_triangle(lengths_of("youth-60-ft")["base-distance"], 100) == (45, 60, 75)


def test_the_plate_is_a_square_with_two_corners_cut_and_does_not_close_with_twelve_inches() -> None:
    """Mathematics Magazine 69 (1996) 44-45: edges of 12, 12 and 17 in make no right angle."""
    corners = [(x / 25.4, y / 25.4) for x, y in outline_plate(431.8)]
    edges = [math.dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    assert edges == pytest.approx([12.0208, 8.5, 17.0, 8.5, 12.0208], abs=1e-4)
    assert 12**2 + 12**2 == 288 != 17**2


def test_the_mound_falls_an_inch_in_a_foot() -> None:
    """OBR 2.01 and 2.03: from 6 in ahead of the pitcher's plate, 1 in to 1 ft for 6 ft; 10 in high."""
    slope = list_slope(lengths_of())
    assert [float(point.ahead.inches) for point in slope] == [6, 18, 30, 42, 54, 66, 78]
    assert [float(point.below_plate.inches) for point in slope] == [0, 1, 2, 3, 4, 5, 6]
    assert [float(point.height.inches) for point in slope] == [10, 9, 8, 7, 6, 5, 4]


def test_an_error_changes_a_pull_by_what_the_moved_points_are_apart() -> None:
    """Distances of moved points by shapely."""
    plan = plan_of("plate-area")
    for error in list_crew_errors(plan, lengths_of()):
        for pull in pulls(plan)[::7]:
            ends = []
            moves = [error.moves.get(mark, (0.0, 0.0)) for mark in (pull.from_station, pull.to_station)]
            if None in moves:  # a mark that is not there
                assert measure_change_mm(plan, pull, error) == math.inf
                continue
            for mark, move in zip((pull.from_station, pull.to_station), moves, strict=True):
                dx, dy = move or (0.0, 0.0)
                ends.append(Point(plan.stations[mark].x_mm + dx, plan.stations[mark].y_mm + dy))
            wanted = ends[0].distance(ends[1]) - pull.length_mm
            assert measure_change_mm(plan, pull, error) == pytest.approx(wanted, abs=1e-9)
