"""Sample cards, and a cutter: printed press sheets cut along their crop marks and turned over on paper."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from pocketref.output.reading.printed import PrintedPage, PrintedPath
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.stock_models import StockModel, StocksModel
from pocketref.pages.stocks import Sheet, sheet_of
from pocketref.problems import ProblemLog
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import rectangle
from pocketref.scene.typefaces import set_text
from pocketref.source.syntax.folder import FolderReader

EDITION = "Larkmoor State Umpires Association (invented), edition 2027.1"
LAYOUTS = Path(__file__).parents[2] / "layouts"
FLOOR_PT = 7.57
NEAR_MM = 0.1


def read_stocks() -> dict[str, StockModel]:
    problems = ProblemLog()
    model = FolderReader(LAYOUTS, problems).read("stocks.yaml", StocksModel)
    problems.raise_errors()
    return dict(model.stocks)


STOCKS = read_stocks()


def paper(name: str) -> Sheet:
    return sheet_of(STOCKS[name])


def size_of(name: str) -> tuple[float, float]:
    return STOCKS[name].width.float_mm, STOCKS[name].height.float_mm


def card_document(number: int, size: tuple[float, float], duplex: str = "short", *extra: Item) -> Document:
    """A card whose two faces say which they are, with a frame on the trim."""
    width, height = size
    pages = []
    for side in ("front", "back"):
        frame = Shape(rectangle(0, 0, width, height), stroke=Stroke(0.1, BLACK))
        name = set_text(6, 5, f"C{number} {side}", FontFace.BOLD, 12, BLACK)
        elements = (Element(Role.SECTION, (), (Element(Role.PARAGRAPH, (frame, name, *extra)),)),)
        pages.append(Page(side, width, height, elements, Box(0, 0, width, height).inset(3.175)))
    return Document(f"Card {number}", "a card", "Larkmoor", tuple(pages), duplex=duplex)


@dataclass(frozen=True)
class Piece:
    """A card as it comes from the cutter; the back is given as it lies behind the front."""

    front: str
    back: str
    register_error_mm: float
    turns_sideways: bool


def is_crop_mark(path: PrintedPath, page: PrintedPage) -> bool:
    """Lines of decoration are crop marks unless they cross in a register mark's circle."""
    left, bottom, right, top = path.extent
    if not path.is_artifact or (right - left > 0.01 and top - bottom > 0.01):
        return False
    middle = ((left + right) / 2, (bottom + top) / 2)
    circles = [p.extent for p in page.paths if p.is_artifact and p.extent[2] - p.extent[0] > 0.01]
    return not any(
        abs(middle[0] - (c[0] + c[2]) / 2) < 0.01 and abs(middle[1] - (c[1] + c[3]) / 2) < 0.01
        for c in circles
        if c[3] - c[1] > 0.01
    )


def find_cuts(page: PrintedPage) -> tuple[list[float], list[float]]:
    """The x of each upright mark and the y of each level one, read from the printed marks."""
    marks = [path.extent for path in page.paths if is_crop_mark(path, page)]
    xs = {round(m[0], 2) for m in marks if m[3] - m[1] > 0.01}
    ys = {round(m[1], 2) for m in marks if m[2] - m[0] > 0.01}
    return sorted(xs), sorted(ys)


def cut_places(page: PrintedPage, size: tuple[float, float]) -> list[Box]:
    """What falls out when every cut runs right across the sheet, waste strips thrown away; row by row."""
    xs, ys = find_cuts(page)
    places = []
    for bottom, top in sorted(pairwise(ys), reverse=True):
        for left, right in pairwise(xs):
            sides = sorted((right - left, top - bottom))
            if all(abs(a - b) < NEAR_MM for a, b in zip(sides, sorted(size), strict=True)):
                places.append(Box(left, bottom, right - left, top - bottom))
    return places


def turn_over(page: PrintedPage, box: Box, *, sideways: bool) -> Box:
    """Where a place of one side lies on the other side of the paper."""
    if sideways:
        return Box(page.media.width_mm - box.right, box.y, box.width_mm, box.height_mm)
    return Box(box.x, page.media.height_mm - box.top, box.width_mm, box.height_mm)


def frame_edges(page: PrintedPage, box: Box) -> tuple[float, ...] | None:
    """The edges of the card's frame that is printed in the place, if there is one."""
    for path in page.paths:
        left, bottom, right, top = path.extent
        middle_is_in = box.x < (left + right) / 2 < box.right and box.y < (bottom + top) / 2 < box.top
        if not path.is_artifact and middle_is_in:
            return path.extent
    return None


def name_in(page: PrintedPage, box: Box) -> tuple[str, float] | None:
    """The words that start in the place, and their angle."""
    found = [t for t in page.texts if t.has_ink and box.x < t.x < box.right and box.y < t.y < box.top]
    assert len(found) <= 1
    return (found[0].content, found[0].angle) if found else None


def cut_sheet(
    front: PrintedPage, back: PrintedPage, size: tuple[float, float], flip: str
) -> list[Piece | None]:
    """The pieces of one printed sheet, place by place; None for a blank one."""
    is_portrait = front.media.height_mm >= front.media.width_mm
    sideways = (flip == "long") == is_portrait
    pieces: list[Piece | None] = []
    for place in cut_places(front, size):
        behind = turn_over(front, place, sideways=sideways)
        on_front, on_back = name_in(front, place), name_in(back, behind)
        assert (on_front is None) == (on_back is None)
        if on_front is None or on_back is None:
            pieces.append(None)
            continue
        edges = frame_edges(front, place)
        left, bottom, right, top = frame_edges(back, behind)
        seen = turn_over(back, Box(left, bottom, right - left, top - bottom), sideways=sideways)
        seen_edges = (seen.x, seen.y, seen.right, seen.top)
        place_edges = (place.x, place.y, place.right, place.top)
        error = max(
            abs(a - b)
            for pair in ((edges, seen_edges), (edges, place_edges))
            for a, b in zip(*pair, strict=True)
        )
        # A baseline seen through the paper: mirrored. A card turned over its side shows its back's words
        # running the other way on the same line; one turned over its top shows them running the same way.
        through = (180 - on_back[1]) if sideways else -on_back[1]
        apart = round(through - on_front[1]) % 360
        assert apart in (0, 180)
        pieces.append(Piece(on_front[0], on_back[0], error, apart == 180))
    return pieces


def cut_and_stack(data: bytes, size: tuple[float, float], flip: str) -> list[Piece]:
    """All sheets cut in one pile, the first place's stack on top of the second's and so on, blanks taken out."""
    pages = read_pdf(data).pages
    sheets = [cut_sheet(pages[i], pages[i + 1], size, flip) for i in range(0, len(pages), 2)]
    stacks = zip(*sheets, strict=True)
    return [piece for stack in stacks for piece in stack if piece is not None]
