"""The kinds of value: what each takes and keeps, and what it refuses."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from pocketref.source.syntax.kinds import (
    Cite,
    DecimalNumber,
    IsoDate,
    LengthField,
    LengthOrZero,
    Name,
    OneOrMany,
    Sentence,
    SignedLength,
    Sources,
    WholeNumber,
    YesNo,
)
from pocketref.units.length import Length


def read(kind: object, value: object) -> Any:
    return TypeAdapter(kind).validate_python(value)


def refusal(kind: object, value: object) -> dict[str, Any]:
    with pytest.raises(ValidationError) as caught:
        read(kind, value)
    (error,) = caught.value.errors()
    return {"code": error["type"], **error.get("ctx", {})}


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (WholeNumber, "12", 12),
        (WholeNumber, "-3", -3),
        (YesNo, "yes", True),
        (YesNo, "no", False),
        (IsoDate, "2028-02-29", date(2028, 2, 29)),
        (Name, "90-ft", "90-ft"),
        (Sentence, "  feet  ", "feet"),
        (Sentence, "cafe\u0301", "caf\u00e9"),
        (Sentence, "folded\n", "folded"),
        (OneOrMany[Name], "a", ("a",)),
        (OneOrMany[Name], ["a", "b"], ("a", "b")),
        (Sources, "house", (Cite("house"),)),
        (Sources, ["hs-book 7-1-1", "house"], (Cite("hs-book", "7-1-1"), Cite("house"))),
        (Cite, "pro-book 5.04(b)(5)", Cite("pro-book", "5.04(b)(5)")),
        (LengthField, "8 1/2 in", Length.from_inches(Fraction(17, 2))),
        (LengthOrZero, "0 in", Length.from_inches(0)),
        (SignedLength, "-2 in", Length.from_inches(-2)),
    ],
)
def test_a_kind_reads_its_text(kind: object, text: object, value: object) -> None:
    assert read(kind, text) == value


@pytest.mark.parametrize("text", ["2.50", "0", "-1.5", "10"])
def test_a_decimal_number_keeps_its_digits(text: str) -> None:
    assert str(read(DecimalNumber, text)) == text


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (WholeNumber, 3),
        (DecimalNumber, Decimal("2.50")),
        (YesNo, True),
        (IsoDate, date(2027, 1, 1)),
        (LengthField, Length.from_inches(1)),
        (Cite, Cite("a", "1")),
    ],
)
def test_a_value_that_is_already_right_passes(kind: object, value: object) -> None:
    assert read(kind, value) == value


# the kind, the problem's code, what is refused with it, and what its hint says
REFUSED = [
    (
        WholeNumber,
        "value-number",
        [
            ("1.5", "digits only"),
            ("\u0661", "digits only"),
            ("1_000", "digits only"),
            ("9" * 5000, "digits only"),
        ],
    ),
    (DecimalNumber, "value-number", [("1,5", "point"), ("nan", "point"), ("1e999999", "point")]),
    (YesNo, "value-yes-no", [("true", "yes or no")]),
    (IsoDate, "value-date", [("1/2/2027", "2027-02-01"), ("2027-02-30", "month")]),
    (Name, "value-name", [("High School", "high-school"), ("a" * 61, "shorten"), ("", "lower-case")]),
    (Sentence, "value-empty", [(" ", "write")]),
    (
        Sentence,
        "value-text",
        [("two\nlines", "one line"), ("x" * 401, "shorten"), ("right\u202eleft", "delete")],
    ),
    (
        Cite,
        "value-cite",
        [
            ("7-1-1", "hs-book 7-1-1"),
            ("Hs-Book 7-1-1", "hs-book 7-1-1"),
            ("", "hs-book 7-1-1"),
            ("house 3", "hs-book 7-1-1"),
            ("hs-book 7-1-1 7-3-2", "[hs-book 7-1-1, hs-book 7-3-2]"),
            ("hs-book 7_1", "letters"),
        ],
    ),
    (LengthField, "unit-missing", [("17", "17 ft or 17 in")]),
    (LengthField, "length-range", [("0 in", "")]),
    (LengthField, "value-kind", [(["17 in"], "")]),
    (LengthOrZero, "length-range", [("-1 in", "sign")]),
]


@pytest.mark.parametrize(
    ("kind", "text", "code", "hint"),
    [(kind, text, code, hint) for kind, code, cases in REFUSED for text, hint in cases],
)
def test_a_kind_refuses_with_a_remedy(kind: object, text: object, code: str, hint: str) -> None:
    found = refusal(kind, text)
    assert found["code"] == code
    assert hint in found["hint"]
    assert len(found["sentence"]) < 150


def test_a_section_in_a_list_of_two_is_pointed_at() -> None:
    assert refusal(Cite, "hs-book 7-1-1 7-3-2")["offset"] == 14


def test_a_section_that_also_stands_in_the_works_name_is_pointed_at() -> None:
    assert refusal(Cite, "a-1 1_")["offset"] == 5


@given(st.text(max_size=80))
@settings(max_examples=100)
def test_what_a_citation_says_reads_back(text: str) -> None:
    try:
        cite = read(Cite, text)
    except ValidationError:
        return
    assert read(Cite, str(cite)) == cite
