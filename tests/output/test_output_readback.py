from __future__ import annotations

import math
from dataclasses import replace
from io import BytesIO

import pytest
from output_samples import FIELD, document, full_document, line, page, paragraph, simple_document
from reportlab.pdfgen.canvas import Canvas

from pocketref.output.pdf import write_pdf
from pocketref.output.pdf_fonts import embedded_font
from pocketref.output.reading.readback import read_pages, read_pdf
from pocketref.output.reading.readback_checks import check_document, overlap_mm
from pocketref.pages.page import Box, Document, Element, Role
from pocketref.scene.inks import BLACK, GREY_PALE
from pocketref.scene.items import FontFace, Placed, Scene, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface

HELD = Stroke(0.3, BLACK)


def read_one(*items):
    return read_pdf(write_pdf(simple_document(*items))).pages[0]


def codes(printed_from: Document, asked: Document | None = None, floor_pt: float = 7) -> list[str]:
    found = check_document(read_pdf(write_pdf(printed_from)), asked or printed_from, floor_pt)
    return [problem.code for problem in found]


def drawn(draw) -> bytes:
    """A 5 by 3 inch page that someone else drew."""
    buffer = BytesIO()
    canvas = Canvas(
        buffer,
        pagesize=(360, 216),
        cropBox=(0, 0, 360, 216),
        trimBox=(0, 0, 360, 216),
        bleedBox=(0, 0, 360, 216),
    )
    draw(canvas)
    canvas.save()
    return buffer.getvalue()


def test_a_run_is_read_as_it_was_set():
    (text,) = read_one(set_text(20, 30, "Foul tip, 7 ft", FontFace.MEDIUM, 9.5, BLACK)).texts
    assert text.content == "Foul tip, 7 ft"
    assert (text.x, text.y) == pytest.approx((20, 30), abs=0.001)
    assert text.size_pt == pytest.approx(9.5, abs=0.001)
    assert text.angle == 0
    assert text.font.endswith(typeface(FontFace.MEDIUM).postscript_name)
    assert text.is_embedded


def test_a_fraction_is_a_larger_piece_of_its_run_and_says_what_it_is():
    sent = set_text(20, 30, "7 ft 2 9/16 in", FontFace.MEDIUM, 8, BLACK)
    before, fraction, after = read_one(sent).texts
    assert before.content + fraction.content + after.content == "7 ft 2 9/16 in"
    assert (before.size_pt, after.size_pt) == pytest.approx((8, 8), abs=0.001)
    assert fraction.size_pt == pytest.approx(8 * typeface(FontFace.MEDIUM).fraction_scale, abs=0.001)
    assert before.y == after.y > fraction.y
    space = typeface(FontFace.MEDIUM).measure_mm(" in", 8)
    assert after.x == pytest.approx(20 + sent.width_mm - space, abs=0.01)


@pytest.mark.parametrize("words", ["7 ft 2 9/16 in", "1/4 in", "2½"])
def test_a_fraction_no_larger_than_the_least_type_is_told(words):
    sample = simple_document(set_text(20, 30, words, FontFace.MEDIUM, 8, BLACK))
    printed = read_pdf(write_pdf(sample))
    assert check_document(printed, sample, 8.0) == []
    texts = tuple(replace(text, size_pt=8.0) for text in printed.pages[0].texts)
    shrunk = replace(printed, pages=(replace(printed.pages[0], texts=texts),))
    assert [problem.code for problem in check_document(shrunk, sample, 8.0)] == ["text-too-small"]


def test_the_box_is_that_of_the_ink():
    (text,) = read_one(set_text(20, 30, "HH", FontFace.REGULAR, 40, BLACK)).texts
    left, bottom, right, top = text.extent
    assert bottom == pytest.approx(30, abs=0.01)
    assert top - bottom == pytest.approx(cap_height_mm(FontFace.REGULAR, 40), abs=0.01)
    assert 20 < left < right < 20 + typeface(FontFace.REGULAR).measure_mm("HH", 40)


@pytest.mark.parametrize(("anchor", "start"), [("start", 60), ("middle", 60), ("end", 60)])
@pytest.mark.parametrize("angle", [0, 90, -90, 33.3])
def test_anchors_hold_at_every_angle(anchor, start, angle):
    sent = set_text(start, 40, "anchored", FontFace.REGULAR, 8, BLACK, anchor, angle)
    (text,) = read_one(sent).texts
    back = {"start": 0, "middle": 0.5, "end": 1}[anchor] * sent.width_mm
    assert text.x == pytest.approx(60 - back * math.cos(math.radians(angle)), abs=0.002)
    assert text.y == pytest.approx(40 - back * math.sin(math.radians(angle)), abs=0.002)
    assert text.angle == pytest.approx(angle, abs=0.001)


def test_texts_and_paths_are_found_through_nested_turned_scenes():
    inner = Scene("inner", 10, 6, (line(1, 2, "in"), Shape(rectangle(0, 0, 10, 6), fill=GREY_PALE)))
    outer = Scene("outer", 30, 30, (Placed(inner, 20, 4, 1),))
    printed = read_one(Placed(outer, 90, 60, 2))
    (text,), (path,) = printed.texts, printed.paths
    # Inner (1, 2) turned once about (20, 4) is (18, 5); turned twice about (90, 60) that is (72, 55).
    assert (text.x, text.y) == pytest.approx((72, 55), abs=0.001)
    assert abs(text.angle) == pytest.approx(90, abs=0.001)
    assert path.extent == pytest.approx((70, 46, 76, 56), abs=0.001)


def test_a_form_drawn_at_half_scale_is_read_at_its_true_size():
    def draw(canvas):
        canvas.beginForm("half")
        canvas.setFont("Helvetica", 16)
        canvas.drawString(20, 20, "half")
        canvas.endForm()
        canvas.scale(0.5, 0.5)
        canvas.doForm("half")

    (text,) = read_pdf(drawn(draw)).pages[0].texts
    assert text.size_pt == pytest.approx(8)
    assert text.x == pytest.approx(10 * 25.4 / 72)
    assert not text.is_embedded


def test_decoration_is_told_from_what_says_something():
    band = Shape(rectangle(0, 0, 127, 5), fill=GREY_PALE)
    rule = Shape(polyline([(5, 10), (50, 10)]), stroke=HELD)
    sample = document(
        page(Element(Role.DECORATION, (Placed(Scene("band", 127, 5, (band,)), 0, 0),)), paragraph(rule))
    )
    assert [path.is_artifact for path in read_pdf(write_pdf(sample)).pages[0].paths] == [True, False]


def test_pages_can_be_read_one_at_a_time():
    pages = read_pages(write_pdf(full_document()))
    assert "".join(text.content for text in next(pages).texts[:3]) == "Out of the box – 7′ 21/2″"
    assert next(pages).texts[0].content == "Say “Time!” (at once) \\ point"


@pytest.mark.parametrize("data", [b"", b"not a PDF", write_pdf(simple_document(line(5, 5, "x")))[:200]])
def test_what_is_no_pdf_is_refused(data):
    with pytest.raises(ValueError, match="cannot be read"):
        read_pdf(data)


def test_a_sound_document_has_no_problems():
    assert codes(full_document()) == []


def test_hyphens_spaces_and_ligature_letters_at_line_ends_are_no_difference():
    assert (
        codes(simple_document(line(5, 50, "well-"), line(5, 45, "known  \u00a0fi ½"), line(5, 40, "   ")))
        == []
    )


def test_a_document_set_from_two_subsets_of_a_face_is_sound():
    characters = [
        c for c in map(chr, range(33, 0x500)) if not typeface(FontFace.REGULAR).missing(c) and c.isalnum()
    ]
    rows = ["".join(characters[i : i + 40]) for i in range(0, 320, 40)]
    assert codes(simple_document(*(line(5, 65 - 5 * i, row) for i, row in enumerate(rows)))) == []


def test_a_page_that_is_missing_is_found():
    sample = full_document()
    assert codes(replace(sample, pages=sample.pages[:1]), sample) == ["page-count"]


@pytest.mark.parametrize(
    "change",
    [
        {"width_mm": 127.02},
        {"trim": Box(1, 1, 125, 74)},
        {"bleed": Box(0.02, 0, 126.98, 76.2)},
    ],
)
def test_a_page_of_another_size_is_found(change):
    sample = simple_document(line(5, 50, "x"))
    asked = replace(sample, pages=(replace(sample.pages[0], **change),))
    assert set(codes(sample, asked)) == {"page-size"}


def test_a_page_without_ink_is_found():
    assert codes(simple_document(line(5, 50, "   "))) == ["page-blank"]
    assert codes(document(page())) == ["page-blank"]
    assert codes(simple_document(FIELD)) == []


def test_type_below_the_floor_is_found_at_its_true_size_and_at_the_floor_is_not():
    sample = simple_document(line(5, 50, "fine", size_pt=7), line(5, 40, "print", size_pt=6.9))
    (problem,) = check_document(read_pdf(write_pdf(sample)), sample, 7)
    assert problem.code == "text-too-small"
    assert "'print' is 6.90 pt" in problem.sentence
    assert "front" in problem.sentence


def test_ink_outside_the_safe_area_is_found_to_a_hundredth():
    asked = simple_document(set_text(3, 50, "M", FontFace.REGULAR, 8, BLACK))
    (text,) = read_pdf(write_pdf(asked)).pages[0].texts
    inside = text.extent[0] - 3
    assert codes(simple_document(line(3 - inside, 50, "M"))) == []
    assert codes(simple_document(line(3 - inside - 0.02, 50, "M"))) == ["text-outside-safe"]


def test_a_turned_text_that_leaves_the_safe_area_is_found():
    assert codes(simple_document(set_text(60, 70, "too high", FontFace.REGULAR, 8, BLACK, "start", 45))) == [
        "text-outside-safe"
    ]


def test_a_path_may_bleed_only_as_decoration():
    band = Shape(rectangle(-3, 60, 133, 12), fill=GREY_PALE)
    held = simple_document(line(5, 5, "x"), band)
    loose = document(page(paragraph(line(5, 5, "x")), Element(Role.DECORATION, (band,))))
    assert codes(held) == ["drawing-outside-trim"]
    assert codes(loose) == []


def test_a_frame_drawn_on_the_trim_line_is_inside_by_its_middle():
    assert (
        codes(simple_document(line(5, 5, "x"), Shape(rectangle(0, 0, 127, 76.2), stroke=Stroke(0.4, BLACK))))
        == []
    )


def test_runs_that_overlap_are_found_and_neighbours_are_not():
    assert codes(simple_document(line(5, 50, "one line"), line(5, 47, "the next line"))) == []
    assert codes(simple_document(line(5, 50, "one line"), line(12, 51, "another"))) == ["text-overlap"]


def test_a_run_printed_twice_in_one_place_is_found():
    assert codes(simple_document(line(5, 50, "twice"), line(5, 50, "twice"))) == ["text-overlap"]


def test_slanted_runs_are_judged_by_their_turned_boxes():
    one = set_text(20, 20, "first slanted run", FontFace.REGULAR, 8, BLACK, "start", 45)
    beside = set_text(24, 20, "second slanted run", FontFace.REGULAR, 8, BLACK, "start", 45)
    across = set_text(20, 25, "across it", FontFace.REGULAR, 8, BLACK)
    assert codes(simple_document(one, beside)) == []
    assert codes(simple_document(one, across)) == ["text-overlap"]


def test_overlap_is_measured_in_millimetres():
    upper, lower = read_one(
        set_text(5, 50, "HH", FontFace.BOLD, 20, BLACK), set_text(5, 46, "HH", FontFace.BOLD, 20, BLACK)
    ).texts
    assert overlap_mm(upper, lower) == pytest.approx(cap_height_mm(FontFace.BOLD, 20) - 4, abs=0.01)


def test_a_font_that_is_not_embedded_is_found():
    def draw(canvas):
        canvas.setFont("Helvetica", 8)
        canvas.drawString(50, 100, "plain")

    asked = simple_document(line(50 * 25.4 / 72, 100 * 25.4 / 72, "plain"))
    (problem,) = check_document(read_pdf(drawn(draw)), asked, 7)
    assert problem.code == "font-not-embedded"
    assert "Helvetica" in problem.sentence


def test_a_character_printed_as_an_empty_box_is_found():
    font = embedded_font(FontFace.REGULAR)

    def draw(canvas):
        canvas.setFont(font.fontName, 8)
        canvas.drawString(50, 100, "snow ☃ man")

    (problem,) = check_document(read_pdf(drawn(draw)), simple_document(line(20, 30, "snow ☃ man")), 7)
    assert problem.code == "glyph-missing"
    assert "☃" in problem.sentence


@pytest.mark.parametrize("sent", [["one", "two", "three"], ["one"], ["one", "three"], ["two", "one"]])
def test_words_that_were_not_sent_or_not_printed_are_found(sent):
    printed = simple_document(line(5, 50, "one"), line(5, 40, "two"))
    asked = simple_document(*(line(5, 50, word) for word in sent))
    assert codes(printed, asked) == ["text-differs"]
