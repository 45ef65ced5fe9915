"""Pictures, choices, blanks and panels on a web page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from html_reading import Node, read_html
from output_samples import BALL, line

from pocketref.pages.words import Blank, Choices, FigureWords, Heading, Listing, Panel, TableWords, Word
from pocketref.problems import PocketrefError
from pocketref.scene.items import Placed
from pocketref.web.html import write_html
from pocketref.web.html_content import WebContent, WebPage, WebPart, WebSection, WebWords

ATTACK = "\"'><script>intruded=1</script><img src=x onerror=intruded=1>&lt;"
SAFE = ATTACK.replace("'", "\u2019")
ITEMS = (Placed(BALL, 5, 5), line(5, 30, "to pitcher"))
PICTURE = WebWords((FigureWords("A ball on the ground.", "From above."),), (ITEMS,))


def read_part(*contents: WebContent) -> Node:
    section = WebSection("plays", "Plays", (WebPart("one", "One", contents),), is_close=True)
    return read_html(write_html(WebPage("A sheet", "A sheet", (section,)))).one("article")


def test_a_picture_has_its_words_and_is_told_to_all_only_if_asked() -> None:
    told = read_part(PICTURE).one("figure")
    hidden = read_part(replace(PICTURE, is_told=False)).one("figure")
    for figure in (told, hidden):
        assert figure.name_of(figure.one("svg", role="img")) == "A ball on the ground."
        assert "to pitcher" in [text.text for text in figure.all("text")]
    assert told.one("figcaption").text == "From above. A ball on the ground."
    assert hidden.one("figcaption").text == "From above."


def test_a_picture_s_width_is_bounded_by_its_smallest_type() -> None:
    section = WebSection("plays", "Plays", (WebPart("one", "One", (PICTURE,)),))
    text = write_html(WebPage("A sheet", "A sheet", (section,)))
    assert "#one-figure-1 svg{width:clamp(" in text


def test_a_character_that_a_picture_cannot_set_is_a_problem() -> None:
    with pytest.raises(PocketrefError) as caught:
        read_part(WebWords((FigureWords("A word."),), ((line(5, 30, "打"),),)))
    assert [problem.code for problem in caught.value.problems] == ["glyph-missing"]


def test_choices_are_lettered_and_exclude_one_another() -> None:
    part = read_part(WebWords((Choices("Ruling on play 1", ("*Out.* Ball dead.", "*Play on.*")),)))
    buttons = part.one("fieldset").one("ol", type="A").all("input", type="radio")
    assert [(button["name"], button["value"]) for button in buttons] == [
        ("one-answer-1", "A"),
        ("one-answer-1", "B"),
    ]
    assert [label.text for label in part.all("label")] == ["A. Out. Ball dead.", "B. Play on."]
    assert part.one("legend").text == "Ruling on play 1"
    assert [mark.text for mark in part.all("strong", "b")] == ["A.", "Out.", "B.", "Play on."]


def test_blanks_stand_under_their_labels_and_keep_nothing() -> None:
    labels = read_part(WebWords((Blank("Name"), Blank("Date")))).all("label")
    assert [label.text for label in labels] == ["Name", "Date"]
    assert all(label.one("input")["autocomplete"] == "off" for label in labels)
    assert not [label for label in labels if "name" in label.one("input").attributes]


def test_steps_are_numbered_under_their_heading() -> None:
    part = read_part(WebWords((Heading("Steps"), Listing(("One.", "*Two.*"), is_numbered=True))))
    assert part.one("h4").text == "Steps"
    assert [entry.text for entry in part.one("ol").all("li")] == ["One.", "Two."]


def test_a_panel_frames_its_heading_and_entries() -> None:
    panel = read_part(WebWords((Panel("WARNING: Heat", ("Drink.", "Rest.")),))).one("div", class_="panel")
    assert panel.text == "WARNING: Heat Drink. Rest."


def test_a_narrow_table_stays_a_table_on_a_phone() -> None:
    for is_narrow in (True, False):
        table = read_part(
            WebWords((TableWords("letters", ("Play", "Answer"), (("1", "A"),), "Letters", is_narrow),))
        ).one("table")
        assert ("class" in table.attributes) is not is_narrow


@pytest.mark.parametrize(
    "word",
    [
        FigureWords(ATTACK, ATTACK),
        Choices(ATTACK, (ATTACK,)),
        Blank(ATTACK),
        Panel(ATTACK, (ATTACK,)),
        Heading(ATTACK),
    ],
    ids=lambda word: type(word).__name__,
)
def test_markup_is_text_wherever_it_stands(word: Word) -> None:
    part = read_part(WebWords((word,), (ITEMS,)))
    assert part.all("script", "img") == []
    assert SAFE in part.text
