"""Sources that mean harm: what leads out of the folder, grows without end, or would run elsewhere."""

from __future__ import annotations

import csv
import io
import os
import shutil
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from source_folders import SourceFolders

from pocketref.cli import main

EDITION = "content/edition.yaml"
FIELD = "content/fields/high-school-90-ft.yaml"
TEXTS = "content/mechanics/stance.yaml"
CAUTION = "content/cautions/marking.yaml"
CARD = "layouts/cards/batters-box.yaml"
SHEET = "layouts/sheets/plate-area.yaml"
TABLE = "content/rulings/high-school/stance.yaml"


def run(folders: SourceFolders, *command: str) -> Result:
    return CliRunner().invoke(main, [*command, *folders.options])


def publish(folders: SourceFolders, *options: str) -> Result:
    return run(folders, "publish", "--out", str(folders.root / "out"), *options)


def assert_refused(result: Result, code: str, folders: SourceFolders) -> None:
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    assert result.exit_code == 1
    assert f"[{code}]" in result.stderr
    assert sorted(path.name for path in folders.root.iterdir()) == ["content", "layouts"]


# --- out of the folder -----------------------------------------------------------------------------------

OUTSIDE = (
    "../secret",
    "../../etc/passwd",
    "/etc/passwd",
    "mechanics/../secret",
    "..",
    "C:secret",
    "a\\..\\secret",
)
REFERENCES = {
    "edition": (EDITION, 'edition: "2027"', "edition: {}", "value-name"),
    "code": (EDITION, "codes: [high-school]", "codes: [{}]", "value-name"),
    "level": (EDITION, "levels: [high-school-90-ft]", "levels: [{}]", "value-name"),
    "text": (CARD, "text: mechanics/stance/lines", "text: {}", "text-unknown"),
    "caution": (SHEET, "caution: marking", "caution: {}", "value-name"),
    "stock": (CARD, "stock: index-3x5", "stock: {}", "value-name"),
    "subject": (
        CARD,
        "subject: stance}\n  - {block: calls",
        "subject: {}}}\n  - {{block: calls",
        "value-name",
    ),
    "figure": (CARD, "figure: plate-area", "figure: {}", "key-unknown"),
    "card": (CARD, "card: batters-box", "card: {}", "value-name"),
    "source": (TABLE, "source: field-book 7-3", "source: {}", "value-cite"),
}


@pytest.mark.parametrize("reference", REFERENCES)
@pytest.mark.parametrize("outside", OUTSIDE)
def test_no_reference_leads_out_of_the_folder(reference: str, outside: str, folders: SourceFolders) -> None:
    file, old, new, code = REFERENCES[reference]
    quoted = "'" + outside + "'"
    folders.replace(file, old, new.format(quoted) if "{}" in new else new)
    result = run(folders, "proof")
    assert_refused(result, code, folders)
    assert f"{file}:" in result.stderr


def test_a_stock_named_on_the_command_line_is_looked_up_among_the_stocks(folders: SourceFolders) -> None:
    for option in ("stock", "paper"):
        result = publish(folders, f"--{option}", "../../etc/passwd")
        assert_refused(result, f"{option}-unknown", folders)


@pytest.mark.parametrize("name", [EDITION, "content/works.yaml", TEXTS, TABLE, CARD, "layouts/stocks.yaml"])
def test_a_file_that_is_a_link_out_of_its_folder_is_refused(
    name: str, folders: SourceFolders, tmp_path: Path
) -> None:
    shutil.move(folders.root / name, tmp_path / "elsewhere.yaml")
    (folders.root / name).symlink_to(tmp_path / "elsewhere.yaml")
    assert_refused(publish(folders), "file-outside", folders)


@pytest.mark.parametrize("name", ["content/fields", "content/rulings/high-school", "layouts/cards"])
def test_a_folder_that_is_a_link_out_is_refused(name: str, folders: SourceFolders, tmp_path: Path) -> None:
    shutil.move(folders.root / name, tmp_path / "elsewhere")
    (folders.root / name).symlink_to(tmp_path / "elsewhere")
    assert_refused(publish(folders), "file-outside", folders)


def test_links_pipes_and_folders_beside_the_source_are_never_read(
    folders: SourceFolders, tmp_path: Path
) -> None:
    (tmp_path / "secret.yaml").write_text("secret: 1234")
    beside = folders.content / "notes"
    beside.mkdir()
    (beside / "link.yaml").symlink_to(tmp_path / "secret.yaml")
    (beside / "nowhere.yaml").symlink_to(tmp_path / "gone.yaml")
    (beside / "circle.yaml").symlink_to(beside / "circle.yaml")
    (beside / "folder.yaml").mkdir()
    os.mkfifo(beside / "pipe.yaml")
    (beside / "mine.yaml").write_text("note: kept")
    result = publish(folders)
    assert result.exit_code == 0, result.output
    manifest = (folders.root / "out" / "2027" / "manifest.json").read_text()
    assert "content/notes/mine.yaml" in manifest
    assert not any(name in manifest for name in ("link.yaml", "nowhere", "circle", "folder.yaml", "pipe"))


def test_a_pipe_where_a_file_belongs_is_refused_and_not_waited_for(folders: SourceFolders) -> None:
    (folders.root / TEXTS).unlink()
    os.mkfifo(folders.root / TEXTS)
    assert_refused(publish(folders), "file-unreadable", folders)


@pytest.mark.parametrize("kind", ["endless", "pipe", "folder"])
def test_a_roster_that_is_no_plain_file_is_refused_and_not_read(
    kind: str, folders: SourceFolders, tmp_path: Path
) -> None:
    path = Path("/dev/zero") if kind == "endless" else tmp_path / "roster.csv"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    code = "file-is-folder" if kind == "folder" else "file-unreadable"
    assert_refused(publish(folders, "--members", str(path)), code, folders)


def test_a_roster_that_is_not_there_is_told_though_an_edition_without_one_is(folders: SourceFolders) -> None:
    assert publish(folders).exit_code == 0
    result = publish(folders, "--members", str(folders.root / "nowhere.csv"))
    assert result.exit_code == 1
    assert "[file-missing]" in result.stderr


def test_a_pipe_in_the_place_of_a_manifest_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "manifest.json")
    result = CliRunner().invoke(main, ["verify", str(tmp_path)])
    assert result.exit_code == 1
    assert "[edition-unknown]" in result.stderr


def test_an_out_folder_that_is_a_link_is_written_to_and_stays_a_link(
    folders: SourceFolders, tmp_path: Path
) -> None:
    (tmp_path / "disk").mkdir()
    (folders.root / "out").symlink_to(tmp_path / "disk")
    assert publish(folders).exit_code == 0
    assert (folders.root / "out").is_symlink()
    assert (tmp_path / "disk" / "2027" / "manifest.json").is_file()


# --- without end -----------------------------------------------------------------------------------------


def nested_aliases(width: int, depth: int) -> str:
    lines = ["a0: &a0 [laugh]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * width)}]" for n in range(1, depth)]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("name", [EDITION, TEXTS, CARD, "layouts/stocks.yaml"])
@pytest.mark.parametrize(("width", "depth"), [(9, 10), (2, 40), (49, 3)])
def test_aliases_of_aliases_are_refused_before_they_grow(
    name: str, width: int, depth: int, folders: SourceFolders
) -> None:
    folders.write(name, nested_aliases(width, depth))
    assert_refused(publish(folders), "yaml-alias", folders)


MANY = {
    "brackets": ("[" * 200_000, "yaml-depth"),
    "keys-in-braces": ("{a: " * 100_000, "yaml-depth"),
    "dashes": ("- " * 100_000, "yaml-depth"),
    "keys-that-are-unknown": ("".join(f"k{n}: v\n" for n in range(20_000)), "file-problems"),
    "the-same-key": ("a: b\n" * 20_000, "file-problems"),
    "a-name-of-a-thousand-letters": (f"{'a' * 1_000}: b\n", "key-unknown"),
    "a-name-of-a-megabyte": (f"{'a' * 1_000_000}: b\n", "yaml-syntax"),
    "a-value-of-a-megabyte": (f"edition: {'a' * 1_000_000}\n", "value-name"),
    "a-digit-after-another": (f"edition: {'9' * 100_000}\n", "value-name"),
    "an-anchor-of-a-megabyte": (f"a: *{'a' * 1_000_000}\n", "yaml-alias"),
}


@pytest.mark.parametrize("name", MANY)
def test_a_file_that_grows_without_end_is_refused_in_few_words(name: str, folders: SourceFolders) -> None:
    text, code = MANY[name]
    folders.write(EDITION, text)
    result = publish(folders)
    assert_refused(result, code, folders)
    assert len(result.stderr) < 100_000
    assert max(map(len, result.stderr.splitlines())) < 1_000


BLOCK = "  - {block: figure, figure: plate-area, smallest: 50}\n"
LISTS = {
    "blocks": (CARD, "front:\n", "front:\n" + BLOCK * 300, "blocks-many"),
    "sizes": ("layouts/styles.yaml", "[7.6,", f"[{'7.6, ' * 3000}", "value-count"),
    "blanks": (SHEET, "[Field,", f"[{', '.join(f'B{n}' for n in range(3000))}, Field,", "value-count"),
    "minutes-of-arc": ("layouts/styles.yaml", "arcmin: 16", "arcmin: 999999999", "value-range"),
}


@pytest.mark.parametrize("name", LISTS)
def test_more_than_a_face_could_hold_is_refused_before_it_is_laid_out(
    name: str, folders: SourceFolders
) -> None:
    file, old, new, code = LISTS[name]
    folders.replace(file, old, new)
    assert_refused(publish(folders), code, folders)


@pytest.mark.parametrize("length", [61, 255, 5000])
def test_an_edition_s_name_too_long_for_a_folder_is_refused(length: int, folders: SourceFolders) -> None:
    folders.replace(EDITION, 'edition: "2027"', f"edition: {'a' * length}")
    assert_refused(publish(folders), "value-name", folders)


def test_an_edition_of_the_longest_name_is_published(folders: SourceFolders) -> None:
    folders.replace(EDITION, 'edition: "2027"', f"edition: {'a' * 60}")
    result = publish(folders)
    assert result.exit_code == 0 or "[block-too-large]" in result.stderr


def test_a_folder_s_name_that_the_disk_cannot_keep_is_refused(folders: SourceFolders) -> None:
    result = run(folders, "publish", "--out", str(folders.root / ("x" * 300)))
    assert_refused(result, "file-name-unsafe", folders)


# --- what would run elsewhere ----------------------------------------------------------------------------

SCRIPT = "<script>intruded=1</script><img src=x onerror=intruded=1>"
ENTITY = "&xxe; &lt;b&gt; <!ENTITY xxe SYSTEM 'file:///etc/passwd'> ]]> <!-- --"


class PageReader(HTMLParser):
    """The elements of a page as a browser meets them, and what stands in its scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[str]]] = []
        self.scripts: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, [name for name, _ in attrs]))

    def handle_data(self, data: str) -> None:
        (self.scripts if self.cdata_elem else self.texts).append(data)


@pytest.mark.parametrize("attack", [SCRIPT, ENTITY])
def test_markup_in_texts_titles_and_names_stays_text_in_every_drawing_and_page(
    attack: str, folders: SourceFolders
) -> None:
    quoted = "'" + attack.replace("'", "''") + "'"
    folders.replace(EDITION, "association: Larkmoor Test Umpires", f"association: {quoted}")
    folders.replace(CARD, "title: Batter's box and stance", f"title: {quoted}")
    folders.replace("layouts/stocks.yaml", "width: 5 in", "width: 9 in")
    folders.replace("layouts/stocks.yaml", "height: 3 in", "height: 6 in")
    result = publish(folders)
    assert result.exit_code == 0, result.stderr
    edition = folders.root / "out" / "2027"
    drawings = sorted(edition.glob("drawings/*.svg"))
    assert drawings
    shown = 0
    for path in (*drawings, *edition.glob("*.xml")):
        root = ET.fromstring(path.read_text(encoding="utf-8"))  # our own file, read as any reader would
        tags = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert not tags & {"script", "img", "b", "foreignObject"}
        assert not any(name.lower().startswith("on") for element in root.iter() for name in element.attrib)
        shown += any(attack[:20] in (element.text or "") for element in root.iter())
    assert shown
    page = PageReader()
    page.feed((edition / "index.html").read_text(encoding="utf-8"))
    assert "svg" in {tag for tag, _ in page.tags}
    assert not {tag for tag, _ in page.tags} & {"img", "iframe", "object"}
    assert any(
        attack.replace("'", "\u2019") in text for text in page.texts
    )  # whole: none of it became an element
    assert not any(name.startswith("on") for _, names in page.tags for name in names)
    assert not any("intruded" in text or "ENTITY" in text for text in page.scripts)


def test_no_cell_of_a_packing_list_begins_like_a_formula(folders: SourceFolders, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text(
        "name,number,chapter,code,level,quantity\n"
        'Ann =1+1,1001,North Shore,high-school,90-ft,1\n"Bo, @SUM",A-1,North Shore,high-school,90-ft,1\n'
    )
    result = publish(folders, "--members", str(roster))
    assert result.exit_code == 0, result.stderr
    lists = sorted((folders.root / "out" / "2027" / "members").rglob("*.csv"))
    assert [path.name for path in lists if path.parent.name == "members"] == ["parcels.csv", "totals.csv"]
    for path in lists:
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row)


@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t=", " =", "\u00a0=", "\ufeff=", "\uff1d", "\uff0b", "\uff20", "'="]
)
def test_a_roster_s_value_that_a_spreadsheet_would_run_is_refused(
    start: str, folders: SourceFolders, tmp_path: Path
) -> None:
    roster = tmp_path / "roster.csv"
    for column in range(3):
        values = ["Ann", "1001", "North Shore", "high-school", "90-ft", "1"]
        values[column] = f"{start}1+1"
        out = io.StringIO(newline="")
        csv.writer(out).writerows([["name", "number", "chapter", "code", "level", "quantity"], values])
        roster.write_text(out.getvalue(), encoding="utf-8")
        result = publish(folders, "--members", str(roster))
        if start == "'=":  # a quotation mark keeps spreadsheets from running it
            assert result.exception is None or isinstance(result.exception, SystemExit)
            continue
        assert result.exit_code == 1
        assert ("[text-control-character]" if "\ufeff" in start else "[roster-") in result.stderr
        assert not (folders.root / "out").exists()


def test_a_terminal_is_not_steered_by_what_a_file_is_called_or_says(folders: SourceFolders) -> None:
    (folders.content / "mechanics" / "\x1b[2J\u202e.yaml").write_text("a: b")
    folders.replace(TEXTS, "mechanics: stance", 'mechanics: "stance\\e[2J"')
    result = run(folders, "proof")
    assert result.exit_code == 1
    assert "\x1b" not in result.stderr
    assert "\u202e" not in result.stderr
