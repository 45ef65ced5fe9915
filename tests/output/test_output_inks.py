"""A spot ink prints on a plate of its own, only what asks for it, and only if the edition has one."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pikepdf
import pytest
from output_samples import BALL, ORANGE, document, line, page, paragraph, simple_document

from pocketref.output.pdf import write_pdf
from pocketref.output.reading.separations import read_plates
from pocketref.output.svg import write_svg
from pocketref.pages.page import Document, change_page_inks
from pocketref.scene.inks import BLACK, CHANGE, DEAD_BALL, GREY_PALE, WHITE, change_inks, spot_ink
from pocketref.scene.items import Ink, Item, Placed, Scene, Shape, Stroke
from pocketref.scene.marks import draw_mark
from pocketref.scene.paths import circle, rectangle

RED = spot_ink("Signal red 1", (0.0, 0.95, 0.85, 0.0), "#c8102e")
USES = {DEAD_BALL: RED, CHANGE: RED}


def in_red(sample: Document) -> Document:
    return replace(sample, pages=tuple(change_page_inks(each, USES) for each in sample.pages))


def dead_ball() -> Document:
    """A dead ball's mark beside its word, on one page, and a live one's on the next."""
    pages = [
        page(paragraph(*draw_mark(f"ball-{name}", 10, 40, 10), line(15, 40, name, size_pt=10)), name=name)
        for name in ("dead", "live")
    ]
    return document(*pages)


def test_without_a_spot_ink_everything_is_on_the_black_plate() -> None:
    assert read_plates(write_pdf(dead_ball())) == ({"Black"}, {"Black"})


def test_a_spot_ink_is_on_its_own_plate_where_the_ball_is_dead_and_nowhere_else() -> None:
    assert read_plates(write_pdf(in_red(dead_ball()))) == ({"Black", "Signal red 1"}, {"Black"})


def test_the_word_stays_black_so_that_the_ink_is_never_the_only_carrier() -> None:
    first = in_red(dead_ball()).pages[0]
    (paragraph_,) = first.elements
    *mark, word = paragraph_.items
    assert word == line(15, 40, "dead", size_pt=10)
    assert [item.fill for item in mark if isinstance(item, Shape)] == [RED]


def test_a_separation_has_the_inks_name_and_says_what_stands_for_it() -> None:
    """ISO 32000-1, 8.6.6.4: [/Separation name alternateSpace tintTransform]; 7.10.3: C1 is the full tint."""
    with pikepdf.open(BytesIO(write_pdf(in_red(dead_ball())))) as pdf:
        ((_, space),) = pdf.pages[0].obj.Resources.ColorSpace.items()
        kind, name, alternate, tint = space
        assert (str(kind), str(name), str(alternate)) == ("/Separation", "/Signal red 1", "/DeviceCMYK")
        assert tint.FunctionType == 2
        assert [float(share) for share in tint.C0] == [0, 0, 0, 0]
        assert [float(share) for share in tint.C1] == [0, 0.95, 0.85, 0]
        assert "/ColorSpace" not in pdf.pages[1].obj.Resources


def test_a_spot_ink_reaches_into_placed_scenes() -> None:
    inner = Scene("dead", 10, 10, tuple(draw_mark("ball-dead", 2, 2, 10)))
    outer = Scene("outer", 20, 20, (Placed(inner, 1, 1),))
    assert read_plates(write_pdf(in_red(simple_document(Placed(outer, 5, 5))))) == ({"Signal red 1"},)


@pytest.mark.parametrize(
    ("ink", "plates"),
    [
        (BLACK, {"Black"}),
        (GREY_PALE, {"Black"}),
        (WHITE, set()),
        (ORANGE, {"Magenta", "Yellow"}),
        (RED, {"Signal red 1"}),
    ],
)
@pytest.mark.parametrize("is_stroke", [True, False])
def test_each_ink_is_read_back_from_the_plates_it_prints_on(
    ink: Ink, plates: set[str], is_stroke: bool
) -> None:
    square = rectangle(5, 5, 10, 10)
    drawn: Item = Shape(square, Stroke(1, ink)) if is_stroke else Shape(square, None, ink)
    assert read_plates(write_pdf(simple_document(drawn))) == (plates,)


def test_inks_that_follow_each_other_do_not_run_into_each_other() -> None:
    shapes = [Shape(circle(10, 10, 2), None, ink) for ink in (RED, BLACK, RED, ORANGE, RED)]
    assert read_plates(write_pdf(simple_document(*shapes))) == (
        {"Signal red 1", "Black", "Magenta", "Yellow"},
    )
    (only,) = read_plates(
        write_pdf(simple_document(Shape(circle(10, 10, 2), None, RED), Placed(BALL, 20, 20)))
    )
    assert only == {"Signal red 1", "Black", "Magenta", "Yellow"}


def test_a_screen_shows_the_spot_inks_twin() -> None:
    svg = write_svg(in_red(dead_ball()).pages[0], "Dead", "A dead ball")
    assert 'fill="#c8102e"' in svg
    assert change_inks(draw_mark("ball-live", 0, 0, 10), USES) == tuple(draw_mark("ball-live", 0, 0, 10))


@pytest.mark.parametrize("name", ["Black", "cyan", "All", "none", " "])
def test_no_spot_ink_bears_the_name_of_a_process_plate(name: str) -> None:
    with pytest.raises(ValueError, match="spot ink"):
        spot_ink(name, (0, 1, 1, 0), "#ff0000")
