"""What the answer tells a crew about misreads, the plate, the tape and what was not taped; as text and JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from click.testing import CliRunner, Result
from field_sheets import CONTENT, LAYOUTS, LEVEL, library, plan_of, read_pulls

from pocketref.cli import main
from pocketref.output.readback import read_pdf
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.verdicts import TapeReport
from pocketref.tape_report.tape_answer import write_tape_answer
from pocketref.tape_report.tape_file import judge_file

OPTIONS = ("--content", str(CONTENT), "--layouts", str(LAYOUTS))
PLATE, DIAMOND = plan_of("plate-area"), plan_of("diamond")
BASES = {pull.name for pull in list_sheet_pulls(DIAMOND)}


def tape(
    folder: Path, readings: dict[str, str], *arguments: str, head: str = "", plan: str = "plate-area"
) -> Result:
    rows = [f"{name.replace('-', ',')},{reading}" for name, reading in readings.items()]
    path = folder / "readings.csv"
    path.write_text("\n".join([f"level,{LEVEL}", f"plan,{plan}{head}", "from,to,reading", *rows]))
    return CliRunner().invoke(main, ["tape", str(path), *OPTIONS, *arguments])


def swapped(first: str, second: str) -> dict[str, str]:
    readings = read_pulls(PLATE, {})
    readings[first], readings[second] = readings[second], readings[first]
    return readings


def test_swapped_readings_are_told_first_and_nothing_is_to_be_moved(tmp_path: Path) -> None:
    readings = swapped("P2-F4", "P2-F1")
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
    assert all(station["move"] is None for station in said["stations"].values())


def test_readings_that_disagree_come_first_and_judge_nothing(tmp_path: Path) -> None:
    readings = {
        n: r for n, r in read_pulls(DIAMOND, {}, dict.fromkeys(sorted(BASES)[::3], 9.0)).items() if n in BASES
    }
    readings |= {
        n: r
        for n, r in read_pulls(DIAMOND, {}, dict.fromkeys(sorted(BASES)[1::3], -5.0)).items()
        if n in sorted(BASES)[1::3]
    }
    done = tape(tmp_path, readings, plan="diamond")
    assert "the readings disagree" in done.stdout.splitlines()[1]
    assert "tape these again first: " in done.stdout.splitlines()[1]
    assert "move it" not in done.stdout
    said = json.loads(tape(tmp_path, readings, "--json", plan="diamond").stdout)
    assert not said["agree"]
    assert said["worst"]
    assert {station["verdict"] for station in said["stations"].values()} == {"not judged", "taken as known"}


def test_the_plate_is_told_to_be_true_or_not_before_the_rest(tmp_path: Path) -> None:
    true = tape(tmp_path, read_pulls(PLATE, {}))
    assert "home plate is true by its 8 own pulls" in true.stdout
    done = tape(tmp_path, read_pulls(PLATE, {"P2": (1.0, 0.0)}))
    assert (
        "home plate is not true: P2 is 1 in from where its dimensions put it; see to the plate first"
        in done.stdout
    )
    assert "misread" not in done.stdout
    assert json.loads(tape(tmp_path, read_pulls(PLATE, {"P2": (1.0, 0.0)}), "--json").stdout)["home-plate"][
        "off"
    ] == ["P2"]


def test_metres_written_as_feet_are_told_and_nothing_is_judged(tmp_path: Path) -> None:
    metres = {pull.name: f"{pull.length_mm / 1000:.3f} ft" for pull in list_sheet_pulls(PLATE)}
    done = tape(tmp_path, metres)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "0.305 of their targets: metres written as feet?" in done.stderr


def test_what_is_too_close_says_how_much_is_allowed_and_which_pull_to_tape(tmp_path: Path) -> None:
    done = tape(tmp_path, read_pulls(PLATE, {"C3": (0.3, 0.0)}))
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("C3, ")]
    assert "off about " in line
    assert "give or take " in line
    assert "allowed 1/2 in; tape " in line
    assert line.endswith(" once more")


def test_the_temperature_is_asked_for_before_any_base_is_told(tmp_path: Path) -> None:
    readings = {name: read for name, read in read_pulls(DIAMOND, {}).items() if name in BASES}
    cold = tape(tmp_path, readings, plan="diamond").stdout.splitlines()
    at = next(index for index, line in enumerate(cold) if line.startswith("write the tape's temperature"))
    assert at < next(index for index, line in enumerate(cold) if line.startswith("3B, "))
    assert not any(line.startswith("tape ") for line in cold)
    stretched = tape(tmp_path, readings, head="\ntape,fibreglass\ntemperature,68 F", plan="diamond").stdout
    assert "this tape can't settle " in stretched
    assert "use a steel tape" in stretched


def test_a_pull_that_was_left_out_is_named(tmp_path: Path) -> None:
    readings = read_pulls(PLATE, {})
    del readings["T2-T4"]
    done = tape(tmp_path, readings)
    assert done.exit_code == 0, done.output
    assert "not taped: T2-T4" in done.stdout.splitlines()
    assert json.loads(tape(tmp_path, readings, "--json").stdout)["not-taped"] == ["T2-T4"]


def test_a_box_that_is_off_as_a_whole_is_moved_as_a_whole(tmp_path: Path) -> None:
    shifted = read_pulls(PLATE, {f"F{number}": (2.0, 0.0) for number in (1, 2, 3, 4)})
    done = tape(tmp_path, shifted)
    assert "F1 F2 F3 F4, first-base-side box: out as a whole, move it 2 in toward third" in done.stdout
    assert done.stdout.count("move it") == 1
    target = tmp_path / "report.pdf"
    tape(tmp_path, shifted, "--report", str(target))
    words = " ".join(run.content for page in read_pdf(target.read_bytes()).pages for run in page.texts)
    assert "to pitcher" in words
    assert "Arrows show which way to move what is out." in words
    assert "Left over: " in words
    assert "What it says" not in words


def test_a_plate_that_is_off_is_a_finding_and_says_nothing_while_the_readings_disagree(
    tmp_path: Path,
) -> None:
    """Every pull taped twice and one corner of the plate a third of an inch out: all else is good."""
    rows = [f"{n.replace('-', ',')},{r}" for n, r in read_pulls(PLATE, {"P3": (0.33, 0.0)}).items()]
    path = tmp_path / "twice.csv"
    path.write_text(
        "\n".join([f"level,{LEVEL}", "plan,plate-area", "temperature,68 F", "from,to,reading", *rows, *rows])
    )
    judged = judge_file(path, library())
    assert isinstance(judged.outcome, TapeReport)
    assert judged.outcome.adjustment.off_frame == ("P3",)
    assert judged.has_findings
    assert "home plate is not true" in write_tape_answer(judged)
    unsettled = replace(judged.outcome.adjustment, is_settled=False)
    torn = replace(judged, outcome=replace(judged.outcome, adjustment=unsettled))
    assert "home plate" not in write_tape_answer(torn)
