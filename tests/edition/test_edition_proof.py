"""Proof: everything checked, everything told at once, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest
from source_folders import SourceFolders

import pocketref
from pocketref.edition.proof import Proof, prove
from pocketref.problems import PocketrefError
from pocketref.publish.starter import find_folder


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


EDITION, CARD = "content/edition.yaml", "layouts/cards/batters-box.yaml"


def warn(folders: SourceFolders) -> dict[str, str]:
    """The warnings by code, each with where it stands."""
    return {each.code: str(each.where) for each in prove(folders.content, folders.layouts).warnings}


def test_a_code_in_force_that_no_layout_rules_by_and_the_layouts_of_another_are_told(
    folders: SourceFolders,
) -> None:
    for name in ("content/rulings/high-school/stance.yaml", "content/fields/high-school-90-ft.yaml"):
        text = (folders.root / name).read_text(encoding="utf-8").replace("code: high-school", "code: youth")
        folders.add(name.replace("high-school", "youth"), text)
    folders.replace(
        "content/codes.yaml", "codes:\n", "codes:\n  youth: {name: Youth, mark: YO, work: field-book}\n"
    )
    folders.replace(EDITION, "codes: [high-school]", "codes: [youth]")
    folders.replace(EDITION, "levels: [high-school-90-ft]", "levels: [youth-90-ft]")
    found = warn(folders)
    assert found.keys() == {"code-not-in-force", "level-not-printed"}
    assert found["code-not-in-force"].startswith(f"{CARD}:")
    assert found["level-not-printed"] == f"{EDITION}:8:10"
    folders.replace(EDITION, "codes: [youth]", "codes: [youth, high-school]")
    assert warn(folders).keys() == {"level-not-in-force", "level-not-printed"}


def test_two_cards_of_one_number_are_told(folders: SourceFolders) -> None:
    text = (folders.root / CARD).read_text(encoding="utf-8").replace("card: batters-box", "card: other")
    folders.add("layouts/cards/other.yaml", text)
    assert warn(folders) == {"number-twice": "layouts/cards/other.yaml:2:9"}


def test_a_stock_larger_than_every_paper_is_told_and_one_larger_than_any_sheet(
    folders: SourceFolders,
) -> None:
    folders.replace("layouts/stocks.yaml", "width: 5 in", "width: 40 in")
    with pytest.raises(PocketrefError, match="40 in by 3 in, is larger than every paper"):
        prove(folders.content, folders.layouts)
    folders.replace("layouts/stocks.yaml", "width: 40 in", "width: 70 in")
    with pytest.raises(PocketrefError, match="larger than any sheet that is printed on"):
        prove(folders.content, folders.layouts)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("content/cautions/marking.yaml", "Local rules", "*Local rules"),
        ("content/mechanics/stance.yaml", "*as the batter sets*", "*as the batter sets"),
    ],
)
def test_an_asterisk_without_a_second_one_is_told_where_it_stands(
    name: str, old: str, new: str, folders: SourceFolders
) -> None:
    folders.replace(name, old, new)
    (warning,) = prove(folders.content, folders.layouts).warnings
    assert warning.code == "text-bold-open"
    assert warning.where is not None
    assert warning.where.file == name
    assert new in warning.where.text


def test_an_association_s_name_too_long_for_the_footers_is_one_error_at_the_name(
    folders: SourceFolders,
) -> None:
    folders.replace(EDITION, "Larkmoor Test Umpires", "Larkmoor Test Umpires " + "of Everywhere " * 8)
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    (problem,) = caught.value.problems
    assert problem.code == "association-long"
    assert str(problem.where) == f"{EDITION}:2:14"
    assert "index card, 3 x 5 in" in problem.sentence  # the narrowest of the stocks in use
    assert "shorten the association's name" in problem.hint


@pytest.mark.parametrize("letters", range(56, 92, 4))
def test_a_name_that_some_footer_has_no_room_for_is_told_at_whatever_size_is_the_least(
    folders: SourceFolders, letters: int
) -> None:
    """The scale begins below the floor, and the least size in use is above it: each card fits, or the name is told."""
    folders.replace("layouts/styles.yaml", "card-scale: [", "card-scale: [7, 10.4]  # [")
    folders.replace(EDITION, "Larkmoor Test Umpires", "L" * letters)
    cards, told = 0, set[str]()
    try:
        cards = len(prove(folders.content, folders.layouts, "index-4x6").cards)
    except PocketrefError as error:
        told = {problem.code for problem in error.problems}
    assert ("association-long" in told) != (cards > 0)


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


def test_a_missing_dimension_is_told_once_in_the_field_that_lacks_it(folders: SourceFolders) -> None:
    field = "content/fields/high-school-90-ft.yaml"
    text = (folders.root / field).read_text(encoding="utf-8")
    rows = [row for row in text.splitlines() if not row.strip().startswith("box-length")]
    assert len(rows) < len(text.splitlines())
    (folders.root / field).write_text("\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    found = [p for p in caught.value.problems if p.code == "dimension-missing"]
    assert [p.sentence for p in found] == ["the field has no 'box-length'"]
    assert found[0].where is not None
    assert found[0].where.file == field
    assert found[0].hint.startswith("add 'box-length' to its dimensions")
