"""A face carries a change bar where what it shows differs from the edition before, and only there."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from changed_faces import WholeEdition, has_bar, list_statement_changes
from past_edition import PAST

from pocketref.edition.source_reading import read_source
from pocketref.layouts.cards import lay_out_card
from pocketref.layouts.layout_library import read_layouts
from pocketref.source.library import read_library

ROOT = Path(__file__).parents[2]


@cache
def whole_edition() -> WholeEdition:
    library = read_library(ROOT / "content")
    return WholeEdition(library, read_layouts(ROOT / "layouts", library, ROOT / "content"))


@pytest.mark.parametrize("group", ["fields", "rulings", "cautions", "texts"])
def test_faces_with_bars_are_the_faces_that_differ(group: str) -> None:
    """One statement of every twentieth file of the demo; `tests/benchmarks/check_change_bars.py` changes every one."""
    edition = whole_edition()
    changes = list_statement_changes(edition.library)
    of_file = {path[1]: (path, older) for path, older in changes if path[0] == group}
    assert list(edition.find_disagreements(list(of_file.values())[::20])) == []


def test_no_face_has_a_bar_beside_itself() -> None:
    assert not [face for kept in whole_edition().kept for face in kept.barred]


def test_a_card_that_took_fewer_faces_last_season_is_marked_where_its_calls_are_new_and_only_there() -> None:
    library, before = read_library(ROOT / "content"), read_source(PAST)
    layouts = read_layouts(ROOT / "layouts", library, ROOT / "content")
    barred = {
        card.card: [
            has_bar(page.elements)
            for page in lay_out_card(card, library, layouts, previous=before).document.pages
        ]
        for card in layouts.cards
        if card.card in ("double-base", "infield-fly")
    }
    assert barred == {"double-base": [True] * 4, "infield-fly": [False] * 4}
