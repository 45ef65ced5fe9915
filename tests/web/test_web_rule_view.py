"""Plays ruled on by tapping, in a phone-size browser: from a file, and from a site without a network."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from page_scripts import Browser

from pocketref.edition.proof import Proof
from pocketref.rulings.next_state import find_next_states
from pocketref.rulings.state_words import write_states
from pocketref.source.situation_models import SituationModel
from pocketref.web.web import INDEX

MOST_BYTES = 600_000
TAPS = (
    "Rule on a play",
    "Batting out of the box",
    "touched: fair, foul or foul tip",
    "a foot down on the plate",
)
VERDICT = "#rule/contact/high-school?bat-meets-ball=yes&on-plate=yes"
QUESTION = "#contact?bat-meets-ball=yes"
VIEWS = (
    "",
    "#rule",
    QUESTION,
    "#rule/uncaught-third/high-school?caught=no",
    "#rule/infield-fly?fair=yes&easy=yes",
    VERDICT,
    f"{VERDICT}&game.runners=first,third&game.outs=1&game.balls=1&game.strikes=2",
    "#rule/nowhere",
)
BAD = {
    "#rule/nowhere": "This page has no subject ‘nowhere’.",
    "#rule/contact/cricket": "There is no code ‘cricket’: ruled by High school.",
    "#rule/double-base/professional": "Professional has no table on this: ruled by High school.",
    "#contact?on-plate=perhaps": "‘perhaps’ is no answer to “Foot on plate at contact?”",
    "#contact?weather=fine": "The link answers ‘weather’, which is not asked here.",
    "#contact?game.runners=fifth": "The link has a runner on ‘fifth’: there are first, second and third.",
    "#contact?game.outs=7": "The link has ‘7’ outs: there are 0 to 2.",
    "#contact?on-plate=%E0%A4%A": "is no answer to “Foot on plate at contact?”",
    "#card-of-another-edition": "This page has no place ‘card-of-another-edition’.",
    "#infield-fly?runners=yes&game.runners=none": "follows from runners, outs and count",
}
STAND = SituationModel(runners=("first", "third"), outs=1, count="1-2")


@pytest.fixture(scope="module")
def report(demo_folder: Path, browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("asked")
    keys = ("runners-first", "runners-third", "outs-1", "balls-1", "strikes-2")
    asked = {
        "taps": TAPS,
        "views": VIEWS,
        "bad": list(BAD),
        "question": QUESTION,
        "stand": {"address": VERDICT, "keys": keys},
    }
    (folder / "asked.json").write_text(json.dumps(asked), encoding="utf-8")
    said: dict[str, Any] = browser.run("check_rule_view.mjs", demo_folder, folder / "asked.json", folder)
    return said


def test_a_foot_on_the_plate_reaches_the_out_in_four_taps_from_a_file(report: dict[str, Any]) -> None:
    assert len(TAPS) <= 4
    ruled = report["file"]
    assert ruled["headline"] == "Out: batted out of the box"
    assert "Batter\nout" in ruled["effect"]
    assert ruled["inView"]


def test_and_from_a_site_without_a_network_after_one_visit(report: dict[str, Any]) -> None:
    ruled = report["offline"]
    assert ruled["headline"] == "Out: batted out of the box"
    assert ruled["linked"].endswith("/site.webmanifest")


def test_the_link_carries_the_answers_and_leads_back_a_step(report: dict[str, Any]) -> None:
    assert report["file"]["address"] == VERDICT
    assert report["file"]["back"] == "Foot on plate at contact?"


def test_the_row_that_was_met_has_an_address_of_its_own(report: dict[str, Any]) -> None:
    row = report["file"]["row"]
    assert "a foot down on the plate, in part or whole" in row["words"]
    assert "HS 7-3-2, 5-1-1b" in row["words"]
    assert row["inView"]


def test_the_first_content_is_within_two_screens_of_a_phone(report: dict[str, Any]) -> None:
    assert 0 < report["file"]["first"] < 2


def test_runners_outs_and_count_are_tapped_and_what_comes_next_is_said(
    report: dict[str, Any], demo: Proof
) -> None:
    ruling = demo.library.rulings["high-school", "contact"].rulings["out-of-box"]
    (words,) = write_states(find_next_states(STAND, ruling))
    told = report["stand"]
    assert told["next"] == words
    assert told["address"] == f"{VERDICT}&game.runners=first,third&game.outs=1&game.balls=1&game.strikes=2"
    assert told["focus"] == "key-strikes-2"


def test_axe_core_finds_no_violation_in_any_view_light_or_dark(report: dict[str, Any]) -> None:
    assert len(report["looks"]) == 2 * len(VIEWS)
    for look in report["looks"]:
        where = (look["address"], look["scheme"])
        assert look["violations"] == [], where
        assert (look["overflow"], look["small"]) == (0, []), where
        assert look["headings"][0] == "H1", where


def test_the_keyboard_goes_from_the_question_through_its_answers_and_on_to_the_next(
    report: dict[str, Any],
) -> None:
    order, after = report["keys"]["order"], report["keys"]["after"]
    assert order[0] == "Batting out of the box"
    assert order[1].startswith("Yes")
    assert order[2].startswith("No")
    assert order[3] == "Back a step"
    assert after == "Out: batted out of the box"


def test_a_link_with_a_mistake_says_so_and_asks_on(report: dict[str, Any]) -> None:
    for (address, words), told in zip(BAD.items(), report["bad"], strict=True):
        assert words in told["trouble"], address
        assert told["asks"] > 0, address


def test_a_tap_lays_out_no_more_of_the_edition_than_is_seen(report: dict[str, Any]) -> None:
    """The time itself is measured by tests/benchmarks/bench_page.mjs."""
    work = report["work"]
    assert work["parts"] > 60
    assert max(work["first"], work["again"]) < 10
    assert work["inView"] == 0
    assert work["key"] <= 3
    assert work["back"] <= 6


def test_no_script_fails(report: dict[str, Any]) -> None:
    assert report["errors"] == []


def test_links_that_lead_nowhere_say_so_where_the_page_was_saved_alone(report: dict[str, Any]) -> None:
    words, links = report["alone"]
    assert "icon is not beside it" in words
    assert links == 0


def test_the_page_is_no_larger_than_it_may_be(demo_folder: Path) -> None:
    assert len((demo_folder / INDEX).read_bytes()) <= MOST_BYTES
