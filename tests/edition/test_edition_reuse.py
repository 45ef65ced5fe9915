"""Publishing over an edition that is there: what has not changed is used again, and nothing comes out otherwise."""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition import pdf_file
from pocketref.edition.fingerprint import take_fingerprint
from pocketref.edition.manifest import MANIFEST, seal_manifest
from pocketref.edition.proof import Proof, prove
from pocketref.edition.reuse import EarlierFiles, list_options, read_earlier_files
from pocketref.publish.build import build_edition
from pocketref.scene.inks import BLACK
from pocketref.scene.items import (
    FontFace,
    FormField,
    LineTo,
    MoveTo,
    Placed,
    Raster,
    Scene,
    Shape,
    Stroke,
    Text,
)

CHANGES: dict[str, Callable[[SourceFolders], None]] = {
    "a text": lambda f: f.replace("content/mechanics/stance.yaml", "Feet first", "Feet before all"),
    "a caution": lambda f: f.replace(
        "content/cautions/marking.yaml", "it burns eyes and skin", "it burns skin and eyes"
    ),
    "a dimension": lambda f: f.replace(
        "content/fields/high-school-90-ft.yaml", "value: 6 ft", "value: 5 ft 6 in"
    ),
    "a headline": lambda f: f.replace(
        "content/rulings/high-school/stance.yaml", "headline: Legal stance", "headline: Good stance"
    ),
    "a text of an edition whose card bears the digest": lambda f: f.replace(
        "content/mechanics/stance.yaml", "Feet first", "Feet before all"
    ),
    "a title": lambda f: f.replace(
        "layouts/cards/batters-box.yaml", "title: Batter's", "title: The batter's"
    ),
}


def run(folders: SourceFolders, out: Path, *options: str) -> str:
    """What a publish says."""
    done = CliRunner().invoke(main, ["publish", *folders.options, "--out", str(out), "--each", *options])
    assert done.exit_code == 0, done.output
    return done.output


def files_in(folder: Path) -> dict[str, bytes]:
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def times_of(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in folder.rglob("*")}


@pytest.mark.parametrize("change", CHANGES)
def test_publishing_over_an_old_edition_gives_the_bytes_of_publishing_from_scratch(
    change: str, folders: SourceFolders, tmp_path: Path
) -> None:
    if "digest" in change:
        folders.replace("layouts/cards/batters-box.yaml", "back:\n", "back:\n  - {block: qr}\n")
        folders.replace("layouts/cards/batters-box.yaml", "index-3x5", "index-4x6")
    run(folders, tmp_path / "over")
    CHANGES[change](folders)
    run(folders, tmp_path / "over")
    run(folders, tmp_path / "scratch")
    assert files_in(tmp_path / "over") == files_in(tmp_path / "scratch")


def test_an_unchanged_edition_is_left_alone_and_said_to_be_unchanged(
    folders: SourceFolders, tmp_path: Path
) -> None:
    run(folders, tmp_path / "out")
    before = times_of(tmp_path / "out")
    said = run(folders, tmp_path / "out")
    whose, what = said.splitlines()
    assert whose == f"content: {folders.content} (Larkmoor Test Umpires, 2027)"
    assert what.startswith(f"{tmp_path / 'out' / '2027'}  unchanged")
    assert times_of(tmp_path / "out") == before


def test_a_changed_caution_rebuilds_only_what_shows_it(folders: SourceFolders, tmp_path: Path) -> None:
    run(folders, tmp_path / "out")
    before = files_in(tmp_path / "out")
    CHANGES["a caution"](folders)
    said = run(folders, tmp_path / "out")
    lines = dict(line.removeprefix(f"{tmp_path}/out/").partition("  ")[::2] for line in said.splitlines())
    printed = {name: report for name, report in lines.items() if name.endswith(".pdf")}
    made = {name for name, report in printed.items() if not report.endswith("reused")}
    assert made == {"2027/sheets/plate-area.pdf"}
    after = files_in(tmp_path / "out")
    assert {name for name in printed if before[name] != after[name]} == made


def test_files_used_again_are_not_written_but_are_read_back_like_new_ones(
    folders: SourceFolders, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(folders, tmp_path / "out")
    read, read_pdf = [], pdf_file.read_pdf

    def refuse(*_: object) -> None:
        raise AssertionError("a PDF was made")

    def note(data: bytes) -> object:
        read.append(data)
        return read_pdf(data)

    monkeypatch.setattr(pdf_file, "write_pdf", refuse)
    monkeypatch.setattr(pdf_file, "read_pdf", note)
    proof = prove(folders.content, folders.layouts)
    files = list(build_edition(proof, earlier=read_earlier_files(tmp_path / "out" / "2027")))
    assert {file.name for file in files} <= set(files_in(tmp_path / "out" / "2027"))
    assert read == [file.data for file in files if file.name.endswith(".pdf")]
    with pytest.raises(AssertionError, match="was made"):
        list(build_edition(proof))


@pytest.mark.parametrize(
    "options", [("--flip", "short"), ("--order", "repeat"), ("--fresh",)], ids=lambda options: options[0]
)
def test_other_options_make_the_edition_anew(
    options: tuple[str, ...], folders: SourceFolders, tmp_path: Path
) -> None:
    run(folders, tmp_path / "over")
    assert "unchanged" not in run(folders, tmp_path / "over", *options)
    run(folders, tmp_path / "scratch", *options)
    assert files_in(tmp_path / "over") == files_in(tmp_path / "scratch")


def test_fresh_uses_nothing_again(folders: SourceFolders, tmp_path: Path) -> None:
    run(folders, tmp_path / "out")
    assert "reused" not in run(folders, tmp_path / "out", "--fresh")


@pytest.mark.parametrize("name", ["cards/batters-box.pdf", "drawings/plate-area-front.svg", "index.html"])
def test_a_missing_file_is_made_anew(name: str, folders: SourceFolders, tmp_path: Path) -> None:
    run(folders, tmp_path / "out")
    whole = files_in(tmp_path / "out")
    path = tmp_path / "out" / "2027" / name
    path.unlink()
    said = run(folders, tmp_path / "out")
    line = next(line for line in said.splitlines() if line.startswith(str(path)))
    assert "reused" not in line
    assert files_in(tmp_path / "out") == whole


def test_another_program_uses_nothing_again(folders: SourceFolders, tmp_path: Path) -> None:
    run(folders, tmp_path / "out")
    path = tmp_path / "out" / "2027" / MANIFEST
    manifest = json.loads(path.read_bytes())
    manifest["reuse"]["program"] = "0" * 64
    path.write_bytes(seal_manifest(manifest))
    assert "unchanged" not in run(folders, tmp_path / "out")


def test_a_stored_past_edition_counts_as_a_source(folders: SourceFolders, tmp_path: Path) -> None:
    run(folders, tmp_path / "out")
    past = folders.content / "past"
    past.mkdir()
    source = json.loads((tmp_path / "out" / "2027" / "source.json").read_bytes())
    source["edition"] |= {"edition": "2026", "season": "2026"}
    source["edition"]["valid"] = {"from": "2026-02-01", "through": "2026-12-31"}
    (past / "2026.json").write_text(json.dumps(source), encoding="utf-8")
    assert "unchanged" not in run(folders, tmp_path / "out")
    assert "unchanged" in run(folders, tmp_path / "out")


def test_another_roster_makes_the_edition_anew(folders: SourceFolders, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    head = "name,number,chapter,code,level,quantity\n"
    roster.write_text(head + "Ada Invented,U-1,North,high-school,90-ft,1\n", encoding="utf-8")
    run(folders, tmp_path / "out", "--members", str(roster))
    assert "unchanged" in run(folders, tmp_path / "out", "--members", str(roster))
    roster.write_text(head + "Bea Invented,U-1,North,high-school,90-ft,1\n", encoding="utf-8")
    assert "unchanged" not in run(folders, tmp_path / "out", "--members", str(roster))


def test_a_plain_publish_keeps_members_cards_that_are_still_right_and_says_when_it_leaves_them_out(
    folders: SourceFolders, tmp_path: Path
) -> None:
    roster, members = tmp_path / "roster.csv", tmp_path / "out" / "2027" / "members"
    roster.write_text(
        "name,number,chapter,code,level,quantity\nAda Invented,U-1,North,high-school,90-ft,1\n",
        encoding="utf-8",
    )
    run(folders, tmp_path / "out", "--members", str(roster))
    assert "unchanged" in run(folders, tmp_path / "out")
    assert (members / "totals.csv").is_file()
    CHANGES["a caution"](folders)
    command = ["publish", *folders.options, "--out", str(tmp_path / "out")]
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 0
    assert not members.exists()
    assert f"warning: {members} is left out" in result.stderr
    assert "--members" in result.stderr
    assert "left out" not in CliRunner().invoke(main, [*command, "--fresh"]).stderr


def test_an_edition_signed_otherwise_is_not_unchanged(folders: SourceFolders, tmp_path: Path) -> None:
    keys = []
    for name in ("one", "other"):
        keys.append(tmp_path / f"{name}.pem")
        private = Ed25519PrivateKey.generate()
        pem = private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        keys[-1].write_bytes(pem)
        keys[-1].chmod(0o600)
    out = tmp_path / "out"
    run(folders, out, "--sign", str(keys[0]))
    signature = (out / "2027" / "manifest.sig").read_bytes()
    assert "unchanged" in run(folders, out, "--sign", str(keys[0]))
    assert "unchanged" not in run(folders, out, "--sign", str(keys[1]))
    assert (out / "2027" / "manifest.sig").read_bytes() != signature
    assert "unchanged" not in run(folders, out)
    assert not (out / "2027" / "manifest.sig").exists()


# --- fingerprints ----------------------------------------------------------------------------------------

SCENE = Scene("key", 10.0, 10.0, (Shape((MoveTo(0.0, 0.0), LineTo(1.0, 2.0)), Stroke(0.5, BLACK), BLACK),))
THINGS = (
    Text(1.0, 2.0, "words", FontFace.BOLD, 9.0, BLACK, 12.0),
    Shape((MoveTo(0.0, 0.0), LineTo(1.0, 2.0)), Stroke(0.5, BLACK, (1.0,)), BLACK),
    FormField(1.0, 2.0, 3.0, 4.0, "name", "tip"),
    Raster(1.0, 2.0, 3.0, 4.0, b"data", "png", (3, 4)),
    Placed(SCENE, 1.0, 2.0),
    SCENE,
    Stroke(0.5, BLACK, (1.0,)),
    BLACK,
)
OTHERS = {
    FontFace.BOLD: FontFace.ITALIC,
    BLACK: dataclasses.replace(BLACK, name="another"),
    SCENE: dataclasses.replace(SCENE, key="another"),
}


def alter(value: object) -> object:
    """Another value of the same kind."""
    if isinstance(value, (FontFace, Scene)) or value == BLACK:
        return OTHERS[value]
    if isinstance(value, float):
        return value + 1e-5  # finer than anything is written
    if isinstance(value, int):
        return value + 1
    if isinstance(value, bytes):
        return value + b"."
    if isinstance(value, str):
        return value + "."
    if isinstance(value, tuple):
        return value[:-1] if value else (1.0,)
    return None if value is not None else "something"


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: type(thing).__name__)
def test_every_field_of_a_drawn_thing_is_in_its_fingerprint(thing: object) -> None:
    names = [each.name for each in dataclasses.fields(thing)]  # type: ignore[arg-type]
    changed = [dataclasses.replace(thing, **{name: alter(getattr(thing, name))}) for name in names]  # type: ignore[type-var]
    prints = {take_fingerprint(each) for each in (thing, *changed)}
    assert len(prints) == len(names) + 1


def test_the_last_digits_in_which_pythons_differ_do_not_count() -> None:
    assert take_fingerprint(25.4 / 128) == take_fingerprint(25.4 / 128 + 1e-14)
    assert take_fingerprint(0.1 + 0.2) == take_fingerprint(0.3)


def test_equal_pages_have_one_fingerprint_and_different_ones_their_own(
    proven: Proof, folders: SourceFolders
) -> None:
    again = prove(folders.content, folders.layouts)
    first, second = ([p for item in each.cards for p in item.document.pages] for each in (proven, again))
    assert [take_fingerprint(page) for page in first] == [take_fingerprint(page) for page in second]
    assert len({take_fingerprint(page) for page in first}) == len(first)


def test_where_one_value_ends_and_the_next_begins_is_in_the_fingerprint() -> None:
    values = [((1.0,), (2.0, 3.0)), ((1.0, 2.0), (3.0,)), (1.0, 2.0, 3.0), ("1.0", "2.0"), ("1.02.0",), ()]
    assert len({take_fingerprint(value) for value in values}) == len(values)


def test_what_cannot_be_told_by_its_value_has_no_fingerprint() -> None:
    with pytest.raises(TypeError, match="no fields"):
        take_fingerprint([1.0])


def test_a_floor_or_a_title_of_its_own_is_another_file(proven: Proof) -> None:
    document = proven.cards[0].document
    earlier = EarlierFiles()
    marks = {
        earlier.mark_document(document, 7.5),
        earlier.mark_document(document, 7.6),
        earlier.mark_document(dataclasses.replace(document, title="another"), 7.5),
        earlier.mark_document(dataclasses.replace(document, pages=document.pages[:1]), 7.5),
    }
    assert len(marks) == 4


def test_an_unchanged_edition_is_told_without_reading_any_model_of_the_source() -> None:
    """They take longer to load than all the rest of it; drawing and fonts are not needed either."""
    heavy = ("pydantic", "yaml", "reportlab", "shapely", "fontTools")
    asked = f"import sys, pocketref.edition.reuse; print(*sys.modules.keys() & {{*{heavy}}})"
    run = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []


def test_an_edition_made_from_a_stored_source_depends_on_those_kept_beside_it(tmp_path: Path) -> None:
    """It is compared with the newest of them: another one may change what its sheet of changes says."""
    source = tmp_path / "2027.json"
    source.write_text("{}")
    alone = list_options(source)
    (tmp_path / "2026.json").write_text("{}")
    assert list_options(source) != alone
