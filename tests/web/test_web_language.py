"""The demo's page in Spanish, in a browser: as small as in English, as accessible, and searched by its words' forms."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from demo_edition import ROOT, demo_files
from page_scripts import Browser
from test_web_browser import check_report, open_page
from test_web_rule_view import MOST_BYTES

from pocketref.edition.proof import prove
from pocketref.source.digest import is_covered
from pocketref.translations.language_proof import read_language
from pocketref.web.plays_web import write_plays_section
from pocketref.web.web import INDEX, build_web_page
from pocketref.words.speech import speak

ICON = "icon-192.png"


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page alone, with links to files that are named as the English ones."""
    files = [file for file in demo_files().values() if file.name != INDEX and is_covered(file.name)]
    with speak(read_language("es", ROOT / "content")):
        proof = prove(ROOT / "content", ROOT / "layouts")
        file = build_web_page(proof, files, [write_plays_section(proof.plays, files)])
    path = tmp_path_factory.mktemp("spanish") / INDEX
    path.write_bytes(file.data)
    (path.parent / ICON).write_bytes(demo_files()[ICON].data)
    return path


@pytest.fixture(scope="module")
def report(page: Path, browser: Browser) -> dict[str, Any]:
    return open_page(page, browser, "MONTICULO perfiles")


def test_the_page_in_spanish_is_no_larger_than_that_in_english_may_be(page: Path) -> None:
    assert len(page.read_bytes()) <= MOST_BYTES


def test_the_page_in_spanish_passes_axe_core_and_is_used_by_keyboard(report: dict[str, Any]) -> None:
    check_report(report)


def test_a_search_finds_spanish_words_by_their_forms_with_or_without_accents(report: dict[str, Any]) -> None:
    keyboard = report["keyboard"]
    assert {"#card-field", "#sheet-mound"} <= set(keyboard["found"])
    assert {word for word, _ in keyboard["marked"]} >= {"mont\u00edculo", "perfil"}
