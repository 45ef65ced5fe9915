"""A new association starts with a folder of its own that proves clean and keeps its keys out of its repository."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from source_folders import FIXTURES

from pocketref.blocks.differences import DifferencesBlockModel
from pocketref.changes.change_set import EDITION
from pocketref.changes.changes import compare_editions
from pocketref.cli import main
from pocketref.edition.parts import choose_parts
from pocketref.edition.proof import prove
from pocketref.edition.source_reading import read_edition_source
from pocketref.layouts.layout_library import read_layouts
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.layouts.play_sheets import lay_out_questions
from pocketref.output.contents import items_of, texts_in
from pocketref.problems import PocketrefError
from pocketref.publish.start import PLACEHOLDER, start_folder
from pocketref.publish.starter import find_folder
from pocketref.source.library import read_library
from pocketref.translations.language_proof import prove_language


def find_starter(name: str) -> Path:
    return find_folder(name, None, Path("nowhere"))


@pytest.fixture
def started(tmp_path: Path) -> Path:
    start_folder(tmp_path / "ours", find_starter("content"), find_starter("layouts"))
    return tmp_path / "ours"


def test_a_new_folder_says_its_cautions_in_spanish(started: Path) -> None:
    proof = prove_language(
        "es", started / "content", started / "layouts"
    )  # raises for a caution that it lacks
    assert proof.translated


@pytest.mark.parametrize(
    ("code", "level", "notes"),
    [
        ("youth", "60-ft", ("no layouts/sheets/mound.yaml",)),
        (
            "professional",
            "90-ft",
            (
                "no layouts/plays/double-base.yaml",
                "layouts/cards/differences-after.yaml leaves out a block for professional-90-ft",
                "no layouts/cards/double-base.yaml",
            ),
        ),
        ("high-school", "90-ft", ()),
    ],
)
def test_a_league_of_another_code_starts_with_cards_that_fit_and_are_of_that_code_alone(
    code: str, level: str, notes: tuple[str, ...], tmp_path: Path
) -> None:
    folder = tmp_path / "ours"
    run = CliRunner().invoke(main, ["start", str(folder), "--code", code])
    assert run.exit_code == 0
    said = run.output.splitlines()
    assert len(said) == len(notes) + 2
    for note, line in zip(notes, said, strict=False):
        assert note in line
    proof = prove(folder / "content", folder / "layouts")
    unasked = {"play-unasked"} if notes else set()
    assert {problem.code for problem in proof.warnings} - unasked == {"edition-placeholder"}
    assert (proof.library.edition.codes, proof.library.edition.levels) == ((code,), (f"{code}-{level}",))
    laid_out = (*proof.layouts.cards, *proof.layouts.sheets)
    assert {(model.code, model.level) for model in laid_out} == {(code, level)}
    starter = len(list(find_starter("layouts").glob("cards/*.yaml")))
    assert len(proof.cards) == starter - sum(note.startswith("no layouts/cards") for note in notes)
    mound = [sheet for sheet in proof.layouts.sheets if sheet.sheet == "mound"]
    assert bool(mound) == (code != "youth")


def test_several_levels_start_with_one_layout_each_for_those_that_have_what_it_takes(tmp_path: Path) -> None:
    folder = tmp_path / "ours"
    levels = ("youth-70-ft", "professional-90-ft", "youth-60-ft")
    chosen = [word for level in levels[1:] for word in ("--level", level)]
    run = CliRunner().invoke(main, ["start", str(folder), "--code", "youth", *chosen, "--level", levels[0]])
    assert run.exit_code == 0
    edition = yaml.safe_load((folder / "content/edition.yaml").read_text(encoding="utf-8"))
    assert edition["levels"] == ["youth-60-ft", "youth-70-ft", "professional-90-ft"]
    names = {path.relative_to(folder) for path in (folder / "layouts").rglob("*.yaml")}
    assert names == {
        path.relative_to(find_starter("layouts").parent) for path in find_starter("layouts").rglob("*.yaml")
    }
    library = read_library(folder / "content")
    layouts = read_layouts(folder / "layouts", library)
    assert {problem.code for problem in layouts.warnings} == set()
    by_level = {level: {c.card for c in layouts.cards if c.key == level} for level in edition["levels"]}
    pro = {name.replace("professional-90-ft", "youth-60-ft") for name in by_level["professional-90-ft"]}
    assert by_level["youth-60-ft"] - pro == {"double-base-youth-60-ft"}
    assert [sheet.key for sheet in layouts.sheets if sheet.sheet.startswith("mound")] == [
        "professional-90-ft"
    ]
    shown = {
        card.key: [block.subject for block in card.back if isinstance(block, DifferencesBlockModel)]
        for card in layouts.cards
        if card.card.startswith("differences-after")
    }
    assert shown["professional-90-ft"] == ["fly-comes-down"]
    assert shown["youth-70-ft"] == ["double-base", "double-base-other", "fly-comes-down"]
    assert {each.class_ for each in layouts.classes} >= {f"box-{level}" for level in edition["levels"]}
    sheets = read_play_sheets(folder / "layouts", library, layouts)
    assert {sheet.key for sheet in sheets if sheet.sheet.startswith("mixed")} == {*edition["levels"]}
    assert {sheet.key for sheet in sheets if "double-base" in sheet.subjects} == {*edition["levels"][:2]}
    assert {sheet.covered for sheet in sheets if sheet.cover} == {("youth",), ("professional",)}
    weeks = {part.name for part in choose_parts(["weekly-03"], layouts, sheets)}
    assert weeks == {f"weekly-{level}-03" for level in edition["levels"]}
    proof = prove(folder / "content", folder / "layouts", only=["feet"])
    for sheet in proof.plays.sheets:
        page = lay_out_questions(sheet, proof.plays.books, proof.layouts).document.pages[0]
        tag = f"{library.codes[sheet.model.code].mark} {sheet.model.level} 2027"
        assert tag in [text.content for text in texts_in(items_of(page.elements))]


@pytest.mark.parametrize(("code", "hint"), [("yuth", "did you mean 'youth'?"), ("", "use one of: college")])
def test_a_code_that_is_not_known_starts_nothing(code: str, hint: str, tmp_path: Path) -> None:
    run = CliRunner().invoke(main, ["start", str(tmp_path / "ours"), "--code", code])
    assert run.exit_code == 1
    assert f"there is no code '{code}'" in run.output
    assert hint in run.output
    assert not (tmp_path / "ours").exists()


def test_every_value_that_is_the_association_s_to_write_says_that_it_is_a_placeholder(started: Path) -> None:
    text = (started / "content" / "edition.yaml").read_text(encoding="utf-8")
    edition = yaml.safe_load(text)
    assert edition["association"] == PLACEHOLDER
    assert "placeholder" in edition["association"]
    assert "placeholder" in edition["place"]
    for key in edition:
        line = text.splitlines().index(next(row for row in text.splitlines() if row.startswith(f"{key}:")))
        assert text.splitlines()[line - 1].startswith("#"), f"{key} is not explained"


def test_only_the_edition_differs_from_the_starter_set(started: Path) -> None:
    found = compare_editions(
        read_edition_source(find_starter("content")), read_edition_source(started / "content")
    )
    assert list(found.groups) == [EDITION]
    assert found.count > 0
    assert not (started / "content" / "past").exists()


@pytest.mark.parametrize(
    "name", ["association-private.pem", "signing.key", "keys/private.p8", "out/2027/a.pdf"]
)
def test_private_keys_and_what_is_published_are_ignored_by_git(name: str, started: Path) -> None:
    subprocess.run(["git", "init", "-q", str(started)], check=True, capture_output=True)
    command = ["git", "-C", str(started), "check-ignore", "-q"]
    assert subprocess.run([*command, name], check=False).returncode == 0
    assert subprocess.run([*command, "content/edition.yaml"], check=False).returncode == 1


def test_proof_says_which_values_are_still_placeholders_until_they_are_written(started: Path) -> None:
    for layout in (started / "layouts").glob("*/*.yaml"):
        if layout.stem != "contact":
            layout.unlink()
    edition = started / "content" / "edition.yaml"
    command = ["proof", "--content", str(started / "content"), "--layouts", str(started / "layouts")]
    said = CliRunner().invoke(main, command).stderr
    for value in (
        "association is still a placeholder",
        "place is still a placeholder",
        "your-association.example",
    ):
        assert value in said
    text = edition.read_text(encoding="utf-8").replace(PLACEHOLDER, "Umpires of Northmere")
    text = text.replace("Your state (placeholder)", "Northmere")
    edition.write_text(
        text.replace("https://your-association.example", "https://northmere.test"), encoding="utf-8"
    )
    assert CliRunner().invoke(main, command).stderr == ""


@pytest.mark.parametrize("name", ["notes.txt", "manifest.json"])
def test_a_folder_that_holds_anything_is_left_alone(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text("mine")
    with pytest.raises(PocketrefError) as caught:
        start_folder(tmp_path, FIXTURES / "content", FIXTURES / "layouts")
    assert [problem.code for problem in caught.value.problems] == ["folder-not-empty"]
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_an_empty_folder_may_be_started_in_and_a_file_may_not(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert (
        "content/edition.yaml"
        in start_folder(tmp_path / "empty", FIXTURES / "content", FIXTURES / "layouts").files
    )
    (tmp_path / "file").write_text("mine")
    with pytest.raises(PocketrefError):
        start_folder(tmp_path / "file", FIXTURES / "content", FIXTURES / "layouts")


def test_the_command_says_what_to_do_next(tmp_path: Path) -> None:
    run = CliRunner().invoke(main, ["start", str(tmp_path / "ours")])
    assert run.exit_code == 0, run.output
    assert "edition.yaml" in run.output
    again = CliRunner().invoke(main, ["start", str(tmp_path / "ours")])
    assert again.exit_code == 1
    assert f"the folder {tmp_path / 'ours'} is not empty" in again.output


def test_a_folder_without_a_name_is_wrong_use() -> None:
    result = CliRunner().invoke(main, ["start", ""])
    assert result.exit_code == 2
    assert "the folder's name is empty" in result.stderr
