"""Text flow: the fewest lines, even ones, with what belongs together kept together."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scene_measures import ink, texts_of
from shapely import Polygon

from pocketref.scene.items import FontFace, Text
from pocketref.scene.textfit import (
    Line,
    RhombusFit,
    Word,
    bind,
    break_lines,
    fit_rhombus,
    leading_mm,
    space_mm,
    split_words,
    write_line,
)
from pocketref.scene.typefaces import cap_height_mm, typeface

SIZE_PT = 9.0
NBSP = "\u00a0"

WORDS = st.lists(st.text("abcdefghilmnorstuw", min_size=1, max_size=11), min_size=1, max_size=14)


def plain(line: Line) -> str:
    return " ".join("".join(text for text, _ in word.parts) for word in line.words)


def regular(words: list[str]) -> list[Word]:
    return split_words(" ".join(words), FontFace.REGULAR)


def break_text(text: str, width_mm: float) -> list[str]:
    return [plain(line) for line in break_lines(split_words(text, FontFace.REGULAR), width_mm, SIZE_PT)]


def fewest_lines(widths: list[float], space: float, room: float) -> int:
    """Filling each line as far as it goes takes the fewest lines there can be."""
    lines, used = 1, widths[0]
    for width in widths[1:]:
        if used + space + width <= room + 1e-6:
            used += space + width
        else:
            lines, used = lines + 1, width
    return lines


# --- breaking lines ---


@settings(max_examples=150)
@given(WORDS, st.floats(12, 80))
def test_words_keep_their_order_and_none_is_lost(words: list[str], width_mm: float) -> None:
    lines = break_lines(regular(words), width_mm, SIZE_PT)
    assert " ".join(plain(line) for line in lines).split(" ") == words


@settings(max_examples=150)
@given(WORDS, st.floats(12, 80))
def test_no_line_is_wider_than_the_room_unless_it_is_one_word(words: list[str], width_mm: float) -> None:
    for line in break_lines(regular(words), width_mm, SIZE_PT):
        assert len(line.words) == 1 or line.width_mm <= width_mm + 1e-5


@settings(max_examples=150)
@given(WORDS, st.floats(12, 80))
def test_the_text_takes_the_fewest_lines_there_can_be(words: list[str], width_mm: float) -> None:
    pieces = regular(words)
    widths = [word.measure_mm(SIZE_PT) for word in pieces]
    assert len(break_lines(pieces, width_mm, SIZE_PT)) == fewest_lines(widths, space_mm(SIZE_PT), width_mm)


@settings(max_examples=100)
@given(WORDS, st.floats(25, 80))
def test_the_last_line_is_no_lone_scrap_where_as_few_lines_can_do_without_it(
    words: list[str], width_mm: float
) -> None:
    pieces = regular(words)
    assume(len(pieces) <= 9 and all(word.measure_mm(SIZE_PT) <= width_mm for word in pieces))
    lines = break_lines(pieces, width_mm, SIZE_PT)
    scrap = 0.2 * width_mm
    if len(lines) < 2 or lines[-1].width_mm >= scrap:
        return
    for cuts in itertools.combinations(range(1, len(pieces)), len(lines) - 1):
        ends = (0, *cuts, len(pieces))
        widths = [
            sum(w.measure_mm(SIZE_PT) for w in pieces[a:b]) + space_mm(SIZE_PT) * (b - a - 1)
            for a, b in itertools.pairwise(ends)
        ]
        # Lines may be left so uneven by pulling words down that the scrap is the lesser evil.
        fits = all(width <= width_mm for width in widths)
        uneven = sum((1 - width / width_mm) ** 2 for width in widths[:-1])
        assert not (fits and widths[-1] >= 0.3 * width_mm and uneven < 0.3)


def test_a_text_of_two_full_lines_and_a_bit_is_spread_so_that_no_word_ends_alone() -> None:
    words = ["Hold", "the", "pitcher", "and", "tell", "the", "batter", "to", "get", "in"]
    widths = [word.measure_mm(SIZE_PT) for word in regular(words)]
    just_too_narrow = sum(widths) + space_mm(SIZE_PT) * (len(words) - 1) - 0.1
    first, last = break_text(" ".join(words), just_too_narrow)
    assert len(last.split()) > 1
    assert len(first.split()) > 1


def test_no_words_take_no_lines() -> None:
    assert break_lines([], 40, SIZE_PT) == ()


@pytest.mark.parametrize(
    ("text", "together"),
    [
        ("stands 17 in from the plate", "17 in"),
        ("a box 6 ft long", "6 ft"),
        ("exactly 7 ft 2½ in across", "7 ft 2½ in"),
        ("exactly 7 ft 1/2 in across", "7 ft ½ in"),
        ("exactly 7 ft 9/16 in across", "7 ft ⁹⁄₁₆ in"),
        ("within 8 1/2 in of it", "8½ in"),
        ("about 2197 mm in all", "2197 mm"),
        ("see HS 7-1-1 for this", "HS 7-1-1"),
        ("both of 2 runners go back", "2 runners"),
        ("at least 30 min from then", "30 min"),
    ],
)
@pytest.mark.parametrize("width_mm", [8.0, 14.0, 19.0, 23.0, 31.0])
def test_a_measure_or_section_is_never_split(text: str, together: str, width_mm: float) -> None:
    bound = together.replace(" ", NBSP)
    assert any(bound in line for line in break_text(text, width_mm))


def test_a_number_is_not_bound_to_a_word_that_only_begins_like_a_unit() -> None:
    assert bind("2 into 4 minutes") == "2 into 4 minutes"
    assert bind("it's") == "it\u2019s"


# --- bold ---


def test_punctuation_after_bold_stays_with_its_word() -> None:
    words = split_words("Hold the *pitcher*, then wait", FontFace.REGULAR)
    assert words[2].parts == (("pitcher", FontFace.BOLD), (",", FontFace.REGULAR))
    for width in range(5, 60, 3):
        assert not any(line.startswith(",") for line in break_text("Hold the *pitcher*, then wait", width))


def test_what_stands_between_asterisks_is_bold_and_the_asterisks_are_gone() -> None:
    words = split_words("A foot *on the line* is in", FontFace.REGULAR)
    bold = ["".join(t for t, f in w.parts) for w in words if all(f is FontFace.BOLD for _, f in w.parts)]
    assert bold == ["on", "the", "line"]
    assert not any("*" in text for word in words for text, _ in word.parts)


def test_a_written_line_sets_its_runs_one_after_the_other_with_one_space() -> None:
    (line,) = break_lines(split_words("Hold the *pitcher*, wait", FontFace.REGULAR), 100, SIZE_PT)
    runs = texts_of(write_line(line, 10.0, 5.0, SIZE_PT))
    assert [(run.content, run.face) for run in runs] == [
        ("Hold the", FontFace.REGULAR),
        ("pitcher", FontFace.BOLD),
        (", wait", FontFace.REGULAR),
    ]
    assert runs[1].x == pytest.approx(10 + runs[0].width_mm + space_mm(SIZE_PT))
    assert runs[2].x == pytest.approx(runs[1].x + runs[1].width_mm)
    assert runs[2].x + runs[2].width_mm == pytest.approx(10 + line.width_mm)


@settings(max_examples=80)
@given(
    st.lists(st.sampled_from(["ball", "*dead*", "*no", "pitch*", "a,", "17", "in"]), min_size=1, max_size=8)
)
def test_a_written_line_is_as_wide_as_it_was_measured(words: list[str]) -> None:
    pieces = split_words(" ".join(words), FontFace.REGULAR)
    assume(pieces)
    (line,) = break_lines(pieces, 1000, SIZE_PT)
    runs = texts_of(write_line(line, 0, 0, SIZE_PT))
    assert runs[-1].x + runs[-1].width_mm == pytest.approx(line.width_mm, abs=1e-6)


# --- in a rhombus ---

QUESTIONS = [
    "Foot past a line's outer edge?",
    "Has the pitcher started?",
    "Told to get in, and still won't?",
    "Dead?",
    "Did the bat meet the ball a second time, in fair or foul ground?",
]


def place_lines(fit: RhombusFit) -> list[Text]:
    """The lines as a chart centres them about the rhombus's middle, (0, 0)."""
    lead = leading_mm(SIZE_PT)
    y = lead * (len(fit.lines) - 1) / 2 - cap_height_mm(FontFace.MEDIUM, SIZE_PT) / 2
    texts: list[Text] = []
    for line in fit.lines:
        texts += texts_of(write_line(line, -line.width_mm / 2, y, SIZE_PT))
        y -= lead
    return texts


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("width_mm", [32.0, 36.0, 40.0, 44.0, 55.0])
def test_every_line_lies_inside_its_rhombus(question: str, width_mm: float) -> None:
    fit = fit_rhombus(split_words(question, FontFace.MEDIUM), width_mm, SIZE_PT)
    assert fit.overflow_mm == 0
    half, rise = width_mm / 2, fit.height_mm / 2
    rhombus = Polygon([(-half, 0), (0, rise), (half, 0), (0, -rise)])
    assert all(rhombus.contains(ink(text)) for text in place_lines(fit))


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_wider_rhombus_is_never_higher(question: str) -> None:
    words = split_words(question, FontFace.MEDIUM)
    heights = [fit_rhombus(words, width, SIZE_PT).height_mm for width in (34, 44, 54, 74, 104)]
    lead = leading_mm(SIZE_PT)
    assert all(wide <= narrow + lead / 2 for narrow, wide in itertools.pairwise(heights))


@settings(max_examples=60)
@given(st.lists(st.text("aeiourstn", min_size=1, max_size=8), min_size=1, max_size=8), st.floats(15, 90))
def test_a_rhombus_keeps_every_word_in_order(words: list[str], width_mm: float) -> None:
    fit = fit_rhombus(regular(words), width_mm, SIZE_PT)
    assert " ".join(plain(line) for line in fit.lines).split(" ") == words


def test_a_word_too_long_for_its_rhombus_is_told_as_overflow() -> None:
    (word,) = split_words("incontrovertibly", FontFace.MEDIUM)
    fit = fit_rhombus([word], 20, SIZE_PT)
    assert 0 < fit.overflow_mm <= word.measure_mm(SIZE_PT)
    assert typeface(FontFace.MEDIUM).measure_mm("incontrovertibly", SIZE_PT) > 20 / 2


@pytest.mark.parametrize("white_mm", [1.2, 2.8])
def test_a_line_keeps_the_white_space_asked_for_from_the_sides(white_mm: float) -> None:
    for question in QUESTIONS:
        fit = fit_rhombus(split_words(question, FontFace.MEDIUM), 44.0, SIZE_PT, white_mm)
        for text in place_lines(fit):
            outer = max(abs(text.y), abs(text.y + cap_height_mm(FontFace.MEDIUM, SIZE_PT)))
            room = 44.0 * (1 - 2 * outer / fit.height_mm)
            assert text.width_mm + white_mm <= room + 0.01


def test_a_short_question_is_not_broken_into_single_words_for_a_little_less_height() -> None:
    fit = fit_rhombus(split_words("Did the bat touch the ball?", FontFace.MEDIUM), 35.0, SIZE_PT)
    assert [plain(line) for line in fit.lines] == ["Did the bat", "touch the ball?"]


@pytest.mark.parametrize(
    ("written", "set_as"),
    [
        ("3 3/8 in", "3⅜ in"),
        ("⅛ in", "⅛ in"),
        ("8 11/16 in", "8¹¹⁄₁₆ in"),
        ("*1/2*", "*½*"),
        ("90 ft", "90 ft"),
    ],
)
def test_fractions_are_typeset(written: str, set_as: str) -> None:
    assert bind(written).replace(NBSP, " ") == set_as
