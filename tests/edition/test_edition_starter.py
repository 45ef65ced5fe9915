"""The starter set that the package carries: it proves clean, prints twice alike, and is legible throughout."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from demo_edition import demo_files, demo_proof
from scene_measures import inked_overlaps, texts_of

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.layouts.cards import LaidOut
from pocketref.output.contents import items_of
from pocketref.output.reading.readback import read_pdf
from pocketref.scene.paths import extent_of


@pytest.fixture(scope="module")
def starter() -> Proof:
    return demo_proof()


@pytest.fixture(scope="module")
def printed() -> Mapping[str, BuiltFile]:
    return demo_files()


@pytest.fixture(scope="module")
def laid_out(starter: Proof) -> tuple[LaidOut, ...]:
    return (*starter.cards, *starter.sheets)


def test_the_starter_set_proves_clean(starter: Proof) -> None:
    assert [problem.sentence for problem in starter.warnings] == []
    assert len(starter.cards) > 0
    assert len(starter.sheets) > 0
    assert starter.tables == len(starter.library.rulings)


def test_every_text_on_every_face_is_at_or_above_the_floor(laid_out: tuple[LaidOut, ...]) -> None:
    for item in laid_out:
        for page in item.document.pages:
            for text in texts_of(items_of(page.elements)):
                assert text.size_pt >= item.floor_pt, f"{item.name}, {page.name}: {text.content}"


def test_every_text_on_every_face_is_inside_the_safe_area(laid_out: tuple[LaidOut, ...]) -> None:
    for item in laid_out:
        for page in item.document.pages:
            for text in texts_of(items_of(page.elements)):
                left, bottom, right, top = extent_of(text)
                inside = (
                    page.safe.x <= left,
                    page.safe.y <= bottom,
                    right <= page.safe.right,
                    top <= page.safe.top,
                )
                assert all(inside), f"{item.name}, {page.name}: {text.content}"


def test_no_two_texts_on_any_face_overlap(laid_out: tuple[LaidOut, ...]) -> None:
    for item in laid_out:
        for page in item.document.pages:
            assert inked_overlaps(texts_of(items_of(page.elements))) == [], f"{item.name}, {page.name}"


def test_every_printed_text_is_as_large_as_it_was_asked_to_be(
    printed: Mapping[str, BuiltFile], laid_out: tuple[LaidOut, ...]
) -> None:
    for item in laid_out:
        names = {f"{folder}/{item.name}.pdf" for folder in ("cards", "sheets")}
        (file,) = (file for name, file in printed.items() if name in names)
        for page in read_pdf(file.data).pages:
            smallest = min(run.size_pt for run in page.texts if run.has_ink)
            assert smallest >= item.floor_pt - 0.005


def test_the_association_is_invented_and_says_so_on_every_card(
    starter: Proof, laid_out: tuple[LaidOut, ...]
) -> None:
    assert starter.library.edition.invented
    for item in laid_out:
        words = [t.content for page in item.document.pages for t in texts_of(items_of(page.elements))]
        assert any("(invented)" in word for word in words), item.name
