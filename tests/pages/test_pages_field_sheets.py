"""The field crew's sheets and the umpire's check: everything listed, readable, marked, fillable."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from field_samples import CIRCLE, SOFTBALL, read_lengths
from field_sheets import LEVEL, lay_out, lengths_of, library, plan_of, publish
from scene_measures import inked_overlaps, outline, shapes_of, texts_of, vertices
from shapely import Polygon

from pocketref.blocks.field.checks import build_checks_table
from pocketref.blocks.field.figure import FIGURES, FigureBlockModel
from pocketref.blocks.field.marking_list import build_marking_table
from pocketref.blocks.field.mound_heights import build_mound_table
from pocketref.blocks.field.stakeout import build_stakeout_table
from pocketref.blocks.picture import PictureBlockModel
from pocketref.blocks.setting import Setting
from pocketref.field.diamond import construct_diamond
from pocketref.field.mound import list_slope
from pocketref.field.plan import construct_plate_area
from pocketref.output.contents import items_of
from pocketref.pages.page import Box, Element, Page
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError
from pocketref.scene.figures.circle_figure import draw_pitching_circle
from pocketref.scene.figures.diamond_figure import draw_diamond
from pocketref.scene.figures.mound_figure import draw_mound
from pocketref.scene.figures.plate_figure import draw_plate_area
from pocketref.scene.inks import WHITE
from pocketref.scene.items import FormField
from pocketref.scene.paths import extent_of_all
from pocketref.scene.plan_view import EDGE_MM
from pocketref.source.field_models import DIMENSIONS
from pocketref.tape.mound_readings import read_slope_field
from pocketref.tape.stakeout import BASE_MARKS, order_stakeout
from pocketref.units.length import Length
from pocketref.units.notation import read_length

SHEETS = ("bases", "mound", "stakeout-bases", "stakeout-plate", "plate-template")
SIZES = sizes_for(9.2, 7.56)


def walk(element: Element) -> Iterator[Element]:
    yield element
    for child in element.children:
        yield from walk(child)


def words_on(page: Page) -> str:
    return " ".join(text.content for text in texts_of(items_of(page.elements))).replace("\u00a0", " ")


def words_of(name: str) -> str:
    return " ".join(words_on(page) for page in lay_out(name).document.pages)


def fields_of(name: str) -> list[FormField]:
    pages = lay_out(name).document.pages
    return [item for page in pages for item in items_of(page.elements) if isinstance(item, FormField)]


@pytest.mark.parametrize("name", [*SHEETS, "plate-area", "field-check"])
def test_a_published_sheet_reads_back_as_it_was_laid_out(name: str) -> None:
    assert publish(name).startswith(b"%PDF")
    for page in lay_out(name).document.pages:
        assert inked_overlaps(texts_of(items_of(page.elements))) == []


@pytest.mark.parametrize("name", [*SHEETS, "plate-area", "plate-template", "stakeout-plate"])
def test_a_sheet_prints_who_governs_and_where_lines_are_marked_the_marking_materials_caution(
    name: str,
) -> None:
    words = words_of(name)
    assert ("Never mark with hydrated lime or quicklime" in words) == ("Lines to mark" in words)
    assert "The rule book and the league govern." in words
    assert "edition 2027" in words


@pytest.mark.parametrize("name", [*SHEETS, "plate-area"])
def test_a_sheet_says_which_level_it_is_of_where_no_reader_looks(name: str) -> None:
    document = lay_out(name).document
    assert document.subject == f"sheet {name}, edition 2027"
    assert document.keywords == (f"level {LEVEL}",)


@pytest.mark.parametrize("level", sorted(library().fields))
@pytest.mark.parametrize("plan", ["plate-area", "diamond"])
def test_the_stakeout_table_numbers_every_station_in_order(level: str, plan: str) -> None:
    rows = build_stakeout_table(plan_of(plan, level)).rows
    points = [point.station for stage in order_stakeout(plan_of(plan, level)) for point in stage.points]
    assert [row[1].words.strip("*") for row in rows[-len(points) :]] == points
    assert [row[0].words.strip("*") for row in rows] == [str(n) for n in range(1, len(rows) + 1)]
    assert all(row[4].words in ("left", "right") for row in rows[-len(points) :])


def test_the_stakeout_says_how_near_it_comes_with_the_string_and_without() -> None:
    words = words_of("stakeout-plate")
    assert "all stations are within ¼ in; without the string, within" in words
    assert "On a string from the tip to the pitcher" in words


def test_the_marking_list_has_every_painted_line_once() -> None:
    plan = plan_of("diamond")
    table = build_marking_table(plan, lengths_of())
    counted = sum(int(row[1].words) for row in table.rows if "circle" not in row[0].words)
    assert counted == len(plan.lines)
    rows = {row[0].words: [cell.words.replace("\u00a0", " ") for cell in row[1:]] for row in table.rows}
    assert rows["Batter’s box, outer line".replace("’", "'")] == [
        "2",
        "*6 ft*",
        "1829",
        "2 1/2 in",
        "outer edge, paint inside",
    ]
    foul_line = rows["Foul line, from the box to the infield arc; then on to the pole"]
    assert foul_line[-1] == "foul side, paint in fair ground"
    assert rows["On-deck circle"][:2] == ["2", "radius 30 in"]


def test_lines_as_wide_as_the_user_says_are_listed_so() -> None:
    lengths = lengths_of() | {"line-width": read_length("4 in")}
    table = build_marking_table(construct_plate_area(lengths), lengths)
    assert {row[4].words for row in table.rows} == {"4 in"}


def test_the_published_diagonal_stands_beside_the_exact_one() -> None:
    table = build_checks_table(plan_of("diamond"), lengths_of())
    assert table.rows[0][1].words == "*127 ft 3 3/8 in*"
    assert table.rows[0][1].words == table.rows[1][1].words
    assert table.rows[0][3].words.startswith("as published;")
    small = build_checks_table(plan_of("diamond", "youth-60-ft"), lengths_of("youth-60-ft"))
    assert small.rows[0][1].words == small.rows[1][1].words == "*84 ft 10 1/4 in*"
    assert small.rows[0][3].words.startswith("published as 84 ft 10 in;")
    assert "60 ft along one foul line and 80 ft" in table.rows[2][0].words


def test_the_mound_has_a_blank_a_foot_and_one_for_the_plate() -> None:
    names = [field.name for field in fields_of("mound")]
    ahead = [length for name in names if (length := read_slope_field(name))]
    assert ahead == [point.ahead for point in list_slope(lengths_of())]
    assert "plate-height" in names
    table = build_mound_table(lengths_of(), read_length("1/4 in"))
    below = [row[1].words for row in table.rows[1:]]
    assert below == [f"*{inch} in*" for inch in range(7)]


def test_a_level_without_a_slope_says_what_its_mound_sheet_lacks() -> None:
    with pytest.raises(PocketrefError) as caught:
        build_mound_table(lengths_of("youth-60-ft"), read_length("1/4 in"))
    assert any("mound-slope-length" in problem.sentence for problem in caught.value.problems)


def test_the_bases_sheet_asks_for_bases_and_pitchers_plate_only() -> None:
    names = [field.name for field in fields_of("bases")]
    pulls = [name for name in names if "-" in name and " " not in name]
    assert [name for name in names if name.startswith("second tape ")]
    assert len(pulls) == len(set(pulls)) > 20
    assert {mark for name in pulls for mark in name.split("-")} == set(BASE_MARKS)


@pytest.mark.parametrize("name", ["plate-area", "bases", "mound"])
def test_a_check_sheet_leaves_names_and_dates_blank(name: str) -> None:
    labels = {field.name for field in fields_of(name)}
    assert {"Field", "Date", "Taped by", "Temperature", "Checked by"} <= labels


def test_every_figure_of_a_layout_can_be_drawn_and_is_described() -> None:
    setting = Setting(library(), "high-school", "90-ft", "sheet", (190.0, 250.0))
    round_one = Setting(library(), "high-school", "90-ft", "sheet", (190.0, 250.0))
    vars(round_one)["lengths"] = {**setting.lengths, **read_lengths(CIRCLE)}
    for name in FIGURES:
        made_from = round_one if name == "pitching-circle" else setting
        block = FigureBlockModel(block="figure", figure=name, smallest=400).build(made_from)
        drawing = block.draw_at(100, SIZES.small_pt)
        assert drawing.items
        assert len(drawing.alt) > 30
        assert drawing.width_mm > 0


def test_the_field_check_card_numbers_its_pulls_and_says_what_they_catch() -> None:
    front, back = (words_on(page) for page in lay_out("field-check").document.pages)
    check = Setting(library(), "high-school", "90-ft", "card").field_check
    for number, pull in enumerate(check.pulls, 1):
        assert f"{pull.from_station}–{pull.to_station}" in back
        assert str(number) in front
    assert f"of {check.errors} layout errors on our own list these pulls show" in back
    assert "Likeliest missed : one corner alone, by any distance at " in back


def test_rows_of_a_stakeout_keep_the_pins_of_their_stage() -> None:
    stages = order_stakeout(plan_of("plate-area"))
    for before, after in pairwise(stages):
        assert not set(before.stations) & set(after.stations)


@pytest.mark.parametrize("name", [*SHEETS, "plate-area", "field-check", "batters-box", "field"])
def test_every_fraction_is_typeset(name: str) -> None:
    words = words_of(name)
    assert not re.search(r"\d/\d", words)
    if name.startswith("stakeout"):
        assert re.search("[0-9] ft [0-9]+[⁰¹²³⁴-⁹]+⁄[₀-₉]+ in", words)


def test_the_figure_of_the_bases_and_the_table_behind_it_say_the_same_millimetres() -> None:
    front, back = (words_on(page) for page in lay_out("bases").document.pages)
    assert "66 ft 9⅜ in [20354]" in front
    assert "66 ft 9⅜ in 20354" in back
    for tail in ("27432", "38795", "18440"):
        assert f"[{tail}]" in front
        assert tail in back


def test_a_blank_says_its_target_as_the_table_prints_it() -> None:
    tips = {field.name: field.tooltip for field in fields_of("plate-area")}
    assert tips["P2-P3"].endswith("target 17 in")


def test_the_stakeout_says_what_its_angle_is() -> None:
    assert "cross: the angle between the first two tapes, best at 90°" in words_of("stakeout-bases")


def test_marks_close_together_on_the_field_check_cut_no_line() -> None:
    page = lay_out("field-check").document.pages[0]
    (figure,) = (part for part in walk(page.elements[0]) if part.label == "figure field-check" and part.alt)
    halos = [outline(s) for s in shapes_of(figure.items) if s.fill is WHITE and s.stroke is None]
    areas = [
        outline(s)
        for s in shapes_of(figure.items)
        if s.stroke and len(vertices(s)) > 3 and s.stroke.width_mm == EDGE_MM
    ]
    edges = [area.exterior for area in areas if not is_ring(area)]
    assert len(halos) > 4
    assert not any(halo.intersects(edge) for halo in halos for edge in edges)


def is_ring(area: Polygon) -> bool:
    return len(area.exterior.coords) > 20


@pytest.mark.parametrize("width", ["3 ft", "40 in", "4 ft"])
def test_the_slot_is_drawn_at_a_scale_that_fits_whatever_the_boxs_width(width: str) -> None:
    lengths = lengths_of() | {"box-width": read_length(width)}
    setting = Setting(library(), "high-school", "90-ft", "card")
    vars(setting)["plan"] = construct_plate_area(lengths)
    block = PictureBlockModel(block="picture", picture="slot", columns=1).build(setting)
    assert block.measure_mm(62.0, SIZES) < 50.0
    assert block.excess_mm(62.0, SIZES) == 0.0
    for high in (50.0, 64.0):
        (figure,) = block.draw(Box(0, 0, 62.0, high), SIZES).children
        assert extent_of_all(figure.items)[1] >= -0.01


OF_THE_PLATE = {"plate-width", "plate-side", "plate-rear-edge"}
"""These follow from each other: one that is changed alone is refused."""


@pytest.mark.parametrize("name", sorted(DIMENSIONS.keys() - OF_THE_PLATE))
def test_no_dimension_goes_unprinted(name: str) -> None:
    level = lengths_of("professional-90-ft") | {"double-base-width": read_length("36 in")}
    level = level if name in level else read_lengths(SOFTBALL)
    changed = level | {name: level[name] + read_length("1/4 in")}
    assert print_level(changed) != print_level(level)


@pytest.mark.parametrize("name", sorted(OF_THE_PLATE))
def test_a_size_of_the_plate_that_is_changed_alone_is_refused(name: str) -> None:
    level = lengths_of("professional-90-ft")
    with pytest.raises(PocketrefError, match="plate's"):
        construct_plate_area(level | {name: level[name] + read_length("1/4 in")})


def print_level(lengths: dict[str, Length]) -> list[str]:
    """The words of every figure of a level as a sheet draws it, and of the tables of its dimensions."""
    plate, field = construct_plate_area(lengths), construct_diamond(lengths)
    drawings = [
        draw_plate_area(plate, lengths, 30, 8.0, "sheet"),
        draw_diamond(field, lengths, 400, 8.0, "sheet"),
        (draw_mound if "mound-slope-length" in lengths else draw_pitching_circle)(lengths, 50, 8.0, "sheet"),
    ]
    words = [text.content for drawing in drawings for text in texts_of(drawing.items)]
    table = build_marking_table(field, lengths)
    return [*words, *(cell.words for row in table.rows for cell in row)]
