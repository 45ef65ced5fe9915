"""A season of the small source with two bulletins: 2026, 2027, 2027.1 and 2027.2, each published and kept as it was.

Bulletin 1 changes a call, which card 1 has on its back; bulletin 2 a text, which card 2 has on its front and the sheet.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner, Result
from source_folders import SourceFolders, copy_folders

from pocketref.cli import main

EDITION = "content/edition.yaml"
SECOND_CARD = """card: sight
number: "2"
title: Look
stock: index-3x5
code: high-school
level: 90-ft
front: [{block: text, text: mechanics/stance/look}]
back: [{block: text, text: mechanics/stance/lines}]
"""
OTHER_PAPER = """  a4:
    kind: paper
    name: A4
    width: 210 mm
    height: 297 mm
    safe: 1/4 in
    margin: 12 mm
    bleed: 0 in
    source: ISO 216
"""
FIRST = '\nbulletins:\n  - number: 1\n    date: 2027-05-14\n    reason: "A chapter found the call & the book apart."\n'
SECOND = "  - {number: 2, date: 2027-06-20, reason: Umpires looked too late.}\n"
ROSTER = """name,number,chapter,code,level,quantity
Ann Exemplar,1001,North Shore,high-school,90-ft,1
"Sample, Bo",1002,North Shore,high-school,90-ft,2
"""
MARKS = ("2026", "2027", "2027.1", "2027.2")


@dataclass(frozen=True)
class Season:
    """The folders of the source, and where its editions are published."""

    folders: SourceFolders

    @property
    def out(self) -> Path:
        return self.folders.root / "out"

    def run(self, *command: str) -> Result:
        return CliRunner().invoke(main, [*command, *self.folders.options], catch_exceptions=False)

    def publish(self) -> Result:
        return self.run("publish", "--out", str(self.out))

    def keep(self, mark: str) -> None:
        """Close an edition as the guide says."""
        past = self.folders.content / "past"
        past.mkdir(exist_ok=True)
        shutil.copy(self.out / mark / "source.json", past / f"{mark}.json")

    def add_bulletin(self, text: str) -> None:
        path = self.folders.root / EDITION
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")

    def correct_call(self) -> None:
        """What bulletin 1 is about."""
        table = "content/rulings/high-school/stance.yaml"
        row = 'told: "yes"}\n    ruling: '
        self.folders.replace(table, f"{row}refusal", f"{row}tell")
        text = (self.folders.root / table).read_text(encoding="utf-8")
        (self.folders.root / table).write_text(text[: text.index("  refusal:\n")], encoding="utf-8")

    def correct_text(self) -> None:
        """What bulletin 2 is about."""
        self.folders.replace("content/mechanics/stance.yaml", "Feet first", "Feet before all")


def open_season(root: Path) -> Season:
    """The season's first edition, published and kept, and the one of the year before."""
    season = Season(copy_folders(root))
    season.folders.add("layouts/cards/sight.yaml", SECOND_CARD)
    stocks = season.folders.root / "layouts/stocks.yaml"
    stocks.write_text(stocks.read_text(encoding="utf-8") + OTHER_PAPER, encoding="utf-8")
    text = (season.folders.root / EDITION).read_text(encoding="utf-8")
    season.folders.write(EDITION, text.replace("2027", "2026"))
    for mark in MARKS[:2]:
        assert season.publish().exit_code == 0
        season.keep(mark)
        season.folders.write(EDITION, text)
    return season


def play_season(root: Path) -> Season:
    """All four editions published; those before the last are kept."""
    season = open_season(root)
    season.correct_call()
    season.add_bulletin(FIRST)
    assert season.publish().exit_code == 0
    season.keep("2027.1")
    season.correct_text()
    season.add_bulletin(SECOND)
    assert season.publish().exit_code == 0
    return season
