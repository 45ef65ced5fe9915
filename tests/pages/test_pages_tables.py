"""Tables: columns fill the width, rows stay inside their box, every pull has its line."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_measures import inked_overlaps, shapes_of, texts_of, vertices

from pocketref.blocks.field.pulls import build_pull_tables
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import mirror_mark, pulls
from pocketref.output.contents import items_of
from pocketref.pages.blanks import Blanks
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import sizes_for
from pocketref.scene.items import FormField, Item
from pocketref.scene.paths import extent_of
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.units.length import Length
from pocketref.units.notation import read_length

SIZES = sizes_for(9.2, 7.56)
HALF_INCH = read_length("1/2 in")
BOX = Box(12, 20, 180, 120)
TABLE = TableBlock(
    "table",
    (Column("What", flex=True), Column("Target", "end"), Column("reading", "middle", 25.0)),
    (
        (Cell("Back line"), Cell("*4 ft*"), Cell(field_name="T1-T2", tooltip="back line")),
        (Cell("Outer line"), Cell("*6 ft*"), Cell(field_name="T2-T3", tooltip="outer line")),
    ),
    heading="Pulls",
)


def drawn(block: TableBlock | Blanks, box: Box = BOX) -> list[Item]:
    return list(items_of([block.draw(box, SIZES)]))


def fields_of(items: list[Item]) -> list[FormField]:
    return [item for item in items if isinstance(item, FormField)]


def find_roles(element: Element, role: Role) -> list[Element]:
    found = [element] if element.role is role else []
    return found + [deeper for child in element.children for deeper in find_roles(child, role)]


def rules_of(items: list[Item]) -> list[tuple[float, float, float, float]]:
    """The horizontal rules from end to end."""
    lines = [vertices(shape) for shape in shapes_of(items) if len(shape.path) == 2]
    return [(*start, *end) for start, end in lines]


# --- tables ---


def test_the_columns_fill_the_width_exactly() -> None:
    for left, _, right, _ in rules_of(drawn(TABLE)):
        assert left == pytest.approx(BOX.x, abs=0.01)
        assert right == pytest.approx(BOX.right, abs=0.01)
    assert len(rules_of(drawn(TABLE))) == 3


@pytest.mark.parametrize("height_mm", [TABLE.measure_mm(BOX.width_mm, SIZES), 40.0, 120.0])
def test_rows_stay_inside_the_box_in_order_and_apart(height_mm: float) -> None:
    box = Box(BOX.x, BOX.y, BOX.width_mm, height_mm)
    items = drawn(TABLE, box)
    for item in items:
        left, bottom, right, top = extent_of(item)
        assert box.x - 0.2 <= left
        assert box.y - 0.2 <= bottom
        assert right <= box.right + 0.2
        assert top <= box.top + 0.2
    lines = [rule[1] for rule in rules_of(items)]
    assert lines == sorted(lines, reverse=True)
    assert inked_overlaps(texts_of(items)) == []


def test_text_stands_where_its_column_says() -> None:
    texts = {text.content.replace("\u00a0", " "): text for text in texts_of(drawn(TABLE))}
    assert texts["Back line"].x == texts["Outer line"].x == texts["What"].x
    ends = [texts[words].x + texts[words].width_mm for words in ("4 ft", "6 ft", "Target")]
    assert ends == pytest.approx([ends[0]] * 3)


def test_a_table_measures_what_it_draws() -> None:
    height = TABLE.measure_mm(BOX.width_mm, SIZES)
    lowest = min(extent_of(item)[1] for item in drawn(TABLE, Box(0, 0, BOX.width_mm, height)))
    assert lowest == pytest.approx(0, abs=0.25)


def test_a_cell_too_long_for_its_column_takes_more_lines_and_a_word_too_long_is_told() -> None:
    narrow = 62.0
    long = TableBlock(
        "t", TABLE.columns, ((Cell("inner back corner to outer front corner"), *TABLE.rows[0][1:]),)
    )
    short = TableBlock("t", TABLE.columns, ((Cell("corner"), *TABLE.rows[0][1:]),))
    assert long.measure_mm(narrow, SIZES) > short.measure_mm(narrow, SIZES)
    assert short.excess_mm(narrow, SIZES) == 0
    wide = TableBlock("t", TABLE.columns, ((Cell("incontrovertibly-measured-corner"), *TABLE.rows[0][1:]),))
    assert 0 < wide.excess_mm(narrow, SIZES) < 40


def test_a_table_is_tagged_as_one_with_a_header_row_and_heads_to_its_rows() -> None:
    """ISO 14289-1, 7.5: headers are found by their scope; a row's is its first cell that says something."""
    (table,) = find_roles(TABLE.draw(BOX, SIZES), Role.TABLE)
    header, *rows = find_roles(table, Role.TABLE_ROW)
    assert [cell.scope for cell in header.children] == ["Column"] * 3
    heads = [[cell.role is Role.TABLE_HEADER for cell in row.children] for row in rows]
    assert heads == [
        [bool(cell.words) and not any(c.words for c in row[:n]) for n, cell in enumerate(row)]
        for row in TABLE.rows
    ]
    assert {cell.scope for row in rows for cell in row.children if cell.role is Role.TABLE_HEADER} == {"Row"}


# --- pulls ---


def lengths_around_a_plate() -> st.SearchStrategy[Mapping[str, Length]]:
    def inches(low: int, high: int) -> st.SearchStrategy[Length]:
        return st.integers(low * 8, high * 8).map(lambda eighths: Length(Fraction(eighths, 8)))

    return st.fixed_dictionaries(
        {
            "plate-width": st.just(Length(Fraction(17))),
            "box-length": inches(48, 84),
            "box-width": inches(30, 54),
            "box-offset": inches(3, 10),
            "line-width": inches(2, 4),
        },
        optional={},
    )


@settings(max_examples=15)
@given(lengths_around_a_plate())
def test_every_pull_has_one_blank_and_mirrored_pulls_are_asked_for_together(
    lengths: Mapping[str, Length],
) -> None:
    plan = construct_plate_area(lengths)
    sheet = choose_sheet_pulls(plan, HALF_INCH)
    assert sorted(pull.name for pull in (*sheet.must, *sheet.more)) == sorted(
        pull.name for pull in pulls(plan)
    )
    must = {frozenset((pull.from_station, pull.to_station)) for pull in sheet.must}
    assert {frozenset(map(mirror_mark, ends)) for ends in must} == must


def test_mirroring_a_mark_matches_the_plan_and_undoes_itself(plan: Plan) -> None:
    for mark, station in plan.stations.items():
        image = plan.stations[mirror_mark(mark)]
        assert (image.x_mm, image.y_mm) == pytest.approx((-station.x_mm, station.y_mm))
        assert mirror_mark(mirror_mark(mark)) == mark


def test_the_tables_have_a_blank_a_pull_named_by_it_and_one_for_a_second_tape(plan: Plan) -> None:
    sheet = choose_sheet_pulls(plan, HALF_INCH)
    items = drawn(build_pull_tables(sheet), Box(12, 12, 190, 250))
    names = [field.name for field in fields_of(items)]
    longest = max(sheet.must, key=lambda pull: pull.length_mm).name
    assert sorted(names) == sorted([*(pull.name for pull in pulls(plan)), f"second tape {longest}"])
    tooltips = {field.name: field.tooltip for field in fields_of(items)}
    assert tooltips["T2-T3"].startswith("T2–T3, outer line, third-base-side box: target 6 ft")


# --- blanks ---


def test_blanks_stand_side_by_side_each_after_its_label_in_reach_of_a_hand() -> None:
    blanks = Blanks(("Field", "Date", "Taped by", "Tape used"), across=2)
    items = drawn(blanks, Box(12, 100, 180, 20))
    fields, texts = fields_of(items), texts_of(items)
    assert [field.name for field in fields] == [text.content for text in texts]
    for field, text in zip(fields, texts, strict=True):
        assert text.x + text.width_mm <= field.x
        assert field.width_mm >= 18
    assert fields[0].y == fields[1].y > fields[2].y == fields[3].y
    assert fields[0].x + fields[0].width_mm < texts[1].x
    assert max(field.x + field.width_mm for field in fields) == pytest.approx(192)


def test_blanks_without_room_to_write_say_what_is_missing() -> None:
    blanks = Blanks(("Temperature", "Checked by"), across=2)
    assert blanks.excess_mm(180, SIZES) == 0
    assert blanks.excess_mm(60, SIZES) > 0
