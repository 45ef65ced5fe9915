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
from output_samples import full_document, line, page

from pocketref.pages.page import Element, Page, Role
from pocketref.scene.flow_layout import FlowEnding, FlowExit, FlowJump, FlowQuestion
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import Face, Item
from pocketref.scene.textfit import break_lines, split_words, write_line
from pocketref.scene.typefaces import set_text
from pocketref.web.html import write_html
from pocketref.web.html_content import (
    ChartNodes,
    WebFaces,
    WebLink,
    WebLinks,
    WebPage,
    WebPart,
    WebProse,
    WebSection,
    WebTable,
)
from pocketref.web.html_words import join_runs

ATTACK = "\"'><script>intruded=1</script><img src=x onerror=intruded=1>&lt;"
CHART = ChartNodes(
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


def read_elements(*elements: Element, **charts: ChartNodes) -> Node:
    faces = WebFaces((page(*elements),), {key.replace("_", " "): chart for key, chart in charts.items()})
    return read_part(faces)


def set_lines(words: str, width_mm: float = 30.0) -> tuple[Item, ...]:
    """A text as a face sets it, broken into lines."""
    lines = break_lines(split_words(words, Face.REGULAR), width_mm, 8)
    return tuple(item for i, broken in enumerate(lines) for item in write_line(broken, 5, 60 - 4 * i, 8))


def full_page() -> WebPage:
    faces = WebFaces(full_document().pages, {"balls": CHART})
    return make_page(
        faces,
        WebTable("Calls", ("Play", "Ruling"), (("Any", "*Out*\nball dead"),)),
        WebProse(("A *bold* word",), is_list=True),
        WebLinks((WebLink("cards/one.pdf", "To print", "(2 pages)"),)),
    )


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
    named += [node["for"] for node in root.all("label")]
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
        lambda made: with_part(made, contents=(WebTable(ATTACK, (ATTACK, ATTACK), ((ATTACK, ATTACK),)),)),
        lambda made: with_part(made, contents=(WebProse((ATTACK, f"*{ATTACK}*")),)),
        lambda made: with_part(made, contents=(WebLinks((WebLink(ATTACK, ATTACK, ATTACK),)),)),
        lambda made: with_part(
            made, contents=(WebFaces((hostile_face(),), {f"chart {ATTACK}": hostile_chart()}),)
        ),
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


def hostile_face() -> Page:
    words = (line(5, 60, ATTACK),)
    roles = (Role.TITLE, Role.HEADING, Role.PARAGRAPH, Role.SECTION)
    row = Element(Role.TABLE_ROW, (), (Element(Role.TABLE_CELL, words), Element(Role.TABLE_HEADER, words)))
    return page(
        *(Element(role, words, label=ATTACK) for role in roles),
        Element(Role.LIST, (), (Element(Role.LIST_ITEM, words),)),
        Element(Role.TABLE, (), (row,), label=ATTACK),
        Element(Role.FIGURE, words, alt=ATTACK, label=ATTACK),
        Element(Role.FIGURE, words, alt=ATTACK, label=f"chart {ATTACK}"),
        name=ATTACK,
    )


def hostile_chart() -> ChartNodes:
    ends = {key: FlowEnding(key, ATTACK, ((ATTACK, ATTACK),)) for key in "12"}
    question = FlowQuestion("0", ATTACK, (FlowExit(ATTACK, "1"), FlowExit(ATTACK, "2")))
    return ChartNodes({"0": question, **ends}, "0")


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
    assert [a.text for a in root.one("nav").all("a")] == ["Rulings", "Stance, HS", "Stance, PRO", "Contact"]


# --- faces ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        "The ball is dead at once and every runner returns to the base held",
        "A foot *on the line is in*. Past its outer edge is not.",
        "Say *“Time!”*, then point; a *4*-ft box",
        "*Bold from the start* and to the end plain, over several lines of text",
    ],
)
def test_a_text_broken_into_lines_and_faces_reads_as_it_was_written(words: str) -> None:
    part = read_elements(Element(Role.PARAGRAPH, set_lines(words)))
    (paragraph,) = [node for node in part.all("p") if "class" not in node.attributes]
    assert paragraph.text == words.replace("*", "").replace("\u00a0", " ")
    if not words.startswith("The"):
        bold = [node.text for node in paragraph.all("strong")]
        assert " ".join(bold) == " ".join(re.findall(r"\*([^*]+)\*", words))


def test_a_text_all_in_one_face_is_not_marked() -> None:
    assert join_runs(set_lines("*all of it bold*")) == ["all of it bold"]


def test_a_numbered_list_counts_by_itself() -> None:
    def item(number: int, words: str) -> Element:
        start = set_text(5, 60, str(number), Face.BOLD, 8, BLACK)
        return Element(Role.LIST_ITEM, (start, line(9, 60, words)))

    part = read_elements(Element(Role.LIST, (), (item(1, "look"), item(2, "call"))))
    assert [node.text for node in part.one("ol").all("li")] == ["look", "call"]


def test_a_list_with_marks_is_not_numbered() -> None:
    entries = tuple(Element(Role.LIST_ITEM, (line(9, 60, words),)) for words in ("1 runner", "2 runners"))
    part = read_elements(Element(Role.LIST, (), entries))
    assert [node.text for node in part.one("ul").all("li")] == ["1 runner", "2 runners"]


def make_table(*rows: tuple[str, ...]) -> Element:
    def cell(words: str, role: Role) -> Element:
        return Element(
            role, (line(5, 40, words),) if words else (), scope="Column" if role is Role.TABLE_HEADER else ""
        )

    heads = Element(Role.TABLE_ROW, (), tuple(cell(words, Role.TABLE_HEADER) for words in rows[0]))
    others = [Element(Role.TABLE_ROW, (), tuple(cell(w, Role.TABLE_CELL) for w in row)) for row in rows[1:]]
    return Element(Role.TABLE, (), (heads, *others), label="table of pulls")


def test_a_table_has_a_caption_and_headers_with_their_scope() -> None:
    part = read_elements(make_table(("What", "Target", ""), ("Diagonal", "7 ft", ""), ("Side", "6 ft", "")))
    assert part.one("caption").text == "Table of pulls"
    assert [(th.text, th["scope"]) for th in part.all("th")] == [
        ("What", "col"),
        ("Target", "col"),
        ("Diagonal", "row"),
        ("Side", "row"),
    ]
    assert [len(tr.all("th", "td")) for tr in part.all("tr")] == [3, 3, 3]


def test_a_heading_right_above_a_table_is_its_caption() -> None:
    heading = Element(Role.HEADING, (line(5, 50, "Flash to thunder", Face.BOLD),))
    part = read_elements(heading, make_table(("s", "km"), ("5", "1.7")))
    assert part.one("caption").one("h4").text == "Flash to thunder"
    assert len(part.all("h4")) == 1


def test_a_figure_is_drawn_with_its_text_and_told_in_words() -> None:
    figure = Element(Role.FIGURE, (line(5, 40, "4 ft"),), alt="A plan of the box", label="figure plan")
    caption = Element(Role.PARAGRAPH, (line(5, 35, "Plan. Scale 1:40.", Face.ITALIC),))
    part = read_elements(figure, caption)
    svg = part.one("figure").one("svg")
    assert svg["role"] == "img"
    assert svg["aria-label"] == "A plan of the box"
    assert svg.one("text").text == "4 ft"
    assert "A plan of the box" in part.one("figcaption").text


def test_a_scale_is_not_claimed_for_a_screen() -> None:
    figure = Element(Role.FIGURE, (line(5, 40, "4 ft"),), alt="A plan", label="figure plan")
    caption = Element(Role.PARAGRAPH, (line(5, 35, "Plan. Scale 1:40.", Face.ITALIC),))
    assert "not on a screen" in read_elements(figure, caption).one("figcaption").text


def test_what_is_set_in_white_is_reversed_on_the_page_too() -> None:
    bar = Element(Role.HEADING, (set_text(5, 50, "WARNING", Face.BOLD, 9, WHITE),))
    section = Element(Role.SECTION, (), (bar, Element(Role.PARAGRAPH, (line(5, 40, "Keep off."),))))
    panel = read_elements(section).one("div", class_="panel")
    assert panel.text == "WARNING Keep off."


def test_every_role_is_written() -> None:
    text = read_html(write_html(full_page())).one("main").text
    for words in (
        "What to call",
        "a pair",
        "Ball dead at once",
        "outside (wholly)",
        "Lengths in feet",
        "As read",
    ):
        assert words in text, words
    for role in Role:
        loose = read_elements(Element(role, (line(5, 30, "loose words"),), alt="loose words"))
        assert ("loose words" in loose.text) is (
            role not in (Role.DECORATION, Role.TITLE, Role.LIST, Role.TABLE)
        ), role


# --- charts -----------------------------------------------------------------------------------------------


def chart_part() -> Node:
    figure = Element(
        Role.FIGURE, (line(5, 40, "Bat met ball?"),), alt="Decision chart.", label="chart contact"
    )
    return read_elements(figure, figure, chart_contact=CHART)


def test_a_chart_is_also_nested_lists_from_question_to_ruling() -> None:
    top = chart_part().all("ul", class_="chart")[0]
    assert top.text == (
        "1. Bat met ball? Yes: 2. Foot out? Yes: Batter out (ball dead, runners back) "
        "No: 3. Catcher in the way? Yes: Ask the league (check your league) No: Play on (ball live) "
        "No: go to question 3"
    )
    depths = [sum(outer.name == "ul" for outer in node.outer()) for node in top.all("li")]
    assert depths == [1, 2, 3, 3, 4, 4, 2]


def test_a_question_reached_twice_is_linked_to() -> None:
    part = chart_part()
    link = next(a for a in part.all("a") if a.text == "question 3")
    assert part.one(id=link["href"][1:]).text == "3. Catcher in the way?"


def test_a_chart_cut_in_two_is_listed_once() -> None:
    part = chart_part()
    assert len(part.all("figure")) == 2
    assert len(part.all("ul", class_="chart")) == 1


def test_a_chart_in_words_refuses_what_only_a_drawing_has() -> None:
    with pytest.raises(TypeError, match="FlowJump"):
        read_elements(
            Element(Role.FIGURE, (line(5, 40, "A"),), label="chart contact"),
            chart_contact=ChartNodes({"0": FlowJump("0", "A")}, "0"),
        )


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
    css = (files("pocketref.web") / "html_page.css").read_text(encoding="utf-8")
    blocks = re.findall(r":root \{(.*?)\}", css, re.DOTALL)
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", blocks[scheme]))
    for ground in ("ground", "sheet", "pale"):
        for ink in ("ink", "soft", "link"):
            assert contrast(colours[ink], colours[ground]) >= 7, (ink, ground)
        assert contrast(colours["mark"], colours[ground]) >= 3
    assert contrast(colours["on-band"], colours["band"]) >= 7
    assert contrast(colours["line"], colours["sheet"]) >= 3
