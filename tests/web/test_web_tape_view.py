"""A field taped on the page in a phone-size browser without a network: what is shown, kept and given away."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from field_sheets import CONTENT, LEVEL, library, plan_of
from page_scripts import Browser
from simulated_fields import simulate_field

from pocketref.cli import main
from pocketref.field.pulls import Pull
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.units.notation import write_feet_inches, write_tape
from pocketref.web.web import INDEX

ODD = ("17", "17 yd", "0 in", "1000 ft", "{inches} ft", "{inches} in")


def list_must() -> tuple[Pull, ...]:
    return choose_sheet_pulls(plan_of("plate-area"), library().fields[LEVEL].tolerances["station"].value).must


def first_pull() -> Pull:
    return list_must()[0]


@pytest.fixture(scope="module")
def readings() -> dict[str, str]:
    """The sheet's pulls around a home plate whose F3 is 2 in off, toward first and the backstop alike."""
    field = simulate_field(
        plan_of("plate-area"), list_must(), np.random.default_rng(7), moved_in={"F3": (2**0.5, -(2**0.5))}
    )
    return {reading.name: write_feet_inches(reading.length) for reading in field.readings}


@pytest.fixture(scope="module")
def taped(
    browser: Browser, demo_folder: Path, readings: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("tape-view")
    odd = [text.format(inches=float(first_pull().length.inches)) for text in ODD]
    asked = {"address": f"#tape/{LEVEL}/plate-area", "readings": readings, "odd": odd}
    (folder / "asked.json").write_text(json.dumps(asked), encoding="utf-8")
    report: dict[str, Any] = browser.run(
        "check_tape_view.mjs", demo_folder / INDEX, folder / "asked.json", folder
    )
    return report


def test_a_corner_two_inches_off_is_diagnosed_from_typed_readings(taped: dict[str, Any]) -> None:
    assert taped["headline"] == "Move F3"
    (order,) = [line for line in taped["work"] if "move it" in line]
    assert order.startswith("F3, outer front corner, first-base-side box: move it 1 ")
    assert "in toward the pitcher, 1 " in order
    assert "in toward third" in order
    assert "F3: off " in taped["figure"]
    assert all(url.startswith("file://") for url in taped["requests"])
    assert taped["errors"] == []


def test_the_keyboard_leads_from_blank_to_blank_and_to_the_verdict(
    taped: dict[str, Any], readings: dict[str, str]
) -> None:
    assert taped["visited"] == list(readings)
    assert taped["focused"] == taped["headline"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("17", "17 has no unit: write 17 in, 17 "),
        ("17 yd", "'yd' is no unit known here: use one of: ft, in, mm, cm, m"),
        ("0 in", "a length here is more than zero: check the figure and its unit"),
        ("1000 ft", "far too long, it should be about {target}: check the figure and its unit"),
        ("{inches} ft", "far too long, it should be about {target}: inches written as feet?"),
        ("{inches} in", "true"),
    ],
)
def test_what_can_not_be_is_said_beside_its_blank(taped: dict[str, Any], text: str, words: str) -> None:
    said = taped["odd"][text.format(inches=float(first_pull().length.inches))]
    assert said.startswith(words.format(target=write_tape(first_pull().length)))


def test_nothing_is_lost_on_reload_and_two_taps_clear_the_sheet(
    taped: dict[str, Any], readings: dict[str, str]
) -> None:
    assert taped["reloaded"] == {"readings": readings, "work": taped["work"], "notice": ""}
    assert taped["afterOneTap"] == next(iter(readings.values()))
    assert taped["cleared"] == ""


@pytest.mark.parametrize(("store", "said"), [("full", "store is full"), ("private", "private mode")])
def test_a_device_that_keeps_nothing_says_so_and_judges_all_the_same(
    taped: dict[str, Any], readings: dict[str, str], store: str, said: str
) -> None:
    assert said in taped[store]["notice"]
    assert taped[store]["told"].startswith("true")
    assert taped[store]["kept"] == next(iter(readings.values()))


def test_the_saved_file_gets_the_same_verdict_from_the_tape_command(taped: dict[str, Any]) -> None:
    assert taped["saved"]["name"] == f"readings-{LEVEL}-plate-area.csv"
    done = CliRunner().invoke(main, ["tape", taped["saved"]["path"], "--content", str(CONTENT)])
    printed = [f"{line[:1].upper()}{line[1:]}." for line in done.output.splitlines()]
    for line in taped["work"]:
        assert line.replace("’", "'") in printed
    assert done.exit_code == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_view_is_clear_to_everybody_at_phone_width(taped: dict[str, Any], scheme: str) -> None:
    assert taped["looks"][scheme] == {"violations": [], "overflow": 0, "small": []}


def test_readings_verdict_and_drawing_are_printed(taped: dict[str, Any], readings: dict[str, str]) -> None:
    assert taped["printed"].count("input") == len(readings) + 1
    assert taped["printed"][-2:] == ["ul", "figure"]
