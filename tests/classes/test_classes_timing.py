"""Minutes: each slide has its share, and all add up to the class's."""

from __future__ import annotations

import re

import pytest
from class_samples import NAMES, lay_out, print_class
from hypothesis import given
from hypothesis import strategies as st

from pocketref.classes.timing import STEP_S, apportion, share_time, write_time
from pocketref.output.reading.readback import read_pdf


@pytest.mark.parametrize("name", NAMES)
def test_the_minutes_of_the_slides_are_those_of_the_class(name: str) -> None:
    deck = lay_out(name)
    assert sum(each.seconds for each in deck.slides) == 60 * deck.model.minutes
    assert all(each.seconds >= STEP_S and each.seconds % STEP_S == 0 for each in deck.slides)


def test_a_part_with_minutes_of_its_own_takes_exactly_these() -> None:
    deck = lay_out("refresher")
    (number,) = [number for number, part in enumerate(deck.model.parts) if part.minutes]
    taken = sum(each.seconds for each in deck.slides if each.part == number)
    assert taken == 60 * (deck.model.parts[number].minutes or 0)


@pytest.mark.parametrize("name", NAMES)
def test_the_notes_print_each_slide_s_time_and_when_it_begins(name: str) -> None:
    texts = [text.content for page in read_pdf(print_class(name)[1]).pages for text in page.texts]
    heads = [
        found for text in texts if (found := re.fullmatch(r"(\d+) +(\d+):(\d\d), from (\d+):(\d\d)", text))
    ]
    assert [int(head[1]) for head in heads] == list(range(1, len(lay_out(name).slides) + 1))
    clock = 0
    for head in heads:
        assert int(head[4]) * 60 + int(head[5]) == clock
        clock += int(head[2]) * 60 + int(head[3])
    assert clock == 60 * lay_out(name).model.minutes


@given(st.lists(st.floats(0.1, 1000), min_size=1, max_size=60), st.integers(0, 400))
def test_shares_add_up_and_none_is_nothing(weights: list[float], more: int) -> None:
    total = (len(weights) + more) * STEP_S
    shares = share_time(total, weights)
    assert sum(shares) == total
    assert min(shares) >= STEP_S
    for weight, share in zip(weights, shares, strict=True):
        assert abs(share / STEP_S - 1 - more * weight / sum(weights)) < 1 + 1e-6


def test_too_few_minutes_are_refused() -> None:
    with pytest.raises(ValueError, match="too few"):
        share_time(STEP_S, [1.0, 1.0])


def test_largest_remainders_are_those_of_the_first_apportionment() -> None:
    # Hamilton's bill of 1792: 120 seats by the census of 1790 (Balinski and Young, Fair Representation, 1982; the
    # figures are from memory).
    people = [
        630_560, 475_327, 432_879, 353_523, 331_589, 278_514, 236_841, 206_236,
        179_570, 141_822, 85_533, 70_835, 68_705, 68_446, 55_540,
    ]  # fmt: skip
    assert apportion(120, people) == [21, 16, 14, 12, 11, 9, 8, 7, 6, 5, 3, 2, 2, 2, 2]


def test_a_time_is_minutes_and_seconds() -> None:
    assert [write_time(each) for each in (0, 75, 2700)] == ["0:00", "1:15", "45:00"]
