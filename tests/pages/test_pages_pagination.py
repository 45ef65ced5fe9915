"""More than a page of blocks: each page is filled, none is lost, and the type is as large as the pages allow."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.layouts.layout_library import read_papers
from pocketref.output.contents import items_of
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import Columns, Face, body_box, stack_height_mm
from pocketref.pages.page import Element, Page, Role
from pocketref.pages.pagination import Flow, compose_page, paginate
from pocketref.pages.stock_models import StylesModel
from pocketref.pages.stocks import content_box
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import TypeSizes
from pocketref.problems import PocketrefError
from pocketref.scene.items import Text
from pocketref.scene.paths import extent_of

PAPERS = read_papers(Path(__file__).parents[2] / "layouts")
COLUMNS = (Column("Number"), Column("Station", flex=True), Column("Read", "end"))
SENTENCES = (
    "Look.",
    "A foot *on the line is in*. Past its outer edge is not.",
    "Hold the pitcher, " * 9 + "wait.",
)


def make_table(count: int, words: str = "rear corner of the plate") -> TableBlock:
    rows = tuple((Cell(f"{n}"), Cell(words), Cell(f"{n} ft {n % 12} in")) for n in range(1, count + 1))
    return TableBlock("readings", COLUMNS, rows, "Readings", grows=False)


def make_flow(*blocks: Block, columns: int = 1) -> Flow:
    def write_foot(page: int, pages: int) -> Footer:
        return Footer((f"page {page} of {pages}",))

    return Flow("report", TitleBand("Report", "HS 2027"), write_foot, (blocks,), columns=columns)


def lay_out(
    *blocks: Block, paper: str = "letter", columns: int = 1
) -> tuple[TypeSizes, tuple[Face, ...], list[Page]]:
    stock = PAPERS.stocks[paper]
    sizes, faces = paginate((make_flow(*blocks, columns=columns),), stock, PAPERS.styles)
    return sizes, faces, [compose_page(face, sizes, stock) for face in faces]


def walk(elements: Sequence[Element]) -> list[Element]:
    return [each for element in elements for each in (element, *walk(element.children))]


def read_rows(page: Page) -> list[list[Text]]:
    """The first run of each cell, row by row, without the header."""
    rows = [element for element in walk(page.elements) if element.role is Role.TABLE_ROW]
    cells = [[next(i for i in cell.items if isinstance(i, Text)) for cell in row.children] for row in rows]
    return [row for row in cells if row[0].content != "Number"]


def list_stack(face: Face, number: int = 0) -> tuple[Block, ...]:
    """The blocks of a column."""
    columns = face.body[-1]
    assert isinstance(columns, Columns)
    return columns.stacks[number]


def share_used(face: Face, sizes: TypeSizes, paper: str) -> float:
    box = content_box(PAPERS.stocks[paper])
    return stack_height_mm(face.body, box.width_mm, sizes) / body_box(face, box, sizes).height_mm


@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid"])
@pytest.mark.parametrize("count", [1, 60, 200])
def test_every_row_stands_once_and_in_order_and_all_pages_but_the_last_are_full(
    count: int, paper: str
) -> None:
    sizes, faces, pages = lay_out(make_table(count), paper=paper)
    numbers = [row[0].content for page in pages for row in read_rows(page)]
    assert numbers == [str(number) for number in range(1, count + 1)]
    assert all(share_used(face, sizes, paper) > 0.97 for face in faces[:-1])


def test_columns_of_a_table_are_as_wide_on_every_page_and_say_what_goes_on() -> None:
    _, _, pages = lay_out(make_table(200))
    assert len({tuple(round(run.x, 6) for run in read_rows(page)[0][:2]) for page in pages}) == 1
    headings = [
        item.content
        for page in pages
        for element in walk(page.elements)
        if element.role is Role.HEADING
        for item in element.items
        if isinstance(item, Text)
    ]
    assert headings == ["Readings"] + ["Readings, continued"] * (len(pages) - 1)


def test_pages_are_numbered_and_their_count_is_that_of_all() -> None:
    _, _, pages = lay_out(make_table(120))
    for number, page in enumerate(pages, 1):
        runs = [item.content for item in items_of(page.elements) if isinstance(item, Text)]
        assert f"page {number} of {len(pages)}" in " ".join(runs).replace("\u00a0", " ")


@pytest.mark.parametrize("count", [*range(36, 52), 90, 140])
def test_the_type_is_the_largest_that_takes_no_more_pages_than_the_least(count: int) -> None:
    scale = sorted(PAPERS.styles.sheet_scale)
    pages = {}
    for step in scale:
        styles = PAPERS.styles.model_copy(update={"sheet_scale": (step,)})
        pages[float(step)] = len(
            paginate((make_flow(make_table(count)),), PAPERS.stocks["letter"], styles)[1]
        )
    sizes, faces, _ = lay_out(make_table(count))
    assert sizes.body_pt == max(step for step, number in pages.items() if number == min(pages.values()))
    assert len(faces) == min(pages.values())


@settings(max_examples=30)
@given(st.lists(st.sampled_from(SENTENCES), min_size=1, max_size=150), st.sampled_from(["letter", "a6"]))
def test_text_goes_on_within_the_margins_and_its_steps_are_numbered_on(
    sentences: list[str], paper: str
) -> None:
    for columns in (1, 2):
        _, faces, pages = lay_out(
            Paragraphs("text", tuple(sentences), "Look", "steps"), paper=paper, columns=columns
        )
        items = [item for page in pages for item in items_of(page.elements) if isinstance(item, Text)]
        steps = [int(item.content) for item in items if item.content.isdecimal()]
        assert steps == list(range(1, len(sentences) + 1))
        box = content_box(PAPERS.stocks[paper])
        for item in items:
            left, bottom, right, top = extent_of(item)
            assert box.x - 0.01 <= left <= right <= box.right + 0.01
            assert box.y - 0.2 <= bottom <= top <= box.top + 0.01
        assert len(faces) == len(pages)


def test_the_columns_of_a_last_page_are_nearly_alike() -> None:
    sizes, faces, _ = lay_out(*(Paragraphs(f"{n}", (SENTENCES[2],)) for n in range(9)), columns=2)
    heights = [stack_height_mm(list_stack(faces[-1], number), 94, sizes) for number in (0, 1)]
    assert 0 <= heights[0] - heights[1] < 1.2 * Paragraphs("one", (SENTENCES[2],)).measure_mm(94, sizes) + 1.8


def test_each_part_begins_a_page_and_what_opens_the_first_stands_there_alone() -> None:
    opening, rest = Paragraphs("opening", ("First of all.",)), Paragraphs("later", ("Then.",))
    flow = Flow("x", TitleBand("X", ""), lambda *_: Footer(("x",)), ((rest,), (rest, rest)), (opening,))
    _, faces = paginate((flow,), PAPERS.stocks["a4"], PAPERS.styles)
    bodies = [[*face.body[:-1], *list_stack(face)] for face in faces]
    assert bodies == [[opening, rest], [rest, rest]]


def test_of_several_versions_the_first_with_the_fewest_pages_is_taken() -> None:
    long, short, shorter = (make_flow(make_table(count)) for count in (90, 20, 10))
    _, faces = paginate((long, short, shorter), PAPERS.stocks["letter"], PAPERS.styles)
    (table,) = list_stack(faces[0])
    assert isinstance(table, TableBlock)
    assert len(table.rows) == 20


@pytest.mark.parametrize(
    ("words", "way"), [("x" * 300, "wide"), ("rear corner of the plate " * 900, "high")], ids=["wide", "high"]
)
def test_what_fits_on_no_page_is_told_with_its_excess_and_the_paper(words: str, way: str) -> None:
    with pytest.raises(PocketrefError) as caught:
        lay_out(make_table(2, words))
    (problem,) = caught.value.problems
    assert problem.code == "block-too-large"
    assert "report: readings is" in problem.sentence
    assert f"mm too {way} for US Letter" in problem.sentence
    assert problem.hint


def test_a_scale_of_which_every_size_is_below_the_floor_is_refused_where_it_stands() -> None:
    floor = {"arcmin": "16", "distance": "400 mm"}
    for scales in ({"card-scale": ["5"], "sheet-scale": ["9"]}, {"card-scale": ["9"], "sheet-scale": ["5"]}):
        with pytest.raises(ValueError, match=r"below the floor of 7\.56 pt"):
            StylesModel.model_validate({"floor": floor, **scales})
