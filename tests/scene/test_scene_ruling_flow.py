"""A decision table's chart as a flowchart's nodes, and in words."""

from __future__ import annotations

import pytest

from pocketref.edition.proof import Proof
from pocketref.rulings.chart import build_chart
from pocketref.rulings.construct import construct_table
from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode, FlowQuestion
from pocketref.scene.charts.ruling_flow import construct_flow, mark_ruling, write_chart_words
from pocketref.source.ruling_models import Ball, Batter, Count, RulingModel, RunnerOut, Runners


@pytest.fixture
def rulings(proven: Proof) -> dict[str, RulingModel]:
    return dict(proven.library.rulings["high-school", "stance"].rulings)


def flow(proven: Proof, unsettled: str = "") -> tuple[dict[str, FlowNode], str]:
    """The chart of the table, in which the rows that lead to one ruling may be unsettled."""
    model = proven.library.rulings["high-school", "stance"]
    rows = tuple(
        row.model_copy(update={"unsettled": "two readings"} if row.ruling == unsettled else {})
        for row in model.rows
    )
    table = construct_table(proven.library.subjects["stance"], model.model_copy(update={"rows": rows}))
    return construct_flow(build_chart(table), table, model.rulings)


def test_every_question_asks_yes_to_the_right_and_no_downwards(proven: Proof) -> None:
    nodes, root = flow(proven)
    questions = [node for node in nodes.values() if isinstance(node, FlowQuestion)]
    assert len(questions) == 3
    assert all([leave.label for leave in node.exits] == ["yes", "no"] for node in questions)
    first = nodes[root]
    assert isinstance(first, FlowQuestion)
    assert first.text == "Foot past a line's outer edge?"


def test_every_ruling_is_an_ending_with_its_headline_and_marks(
    proven: Proof, rulings: dict[str, RulingModel]
) -> None:
    nodes, _ = flow(proven)
    endings = {node.headline: node.lines for node in nodes.values() if isinstance(node, FlowEnding)}
    assert set(endings) == {ruling.headline for ruling in rulings.values()}
    assert endings["Strike for refusing"][1] == ("batter", "strike"), (
        "what the third comes to is for the keys"
    )


@pytest.mark.parametrize(
    ("change", "mark"),
    [
        ({"ball": Ball.LIVE}, ("ball-live", "live")),
        ({"ball": Ball.DEAD}, ("ball-dead", "dead")),
        ({"ball": Ball.DELAYED_DEAD}, ("ball-delayed", "delayed dead")),
        ({"batter": Batter.OUT}, ("batter-out", "out")),
        ({"batter": Batter.OUT_ON_APPEAL}, ("batter", "out on appeal")),
        ({"count": Count.STRIKE}, ("batter", "strike")),
        ({"count": Count.AS_CALLED}, ("batter", "as the pitch is called")),
        ({"runners": Runners.RETURN}, ("runners-back", "back")),
        ({"runners": Runners.RETURN_TO_TOUCHED}, ("runners-back", "back")),
        ({"runners": Runners.STAY}, ("runners-stay", "stay")),
        ({"runners": Runners.AT_OWN_RISK}, ("runners-advance", "may advance")),
        ({"runners": Runners.FORCED}, ("runners-one-base", "only if forced")),
        ({"runners": Runners.ONE_BASE}, ("runners-one-base", "one base each")),
        ({"runners": Runners.AS_RULED}, ("runners-ruled", "as the ball is ruled")),
        ({"out": (RunnerOut.FROM_THIRD,)}, ("runners-out", "runner from third out")),
    ],
)
def test_a_mark_follows_from_what_the_ruling_says(
    rulings: dict[str, RulingModel], change: dict[str, object], mark: tuple[str, str]
) -> None:
    assert mark in mark_ruling(rulings["legal"].model_copy(update=change))


def test_an_unsettled_ruling_says_to_ask_the_league(proven: Proof) -> None:
    nodes, _ = flow(proven, unsettled="tell")
    lines = {node.headline: node.lines for node in nodes.values() if isinstance(node, FlowEnding)}
    assert ("league", "check your league") in lines["Tell the batter to get in"]
    assert ("league", "check your league") not in lines["Legal stance"]


def test_the_chart_in_words_leads_to_every_ruling_by_numbered_questions(
    proven: Proof, rulings: dict[str, RulingModel]
) -> None:
    words = write_chart_words(*flow(proven))
    assert words.startswith("1. Foot past a line's outer edge? yes: go to 2; no: Legal stance (")
    assert all(ruling.headline in words for ruling in rulings.values())
    assert "ball delayed dead, batter bats on, runners back)" in words


def test_only_the_way_that_leads_to_a_row_in_doubt_ends_with_the_mark(proven: Proof) -> None:
    """Of two ways to one ruling, one rests on a row in doubt: it ends with the mark, the other without."""
    model = proven.library.rulings["high-school", "stance"]
    rows = tuple(
        row.model_copy(update={"ruling": "legal"} if row.ruling in ("tell", "play-on") else {})
        for row in model.rows
    )
    table = construct_table(proven.library.subjects["stance"], model.model_copy(update={"rows": rows}))
    first, second, *_ = (row for row in table.rows if row.outcome == "legal")
    for doubted in (first, second):
        nodes, root = construct_flow(build_chart(table), table, model.rulings, [doubted], "†")
        said = {node.headline for node in nodes.values() if isinstance(node, FlowEnding)}
        assert said >= {"Legal stance", "Legal stance†"}
        node = nodes[root]
        assert isinstance(node, FlowQuestion)
        at_once = [nodes[leave.target] for leave in node.exits if isinstance(nodes[leave.target], FlowEnding)]
        assert [isinstance(end, FlowEnding) and end.headline.endswith("†") for end in at_once] == [
            doubted is first
        ]
    nodes, _ = construct_flow(build_chart(table), table, model.rulings)
    assert not any(isinstance(node, FlowEnding) and "†" in node.headline for node in nodes.values())
