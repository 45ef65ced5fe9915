"""What the answer tells a crew about misreads, the plate, the tape and what was not taped; as text and JSON."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result
from field_sheets import CONTENT, LAYOUTS, LEVEL, fill_sheet, plan_of, publish, read_pulls

from pocketref.cli import main
from pocketref.output.reading.readback import read_pdf
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.units.notation import read_length

OPTIONS = ("--content", str(CONTENT), "--layouts", str(LAYOUTS))
PLATE, DIAMOND = plan_of("plate-area"), plan_of("diamond")
HALF_INCH = read_length("1/2 in")
BASES = {pull.name for pull in choose_sheet_pulls(DIAMOND, HALF_INCH).must}


def tape(
    folder: Path, readings: dict[str, str], *arguments: str, head: str = "", plan: str = "plate-area"
) -> Result:
    rows = [f"{name.replace('-', ',')},{reading}" for name, reading in readings.items()]
    path = folder / "readings.csv"
    path.write_text("\n".join([f"level,{LEVEL}", f"plan,{plan}{head}", "from,to,reading", *rows]))
    return CliRunner().invoke(main, ["tape", str(path), *OPTIONS, *arguments])


def test_swapped_readings_are_told_first_and_nothing_is_to_be_moved(tmp_path: Path) -> None:
    readings = read_pulls(PLATE, {})
    readings["P2-F4"], readings["P2-F1"] = readings["P2-F1"], readings["P2-F4"]
    done = tape(tmp_path, readings)
    assert "move it" not in done.stdout
    line = done.stdout.splitlines()[1]
    assert line.startswith("misread: ")
    assert "P2-F4" in line
    assert "P2-F1" in line
    assert line.endswith("look swapped; both left out, tape both again")
    said = json.loads(tape(tmp_path, readings, "--json").stdout)
    assert {name for pair in said["swapped"] for name in pair} == {"P2-F4", "P2-F1"}
    assert said["misreads"].keys() == {"P2-F4", "P2-F1"}
    assert said["agree"]


def test_readings_that_nothing_explains_come_first_and_judge_nothing(tmp_path: Path) -> None:
    readings = {name: read for name, read in read_pulls(DIAMOND, {}).items() if name in BASES}
    off = dict(zip(sorted(BASES), (9.0, -5.0, 21.0, -8.0, 13.0, -7.0, 11.0) * 3, strict=False))
    done = tape(
        tmp_path, {n: r for n, r in read_pulls(DIAMOND, {}, off).items() if n in readings}, plan="diamond"
    )
    assert done.exit_code == 1
    assert done.stdout.splitlines()[1].startswith(
        "the readings disagree by more than this tape explains: nothing"
    )
    assert "tape these again first: " in done.stdout
    assert "misread" not in done.stdout
    assert "move it" not in done.stdout


def test_the_plate_is_told_to_be_true_or_not_before_the_rest(tmp_path: Path) -> None:
    true = tape(tmp_path, read_pulls(PLATE, {}))
    assert "home plate is true by its 8 own pulls" in true.stdout
    done = tape(tmp_path, read_pulls(PLATE, {"P2": (1.0, 0.0)}))
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("home plate is not true: P2 is ")]
    assert line.endswith(" from where its dimensions put it; see to the plate first")
    assert "misread" not in done.stdout


def test_metres_written_as_feet_are_told_and_nothing_is_judged(tmp_path: Path) -> None:
    metres = {
        pull.name: f"{pull.length_mm / 1000:.3f} ft" for pull in choose_sheet_pulls(PLATE, HALF_INCH).must
    }
    done = tape(tmp_path, metres)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "0.305 of their targets: metres written as feet?" in done.stderr


def test_what_is_near_its_limit_says_how_much_is_allowed_and_which_pull_to_tape(tmp_path: Path) -> None:
    done = tape(tmp_path, read_pulls(PLATE, {"C3": (0.5, 0.0)}))
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("C3, ")]
    assert "off about " in line
    assert "give or take " in line
    assert line.endswith("allowed 1/2 in)")
    assert ": tape " in line


def stretch(readings: dict[str, str], factor: float, offset_in: float = 0.0) -> dict[str, str]:
    inches = {name: float(read_length(text).inches) for name, text in readings.items()}
    return {name: f"{round(16 * (read * factor + offset_in)) / 16} in" for name, read in inches.items()}


def test_a_stretched_tape_is_checked_before_anything_is_moved(tmp_path: Path) -> None:
    long = stretch(read_pulls(PLATE, {}), 1.01)
    done = tape(tmp_path, long)
    assert done.exit_code == 1
    first, second = done.stdout.splitlines()[1:3]
    assert first == "check the tape: it reads 1.0 % too long"
    assert second.startswith("nothing is to be moved yet: tape ")
    assert "with a second tape" in second
    assert ": move it" not in done.stdout
    said = json.loads(tape(tmp_path, long, "--json").stdout)
    assert said["tape"]["thousandths"] == pytest.approx(10, abs=0.7)
    pull = said["second-tape"]
    true = read_pulls(PLATE, {})[pull]
    rows = [f"{name.replace('-', ',')},{read}," for name, read in long.items()]
    for reading, exit_code, words in (
        (true, 1, "the second tape shows"),
        (long[pull], 1, "the whole field is 1.0 %"),
    ):
        path = tmp_path / "both.csv"
        head = [f"level,{LEVEL}", "plan,plate-area", "from,to,reading,tape"]
        path.write_text("\n".join([*head, *rows, f"{pull.replace('-', ',')},{reading},second"]))
        both = CliRunner().invoke(main, ["tape", str(path), *OPTIONS])
        assert both.exit_code == exit_code
        assert words in both.stdout
        assert (": move it" in both.stdout) == (reading == long[pull])


def test_by_the_shape_of_a_whole_field_the_tape_and_the_field_cannot_be_told_apart(tmp_path: Path) -> None:
    long = {name: read for name, read in stretch(read_pulls(DIAMOND, {}), 1.01).items() if name in BASES}
    first = tape(tmp_path, long, plan="diamond").stdout.splitlines()[1]
    assert first == "check the tape: it reads 1.0 % too long, or the whole field was set out 1.0 % too large"


def test_a_cut_end_is_told_as_such(tmp_path: Path) -> None:
    done = tape(tmp_path, stretch(read_pulls(PLATE, {}), 1.0, 1.0))
    assert "check the tape: it reads 1 in too long on every pull (a worn or cut end?)" in done.stdout
    assert ": move it" not in done.stdout


def test_what_can_be_one_of_several_is_told_so(tmp_path: Path) -> None:
    true = read_pulls(PLATE, {}, {"P2-F1": 3.0})
    done = tape(tmp_path, {name: true[name] for name in ("P2-F1", "P3-F1")})
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("tape again: ")]
    assert "P2-F1" in line
    assert " is misread, or F1 " in line
    assert line.endswith(" is off; the readings can't say which")
    assert ": move it" not in done.stdout


def test_a_pull_that_was_left_out_is_named(tmp_path: Path) -> None:
    readings = read_pulls(PLATE, {})
    del readings["T2-T3"]
    done = tape(tmp_path, readings)
    assert done.exit_code == 0, done.output
    assert "not taped, of those the sheet asks for: T2-T3" in done.stdout.splitlines()
    assert json.loads(tape(tmp_path, readings, "--json").stdout)["not-taped"] == ["T2-T3"]


def test_a_box_that_is_turned_is_told_corner_by_corner_in_one_line(tmp_path: Path) -> None:
    turned = read_pulls(PLATE, {"T1": (0.0, 1.5), "T2": (0.0, -1.5), "T3": (0.0, -1.5), "T4": (0.0, 1.5)})
    (line,) = [line for line in tape(tmp_path, turned).stdout.splitlines() if "out as a whole" in line]
    assert "corner by corner: T1 1 1/2 in toward the backstop; T2 1 1/2 in toward the pitcher" in line


def test_a_box_that_is_off_as_a_whole_is_moved_as_a_whole(tmp_path: Path) -> None:
    shifted = read_pulls(PLATE, {f"F{number}": (2.0, 0.0) for number in (1, 2, 3, 4)})
    done = tape(tmp_path, shifted)
    assert "first-base-side box, F1 F2 F3 F4: out as a whole, move it 2 in toward third" in done.stdout
    assert done.stdout.count("move it") == 1
    target = tmp_path / "report.pdf"
    tape(tmp_path, shifted, "--report", str(target))
    words = " ".join(run.content for page in read_pdf(target.read_bytes()).pages for run in page.texts)
    assert "to pitcher" in words
    assert "Arrows show which way to move what is out." in words
    assert "Left over: " in words
    assert "What it says" not in words


def test_the_sheets_blank_for_a_second_tape_proves_the_first_wrong(tmp_path: Path) -> None:
    true = read_pulls(PLATE, {})
    names = pypdf.PdfReader(BytesIO(publish("plate-area"))).get_fields() or {}
    (blank,) = [name for name in names if name.startswith("second tape ")]
    pull = blank.removeprefix("second tape ")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(fill_sheet(publish("plate-area"), stretch(true, 0.985) | {blank: true[pull]}))
    done = CliRunner().invoke(main, ["tape", str(path), *OPTIONS])
    assert "check the tape: it reads 1.5 % too short, the second tape shows" in done.stdout
    assert "14 good" in done.stdout
