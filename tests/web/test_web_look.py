"""The page of `look` in headless Chromium: a save shows without a reload, by the keyboard, and as axe-core has it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest
from page_scripts import Browser
from source_folders import copy_folders

sys.path.append(str(Path(__file__).parents[1] / "look"))

from looking import open_page


@pytest.fixture(scope="module")
def report(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the browser makes of the fixtures' page while their card is edited."""
    folders = copy_folders(tmp_path_factory.mktemp("look"))
    layout = folders.layouts / "cards/batters-box.yaml"
    with open_page(folders) as page:
        found: dict[str, Any] = browser.run(
            "check_look.mjs", f"http://127.0.0.1:{page.port}/", layout, "and stance", "and the feet"
        )
    return found


def test_axe_core_finds_no_violation_well_or_broken_light_or_dark(report: dict[str, Any]) -> None:
    assert len(report["looks"]) == 6
    found = [(each["name"], each["scheme"], each["violations"]) for each in report["looks"]]
    assert [each for each in found if each[2]] == []
    for look in report["looks"]:
        assert "color-contrast-enhanced" in look["passes"]


def test_a_save_shows_without_a_reload_and_a_fault_beside_the_last_picture(report: dict[str, Any]) -> None:
    assert report["stayed"]
    assert report["last"]
    assert report["status"] == "The source can't be read: 1 error"
    assert "layouts/cards/batters-box.yaml:" in report["problems"]


def test_the_keyboard_finds_a_sheet_and_nothing_foreign_is_fetched(report: dict[str, Any]) -> None:
    assert report["focused"] == "#sheets/plate-area"
    assert report["sheet"] == "Plate-area check"
    assert report["errors"] == []
    assert all(request.startswith(("http://127.0.0.1:", "data:")) for request in report["requests"])
