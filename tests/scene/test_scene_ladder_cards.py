"""The project's own charts as ladders on its cards, at the 10 pt that is read at arm's length."""

from __future__ import annotations

from pathlib import Path

import pytest

from pocketref.rulings.chart import build_chart
from pocketref.rulings.construct import construct_table
from pocketref.scene.charts.flow_layout import FlowNode
from pocketref.scene.charts.ladder import draw_ladder
from pocketref.scene.charts.ladder_parts import cut_ladder
from pocketref.scene.charts.ruling_flow import construct_flow
from pocketref.source.library import read_library

LIBRARY = read_library(Path(__file__).parents[2] / "content")
KEYS = sorted(LIBRARY.rulings)
ON_CARDS = [k for k in KEYS if k[0] == "high-school" and k[1] in ("contact", "stance")]
"""Charts of the demo's cards, but for those that ask about more than one face can hold."""
BANDS_MM = 7.0 + 1.4 + 0.9 + 4.0
"""What a face gives to its title, its footer and the white space at both."""
INDEX_CARD = (127.0 - 2 * 3.6, 76.2 - 2 * 3.6 - BANDS_MM)
A7 = (105.0 - 2 * 4.0, 74.0 - 2 * 4.0 - BANDS_MM)
ID_1 = (85.6 - 2 * 3.4, 53.98 - 2 * 3.4 - BANDS_MM)


def flow_of(key: tuple[str, str]) -> tuple[dict[str, FlowNode], str]:
    model = LIBRARY.rulings[key]
    table = construct_table(LIBRARY.subjects[key[1]], model)
    return construct_flow(build_chart(table), table, model.rulings)


def count_faces(key: tuple[str, str], face: tuple[float, float]) -> int:
    """How many faces the chart takes at 10 pt; each part is checked to fit its face."""
    nodes, root = flow_of(key)
    parts = cut_ladder(nodes, root, *face, 10)
    for part in parts:
        drawing = draw_ladder(nodes, root, face[0], 10, 0.0, part)
        assert drawing.overflow_mm == 0, part
        assert drawing.height_mm <= face[1], part
    return len(parts)


@pytest.mark.parametrize("key", sorted({*ON_CARDS, *(k for k in KEYS if k[1] == "contact")}), ids=": ".join)
def test_the_charts_of_the_demos_cards_and_every_contact_chart_fit_one_face(key: tuple[str, str]) -> None:
    assert count_faces(key, INDEX_CARD) == 1


@pytest.mark.parametrize("key", KEYS, ids=": ".join)
def test_every_chart_fits_front_and_back_of_an_index_card(key: tuple[str, str]) -> None:
    assert count_faces(key, INDEX_CARD) <= 2


@pytest.mark.parametrize("key", ON_CARDS, ids=": ".join)
@pytest.mark.parametrize(("face", "most"), [(A7, 2), (ID_1, 3)])
def test_the_demos_charts_fit_a_few_faces_of_lanyard_stocks(
    key: tuple[str, str], face: tuple[float, float], most: int
) -> None:
    assert count_faces(key, face) <= most
