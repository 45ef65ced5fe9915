"""A crew's readings: typed into the published sheet or written as YAML and CSV, judged, answered, reported."""

from __future__ import annotations

import json
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result
from field_sheets import CONTENT, LAYOUTS, LEVEL, fill_sheet, lengths_of, plan_of, publish, read_pulls

from pocketref.cli import main
from pocketref.field.mound import list_slope
from pocketref.output.reading.readback import read_pdf
from pocketref.tape.mound_readings import write_slope_field
from pocketref.units.notation import write_feet_inches

OPTIONS = ("--content", str(CONTENT), "--layouts", str(LAYOUTS))
PLATE = plan_of("plate-area")
ONE_CORNER = read_pulls(PLATE, {"F3": (2.0, 0.0)}, {"A-T2": 12.0})
"""One corner 2 in off toward first, and one pull read a foot too long."""


def tape(file: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["tape", str(file), *OPTIONS, *arguments])


def save(folder: Path, name: str, values: dict[str, str], sheet: str = "plate-area") -> Path:
    path = folder / name
    path.write_bytes(fill_sheet(publish(sheet), values))
    return path


def write_yaml(folder: Path, readings: dict[str, str], plan: str = "plate-area") -> Path:
    rows = [
        f"  - {{from: {n.split('-')[0]}, to: {n.split('-')[1]}, reading: {r}}}" for n, r in readings.items()
    ]
    path = folder / "readings.yaml"
    path.write_text("\n".join([f"level: {LEVEL}", f"plan: {plan}", "temperature: 80 F", "readings:", *rows]))
    return path


def write_csv(folder: Path, readings: dict[str, str]) -> Path:
    rows = [f"{name.replace('-', ',')},{reading}" for name, reading in readings.items()]
    path = folder / "readings.csv"
    path.write_text("\n".join([f"level,{LEVEL}", "plan,plate-area", "from,to,reading", *rows]))
    return path


# --- what a crew asks for ---


@pytest.mark.parametrize(
    "make",
    [
        lambda folder: save(
            folder, "filled.pdf", ONE_CORNER | {"Tape used": "100 ft steel", "Temperature": "80 F"}
        ),
        lambda folder: write_yaml(folder, ONE_CORNER),
        lambda folder: write_csv(folder, ONE_CORNER),
    ],
    ids=["filled sheet", "yaml", "csv"],
)
def test_a_corner_out_and_a_misread_are_named_with_the_move(
    make: Callable[[Path], Path], tmp_path: Path
) -> None:
    done = tape(make(tmp_path))
    assert done.exit_code == 1, done.output
    lines = done.stdout.splitlines()
    assert "1 to move, 13 good" in lines
    assert any(
        line.startswith("F3, outer front corner") and "move it 2 in toward third" in line for line in lines
    )
    assert any(line.startswith("misread: A-T2 reads") and "12 in too long" in line for line in lines)
    assert any(line.startswith("leave: ") for line in lines)
    assert "lime" in done.stdout


def test_a_true_plate_area_is_all_good_and_ends_well(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "true.pdf", read_pulls(PLATE, {})))
    assert done.exit_code == 0, done.output
    assert "14 good" in done.stdout
    assert "out" not in done.stdout.replace("without", "")


def test_true_bases_pass_and_how_well_they_are_known_is_told(tmp_path: Path) -> None:
    fields = {f.name for f in pypdf_fields(publish("bases"))}
    readings = {n: r for n, r in read_pulls(plan_of("diamond"), {}).items() if n in fields}
    done = tape(save(tmp_path, "steel.pdf", readings, "bases"))
    assert done.exit_code == 0, done.output
    assert "9 good" in done.stdout
    done = tape(save(tmp_path, "stretchy.pdf", readings | {"Tape used": "fibreglass"}, "bases"))
    assert done.exit_code == 0, done.output
    (line,) = [
        line for line in done.stdout.splitlines() if line.startswith("leave, as far as this tape tells")
    ]
    assert "known to " in line


def pypdf_fields(data: bytes) -> list[pypdf.generic.Field]:
    return list((pypdf.PdfReader(BytesIO(data)).get_fields() or {}).values())


def test_a_base_out_is_told_in_field_words(tmp_path: Path) -> None:
    names = {f.name for f in pypdf_fields(publish("bases"))}
    readings = read_pulls(plan_of("diamond"), {"1B": (1.5, 1.5), "1A": (1.5, 1.5)})
    filled = {n: r for n, r in readings.items() if n in names} | {"Temperature": "70 F"}
    done = tape(save(tmp_path, "bases.pdf", filled, "bases"))
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("1B, ")]
    assert "toward the backstop" in line
    assert "toward third" in line


def test_a_mound_sheet_is_judged_against_the_slope(tmp_path: Path) -> None:
    values = {"plate-height": "10 in"}
    for point in list_slope(lengths_of()):
        values[write_slope_field(point.ahead)] = write_feet_inches(point.below_plate)
    assert tape(save(tmp_path, "true.pdf", values, "mound")).exit_code == 0
    done = tape(save(tmp_path, "low.pdf", values | {"below-30-in": "2 3/4 in"}, "mound"))
    assert done.exit_code == 1
    assert "30 in ahead of the pitcher's plate: off: add 3/4 in" in done.stdout


def test_a_mound_as_yaml_is_judged_too(tmp_path: Path) -> None:
    path = tmp_path / "mound.yaml"
    path.write_text(
        f"level: {LEVEL}\nplan: mound\nplate-height: 10 1/2 in\nreadings:\n  - {{ahead: 18 in, below: 1 in}}\n"
    )
    done = tape(path)
    assert done.exit_code == 1
    assert "pitcher's plate above home plate: off: lower it 1/2 in" in done.stdout


def test_the_answer_as_json_has_verdicts_and_the_misread(tmp_path: Path) -> None:
    done = tape(write_yaml(tmp_path, ONE_CORNER), "--json")
    said = json.loads(done.stdout)
    assert said["stations"]["F3"]["verdict"] == "move it"
    assert said["stations"]["F3"]["move"] == "2 in toward third"
    assert said["misreads"] == {"A-T2": pytest.approx(12 * 25.4, abs=4)}
    assert said["tape"] is None
    assert said["one-of"] == []


def test_the_report_is_drawn_with_its_factor_cautions_and_edition(tmp_path: Path) -> None:
    target = tmp_path / "report.pdf"
    done = tape(write_yaml(tmp_path, ONE_CORNER), "--report", str(target))
    assert done.exit_code == 1, done.output
    printed = read_pdf(target.read_bytes())
    words = " ".join(run.content for page in printed.pages for run in page.texts).replace("\u00a0", " ")
    assert "times larger than the plan" in words
    assert "move it 2 in toward third" in words
    assert "misread A-T2" in words
    assert "lime" in words
    assert "edition 2027" in words
    tables = [page for page in printed.pages if any(run.content == "Readings" for run in page.texts)]
    assert tables


def test_a_mounds_answer_lists_what_was_not_measured(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "few.pdf", {"plate-height": "10 in", "below-6-in": "0 in"}, "mound"))
    assert done.exit_code == 1
    assert "not measured: 18 in, 30 in, 42 in, " in done.stdout


# --- what goes wrong ---


def refuse(done: Result, *words: str) -> None:
    assert done.exit_code == 2, done.output
    assert done.stdout == ""
    for word in words:
        assert word in done.stderr


def test_a_fault_in_a_field_names_the_field(tmp_path: Path) -> None:
    values = {
        "A-F1": "31",
        "A-F2": "5 ft 20 in",
        "T2-T3": "1829 mmm",
        "Temperature": "80",
        "Tape used": "rope",
    }
    done = tape(save(tmp_path, "bad.pdf", values))
    refuse(done, "field A-F1", "31 has no unit", "field A-F2", "field T2-T3", "did you mean 'mm'")
    refuse(done, "field Temperature", "80 has no unit", "field Tape used", "which kind of tape")


def test_a_reading_that_cannot_be_names_its_field(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "far.pdf", {"T1-F1": "0 ft"}))
    refuse(done, "field T1-F1", "0")


def test_a_wild_reading_is_one_misread_and_the_rest_is_judged(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "far.pdf", read_pulls(PLATE, {}) | {"T1-F1": "29 ft"}))
    assert done.exit_code == 1
    assert "misread: T1-F1 reads 29 ft, 26 ft 7 in too long (inches written as feet?)" in done.stdout
    assert "14 good" in done.stdout


def test_a_mound_height_that_cannot_be_names_its_field(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "deep.pdf", {"below-18-in": "9 ft"}, "mound"))
    refuse(done, "field below-18-in", "check the unit")


def test_too_few_pulls_say_which_to_add(tmp_path: Path) -> None:
    done = tape(save(tmp_path, "few.pdf", {"A-F1": "31 1/8 in", "P2-T4": "35 7/8 in", "P3-T4": "28 1/8 in"}))
    assert done.exit_code == 1
    assert "F1, inner back corner, first-base-side box: too few pulls fix it; tape " in done.stdout
    assert "leave: T4" in done.stdout or "as far as this tape tells: T4" in done.stdout


def test_an_empty_sheet_is_told(tmp_path: Path) -> None:
    refuse(tape(save(tmp_path, "empty.pdf", {})), "nothing is filled in on empty.pdf")


def test_a_pdf_that_is_no_sheet_is_told(tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    path.write_bytes(publish("batters-box"))
    refuse(tape(path), "card.pdf is a PDF, but no sheet of an edition")
    path.write_bytes(b"%PDF-1.7\nnothing")
    refuse(tape(path), "can't be read as a PDF")


def test_a_sheet_without_blanks_for_readings_is_told(tmp_path: Path) -> None:
    path = tmp_path / "stakeout.pdf"
    path.write_bytes(publish("stakeout-plate"))
    refuse(tape(path), "no fields to fill in")


def test_a_sheet_of_another_edition_or_level_is_told(tmp_path: Path) -> None:
    path = save(tmp_path, "plate.pdf", {"A-F1": "31 1/8 in"})
    refuse(tape(path, "--level", "youth-60-ft"), f"plate.pdf is of level {LEVEL}, not youth-60-ft")
    refuse(tape(path, "--level", "high-school-90-fr"), "there is no level", f"did you mean '{LEVEL}'?")
    writer = pypdf.PdfWriter(clone_from=path)
    writer.add_metadata({"/Subject": "sheet plate-area, edition 2026"})
    writer.write(path)
    refuse(tape(path), "of edition 2026, but the content is of edition 2027")


def test_an_unknown_station_or_file_is_told_with_its_place(tmp_path: Path) -> None:
    done = tape(write_yaml(tmp_path, {"A-F9": "2 ft"}))
    refuse(done, "readings.yaml:5:", "no station 'F9'")
    refuse(tape(tmp_path / "none.yaml"), "none.yaml is not there")


def test_a_line_width_is_a_length_that_leaves_room_in_the_boxes(tmp_path: Path) -> None:
    path = write_yaml(tmp_path, ONE_CORNER)
    assert tape(path, "--line-width", "4 in").exit_code == 1
    refuse(tape(path, "--line-width", "4"), "the line width '4'", "has no unit")
    refuse(tape(path, "--line-width", "3 ft"), "no room inside the batter's box")


def test_a_report_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    done = tape(write_yaml(tmp_path, ONE_CORNER), "--report", str(tmp_path / "no" / "folder.pdf"))
    refuse(done, "the report cannot be written")


def test_a_report_never_takes_the_place_of_the_readings(tmp_path: Path) -> None:
    path = save(tmp_path, "sheet.pdf", {})
    before = path.read_bytes()
    refuse(tape(path, "--report", str(path)), "would take the place of the readings themselves")
    assert path.read_bytes() == before
