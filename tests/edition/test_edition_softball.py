"""The whole edition of a field that is not baseball's: printed, taped and judged by its own figures."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from field_samples import SOFTBALL, read_lengths
from field_sheets import read_pulls
from softball_samples import CARDS, LEVEL, ROOT, SHEETS, make_softball
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.proof import Proof, prove
from pocketref.field.plan import construct_plate_area
from pocketref.pages.words import list_texts
from pocketref.problems import PocketrefError
from pocketref.units.notation import spell_fractions
from pocketref.web.tape_data import build_tape_data

PLAN = construct_plate_area(read_lengths(SOFTBALL))


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> SourceFolders:
    return make_softball(tmp_path_factory.mktemp("softball"))


@pytest.fixture(scope="module")
def proof(folders: SourceFolders) -> Proof:
    return prove(folders.content, folders.layouts)


def tape(
    folders: SourceFolders, moved_in: dict[str, tuple[float, float]], misread_in: dict[str, float]
) -> str:
    rows = [
        "  - {{from: {}, to: {}, reading: {}}}".format(*name.split("-"), read)
        for name, read in read_pulls(PLAN, moved_in, misread_in).items()
    ]
    path = folders.root / "readings.yaml"
    head = [f"level: {LEVEL}", "plan: plate-area", "temperature: 68 F", "readings:"]
    path.write_text("\n".join([*head, *rows]))
    return CliRunner().invoke(main, ["tape", str(path), *folders.options]).output


def test_the_fields_cards_and_sheets_fit_and_say_its_own_figures(proof: Proof) -> None:
    said = {
        item.name: spell_fractions(
            " ".join(
                words for face in item.faces for block in face.body for words in list_texts(block.words())
            )
        )
        for item in (*proof.cards, *proof.sheets)
    }
    assert said.keys() == {*CARDS, *SHEETS}
    assert "from 4 ft ahead to 3 ft behind the plate's centre line" in said["batters-box"]
    assert "The pitching circle from above" in said["field"]
    assert "7 ft 7 3/8 in" in said["stakeout-plate"]
    assert "radius 8 ft" in said["stakeout-plate"]
    assert "5 ft 11 7/16 in" in said["plate-area"]  # √2 × 50.5 in: the foul line leaves the box by its side
    assert "84 ft 10 1/4 in" in said["bases"]
    assert "P2–F4 near front corner" in said["field-check"].replace("*", "")
    assert not [name for name, words in said.items() if "mound" in words.lower()]


def test_readings_of_such_a_field_end_in_what_to_move(folders: SourceFolders) -> None:
    assert "12 good" in tape(folders, {}, {})
    one = tape(folders, {"F3": (2.0, 0.0)}, {"A-T2": 12.0})
    assert "F3, outer front corner, first-base-side box: move it 2 in toward third" in one
    assert "misread: A-T2 reads 5 ft 9 1/2 in, 12 in too long" in one
    wrong_way_round = dict.fromkeys(("F1", "F2", "F3", "F4"), (0.0, -12.0))
    assert "F1 F2 F3 F4: out as a whole, move it 1 ft toward the pitcher" in tape(
        folders, wrong_way_round, {}
    )


def test_the_editions_page_judges_by_the_same_plans(proof: Proof) -> None:
    (level,) = build_tape_data(proof.library)["levels"].values()
    assert level["plans"].keys() == {"plate-area", "diamond"}
    x, y, _ = level["plans"]["plate-area"]["stations"]["F3"]
    assert (x, y) == pytest.approx((50.5 * 25.4, 56.5 * 25.4))


def test_a_mounds_sheet_is_left_out_and_refused_where_it_asks_for_the_level(folders: SourceFolders) -> None:
    sheet = (ROOT / "layouts/sheets/mound.yaml").read_text(encoding="utf-8")
    folders.add("layouts/sheets/mound.yaml", sheet)
    try:
        left_out = prove(folders.content, folders.layouts, only=("cards/field",))
        folders.replace("layouts/sheets/mound.yaml", "front:", f"for: [{LEVEL}]\nfront:")
        with pytest.raises(PocketrefError) as caught:
            prove(folders.content, folders.layouts, only=("sheets/mound",))
    finally:
        (folders.layouts / "sheets/mound.yaml").unlink()
    said = [problem.sentence for problem in left_out.warnings if problem.code == "level-left-out"]
    assert said == [f"'mound' is not made for {LEVEL}: it has a pitching circle in the place of a mound"]
    (problem,) = caught.value.problems
    assert problem.code == "mound-none"
    assert problem.where is not None
    assert problem.where.file == "layouts/sheets/mound.yaml"
