"""Proof: everything checked, everything told at once, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest
from source_folders import SourceFolders

import pocketref
from pocketref.edition.proof import Proof, prove
from pocketref.edition.starter import find_folder
from pocketref.problems import PocketrefError


def refuse(folders: SourceFolders, stock: str = "") -> list[str]:
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts, stock)
    return [problem.code for problem in caught.value.problems]


def test_a_sound_source_is_laid_out_and_counted(proven: Proof) -> None:
    assert [card.name for card in proven.cards] == ["batters-box"]
    assert [sheet.name for sheet in proven.sheets] == ["plate-area"]
    assert proven.tables == 1
    assert proven.combinations == 2 * 2 * 2
    assert proven.warnings == ()


def test_what_is_from_memory_is_listed_with_its_place(proven: Proof) -> None:
    assert proven.from_memory == (
        "content/fields/high-school-90-ft.yaml:5:23: high-school-90-ft: plate-width",
        "content/fields/high-school-90-ft.yaml:6:23: high-school-90-ft: plate-rear-edge",
    )


def test_proof_writes_nothing(folders: SourceFolders) -> None:
    before = sorted(folders.root.parent.rglob("*"))
    prove(folders.content, folders.layouts)
    assert sorted(folders.root.parent.rglob("*")) == before


def test_a_card_and_a_sheet_that_do_not_fit_are_both_told(folders: SourceFolders) -> None:
    folders.replace("layouts/cards/batters-box.yaml", "smallest: 50", "smallest: 20")
    folders.replace("layouts/sheets/plate-area.yaml", "smallest: 40", "smallest: 10")
    codes = refuse(folders)
    assert codes.count("block-too-large") >= 2


def test_a_table_that_misses_a_play_is_told_whether_or_not_a_card_shows_it(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/high-school/stance.yaml",
        '{over-line: "yes", pitch-started: "no", told: "yes"}',
        "{}",
    )
    folders.replace(
        "layouts/cards/batters-box.yaml",
        "{block: chart, subject: stance}",
        "{block: caution, caution: marking}",
    )
    assert "table-overlap" in refuse(folders)


def test_an_idle_fact_is_a_warning(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/subjects/stance.yaml",
        "facts:\n",
        'facts:\n  windy:\n    ask: Windy?\n    answers: {"yes": windy, "no": calm}\n',
    )
    (warning,) = prove(folders.content, folders.layouts).warnings
    assert "windy" in warning.sentence
    assert warning.code == "fact-idle"


def test_an_unknown_stock_is_told_with_the_nearest_one(folders: SourceFolders) -> None:
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts, "index-4x")
    (problem,) = caught.value.problems
    assert problem.code == "stock-unknown"
    assert problem.hint == "did you mean 'index-4x6'?"


def test_the_inputs_are_every_source_file(proven: Proof, folders: SourceFolders) -> None:
    names = {path.relative_to(folders.root).as_posix() for path in folders.root.rglob("*.yaml")}
    assert set(proven.inputs) == names


def test_a_folder_given_comes_before_one_beside_and_that_before_the_starter_set(tmp_path: Path) -> None:
    given, beside = tmp_path / "mine", tmp_path / "here"
    (beside / "content").mkdir(parents=True)
    assert find_folder("content", given, beside) == given
    assert find_folder("content", None, beside) == beside / "content"
    starter = find_folder("content", None, tmp_path)
    assert starter.is_dir()
    assert starter.is_relative_to(Path(pocketref.__file__).parents[1])
