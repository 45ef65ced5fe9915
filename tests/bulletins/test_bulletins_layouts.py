"""Corrections of a layout alone: bar, bulletin and cards to change all tell of them."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from correction_samples import correct
from source_folders import FIXTURES, SourceFolders

from pocketref.bulletins.bulletin_sheet import write_holding
from pocketref.changes.change_set import LAYOUTS
from pocketref.changes.layout_changes import compare_kept_layouts
from pocketref.edition.proof import prove
from pocketref.edition.source_reading import read_source
from pocketref.pages.change_bar import ChangeBar
from pocketref.source.record import record_library, write_record

CARD = "layouts/cards/sight.yaml"
LOOK = "{block: text, text: mechanics/stance/look}"
LINES = "{block: text, text: mechanics/stance/lines}"
BOX = "layouts/cards/batters-box.yaml"
CALLS = "  - {block: calls, subject: stance}\n"


@pytest.mark.parametrize(
    ("edit", "told", "concerned", "barred"),
    [
        pytest.param(
            (CARD, LOOK, f"{LOOK}, {LINES}"),
            ("card 2 Look, front", "", "“The lines are in”"),
            ("2", ("front",)),
            [False, True],
            id="a block more",
        ),
        pytest.param(
            (
                CARD,
                LOOK,
                f"{{block: columns, columns: [{{share: 2, blocks: [{LOOK}]}}, {{share: 1, blocks: [{LINES}]}}]}}",
            ),
            ("card 2 Look, front", "", "“The lines are in”"),
            ("2", ("front",)),
            [False],
            id="a block more, in columns",
        ),
        pytest.param(
            (CARD, LOOK, f"{LOOK.replace('}', ', as: steps}')}, {LINES}"),
            (
                "card 2 Look, front",
                "“Look, then act”",
                "“Look, then act” laid out otherwise, “The lines are in”",
            ),
            ("2", ("front",)),
            [True, True],
            id="a block otherwise, and one more",
        ),
        pytest.param(
            (BOX, CALLS, ""),
            ("card 1 Batter's box and stance, back", "“Stance in the box”, calls", ""),
            ("1", ("back",)),
            [True],
            id="one fewer",
        ),
        pytest.param(
            (CARD, "title: Look", "title: Look here"),
            ("card 2, title", "Look", "Look here"),
            ("2", ("front", "back")),
            [False],
            id="a title",
        ),
    ],
)
def test_a_layout_that_changed_is_told(
    tmp_path: Path,
    edit: tuple[str, str, str],
    told: tuple[str, str, str],
    concerned: tuple[str, tuple[str, ...]],
    barred: list[bool],
) -> None:
    corrected = correct(tmp_path, edit)
    bulletin = corrected.bulletin
    assert [(each.what, each.old, each.new) for each in bulletin.changes.groups[LAYOUTS]] == [told]
    assert bulletin.changes.summary.startswith(
        "*No call in the tables changed.* Apart from calls: 1 line of layouts."
    )
    assert [(card.number, card.faces) for card in bulletin.cards] == [concerned]
    (item,) = [item for item in corrected.proof.cards if item.name == bulletin.cards[0].name]
    (face,) = [face for face in item.faces if face.name == concerned[1][0]]
    assert [isinstance(block, ChangeBar) for block in face.body] == barred
    assert isinstance(face.head, ChangeBar) is (told[0] == "card 2, title")
    assert "Every other card marked 2027 holds: nothing changed of what it shows." in write_holding(bulletin)


def test_a_card_that_is_new_is_among_those_to_print(tmp_path: Path) -> None:
    text = "card: more\nnumber: '3'\ntitle: More\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
    corrected = correct(
        tmp_path, created={"layouts/cards/more.yaml": f"{text}front: [{LOOK}]\nback: [{LINES}]\n"}
    )
    (card,) = corrected.bulletin.cards
    assert (card.number, card.is_new, [patch.why_not for patch in card.patches]) == ("3", True, ["it is new"])


def test_a_card_taken_out_is_not_said_to_hold(tmp_path: Path) -> None:
    text = "card: more\nnumber: '3'\ntitle: More\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
    name = "layouts/cards/more.yaml"
    added = {name: f"{text}front: [{LOOK}]\nback: [{LINES}]\n"}
    corrected = correct(
        tmp_path,
        ("content/mechanics/stance.yaml", "Feet first", "Feet before all"),
        added=added,
        removed=[name],
    )
    assert [card.number for card in corrected.bulletin.cards] == ["2"]
    gone, held, *_ = write_holding(corrected.bulletin)
    assert gone == "No longer among cards and sheets, and not compared: *3* More."
    assert held.startswith("Every other card marked 2027 holds")


def test_a_sheet_that_is_new_is_to_be_printed(tmp_path: Path) -> None:
    text = (FIXTURES / "layouts/sheets/plate-area.yaml").read_text(encoding="utf-8")
    text = text.replace("sheet: plate-area", "sheet: more").replace("Plate-area check", "More")
    bulletin = correct(tmp_path, created={"layouts/sheets/more.yaml": text}).bulletin
    assert write_holding(bulletin)[1:] == ("New, to print: *More*.",)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("association: Larkmoor Test Umpires", "association: Larkmoor Guild", "its association"),
        ("through: 2027-12-31", "through: 2027-11-30", "its last day"),
    ],
)
def test_what_footers_say_of_the_edition_is_told_where_it_changed(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    held, sheets = write_holding(correct(tmp_path, ("content/edition.yaml", old, new)).bulletin)
    assert held.startswith("Every card marked 2027 holds: nothing changed of what it shows but ")
    assert held.endswith(f"but what it says of the edition: {said}.")
    assert sheets == "No field sheet shows any of this but what it says of the edition."


def test_what_no_past_edition_keeps_is_supposed(tmp_path: Path) -> None:
    bulletin = correct(tmp_path, (CARD, "title: Look", "title: Look here")).bulletin
    (held, _) = write_holding(replace(bulletin, knows_layouts=False, shows_pictures=True))
    assert held.endswith("This supposes that layouts and pictures are as they were.")


def test_a_layout_for_all_levels_is_kept_as_that_of_one_and_read_back(folders: SourceFolders) -> None:
    text = "card: more\nnumber: '3'\ntitle: More\nstock: index-3x5\nfor: all-in-force\n"
    folders.add("layouts/cards/more.yaml", f"{text}front: [{LOOK}]\nback: [{LINES}]\n")
    library = prove(folders.content, folders.layouts).library
    folders.add("content/past/2026.json", write_record(library).decode())
    kept = read_source(folders.content / "past/2026.json")
    assert any(name.startswith("cards/more") for name in kept.layouts)
    assert kept.layouts.keys() == library.layouts.keys()
    assert list(compare_kept_layouts(kept, library)) == []


@pytest.mark.parametrize(
    "unknown", [{"block": "dial"}, {"block": "calls", "subject": "stance", "as": "dial"}]
)
def test_a_kept_layout_that_this_program_cannot_read_is_told_and_not_compared(
    folders: SourceFolders, unknown: dict[str, str]
) -> None:
    kept = record_library(prove(folders.content, folders.layouts).library)
    kept["edition"] |= {"edition": "2026", "valid": {"from": "2026-02-01", "through": "2026-12-31"}}
    kept["layouts"]["cards/batters-box"]["back"][1] = unknown
    folders.add("content/past/2026.json", json.dumps(kept))
    proof = prove(folders.content, folders.layouts)
    (warning,) = [each for each in proof.warnings if each.code == "past-layouts"]
    assert warning.sentence == (
        "this pocketref cannot read the layout cards/batters-box that content/past/2026.json keeps"
    )
    assert not proof.past[-1].layouts


def test_a_card_that_lists_others_holds_while_they_say_otherwise_but_are_where_they_were(
    tmp_path: Path,
) -> None:
    """It tells what a bar means, too, whichever edition that is measured from."""
    card = "card: lists\nnumber: '4'\ntitle: Lists\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
    blocks = f"front: [{{block: finder}}, {{block: symbols}}]\nback: [{LINES}]\n"
    corrected = correct(
        tmp_path,
        ("content/rulings/high-school/stance.yaml", "headline: ", "headline: Say "),
        added={"layouts/cards/lists.yaml": card + blocks},
    )
    assert [card.number for card in corrected.bulletin.cards] == ["1"]
    (lists,) = [item for item in corrected.proof.cards if item.name == "lists"]
    assert "new since the edition before" in str(lists.faces[0].body)
