"""Training sheets and keys as web pages to mail out: whole, safe, and of one mind with the decision tables."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import pairwise

import pytest
from demo_plays import demo
from html_reading import Node, read_html
from play_samples import SHEET
from source_folders import SourceFolders

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import prove
from pocketref.layouts.play_sheets import PlaySheet
from pocketref.publish.build import build_edition
from pocketref.web.html_content import WebLinks
from pocketref.web.plays_web import build_play_pages, name_play_files, write_plays_section

ATTACK = '<b onclick="x">Well</b> & set'
PLAYS = f"""\
plays: stance
subject: stance
cases:
  well-set:
    title: '{ATTACK}'
    situation: {{runners: [first], outs: 0, count: 0-0}}
    story: 'The batter sets {ATTACK}.'
    feet:
      - {{foot: left, corner: front-inner, right: -14 in, ahead: -20 in, heading: 10}}
    expect: {{high-school: legal}}
    caution: marking
"""
LABELS = ("Ruling:", "Section:", "Way:", "Do:", "Other codes:")


@cache
def pages() -> Mapping[str, Node]:
    return {file.name: read_html(file.data.decode()) for file in build_play_pages(demo())}


def pairs() -> list[tuple[PlaySheet, Node, Node]]:
    """Each sheet with its page of questions and its key."""
    return [
        (sheet, pages()[f"plays/{sheet.name}.html"], pages()[f"plays/{sheet.name}-key.html"])
        for sheet in demo().sheets
    ]


@pytest.fixture
def made(folders: SourceFolders) -> Mapping[str, BuiltFile]:
    """An edition with one sheet, whose words hold markup."""
    folders.add("content/plays/stance.yaml", PLAYS)
    folders.add(
        "layouts/plays/night.yaml", SHEET.replace("Training night", f"'Training {ATTACK}'") + "fill: yes\n"
    )
    return {file.name: file for file in build_edition(prove(folders.content, folders.layouts))}


def plain(words: str) -> str:
    """Words as the page writes them: without marks for bold, apostrophes curved."""
    return words.replace("*", "").replace("'", "’")


# --- the questions ----------------------------------------------------------------------------------------


def test_every_play_is_asked_with_its_story_and_its_choices_in_order() -> None:
    for sheet, asked, _ in pairs():
        parts = asked.one("section", id="plays").all("article")
        assert len(parts) == len(sheet.questions)
        for number, (question, part) in enumerate(zip(sheet.questions, parts, strict=True), start=1):
            assert plain(question.ruled.case.model.story) in part.text
            choices = part.one("ol", type="A").all("li")
            assert part.one("legend").text == f"Ruling on play {number}"
            assert len(choices) == len(question.choices)
            for letter, choice, shown in zip("ABCD", question.choices, choices, strict=False):
                assert shown.text.startswith(f"{letter}. {plain(choice.ruling.headline).rstrip('.')}.")
                button = shown.one("label").one("input", type="radio")
                assert (button["name"], button["value"]) == (f"play-{number}-answer-1", letter)


def test_the_questions_tell_no_answer() -> None:
    for sheet, asked, _ in pairs():
        for words in ("Answer", "worse foot", "Section:", "Other codes", "Why not"):
            assert words not in asked.text
        for question in sheet.questions:
            cites = question.ruled.answer.cites
            assert not [cite for cite in cites if cite in asked.text]
        assert not [node for node in asked.walk() if "checked" in node.attributes]


def test_the_questions_have_room_for_a_name_a_date_and_the_score() -> None:
    for sheet, asked, _ in pairs():
        labels = asked.one("div", class_="blanks").all("label")
        assert [label.text for label in labels] == ["Name", "Date", f"Right, of {len(sheet.questions)}"]
        assert all(label.one("input", type="text") for label in labels)


def test_pictures_come_with_words_and_a_legend_but_no_scale() -> None:
    for sheet, asked, key in pairs():
        drawn = [q for q in sheet.questions if not q.ruled.scene.is_empty]
        for page in (asked, key):
            figures = page.all("figure")
            assert len(figures) == len(drawn)
            for figure in figures:
                assert len(figure.name_of(figure.one("svg", role="img"))) > 30
                assert figure.one("figcaption").text.startswith("From above")
                assert "1:" not in figure.one("figcaption").text
        assert ("Dark sole:" in asked.text) is any(q.ruled.scene.feet for q in sheet.questions)
        assert ("Ring:" in asked.text) is any(q.ruled.scene.meets for q in sheet.questions)


# --- the key ----------------------------------------------------------------------------------------------


def test_the_key_gives_ruling_section_way_mechanics_and_other_codes_of_every_play() -> None:
    for sheet, _, key in pairs():
        parts = key.one("section", id="plays").all("article")
        for question, part in zip(sheet.questions, parts, strict=True):
            answer = question.ruled.answer
            lines = {line.all("b")[0].text: line.text for line in part.all("p") if line.all("b")}
            assert set(LABELS) <= set(lines)
            assert plain(answer.ruling.headline).rstrip(".") in lines["Ruling:"]
            assert all(cite in lines["Section:"] for cite in answer.cites)
            assert all(plain(ask) in lines["Way:"] for _, ask, _ in answer.asked)
            assert all(plain(said) in lines["Do:"] for said in answer.ruling.say)


def test_the_key_says_why_each_other_choice_is_wrong() -> None:
    for sheet, _, key in pairs():
        parts = key.one("section", id="plays").all("article")
        for question, part in zip(sheet.questions, parts, strict=True):
            wrong = [(letter, c) for letter, c in zip("ABCD", question.choices, strict=False) if c.reason]
            shown = [entry.text for entry in part.all("li")]
            assert len(shown) == len(wrong)
            for (letter, choice), words in zip(wrong, shown, strict=True):
                assert words.startswith(f"{letter} ")
                assert plain(choice.reason) in words


def test_the_letter_in_the_key_is_that_of_the_ruling_among_the_choices() -> None:
    for sheet, asked, key in pairs():
        rows = key.one("article", id="answers").one("tbody").all("tr")
        assert len(rows) == len(sheet.questions)
        for number, row in enumerate(rows, start=1):
            letter, ruling = (cell.text for cell in row.all("td"))
            choice = asked.one("article", id=f"play-{number}").all("li")["ABCD".index(letter)]
            assert choice.text.startswith(f"{letter}. {ruling.rstrip('.')}.")
            assert f"Answer {letter}" in key.one("article", id=f"play-{number}").one("h3").text


def test_the_key_ends_with_how_to_enforce_and_the_cautions_of_its_plays() -> None:
    library = demo().books.library
    for sheet, _, key in pairs():
        part = key.one("article", id="enforce")
        for entry in library.texts["mechanics/enforcement/sequence"].entries:
            assert plain(entry) in part.one("ol").text.replace("\u00a0", " ")
        for name in {q.ruled.case.model.caution for q in sheet.questions} - {None}:
            caution = library.cautions[name]
            panels = [panel.text for panel in part.all("div", class_="panel")]
            assert any(p.startswith(f"{caution.signal_word.upper()}: {caution.title}") for p in panels)


# --- a file to mail out -----------------------------------------------------------------------------------


def test_a_page_needs_no_other_file_and_allows_none() -> None:
    for name, page in pages().items():
        for node in page.walk():
            assert "src" not in node.attributes, name
            for link in {"href", "xlink:href"} & set(node.attributes):
                assert node[link].startswith(("#", "data:")), name
        policy = page.one("meta", http_equiv="Content-Security-Policy")["content"]
        assert policy.startswith("default-src 'none'; style-src 'sha256-")
        assert "unsafe" not in policy
        assert not [node for node in page.walk() if "style" in node.attributes]


def test_a_page_has_landmarks_one_title_and_headings_in_steps() -> None:
    for name, page in pages().items():
        assert page.one("html")["lang"] == "en-US"
        assert all(page.all(landmark) for landmark in ("header", "nav", "main", "footer"))
        assert page.one("h1").text in page.one("title").text
        levels = [int(node.name[1]) for node in page.all("h1", "h2", "h3", "h4")]
        assert levels[0] == 1
        assert all(after - before <= 1 for before, after in pairwise(levels)), name
        ids = [node["id"] for node in page.walk() if "id" in node.attributes]
        assert len(ids) == len(set(ids))
        assert all(node["href"][1:] in ids for node in page.all("a"))


def test_a_page_says_whose_it_is_by_which_code_and_what_governs() -> None:
    for _, asked, key in pairs():
        for page in (asked, key):
            assert "Larkmoor State Umpires Association" in page.one("header").text
            assert "high school code, season 2027" in page.one("header").text
            assert "invented" in page.one("header").text
            assert "The rule book and the league govern." in page.one("footer").text
        assert "computed from the decision tables" in key.one("footer").text


def test_markup_in_a_play_is_text_on_its_pages(made: Mapping[str, BuiltFile]) -> None:
    for name in ("plays/night.html", "plays/night-key.html", "index.html"):
        page = read_html(made[name].data.decode())
        assert page.all("b", onclick="x") == []
        assert ATTACK in page.text


def test_a_computed_play_says_so_and_tells_its_facts(made: Mapping[str, BuiltFile]) -> None:
    page = read_html(made["plays/night.html"].data.decode())
    computed = [part for part in page.all("article") if "(computed)" in part.one("h3").text]
    assert len(computed) == 3
    for part in computed:
        assert "Bases empty, nobody out, count 0–0." in part.text
        assert "?" in part.text


def test_the_same_source_gives_the_same_pages() -> None:
    assert [file.data for file in build_play_pages(demo())] == [
        file.data for file in build_play_pages(demo())
    ]


# --- on the edition's page --------------------------------------------------------------------------------


def test_the_edition_s_page_links_to_every_sheet_and_key(made: Mapping[str, BuiltFile]) -> None:
    part = read_html(made["index.html"].data.decode()).one("section", id="plays").one("article")
    assert [(link["href"], link.text) for link in part.all("a") if not link["href"].startswith("#")] == [
        ("plays/night.html", "Questions, web page"),
        ("plays/night-key.html", "Instructor’s key, web page"),
        ("plays/night.pdf", "Questions to print"),
        ("plays/night-answers.pdf", "Answer sheet to print or fill in"),
        ("plays/night-key.pdf", "Instructor’s key to print"),
    ]
    assert "4 plays." in part.text


def test_a_series_is_one_part_that_tells_its_sheets_apart() -> None:
    files = [BuiltFile(name, b"x") for name in name_play_files(demo())]
    section = write_plays_section(demo(), files)
    assert [part.name for part in section.parts] == [
        "plays-after-the-pitch",
        "plays-batter-and-catcher",
        "plays-double-base",
        "plays-feet",
        "plays-mixed",
        "plays-weekly",
    ]
    lists = [content for content in section.parts[-1].contents if isinstance(content, WebLinks)]
    words = [link.words for content in lists for link in content.links]
    assert len(words) == len(set(words)) == 40
    assert words[:2] == ["Sheet 1: Questions, web page", "Sheet 1: Instructor’s key, web page"]


def test_only_files_that_are_there_are_linked_to() -> None:
    section = write_plays_section(demo(), [BuiltFile("plays/feet.pdf", b"x")])
    links = [
        link.href
        for part in section.parts
        for c in part.contents
        if isinstance(c, WebLinks)
        for link in c.links
    ]
    assert links == ["plays/feet.pdf"]
