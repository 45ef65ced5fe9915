"""The levels that come with the project: each makes a whole plan, and says where its figures come from."""

from __future__ import annotations

from pathlib import Path

import pytest

from pocketref.field.diamond import construct_diamond
from pocketref.field.mound import list_slope
from pocketref.field.plan import construct_plate_area
from pocketref.problems import ProblemLog
from pocketref.source.field_models import TOLERANCES, FieldModel
from pocketref.source.syntax.kinds import Confidence
from pocketref.source.syntax.nodes import read_tree
from pocketref.source.syntax.validation import validate_node

FIELDS = Path(__file__).parents[2] / "content" / "fields"
LEVELS = (
    "high-school-90-ft",
    "professional-90-ft",
    "college-90-ft",
    "youth-60-ft",
    "youth-70-ft",
    "youth-80-ft",
)


def read_level(key: str) -> FieldModel:
    problems = ProblemLog()
    tree = read_tree(FIELDS / f"{key}.yaml", key, problems)
    assert tree is not None
    model = validate_node(tree, FieldModel, problems)
    assert model is not None, problems.problems
    return model


def test_every_level_is_listed_here() -> None:
    assert {path.stem for path in FIELDS.glob("*.yaml")} >= set(LEVELS)


@pytest.mark.parametrize("key", LEVELS)
def test_a_level_makes_the_plate_area_and_the_whole_field(key: str) -> None:
    level = read_level(key)
    assert level.key == key
    dimensions = {name: dimension.value for name, dimension in level.dimensions.items()}
    assert ("C1" in construct_plate_area(dimensions).stations) == (level.code != "college")
    diamond = construct_diamond(dimensions)
    assert {"1B", "2B", "3B", "PP", "MC", "R1"} <= diamond.stations.keys()
    assert "infield" in diamond.arcs


@pytest.mark.parametrize("key", LEVELS)
def test_tolerances_are_ours_and_say_so(key: str) -> None:
    tolerances = read_level(key).tolerances
    assert {"station", "height"} <= tolerances.keys() <= TOLERANCES.keys()
    for tolerance in tolerances.values():
        assert tolerance.confidence is Confidence.OUR_PROPOSAL
        assert all(cite.is_house for cite in tolerance.source)


@pytest.mark.parametrize("key", ["high-school-90-ft", "professional-90-ft", "college-90-ft"])
def test_full_size_levels_carry_the_mounds_slope(key: str) -> None:
    dimensions = {name: dimension.value for name, dimension in read_level(key).dimensions.items()}
    assert len(list_slope(dimensions)) == 7
