from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from itertools import pairwise

import pytest
from html_reading import Node, read_html
from output_samples import line

from pocketref.pages.words import (
    Blank,
    ChartWords,
    FigureWords,
    Heading,
    Listing,
    Panel,
    Paragraph,
    TableWords,
    Word,
)
from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowJump, FlowQuestion
from pocketref.scene.items import Item
from pocketref.web.html import write_html
from pocketref.web.html_content import WebLink, WebLinks, WebPage, WebPart, WebSection, WebWords

ATTACK = "\"'><script>intruded=1</script><img src=x onerror=intruded=1>&lt;"
CHART = ChartWords(
    "contact",
    {
        "0": FlowQuestion("0", "Bat met ball?", (FlowExit("yes", "1"), FlowExit("no", "3"))),
        "1": FlowQuestion("1", "Foot out?", (FlowExit("yes", "2"), FlowExit("no", "3"))),
        "2": FlowEnding("2", "Batter out", (("ball-dead", "dead"), ("runners-back", "back"))),
        "3": FlowQuestion("3", "Catcher in the way?", (FlowExit("yes", "4"), FlowExit("no", "5"))),
        "4": FlowEnding("4", "Ask the league", (("league", "check your league"),)),
        "5": FlowEnding("5", "Play on", (("ball-live", "live"),)),
    },
    "0",
)


def make_page(*contents: object, **changes: object) -> WebPage:
    part = WebPart("one", "One", contents, "1", "HS 2027")  # type: ignore[arg-type]
    made = WebPage("Edition 2027", "Larkmoor", (WebSection("cards", "Cards", (part,)),), ("Lead",), ("Foot",))
    return replace(made, **changes)  # type: ignore[arg-type]


def read_part(*contents: object) -> Node:
    return read_html(write_html(make_page(*contents))).one("article")


def read_words(*words: Word, drawings: tuple[tuple[Item, ...], ...] = ()) -> Node:
    return read_part(WebWords(words, drawings))


def full_page() -> WebPage:
    words = (
        Heading("What to call"),
        Paragraph("A *bold* word"),
        Listing(("first", "second"), is_numbered=True),
        TableWords("calls", ("Play", "Ruling"), (("Any", "*Out*\nball dead"), ("None", Blank("As read")))),
        Panel("WARNING: Heat", ("Rest.",)),
        Blank("Taped by"),
        FigureWords("A plan of the box", "Plan"),
        CHART,
    )
    drawing = (line(5, 40, "4 ft"),)
    links = WebLinks((WebLink("cards/one.pdf", "To print", "(2 pages)"),))
    return make_page(WebWords(words, (drawing, drawing), "front"), links)


# --- the page ---------------------------------------------------------------------------------------------


def test_the_same_page_gives_the_same_bytes() -> None:
    assert write_html(full_page()) == write_html(full_page())


def test_a_page_says_its_language_and_title_and_has_its_landmarks_once() -> None:
    root = read_html(write_html(full_page()))
    assert root.one("html")["lang"] == "en-US"
    assert root.one("title").text == "Edition 2027"
    for name in ("header", "nav", "main", "footer", "h1"):
        assert len(root.all(name)) == 1, name
    assert root.one("div", role="search").attributes["hidden"] == ""


def test_the_first_link_skips_to_the_content() -> None:
    root = read_html(write_html(full_page()))
    assert root.all("a")[0]["href"] == f"#{root.one('main')['id']}"


def test_ids_are_unique_and_what_refers_to_one_finds_it() -> None:
    root = read_html(write_html(full_page()))
    ids = [node["id"] for node in root.walk() if "id" in node.attributes]
    assert len(ids) == len(set(ids))
    named = [node["aria-labelledby"] for node in root.walk() if "aria-labelledby" in node.attributes]
    named += [node["xlink:href"][1:] for node in root.all("use")]
    named += [node["href"][1:] for node in root.all("a") if node["href"].startswith("#")]
    named += [node["for"] for node in root.all("label") if not node.all("input")]
    assert set(named) <= set(ids)


def test_headings_go_down_one_step_at_a_time() -> None:
    levels = [int(node.name[1]) for node in read_html(write_html(full_page())).all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert set(levels) == {1, 2, 3, 4}


def test_nothing_is_loaded_from_anywhere() -> None:
    text = write_html(full_page())
    root = read_html(text)
    loads = [
        node[name]
        for node in root.walk()
        for name in ("src", "href", "xlink:href", "data", "srcset")
        if name in node.attributes
    ]
    assert [target for target in loads if not target.startswith(("#", "data:image/"))] == [
        "data:,",
        "cards/one.pdf",
    ]
    assert [found for found in re.findall(r"url\(([^)]{9})", text) if found != "data:font"] == []
    assert "@import" not in text


def test_the_policy_allows_the_pages_own_style_and_script_and_no_other() -> None:
    root = read_html(write_html(full_page()))
    policy = root.one("meta", http_equiv="Content-Security-Policy")["content"]
    for name in ("style", "script"):
        data = "".join(root.one(name).texts()).encode()
        digest = base64.b64encode(hashlib.sha256(data).digest()).decode()
        assert f"{name}-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert [node.name for node in root.walk() if "style" in node.attributes] == []
    assert [key for node in root.walk() for key in node.attributes if key.startswith("on")] == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda made: replace(made, title=ATTACK),
        lambda made: replace(made, heading=ATTACK),
        lambda made: replace(made, lead=(ATTACK,)),
        lambda made: replace(made, foot=(ATTACK,)),
        lambda made: replace(made, language=ATTACK),
        lambda made: replace(made, sections=(replace(made.sections[0], title=ATTACK, intro=ATTACK),)),
        lambda made: with_part(made, title=ATTACK, number=ATTACK, tag=ATTACK),
        *(
            lambda made, word=word: with_part(
                made, contents=(WebWords((word,), ((line(5, 40, ATTACK),),), ATTACK),)
            )
            for word in (
                Heading(ATTACK),
                Paragraph(f"{ATTACK} *{ATTACK}*"),
                Listing((ATTACK,)),
                TableWords(ATTACK, (ATTACK, ATTACK), ((ATTACK, Blank(ATTACK)),), ATTACK),
                Panel(ATTACK, (ATTACK,)),
                Blank(ATTACK),
                FigureWords(ATTACK, ATTACK),
            )
        ),
        lambda made: with_part(made, contents=(WebWords((hostile_chart(),), ((line(5, 40, ATTACK),),)),)),
        lambda made: with_part(made, contents=(WebLinks((WebLink(ATTACK, ATTACK, ATTACK),)),)),
    ],
)
def test_script_in_any_text_stays_text(spoil: Callable[[WebPage], WebPage]) -> None:
    root = read_html(write_html(spoil(full_page())))
    assert len(root.all("script")) == 1
    assert root.all("img") == []
    everything = [*root.texts(), *(value for node in root.walk() for value in node.attributes.values())]
    assert any("<script>intruded=1</script>" in text for text in everything)
    assert [key for node in root.walk() for key in node.attributes if key.startswith("on")] == []


def with_part(made: WebPage, **changes: object) -> WebPage:
    section = made.sections[0]
    return replace(made, sections=(replace(section, parts=(replace(section.parts[0], **changes),)),))  # type: ignore[arg-type]


def hostile_chart() -> ChartWords:
    ends = {key: FlowEnding(key, ATTACK, ((ATTACK, ATTACK),)) for key in "12"}
    question = FlowQuestion("0", ATTACK, (FlowExit(ATTACK, "1"), FlowExit(ATTACK, "2")))
    return ChartWords(ATTACK, {"0": question, **ends}, "0")


def test_an_id_that_could_leave_its_place_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be an id"):
        WebPart("a{}", "A", ())
    with pytest.raises(ValueError, match="cannot be an id"):
        WebSection("1st", "A", ())


def test_contents_tell_parts_of_one_title_apart_by_their_tags() -> None:
    parts = (
        WebPart("a", "Stance", (), tag="HS"),
        WebPart("b", "Stance", (), tag="PRO"),
        WebPart("c", "Contact", (), tag="HS"),
    )
    root = read_html(write_html(make_page(sections=(WebSection("rulings", "Rulings", parts),))))
    assert [a.text for a in root.one("nav").all("a")] == ["Stance, HS", "Stance, PRO", "Contact"]


# --- words ------------------------------------------------------------------------------------------------


def test_bold_words_are_marked_and_lines_stand_on_their_own() -> None:
    part = read_words(Paragraph("A foot *on the line* is in"), Paragraph("Edition 2027\nValid through 2027"))
    assert part.one("b").text == "on the line"
    assert [span.text for span in part.one("p", class_="lines").all("span")] == [
        "Edition 2027",
        "Valid through 2027",
    ]


def test_steps_count_by_themselves_and_lists_do_not() -> None:
    part = read_words(Listing(("look", "call"), is_numbered=True), Listing(("1 runner", "2 runners")))
    assert [node.text for node in part.one("ol").all("li")] == ["look", "call"]
    assert [node.text for node in part.one("ul").all("li")] == ["1 runner", "2 runners"]


def test_a_table_has_a_caption_and_headers_with_their_scope() -> None:
    rows = (("Diagonal", "7 ft", ""), ("Side", "6 ft", ""))
    part = read_words(TableWords("table of pulls", ("What", "Target", ""), rows))
    assert part.one("caption", class_="unseen").text == "Table of pulls"
    assert [(th.text, th["scope"]) for th in part.all("th")] == [
        ("What", "col"),
        ("Target", "col"),
        ("Diagonal", "row"),
        ("Side", "row"),
    ]
    assert [len(tr.all("th", "td")) for tr in part.all("tr")] == [3, 3, 3]


def test_a_table_under_a_heading_has_it_as_its_caption() -> None:
    caption = read_words(TableWords("flash", ("s", "km"), (("5", "1.7"),), "Flash to thunder")).one("caption")
    assert caption.text == "Flash to thunder"
    assert "class" not in caption.attributes


def test_a_blank_in_a_table_can_be_typed_in_and_says_what_belongs_there() -> None:
    part = read_words(TableWords("pulls", ("What", "reading"), (("Side", Blank("A-P1: target 6 ft")),)))
    assert part.one("td").one("input")["aria-label"] == "A-P1: target 6 ft"


def test_a_figure_is_drawn_with_its_text_and_told_in_words() -> None:
    part = read_words(FigureWords("A plan of the box", "Plan"), drawings=((line(5, 40, "4 ft"),),))
    svg = part.one("figure").one("svg")
    assert svg["role"] == "img"
    assert part.name_of(svg) == "A plan of the box"
    assert svg.one("text").text == "4 ft"
    assert part.one("figcaption").text == "Plan A plan of the box"


def test_each_figure_takes_its_own_drawing() -> None:
    drawings = ((line(5, 40, "one"),), (line(5, 40, "two"),))
    part = read_words(FigureWords("First"), Paragraph("between"), FigureWords("Second"), drawings=drawings)
    assert [figure.one("text").text for figure in part.all("figure")] == ["one", "two"]
    names = [part.name_of(svg) for svg in part.all("svg")]
    assert names == ["First", "Second"]


def test_a_panel_has_its_heading_in_reverse() -> None:
    panel = read_words(Panel("WARNING: Chalk", ("Keep off.",))).one("div", class_="panel")
    assert panel.text == "WARNING: Chalk Keep off."


# --- charts -----------------------------------------------------------------------------------------------


def chart_part() -> Node:
    drawing = (line(5, 40, "Bat met ball?"),)
    return read_words(CHART, CHART, drawings=(drawing, drawing))


def test_a_chart_is_a_ladder_whose_rungs_say_where_each_answer_leads() -> None:
    ladder = chart_part().all("ol", class_="ladder")[0]
    assert ladder.text == (
        "1. Bat met ball? Yes: 2. Foot out? Yes: Batter out (ball dead, runners back) "
        "No: go on 3. Catcher in the way? Yes: Ask the league (check your league) No: Play on (ball live) "
        "No: go to question 3"
    )
    rungs = [asked.text[0] for asked in ladder.all("p", class_="ask")]
    depths = [sum(outer.name == "ol" for outer in asked.outer()) for asked in ladder.all("p", class_="ask")]
    assert (rungs, depths) == (["1", "2", "3"], [1, 2, 2])


def test_a_question_reached_twice_is_linked_to() -> None:
    part = chart_part()
    link = next(a for a in part.all("a") if a.text == "go to question 3")
    assert part.one(id=link["href"][1:]).text == "3. Catcher in the way?"


def test_a_chart_cut_in_two_is_listed_once() -> None:
    assert [node["class"] for node in chart_part().all("ol")] == ["ladder", "ladder"]


def test_a_part_that_shows_the_chart_or_drawing_of_another_links_there() -> None:
    drawing = (line(5, 40, "Bat met ball?"),)
    words = WebWords((CHART, FigureWords("A plan of the field")), (drawing, drawing))
    parts = (WebPart("one", "First", (words,)), WebPart("two", "Second", (words,)))
    root = read_html(write_html(make_page(sections=(WebSection("cards", "Cards", parts),))))
    assert root.one("article", id="two").all("ol", "svg") == []
    assert [a["href"] for a in root.one("article", id="two").all("a")] == ["#one", "#one", "#contents"]


def test_a_chart_in_words_refuses_what_only_a_drawing_has() -> None:
    with pytest.raises(TypeError, match="FlowJump"):
        read_words(ChartWords("contact", {"0": FlowJump("0", "A")}, "0"), drawings=((line(5, 40, "A"),),))


# --- looks ------------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.2)."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return sum(weight * share for weight, share in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_text_keeps_seven_to_one_and_lines_three_to_one(scheme: int) -> None:
    css = (files("pocketref.web") / "page" / "page.css").read_text(encoding="utf-8")
    blocks = re.findall(r":root \{(.*?)\}", css, re.DOTALL)
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", blocks[scheme]))
    for ground in ("ground", "sheet", "pale"):
        for ink in ("ink", "soft", "link"):
            assert contrast(colours[ink], colours[ground]) >= 7, (ink, ground)
        assert contrast(colours["mark"], colours[ground]) >= 3
    assert contrast(colours["on-band"], colours["band"]) >= 7
    assert contrast(colours["line"], colours["sheet"]) >= 3
