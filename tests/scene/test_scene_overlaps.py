"""Overlaps of texts are found as the texts are turned."""

from __future__ import annotations

import pytest
from scene_measures import find_overlaps

from pocketref.scene.dimensioning import DimensionLine, DimensionSheet
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import set_text


def test_the_two_lines_of_a_slanted_dimension_do_not_overlap() -> None:
    sheet = DimensionSheet(8.0)
    sheet.draw_dimension(DimensionLine((0, 0), (30, 30), "90 ft", "[27432]"))
    assert len(sheet.texts) == 2
    assert find_overlaps(sheet.texts) == []


@pytest.mark.parametrize("angle", [0.0, 45.0, 90.0])
def test_two_texts_through_one_point_overlap(angle: float) -> None:
    one = set_text(0, 0, "90 ft", FontFace.REGULAR, 8.0, BLACK, "middle")
    other = set_text(0, 0, "60 ft", FontFace.REGULAR, 8.0, BLACK, "middle", angle)
    assert find_overlaps([one, other]) == [(one, other)]
