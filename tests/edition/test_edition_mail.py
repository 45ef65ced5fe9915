"""Plays to mail: what mail programs show, with the picture beside it and the answer behind a link."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from demo_plays import demo, demo_layouts
from PIL import Image
from play_samples import ROOT, content

from pocketref.cli import main
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError
from pocketref.web.mail import build_mail, check_mailed

SHEET = "weekly-01"
SHOWN = {"table", "tr", "td", "img", "a", "b"}
"""Elements that every mail program shows: tables and pictures of PNG, by pages on what these support of 2026 that the
facts quote (no script, no SVG, no style but at the element, no data: URI)."""


class Fragment(HTMLParser):
    """The elements of a piece of HTML with their attributes, and its words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data

    def find(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


@cache
def mail() -> dict[str, bytes]:
    return {file.name: file.data for file in build_mail(SHEET, demo(), demo_layouts())}


def list_fragments() -> list[tuple[int, Fragment]]:
    count = len(next(sheet for sheet in demo().sheets if sheet.name == SHEET).questions)
    return [(n, Fragment(mail()[f"{SHEET}-play-{n}.html"].decode("ascii"))) for n in range(1, count + 1)]


def test_each_play_is_a_piece_of_html_that_mail_programs_show() -> None:
    for _, fragment in list_fragments():
        assert {name for name, _ in fragment.elements} <= SHOWN
        assert fragment.find("table")[0]["role"] == "presentation"
        assert fragment.find("table")[0]["width"] == "600"
        assert not [
            a for _, attributes in fragment.elements for a in attributes if a in ("class", "id", "onclick")
        ]


def test_a_picture_is_twice_as_fine_as_it_is_shown_and_tells_no_answer() -> None:
    sheet = next(sheet for sheet in demo().sheets if sheet.name == SHEET)
    shown = 0
    for number, fragment in list_fragments():
        question = sheet.questions[number - 1]
        images = fragment.find("img")
        assert bool(images) is not question.ruled.scene.is_empty
        for image in images:
            shown += 1
            picture = Image.open(BytesIO(mail()[str(image["src"])]))
            assert picture.format == "PNG"
            sides = (int(image["width"] or 0), int(image["height"] or 0))
            for pixels, side in zip(picture.size, sides, strict=True):
                assert abs(pixels - 2 * side) <= 2
            assert sides[0] <= 600
            assert "In words it would tell the answer" in (image["alt"] or "")
    assert shown


def test_the_question_asks_what_the_sheet_asks_and_its_key_is_behind_a_link() -> None:
    edition = content().edition
    sheet = next(sheet for sheet in demo().sheets if sheet.name == SHEET)
    assert 'const PLAY = "play";' in (ROOT / "pocketref/web/page/plays.js").read_text(encoding="utf-8")
    for number, fragment in list_fragments():
        question = sheet.questions[number - 1]
        for letter, choice in zip("ABCD", question.choices, strict=False):
            assert f"{letter} {choice.ruling.headline.rstrip('.')}." in fragment.words.replace("\u2019", "'")
            assert not choice.reason or choice.reason not in fragment.words
        (link,) = fragment.find("a")
        assert link["href"] == f"{edition.address}/{edition.edition}/#play/{SHEET}/{number}"
        assert "(invented)" in fragment.words
        assert "The rule book and the league govern." in fragment.words


def test_an_edition_without_an_address_has_no_link() -> None:
    edition = content().edition.model_copy()
    edition.model_fields_set.discard("address")
    books = RuleBooks(replace(content(), edition=edition))
    files = build_mail(SHEET, replace(demo(), books=books), demo_layouts())
    pieces = [Fragment(file.data.decode("ascii")) for file in files if file.name.endswith(".html")]
    assert pieces
    assert not [link for piece in pieces for link in piece.find("a")]


def test_picture_and_question_are_one_picture_as_wide_as_mail() -> None:
    for number, _ in list_fragments():
        picture = Image.open(BytesIO(mail()[f"{SHEET}-play-{number}.png"]))
        assert picture.size[0] == 2 * 600


def test_another_sheet_is_asked_for_by_its_nearest_name() -> None:
    with pytest.raises(PocketrefError, match="no training sheet 'weekly-1'") as caught:
        next(build_mail("weekly-1", demo(), demo_layouts()))
    assert "did you mean 'weekly-01'?" in caught.value.problems[0].hint


def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path) -> None:
    check_mailed(tmp_path / "not there")
    (tmp_path / f"{SHEET}-play-1.png").touch()
    check_mailed(tmp_path)
    (tmp_path / "notes.txt").touch()
    with pytest.raises(PocketrefError, match=r"notes\.txt"):
        check_mailed(tmp_path)


def test_the_command_writes_a_folder_for_the_sheet(tmp_path: Path) -> None:
    demo_folders = ["--content", str(ROOT / "content"), "--layouts", str(ROOT / "layouts")]
    result = CliRunner().invoke(main, ["mail", SHEET, *demo_folders, "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert "6 plays to mail" in result.stdout
    assert {path.name: path.read_bytes() for path in (tmp_path / SHEET).iterdir()} == mail()
