"""The field as found over the plan: errors as large as the figure says, marks apart, words in the free."""

from __future__ import annotations

import math
import re

import pytest
from field_sheets import library, plan_of, read_pulls
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_measures import inked_overlaps, texts_of

from pocketref.scene.figures.tape_figure import (
    FARTHEST_MM,
    choose_factor,
    draw_tape_report,
    draw_verdict_mark,
)
from pocketref.scene.label_room import LabelRoom
from pocketref.scene.paths import text_extent
from pocketref.tape.readings import Reading
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.tape.verdicts import PlaceVerdict, TapeReport, judge_tape
from pocketref.units.notation import read_length

TOLERANCE = library().fields["high-school-90-ft"].tolerances["station"].value


def judge(
    name: str, moved: dict[str, tuple[float, float]], misread: dict[str, float] | None = None
) -> TapeReport:
    plan = plan_of(name)
    readings = [
        Reading(*pull.split("-"), read_length(text), 70.0)
        for pull, text in read_pulls(plan, moved, misread).items()
        if name == "plate-area" or set(pull.split("-")) <= set(BASE_MARKS)
    ]
    return judge_tape(plan, readings, TOLERANCE)


REPORTS = {
    "one corner out, one misread": (judge("plate-area", {"F3": (2.0, 0.0)}, {"A-T2": 12.0}), 25),
    "all true": (judge("plate-area", {}), 30),
    "bases": (judge("diamond", {"1B": (3.0, 1.0), "PP": (0.5, -2.0)}), 300),
}


@pytest.mark.parametrize("case", REPORTS)
def test_no_word_lies_on_another(case: str) -> None:
    report, scale = REPORTS[case]
    drawing = draw_tape_report(report, scale, 9.0)
    assert inked_overlaps(texts_of(drawing.items)) == []


@pytest.mark.parametrize("scale", [400, 750])
def test_marks_that_crowd_on_a_whole_field_are_written_only_where_there_is_room(scale: int) -> None:
    plan = plan_of("diamond")
    readings = [
        Reading(*n.split("-"), read_length(r)) for n, r in read_pulls(plan, {"F3": (3.0, 0.0)}).items()
    ]
    texts = texts_of(draw_tape_report(judge_tape(plan, readings, TOLERANCE), scale, 8.4).items)
    assert inked_overlaps(texts) == []
    assert "F3" in [text.content for text in texts]


@pytest.mark.parametrize("case", REPORTS)
def test_the_factor_is_stated_and_the_longest_error_fits(case: str) -> None:
    report, scale = REPORTS[case]
    said = " ".join(text.content for text in texts_of(draw_tape_report(report, scale, 9.0).items))
    match = re.search(r"drawn (\d+) times larger", said)
    assert match is not None
    factor = int(match[1])
    assert factor == choose_factor(report.stations, scale)
    longest = max(s.offset_mm + s.ellipse_mm[0] for s in report.stations.values())
    assert longest * factor / scale <= FARTHEST_MM


def test_every_station_is_marked_and_the_misread_named() -> None:
    report, scale = REPORTS["one corner out, one misread"]
    drawing = draw_tape_report(report, scale, 9.0)
    said = [text.content for text in texts_of(drawing.items)]
    assert set(report.stations) <= set(said)
    assert "misread A-T2" in said
    assert "F3: move it 2 in toward third" in drawing.alt
    assert "A-T2 is misread" in drawing.alt


def test_each_verdict_has_a_shape_of_its_own() -> None:
    drawn = [draw_verdict_mark(verdict, 0.0, 0.0) for verdict in PlaceVerdict]
    assert len({repr([item.path for item in items]) for items in drawn}) == len(PlaceVerdict)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.floats(0, 60), st.floats(0, 60)), min_size=1, max_size=12))
def test_labels_go_where_nothing_is_as_long_as_there_is_room(points: list[tuple[float, float]]) -> None:
    room = LabelRoom(8.0)
    room.keep_clear(points, 0.8)
    free = list(room.taken)
    for number, point in enumerate(points):
        room.write(point, f"K{number}")
    labels = [text_extent(text) for text in texts_of(room.items)]
    assert len(labels) == len(points)
    apart = [math.dist(a, b) for i, a in enumerate(points) for b in points[:i]]
    if not apart or min(apart) > 22:
        for index, (left, bottom, right, top) in enumerate(labels):
            for other in (*free, *labels[:index]):
                assert right <= other[0] or other[2] <= left or top <= other[1] or other[3] <= bottom
