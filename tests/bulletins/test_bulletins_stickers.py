"""Stickers: a card that is stuck over says what the corrected one says; what can't be stuck over is to be replaced."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from correction_samples import correct

from pocketref.bulletins.sticker_sheet import build_stickers
from pocketref.bulletins.stickers import LARGER, MANY, Sticker
from pocketref.layouts.cards import lay_out_card
from pocketref.output.contents import items_of, texts_in
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.page import Page
from pocketref.scene.items import Text
from pocketref.scene.paths import extent_of

TABLE = "content/rulings/high-school/stance.yaml"
TEXTS = "content/mechanics/stance.yaml"
PLAY_ON = "headline: Play on, watch the feet\n    ball: delayed dead"
LINE = '      - "A foot *on the line is in*.'


def words(texts: Iterable[Text]) -> list[str]:
    return sorted(word for text in texts for word in text.content.split())


def is_covered(text: Text, stickers: Iterable[Sticker]) -> bool:
    """Wholly; one that is covered in part would be left spoilt."""
    left, low, right, high = extent_of(text)
    for box in (sticker.box for sticker in stickers):
        if left < box.right and right > box.x and low < box.top and high > box.y:
            assert box.x <= left
            assert right <= box.right
            assert box.y <= low
            assert high <= box.top
            return True
    return False


def list_texts(page: Page) -> list[Text]:
    return list(texts_in(items_of(page.elements)))


@pytest.mark.parametrize(
    ("card", "edit", "covered"),
    [
        pytest.param(
            "1",
            (TABLE, PLAY_ON, "headline: Play on\n    ball: dead"),
            ["front", "back"],
            id="a verdict in a chart",
        ),
        pytest.param(
            "2", (TEXTS, "Feet first", "Feet before all"), ["front", "front"], id="a line of a text"
        ),
    ],
)
def test_a_card_that_is_stuck_over_says_what_the_corrected_one_says(
    tmp_path: Path, card: str, edit: tuple[str, str, str], covered: list[str]
) -> None:
    corrected = correct(tmp_path, edit)
    proof, concerned = corrected.proof, corrected.find(card)
    (patch,) = concerned.patches
    assert [sticker.face for sticker in patch.stickers] == covered
    (model,) = [model for model in proof.layouts.cards if model.number == card]
    old, new = (lay_out_card(model, each, proof.layouts).document for each in (proof.past[-1], proof.library))
    for before, now in zip(old.pages, new.pages, strict=True):
        stuck = [sticker for sticker in patch.stickers if sticker.face == before.name]
        left = [text for text in list_texts(before) if not is_covered(text, stuck)]
        added = [text for sticker in stuck for text in texts_in(sticker.items)]
        assert words([*left, *added]) == words(list_texts(now))


def test_a_page_holds_sets_of_stickers_at_their_size(tmp_path: Path) -> None:
    corrected = correct(tmp_path, (TEXTS, "Feet first", "Feet before all"))
    (sheet,) = build_stickers(corrected.proof, corrected.bulletin, "letter")
    assert sheet.name == "press/stickers-letter.pdf"
    (page,) = read_pdf(sheet.data).pages
    said = [text.content for text in page.texts]
    sets = said.count("Card 2 Look, marked 2027")
    assert sets > 1
    sizes = {text.size_pt for text in page.texts if text.content.startswith("Feet before all")}
    (card,) = [card for card in corrected.proof.cards if card.name == "sight"]
    assert list(sizes) == [pytest.approx(card.sizes[0].body_pt, abs=0.01)]
    assert said.count("Larkmoor Test Umpires (invented), edition 2027.1") == sets + 1, (
        "the sheet has a footer"
    )


@pytest.mark.parametrize(
    ("edit", "number", "why"),
    [
        pytest.param((TEXTS, LINE, '      - "Look again."\n' * 9 + LINE), "2", LARGER, id="more lines"),
        pytest.param(
            (
                TABLE,
                'over-line: "yes", pitch-started: "no", told: "yes"}\n    ruling: refusal',
                'over-line: "yes", pitch-started: "no", told: "yes"}\n    ruling: tell',
            ),
            "1",
            MANY,
            id="a question fewer",
        ),
    ],
)
def test_a_card_that_cannot_be_stuck_over_is_to_be_replaced(
    tmp_path: Path, edit: tuple[str, str, str], number: str, why: str
) -> None:
    edits = [edit]
    if why == MANY:
        text = (Path(__file__).parents[1] / "fixtures" / TABLE).read_text(encoding="utf-8")
        edits.append((TABLE, text[text.index("  refusal:\n") :], ""))
    corrected = correct(tmp_path, *edits)
    assert [patch.why_not for patch in corrected.find(number).patches] == [why]
    assert list(build_stickers(corrected.proof, corrected.bulletin, "letter")) == []
