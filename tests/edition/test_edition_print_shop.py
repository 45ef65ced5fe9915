"""What a print shop asks of a file, asked of the real edition: fonts, boxes, one black, no hairlines, register.

Page boxes are those of ISO 32000-1:2008, 14.11.2; colour operators those of its table 74. A quarter of a point as
the thinnest line that surely prints is common practice of print shops (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.press import PressRun, build_press
from pocketref.edition.source_reading import list_past
from pocketref.layouts.cards import LaidOut, lay_out_card
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.output.reading.printed import PrintedPage, PrintedText
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.page import Box
from pocketref.pages.stocks import safe_box
from pocketref.source.library import Library, read_library
from pocketref.units.length import MM_PER_PT

ROOT = Path(__file__).parents[2]
STOCKS = ("index-3x5", "index-4x6", "a6")
HAIRLINE_PT = 0.25
NEAR_MM = 0.1
"""What the two sides of a card may be apart: far less than a duplex printer's own play."""
STROKES = {"S", "s", "B", "B*", "b", "b*"}
SHOWS = {"Tj", "TJ", "'", '"'}
OTHER_COLOURS = {"rg", "RG", "cs", "CS", "sc", "SC", "scn", "SCN", "sh"}

Matrix = tuple[float, ...]
UPRIGHT: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

CARDS = sorted(f"cards/{path.stem}.pdf" for path in (ROOT / "layouts" / "cards").glob("*.yaml"))
PRESS = [
    *(
        f"press/cards-{name}.pdf"
        for name in (
            "lanyard-letter",
            "letter",
            "supplement-letter",
            "with-marks-lanyard",
            "with-marks-supplement",
            "with-marks",
        )
    ),
    "press/print-check-letter.pdf",
]
NAMES = [*CARDS, *PRESS]


@cache
def source() -> tuple[Library, Layouts]:
    library = read_library(ROOT / "content")
    return library, read_layouts(ROOT / "layouts", library)


@cache
def cards(stock: str = "") -> tuple[LaidOut, ...]:
    library, looks = source()
    previous = list_past(library, ROOT / "content")[-1]
    return tuple(lay_out_card(card, library, looks, stock, previous=previous) for card in looks.cards)


@cache
def files() -> Mapping[str, bytes]:
    """The cards, and what goes to the press, by name."""
    made = [build_pdf(f"cards/{card.name}", card.document, card.floor_pt) for card in cards()]
    made += build_press(cards(), *source(), PressRun())
    return {file.name: file.data for file in made}


# --- what is painted, operator by operator ----------------------------------------------------------------


@dataclass(frozen=True)
class State:
    """The part of the graphics state that a print shop looks at; as a page begins, black and 1 wide."""

    matrix: Matrix = UPRIGHT
    fill: tuple[float, ...] = (0.0,)
    pen: float = 1.0


@dataclass(frozen=True)
class Painted:
    """One painting or colour operator, with the state it meets."""

    operator: str
    state: State

    @property
    def pen_pt(self) -> float:
        """The width of the pen on paper, pt."""
        a, b, c, d, _, _ = self.state.matrix
        return self.state.pen * math.sqrt(abs(a * d - b * c))


def multiply(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def walk(stream: pikepdf.Object | pikepdf.Page, resources: pikepdf.Object, state: State) -> Iterator[Painted]:
    """Every operator that paints or sets a colour, through the forms that are placed."""
    stack = []
    for operands, token in pikepdf.parse_content_stream(stream):
        operator = str(token)
        if operator == "q":
            stack.append(state)
        elif operator == "Q":
            state = stack.pop()
        elif operator == "cm":
            state = replace(state, matrix=multiply(tuple(map(float, operands)), state.matrix))
        elif operator == "w":
            state = replace(state, pen=float(operands[0]))
        elif operator in {"g", "k"}:
            state = replace(state, fill=tuple(map(float, operands)))
        elif operator == "Do":
            form = resources.XObject[str(operands[0])]
            if form.Subtype == "/Form":
                matrix = multiply(tuple(map(float, form.get("/Matrix", UPRIGHT))), state.matrix)
                yield from walk(form, form.get("/Resources", resources), replace(state, matrix=matrix))
        if operator in STROKES | SHOWS | OTHER_COLOURS:
            yield Painted(operator, state)


@cache
def painted(name: str) -> tuple[Painted, ...]:
    with pikepdf.open(BytesIO(files()[name])) as pdf:
        return tuple(each for page in pdf.pages for each in walk(page, page.resources, State()))


def is_one_ink(colour: tuple[float, ...]) -> bool:
    """A grey, or CMYK of black alone: one plate prints it."""
    return len(colour) == 1 or (len(colour) == 4 and colour[:3] == (0.0, 0.0, 0.0))


def test_nothing_that_goes_to_the_press_is_left_out() -> None:
    assert sorted(files()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_text_prints_with_one_ink_and_nothing_is_in_rgb(name: str) -> None:
    shown = [each for each in painted(name) if each.operator in SHOWS]
    assert shown
    assert {each.state.fill for each in shown if not is_one_ink(each.state.fill)} == set()
    assert {each.operator for each in painted(name)} & OTHER_COLOURS == set()


@pytest.mark.parametrize("name", NAMES)
def test_no_line_is_a_hairline(name: str) -> None:
    widths = {round(each.pen_pt, 4) for each in painted(name) if each.operator in STROKES}
    assert widths
    assert min(widths) >= HAIRLINE_PT - 0.001


@pytest.mark.parametrize("name", NAMES)
def test_every_font_is_embedded_and_is_a_subset(name: str) -> None:
    assert all(run.is_embedded for page in read_pdf(files()[name]).pages for run in page.texts)
    with pikepdf.open(BytesIO(files()[name])) as pdf:
        fonts = [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and is_font(each)]
        assert fonts
        for font in fonts:
            assert "/FontFile2" in font.FontDescriptor
            assert str(font.BaseFont)[7] == "+"


def is_font(entry: pikepdf.Dictionary) -> bool:
    return entry.get("/Type") == "/Font"


# --- boxes and the safe area ------------------------------------------------------------------------------


def box_of(page: pikepdf.Page, name: str) -> tuple[float, float, float, float]:
    """A box as the page itself states it, mm."""
    left, bottom, right, top = (float(edge) * MM_PER_PT for edge in page.obj[name])
    return left, bottom, right, top


@pytest.mark.parametrize("name", PRESS)
def test_press_sheets_state_trim_and_bleed_within_the_media(name: str) -> None:
    with pikepdf.open(BytesIO(files()[name])) as pdf:
        for page in pdf.pages:
            trim, bleed, media = (box_of(page, key) for key in ("/TrimBox", "/BleedBox", "/MediaBox"))
            for inner, outer in ((trim, bleed), (bleed, media)):
                assert all(a >= b - 0.01 for a, b in zip(inner[:2], outer[:2], strict=True))
                assert all(a <= b + 0.01 for a, b in zip(inner[2:], outer[2:], strict=True))


@pytest.mark.parametrize(
    ("name", "file"),
    [("", "press/cards-with-marks.pdf"), ("lanyard", "press/cards-with-marks-lanyard.pdf")],
)
def test_a_card_with_marks_has_its_stock_s_trim_and_bleed(name: str, file: str) -> None:
    layouts = source()[1]
    stock_names = {card.card: card.stock for card in layouts.cards}
    sets = {card.card: card.set_ for card in layouts.cards}
    faces = [card.name for card in cards() if sets[card.name] == name for _ in card.document.pages]
    with pikepdf.open(BytesIO(files()[file])) as pdf:
        assert len(pdf.pages) == len(faces)
        for card, page in zip(faces, pdf.pages, strict=True):
            stock = layouts.stocks[stock_names[card]]
            trim, bleed = box_of(page, "/TrimBox"), box_of(page, "/BleedBox")
            size = (trim[2] - trim[0], trim[3] - trim[1])
            assert size == pytest.approx((stock.width.float_mm, stock.height.float_mm), abs=0.01)
            beyond = [abs(a - b) for a, b in zip(trim, bleed, strict=True)]
            assert beyond == pytest.approx([stock.bleed.float_mm] * 4, abs=0.01)


@pytest.mark.parametrize("stock", STOCKS)
def test_every_face_of_every_card_fits_on_the_stock_and_passes_its_reading_back(stock: str) -> None:
    model = source()[1].stocks[stock]
    safe = safe_box(model)
    assert len(cards(stock)) == len(source()[1].cards)
    for card in cards(stock):
        file = build_pdf(f"cards/{card.name}", card.document, card.floor_pt)  # raises if it does not pass
        pages = read_pdf(file.data).pages
        assert len(pages) % 2 == 0
        for page in pages:
            size = (page.media.width_mm, page.media.height_mm)
            assert size == pytest.approx((model.width.float_mm, model.height.float_mm), abs=0.01)
            for run in (run for run in page.texts if run.has_ink):
                left, bottom, right, top = run.extent
                assert min(left - safe.x, bottom - safe.y, safe.right - right, safe.top - top) > -0.01
                assert run.size_pt >= card.floor_pt - 0.005


# --- register ---------------------------------------------------------------------------------------------


def place_of(face: PrintedPage, runs: tuple[PrintedText, ...]) -> Box:
    """Where a face's trim lies on a press sheet, from its first run; every other run must lie likewise."""
    turn = math.radians(runs[0].angle - face.texts[0].angle)
    cos, sin = round(math.cos(turn)), round(math.sin(turn))
    dx = runs[0].x - (cos * face.texts[0].x - sin * face.texts[0].y)
    dy = runs[0].y - (sin * face.texts[0].x + cos * face.texts[0].y)

    def at(x: float, y: float) -> tuple[float, float]:
        return cos * x - sin * y + dx, sin * x + cos * y + dy

    for own, run in zip(face.texts, runs, strict=True):
        assert (run.x, run.y) == pytest.approx(at(own.x, own.y), abs=NEAR_MM)
        assert run.size_pt == pytest.approx(own.size_pt, abs=0.01)
    (x1, y1), (x2, y2) = at(0, 0), at(face.media.width_mm, face.media.height_mm)
    return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))


def find_places(side: PrintedPage, faces: Mapping[str, PrintedPage]) -> dict[str, Box]:
    """Each card whose face is printed on one side of a sheet, and where."""
    said = [run.content.strip() for run in side.texts]
    places = {}
    for name, face in faces.items():
        words = [run.content.strip() for run in face.texts]
        starts = [i for i in range(len(said) - len(words) + 1) if said[i : i + len(words)] == words]
        for start in starts:
            assert name not in places, f"{name} is printed twice"
            places[name] = place_of(face, side.texts[start : start + len(words)])
    return places


def read_faces() -> dict[str, Sequence[PrintedPage]]:
    """Front and back of each card of the members' set, those of a card's further faces too."""
    names = [card.card for card in source()[1].cards if not card.set_]
    pages = {name: read_pdf(files()[f"cards/{name}.pdf"]).pages for name in names}
    return {
        f"{name} {at}": faces[at : at + 2] for name, faces in pages.items() for at in range(0, len(faces), 2)
    }


def edges_of(box: Box) -> tuple[float, float, float, float]:
    return box.x, box.y, box.right, box.top


def test_fronts_and_backs_lie_on_each_other_to_a_tenth_of_a_millimetre() -> None:
    sides = read_pdf(files()["press/cards-letter.pdf"]).pages
    printed = read_faces()
    found: list[str] = []
    for front, back in zip(sides[::2], sides[1::2], strict=True):
        fronts = find_places(front, {name: pages[0] for name, pages in printed.items()})
        backs = find_places(back, {name: pages[1] for name, pages in printed.items()})
        assert fronts.keys() == backs.keys()
        for name, place in fronts.items():
            # The sheet, upright, is turned over its long edge: left and right change places.
            width = front.media.width_mm
            seen = Box(width - backs[name].right, backs[name].y, backs[name].width_mm, backs[name].height_mm)
            assert edges_of(seen) == pytest.approx(edges_of(place), abs=NEAR_MM)
        found += fronts
    assert sorted(found) == sorted(printed)


def test_crop_marks_point_along_every_edge_of_every_card() -> None:
    sides = read_pdf(files()["press/cards-letter.pdf"]).pages
    faces = {name: front for name, (front, _) in read_faces().items()}
    for front in sides[::2]:
        marks = [path.extent for path in front.paths if path.is_artifact]
        upright = [(left + right) / 2 for left, bottom, right, top in marks if top - bottom > right - left]
        level = [(bottom + top) / 2 for left, bottom, right, top in marks if right - left > top - bottom]
        for place in find_places(front, faces).values():
            for edge, lines in (
                (place.x, upright),
                (place.right, upright),
                (place.y, level),
                (place.top, level),
            ):
                assert min(abs(edge - line) for line in lines) < 0.01
