"""Verdicts on taped fields in other languages: on the terminal and in the drawn report."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from field_sheets import CONTENT, LAYOUTS, LEVEL, layouts, library, plan_of, read_pulls
from words_in_print import NAMES as IN_PRINT
from words_in_print import find_plain, list_said

from pocketref.cli import main
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.source.translation import translate_library
from pocketref.tape_report.tape_answer import write_tape_answer
from pocketref.tape_report.tape_file import judge_file
from pocketref.tape_report.tape_report import lay_out_report
from pocketref.translations.language_proof import read_language
from pocketref.units.notation import read_length
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import UNTRANSLATED, Language, speak

BOX = ("F1", "F2", "F3", "F4")
FIELDS = {
    "a corner out and a pull misread": ({"F3": (0.0, 2.0)}, {"A-F2": 12.0}, 1.0),
    "a box set out aside": (dict.fromkeys(BOX, (3.0, 0.0)), {}, 1.0),
    "the plate out": ({"P2": (2.0, 1.0), "F1": (0.6, 0.0)}, {"A-F1": -1.0}, 1.0),
    "a stretched tape": ({}, {}, 1.02),
}
NAMES = IN_PRINT | {"high", "school", "readings", "csv", "yaml", "second", "tape"}
"""Keys of levels, and names of files and their columns."""


def write_readings(folder: Path, name: str) -> Path:
    moved, misread, factor = FIELDS[name]
    read = read_pulls(plan_of("plate-area"), moved, misread)
    rows = [f"{pull.replace('-', ',')},{text}" for pull, text in read.items()]
    if factor != 1.0:
        rows = [
            f"{pull.replace('-', ',')},{read_length(t).float_mm * factor:.0f} mm" for pull, t in read.items()
        ]
    path = folder / "readings.csv"
    path.write_text("\n".join((f"level,{LEVEL}", "plan,plate-area", "from,to,reading", *rows, "")))
    return path


def write_heights(folder: Path) -> Path:
    path = folder / "readings.yaml"
    rows = (("18 in", "1 1/2 in"), ("30 in", "1 1/2 in"), ("42 in", "7 in"))
    listed = ", ".join(f"{{ahead: {ahead}, below: {below}}}" for ahead, below in rows)
    path.write_text(f"level: {LEVEL}\nplan: mound\nplate-height: 9 1/2 in\nreadings: [{listed}]\n")
    return path


def judge(path: Path, language: Language) -> tuple[str, list[str]]:
    """The answer, and all that the drawn report says; what has no room raises."""
    with speak(language):
        said = translate_library(library(), language)
        judged = judge_file(path, said)
        report = lay_out_report(judged, said, layouts(), "letter")
        assert check_overlaps(report) == []
        return write_tape_answer(judged), list(list_said(report))


@pytest.mark.parametrize("name", [*FIELDS, "mound"])
def test_every_word_of_a_verdict_is_looked_up_and_spanish_has_them_all(tmp_path: Path, name: str) -> None:
    path = write_heights(tmp_path) if name == "mound" else write_readings(tmp_path, name)
    answer, report = judge(path, PSEUDO)
    assert [plain for text in (answer, *report) if (plain := find_plain(text, NAMES))] == []
    answer, report = judge(path, read_language("es", CONTENT))
    assert [text for text in (answer, *report) if UNTRANSLATED in text] == []


def test_the_command_says_what_to_move_in_spanish_and_gives_programs_the_same_as_before(
    tmp_path: Path,
) -> None:
    path = write_readings(tmp_path, "a corner out and a pull misread")
    options = ["tape", str(path), "--content", str(CONTENT), "--layouts", str(LAYOUTS)]
    told = CliRunner().invoke(main, [*options, "--language", "es"])
    assert told.exit_code == 1, told.output
    assert "muévala 2 in hacia la malla trasera" in told.output
    english, spanish = (
        CliRunner().invoke(main, [*options, "--json", *more]).output for more in ([], ["--language", "es"])
    )
    assert english == spanish
