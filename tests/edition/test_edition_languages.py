"""An edition in two languages: one folder, one manifest, one digest, each language's files in their place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from html_reading import read_html
from pypdf import PdfReader
from source_folders import SourceFolders, copy_folders
from spanish_samples import CAUTION, SPANISH, print_in_both, write_spanish

from pocketref.cli import main
from pocketref.source.digest import FIELD, set_digest

ONCE = {"feed.xml", "source.json", "service-worker.js", "icon-192.png", "icon-512.png", "manifest.json"}
"""What no language is in, so that there is one for all."""


def run(folders: SourceFolders, command: str, *options: str) -> Result:
    out = ["--out", str(folders.root / "out")] if command == "publish" else []
    return CliRunner().invoke(main, [command, *folders.options, *out, *options], catch_exceptions=False)


def list_files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def drop_digest(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files of an edition without the digest that each bears."""
    digest = re.search(rb'"digest": "([0-9 ]+)"', files["manifest.json"])
    assert digest
    return {name: set_digest(data, FIELD, digest[1].decode()) for name, data in files.items()}


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> SourceFolders:
    """The small source, published in English and Spanish as its edition says."""
    folders = print_in_both(copy_folders(tmp_path_factory.mktemp("both") / "source"))
    result = run(folders, "publish")
    assert result.exit_code == 0, result.output
    return folders


def test_both_languages_stand_in_one_folder_and_are_verified_as_one(both: SourceFolders) -> None:
    folder = both.root / "out/2027"
    names = set(list_files(folder))
    told = {name for name in names if "drawings/" not in name}  # which are named by faces
    english = {name for name in told if not name.startswith("es/")} - ONCE
    spanish = {name.removeprefix("es/") for name in told if name.startswith("es/")}
    assert english - spanish == {"press/print-check-letter.pdf"}
    assert spanish <= english
    verified = CliRunner().invoke(main, ["verify", str(folder)])
    assert verified.exit_code == 0
    assert f"{len(names) - 1} files" in verified.stdout
    assert "unchanged" in run(both, "publish").stdout
    assert "unchanged" in run(both, "publish", "--language", "en,es").stdout
    altered = folder / "es/cards/batters-box.pdf"
    data = altered.read_bytes()
    altered.write_bytes(data + b" ")
    refused = CliRunner().invoke(main, ["verify", str(folder)])
    altered.write_bytes(data)
    assert refused.exit_code == 1
    assert "es/cards/batters-box.pdf is altered" in refused.stderr


def test_each_file_is_in_its_language(both: SourceFolders) -> None:
    folder = both.root / "out/2027"
    for home, tag, words in (("", "en-US", "Field"), ("es/", "es-US", "Campo")):
        pages = PdfReader(folder / f"{home}sheets/plate-area.pdf").pages
        assert words in " ".join(page.extract_text() for page in pages)
        assert f'lang="{tag}"' in (folder / f"{home}index.html").read_text(encoding="utf-8")[:200]


def test_a_changed_spanish_word_changes_spanish_files_alone(both: SourceFolders, tmp_path: Path) -> None:
    before = list_files(both.root / "out/2027")
    other = print_in_both(copy_folders(tmp_path / "source"))
    write_spanish(other, **{"How to check": "Cómo medir"})
    assert run(other, "publish").exit_code == 0
    after = list_files(other.root / "out/2027")
    old, new = drop_digest(before), drop_digest(after)
    changed = {name for name in old if new[name] != old[name]}
    assert old.keys() == new.keys()
    assert {name for name in changed if not name.startswith("es/")} == {"manifest.json"}
    assert {"es/index.html", "es/sheets/plate-area.pdf"} <= changed
    assert "es/cards/batters-box.pdf" not in changed


def test_what_did_not_change_in_either_language_is_used_again(both: SourceFolders, tmp_path: Path) -> None:
    other = print_in_both(copy_folders(tmp_path / "source"))
    assert run(other, "publish").exit_code == 0
    write_spanish(other, **{"How to check": "Cómo medir"})
    told = run(other, "publish", "--each").stdout.splitlines()
    pdfs = {line.split("  ")[0].split("2027/")[1]: line for line in told if ".pdf" in line}
    anew = {name for name, line in pdfs.items() if not line.endswith("reused")}
    assert anew == {"es/sheets/plate-area.pdf"}
    assert (
        drop_digest(list_files(other.root / "out/2027")).keys() == list_files(both.root / "out/2027").keys()
    )


def test_each_page_links_to_the_other_language_and_back(both: SourceFolders) -> None:
    folder = both.root / "out/2027"
    pages = {
        "index.html": ("es/index.html", "es-US", "Español"),
        "es/index.html": ("../index.html", "en-US", "English"),
    }
    for name, (way, tag, title) in pages.items():
        text = (folder / name).read_text(encoding="utf-8")
        root = read_html(text)
        (link,) = [each for each in root.all("a") if "hreflang" in each.attributes]
        assert (link["href"], link["hreflang"], link["lang"], link.text) == (way, tag, tag, title)
        alternate = root.one("link", hreflang=tag)
        assert (alternate["rel"], alternate["href"]) == ("alternate", way)
        for href in {each["href"] for each in root.all("a", "link") if "href" in each.attributes}:
            if not href.startswith(("#", "data:", "http")):
                assert (folder / name).parent.joinpath(href).is_file(), href


def test_the_first_language_named_is_the_edition_s_own(both: SourceFolders, tmp_path: Path) -> None:
    other = copy_folders(tmp_path / "source")
    write_spanish(other)
    result = run(other, "publish", "--language", "es,en", "--only", "batters-box")
    assert result.exit_code == 0, result.output
    made = list_files(other.root / "out/2027-only")
    whole = drop_digest(list_files(both.root / "out/2027"))
    assert made["cards/batters-box.pdf"] == whole["es/cards/batters-box.pdf"]
    assert made["en/cards/batters-box.pdf"] == whole["cards/batters-box.pdf"]
    alone = run(other, "publish", "--language", "es", "--only", "batters-box")
    assert alone.exit_code == 0
    assert (
        list_files(other.root / "out/es/2027-only")["cards/batters-box.pdf"] == made["cards/batters-box.pdf"]
    )


@pytest.mark.parametrize("command", ["proof", "publish"])
def test_a_caution_that_lacks_its_spanish_is_refused_and_nothing_written(
    folders: SourceFolders, command: str
) -> None:
    print_in_both(folders)
    write_spanish(folders, **{CAUTION: ""})
    result = run(folders, command)
    assert result.exit_code == 1
    assert "content/cautions/marking.yaml:5:5: error: in es: the caution '*Never mark" in result.stderr
    assert not (folders.root / "out").exists()


def test_what_has_no_room_in_one_language_is_told_with_that_language(folders: SourceFolders) -> None:
    print_in_both(folders)
    write_spanish(folders, **{"The lines are in": "m" * 60})
    result = run(folders, "proof")
    assert result.exit_code == 1
    assert "layouts/cards/batters-box.yaml" in result.stderr
    assert "error: in es: " in result.stderr


@pytest.mark.parametrize(
    ("languages", "told"),
    [
        ("[en, ese]", ":4:17: error: there is no catalogue of a language 'ese'"),
        ("[en, es, en]", ":4:21: error: 'en' stands twice in the list"),
        ("es", ":4:12: error: the edition names 'es' alone"),
    ],
)
def test_languages_that_cannot_be_are_told_where_they_stand(
    folders: SourceFolders, languages: str, told: str
) -> None:
    print_in_both(folders, languages)
    result = run(folders, "proof")
    assert result.exit_code == 1
    assert f"content/edition.yaml{told}" in result.stderr


def test_the_source_s_digest_does_not_hang_on_the_languages(both: SourceFolders, tmp_path: Path) -> None:
    english = copy_folders(tmp_path / "source")
    assert run(english, "publish").exit_code == 0
    found = [(each.root / "out/2027/source.json").read_bytes() for each in (both, english)]
    assert found[0] == found[1]
    assert len(SPANISH) > 30
