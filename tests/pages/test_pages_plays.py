"""Training sheets and keys on paper: every play once and in order, and a key that says why."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache

import pytest
from play_samples import FRONT, HIT, ROOT, books, content, make_play, ruled

from pocketref.layouts.cards import LaidOut
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.layouts.play_sheets import PlaySheet, check_fit, lay_out_key, lay_out_questions
from pocketref.layouts.play_words import (
    write_call,
    write_elsewhere,
    write_key,
    write_way,
    write_wrong,
)
from pocketref.output.contents import items_of
from pocketref.pages.page import Element, Page, Role
from pocketref.plays.choices import AskedPlay, ask_plays
from pocketref.plays.computed_plays import compute_plays
from pocketref.plays.plays import RuleBooks, RuledPlay, rule_on_play
from pocketref.problems import PocketrefError
from pocketref.rulings.situation import write_situation
from pocketref.scene.items import FormField, Text
from pocketref.scene.paths import extent_of_all
from pocketref.source.play_models import PlaySheetModel
from pocketref.source.situation_models import SituationModel
from pocketref.source.syntax.kinds import Confidence

MODEL = PlaySheetModel.model_validate(
    {"sheet": "night", "title": "Night", "stock": "letter", "code": "high-school", "level": "90-ft"}
)


ONE_PAGE = (
    "contact/knee-on-the-plate",
    "second-touch/dead-ball-in-the-box",
    "leaving/stroll-and-switch",
    "stance/will-not-move-up",
    "thrown-bat/slips-and-hits",
    "contact/well-inside",
)


@cache
def layouts() -> Layouts:
    return read_layouts(ROOT / "layouts", content())


def find(key: str) -> RuledPlay:
    return next(play for play in ruled() if play.key == key)


def ask(*plays: RuledPlay) -> tuple[AskedPlay, ...]:
    return ask_plays(books(), plays)


@cache
def sheet(count: int = 14) -> PlaySheet:
    plays = [play for play in ruled() if play.code == "high-school"][::5][:count]
    return PlaySheet(MODEL, "night", "Night", ask(*plays))


@cache
def questions() -> LaidOut:
    return lay_out_questions(sheet(), books(), layouts())


@cache
def key() -> LaidOut:
    return lay_out_key(sheet(), books(), layouts())


def walk(elements: tuple[Element, ...]) -> Iterator[Element]:
    for element in elements:
        yield element
        yield from walk(element.children)


def all_elements(item: LaidOut) -> list[Element]:
    return [element for page in item.document.pages for element in walk(page.elements)]


def words(item: LaidOut) -> str:
    runs = [i.content for e in all_elements(item) for i in e.items if isinstance(i, Text)]
    return " ".join(runs).replace("\u00a0", " ").replace("\u2019", "'")


def test_every_play_is_asked_once_and_in_order() -> None:
    labels = [
        e.label for e in all_elements(questions()) if e.role is Role.SECTION and e.label.startswith("play ")
    ]
    assert list(dict.fromkeys(labels)) == [f"play {number}" for number in range(1, 15)]


def test_a_sheet_has_blanks_for_name_date_and_score_and_a_box_for_each_choice() -> None:
    fields = [i for e in all_elements(questions()) for i in e.items if isinstance(i, FormField)]
    names = [field.name for field in fields]
    assert names[:3] == ["Name", "Date", "Right, of 14"]
    assert len(set(names)) == len(names)
    assert len(names) == 3 + sum(len(question.choices) for question in sheet().questions)


def test_a_sheet_does_not_give_its_answers_away() -> None:
    said = words(questions())
    assert "Section" not in said
    assert "would be right" not in said.lower()


def test_the_key_names_each_plays_letter_section_and_ruling() -> None:
    said = words(key())
    for number, question in enumerate(sheet().questions, 1):
        assert f"{number} {question.letter}" in said
        assert question.ruled.case.model.title.replace("\u2019", "'") in said
        assert all(cite in said for cite in question.ruled.answer.cites)


def test_the_letters_at_a_glance_can_be_read_one_way_only() -> None:
    letters = " · ".join(f"{n}{question.letter}" for n, question in enumerate(sheet().questions, 1))
    assert letters in " ".join(words(key()).split())


def test_pictures_are_made_smaller_where_that_saves_a_page() -> None:
    plays = [find(f"{name} high-school") for name in ONE_PAGE]
    laid_out = lay_out_questions(PlaySheet(MODEL, "night", "Night", ask(*plays)), books(), layouts())
    assert len(laid_out.document.pages) == 1


def test_the_picture_of_a_knee_on_the_plate_shows_no_foot_there_and_says_where_both_are() -> None:
    play = find("contact/knee-on-the-plate high-school")
    assert play.answers["on-plate"] == "no"
    assert play.answer.asked[-1][0] == "knee-out"
    assert play.derived["knee-out"] == "the knees"
    way = write_way(books(), play)
    assert way.endswith(
        "(as drawn). The worse foot: on the line: in. The knee: on the plate, wholly outside."
    )


def test_the_key_ends_with_how_to_enforce_and_with_the_cautions() -> None:
    hurt = PlaySheet(MODEL, "hurt", "Hurt", ask(find("thrown-bat/slips-and-hits high-school")))
    said = words(lay_out_key(hurt, books(), layouts()))
    assert "Every dead-ball ruling" in said
    assert "WARNING" in said
    assert "licensed" in said


def test_type_is_never_below_the_floor() -> None:
    for item in (questions(), key()):
        sizes = [i.size_pt for e in all_elements(item) for i in e.items if isinstance(i, Text)]
        assert min(sizes) >= item.floor_pt


def test_the_key_of_a_play_says_ruling_section_way_call_and_other_codes() -> None:
    (question,) = ask(find("contact/leaning-over-the-plate high-school"))
    ruling, after, section, way, call, other = write_key(books(), question)
    assert ruling == "*Ruling:* Out: batted out of the box. Ball dead."
    assert after == "*Next:* Batter out, two outs; runners back to first and third."
    assert section.startswith("*Section:* HS 7-3-2, HS 5-1-1b.")
    assert "Foot on plate at contact? *a foot down on the plate, in part or whole* (as drawn)." in way
    assert call.startswith("*Do:* “Time!” “Out of the box.”")
    assert "*PRO Legal, live* (PRO 6.03(a)(1))" in other
    assert other.endswith("same in COL.")


def test_a_ruling_in_doubt_and_an_unsettled_one_say_so() -> None:
    case = find("contact/knee-in-the-dirt high-school").case
    table = content().rulings["high-school", "contact"]
    rows = [row.model_copy(update={"confidence": Confidence.FROM_MEMORY}) for row in table.rows]
    unsure = table.model_copy(update={"rows": tuple(rows)})
    rulings = {**content().rulings, ("high-school", "contact"): unsure}
    doubting = RuleBooks(replace(content(), rulings=rulings))
    (question,) = ask_plays(doubting, (rule_on_play(doubting, case, "high-school"),))
    assert write_key(doubting, question)[0] == "*Ruling:* Out: batted out of the box†. Ball dead."
    assert write_elsewhere(doubting, rule_on_play(doubting, case, "professional")).startswith(
        "*HS Out, dead†* ("
    )
    (question,) = ask(find("second-touch/dropped-bat-bounces college"))
    assert "*Check your league:* one digest says live" in write_key(books(), question)[3]
    assert write_key(books(), question)[1] == "*Next:* As the league rules."


def test_a_picture_that_decides_nothing_is_not_cited() -> None:
    assert write_way(books(), find("contact/swing-and-miss-outside college")).endswith(
        "swing and miss, or no swing*."
    )


def test_a_silent_ruling_says_so() -> None:
    assert write_call(find("contact/line-is-enough youth").answer.ruling) == "Say and signal nothing."


def test_a_play_not_told_for_a_code_says_so() -> None:
    case = make_play(
        facts={"bat-meets-ball": "yes"},
        feet=[{**FRONT, "ahead": "9 in"}],
        expect={"professional": "out-of-box"},
    )
    said = write_elsewhere(books(), rule_on_play(books(), case, "professional"))
    assert said == "same in HS; not told for COL, YTH."


def test_each_wrong_choice_has_its_reason() -> None:
    (question,) = ask(find("stance/will-not-move-up high-school"))
    wrong = write_wrong(question)
    assert len(wrong) == len(question.choices) - 1
    assert all(line.startswith("*") and ". " in line for line in wrong)


@pytest.mark.parametrize(
    ("runners", "outs", "count", "said"),
    [
        ([], "0", "0-0", "Bases empty, nobody out, count 0–0"),
        (["third"], "1", "3-2", "Runner on third, one out, count 3–2"),
        (["third", "first"], "2", "1-2", "Runners on first and third, two outs, count 1–2"),
        (["first", "second", "third"], "1", "2-0", "Bases loaded, one out, count 2–0"),
    ],
)
def test_where_the_game_stands_is_told(runners: list[str], outs: str, count: str, said: str) -> None:
    assert (
        write_situation(SituationModel.model_validate({"runners": runners, "outs": outs, "count": count}))
        == said
    )


def test_a_computed_play_is_marked_and_tells_its_facts() -> None:
    (case,) = compute_plays(books(), "thrown-bat", "high-school", [3])
    made = PlaySheet(MODEL, "made", "Made", ask(rule_on_play(books(), case, "high-school")))
    for item in (lay_out_questions(made, books(), layouts()), lay_out_key(made, books(), layouts())):
        said = words(item)
        assert "(computed)" in said
        assert "Was a double play lost?" in said
        assert "a likely double play was lost" in said


def test_a_play_too_large_for_a_column_is_told() -> None:
    case = make_play(facts=HIT, feet=[FRONT], story="x" * 400)
    large = PlaySheet(MODEL, "large", "Large", ask(rule_on_play(books(), case, "high-school")))
    assert {problem.code for problem in check_fit(large, books(), layouts())} == {"block-too-large"}
    with pytest.raises(PocketrefError):
        lay_out_questions(large, books(), layouts())


def test_plays_that_fit_raise_no_problem() -> None:
    assert check_fit(sheet(), books(), layouts()) == []


def list_ends(page: Page) -> tuple[list[float], list[float]]:
    """How far down each block reaches, in mm from the foot of the page: those of the left and of the right column."""
    (columns,) = (each for each in walk(page.elements) if each.label == "columns")
    extents = [extent_of_all(items_of([child])) for child in columns.children]
    left, right = ([e[1] for e in extents if (e[0] < page.width_mm / 2) is side] for side in (True, False))
    return left, right


@pytest.mark.parametrize("laid_out", [questions, key])
def test_the_columns_of_a_page_end_level(laid_out: Callable[[], LaidOut]) -> None:
    pages = laid_out().document.pages
    assert len(pages) > 1
    for page in pages:
        left, right = list_ends(page)
        assert abs(min(left) - min(right)) < 1.5, page.name
