"""The page of an edition that a bulletin has corrected says so on a site, in headless Chromium."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from page_scripts import Browser, serve_folder
from season_samples import play_season


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The season's editions side by side, with the newest feed beside them."""
    season = play_season(tmp_path_factory.mktemp("site") / "source")
    shutil.copy(season.out / "2027.2/feed.xml", season.out / "feed.xml")
    with serve_folder(season.out) as address:
        yield address


@pytest.mark.parametrize(
    ("moment", "current"),
    [
        ("2027-03-01T12:00Z", "2027"),
        ("2027-05-14T03:00Z", "2027"),  # in Chicago ten in the evening of the day before
        ("2027-05-14T06:00Z", "2027.1"),
        ("2027-07-01T12:00Z", "2027.2"),
    ],
)
def test_a_corrected_edition_s_page_leads_to_the_one_in_force(
    site: str, browser: Browser, moment: str, current: str
) -> None:
    marks = ("2027", "2027.1", "2027.2")
    found = browser.run("check_current.mjs", moment, *(f"{site}/{mark}/index.html" for mark in marks))
    for mark, each in zip(marks, found, strict=True):
        assert each["errors"] == []
        if mark < current:
            assert each["told"]["link"] == f"../{current}/index.html#bulletin"
            assert f"edition {current} is in force" in each["told"]["words"]
        else:
            assert each["told"] is None
