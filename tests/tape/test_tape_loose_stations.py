"""What was not taped, which stations that leaves loose, and what to add so that nothing is."""

from __future__ import annotations

import math

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from tape_samples import pin, plan_of, tape

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.problems import PocketrefError, Problem
from pocketref.tape.adjust import adjust_readings
from pocketref.tape.error_budget import STEEL
from pocketref.tape.loose_stations import list_sheet_pulls, list_untaped
from pocketref.tape.network import construct_network
from pocketref.tape.stakeout import BASE_MARKS

PLATE = construct_plate_area(read_lengths(FIELD))
DIAMOND = construct_diamond(read_lengths(FIELD))
SHEET = [pull.name for pull in list_sheet_pulls(PLATE)]
OF_A_STATION = {
    mark: [name for name in SHEET if mark in name.split("-")] for mark in PLATE.stations if mark[0] in "FTL"
}


def test_the_sheet_of_a_field_has_the_pulls_between_its_bases_and_no_other() -> None:
    names = [pull.name for pull in list_sheet_pulls(DIAMOND)]
    assert names == [
        pull.name
        for pull in pulls(DIAMOND)
        if pull.from_station in BASE_MARKS and pull.to_station in BASE_MARKS
    ]
    assert {mark for name in names for mark in name.split("-")} == {*BASE_MARKS} & {*DIAMOND.stations}
    assert [pull.name for pull in pulls(PLATE)] == SHEET


def test_what_was_not_taped_is_listed_whichever_way_the_rest_was() -> None:
    left = SHEET[3::7]
    turned = [
        "-".join(reversed(name.split("-"))) if i % 2 else name
        for i, name in enumerate(SHEET)
        if name not in left
    ]
    assert list_untaped(PLATE, tape(PLATE, turned)) == tuple(left)
    assert list_untaped(PLATE, tape(PLATE, SHEET)) == ()


def loose(names: list[str]) -> tuple[Problem, ...]:
    with pytest.raises(PocketrefError) as raised:
        adjust_readings(PLATE, tape(PLATE, names))
    assert {problem.code for problem in raised.value.problems} == {"station-loose"}
    return raised.value.problems


@pytest.mark.parametrize(
    ("mark", "kept"), [(mark, name) for mark, names in OF_A_STATION.items() for name in names]
)
def test_a_station_on_one_pull_is_fixed_by_one_more_of_the_plan_s_own(mark: str, kept: str) -> None:
    rest = [name for name in SHEET if name not in OF_A_STATION[mark]]
    (problem,) = loose([*rest, kept])
    assert problem.sentence == f"too few pulls fix station {mark}, {PLATE.stations[mark].label}"
    added = problem.hint.removeprefix("add ")
    assert added in SHEET
    assert added != kept
    assert adjust_readings(PLATE, tape(PLATE, [*rest, kept, added])).stations[mark].offset_mm < 0.1


def test_stations_that_hang_on_each_other_are_fixed_by_what_is_added_for_all() -> None:
    """Two corners joined to each other and each to the plate once: two pulls are lacking between them."""
    own = {*OF_A_STATION["F1"], *OF_A_STATION["F2"]}
    names = [name for name in SHEET if name not in own] + ["F1-F2", "A-F1"]
    problems = loose(names)
    assert [problem.sentence.split(",")[0][-2:] for problem in problems] == ["F1", "F2"]
    added = {
        pull
        for problem in problems
        if problem.hint.startswith("add ")
        for pull in problem.hint.removeprefix("add ").split(" and ")
    }
    assert len(added) == 2
    found = adjust_readings(PLATE, tape(PLATE, [*names, *added]))
    assert max(found.stations[mark].offset_mm for mark in ("F1", "F2")) < 0.1


def test_a_station_known_no_better_than_to_a_foot_is_one_that_too_few_pulls_fix() -> None:
    """C from two pins ever nearer to one line with it, by the least sure direction of its own."""
    told = []
    for off in np.geomspace(0.05, 1.2, 30).tolist():
        plan = plan_of({"A": (0, 0), "B": (100, 0), "C": (50, off)})
        readings = tape(plan, ("A-C", "B-C"))
        network = construct_network(plan.stations, readings, pin("A", "B"), STEEL)
        rows, _ = network.linearise(network.planned_mm)
        error = math.sqrt(float(np.linalg.eigvalsh(np.linalg.inv(rows.T @ rows)).max()))
        assert abs(error / 300 - 1) > 1e-3
        try:
            adjust_readings(plan, readings, pin("A", "B"))
        except PocketrefError as raised:
            told.append([problem.code for problem in raised.problems])
        else:
            told.append([])
        assert (told[-1] == ["station-loose"]) == (error > 300)
    assert told[0] == ["station-loose"]
    assert told[-1] == []
