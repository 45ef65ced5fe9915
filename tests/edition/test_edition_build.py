"""An edition: what is in it, that it is whole, and that it follows its source."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from source_folders import SourceFolders

from pocketref.edition.manifest import BuiltFile, hash_inputs
from pocketref.edition.proof import Proof, prove
from pocketref.output.reading.printed import PrintedPage
from pocketref.output.reading.readback import read_pdf
from pocketref.problems import PocketrefError
from pocketref.publish.build import build_edition, publish_edition

STOCKS_MM = {"cards/batters-box.pdf": (127.0, 76.2), "sheets/plate-area.pdf": (215.9, 279.4)}


def publish(folders: SourceFolders, out: Path) -> Path:
    proof = prove(folders.content, folders.layouts)
    return publish_edition(proof, list(build_edition(proof)), out)


def files_in(folder: Path) -> dict[str, bytes]:
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def words_of(data: bytes) -> list[str]:
    """What is printed, a run an entry, with ordinary spaces and fractions. A fraction is a piece of its run."""
    pages: tuple[PrintedPage, ...] = read_pdf(data).pages
    pieces = "|".join(run.content.replace("\u00a0", " ") for page in pages for run in page.texts)
    return pieces.replace("| ", " ").split("|")


@pytest.mark.parametrize("name", STOCKS_MM)
def test_every_page_of_a_pdf_has_its_stocks_size(name: str, built: Mapping[str, BuiltFile]) -> None:
    pages = read_pdf(built[name].data).pages
    assert len(pages) == built[name].pages == 2
    for page in pages:
        assert (page.media.width_mm, page.media.height_mm) == pytest.approx(STOCKS_MM[name], abs=0.01)


@pytest.mark.parametrize("name", STOCKS_MM)
def test_every_font_of_a_pdf_is_embedded_and_every_text_at_or_above_the_floor(
    name: str, built: Mapping[str, BuiltFile], proven: Proof
) -> None:
    runs = [run for page in read_pdf(built[name].data).pages for run in page.texts if run.has_ink]
    assert all(run.is_embedded for run in runs)
    assert min(run.size_pt for run in runs) >= proven.cards[0].floor_pt - 0.005


def test_the_report_of_a_pdf_says_what_was_read_back(built: Mapping[str, BuiltFile]) -> None:
    data = built["cards/batters-box.pdf"].data
    runs = [run for page in read_pdf(data).pages for run in page.texts]
    report = built["cards/batters-box.pdf"].report
    assert report.startswith(f"2 pages, {len(runs)} texts, smallest 7.56 pt (floor 7.56)")
    assert report.endswith("4 fonts embedded")


def test_each_page_is_also_a_drawing(built: Mapping[str, BuiltFile], proven: Proof) -> None:
    for item in (*proven.cards, *proven.sheets):
        for page in item.document.pages:
            root = ET.fromstring(built[f"drawings/{item.name}-{page.name}.svg"].data)
            assert root.get("width") == f"{page.width_mm:g}mm"
            assert "Batter" in ET.tostring(root, encoding="unicode") or item.name == "plate-area"


def test_the_manifest_names_every_file_with_its_size_and_digest(
    folders: SourceFolders, tmp_path: Path
) -> None:
    target = publish(folders, tmp_path / "out")
    assert target == tmp_path / "out" / "2027"
    files = files_in(target)
    manifest = json.loads(files.pop("manifest.json"))
    assert {name: entry["bytes"] for name, entry in manifest["files"].items()} == {
        name: len(data) for name, data in files.items()
    }
    for name, data in files.items():
        assert manifest["files"][name]["sha256"] == hashlib.sha256(data).hexdigest()
    assert {"cards/batters-box.pdf", "sheets/plate-area.pdf", "source.json"} <= set(files)
    assert manifest["files"]["cards/batters-box.pdf"]["pages"] == 2


def test_the_manifest_says_whose_edition_it_is_and_what_it_was_made_from(
    folders: SourceFolders, tmp_path: Path
) -> None:
    manifest = json.loads((publish(folders, tmp_path / "out") / "manifest.json").read_bytes())
    assert manifest["association"] == "Larkmoor Test Umpires"
    assert (manifest["edition"], manifest["season"]) == ("2027", "2027")
    assert manifest["valid"] == {"from": "2027-02-01", "through": "2027-12-31"}
    inputs = manifest["inputs"]
    source = {path.relative_to(folders.root).as_posix() for path in folders.root.rglob("*.yaml")}
    assert set(inputs) == source
    folders.replace("content/mechanics/stance.yaml", "Feet first", "Feet before all")
    changed = hash_inputs(folders.content, folders.layouts)
    assert [name for name in inputs if changed[name] != inputs[name]] == ["content/mechanics/stance.yaml"]


def test_the_source_is_kept_in_its_own_notation(built: Mapping[str, BuiltFile]) -> None:
    source = json.loads(built["source.json"].data)
    dimensions = source["fields"]["high-school-90-ft"]["dimensions"]
    assert dimensions["line-width"]["value"] == "2 1/2 in"
    assert dimensions["box-length"]["source"] == ["field-book 1-2"]
    assert source["rulings"]["high-school/stance"]["rows"][0]["when"] == {"over-line": ["no"]}
    assert source["edition"]["association"] == "Larkmoor Test Umpires"


def test_one_changed_dimension_changes_figure_table_and_diagonals(folders: SourceFolders) -> None:
    def build() -> dict[str, bytes]:
        return {file.name: file.data for file in build_edition(prove(folders.content, folders.layouts))}

    before = build()
    folders.replace("content/fields/high-school-90-ft.yaml", "value: 6 ft", "value: 5 ft 6 in")
    after = build()
    for name in ("cards/batters-box.pdf", "sheets/plate-area.pdf"):
        old, new = words_of(before[name]), words_of(after[name])
        for words, present, absent in ((old, OLD_BOX, NEW_BOX), (new, NEW_BOX, OLD_BOX)):
            assert present <= set(words)
            assert not absent & set(words)
    table = words_of(after["sheets/plate-area.pdf"])
    row = table.index("T2–T3")
    assert table[row + 1 : row + 3] == ["5 ft 6 in", "1676"]
    assert table[table.index("T3–T4") + 1] == "4 ft"


OLD_BOX = {"6 ft", "[1829]", "7 ft 2 9/16 in", "[2198]"}
NEW_BOX = {"5 ft 6 in", "[1676]", "6 ft 9 5/8 in", "[2073]"}
"""Length and diagonal of a box 4 ft wide, before and after."""


def test_changing_a_row_changes_the_chart(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/high-school/stance.yaml", "headline: Legal stance", "headline: Good stance"
    )
    proof = prove(folders.content, folders.layouts)
    files = {file.name: file.data for file in build_edition(proof)}
    words = words_of(files["cards/batters-box.pdf"])
    assert "Good stance" in words
    assert "Legal stance" not in words


def test_publishing_replaces_the_old_edition_whole(folders: SourceFolders, tmp_path: Path) -> None:
    target = publish(folders, tmp_path / "out")
    first = files_in(target)
    folders.replace("layouts/cards/batters-box.yaml", "card: batters-box", "card: stance")
    (folders.layouts / "cards" / "batters-box.yaml").rename(folders.layouts / "cards" / "stance.yaml")
    publish(folders, tmp_path / "out")
    second = files_in(target)
    assert "cards/batters-box.pdf" in first
    assert "cards/batters-box.pdf" not in second
    assert "cards/stance.pdf" in second
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["2027"]


def test_nothing_is_written_when_a_page_cannot_be_printed(folders: SourceFolders, tmp_path: Path) -> None:
    folders.replace("layouts/cards/batters-box.yaml", "title: Batter's", "title: 打者")
    with pytest.raises(PocketrefError):
        publish(folders, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_the_old_edition_is_kept_when_the_new_one_fails(folders: SourceFolders, tmp_path: Path) -> None:
    before = files_in(publish(folders, tmp_path / "out"))
    folders.replace("layouts/cards/batters-box.yaml", "title: Batter's", "title: 打者")
    with pytest.raises(PocketrefError):
        publish(folders, tmp_path / "out")
    assert files_in(tmp_path / "out" / "2027") == before
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["2027"]
