"""What is wrong with a class is told at its file and line, with the fix."""

from __future__ import annotations

import pytest
from class_samples import CLASS, add_class
from demo_cards import read_demo
from source_folders import SourceFolders

from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof, prove
from pocketref.problems import PocketrefError, Problem
from pocketref.publish.build import check_edition


def refuse(folders: SourceFolders, *changes: tuple[str, str]) -> Problem:
    """The one problem of the class with pieces of it replaced."""
    text = CLASS
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    add_class(folders, text)
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    (problem,) = caught.value.problems
    return problem


def accept(folders: SourceFolders, *changes: tuple[str, str]) -> Proof:
    text = CLASS
    for old, new in changes:
        text = text.replace(old, new)
    add_class(folders, text)
    return prove(folders.content, folders.layouts)


WRONG = [
    ("class: night", "class: evening", "name-mismatch", "1:8", "write 'class: night'"),
    ("part: box", "part: boxes", "value-choice", "9:12", "did you mean 'box'?"),
    ("subject: stance", "subject: stanse", "subject-unknown", "10:28", "did you mean 'stance'?"),
    ("level: 90-ft", "level: 95-ft", "level-unknown", "4:8", "did you mean '90-ft'?"),
    ("minutes: 20", "minutes: 2", "class-short", "5:10", "give them"),
    ("minutes: 20", "minutes: twenty", "value-number", "5:10", "write digits"),
    ("reading-distance: 8 m", "reading-distance: 8", "unit-missing", "6:20", ""),
    ("minutes: 20\n", "minutes: 20\nminuts: 3\n", "key-unknown", "6:1", "did you mean 'minutes'?"),
    ("part: box}", "part: box, minutes: 1}", "class-short", "9:26", "give them"),
]


@pytest.mark.parametrize(("old", "new", "code", "place", "hint"), WRONG, ids=[each[1] for each in WRONG])
def test_a_wrong_class_is_told_at_its_place(
    folders: SourceFolders, old: str, new: str, code: str, place: str, hint: str
) -> None:
    problem = refuse(folders, (old, new))
    assert problem.code == code
    assert problem.where is not None
    assert str(problem.where).endswith(f"layouts/classes/night.yaml:{place}")
    assert hint in problem.hint


def test_a_play_that_is_not_there_is_told_with_the_nearest(folders: SourceFolders) -> None:
    problem = refuse(folders, ("stance/on-the-chalk", "stance/on-the-chalc"))
    assert problem.code == "play-unknown"
    assert "did you mean" in problem.hint


def test_what_the_last_row_could_not_read_stops_the_class(folders: SourceFolders) -> None:
    add_class(folders, CLASS.replace("8 m", "60 m"))
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    errors = [each for each in caught.value.problems if each.code != "class-far"]
    assert {each.code for each in errors} == {"slide-full"}
    for each in errors:
        assert "screen-height" in each.hint
        assert str(each.where).startswith("layouts/classes/night.yaml:")


def test_a_last_row_too_far_from_the_picture_is_warned_of(folders: SourceFolders) -> None:
    # 6 heights of the picture: a maker of projectors' white paper of 2001, as the facts quote it.
    proof = accept(folders, ("8 m", "9.1 m"))
    (warning,) = [each for each in proof.warnings if each.code == "class-far"]
    assert "no more than 6 times its height, 9 m" in warning.sentence
    assert not [each for each in read_demo()[1].warnings if each.code == "class-far"]


def test_two_classes_that_would_make_one_file_are_told_apart(folders: SourceFolders) -> None:
    accept(folders)
    folders.add("layouts/classes/night-notes.yaml", CLASS.replace("class: night", "class: night-notes"))
    proof = prove(folders.content, folders.layouts)
    with pytest.raises(PocketrefError) as caught:
        check_edition(proof, PressRun())
    (problem,) = caught.value.problems
    assert problem.code == "file-twice"
    assert "classes/night-notes.pdf" in problem.sentence
