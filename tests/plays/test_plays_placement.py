"""What a play's pictures show: where things are put on the plan, what follows, and what is off the drawing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from play_samples import BACK, CODES, FRONT, books, content, make_play

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.plays.placement import (
    NOTHING_DRAWN,
    PlayScene,
    derive_facts,
    find_off_drawing,
    find_undrawn,
    place_play,
    source_of,
)
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError, Problem
from pocketref.source.play_models import PlayModel
from pocketref.source.ruling_models import FactModel

INCH = 25.4
FOOT = 304.8
BALL = {"path": [["0 in", "20 in"], ["10 in", "12 in"]], "meets": ["10 in", "12 in"]}
BAT = {"knob": ["-20 in", "5 in"], "tip": ["4 in", "16 in"], "in-hand": "no"}


def plan() -> Plan:
    return books().plan("high-school")


def play_of(**drawn: object) -> PlayModel:
    return make_play(**drawn).model


def scene_of(**drawn: object) -> PlayScene:
    return place_play(play_of(**drawn), plan())


@pytest.mark.parametrize(("bats", "letter"), [("right", "T"), ("left", "F")])
@pytest.mark.parametrize(
    ("corner", "number"),
    [("back-inner", "1"), ("back-outer", "2"), ("front-outer", "3"), ("front-inner", "4")],
)
def test_a_foot_stands_from_a_corner_of_the_batter_s_own_box(
    bats: str, letter: str, corner: str, number: str
) -> None:
    """A right-handed batter stands in the box on third base's side."""
    foot = {"foot": "right", "corner": corner, "right": "3 in", "ahead": "-5 in", "heading": "40"}
    (placed,) = scene_of(feet=[foot], bats=bats).feet
    station = plan().stations[letter + number]
    assert (placed.x_mm, placed.y_mm) == pytest.approx((station.x_mm + 3 * INCH, station.y_mm - 5 * INCH))
    assert (placed.heading_deg, placed.side) == (40.0, "right")


def test_a_foot_from_the_plate_stands_from_its_rear_tip() -> None:
    foot = {"foot": "left", "corner": "plate", "right": "2 in", "ahead": "7 in", "heading": "0"}
    (placed,) = scene_of(feet=[foot]).feet
    assert (placed.x_mm, placed.y_mm) == pytest.approx((2 * INCH, 7 * INCH))


def test_bat_ball_and_fielders_stand_from_the_rear_tip_right_and_ahead() -> None:
    scene = scene_of(bat=BAT, ball=BALL, fielders=[{"position": "catcher", "at": ["1 in", "-40 in"]}])
    assert scene.bat is not None
    assert [*scene.bat[0], *scene.bat[1]] == pytest.approx([-20 * INCH, 5 * INCH, 4 * INCH, 16 * INCH])
    assert not scene.in_hand
    assert [*scene.ball[0], *scene.ball[1]] == pytest.approx([0, 20 * INCH, 10 * INCH, 12 * INCH])
    assert scene.meets == pytest.approx((10 * INCH, 12 * INCH))
    ((position, place),) = scene.fielders
    assert (position, place) == ("catcher", pytest.approx((INCH, -40 * INCH)))


def test_a_play_without_pictures_shows_nothing() -> None:
    scene = scene_of()
    assert scene == NOTHING_DRAWN
    assert scene.is_empty
    assert scene.in_hand
    assert derive_facts(scene, content().subjects["contact"]) == {}
    for drawn in (
        {"feet": [FRONT]},
        {"bat": BAT},
        {"ball": BALL},
        {"fielders": [{"position": "catcher", "at": ["0 in", "-40 in"]}]},
    ):
        assert not scene_of(**drawn).is_empty


def test_one_foot_out_is_enough_and_both_are_judged_by_the_batter_s_own_box() -> None:
    subject = content().subjects["contact"]
    outside = {**FRONT, "ahead": "9 in"}
    assert derive_facts(scene_of(feet=[FRONT, BACK]), subject)["wholly-outside"] == "no"
    assert derive_facts(scene_of(feet=[BACK, outside]), subject)["wholly-outside"] == "yes"
    assert derive_facts(scene_of(feet=[FRONT], bats="left"), subject)["wholly-outside"] == "yes"


def test_a_knee_is_placed_as_a_foot_is_and_judged_by_its_patch() -> None:
    subject = content().subjects["contact"]

    def knee_out(ahead: str, corner: str = "back-inner") -> str:
        knee = {"knee": "right", "corner": corner, "right": "-10 in", "ahead": ahead}
        return derive_facts(scene_of(feet=[FRONT, BACK], knees=[knee]), subject)["knee-out"]

    # A knee covers 2 in around its middle, and the back line's outer edge belongs to the box.
    assert [knee_out(ahead) for ahead in ("4 in", "-1 3/4 in", "-2 1/8 in")] == ["no", "no", "yes"]
    assert knee_out("8 in", "plate") == "yes"
    assert derive_facts(scene_of(feet=[FRONT, BACK]), subject)["knee-out"] == "no"


@pytest.mark.parametrize(
    ("meets", "fair"),
    [
        (("12 in", "12 in"), "yes"),
        (("-12 in", "12 in"), "yes"),
        (("12 in", "11 7/8 in"), "no"),
        (("-13 in", "12 in"), "no"),
    ],
)
def test_a_ball_on_the_line_is_fair(meets: tuple[str, str], fair: str) -> None:
    """OBR, definition of fair territory, from memory: the lines run at 45 degrees from the plate's rear tip."""
    scene = scene_of(ball={"path": [["0 in", "20 in"], [*meets]], "meets": [*meets]})
    assert derive_facts(scene, content().subjects["second-touch"])["fair-ground"] == fair
    assert "fair-ground" not in derive_facts(scene, content().subjects["contact"])


def fact_of(words: str) -> FactModel:
    subject, name = words.split()
    return content().subjects[subject].facts[name]


@pytest.mark.parametrize(
    ("drawn", "fact", "key"),
    [
        ({}, "contact on-plate", "feet"),
        ({"feet": [FRONT]}, "contact on-plate", ""),
        ({}, "second-touch fair-ground", "ball, with meets"),
        ({"ball": {"path": BALL["path"]}}, "second-touch fair-ground", "ball, with meets"),
        ({"ball": BALL}, "second-touch fair-ground", ""),
        ({}, "contact caught-tip", ""),
    ],
)
def test_what_would_answer_a_fact_is_said_where_it_is_not_drawn(
    drawn: dict[str, object], fact: str, key: str
) -> None:
    assert find_undrawn(play_of(**drawn), fact_of(fact)) == key


def test_facts_are_seen_in_the_feet_or_the_ball_s_way() -> None:
    for fact in ("contact on-plate", "contact wholly-outside", "stance over-line"):
        assert source_of(fact_of(fact)) == "the feet"
    assert source_of(fact_of("second-touch fair-ground")) == "the ball's way"
    assert source_of(fact_of("contact caught-tip")) == ""


def off(**drawn: object) -> list[Problem]:
    play = play_of(**drawn)
    return find_off_drawing(play, place_play(play, plan()), plan())


def foot_at(x_in: float, y_in: float) -> dict[str, str]:
    """A foot with its toes ahead, its middle so far from the plate's rear tip."""
    return {"foot": "left", "corner": "plate", "right": f"{x_in} in", "ahead": f"{y_in} in", "heading": "90"}


# A sole is 300 mm long and 105 mm wide; toes ahead, it reaches half of that about its middle.
HALF_LONG, HALF_WIDE = 150 / INCH, 52.5 / INCH


def edges() -> tuple[float, float, float, float]:
    """Both boxes together, inches: left, back, right, front."""
    points = [p for name in ("box-first", "box-third") for p in plan().areas[name].points_mm]
    xs, ys = [x / INCH for x, _ in points], [y / INCH for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("beyond", [35.5, 36.5])
@pytest.mark.parametrize("side", ["left", "back", "right", "front"])
def test_a_foot_is_drawn_up_to_a_yard_around_the_boxes(side: str, beyond: float) -> None:
    left, back, right, front = edges()
    middle_x, middle_y = (left + right) / 2, (back + front) / 2
    place = {
        "left": (left - beyond + HALF_WIDE, middle_y),
        "back": (middle_x, back - beyond + HALF_LONG),
        "right": (right + beyond - HALF_WIDE, middle_y),
        "front": (middle_x, front + beyond - HALF_LONG),
    }[side]
    found = off(feet=[foot_at(round(place[0], 2), round(place[1], 2))])
    assert [problem.code for problem in found] == (["play-foot-off"] if beyond > 36 else [])
    if found:
        assert found[0].sentence == "the left foot is 36 1/2 in past the boxes: off the drawing"
        assert found[0].hint == "feet are drawn up to 36 in around the boxes"


@pytest.mark.parametrize(("far", "is_off"), [("20 ft", False), ("20 ft 6 in", True), ("-20 ft 6 in", True)])
@pytest.mark.parametrize("across", [True, False])
def test_bat_ball_and_fielders_are_drawn_up_to_twenty_feet_from_the_plate(
    far: str, is_off: bool, across: bool
) -> None:
    point = [far, "1 in"] if across else ["1 in", far]
    near = ["0 in", "20 in"]
    for what, drawn in (
        ("bat", {"bat": {"knob": near, "tip": point}}),
        ("ball's way", {"ball": {"path": [near, point]}}),
        ("ball's way", {"ball": {"path": [near, near], "meets": point}}),
        ("fielder", {"fielders": [{"position": "pitcher", "at": point}]}),
    ):
        found = off(**drawn)
        assert [problem.sentence for problem in found] == (
            [f"the {what} reaches 20 ft 6 in from the plate: off the drawing"] if is_off else []
        )
        assert all(problem.hint == "draw at most 20 ft of it" for problem in found)


@pytest.mark.parametrize("code", CODES)
def test_a_code_s_plan_is_that_of_its_first_field_or_of_the_level_named(code: str) -> None:
    fields = [field for field in content().fields.values() if field.code == code]
    for level, field in [("", fields[0]), *((field.level, field) for field in fields)]:
        lengths = {name: dimension.value for name, dimension in field.dimensions.items()}
        assert RuleBooks(content()).plan(code, level) == construct_plate_area(lengths)


def test_a_plan_that_no_field_gives_is_refused_at_the_code_where_it_is_known() -> None:
    youth = content().codes["youth"]
    bare = RuleBooks(replace(content(), fields={}))
    for code, level, where in (
        ("youth", "", youth.location),
        ("youth", "90-ft", youth.location),
        ("town", "", None),
    ):
        with pytest.raises(PocketrefError) as caught:
            (bare if not level else books()).plan(code, level)
        (problem,) = caught.value.problems
        assert (problem.code, problem.where) == ("level-unknown", where)
        assert problem.sentence == f"there is no field of {code}"


def test_codes_with_the_same_plate_area_share_one_plan_and_what_is_wrong_with_one_has_its_place() -> None:
    fresh = RuleBooks(content())
    assert fresh.plan("high-school") is fresh.plan("professional")
    first = content().fields["youth-60-ft"]
    without = {name: value for name, value in first.dimensions.items() if name != "box-length"}
    broken = RuleBooks(
        replace(content(), fields={first.key: first.model_copy(update={"dimensions": without})})
    )
    with pytest.raises(PocketrefError) as caught:
        broken.plan("youth")
    assert {problem.where for problem in caught.value.problems} == {first.locate("dimensions")}
