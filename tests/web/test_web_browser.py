"""The web page in headless Chromium: axe-core's report, the keyboard, what is fetched, and what may run."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from page_scripts import Browser, write_edition

from pocketref.edition.manifest import BuiltFile
from pocketref.web.web import INDEX

# What an error in escaping would let into the page, each way in.
INTRUDERS = (
    "<script>intruded = 1</script>"
    '<script src="https://example.invalid/x.js"></script>'
    '<img src="https://example.invalid/x.png" onerror="intruded = 1">'
    '<iframe srcdoc="&lt;script&gt;top.intruded = 1&lt;/script&gt;"></iframe>'
    '<link rel="stylesheet" href="https://example.invalid/x.css">'
    '<svg onload="intruded = 1"></svg>'
)


def open_page(page: Path, browser: Browser, words: str) -> dict[str, Any]:
    """What the browser makes of a page."""
    report: dict[str, Any] = browser.run("check_page.mjs", page, words)
    return report | {"name": page.name}


@pytest.fixture(scope="session")
def report(
    built: Mapping[str, BuiltFile], browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Any]:
    """The fixtures' edition in its folder, opened as a file."""
    folder = write_edition(built.values(), tmp_path_factory.mktemp("edition"))
    return open_page(folder / INDEX, browser, "TAPE flat")


def test_axe_core_finds_no_violation_at_any_width_light_or_dark(report: dict[str, Any]) -> None:
    looks = report["looks"]
    assert [(look["width"], look["scheme"]) for look in looks] == [
        ("phone", "light"),
        ("phone", "dark"),
        ("desktop", "light"),
        ("desktop", "dark"),
    ]
    for look in looks:
        assert look["violations"] == [], (look["width"], look["scheme"])
    for look in looks[::2]:
        assert {"color-contrast-enhanced", "heading-order", "svg-img-alt", "target-size"} <= set(
            look["passes"]
        )
    for look in looks[1::2]:
        assert look["passes"] == ["color-contrast-enhanced"]


@pytest.fixture(scope="session")
def sheet(browser: Browser, demo_folder: Path) -> dict[str, Any]:
    """One of its training sheets, opened as a file."""
    return open_page(demo_folder / "plays" / "feet.html", browser, "knee")


# A word that some parts of the page hold and others do not.
DEMO_PAGES = {
    INDEX: "tape",
    "plays/feet-key.html": "knee",
    "plays/mixed.html": "bounces",
    "plays/mixed-key.html": "bounces",
}


@pytest.mark.parametrize("name", DEMO_PAGES)
def test_the_demo_edition_and_its_training_sheets_pass_too(
    browser: Browser, demo_folder: Path, name: str
) -> None:
    check_report(open_page(demo_folder / name, browser, DEMO_PAGES[name]))


def check_report(report: dict[str, Any]) -> None:
    for look in report["looks"]:
        assert (look["violations"], look["overflow"], look["small_targets"]) == ([], 0, [])
        assert look["small_type"] >= 11.5
    assert {url.rpartition("/")[2] for url in report["requests"]} <= {report["name"], "icon-192.png"}
    assert report["errors"] == []
    assert report["keyboard"]["axe"] == []
    assert report["plain"]["cards_shown"]
    assert report["printed"]["ground"] == "rgb(255, 255, 255)"


def test_a_sheet_is_answered_by_keyboard_one_choice_a_play(sheet: dict[str, Any]) -> None:
    check_report(sheet)
    answered = sheet["answered"]
    assert answered["chosen"] == ["play-1-answer-1 A", "play-1-answer-1 B"]
    assert answered["checked"] == 1
    assert answered["outline"] >= 2


def test_pictures_stay_black_on_white_on_a_dark_screen(sheet: dict[str, Any]) -> None:
    for look in sheet["looks"]:
        assert "invert" not in look["picture_filter"]


def test_the_page_is_no_wider_than_a_phone_and_its_drawings_can_be_read(report: dict[str, Any]) -> None:
    for look in report["looks"]:
        assert look["overflow"] <= 0
        assert look["small_type"] >= 11.5
        assert look["small_targets"] == []


def test_nothing_but_the_file_itself_and_the_icon_beside_it_is_fetched_and_nothing_fails(
    report: dict[str, Any],
) -> None:
    assert [url.rpartition("/")[2] for url in report["requests"]] == [INDEX, "icon-192.png"]
    assert all(url.startswith("file://") for url in report["requests"])
    assert report["errors"] == []


def test_the_keyboard_reaches_the_skip_link_the_views_then_the_search_and_sees_where_it_is(
    report: dict[str, Any],
) -> None:
    keyboard = report["keyboard"]
    assert (keyboard["first"], keyboard["skipped_to"]) == ("Skip to the content", "main")
    assert keyboard["order"][0].startswith("Rule on a play")
    assert keyboard["order"][-1] == "find"
    assert min(keyboard["first_outline"], keyboard["find_outline"]) >= 2


def test_the_search_lists_the_parts_that_hold_all_words_and_shows_the_hits_in_the_one_chosen(
    report: dict[str, Any],
) -> None:
    keyboard = report["keyboard"]
    assert keyboard["found"] == ["#sheet-plate-area"]
    assert keyboard["said"] == "1 part has words like “TAPE flat”."
    assert keyboard["axe"] == []
    assert keyboard["opened"] == "#sheet-plate-area"
    assert {word for word, _ in keyboard["marked"]} >= {"tape", "flat"}
    assert any(is_in_view for _, is_in_view in keyboard["marked"])
    assert keyboard["nothing"] == []
    assert keyboard["nothing_said"] == "No part has words like “qqqzzz”."


def test_without_script_the_page_is_plain_and_whole(report: dict[str, Any]) -> None:
    assert report["plain"] == {"search_shown": False, "cards_shown": True}


def test_print_is_black_on_white_even_from_a_dark_screen(report: dict[str, Any]) -> None:
    printed = report["printed"]
    assert printed["ground"] == "rgb(255, 255, 255)"
    assert max(int(level) for level in printed["ink"][4:-1].split(",")) < 48
    assert printed["contents_shown"] is False


def test_script_that_got_into_the_page_would_not_run_nor_fetch(
    built: Mapping[str, BuiltFile], browser: Browser, tmp_path: Path
) -> None:
    text = built[INDEX].data.decode()
    page = tmp_path / INDEX
    page.write_text(text.replace("<footer>", f"<footer>{INTRUDERS}", 1), encoding="utf-8")
    report = open_page(page, browser, "TAPE flat")
    assert report["keyboard"]["intruded"] is False
    assert any("Content Security Policy" in error for error in report["errors"])
    outside = {url for url in report["requests"] if url.startswith("http")}
    assert len(outside) == 3
    assert outside == {url for url, why in report["failed"] if why == "csp"}
