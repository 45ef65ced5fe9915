"""Some parts of an edition alone: what is made, where, and what stays as it is."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from demo_edition import demo_proof
from source_folders import FIXTURES, SourceFolders

from pocketref.cli import main
from pocketref.edition.proof import prove

OPTIONS = ["--content", str(FIXTURES / "content"), "--layouts", str(FIXTURES / "layouts")]
DEMO = Path(__file__).parents[2]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def list_files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_a_card_alone_is_made_as_in_the_edition_beside_it_which_stays(folders: SourceFolders) -> None:
    out = folders.root / "out"
    assert run("publish", *folders.options, "--out", str(out), "--quiet").exit_code == 0
    whole = list_files(out / "2027")
    result = run("publish", *folders.options, "--out", str(out), "--only", "batters-box")
    assert result.exit_code == 0, result.output
    assert list_files(out / "2027") == whole
    made = list_files(out / "2027-only")
    assert sorted(made) == sorted(
        [
            "cards/batters-box.pdf",
            *(f"drawings/batters-box-{side}.{kind}" for side in ("back", "front") for kind in ("png", "svg")),
        ]
    )
    assert made == {name: whole[name] for name in made}
    assert "unsigned" in result.stdout
    # Another part comes beside it, a changed one in its place.
    folders.replace("layouts/cards/batters-box.yaml", "title: Batter's box", "title: The box")
    names = ["sheets/plate-area", "layouts/cards/batters-box.yaml"]
    assert run("publish", *folders.options, "--out", str(out), "--only", *names).exit_code == 0
    again = list_files(out / "2027-only")
    assert {"cards/batters-box.pdf", "sheets/plate-area.pdf"} <= set(again)
    assert again["cards/batters-box.pdf"] != made["cards/batters-box.pdf"]
    assert list_files(out / "2027") == whole


def test_a_name_that_is_none_is_told_with_the_closest_and_nothing_is_made(tmp_path: Path) -> None:
    result = run("publish", *OPTIONS, "--out", str(tmp_path / "out"), "--only", "batter-box", "plate-area")
    assert result.exit_code == 1
    assert "nothing is called 'batter-box' [part-unknown]\n    did you mean 'batters-box'?" in result.stderr
    assert not (tmp_path / "out").exists()


def test_a_fault_of_another_card_stops_no_card_but_its_own(folders: SourceFolders) -> None:
    card = (folders.layouts / "cards/batters-box.yaml").read_text(encoding="utf-8")
    long = card.replace("card: batters-box", "card: second").replace('number: "1"', 'number: "2"')
    folders.add("layouts/cards/second.yaml", long.replace("title: ", f"title: {'very long ' * 30}"))
    out = ["--out", str(folders.root / "out")]
    assert run("publish", *folders.options, *out, "--only", "batters-box").exit_code == 0
    refused = run("publish", *folders.options, *out, "--only", "second")
    assert refused.exit_code == 1
    assert "layouts/cards/second.yaml:" in refused.stderr
    assert not (folders.root / "out/2027-only/cards/second.pdf").exists()


@pytest.mark.parametrize("option", ["--sign", "--members"])
def test_a_part_is_never_signed_nor_made_for_members(option: str, tmp_path: Path) -> None:
    result = run("publish", *OPTIONS, "--only", "batters-box", option, str(tmp_path / "file"))
    assert result.exit_code == 2
    assert f"{option} is for a whole edition" in result.stderr


def test_names_without_the_option_are_wrong_use() -> None:
    result = run("publish", *OPTIONS, "batters-box")
    assert result.exit_code == 2
    assert "names of cards go after --only" in result.stderr


def test_a_published_edition_of_the_folders_name_stays(folders: SourceFolders) -> None:
    out = folders.root / "out"
    folders.replace("content/edition.yaml", 'edition: "2027"', "edition: 2027-only")
    assert run("publish", *folders.options, "--out", str(out), "--quiet").exit_code == 0
    folders.replace("content/edition.yaml", "edition: 2027-only", 'edition: "2027"')
    result = run("publish", *folders.options, "--out", str(out), "--only", "batters-box")
    assert result.exit_code == 1
    assert "[only-published]" in result.stderr


def test_a_finder_alone_is_as_it_is_among_all_and_a_week_is_that_of_its_series() -> None:
    proof = prove(DEMO / "content", DEMO / "layouts", only=["finder", "weekly-02", "feet"])
    (finder,) = proof.cards
    assert [sheet.name for sheet in proof.plays.sheets] == ["feet", "weekly-02"]
    (whole,) = (card for card in demo_proof().cards if card.name == "finder")
    assert finder.document == whole.document
