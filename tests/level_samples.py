"""The small source as an edition of three levels, two of one code, from one layouts folder."""

from __future__ import annotations

from pathlib import Path

from source_folders import SourceFolders, copy_folders

LEVELS = ("high-school-90-ft", "high-school-60-ft", "youth-60-ft")
FINDER = (
    "card: finder\nnumber: '0'\ntitle: What happened?\nstock: index-3x5\nfor: all-in-force\n"
    "front:\n  - {block: finder, sets: [further]}\nback:\n  - {block: codes}\n"
)
NAMED = "code: high-school\nlevel: 90-ft\n"


def make_levels(root: Path) -> SourceFolders:
    """The folders, with a second card in a set of its own and a finder that lists it."""
    folders = copy_folders(root)
    field = (folders.content / "fields/high-school-90-ft.yaml").read_text(encoding="utf-8")
    small = field.replace("90-ft", "60-ft").replace("6 ft", "5 ft")
    folders.add("content/fields/high-school-60-ft.yaml", small)
    folders.add(
        "content/fields/youth-60-ft.yaml", small.replace("high-school", "youth").replace("4 ft", "3 ft")
    )
    table = (folders.content / "rulings/high-school/stance.yaml").read_text(encoding="utf-8")
    folders.add("content/rulings/youth/stance.yaml", table.replace("code: high-school", "code: youth"))
    folders.replace(
        "content/codes.yaml", "codes:\n", "codes:\n  youth: {name: Youth, mark: YTH, work: field-book}\n"
    )
    folders.replace("content/edition.yaml", "codes: [high-school]", "codes: [high-school, youth]")
    folders.replace("content/edition.yaml", "levels: [high-school-90-ft]", f"levels: [{', '.join(LEVELS)}]")
    card = (folders.layouts / "cards/batters-box.yaml").read_text(encoding="utf-8")
    further = card.replace("batters-box", "further", 1).replace('"1"', "S1").replace(NAMED, "for: [youth]\n")
    folders.add("layouts/cards/further.yaml", f"set: further\n{further}")
    folders.add(
        "layouts/cards/more.yaml",
        f"set: further\n{further.replace('further', 'more', 1).replace('S1', 'S2')}",
    )
    folders.replace("layouts/cards/more.yaml", "[youth]", "[high-school]")
    for name in ("cards/batters-box", "sheets/plate-area"):
        folders.replace(f"layouts/{name}.yaml", NAMED, "for: all-in-force\n")
    folders.add("layouts/cards/finder.yaml", FINDER)
    return folders
