from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from output_samples import (
    BALL,
    FIELD,
    ORANGE,
    PAIR,
    TICK,
    document,
    full_document,
    line,
    page,
    paragraph,
    simple_document,
)
from pypdf import PdfReader, PdfWriter

from pocketref.output.pdf import write_pdf
from pocketref.pages.page import Box, Element, Role
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK, GREY_PALE
from pocketref.scene.items import FontFace, Placed, Scene, Shape, Stroke
from pocketref.scene.paths import rectangle
from pocketref.scene.typefaces import set_text, typeface
from pocketref.source.digest import PDF_CODES


def read(sample) -> PdfReader:
    return PdfReader(BytesIO(write_pdf(sample)), strict=True)


def content_of(sample, page_index: int = 0) -> str:
    return read(sample).pages[page_index].get_contents().get_data().decode("latin-1")


def fonts_of(reader: PdfReader) -> list[dict]:
    return [font.get_object() for p in reader.pages for font in p["/Resources"]["/Font"].values()]


def test_the_file_is_pdf_1_7_and_says_what_it_is():
    reader = read(full_document())
    assert reader.pdf_header == "%PDF-1.7"
    assert reader.metadata.title == "Contact with the ball"
    assert reader.metadata.author == "Larkmoor State Umpires Association"
    assert reader.metadata.subject == "Who is out, and when"
    assert reader.metadata["/Keywords"] == "umpire, card"
    assert reader.trailer["/Root"]["/Lang"] == "en-US"


def test_no_date_and_no_clock_is_in_the_file():
    assert not {"/CreationDate", "/ModDate"} & set(read(full_document()).metadata)


def test_titles_in_any_script_and_with_markup_signs_come_back_as_written():
    title = "Größe & “Maß” <b> (ß) → 球"
    reader = read(document(page(paragraph(line(5, 5, "x"))), title=title))
    assert reader.metadata.title == title
    assert reader.xmp_metadata.dc_title["x-default"] == title


def test_xmp_repeats_title_and_language():
    xmp = read(full_document()).xmp_metadata
    assert xmp.dc_title["x-default"] == "Contact with the ball"
    assert xmp.dc_language == ["en-US"]
    assert xmp.dc_creator == ["Larkmoor State Umpires Association"]


@pytest.mark.parametrize(
    ("edge", "name"), [("long", "/DuplexFlipLongEdge"), ("short", "/DuplexFlipShortEdge"), ("", None)]
)
def test_viewers_are_asked_to_print_unscaled_and_to_flip_on_the_right_edge(edge, name):
    wishes = read(replace(full_document(), duplex=edge)).trailer["/Root"]["/ViewerPreferences"]
    assert wishes["/PrintScaling"] == "/None"
    assert wishes["/DisplayDocTitle"]
    assert wishes.get("/Duplex") == name


def test_every_page_states_its_boxes():
    sample = replace(
        page(paragraph(line(20, 20, "x")), width=137, height=86.2),
        trim=Box(5, 5, 127, 76.2),
        bleed=Box(2, 2, 133, 82.2),
    )
    sheet = read(document(sample, page(paragraph(line(5, 5, "y"))))).pages
    mm = 72 / 25.4
    assert [float(v) for v in sheet[0].mediabox] == pytest.approx([0, 0, 137 * mm, 86.2 * mm], abs=0.001)
    assert [float(v) for v in sheet[0].trimbox] == pytest.approx(
        [5 * mm, 5 * mm, 132 * mm, 81.2 * mm], abs=0.001
    )
    assert [float(v) for v in sheet[0].bleedbox] == pytest.approx(
        [2 * mm, 2 * mm, 135 * mm, 84.2 * mm], abs=0.001
    )
    for name in ("/MediaBox", "/CropBox", "/TrimBox", "/BleedBox"):
        assert [float(v) for v in sheet[1][name]] == [0, 0, 360, 216]


def test_only_embedded_subsets_of_the_faces_in_use_are_in_the_file():
    reader = read(simple_document(line(5, 50, "abc"), line(5, 40, "abc", FontFace.BOLD)))
    fonts = fonts_of(reader)
    names = {f"/AAAAAA+{typeface(face).postscript_name}" for face in (FontFace.REGULAR, FontFace.BOLD)}
    assert {font["/BaseFont"] for font in fonts} == names
    assert all(len(font["/FontDescriptor"]["/FontFile2"].get_data()) < 30_000 for font in fonts)


def test_without_fields_no_standard_font_is_named_anywhere():
    assert b"Helvetica" not in write_pdf(simple_document(line(5, 50, "abc")))


def test_every_code_maps_to_its_own_character_and_no_unused_code_but_the_digits_maps_at_all():
    text = "½ ″ → ✓ fi\\()"
    reader = read(simple_document(line(5, 50, text)))
    (font,) = fonts_of(reader)
    cmap = font["/ToUnicode"].get_data().decode("ascii")
    assert "<0000>" not in cmap
    assert cmap.split("endcodespacerange")[1].count("> <") == len({*text, *PDF_CODES})
    assert reader.pages[0].extract_text().strip() == text


def test_more_characters_than_one_subset_holds_are_still_set():
    characters = [
        c for c in map(chr, range(33, 0x500)) if not typeface(FontFace.REGULAR).missing(c) and c != "\xa0"
    ]
    rows = ["".join(characters[i : i + 40]) for i in range(0, 360, 40)]
    sample = simple_document(*(line(5, 65 - 5 * i, row, size_pt=6) for i, row in enumerate(rows)))
    reader = read(sample)
    assert len(fonts_of(reader)) == 2
    extracted = "".join(reader.pages[0].extract_text().split())
    assert set(extracted) >= {c for c in "".join(rows) if c.isalnum()}


def test_black_and_greys_print_with_one_ink_and_mixes_as_cmyk():
    content = content_of(
        simple_document(
            line(5, 50, "black"),
            Shape(rectangle(5, 5, 5, 5), fill=GREY_PALE),
            Shape(rectangle(15, 5, 5, 5), stroke=Stroke(0.5, ORANGE)),
            set_text(5, 30, "orange", FontFace.REGULAR, 8, ORANGE),
        )
    )
    operators = content.split()
    assert "0 g" in content
    assert "0.92 g" in content
    assert "0 0.5 1 0 K" in content
    assert "0 0.5 1 0 k" in content
    assert not {"rg", "RG", "cs", "scn"} & set(operators)


def test_a_scene_is_written_once_however_often_it_is_placed():
    sample = document(
        page(paragraph(*(Placed(BALL, 5 + 31 * i, 5) for i in range(3)))),
        page(paragraph(Placed(BALL, 5, 5, 1))),
    )
    data = write_pdf(sample)
    assert data.count(b"/Subtype /Form") == 1
    assert content_of(sample).count(" Do ") == 3


def test_two_different_scenes_of_one_key_are_a_mistake():
    other = replace(BALL, width_mm=31)
    with pytest.raises(ValueError, match="two different scenes have the key 'ball'"):
        write_pdf(simple_document(Placed(BALL, 5, 5), Placed(other, 50, 5)))


def test_what_a_scene_draws_beyond_its_extent_is_not_cut_off():
    wide = Scene("wide", 10, 10, (Shape(rectangle(-5, -5, 20, 20), stroke=Stroke(1, BLACK)),))
    reader = read(simple_document(Placed(wide, 20, 20)))
    box = [float(v) for v in reader.pages[0]["/Resources"]["/XObject"]["/Scene1"]["/BBox"]]
    pt = 72 / 25.4
    assert box[0] <= -5.5 * pt
    assert box[2] >= 15.5 * pt


def test_a_character_without_a_glyph_is_told_before_anything_is_drawn():
    sample = document(
        page(paragraph(line(5, 50, "play ☃ on"))), page(paragraph(line(5, 50, "\u0e01")), name="back")
    )
    with pytest.raises(PocketrefError) as caught:
        write_pdf(sample)
    first, second = caught.value.problems
    assert {first.code, second.code} == {"glyph-missing"}
    assert "U+2603" in first.sentence
    assert "play ☃ on" in first.sentence
    assert "front" in first.sentence
    assert "U+0E01" in second.sentence
    assert first.hint


def test_a_missing_glyph_inside_a_nested_scene_is_found_too():
    inner = Scene("inner", 10, 10, (line(0, 0, "a\tb"),))
    outer = Scene("outer", 20, 20, (Placed(inner, 0, 0),))
    with pytest.raises(PocketrefError, match=r"U\+0009"):
        write_pdf(simple_document(Placed(outer, 5, 5)))


def test_a_figure_without_words_is_refused():
    silent = Element(Role.FIGURE, (Placed(PAIR, 5, 5),), label="mound profile")
    with pytest.raises(PocketrefError, match="mound profile") as caught:
        write_pdf(document(page(Element(Role.SECTION, children=(silent,)))))
    assert [problem.code for problem in caught.value.problems] == ["figure-without-alt"]


def test_fields_can_be_typed_into_and_read_again():
    writer = PdfWriter(BytesIO(write_pdf(full_document())))
    writer.update_page_form_field_values(
        writer.pages[0], {"reading-1": "127′ 3 ⅜″", "checked": "/Yes"}, False
    )
    stream = BytesIO()
    writer.write(stream)
    fields = PdfReader(stream).get_fields()
    assert fields["reading-1"].value == "127′ 3 ⅜″"
    assert fields["checked"].value == "/Yes"


def test_a_field_says_what_belongs_there_and_lies_over_its_printed_box():
    widget, tick = (ref.get_object() for ref in read(full_document()).pages[0]["/Annots"])
    mm = 25.4 / 72
    assert widget["/TU"] == FIELD.tooltip
    assert widget["/FT"] == "/Tx"
    assert tick["/FT"] == "/Btn"
    assert [float(v) * mm for v in widget["/Rect"]] == pytest.approx([70, 30, 94, 37], abs=0.001)
    assert [float(v) * mm for v in tick["/Rect"]] == pytest.approx([100, 30, 105, 35], abs=0.001)
    assert "/MK" not in widget


def test_a_tall_field_takes_several_lines_and_a_low_one_does_not():
    tall = replace(FIELD, name="remarks", height_mm=20)
    widgets = [ref.get_object() for ref in read(simple_document(FIELD, tall)).pages[0]["/Annots"]]
    multiline = 1 << 12
    assert [bool(widget["/Ff"] & multiline) for widget in widgets] == [False, True]


def test_a_field_inside_a_scene_is_a_mistake_that_names_both():
    with pytest.raises(ValueError, match="'checked' is inside the scene 'form'"):
        write_pdf(simple_document(Placed(Scene("form", 50, 50, (TICK,)), 0, 0)))


def test_two_fields_of_one_name_are_a_mistake():
    with pytest.raises(ValueError, match="two form fields have the name 'checked'"):
        write_pdf(document(page(paragraph(TICK)), page(paragraph(replace(TICK, y=50)))))


def test_the_library_settings_are_as_they_were_afterwards():
    from reportlab import rl_config

    rl_config.useA85 = 1
    write_pdf(full_document())
    assert rl_config.useA85 == 1
