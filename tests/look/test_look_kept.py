"""What is kept between looks is what a fresh proof would give."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

import pytest
from source_folders import SourceFolders

from pocketref.edition.proof import Proof, prove, prove_whole
from pocketref.edition.whole_source import read_whole_source
from pocketref.look.keeper import Keeper, SupersededError
from pocketref.pages.page import Document
from pocketref.source.library import Library
from pocketref.source.syntax.kept_files import KeptFiles

ROOT = Path(__file__).parents[2]
T = TypeVar("T")


class CountingKeeper(Keeper):
    """Notes which steps were taken anew."""

    def __init__(self) -> None:
        super().__init__(lambda: False)
        self.taken: list[str] = []

    def make(self, name: str, library: Library, others: Sequence[object], step: object) -> T:  # type: ignore[override, type-var]
        def counted(made_from: Library) -> T:
            self.taken.append(name)
            return step(made_from)  # type: ignore[operator, no-any-return]

        return super().make(name, library, others, counted)


def list_documents(proof: Proof) -> dict[str, Document]:
    decks = [item for each in proof.classes for item in (each.deck, each.notes)]
    return {item.name: item.document for item in (*proof.cards, *proof.sheets, *decks)}


def test_after_each_edit_all_is_as_a_fresh_proof_has_it_and_only_what_changed_is_laid_out(
    tmp_path: Path,
) -> None:
    for name in ("content", "layouts"):
        shutil.copytree(ROOT / name, tmp_path / name)
    folders = SourceFolders(tmp_path)
    kept, keeper = KeptFiles(), CountingKeeper()

    def look() -> tuple[Proof, list[str]]:
        keeper.taken.clear()
        source = read_whole_source(folders.content, folders.layouts, "", kept)
        return prove_whole(source, (), keeper), list(keeper.taken)

    first, taken = look()
    assert len(taken) == len(first.cards) + len(first.sheets) + 2
    assert look()[1] == []
    # A comment moves every place in a file, and is no news to any face but that file's own.
    folders.replace("layouts/cards/contact.yaml", "card: contact", "# a note\ncard: contact")
    _, taken = look()
    assert "cards/contact" in taken
    assert not [name for name in taken if name.startswith("sheets/")]
    assert len([name for name in taken if name.startswith("cards/")]) <= 2  # the finder lists it
    # A caution, a ruling's words, a dimension: each reaches what it is printed on.
    folders.replace("content/cautions/lightning.yaml", "title: ", "title: Mind ")
    _, taken = look()
    assert "cards/cautions-weather" in taken
    assert "cards/contact" not in taken
    folders.replace("content/rulings/high-school/contact.yaml", "point at the batter", "point to the batter")
    _, taken = look()
    assert {"cards/contact", "cards/lanyard-contact", "plays"} <= set(taken)
    assert "cards/field" not in taken
    field = "content/fields/high-school-90-ft.yaml"
    folders.replace(
        field, "box-width:             {value: 4 ft,", "box-width:             {value: 3 ft 11 in,"
    )
    last, taken = look()
    assert {"cards/batters-box", "sheets/plate-area", "plays"} <= set(taken)
    fresh = prove(folders.content, folders.layouts)
    assert list_documents(last) == list_documents(fresh)
    assert last.warnings == fresh.warnings
    assert [sheet.name for sheet in last.plays.sheets] == [sheet.name for sheet in fresh.plays.sheets]


def test_a_step_that_is_superseded_is_not_taken(proven: Proof) -> None:
    keeper = Keeper(lambda: True)
    with pytest.raises(SupersededError):
        keeper.make("cards/any", proven.library, (), lambda library: library.edition)
