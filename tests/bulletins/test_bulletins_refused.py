"""Bulletins that can't be printed: each is told where it stands in edition.yaml, with what mends it."""

from __future__ import annotations

from pathlib import Path

import pytest
from season_samples import EDITION, FIRST, ROSTER, Season, open_season


@pytest.fixture(scope="module")
def closed(tmp_path_factory: pytest.TempPathFactory) -> Season:
    """The edition 2027 published and kept."""
    return open_season(tmp_path_factory.mktemp("season") / "source")


def prove(season: Season, bulletins: str) -> str:
    """What proof says with these bulletins; edition.yaml is then as it was."""
    path = season.folders.root / EDITION
    before = path.read_text(encoding="utf-8")
    season.add_bulletin(bulletins)
    try:
        result = season.run("proof")
    finally:
        path.write_text(before, encoding="utf-8")
    assert result.exit_code == 1
    return result.stderr


@pytest.mark.parametrize(
    ("bulletins", "place", "sentence", "remedy"),
    [
        pytest.param(
            FIRST.replace("number: 1", "number: 2"),
            "content/edition.yaml:11:13",
            "a bulletin has the number 2, and 1 is the next [bulletin-number]",
            "number it 1",
            id="a number skipped",
        ),
        pytest.param(
            FIRST.replace("2027-05-14", "2027-02-01"),
            "content/edition.yaml:12:11",
            "bulletin 1 is dated 2027-02-01 [bulletin-date]",
            "give it a day after 2027-02-01, the first day of the edition",
            id="a day before the edition's second",
        ),
        pytest.param(
            FIRST + "  - {number: 2, date: 2027-05-14, reason: Again.}\n",
            "content/edition.yaml:14:23",
            "bulletin 2 is dated 2027-05-14 [bulletin-date]",
            "give it a day after 2027-05-14, that of bulletin 1",
            id="two of a day",
        ),
        pytest.param(
            FIRST.replace("2027-05-14", "2028-01-01"),
            "content/edition.yaml:12:11",
            "bulletin 1 is dated 2028-01-01 [bulletin-date]",
            "not after 2027-12-31, its last",
            id="a day after the edition's last",
        ),
        pytest.param(
            FIRST,
            "content/edition.yaml:11:5",
            "every word and figure of the content is as in edition 2027, and layouts are too [bulletin-empty]",
            "make the correction, or take the bulletin out",
            id="nothing changed",
        ),
        pytest.param(
            FIRST + "  - {number: 2, date: 2027-06-20, reason: Again.}\n",
            "content/edition.yaml:14:5",
            "bulletin 2 corrects edition 2027.1, which is not kept in",
            "cp out/2027.1/source.json",
            id="the edition before not kept",
        ),
    ],
)
def test_it_is_told_where_it_stands(
    closed: Season, bulletins: str, place: str, sentence: str, remedy: str
) -> None:
    said = prove(closed, bulletins)
    assert f"{place}: error: " in said
    assert sentence in said
    assert remedy in said


@pytest.mark.parametrize("command", [("bulletin",), ("publish", "--members", "roster.csv", "--bulletin")])
def test_an_edition_without_a_bulletin_says_how_to_begin_one(
    closed: Season, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(closed.folders.root)
    Path("roster.csv").write_text(ROSTER, encoding="utf-8")
    result = closed.run(*command)
    assert result.exit_code == 1
    assert "edition 2027 has no bulletin [bulletin-missing]" in result.stderr
    assert "bulletins: [{number: 1, date: the day it holds from, reason: why}]" in result.stderr
