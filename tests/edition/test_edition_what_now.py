"""With the cards alone an umpire has an answer in each subject, and reads count, outs and runners off each verdict."""

from __future__ import annotations

from collections.abc import Hashable

import pytest
from demo_cards import read_demo
from play_samples import CODES, content
from scene_measures import texts_of

from pocketref.blocks.chart import ChartBlock, ChartBlockModel
from pocketref.blocks.kinds import walk_blocks
from pocketref.blocks.setting import Setting
from pocketref.rulings.effects import sign_effect
from pocketref.scene.charts.flow_layout import FlowEnding
from pocketref.scene.charts.ruling_flow import mark_ruling
from pocketref.scene.charts.verdict_box import draw_verdict, fit_verdict

LIBRARY, LAYOUTS = read_demo()
POCKET = [card for card in LAYOUTS.cards if card.set_ in ("", "supplement")]


def list_charts() -> dict[str, ChartBlock]:
    """The chart of each subject on the pocket cards."""
    charts = {}
    for card in POCKET:
        setting = Setting(LIBRARY, card.code, card.level, "card")
        for block in walk_blocks((*card.front, *card.back)):
            if isinstance(block, ChartBlockModel):
                assert block.words == "full"
                made = block.build(setting)
                assert isinstance(made, ChartBlock)
                charts[block.subject] = made
    return charts


CHARTS = list_charts()


def test_each_subject_that_the_code_rules_on_has_its_chart_on_a_pocket_card() -> None:
    assert set(CHARTS) == {
        subject for subject in LIBRARY.subjects if (POCKET[0].code, subject) in LIBRARY.rulings
    }


def test_each_subject_is_on_a_card_of_where_the_codes_differ() -> None:
    compared = {
        block.subject
        for card in POCKET
        for block in walk_blocks((*card.front, *card.back))
        if block.block == "differences"
    }
    assert set(CHARTS) - compared == {"stance"}  # it is put right before the pitch


@pytest.mark.parametrize("subject", CHARTS)
def test_a_verdict_says_what_becomes_of_ball_batter_and_runners(subject: str) -> None:
    endings = [node for node in CHARTS[subject].nodes.values() if isinstance(node, FlowEnding)]
    assert endings
    for ending in endings:
        drawn = draw_verdict(fit_verdict(ending, 90, 11), 0, 0, 90, 20, 11)
        said = " ".join(text.content for text in texts_of(drawn)).replace("\u00a0", " ").lower()
        marks = {mark.partition("-")[0] for mark, _ in ending.lines}
        assert {"ball"} < marks
        assert marks in ({"ball", "batter", "runners"}, {"ball", "league"}) or "league" in marks
        for _, words in ending.lines:
            assert words.lower() in said, (ending.headline, words)


def test_verdicts_that_come_to_something_else_never_print_the_same_of_ball_batter_and_runners() -> None:
    """Whatever the code: so count, outs and runners can be read off what is printed."""
    effects: dict[Hashable, set[Hashable]] = {}
    for code in CODES:
        for (table_code, _), table in content().rulings.items():
            for ruling in table.rulings.values() if table_code == code else ():
                # A choice of the offence is named by its headline.
                choice = ruling.headline if ruling.may_take_play else ""
                effects.setdefault((mark_ruling(ruling), choice), set()).add(sign_effect(ruling))
    assert len(effects) > 30
    assert [printed for printed, found in effects.items() if len(found) > 1] == []
