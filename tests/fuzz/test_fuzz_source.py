"""Spoilt sources are read, or refused with a place and a sentence, within seconds; never anything else.

`tests/benchmarks/fuzz_long.py` feeds the same mutants by the hundred thousand.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from fuzz_subjects import SourceSubject, Subject
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_subjects import EditionSubject, ReadingsSubject, RosterSubject, SheetSubject
from source_folders import FIXTURES

SLOWEST_S = 5.0
"""Of processor time: a busy machine tells no tales."""

Test = Callable[..., None]
Make = Callable[[Callable[[Path], Subject]], Subject]


@pytest.fixture(scope="module")
def make(tmp_path_factory: pytest.TempPathFactory) -> Make:
    """A subject at work in a folder of its own, made once."""
    made: dict[object, Subject] = {}

    def make_once(kind: Callable[[Path], Subject]) -> Subject:
        if kind not in made:
            made[kind] = kind(tmp_path_factory.mktemp("fuzz"))
        return made[kind]

    return make_once


def small_source(folder: Path) -> Subject:
    return SourceSubject(folder, prove_every=10, sources=[FIXTURES])


def small_figures(folder: Path) -> Subject:
    return SourceSubject(folder, prove_every=1, adjusted=1.0, sources=[FIXTURES])


def feed(subject: Subject, rng: Random) -> None:
    """One mutant through its reader; a bad refusal or any other exception fails the test."""
    mutant, number = subject.make(rng), rng.randrange(1000)
    start = time.process_time()
    subject.feed(mutant, number)
    assert time.process_time() - start < SLOWEST_S


def fed_with(most: int) -> Callable[[Test], Test]:
    """A test that takes `rng` as its last argument, run with so many generators of mutants."""
    checks = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.data_too_large]
    chosen = settings(max_examples=most, deadline=None, suppress_health_check=checks)
    return lambda test: chosen(given(st.randoms(use_true_random=False))(test))


@fed_with(150)
def test_a_spoilt_source_is_refused_with_a_place_or_read(make: Make, rng: Random) -> None:
    feed(make(small_source), rng)


@fed_with(50)
def test_figures_of_any_size_are_refused_or_laid_out(make: Make, rng: Random) -> None:
    feed(make(small_figures), rng)


@fed_with(60)
def test_spoilt_readings_are_refused_with_a_place_or_judged(make: Make, rng: Random) -> None:
    feed(make(ReadingsSubject), rng)


@fed_with(80)
def test_a_spoilt_roster_is_refused_with_a_place_or_prepared(make: Make, rng: Random) -> None:
    feed(make(RosterSubject), rng)


@fed_with(40)
def test_a_spoilt_sheet_is_refused_with_a_place_or_judged(make: Make, rng: Random) -> None:
    feed(make(SheetSubject), rng)


@fed_with(60)
def test_a_spoilt_edition_is_refused_or_found_to_differ(make: Make, rng: Random) -> None:
    feed(make(EditionSubject), rng)
