"""What was typed into a check sheet, as the tree that a file of the same readings has; every node is a field's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pocketref.field.plan import construct_plate_area
from pocketref.output.reading.filled_sheet import CHECK_SHEETS, FilledSheet
from pocketref.problems import Location, refusal
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode
from pocketref.tape.mound_readings import PLATE_FIELD, read_slope_field
from pocketref.tape.readings_file import LONGEST_MARK
from pocketref.tape.sheet_pulls import SECOND_TAPE
from pocketref.units.length import Length
from pocketref.units.notation import write_exact

SETTINGS = {"tape": "Tape used", "temperature": "Temperature", PLATE_FIELD: PLATE_FIELD}
"""The blanks that are for all of a sheet's readings, by the keys of a file."""


def split_pull_name(name: str) -> tuple[str, str] | None:
    """The two stations of a pull's field, such as "A-P1"; None for a field of another kind."""
    start, hyphen, end = name.partition("-")
    is_pull = hyphen and start.isalnum() and end.isalnum() and name.upper() == name
    return (start, end) if is_pull and max(len(start), len(end)) <= LONGEST_MARK else None


def build_sheet_tree(sheet: FilledSheet, lengths: Mapping[str, Length]) -> MapNode:
    """The tree of what was filled in, by a level's dimensions; raises PocketrefError if nothing was."""
    rows: dict[str, dict[str, str]] = {}
    heights = {name: ahead for name in sheet.values if (ahead := read_slope_field(name)) is not None}
    if heights:
        plan = "mound"
        rows = {name: {"ahead": write_exact(ahead)} for name, ahead in heights.items()}
    else:
        for name in sheet.values:
            if pair := split_pull_name(name.removeprefix(SECOND_TAPE)):
                tape = "second" if name.startswith(SECOND_TAPE) else "first"
                rows[name] = {"from": pair[0], "to": pair[1], "tape": tape}
        known = construct_plate_area(lengths).stations if rows else {}
        is_plate = all(row["from"] in known and row["to"] in known for row in rows.values())
        plan = "plate-area" if is_plate else "diamond"
    if not rows:
        sentence = f"the sheet '{sheet.sheet}' has no blanks for readings"
        raise refusal("sheet-without-readings", sentence, CHECK_SHEETS, sheet.locate("none"))
    typed = {name: text for name, text in sheet.values.items() if text}
    what = "below" if heights else "reading"
    readings = [
        _build_map(sheet, name, row | {what: typed[name]}) for name, row in rows.items() if name in typed
    ]
    head = {key: typed[blank] for key, blank in SETTINGS.items() if blank in typed}
    if not readings and PLATE_FIELD not in head:
        hint = f"write at least one {'height' if heights else 'reading'}"
        raise refusal("tape-empty", f"nothing is filled in on {sheet.file}", hint, Location(sheet.file))
    listed = TextNode("readings", Location(sheet.file)), ListNode(tuple(readings), Location(sheet.file))
    settings = _build_map(sheet, "", {"level": sheet.level, "plan": plan, **head})
    return MapNode((*settings.entries, listed), settings.location)


def _build_map(sheet: FilledSheet, name: str, said: Mapping[str, str]) -> MapNode:
    """What a field of this name says, or the fields of the settings: each text has the place of its field."""
    entries: list[tuple[TextNode, Node]] = []
    for key, text in said.items():
        where = replace(sheet.locate(name or SETTINGS.get(key, key)), text=text)
        entries.append((TextNode(key, where), TextNode(text, where)))
    return MapNode(tuple(entries), sheet.locate(name) if name else Location(sheet.file))
