from __future__ import annotations

import base64
import ctypes
import math
import re
from dataclasses import replace
from io import BytesIO
from xml.etree import ElementTree as ET

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw
import pytest
from fontTools.ttLib import TTFont
from output_samples import (
    BALL,
    FIELD,
    ORANGE,
    PAIR,
    document,
    full_document,
    line,
    page,
    paragraph,
    simple_document,
)

from pocketref.output.font_subsets import subset_font
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.svg import write_svg
from pocketref.output.svg_fonts import font_face_css
from pocketref.pages.page import Element, Role
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import Cap, FontFace, Placed, Scene, Shape, Stroke
from pocketref.scene.paths import circle, polyline, rectangle
from pocketref.scene.typefaces import set_text, typeface
from pocketref.source.digest import FIELD as DIGEST
from pocketref.source.digest import set_digest

SVG = "{http://www.w3.org/2000/svg}"
XML = "{http://www.w3.org/XML/1998/namespace}"
HREF = "{http://www.w3.org/1999/xlink}href"


def parse(*items, width=60.0, height=40.0) -> ET.Element:
    sample = page(paragraph(*items), width=width, height=height)
    return ET.fromstring(write_svg(sample, "Sample", "For testing"))


def only(root: ET.Element, tag: str) -> ET.Element:
    (element,) = root.iter(f"{SVG}{tag}")
    return element


def drawn(root: ET.Element) -> list[ET.Element]:
    """The paths that are no glyphs."""
    glyphs = {path for defs in root.iter(f"{SVG}defs") for path in defs.findall(f"{SVG}path")}
    return [path for path in root.iter(f"{SVG}path") if path not in glyphs]


def placed_scenes(root: ET.Element) -> list[ET.Element]:
    """The uses of scenes: those of glyphs have no transform of their own."""
    return [use for use in root.iter(f"{SVG}use") if use.get("transform")]


def test_it_is_as_large_as_the_scene_and_counts_in_millimetres():
    root = parse(line(1, 1, "x"), width=127, height=76.2)
    assert (root.get("width"), root.get("height")) == ("127mm", "76.2mm")
    assert root.get("viewBox") == "0 0 127 76.2"


def test_it_has_a_name_and_a_description_for_who_cannot_see_it():
    sample = page(Element(Role.FIGURE, BALL.items, alt="A ball < a bat"))
    root = ET.fromstring(write_svg(sample, 'Ball & "box" <1>', "Not said", "en-GB"))
    title, desc = only(root, "title"), only(root, "desc")
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == desc.get("id")
    assert root.get(f"{XML}lang") == "en-GB"
    other = write_svg(replace(sample, language="es-US"), "Pelota", "Nada", "en-GB")
    assert ET.fromstring(other).get(f"{XML}lang") == "es-US"
    assert title.text == 'Ball & "box" <1>'
    assert desc.text == "A ball < a bat"
    assert next(iter(root)) is title


def test_it_is_described_by_the_words_of_all_its_figures_or_else_by_its_subject():
    balls = Element(Role.FIGURE, (line(1, 1, "ball"),), alt="Two balls.")
    plate = Element(Role.FIGURE, (line(1, 9, "plate"),), alt="A plate.")
    root = ET.fromstring(write_svg(page(balls, Element(Role.SECTION, (), (plate,))), "t", "Subject"))
    assert only(root, "desc").text == "Two balls. A plate."
    assert only(parse(line(1, 1, "x")), "desc").text == "For testing"


def test_its_words_are_left_to_be_read_as_words():
    """WAI-ARIA 1.2: the children of an image are not told; those of a document are (Graphics Module 1.0, 3.1)."""
    assert parse(line(1, 1, "x")).get("role") == "graphics-document document"


def test_words_in_another_language_than_the_rest_say_so_and_are_set_as_if_they_did_not():
    said = line(1, 1, "Diga Time! 2 ½ veces")
    marked = replace(said, foreign=((5, 10, "en-US"),))
    spans = [(span.get(f"{XML}lang"), span.text) for span in parse(marked).iter(f"{SVG}tspan")]
    assert spans[:2] == [("en-US", "Time!"), (None, " 2 ")]
    outlines = [[use.attrib for use in parse(text).iter(f"{SVG}use")] for text in (said, marked)]
    assert outlines[0] == outlines[1]


def test_a_control_character_in_the_description_does_not_break_the_file():
    text = write_svg(page(paragraph(line(1, 1, "x"))), "a\x00b", "c\x0bd\ud800")
    assert only(ET.fromstring(text), "title").text == "a\ufffdb"


def test_y_is_turned_down():
    root = parse(Shape(polyline([(0, 0), (10, 15)]), stroke=Stroke(0.3, BLACK)), line(5, 30, "x"), height=40)
    assert drawn(root)[0].get("d") == "M0 40L10 25"
    text = only(root, "text")
    assert (text.get("x"), text.get("y")) == ("5", "10")


def test_curves_fills_and_pens_are_written_in_full():
    pen = Stroke(0.35, BLACK, (1, 0.5), Cap.ROUND)
    path = only(parse(Shape(circle(10, 10, 5), stroke=pen, fill=ORANGE)), "path")
    assert path.get("d").count("C") == 4
    assert path.get("d").endswith("Z")
    assert path.get("fill") == "#ff8000"
    assert path.get("stroke") == "#000000"
    assert path.get("stroke-width") == "0.35"
    assert path.get("stroke-dasharray") == "1 0.5"
    assert path.get("stroke-linecap") == "round"


def test_a_shape_without_fill_is_empty_and_mitres_are_those_of_pdf():
    root = parse(Shape(rectangle(1, 1, 5, 5), stroke=Stroke(0.2, BLACK)))
    group = root.find(f"{SVG}g")
    assert group.get("fill") == "none"
    assert group.get("stroke-miterlimit") == "10"
    assert only(root, "path").get("fill") is None


def test_text_is_text_with_every_space_kept():
    text = only(parse(line(1, 1, "a  b <&> \u00a0c")), "text")
    assert text.text == "a  b <&> \u00a0c"
    assert float(text.get("font-size")) == pytest.approx(8 * 25.4 / 72, abs=5e-5)
    assert "textLength" not in text.attrib


@pytest.mark.parametrize("words", ["7 ft 2 9/16 in", "1/4 in", "± 3/8", "1/2"])
def test_a_fraction_is_as_large_and_as_low_as_in_pdf(words):
    sent = set_text(10, 30, words, FontFace.BOLD, 8, BLACK, "middle")
    printed = read_pdf(write_pdf(simple_document(sent))).pages[0].texts
    text = only(parse(sent), "text")
    assert "".join(text.itertext()) == sent.content
    sizes = [float(text.get("font-size"))] * bool(text.text)
    falls = [0.0] * bool(text.text)
    for span in text:
        assert not span.tail
        sizes.append(float(span.get("font-size")))
        falls.append((falls[-1] if falls else 0.0) + float(span.get("dy")))
    assert [size * 72 / 25.4 for size in sizes] == pytest.approx([p.size_pt for p in printed], abs=0.001)
    assert falls == pytest.approx([30 - p.y for p in printed], abs=0.002)


def test_a_turned_run_turns_the_same_way_as_in_pdf():
    text = only(parse(set_text(10, 30, "up", FontFace.ITALIC, 8, WHITE, "middle", 90), height=40), "text")
    assert text.get("transform") == "rotate(-90 10 10)"
    assert text.get("text-anchor") == "middle"
    assert text.get("font-style") == "italic"


def test_a_blank_is_an_empty_thin_box_inside_its_field():
    path = only(parse(FIELD, width=127, height=76), "path")
    assert path.get("fill") is None
    assert float(path.get("stroke-width")) < 0.25
    numbers = [float(v) for v in re.findall(r"[0-9.]+", path.get("d"))]
    half = float(path.get("stroke-width")) / 2
    assert min(numbers[::2]) - half == pytest.approx(70, abs=0.002)
    assert max(numbers[::2]) + half == pytest.approx(94, abs=0.002)


def test_all_ids_are_unique_and_every_reference_finds_one():
    root = parse(Placed(PAIR, 0, 0), Placed(BALL, 20, 0, 2))
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert len(placed_scenes(root)) == 4
    assert {element.get(HREF)[1:] for element in root.iter(f"{SVG}use")} < set(ids)


def test_two_drawings_on_one_html_page_share_no_id():
    sample = page(paragraph(Placed(BALL, 0, 0)))
    texts = [write_svg(sample, title, "d") for title in ("one", "two")]
    first, second = ({e.get("id") for e in ET.fromstring(text).iter() if e.get("id")} for text in texts)
    assert first.isdisjoint(second)


def test_two_different_scenes_of_one_key_are_a_mistake():
    with pytest.raises(ValueError, match="two different scenes"):
        parse(Placed(Scene("k", 1, 1, ()), 0, 0), Placed(Scene("k", 2, 1, ()), 0, 0))


def test_a_missing_glyph_is_told():
    with pytest.raises(PocketrefError, match=r"U\+2603"):
        parse(line(1, 1, "☃"))


def faces_in(css: str) -> dict[tuple[str, str], TTFont]:
    found = {}
    for weight, style, data in re.findall(
        r"font-weight:(\d+);font-style:(\w+);src:url\(data:font/woff;base64,([^)]+)\)", css
    ):
        found[weight, style] = TTFont(BytesIO(base64.b64decode(data)))
    return found


def test_the_embedded_fonts_are_the_faces_used_with_every_character_used():
    faces = faces_in(font_face_css({FontFace.REGULAR: set("7 ft ½ Ł"), FontFace.BOLD: set("bold")}))
    assert set(faces) == {("400", "normal"), ("700", "normal")}
    held = {key: set(map(chr, font.getBestCmap())) for key, font in faces.items()}
    assert set("7 ft½Ł") <= held["400", "normal"]
    assert "Ł" not in held["700", "normal"]  # beyond the common characters a face carries only its own
    assert all(font.flavor == "woff" for font in faces.values())


def test_embedded_glyphs_are_as_wide_as_they_were_measured():
    text = "Tape 127′ 3 ″"
    font = TTFont(BytesIO(subset_font(FontFace.MEDIUM, frozenset(text))))
    em, cmap = font["head"].unitsPerEm, font.getBestCmap()
    width_em = sum(font["hmtx"][cmap[ord(c)]][0] for c in text) / em
    assert width_em * 10 * 25.4 / 72 == pytest.approx(typeface(FontFace.MEDIUM).measure_mm(text, 10))
    assert not {"GPOS", "GSUB", "kern"} & set(font.keys())


def test_the_font_keeps_its_licence():
    names = TTFont(BytesIO(subset_font(FontFace.REGULAR, frozenset("a"))))["name"]
    assert "Open Font License" in names.getDebugName(13)
    assert names.getDebugName(0)


def test_a_page_of_html_embeds_only_the_faces_that_it_uses():
    assert faces_in(font_face_css({FontFace.REGULAR: {"a"}, FontFace.BOLD: set()})).keys() == {
        ("400", "normal")
    }
    assert font_face_css({}) == ""


def test_a_page_is_written_with_all_that_is_on_it():
    sample = full_document().pages[0]
    root = ET.fromstring(write_svg(sample, "Front", "The front"))
    texts = ["".join(element.itertext()) for element in root.iter(f"{SVG}text")]
    assert "Out of the box – 7′ 2 ½″" in texts
    assert "outside (wholly)" in texts
    assert "HS 7-3-1" in texts


def transform_of(element: ET.Element) -> tuple[float, ...]:
    """The matrix of a transform made of translate and rotate, column vectors as in SVG."""
    a, b, c, d, e, f = 1.0, 0.0, 0.0, 1.0, 0.0, 0.0
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", element.get("transform", "")):
        values = [float(v) for v in inside.split()]
        if name == "translate":
            e, f = a * values[0] + c * values[1] + e, b * values[0] + d * values[1] + f
        else:
            cos, sin = math.cos(math.radians(values[0])), math.sin(math.radians(values[0]))
            a, b, c, d = a * cos + c * sin, b * cos + d * sin, -a * sin + c * cos, -b * sin + d * cos
    return a, b, c, d, e, f


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_a_placed_scene_lies_where_it_lies_in_pdf(turns):
    scene = Scene("turned", 30, 20, (line(7, 4, "here"),))
    sample = page(paragraph(Placed(scene, 50, 40, turns)))
    (printed,) = read_pdf(write_pdf(document(sample))).pages[0].texts
    root = ET.fromstring(write_svg(sample, "t", "d"))
    (use,) = placed_scenes(root)
    a, b, c, d, e, f = transform_of(use)
    text = only(root, "text")
    x, y = float(text.get("x")), float(text.get("y"))
    assert a * x + c * y + e == pytest.approx(printed.x, abs=0.002)
    assert 76.2 - (b * x + d * y + f) == pytest.approx(printed.y, abs=0.002)


def glyph_groups(root: ET.Element) -> list[tuple[tuple[float, float], list[tuple[float, float]]]]:
    """Each piece of a run: where it begins, and where its glyphs do, mm from the upper left corner."""
    groups = []
    for group in (g for g in root.iter(f"{SVG}g") if g.findall(f"{SVG}use")):
        place, _, size = group.get("transform").partition(" scale(")
        a, b, _, _, e, f = transform_of_turned(place)
        steps = [float(use.get("x")) * float(size.split()[0]) for use in group]
        groups.append(((e, f), [(a * x + e, b * x + f) for x in steps]))
    return groups


@pytest.mark.parametrize(
    ("words", "anchor", "angle"),
    [("Tape 12 ft", "start", 0), ("HS 7-3-1", "end", 90), ("Foot", "middle", 30)],
)
def test_glyphs_stand_where_pdf_sets_them(words, anchor, angle):
    """Each outline begins where pdfium finds the same character of the PDF, whose own widths place it."""
    sample = page(paragraph(set_text(40, 30, words, FontFace.BOLD, 9, BLACK, anchor, angle)))
    ((_, found),) = glyph_groups(ET.fromstring(write_svg(sample, "t", "d")))
    asked = character_starts(write_pdf(document(sample)))
    assert [x for x, _ in found] == pytest.approx([x for x, _ in asked], abs=0.02)
    assert [sample.height_mm - y for _, y in found] == pytest.approx([y for _, y in asked], abs=0.02)


@pytest.mark.parametrize("words", ["7 ft 2 9/16 in", "± 3/8", "1/2"])
def test_the_pieces_of_a_fraction_begin_where_pdf_sets_them(words):
    sample = page(paragraph(set_text(40, 30, words, FontFace.BOLD, 9, BLACK, "middle")))
    found = [start for start, _ in glyph_groups(ET.fromstring(write_svg(sample, "t", "d")))]
    printed = read_pdf(write_pdf(document(sample))).pages[0].texts
    assert [x for x, _ in found] == pytest.approx([text.x for text in printed], abs=0.02)
    assert [sample.height_mm - y for _, y in found] == pytest.approx([text.y for text in printed], abs=0.02)


def transform_of_turned(transform: str) -> tuple[float, ...]:
    """As `transform_of`, of a transform whose rotation is about a point."""
    turned = re.sub(
        r"rotate\((\S+) (\S+) (\S+)\)", r"translate(\2 \3) rotate(\1) translate(-\2 -\3)", transform
    )
    element = ET.Element("g", {"transform": turned.replace("--", "")})
    return transform_of(element)


def character_starts(data: bytes) -> list[tuple[float, float]]:
    """The origins of the characters with ink on the first page, mm from its lower left corner."""
    text = pdfium_raw.FPDFText_LoadPage(pdfium.PdfDocument(data)[0])
    starts = []
    x, y = ctypes.c_double(), ctypes.c_double()
    for index in range(pdfium_raw.FPDFText_CountChars(text)):
        if not chr(pdfium_raw.FPDFText_GetUnicode(text, index)).isspace():
            pdfium_raw.FPDFText_GetCharOrigin(text, index, x, y)
            starts.append((x.value * 25.4 / 72, y.value * 25.4 / 72))
    return starts


def test_a_digest_is_set_into_outlines_and_out_of_them_again():
    digest = "12345 67890 98765 43210"
    blank = write_svg(page(paragraph(line(5, 5, f"Digest {DIGEST} of 2027"))), "t", "d").encode()
    known = write_svg(page(paragraph(line(5, 5, f"Digest {digest} of 2027"))), "t", "d").encode()
    filled = set_digest(blank, digest)
    assert "".join(re.findall(r'href="#\S+-digest-(\d)"', filled.decode())) == digest.replace(" ", "")
    assert set_digest(filled, DIGEST, digest) == blank
    assert set_digest(filled, DIGEST, "00000 67890 98765 43210") == filled
    assert shown(filled) == shown(known)


def shown(data: bytes) -> list[tuple[str, str]]:
    """Each glyph by its outline, and its place."""
    root = ET.fromstring(data)
    outlines = {path.get("id"): path.get("d") for path in root.iter(f"{SVG}path")}
    return [(outlines[use.get(HREF)[1:]], use.get("x")) for use in root.iter(f"{SVG}use")]
