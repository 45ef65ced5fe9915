"""The feed lists an association's editions, newest first."""

from __future__ import annotations

from datetime import date
from xml.etree import ElementTree as ET

import pytest

from pocketref.edition.proof import Proof
from pocketref.source.edition_models import EditionModel
from pocketref.web.feed import ATOM, write_feed


@pytest.fixture
def editions(proven: Proof) -> list[EditionModel]:
    newest = proven.library.edition
    valid = newest.valid.model_copy(update={"from_": date(2026, 2, 1), "through": date(2026, 12, 31)})
    return [newest.model_copy(update={"edition": "2026", "season": "2026", "valid": valid}), newest]


def test_editions_come_newest_first_each_with_a_link_to_its_page(editions: list[EditionModel]) -> None:
    feed = ET.fromstring(write_feed(editions, "https://umpires.example/editions"))
    links = [entry.find(f"{{{ATOM}}}link") for entry in feed.iter(f"{{{ATOM}}}entry")]
    assert [link.get("href") for link in links if link is not None] == [
        "https://umpires.example/editions/2027/index.html",
        "https://umpires.example/editions/2026/index.html",
    ]


def test_a_name_with_markup_characters_stays_text(editions: list[EditionModel]) -> None:
    odd = editions[1].model_copy(update={"association": "Foul & Fair <Umpires>"})
    feed = ET.fromstring(write_feed([odd], "https://umpires.example/"))
    assert feed.findtext(f"{{{ATOM}}}title") == "Foul & Fair <Umpires>: editions"


def test_the_same_editions_give_the_same_bytes_in_any_order(editions: list[EditionModel]) -> None:
    address = "https://umpires.example"
    assert write_feed(editions, address) == write_feed(editions[::-1], f"{address}/")
