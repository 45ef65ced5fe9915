"""What is read as a length, exactly, and what is refused with its place and a remedy."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length

READ_IN_INCHES = {
    "7 ft 2 1/2 in": Fraction(173, 2),
    "60 ft 6 in": 726,
    "127' 3 3/8\"": Fraction(12219, 8),
    "127'3-3/8\"": Fraction(12219, 8),
    "127′ 3⅜″": Fraction(12219, 8),
    "127’ 3 ⅜”": Fraction(12219, 8),
    "17 in": 17,
    "17in": 17,
    "8 1/2 in": Fraction(17, 2),
    "8-1/2 in": Fraction(17, 2),
    "8-½ in": Fraction(17, 2),
    "8.5 in": Fraction(17, 2),
    "8½ in": Fraction(17, 2),
    "8 1⁄2 in": Fraction(17, 2),
    "2¹¹⁄₁₆ in": Fraction(43, 16),
    "⅓ in": Fraction(1, 3),
    "7 ft": 84,
    "7 feet": 84,
    "1 foot 1 inch": 13,
    "7.5 ft": 90,
    "7 1/2 ft": 90,
    "0 ft 8 in": 8,
    "7 ft 0 in": 84,
    "7 ft 11 15/16 in": Fraction(1535, 16),
    "  7 ft\t2 in ": 86,
    "7\u00a0ft\u00a02½\u00a0in": Fraction(173, 2),
    "1/4 in": Fraction(1, 4),
}
READ_IN_MM = {
    "2.197 m": 2197,
    "1200 mm": 1200,
    "43.2 cm": 432,
    "10000 m": 10_000_000,
    "0.1 mm": Fraction(1, 10),
}


@pytest.mark.parametrize(("text", "inches"), READ_IN_INCHES.items())
def test_feet_and_inches_are_read_exactly(text, inches):
    length = read_length(text)
    assert (length.inches, length.system) == (inches, "us")


@pytest.mark.parametrize(("text", "mm"), READ_IN_MM.items())
def test_metric_lengths_are_read_exactly(text, mm):
    length = read_length(text)
    assert (length.mm, length.system) == (mm, "metric")


# text: (code, where the caret goes, a word of the sentence, a word of the hint)
REFUSED = {
    "": ("length-notation", 0, "missing", "7 ft 2 1/2 in"),
    "   ": ("length-notation", 0, "missing", ""),
    "7": ("unit-missing", 1, "7 has no unit", "write 7 ft or 7 in"),
    "8 1/2 ": ("unit-missing", 5, "8 1/2 has no unit", "write 8 1/2 ft or 8 1/2 in"),
    "7 ft 2": ("unit-missing", 6, "2 has no unit", "write 2 in"),
    "7 yd": ("unit-unknown", 2, "'yd'", "use one of: "),
    "7 feets": ("unit-unknown", 2, "'feets'", "did you mean 'feet'?"),
    "7 FT": ("unit-unknown", 2, "'FT'", "did you mean 'ft'?"),
    "3 ft 9 im": ("unit-unknown", 7, "'im'", "use one of: ft, in, mm, cm, m"),  # never a guess of metres
    "7 m²": ("unit-unknown", 2, "'m²'", "did you mean"),
    "1e3 mm": ("unit-unknown", 1, "'e'", ""),
    "0x10 in": ("unit-unknown", 1, "'x'", ""),
    "7 ft 20 mm": ("unit-mixed", 8, "'mm' cannot follow 'ft'", "not both"),
    "2 m 20 cm": ("unit-mixed", 7, "'cm' cannot follow 'm'", "one unit"),
    "2 in 7 ft": ("unit-mixed", 7, "'ft' cannot follow 'in'", "feet, then inches"),
    "7 ft 2 ft": ("unit-mixed", 7, "'ft' cannot follow 'ft'", ""),
    "7 ft 2 in 3 in": ("unit-mixed", 12, "'in' cannot follow 'in'", ""),
    "7 ft 12 in": ("length-range", 5, "less than 12", "carry"),
    "7.5 ft 2 in": ("length-notation", 0, "whole number", "7.5 ft"),
    "7 1/2 ft 2 in": ("length-notation", 0, "whole number", ""),
    "1/0 in": ("length-notation", 0, "zero", ""),
    "8 1/0 in": ("length-notation", 2, "zero", ""),
    "127 ft 33/8 in": ("length-notation", 7, "not less than one", "space"),
    "8 4/4 in": ("length-notation", 2, "not less than one", ""),
    "8.5 1/2 in": ("length-notation", 4, "decimal", ""),
    "2½ m": ("length-notation", 0, "decimal", "2.5 m"),
    "8 - 1/2 in": ("unit-missing", 2, "'-'", "8-1/2 in"),
    "7 ft -2 in": ("length-notation", 5, "'-'", ""),
    "1,200 mm": ("length-notation", 1, "comma", "1200 mm"),
    "8,5 in": ("length-notation", 1, "comma", "8.5 in"),
    "1 200 mm": ("unit-missing", 2, "200", "1200 mm"),
    "1_200 mm": ("length-notation", 1, "'_'", ""),
    ".5 in": ("length-notation", 0, "decimal point", "0.5 in"),
    "7. in": ("length-notation", 1, "decimal point", ""),
    "7 in.": ("length-notation", 4, "decimal point", "full stop"),
    "1.2.3 m": ("length-notation", 3, "decimal point", ""),
    "1/2/3 in": ("length-notation", 3, "slash", ""),
    "1 / 2 in": ("length-notation", 2, "slash", ""),
    "nan in": ("length-notation", 0, "'nan'", ""),
    "inf": ("length-notation", 0, "'inf'", ""),
    "ft": ("length-notation", 0, "'ft'", ""),
    "٧ ft": ("length-notation", 0, "'٧'", ""),
    "7\nft": ("length-notation", 1, r"'\n'", ""),
    "10000.001 m": ("length-range", 0, "10 km", "unit"),
    "99999999999999999999999999 ft": ("length-range", 0, "10 km", ""),
    "0 in": ("length-range", 0, "more than zero", ""),
    "0 ft 0 in": ("length-range", 0, "more than zero", ""),
    "-1/2 in": ("length-range", 0, "no sign", "leave the sign out"),
    "+1/2 in": ("length-range", 0, "no sign", ""),
    "7 ft 2 1/2 in" + " " * 80: ("length-notation", 80, "93 characters", ""),
}


@pytest.mark.parametrize(("text", "expected"), REFUSED.items())
def test_what_is_no_length_is_refused_with_place_and_remedy(text, expected):
    code, offset, sentence, hint = expected
    with pytest.raises(NotationError) as caught:
        read_length(text)
    assert (caught.value.code, caught.value.offset) == (code, offset)
    assert sentence in caught.value.sentence
    assert hint in caught.value.hint


@pytest.mark.parametrize(
    ("text", "inches"), [("-1/2 in", Fraction(-1, 2)), ("−7 ft 2 in", -86), ("+2 in", 2), ("- 2 in", -2)]
)
def test_a_sign_counts_for_the_whole_length_where_the_caller_allows_one(text, inches):
    assert read_length(text, allow_negative=True).inches == inches


def test_zero_and_sign_are_allowed_separately():
    assert read_length("0 in", allow_zero=True).inches == 0
    with pytest.raises(NotationError, match="more than zero"):
        read_length("-0 in", allow_negative=True)
    with pytest.raises(NotationError, match="no sign"):
        read_length("-1 in", allow_zero=True)


def test_a_negative_length_is_bounded_like_a_positive_one():
    with pytest.raises(NotationError, match="10 km"):
        read_length("-10001 m", allow_negative=True)


@pytest.mark.parametrize("sign", ["-", "--", "-+", "+"])
def test_a_sign_alone_or_doubled_is_no_length(sign):
    with pytest.raises(NotationError):
        read_length(sign, allow_negative=True)
    with pytest.raises(NotationError):
        read_length(f"{sign}-2 in", allow_negative=True)


@settings(max_examples=300)
@given(st.text(alphabet="0123456789 ./⁄-−+½⅜¹₆'\"′″ftinmc²,e\u00a0\n", max_size=90) | st.text(max_size=90))
def test_any_text_is_read_or_refused_at_a_place_within_it(text):
    refusal = None
    length = Length.from_inches(0)
    try:
        length = read_length(text, allow_zero=True, allow_negative=True)
    except NotationError as error:
        refusal = error
    assert abs(length) <= Length.from_mm(10_000_000)
    if refusal:
        assert 0 <= refusal.offset <= len(text)
        assert refusal.sentence
        assert "\n" not in refusal.sentence


@pytest.mark.parametrize("piece", ["9", "1/", "½", " ", "7 ft ", "-", "a", "'", "1 "])
def test_hostile_text_is_refused_at_once(piece):
    began = time.process_time()
    with pytest.raises(NotationError):
        read_length(piece * 1_000_000)
    with pytest.raises(NotationError):
        read_length((piece * 80)[:80], allow_negative=True)
    assert time.process_time() - began < 2
