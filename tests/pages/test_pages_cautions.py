"""The starter set's cautions: signal words by what can happen, short entries, the deferral last."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pocketref.layouts.cards import lay_out_card
from pocketref.layouts.layout_library import read_layouts
from pocketref.pages.page import Element
from pocketref.problems import ProblemLog
from pocketref.scene.items import FontFace, Text
from pocketref.scene.typefaces import typeface
from pocketref.source.edition_models import WorksModel
from pocketref.source.library import read_library
from pocketref.source.syntax.folder import FolderReader
from pocketref.source.text_models import CautionModel

# From the last thunder or flash to play: NFHS lightning guidelines 2010 and 2014; NATA position, 2013.
WAIT_MINUTES = 30

ROOT = Path(__file__).parents[2]
NAMES = sorted(path.stem for path in (ROOT / "content/cautions").glob("*.yaml"))

# After the meanings of ANSI Z535: death or serious injury could follow; minor or moderate injury; none.
SIGNAL_WORDS = {
    "heat": "warning",
    "lightning": "warning",
    "marking": "warning",
    "head-impact": "warning",
    "gear": "warning",
    "sun": "caution",
    "lifting-dust": "caution",
    "print-scale": "notice",
}


def read_caution(name: str) -> CautionModel:
    problems = ProblemLog()
    model = FolderReader(ROOT / "content", problems).read(f"cautions/{name}.yaml", CautionModel)
    problems.raise_errors()
    assert model is not None
    return model


def words_of(name: str) -> str:
    caution = read_caution(name)
    return " ".join((caution.title, *caution.lead, *caution.entries)).replace("*", "")


@pytest.mark.parametrize("name", sorted(SIGNAL_WORDS))
def test_the_signal_word_is_the_worst_that_can_happen(name: str) -> None:
    assert read_caution(name).signal_word == SIGNAL_WORDS[name]


@pytest.mark.parametrize("name", NAMES)
def test_danger_is_reserved(name: str) -> None:
    assert read_caution(name).signal_word != "danger"


@pytest.mark.parametrize("name", NAMES)
def test_every_caution_ends_by_leaving_the_decision_where_it_belongs(name: str) -> None:
    last = read_caution(name).entries[-1]
    assert re.search("local rules.*governing body.*licensed practice.*decide", last, re.IGNORECASE)


@pytest.mark.parametrize("name", NAMES)
def test_entries_are_short_enough_to_read_at_once(name: str) -> None:
    entries = read_caution(name).entries
    assert len(entries) >= 3
    assert [entry for entry in entries if len(entry) > 90] == []


@pytest.mark.parametrize("name", NAMES)
def test_bold_is_closed_and_every_character_can_be_printed(name: str) -> None:
    caution = read_caution(name)
    assert all(entry.count("*") % 2 == 0 for entry in caution.entries)
    for face in (FontFace.REGULAR, FontFace.BOLD):
        assert typeface(face).missing(words_of(name)) == ()


@pytest.mark.parametrize("name", NAMES)
def test_printed_words_name_no_association(name: str) -> None:
    acronyms = set(re.findall(r"\b[A-Z]{2,}\b", words_of(name)))
    assert acronyms <= {"AED", "CPR", "HS", "WBGT"}


def test_heat_gives_no_threshold_of_its_own() -> None:
    assert "WBGT" in words_of("heat")
    assert not re.search(r"\d", words_of("heat"))


@pytest.mark.parametrize("name", NAMES)
def test_no_caution_prints_a_temperature(name: str) -> None:
    words = words_of(name)
    assert not re.search(r"\d+(\.\d+)?\s*(°|[FC]\b|deg)", words)
    assert "WBGT" not in words or not re.search(r"\d", words)


def test_heat_stroke_is_cooled_first_and_moved_second() -> None:
    words = words_of("heat")
    assert (
        words.index("Call emergency services") < words.index("Cool first") < words.index("transport second")
    )


def test_lightning_stops_play_at_any_thunder_or_any_bolt_and_a_dugout_is_no_shelter() -> None:
    words = words_of("lightning")
    assert "Any thunder heard, any bolt seen: stop" in words
    assert words.index("Not safe") < words.index("dugouts")


def test_the_clock_on_the_card_is_the_clock_as_computed() -> None:
    times = re.findall(r"\b(\d{1,2}):(\d\d)\b", words_of("lightning"))
    last, back, again, restarted = (60 * int(hour) + int(minute) for hour, minute in times)
    assert back - last == restarted - again == WAIT_MINUTES
    assert last < again < back


def test_a_head_impact_ends_the_day_for_players_and_umpires_without_a_diagnosis() -> None:
    words = words_of("head-impact")
    for expected in ("No return that day", "licensed health care", "Umpires too", "do not diagnose"):
        assert expected in words


def test_plate_gear_is_recommended_and_a_players_gear_cites_its_section() -> None:
    caution = read_caution("gear")
    assert "Plate umpire, recommended" in words_of("gear")
    printed = set(re.findall(r"HS (\S+?)\)", words_of("gear")))
    assert printed == {cite.section for cite in caution.source if cite.work == "hs-book"}


@pytest.mark.parametrize("name", NAMES)
def test_every_source_is_listed(name: str) -> None:
    problems = ProblemLog()
    works = FolderReader(ROOT / "content", problems).read("works.yaml", WorksModel)
    problems.raise_errors()
    assert works is not None
    for cite in read_caution(name).source:
        assert cite.is_house or cite.section in works.works[cite.work].sections


@pytest.mark.parametrize("card", ["cautions-weather", "cautions-safety"])
def test_both_caution_cards_fit_an_index_card(card: str) -> None:
    library = read_library(ROOT / "content")
    layouts = read_layouts(ROOT / "layouts", library)
    model = next(c for c in layouts.cards if c.card == card)
    laid_out = lay_out_card(model, library, layouts)
    assert [page.name for page in laid_out.document.pages] == ["front", "back"]
    assert all(sizes.small_pt >= laid_out.floor_pt for sizes in laid_out.sizes)


def test_cards_eight_and_nine_print_every_caution_for_people_in_full() -> None:
    library = read_library(ROOT / "content")
    layouts = read_layouts(ROOT / "layouts", library)
    cards = [c for c in layouts.cards if c.number in ("8", "9")]
    printed = " ".join(
        text
        for card in cards
        for page in lay_out_card(card, library, layouts).document.pages
        for element in page.elements
        for text in read_texts(element)
    )
    for name in set(SIGNAL_WORDS) - {"print-scale"}:
        for entry in (*read_caution(name).lead, *read_caution(name).entries):
            assert squash(entry.replace("*", "")) in squash(printed)


def read_texts(element: Element) -> list[str]:
    own = [item.content for item in element.items if isinstance(item, Text)]
    return own + [text for child in element.children for text in read_texts(child)]


def squash(words: str) -> str:
    return "".join(words.replace("'", "\u2019").split())
