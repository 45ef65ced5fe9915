"""Bulletins in a season: what each says, which cards it concerns, what is printed, and how the editions follow."""

from __future__ import annotations

import json
import shutil
from datetime import datetime
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result
from html_reading import read_html
from season_samples import FIRST, MARKS, ROSTER, SECOND_CARD, Season, play_season
from source_folders import copy_folders

from pocketref.cli import main
from pocketref.output.reading.printed import PrintedDocument
from pocketref.output.reading.readback import read_pdf
from pocketref.source.library import read_library
from pocketref.source.record import write_record
from pocketref.web.feed import ATOM

TEXT = "Feet before all"
BOX, LOOK = "Batter\u2019s box and stance", "Look"
CARDS_ON_A_SHEET = 4
"""5 by 3 in, two by two or turned, on 8 1/2 by 11 in with room for crop marks."""


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    return play_season(tmp_path_factory.mktemp("season") / "source")


def read(season: Season, name: str) -> PrintedDocument:
    return read_pdf((season.out / name).read_bytes())


def words(season: Season, name: str) -> str:
    """All that is printed, a space between pieces."""
    return " ".join(text.content for page in read(season, name).pages for text in page.texts)


def compare(season: Season, old: str, new: str) -> str:
    command = ["changes", str(season.out / old), str(season.out / new), "--json"]
    return CliRunner().invoke(main, command, catch_exceptions=False).output


@pytest.mark.parametrize(("old", "new"), list(combinations(MARKS, 2)))
def test_any_two_editions_are_compared_in_words(season: Season, old: str, new: str) -> None:
    said = json.loads(compare(season, old, new))
    groups = said["groups"]
    calls, texts = (MARKS.index(old) < at <= MARKS.index(new) for at in (2, 3))
    assert (said["old"], said["new"]) == (old, new)
    assert bool(said["call-changes"]) is calls
    assert ("No call in the tables changed." in said["summary"]) is not calls
    assert (TEXT in str(groups.get("mechanics"))) is texts


@pytest.mark.parametrize(("mark", "day"), [("2027.1", "14 May 2027"), ("2027.2", "20 Jun 2027")])
def test_a_bulletin_is_one_dated_page_of_the_paper(season: Season, mark: str, day: str) -> None:
    (page,) = read(season, f"{mark}/sheets/bulletin.pdf").pages
    assert (page.media.width_mm, page.media.height_mm) == pytest.approx(
        (215.9, 279.4)
    )  # 8 1/2 by 11 in, ANSI/ASME Y14.1 size A
    said = " ".join(text.content for text in page.texts)
    assert f"Bulletin {mark[-1]} to edition 2027" in said
    assert day in said
    assert f"edition {mark}" in said


def test_a_bulletin_says_what_changed_since_the_edition_that_it_corrects(season: Season) -> None:
    first, second = (words(season, f"{mark}/sheets/bulletin.pdf") for mark in MARKS[2:])
    assert "Calls changed in one row" in first
    assert TEXT not in first
    assert "No call in the tables changed" in second
    assert "Every other word and figure of the content is as it was in 2027.1" in second


def test_each_card_is_told_by_the_marks_that_no_longer_hold(season: Season) -> None:
    page = read_html((season.out / "2027.2/index.html").read_text(encoding="utf-8"))
    section = page.one("section", id="bulletin")
    rows = [[cell.text for cell in (*row.all("th"), *row.all("td"))] for row in section.all("tr")]
    cards = [row for row in rows if row and row[0][:2] in ("1 ", "2 ")]
    assert cards == [
        ["1 Batter’s box and stance, back", "2027", "2027.1, 2027.2"],
        ["2 Look, front", "2027, 2027.1", "2027.2"],
    ]
    assert "Plate-area check" in section.text


def test_a_card_that_no_bulletin_concerns_holds(season: Season) -> None:
    assert "Every other card marked 2027 holds" in words(season, "2027.1/sheets/bulletin.pdf")
    assert "other card" not in words(season, "2027.2/sheets/bulletin.pdf")


@pytest.mark.parametrize(("mark", "title", "other"), [("2027.1", BOX, LOOK), ("2027.2", LOOK, BOX)])
def test_replacements_are_the_changed_cards_alone_each_filling_its_sheets(
    season: Season, mark: str, title: str, other: str
) -> None:
    sides = read(season, f"{mark}/press/replacement-cards-letter.pdf").pages
    assert len(sides) == 2
    for page in sides:
        printed = [text.content for text in page.texts]
        assert printed.count(title) == CARDS_ON_A_SHEET
        assert other not in printed
    marked = read(season, f"{mark}/press/replacement-cards-with-marks.pdf").pages
    assert [title in [text.content for text in page.texts] for page in marked] == [True, True]


def test_stickers_are_for_what_can_be_stuck_over(season: Season) -> None:
    """Bulletin 1 leaves a question out of a chart, so that the rest of it moves; 2 changes a line."""
    files = [json.loads((season.out / mark / "manifest.json").read_bytes())["files"] for mark in MARKS[2:]]
    assert ["press/stickers-letter.pdf" in each for each in files] == [False, True]
    said = words(season, "2027.2/press/stickers-letter.pdf")
    assert "Card 2 Look, marked 2027 or 2027.1" in said
    assert "Feet before all" in said
    assert "Stickers do for card 2 marked 2027 or 2027.1" in words(season, "2027.2/sheets/bulletin.pdf")


def test_members_get_the_replaced_cards_alone_by_name(season: Season, tmp_path: Path) -> None:
    """Of two cards bulletin 2 changed one; whole sets have both."""
    roster = tmp_path / "roster.csv"
    roster.write_text(ROSTER, encoding="utf-8")
    options = ["publish", "--out", str(tmp_path), "--members", str(roster)]
    assert season.run(*options, "--bulletin").exit_code == 0
    made = tmp_path / "2027.2/members/north-shore"
    assert sorted(path.name for path in made.iterdir()) == [
        "packing-list.csv",
        "packing-list.pdf",
        "replacement-cards-index-3x5.pdf",
    ]
    front, back = read_pdf((made / "replacement-cards-index-3x5.pdf").read_bytes()).pages
    said = [text.content for text in front.texts]
    assert said.count(LOOK) == 3
    assert BOX not in said
    assert [said.count(owner) for owner in ("Ann Exemplar, 1001", "Sample, Bo, 1002")] == [1, 2]
    assert LOOK in [text.content for text in back.texts]
    rows = (made / "packing-list.csv").read_text(encoding="utf-8").splitlines()
    assert [row.rpartition(",")[2] for row in rows] == ["cards", "1", "2"]
    (page,) = read_pdf((made / "packing-list.pdf").read_bytes()).pages
    assert "Packing list, replacement cards" in [text.content for text in page.texts]
    whole = season.run(*options)
    assert "2027.2/members" in whole.stdout, "whole sets are not what is there"
    assert (made / "cards-index-3x5.pdf").exists()
    assert not (made / "replacement-cards-index-3x5.pdf").exists()


def test_cards_and_sheets_bear_the_mark_of_the_correction(season: Season) -> None:
    for mark in MARKS[1:]:
        assert f"edition {mark}" in words(season, f"{mark}/cards/batters-box.pdf")
        assert f"edition {mark}" in words(season, f"{mark}/sheets/plate-area.pdf")
    manifest = json.loads((season.out / "2027.1/manifest.json").read_bytes())
    assert manifest["edition"] == "2027.1"
    assert manifest["valid"] == {"from": "2027-05-14", "through": "2027-12-31"}
    assert {"sheets/bulletin.pdf", "press/replacement-cards-letter.pdf"} <= manifest["files"].keys()


def test_the_feed_has_what_rfc_4287_requires(season: Season) -> None:
    """RFC 4287, 4.1.1 and 4.1.2: what a feed and an entry must have, once each; 3.3: how a time is written."""
    feed = ET.fromstring((season.out / "2027.2/feed.xml").read_bytes())
    assert feed.tag == f"{{{ATOM}}}feed"
    entries = feed.findall(f"{{{ATOM}}}entry")
    for each in (feed, *entries):
        for name in ("id", "title", "updated"):
            (found,) = each.findall(f"{{{ATOM}}}{name}")
            assert found.text
        updated = each.findtext(f"{{{ATOM}}}updated", "")
        assert datetime.fromisoformat(updated).tzinfo is not None
    assert feed.find(f"{{{ATOM}}}author/{{{ATOM}}}name") is not None
    ids = [entry.findtext(f"{{{ATOM}}}id", "") for entry in entries]
    assert [each.rstrip("/").rpartition("/")[2] for each in ids] == list(reversed(MARKS))
    links = [entry.find(f"{{{ATOM}}}link[@rel='alternate']") for entry in entries]
    assert all(link is not None and link.get("href") for link in links)


def test_an_entry_of_a_bulletin_says_why_and_what_changed_and_stays_as_it_was(season: Season) -> None:
    entries = {}
    for mark in MARKS[2:]:
        feed = ET.fromstring((season.out / mark / "feed.xml").read_bytes())
        entries[mark] = [ET.tostring(entry) for entry in feed.iter(f"{{{ATOM}}}entry")]
    assert entries["2027.2"][1:] == entries["2027.1"]
    newest = ET.fromstring(entries["2027.1"][0])
    summary = newest.findtext(f"{{{ATOM}}}summary", "")
    assert summary.startswith("A chapter found the call & the book apart. Calls changed in one row.")
    assert newest.findtext(f"{{{ATOM}}}updated") == "2027-05-14T00:00:00Z"


def verify(season: Season, mark: str, *more: str) -> Result:
    return CliRunner().invoke(main, ["verify", str(season.out / mark), *more], catch_exceptions=False)


def test_verify_says_which_edition_is_the_latest(season: Season) -> None:
    assert "no later edition lies beside 2027.2" in verify(season, "2027.2").stdout
    for mark in MARKS[:3]:
        said = verify(season, mark)
        assert said.exit_code == 0
        assert "a later edition lies beside it: 2027.2, in 2027.2, holds from 2027-06-20\n" in said.stdout


def test_verify_vouches_for_no_later_edition_that_is_altered(season: Season, tmp_path: Path) -> None:
    for mark in ("2027", "2027.1"):
        shutil.copytree(season.out / mark, tmp_path / mark)
    (tmp_path / "2027.1/feed.xml").write_bytes(b"")
    said = CliRunner().invoke(main, ["verify", str(tmp_path / "2027")]).stdout
    assert "2027.1, in 2027.1, holds from 2027-05-14, by what that folder says" in said


def test_the_digest_on_the_cards_is_of_no_paper_of_the_press(season: Season, tmp_path: Path) -> None:
    """Who prints the same edition on other paper hands out the same cards, bulletin and page."""
    assert season.run("publish", "--out", str(tmp_path), "--paper", "a4").exit_code == 0
    manifests = [json.loads((out / "2027.2/manifest.json").read_bytes()) for out in (season.out, tmp_path)]
    files = [{(name, file["sha256"]) for name, file in each["files"].items()} for each in manifests]
    assert manifests[0]["digest"] == manifests[1]["digest"]
    assert {name.partition("/")[0] for name, _ in files[0] ^ files[1]} == {"press"}


def test_an_old_card_s_digest_names_its_edition(season: Season) -> None:
    digest = json.loads((season.out / "2027/manifest.json").read_bytes())["digest"]
    said = verify(season, "2027.2", "--digest", digest)
    assert said.exit_code == 1
    assert "it is that of edition 2027, in 2027" in said.stderr


def test_a_card_that_says_where_things_are_holds_only_while_they_are_there(tmp_path: Path) -> None:
    """The correction gives card 2 a face more, so that its chart is no longer on the back, where the finder says."""
    season = Season(copy_folders(tmp_path))
    table = SECOND_CARD.replace("mechanics/stance/look", "mechanics/stance/lines")
    season.folders.write(
        "layouts/cards/sight.yaml",
        f"{table.partition('back:')[0]}back: [{{block: chart, subject: stance}}]\n",
    )
    box = "layouts/cards/batters-box.yaml"
    season.folders.replace(box, "  - {block: chart, subject: stance}\n", "")
    season.folders.replace(box, "mechanics/stance/lines", "mechanics/stance/tape")
    finder = table.partition("front:")[0].replace("sight", "finder").replace('"2"', '"3"')
    lists = "front: [{block: finder}]\nback: [{block: text, text: mechanics/stance/look}]\n"
    season.folders.write("layouts/cards/finder.yaml", finder + lists)
    library = read_library(season.folders.content)
    season.folders.add("content/past/2027.json", write_record(library).decode())
    line = '      - "A foot *on the line is in*.'
    season.folders.replace("content/mechanics/stance.yaml", line, '      - "Look again."\n' * 40 + line)
    season.add_bulletin(FIRST)
    said = season.run("bulletin")
    assert "3 Look, front: 2027 no longer holds" in said.stdout, said.output


def test_a_bulletin_is_said_before_it_is_published(season: Season, tmp_path: Path) -> None:
    said = season.run("bulletin", "--out", str(tmp_path / "page.pdf"))
    assert said.exit_code == 0
    assert "Bulletin 2 to edition 2027, 20 Jun 2027: Umpires looked too late." in said.stdout
    assert "1 Batter's box and stance, back: 2027 no longer holds; 2027.1, 2027.2 holds" in said.stdout
    (page,) = read_pdf((tmp_path / "page.pdf").read_bytes()).pages
    said = " ".join(text.content for text in page.texts)
    assert "it is published with the edition, and then has its digest" in said
    assert "00000" not in said, "a digest that it hasn't yet is not printed"


def test_a_page_too_small_for_a_bulletin_says_what_helps(season: Season, tmp_path: Path) -> None:
    """Changes beyond what the page holds are counted there; cards and steps are not left out."""
    said = season.run("bulletin", "--out", str(tmp_path / "page.pdf"), "--paper", "index-3x5")
    assert said.exit_code == 1
    assert "pages of index-3x5, and has one [bulletin-long]" in said.stderr
    assert "content/edition.yaml:14:5" in said.stderr
    assert "take larger paper" in said.stderr
    assert not (tmp_path / "page.pdf").exists()
