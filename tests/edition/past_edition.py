"""Writes content/past/2026.json: this season's source with the changes since last season undone.

The double first base became a duty in 2027; until then a state could allow it, so that no call of it was the code's.
The other two changes are invented with the association: it halved its tolerance on stations, and it reworded how a
wrong stance is handled.
Run as a plain script, after content has changed in a way that is not news to an umpire.

python tests/edition/past_edition.py
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from pocketref.edition.manifest_writing import write_source
from pocketref.source.library import Library, read_library
from pocketref.source.play_models import PlaysModel
from pocketref.source.ruling_models import TableModel
from pocketref.units.notation import read_length

CONTENT = Path(__file__).parents[2] / "content"
PAST = CONTENT / "past" / "2026.json"

BASES = "mechanics/bases/double-first-base"
STANCE = "mechanics/stance/look"
FIELD = "high-school-90-ft"
CODE, DOUBLE_BASE = "high-school", ("double-base", "double-base-other")
OLD_BASES = (
    "*A state may allow it:* a white half in fair ground and a coloured half in foul ground.",
    "Joined at the foul line, no gap. *Tape to the white half only.*",
)
OLD_STANCE = "Wrong? *Tell the batter,* and wait."


def undo_changes(now: Library) -> Library:
    """The library as the 2026 edition had it."""
    valid = now.edition.valid.model_copy(update={"from_": date(2026, 2, 1), "through": date(2026, 12, 31)})
    edition = now.edition.model_copy(update={"edition": "2026", "season": "2026", "valid": valid})
    bases = now.texts[BASES].model_copy(update={"entries": OLD_BASES})
    look = now.texts[STANCE]
    stance = look.model_copy(update={"entries": (look.entries[0], OLD_STANCE, *look.entries[2:])})
    field = now.fields[FIELD]
    station = field.tolerances["station"].model_copy(update={"value": read_length("1 in")})
    tolerances = {**field.tolerances, "station": station}
    sizes = {name: size for name, size in field.dimensions.items() if name != "double-base-width"}
    older = field.model_copy(update={"tolerances": tolerances, "dimensions": sizes})
    tables = {(CODE, subject): _leave_open(now.rulings[CODE, subject]) for subject in DOUBLE_BASE}
    plays = {subject: _expect_open(now.plays[subject]) for subject in DOUBLE_BASE}
    return replace(
        now,
        edition=edition,
        texts={**now.texts, BASES: bases, STANCE: stance},
        fields={**now.fields, FIELD: older},
        rulings={**now.rulings, **tables},
        plays={**now.plays, **plays},
    )


def _leave_open(table: TableModel) -> TableModel:
    """The table of a code that leaves all of it to the states."""
    row = next(row for row in table.rows if row.ruling == "open")
    row = row.model_copy(update={"when": {}, "unsettled": "a state may allow the double base"})
    return table.model_copy(update={"rows": (row,), "rulings": {"open": table.rulings["open"]}})


def _expect_open(plays: PlaysModel) -> PlaysModel:
    """The plays as such a table rules on them."""
    cases = {
        name: case.model_copy(update={"expect": {**case.expect, CODE: "open"}})
        for name, case in plays.cases.items()
    }
    return plays.model_copy(update={"cases": cases})


if __name__ == "__main__":
    PAST.parent.mkdir(exist_ok=True)
    PAST.write_bytes(write_source(undo_changes(read_library(CONTENT))).data)
