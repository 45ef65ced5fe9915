"""The pages of an edition in two languages on a site, in headless Chromium: the switch, the keyboard, no network."""

from __future__ import annotations

import shutil
from pathlib import Path

from click.testing import CliRunner
from page_scripts import Browser, serve_folder
from source_folders import copy_folders
from spanish_samples import print_in_both

from pocketref.cli import main

PLACE, VIEW = "rulings-high-school-stance", "rule/stance?over-line=no"


def test_the_switch_keeps_the_place_and_both_pages_open_without_a_network(
    tmp_path: Path, browser: Browser
) -> None:
    folders = print_in_both(copy_folders(tmp_path / "source"))
    out = tmp_path / "out"
    made = CliRunner().invoke(main, ["publish", *folders.options, "--out", str(out), "--quiet"])
    assert made.exit_code == 0, made.output
    shutil.copy(out / "2027/feed.xml", out / "feed.xml")
    with serve_folder(out) as address:
        told = browser.run("check_languages.mjs", f"{address}/2027", PLACE, VIEW)
    assert told["errors"] == []
    assert told["violations"] == []
    assert told["english"]["language"] == "en-US"
    assert told["spanish"]["language"] == "es-US"
    assert told["spanish"]["address"] == f"{address}/2027/es/index.html#{PLACE}"
    assert told["spanish"]["manifest"] == f"{address}/2027/es/site.webmanifest"
    assert told["view"]["address"] == f"{address}/2027/index.html#{VIEW}"
    assert told["view"]["language"] == "en-US"
    assert [each["language"] for each in told["offline"]] == ["en-US", "es-US", "es-US"]
