"""Change bars stand beside what the edition before did not show, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pocketref.edition.proof import Proof
from pocketref.layouts.cards import lay_out_card
from pocketref.pages.change_bar import BAR_MM
from pocketref.pages.page import Element, Page, Role
from pocketref.scene.items import Shape
from pocketref.scene.paths import extent_of
from pocketref.source.library import Library

TEXT = "mechanics/stance/lines"


def bars_on(page: Page) -> list[tuple[float, float, float, float]]:
    def walk(elements: tuple[Element, ...]) -> list[tuple[float, float, float, float]]:
        found = []
        for element in elements:
            if element.role is Role.DECORATION:
                boxes = [
                    extent_of(item) for item in element.items if isinstance(item, Shape) and not item.stroke
                ]
                found += [box for box in boxes if box[2] - box[0] == pytest.approx(BAR_MM)]
            found += walk(element.children)
        return found

    return walk(page.elements)


def lay_out_with(proven: Proof, previous: Library | None) -> tuple[Page, ...]:
    (model,) = proven.layouts.cards
    return lay_out_card(model, proven.library, proven.layouts, previous=previous).document.pages


def test_nothing_is_marked_without_an_edition_before_or_with_the_same_one(proven: Proof) -> None:
    for previous in (None, proven.library):
        assert [bars_on(page) for page in lay_out_with(proven, previous)] == [[], []]


def test_a_text_that_reads_otherwise_is_marked(proven: Proof) -> None:
    text = proven.library.texts[TEXT]
    older = replace(
        proven.library, texts={**proven.library.texts, TEXT: text.model_copy(update={"entries": ("Else.",)})}
    )
    front, back = (bars_on(page) for page in lay_out_with(proven, older))
    assert len(front) + len(back) == 1


def test_a_ruling_called_otherwise_marks_the_calls_and_not_the_chart(proven: Proof) -> None:
    key = ("high-school", "stance")
    table = proven.library.rulings[key]
    name, ruling = next((name, each) for name, each in table.rulings.items() if each.say)
    rulings = {**table.rulings, name: ruling.model_copy(update={"say": ("Something else.",)})}
    older = replace(
        proven.library, rulings={**proven.library.rulings, key: table.model_copy(update={"rulings": rulings})}
    )
    front, back = (bars_on(page) for page in lay_out_with(proven, older))
    assert (len(front), len(back)) == (0, 1)


def test_a_table_that_rules_otherwise_marks_its_chart_and_not_its_calls(proven: Proof) -> None:
    key = ("high-school", "stance")
    table = proven.library.rulings[key]
    rows = (table.rows[0].model_copy(update={"ruling": "tell"}), *table.rows[1:])
    older = replace(
        proven.library, rulings={**proven.library.rulings, key: table.model_copy(update={"rows": rows})}
    )
    front, back = (bars_on(page) for page in lay_out_with(proven, older))
    assert (len(front), len(back)) == (0, 1)


def test_a_bar_keeps_to_the_safe_area(proven: Proof) -> None:
    older = replace(proven.library, texts={}, rulings={}, fields={})
    for page in lay_out_with(proven, older):
        assert bars_on(page)
        for left, bottom, right, top in bars_on(page):
            assert page.safe.x <= left < right <= page.safe.right
            assert page.safe.y <= bottom < top <= page.safe.top
