"""What spoilt files once brought to light, each kept from coming back."""

from __future__ import annotations

import json
import warnings
from collections.abc import Callable, Mapping
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from field_sheets import LEVEL, library, publish
from refusals import collect
from source_folders import SourceFolders

from pocketref.blocks.picture import PictureBlockModel
from pocketref.blocks.setting import Setting
from pocketref.edition.manifest import MANIFEST, BuiltFile
from pocketref.edition.proof import Proof, prove
from pocketref.edition.source_reading import read_edition_source
from pocketref.edition.verify import verify_folder
from pocketref.members.roster import read_roster
from pocketref.pages.type_scale import sizes_for
from pocketref.plays.plays import RuleBooks
from pocketref.publish.build import publish_edition
from pocketref.tape.mound_readings import read_slope_field
from pocketref.tape_report.tape_file import judge_file

READINGS = f"level: {LEVEL}\nplan: plate-area\nreadings:\n  - {{from: A, to: F1, reading: 2 ft 6 in}}\n"


def codes_of(call: Callable[[], object]) -> set[str]:
    """The codes of what is refused, once all of it was found to be well told."""
    return {problem.code for problem in collect(call)}


def test_readings_that_fix_too_little_are_no_reason_to_refuse_the_file(tmp_path: Path) -> None:
    path = tmp_path / "readings.yaml"
    path.write_text(READINGS)
    assert codes_of(lambda: judge_file(path, library())) == set()
    assert judge_file(path, library()).has_findings


def test_a_station_of_thousands_of_letters_is_told_in_few(tmp_path: Path) -> None:
    path = tmp_path / "readings.yaml"
    path.write_text(READINGS.replace("F1", "F" * 5000))
    assert codes_of(lambda: judge_file(path, library())) == {"station-unknown"}


def test_more_faults_than_are_listed_are_told_of_the_roster(tmp_path: Path) -> None:
    path = tmp_path / "roster.csv"
    path.write_text("name,number,chapter,code,level,quantity\n" + "=1,1,A,b,c,1\n" * 60)
    assert codes_of(lambda: read_roster(path)) == {"roster-formula", "roster-row"}


@pytest.mark.parametrize(
    "name", ["below-1_1-0-in", f"below-{'9' * 5000}-in", f"below-1_{'9' * 5000}-2-in", "below--1-in"]
)
def test_a_field_s_name_that_is_no_height_s_is_passed_over(name: str) -> None:
    assert read_slope_field(name) is None


Change = Callable[[pikepdf.Pdf], None]


def damage_parent(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].obj.Annots[0].Parent = pikepdf.Array([5, pikepdf.Name.Nothing])


def name_other_edition(pdf: pikepdf.Pdf) -> None:
    pdf.docinfo["/Subject"] = pikepdf.String("sheet plate-area, edition " + "9" * 5000)


def name_other_level(pdf: pikepdf.Pdf) -> None:
    pdf.docinfo["/Keywords"] = pikepdf.String("level " + "a" * 5000)


def type_at_length(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        for widget in page.obj.get("/Annots", []):
            widget.V = pikepdf.String("x" * 5000)


def name_at_length(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        for widget in page.obj.get("/Annots", []):
            widget.T = pikepdf.String("A" * 5000 + "-" + "F" * 5000)


def divide_by_nothing(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        for widget in page.obj.get("/Annots", []):
            widget.T = pikepdf.String("below-1_1-0-in")


SHEETS: dict[str, tuple[Change, set[str]]] = {
    "a-parent-that-is-no-field": (damage_parent, {"sheet-unreadable"}),
    "an-edition-of-thousands-of-digits": (name_other_edition, {"sheet-edition"}),
    "a-level-of-thousands-of-letters": (name_other_level, {"level-unknown"}),
    "thousands-of-letters-typed": (type_at_length, {"length-notation", "tape-unknown", "value-temperature"}),
    "a-field-s-name-of-thousands-of-letters": (name_at_length, {"sheet-without-readings"}),
    "a-field-that-divides-by-nothing": (divide_by_nothing, {"sheet-without-readings"}),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_spoilt_sheet_is_refused_in_a_bearable_sentence(name: str, tmp_path: Path) -> None:
    change, codes = SHEETS[name]
    saved = BytesIO()
    with pikepdf.open(BytesIO(publish("plate-area"))) as pdf, warnings.catch_warnings(action="ignore"):
        change(pdf)
        pdf.save(saved)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(saved.getvalue())
    assert codes_of(lambda: judge_file(path, library())) <= codes
    assert codes_of(lambda: judge_file(path, library()))


@pytest.mark.parametrize("name", ["foot-cases", "positions", "slot"])
@pytest.mark.parametrize("width_mm", [-2.0, 0.0, 1.0])
def test_a_picture_with_no_room_says_how_much_too_wide_it_is(name: str, width_mm: float) -> None:
    block = PictureBlockModel(block="picture", picture=name).build(
        Setting(library(), "high-school", "90-ft", "card")
    )
    sizes = sizes_for(8, 7.6)
    assert block.excess_mm(width_mm, sizes) > 0
    assert block.measure_mm(width_mm, sizes) > 0


@pytest.mark.parametrize("share", ["0.000000001", "0.01", "99999"])
@pytest.mark.parametrize("picture", ["slot", "positions"])
def test_pictures_in_a_column_of_hardly_any_width_are_too_wide_or_have_a_face_of_their_own(
    share: str, picture: str, folders: SourceFolders
) -> None:
    block = "- {block: figure, figure: plate-area, smallest: 50}"
    folders.replace("layouts/cards/batters-box.yaml", block, f"- {{block: picture, picture: {picture}}}")
    folders.replace("layouts/cards/batters-box.yaml", "share: 67", f"share: {share}")
    found = codes_of(lambda: prove(folders.content, folders.layouts))
    if not found:  # cut: beside the front and the back
        assert len(prove(folders.content, folders.layouts).cards[0].faces) > 2
    assert found <= {"block-too-large", "dimension-missing"}


def test_pictures_of_a_table_that_the_code_lacks_are_refused(folders: SourceFolders) -> None:
    block = "- {block: figure, figure: plate-area, smallest: 50}"
    folders.replace("layouts/cards/batters-box.yaml", block, "- {block: picture, picture: foot-cases}")
    assert "subject-unknown" in codes_of(lambda: prove(folders.content, folders.layouts))


def test_a_field_that_pictures_of_plays_cannot_be_drawn_on_is_told_with_its_place() -> None:
    field = library().fields[LEVEL]
    wide = {**field.dimensions, "line-width": field.dimensions["box-width"]}
    spoilt = replace(library(), fields={LEVEL: field.model_copy(update={"dimensions": wide})})
    assert codes_of(lambda: RuleBooks(spoilt).plan("high-school")) == {"dimension-inconsistent"}
    assert codes_of(lambda: RuleBooks(replace(library(), fields={})).plan("high-school")) == {"level-unknown"}


def test_half_a_surrogate_pair_in_a_manifest_is_an_alteration(
    built: Mapping[str, BuiltFile], proven: Proof, tmp_path: Path
) -> None:
    folder = publish_edition(proven, [built["source.json"]], tmp_path)
    path = folder / MANIFEST
    path.write_text(path.read_text().replace('"season": "2027"', '"season": "\\ud800"'))
    assert [problem.code for problem in verify_folder(folder).problems] == ["manifest-altered"]


@pytest.mark.parametrize("key", ["a" * 5000, "\x1b[2J"])
def test_a_stored_source_with_an_odd_key_is_refused_in_a_bearable_sentence(
    key: str, built: Mapping[str, BuiltFile], tmp_path: Path
) -> None:
    content = json.loads(built["source.json"].data)
    content["edition"][key] = content["fields"][key] = "x"
    path = tmp_path / "source.json"
    path.write_text(json.dumps(content))
    assert codes_of(lambda: read_edition_source(path)) == {"edition-broken"}
