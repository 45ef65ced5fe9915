"""Whatever is changed in the demo's source, one leaf at a time, is told in its group and in words."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from change_samples import DEMO
from leaf_changes import Path, list_leaf_changes

from pocketref.changes.change_set import Change, ChangeSet
from pocketref.changes.changes import compare_editions
from pocketref.edition.source_reading import EditionSource
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.table import NO_RULING, read_ending
from pocketref.source.library import Library
from pocketref.source.record import record_library

NOW = DEMO[1].library
GROUPS = {
    "fields": "figures",
    "texts": "mechanics",
    "cautions": "cautions",
    "plays": "plays",
    "works": "sources",
    "codes": "sources",
    "edition": "edition",
    "subjects": "wording",
}
SOURCE_KEYS = ("source", "confidence")


LARGE, EVERY = ("rulings", "plays", "subjects"), 4
"""The groups of thousands of leaves alike: each fourth of theirs is changed, of the others' each."""


@cache
def leaf_changes() -> tuple[tuple[Path, Library], ...]:
    return tuple(list_leaf_changes(NOW))


@cache
def single_changes() -> tuple[tuple[Path, Library, ChangeSet], ...]:
    old = EditionSource("", NOW)
    large = [change for change in leaf_changes() if change[0][0] in LARGE]
    kept = [*large[::EVERY], *(change for change in leaf_changes() if change[0][0] not in LARGE)]
    return tuple((path, other, compare_editions(old, EditionSource("", other))) for path, other in kept)


def of_group(*groups: str) -> Iterator[tuple[Path, Library, ChangeSet]]:
    return (each for each in single_changes() if each[0][0] in groups)


def list_told(found: ChangeSet) -> list[Change]:
    return [change for changes in found.groups.values() for change in changes]


def find_names(record: object) -> Iterator[str]:
    """The keys and names of a source that no reader should meet: those of more than one word."""
    if isinstance(record, dict):
        for key, inner in record.items():
            yield key
            yield from find_names(inner)
    elif isinstance(record, list):
        for inner in record:
            yield from find_names(inner)


@pytest.mark.parametrize("group", GROUPS)
def test_every_leaf_is_told_in_its_own_group(group: str) -> None:
    met = list(of_group(group))
    assert met
    for path, _, found in met:
        expected = GROUPS[group]
        keys = [key for key in path if not key.isdigit()]
        if keys[-1] in SOURCE_KEYS or (group == "fields" and keys[-1] == "note"):
            expected = "sources"
        elif path[:2] == ("edition", "codes") or (group == "subjects" and "from" in path):
            expected = "calls"
        assert list(found.groups) == [expected], path
        assert all(change.old != change.new for change in list_told(found)), path


def test_what_a_ruling_comes_to_is_a_call_exactly_where_some_play_comes_to_something_else() -> None:
    """Each table is contrasted anew, by what its rulings come to and nothing else."""
    for path, other, found in of_group("rulings"):
        code, subject = path[1].split("/")
        models = [library.rulings[code, subject] for library in (NOW, other)]
        tables = [construct_table(NOW.subjects[subject], model) for model in models]

        def same(left: str, right: str, models: list = models) -> bool:  # type: ignore[type-arg]
            (one, is_open), (two, is_still) = read_ending(left), read_ending(right)
            effects = [
                sign_effect(model.rulings[name]) for model, name in zip(models, (one, two), strict=True)
            ]
            return is_open == is_still and (is_open or effects[0] == effects[1])

        differ = contrast_tables(tables[0], tables[1], same)
        told = [change.call for change in found.calls if change.call]
        assert [call.when for call in told] == [dict(each.when.allowed) for each in differ], path
        assert list_told(found), path
        if not found.calls:
            assert found.summary.startswith("*No call in the tables changed.*")
        elif "never" not in path:
            assert differ, path
        assert all(
            (each.left_outcome == NO_RULING) == (call.old is None)
            for each, call in zip(differ, told, strict=True)
        )


@pytest.mark.parametrize("key", ["say", "signal", "headline", "see"])
def test_what_an_umpire_says_or_signals_is_wording_and_never_a_call(key: str) -> None:
    met = [found for path, _, found in of_group("rulings") if key in path[2:]]
    assert met
    for found in met:
        assert list(found.groups) == ["wording"]


def test_no_change_is_told_by_names_of_the_source() -> None:
    names = {name.rpartition("/")[2] for name in find_names(record_library(NOW))}
    hidden = {name for name in names if "-" in name and not any(letter.isdigit() for letter in name)}
    hidden |= {"mechanics/", "cautions/", "rulings/", *NOW.fields}
    printed = {
        word.strip("“”.,;:()").lower() for word in " ".join(_list_sentences(record_library(NOW))).split()
    }
    for path, _, found in single_changes():
        for change in list_told(found):
            said = {
                word.strip("“”*.,;:()")
                for words in (change.what, change.old, change.new)
                for word in words.split()
            }
            assert not {word for word in said & hidden if word.lower() not in printed}, path


def _list_sentences(record: object) -> Iterator[str]:
    """What the source says in sentences: values with a space in them."""
    if isinstance(record, dict):
        record = list(record.values())
    if isinstance(record, list):
        for inner in record:
            yield from _list_sentences(inner)
    elif isinstance(record, str) and " " in record:
        yield record


def test_every_leaf_that_is_kept_for_later_comparison_is_among_those_changed() -> None:
    """As many leaves as the record of the source has, but for names of files and what a leaf leaves out."""
    changed = {path for path, _ in leaf_changes()}
    own = {"level", "code", "subject", "caution", "plays"}
    record = {key: value for key, value in record_library(NOW).items() if key != "format"}
    for path in _list_leaves((), record):
        if len(path) != 3 or path[-1] not in own:
            assert path in changed, path


def _list_leaves(path: Path, record: object) -> Iterator[Path]:
    if isinstance(record, dict):
        for key, inner in record.items():
            yield from _list_leaves((*path, key), inner)
    elif isinstance(record, list):
        for number, inner in enumerate(record):
            yield from _list_leaves((*path, str(number)), inner)
    elif record not in (None, ""):
        yield path
