"""Pictures from the command line: published in every file, counted as inputs, and refused with place and remedy."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from html_reading import read_html
from picture_samples import badge_jpeg, badge_png, header_only_png
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.output.reading.readback import read_pdf

SHEET = "layouts/sheets/plate-area.yaml"
LOGO = "content/pictures/logo.png"
LARGE = badge_png("RGBA", 600, 300)
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>fetch("//example.org")</script></svg>'


def put_block(folders: SourceFolders, block: str) -> None:
    folders.replace(SHEET, "front:\n", f"front:\n  - {block}\n")


def block(file: str = "pictures/logo.png", width: str = "25 mm", alt: str = '"The badge"') -> str:
    return f"{{block: photo, file: {file}, width: {width}, alt: {alt}}}"


@pytest.fixture
def pictured(folders: SourceFolders) -> SourceFolders:
    """The folders with a logo."""
    (folders.content / "pictures").mkdir()
    folders.write(LOGO, LARGE)
    return folders


def run(folders: SourceFolders, *command: str) -> Result:
    return CliRunner().invoke(main, [*command, *folders.options])


def publish(folders: SourceFolders, name: str = "out") -> Path:
    result = run(folders, "publish", "--out", str(folders.root / name))
    assert result.exit_code == 0, result.output
    (edition,) = (folders.root / name).iterdir()
    return edition


def read_files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


# --- published -------------------------------------------------------------------------------------------


def test_a_logo_is_in_the_pdf_the_drawing_and_the_page_and_the_edition_is_whole(
    pictured: SourceFolders,
) -> None:
    put_block(pictured, block())
    edition = publish(pictured)
    printed = read_pdf((edition / "sheets/plate-area.pdf").read_bytes())
    assert [len(page.images) for page in printed.pages] == [1, 0]
    embedded = "data:image/png;base64," + base64.b64encode(LARGE).decode()
    assert embedded in (edition / "drawings/plate-area-front.svg").read_text(encoding="utf-8")
    html = (edition / "index.html").read_text(encoding="utf-8")
    assert embedded in html
    page = read_html(html)
    (shown,) = [node for node in page.all("svg") if len(node.all("image"))]
    assert page.name_of(shown) == "The badge"
    assert "img-src data:" in html
    verified = CliRunner().invoke(main, ["verify", str(edition)])
    assert verified.exit_code == 0, verified.output


def test_the_pictures_used_count_as_inputs_and_no_others(pictured: SourceFolders) -> None:
    pictured.write("content/pictures/unused.png", badge_png())
    put_block(pictured, block())
    manifest = json.loads((publish(pictured) / "manifest.json").read_bytes())
    assert manifest["inputs"]["content/pictures/logo.png"] == hashlib.sha256(LARGE).hexdigest()
    assert [name for name in manifest["inputs"] if not name.endswith(".yaml")] == [
        "content/pictures/logo.png"
    ]


def test_another_picture_is_another_input_and_another_sheet(pictured: SourceFolders) -> None:
    put_block(pictured, block())
    before = read_files(publish(pictured, "before"))
    pictured.write(LOGO, badge_png("L", 600, 300))
    after = read_files(publish(pictured, "after"))
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {
        "sheets/plate-area.pdf",
        "drawings/plate-area-front.svg",
        "drawings/plate-area-front.png",
        "index.html",
        "manifest.json",
        "service-worker.js",
    }


def test_publishing_twice_gives_the_same_bytes(pictured: SourceFolders) -> None:
    put_block(pictured, block())
    assert read_files(publish(pictured, "once")) == read_files(publish(pictured, "again"))


def test_a_coarse_picture_is_published_with_a_warning_at_its_width(pictured: SourceFolders) -> None:
    put_block(pictured, block(width="120 mm"))
    result = run(pictured, "proof")
    assert result.exit_code == 0
    assert f"{SHEET}:7:" in result.stderr
    assert "warning: pictures/logo.png is 600 pixels across: 127 dpi" in result.stderr
    assert "use a picture at least 709 pixels wide, or a smaller size" in result.stderr


# --- refused ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Slip:
    """One mistake: the block, what is in the logo's file, and what is said."""

    block: str
    at: str
    code: str
    says: str
    hint: str
    content: Callable[[], bytes] = lambda: LARGE


SLIPS = {
    "missing": Slip(
        block("pictures/lgo.png"),
        "pictures/lgo.png",
        "picture-missing",
        "no file pictures/lgo.png",
        "check the path",
    ),
    "outside": Slip(
        block("../logo.png"),
        "../logo.png",
        "picture-outside",
        "leads out of the content folder",
        "copy the picture",
    ),
    "absolute": Slip(
        block("/tmp/logo.png"), "/tmp/logo.png", "picture-outside", "leads out", "copy the picture"
    ),
    "address": Slip(
        block('"https://example.org/logo.png"'),
        '"https://example.org/logo.png"',
        "picture-outside",
        "not a path",
        "'/'",
    ),
    "not-a-picture": Slip(
        block(), "pictures/logo.png", "picture-kind", "is not a picture", "PNG or JPEG", lambda: b"hello"
    ),
    "svg": Slip(
        block(), "pictures/logo.png", "picture-kind", "is an SVG, which can carry scripts", "PNG", lambda: SVG
    ),
    "300-megapixels": Slip(
        block(),
        "pictures/logo.png",
        "picture-many-pixels",
        "20,000 by 15,000 pixels; at most 40 million",
        "save it smaller",
        lambda: header_only_png(20_000, 15_000),
    ),
    "five-megabytes": Slip(
        block(),
        "pictures/logo.png",
        "picture-big",
        "at most 5,000,000",
        "save it smaller",
        lambda: LARGE + b"\0" * 5_000_000,
    ),
    "cmyk": Slip(
        block(), "pictures/logo.png", "picture-colours", "CMYK", "save it as RGB", lambda: badge_jpeg("CMYK")
    ),
    "sixteen-bits": Slip(
        block(),
        "pictures/logo.png",
        "picture-depth",
        "16 bits a sample",
        "8 bits",
        lambda: header_only_png(10, 10, 16),
    ),
    "cut-off": Slip(
        block(), "pictures/logo.png", "picture-broken", "cut off", "save it again", lambda: LARGE[:900]
    ),
    "empty-words": Slip(block(alt='""'), '""', "value-empty", "is empty", "write the text"),
    "no-words": Slip(
        "{block: photo, file: pictures/logo.png, width: 25 mm}",
        "{block",
        "key-missing",
        "'alt'",
        "what it shows",
    ),
    "no-width": Slip(
        '{block: photo, file: pictures/logo.png, alt: "The badge"}',
        "{block",
        "key-missing",
        "'width'",
        "20 mm",
    ),
    "width-without-unit": Slip(block(width="25"), ", alt", "unit-missing", "25 has no unit", "write 25"),
    "misspelt-key": Slip(
        '{block: photo, fil: pictures/logo.png, width: 25 mm, alt: "The badge"}',
        "fil:",
        "key-unknown",
        "'fil'",
        "did you mean 'file'?",
    ),
    "too-large": Slip(
        block(width="300 mm"),
        "{block: photo",
        "block-too-large",
        "photo pictures/logo.png is",
        "larger stock",
    ),
}


@pytest.mark.parametrize("name", SLIPS)
def test_a_mistake_is_told_with_its_place_a_caret_and_a_remedy(name: str, pictured: SourceFolders) -> None:
    slip = SLIPS[name]
    pictured.write(LOGO, slip.content())
    put_block(pictured, slip.block)
    result = run(pictured, "publish", "--out", str(pictured.root / "out"))
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit), repr(result.exception)
    assert re.search(r"^\d+ errors?; nothing was written\.$", result.stderr, re.MULTILINE)
    assert not (pictured.root / "out").exists()
    lines = result.stderr.splitlines()
    first = next(index for index, line in enumerate(lines) if line.endswith(f"[{slip.code}]"))
    assert re.match(rf"{re.escape(SHEET)}:\d+:\d+: error: ", lines[first])
    assert slip.says in lines[first]
    assert lines[first + 1][lines[first + 2].index("^") :].startswith(slip.at)
    assert slip.hint in lines[first + 3]


def test_a_link_out_of_the_content_folder_is_refused(pictured: SourceFolders) -> None:
    (pictured.root / "private.png").write_bytes(LARGE)
    (pictured.content / "pictures" / "link.png").symlink_to(pictured.root / "private.png")
    put_block(pictured, block("pictures/link.png"))
    result = run(pictured, "proof")
    assert result.exit_code == 1
    assert "link to a file outside the content folder [picture-outside]" in result.stderr
    assert "put the file itself there" in result.stderr


def test_every_bad_picture_is_told_at_once(pictured: SourceFolders) -> None:
    for file in ("pictures/a.png", "pictures/b.png", "../c.png"):
        put_block(pictured, block(file))
    result = run(pictured, "proof")
    assert "3 errors; nothing was written." in result.stderr


def test_a_stored_source_cannot_show_pictures_and_says_what_can(pictured: SourceFolders) -> None:
    stored = publish(pictured) / "source.json"
    put_block(pictured, block())
    command = ["proof", "--content", str(stored), "--layouts", str(pictured.layouts)]
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 1
    assert "source.json is not a folder, and holds no pictures [picture-missing]" in result.stderr


def test_a_member_run_holds_the_picture_once_for_all_its_cards(pictured: SourceFolders) -> None:
    card = "layouts/cards/batters-box.yaml"
    pictured.write(LOGO, badge_png("RGBA", 600, 48))
    pictured.replace(card, "back:\n", f"back:\n  - {block()}\n")
    roster = pictured.root / "roster.csv"
    roster.write_text(
        "number,name,chapter,code,level,quantity\n1,Ann Bell,North,high-school,90-ft,9\n", encoding="utf-8"
    )
    out = pictured.root / "out"
    result = run(pictured, "publish", "--out", str(out), "--members", str(roster))
    assert result.exit_code == 0, result.output
    data = (out / "2027/members/north/cards-index-3x5.pdf").read_bytes()
    assert sum(len(page.images) for page in read_pdf(data).pages) == 9
    assert data.count(b"/SMask") == 1
