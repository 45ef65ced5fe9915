"""The commands: what they print, and how they end."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader
from source_folders import FIXTURES, SourceFolders

from pocketref.cli import main
from pocketref.version import VERSION

COMMANDS = sorted(main.commands)
OPTIONS = ["--content", str(FIXTURES / "content"), "--layouts", str(FIXTURES / "layouts")]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def test_the_version_is_printed_as_the_program_itself_prints_it() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from pocketref.cli import main; main(prog_name='pocketref')", "--version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == f"pocketref, version {VERSION}\n"
    assert done.stderr == ""


def test_the_version_and_help_load_nothing_heavy() -> None:
    program = (
        "import sys\nfrom pocketref.cli import main\ntry:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('pydantic', 'shapely', 'scipy', 'reportlab', 'fontTools', 'yaml') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.endswith("[]\n")


def test_help_lists_every_command() -> None:
    result = run("--help")
    assert result.exit_code == 0
    assert {"proof", "publish"} <= set(COMMANDS)
    assert all(f"\n  {name}" in result.output for name in COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_the_help_of_each_command_has_an_example_of_it(command: str, flag: str) -> None:
    result = run(command, flag)
    assert result.exit_code == 0
    example = result.output.partition("Example")[2]
    assert f"\n    pocketref {command}" in example


@pytest.mark.parametrize("command", ["proof", "publish"])
def test_a_misspelt_option_is_wrong_use(command: str) -> None:
    result = run(command, "--contnet", "folder")
    assert result.exit_code == 2
    assert "--content" in result.stderr
    assert "Traceback" not in result.output


def test_a_command_that_is_not_there_is_wrong_use() -> None:
    result = run("print")
    assert result.exit_code == 2
    assert "print" in result.stderr


def test_proof_counts_what_it_proved_and_lists_what_is_in_doubt(tmp_path: Path) -> None:
    result = run("proof", *OPTIONS)
    assert result.exit_code == 0
    assert result.stderr == ""
    whose, proved, doubts = result.stdout.splitlines()
    assert whose == f"content: {FIXTURES / 'content'} (Larkmoor Test Umpires, 2027)"
    assert proved.startswith("1 table ruling on 8 combinations, each exactly once; ")
    assert proved.endswith("1 card and 1 sheet that fit.")
    assert doubts.startswith("3 statements are in doubt and marked in print (1 from memory, 2 inferred); ")
    _, *listed, last, _ = run("proof", *OPTIONS, "--from-memory").stdout.splitlines()
    assert last == proved
    assert listed[0] == (
        "content/fields/high-school-90-ft.yaml:6:23: from memory: 90-ft diamond, home plate, each rear edge "
        "(those that meet at the apex, as published): 12 in (web page)"
    )
    assert [line.partition(": ")[0].rpartition("/")[2] for line in listed[1:]] == [
        "stance.yaml:8:5",
        "stance.yaml:16:5",
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_review_sheet_is_written_once_and_its_csv_signed_off(tmp_path: Path) -> None:
    folder = tmp_path / "to-compare"
    assert run("proof", *OPTIONS, "--review", str(folder)).exit_code == 0
    assert sorted(path.name for path in folder.iterdir()) == ["review.csv", "review.pdf"]
    again = run("proof", *OPTIONS, "--review", str(folder))
    assert again.exit_code == 1
    assert "is not empty" in again.stderr
    table = folder / "review.csv"
    filled = [
        line.removesuffix(",,,") + ",yes,umpire in chief,2027-01-15"
        for line in table.read_text().splitlines()[1:]
    ]
    table.write_text("\n".join([table.read_text().splitlines()[0], *filled]))
    signed = run("proof", *OPTIONS, "--sign-off", str(table))
    assert signed.exit_code == 0
    assert signed.stdout.startswith(
        "compared:\n- book: field-book\n  edition: 2020, invented for the tests\n"
    )
    assert signed.stdout.count("rulings/high-school/stance/") == 2


def test_a_warning_is_printed_and_stops_nothing(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/high-school/stance.yaml",
        "rulings:\n",
        "rulings:\n  spare:\n    {headline: Spare, ball: dead, batter: bats on, runners: stay, "
        "count: no change, say: [], signal: []}\n",
    )
    result = run("proof", *folders.options)
    assert result.exit_code == 0
    assert "warning: no row leads to the ruling 'spare' [ruling-unused]" in result.stderr
    assert "nothing was written" not in result.stderr


def test_publish_lists_each_file_with_what_its_read_back_says(tmp_path: Path) -> None:
    result = run("publish", *OPTIONS, "--out", str(tmp_path / "out"), "--each")
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    (card,) = [line for line in lines if "cards/batters-box.pdf" in line]
    assert "2 pages" in card
    assert "smallest 7.56 pt (floor 7.56)" in card
    assert "fonts embedded" in card
    assert lines[0] == f"content: {FIXTURES / 'content'} (Larkmoor Test Umpires, 2027)"
    for line in lines[1:]:
        assert Path(line.split("  ")[0]).is_file()


def test_publish_says_a_line_for_each_folder_and_nothing_when_quiet(tmp_path: Path) -> None:
    told = run("publish", *OPTIONS, "--out", str(tmp_path / "out")).stdout.splitlines()[1:]
    folders = [Path(line.split("  ")[0]) for line in told]
    assert len(folders) == len(set(folders))
    assert {path.parent for path in (tmp_path / "out").rglob("*") if path.is_file()} == set(folders)
    (cards,) = [line for line in told if line.startswith(f"{tmp_path / 'out/2027/cards'}  ")]
    made = list((tmp_path / "out/2027/cards").iterdir())
    pages = sum(len(PdfReader(path).pages) for path in made)
    assert cards.endswith(f"  {len(made)} PDF, {pages} pages")
    again = run("publish", *OPTIONS, "--out", str(tmp_path / "out"), "--flip", "short").stdout
    assert f"{len(made)} PDF, {pages} pages, {len(made)} reused" in again
    quiet = run("publish", *OPTIONS, "--out", str(tmp_path / "quiet"), "--quiet")
    assert (quiet.exit_code, quiet.output) == (0, "")
    assert (tmp_path / "quiet/2027/cards").is_dir()


def test_publishing_again_replaces_the_edition(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("publish", *OPTIONS, "--out", str(out)).exit_code == 0
    before = (out / "2027" / "press" / "cards-letter.pdf").read_bytes()
    assert run("publish", *OPTIONS, "--out", str(out), "--flip", "short").exit_code == 0
    assert (out / "2027" / "press" / "cards-letter.pdf").read_bytes() != before


def test_a_folder_that_was_not_published_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "out" / "2027").mkdir(parents=True)
    (tmp_path / "out" / "2027" / "accounts.txt").write_text("mine")
    result = run("publish", *OPTIONS, "--out", str(tmp_path / "out"))
    assert result.exit_code == 1
    assert "[publish-target-foreign]" in result.stderr
    assert (tmp_path / "out" / "2027" / "accounts.txt").read_text() == "mine"


def test_cards_are_laid_out_on_another_stock_by_its_name(tmp_path: Path) -> None:
    assert run("publish", *OPTIONS, "--out", str(tmp_path), "--stock", "index-4x6").exit_code == 0
    result = run("publish", *OPTIONS, "--out", str(tmp_path), "--stock", "index-4x7")
    assert result.exit_code == 1
    assert "there is no stock 'index-4x7'" in result.stderr
    assert "did you mean 'index-4x6'?" in result.stderr


def test_folders_beside_the_user_are_taken_without_being_named(
    folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folders.root)
    result = run("publish")
    assert result.exit_code == 0, result.output
    assert (folders.root / "out" / "2027" / "manifest.json").is_file()


def test_without_folders_of_ones_own_the_starter_set_is_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run("proof")
    assert result.exit_code == 0, result.stderr
    assert "Larkmoor Test Umpires" not in result.output
    assert "combinations, each exactly once" in result.stdout
    assert f"warning: there is no folder 'content' or 'layouts' in {tmp_path}" in result.stderr
    assert "the demo's, of an invented association" in result.stderr
    assert "pocketref start FOLDER" in result.stderr


@pytest.mark.parametrize("inside", ["content", "layouts"])
@pytest.mark.parametrize("command", ["proof", "publish"])
def test_inside_ones_own_folder_the_demo_is_not_taken_for_it(
    command: str, inside: str, folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folders.root / inside)
    result = run(command)
    assert result.exit_code == 1
    assert f"you are inside a {inside} folder" in result.stderr
    assert not (folders.root / inside / "out").exists()


def test_the_first_line_of_a_refusal_says_which_content_was_read(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", "2027-12-31", "2026-12-31")
    result = run("proof", *folders.options)
    assert result.stderr.splitlines()[0] == f"content: {folders.content}"


def test_a_sheet_of_changes_goes_into_a_file_that_says_it_is_a_pdf(tmp_path: Path) -> None:
    content = str(FIXTURES / "content")
    result = run("changes", content, content, "--out", str(tmp_path / "what.txt"))
    assert result.exit_code == 2
    assert "does not end in .pdf" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_roster_that_help_shows_is_one(tmp_path: Path, folders: SourceFolders) -> None:
    said = run("publish", "--help").output
    lines = [line.strip() for line in said.splitlines()]
    start = lines.index("name,number,chapter,code,level,quantity")
    roster = tmp_path / "roster.csv"
    roster.write_text("\n".join(lines[start : start + 3]) + "\n", encoding="utf-8")
    result = run("publish", *folders.options, "--out", str(tmp_path / "out"), "--members", str(roster))
    assert result.exit_code == 0, result.stderr
    assert (tmp_path / "out" / "2027" / "members" / "south-shore" / "packing-list.pdf").is_file()
