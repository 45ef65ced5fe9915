"""A folder for one softball code, made from the demo's: its field, and the cards and sheets that concern a field.

The code, its book and its one table are invented; what its figures rest on stands in
tests/reference/test_softball_reference.py.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from field_samples import SOFTBALL
from source_folders import FIXTURES, SourceFolders

ROOT = Path(__file__).parents[1]
LEVEL = "softball-60-ft"
CARDS = ("batters-box", "field", "field-check")
SHEETS = ("plate-area", "bases", "stakeout-plate", "stakeout-bases", "plate-template")
_AROUND = {
    "second-base-diagonal": "84 ft 10 1/4 in",
    "base-thickness": "5 in",
    "coach-box-length": "15 ft",
    "coach-box-width": "3 ft",
    "coach-box-offset": "8 ft",
    "on-deck-diameter": "5 ft",
    "on-deck-distance": "30 ft",
    "backstop-distance": "25 ft",
    "centre-field-distance": "220 ft",
}
"""What stands around a field for the drawing to find room for; coach's boxes and on-deck circles are from memory."""
_SMALLER = (("plate-area", 50, 60), ("plate-area", 30, 40), ("field-check", 100, 125))
"""Scales that a catcher's box of 10 ft needs, where the demo's layouts allow no smaller ones than these."""
_WORK = """
  softball-book:
    title: Softball rules, a trial
    mark: SB
    edition: trial
    check: compare each section with the book in force
    sections:
      field: how the field is laid out
      batter: what a batter may do
"""


def make_softball(root: Path) -> SourceFolders:
    """The folders: the field's cards and sheets in the demo's own words, for the one level of softball."""
    for name in ("content", "layouts"):
        leave_out = shutil.ignore_patterns("past", "plays", "rulings", "languages", "classes", "README.md")
        shutil.copytree(ROOT / name, root / name, ignore=leave_out)
    folders = SourceFolders(root)
    shutil.copytree(FIXTURES / "content/rulings", folders.content / "rulings")
    table = (folders.content / "rulings/high-school").rename(
        folders.content / "rulings/softball"
    ) / "stance.yaml"
    text = re.sub("field-book 7-[13]", "softball-book batter", table.read_text(encoding="utf-8"))
    table.write_text(text.replace("code: high-school", "code: softball"), encoding="utf-8")
    for path in [*folders.layouts.glob("cards/*.yaml"), *folders.layouts.glob("sheets/*.yaml")]:
        if path.stem not in (*CARDS, *SHEETS):
            path.unlink()
            continue
        name = path.relative_to(root).as_posix()
        for figure, smallest, smaller in _SMALLER:
            if f"figure: {figure}, smallest: {smallest}}}" in path.read_text(encoding="utf-8"):
                folders.replace(name, f"{figure}, smallest: {smallest}", f"{figure}, smallest: {smaller}")
    # The back is the demo's for its levels with a mound, which a pitching circle takes the place of.
    folders.replace(
        "layouts/cards/field.yaml", "for: [high-school, college, professional]", "for: [softball]"
    )
    folders.replace(
        "layouts/cards/field.yaml",
        "  - {block: figure, figure: plate-area, smallest: 50, for: [youth]}\n",
        "",
    )
    folders.replace(
        "content/codes.yaml",
        "codes:\n",
        "codes:\n  softball: {name: Softball, mark: SB, work: softball-book}\n",
    )
    folders.replace("content/works.yaml", "\nworks:\n", f"\nworks:{_WORK}")
    for path in folders.content.glob("fields/*.yaml"):
        path.unlink()
    folders.add(f"content/fields/{LEVEL}.yaml", _write_field())
    named = "codes: [{}]\nlevels: [{}]\n"
    now = named.format("high-school", "high-school-90-ft")
    folders.replace("content/edition.yaml", now, named.format("softball", LEVEL))
    return folders


def _write_field() -> str:
    rows = [
        f"  {name}: {{value: {text}, source: softball-book field, confidence: secondary}}\n"
        for name, text in (SOFTBALL | _AROUND).items()
        if text
    ]
    station = "  station: {value: 1/2 in, source: house, confidence: our proposal}\n"
    head = "level: 60-ft\ncode: softball\nname: 60-ft softball diamond\ndimensions:\n"
    return f"{head}{''.join(rows)}tolerances:\n{station}"
