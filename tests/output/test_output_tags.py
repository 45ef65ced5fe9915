"""The rules of tagged PDF are from ISO 32000-1:2008, 14.7 and 14.8, and checked with pypdf on the finished file."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from output_samples import BALL, TICK, document, full_document, line, page, paragraph
from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject

from pocketref.output.pdf import write_pdf
from pocketref.pages.page import Element, Role
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Placed, Shape, Stroke
from pocketref.scene.paths import rectangle

PAINTING = {b"S", b"f", b"B", b"Tj", b"TJ", b"Do"}


def read(sample) -> PdfReader:
    return PdfReader(BytesIO(write_pdf(sample)), strict=True)


def kids_of(node: DictionaryObject) -> list:
    return [kid.get_object() for kid in node.get("/K", [])]


def outline(node: DictionaryObject) -> list:
    """The tree below a node as nested lists of types; marks are left out."""
    children = [outline(kid) for kid in kids_of(node) if isinstance(kid, DictionaryObject) and "/S" in kid]
    return [node["/S"][1:], *children]


def nodes(node: DictionaryObject):
    yield node
    for kid in kids_of(node):
        if isinstance(kid, DictionaryObject) and "/S" in kid:
            yield from nodes(kid)


def tree_of(reader: PdfReader) -> DictionaryObject:
    (top,) = kids_of(reader.trailer["/Root"]["/StructTreeRoot"])
    return top


@pytest.fixture(scope="module")
def reader() -> PdfReader:
    return read(full_document())


def test_the_catalog_says_that_the_file_is_tagged(reader):
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert all(sheet["/Tabs"] == "/S" for sheet in reader.pages)


def test_the_tree_follows_the_elements_in_reading_order(reader):
    assert outline(tree_of(reader)) == [
        "Document",
        ["H1"],
        ["H2"],
        ["Figure"],
        ["L", ["LI", ["LBody"]], ["LI", ["LBody"]]],
        ["Table", ["TR", ["TH"], ["TD"]]],
        ["Sect", ["P"], ["P", ["Form"], ["Form"]]],
        ["P"],
        ["P"],
    ]


def test_figures_have_words_and_a_box_and_header_cells_a_scope(reader):
    by_type = {node["/S"]: node for node in nodes(tree_of(reader))}
    figure = by_type["/Figure"]
    assert figure["/Alt"] == "Two balls (one turned) & a label"
    left, bottom, right, top = (float(v) * 25.4 / 72 for v in figure["/A"]["/BBox"])
    assert (left, bottom, right, top) == pytest.approx((4, 24, 68, 56), abs=0.01)
    assert by_type["/TH"]["/A"]["/Scope"] == "/Column"


def test_nothing_is_painted_outside_marked_content_and_marks_never_nest(reader):
    for sheet in reader.pages:
        depth = painted = 0
        for operands, operator in ContentStream(sheet["/Contents"].get_object(), reader).operations:
            if operator in {b"BDC", b"BMC"}:
                depth += 1
                is_span = operands[0] == "/Span"  # a fraction, with its words, within what it belongs to
                assert depth == 1 + is_span
            elif operator == b"EMC":
                depth -= 1
            elif operator in PAINTING:
                painted += 1
                assert depth in {1, 2}
        assert depth == 0
        assert painted


def test_every_mark_belongs_to_the_node_that_the_parent_tree_names(reader):
    numbers = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    tree = {int(numbers[i]): numbers[i + 1].get_object() for i in range(0, len(numbers), 2)}
    for sheet in reader.pages:
        owners = [ref.get_object() for ref in tree[sheet["/StructParents"]]]
        used = [
            (operands[0], int(operands[1]["/MCID"]))
            for operands, operator in ContentStream(sheet["/Contents"].get_object(), reader).operations
            if operator == b"BDC" and "/MCID" in operands[1]
        ]
        assert [mark for _, mark in used] == list(range(len(owners)))
        for tag, mark in used:
            assert owners[mark]["/S"] == tag
            assert mark in kids_of(owners[mark])
            assert owners[mark]["/Pg"].get_object() == sheet
    for ref in reader.pages[0]["/Annots"]:
        widget = ref.get_object()
        (reference,) = kids_of(tree[widget["/StructParent"]])
        assert reference["/Obj"].get_object() == widget


def test_each_node_names_its_parent(reader):
    for node in nodes(tree_of(reader)):
        for kid in kids_of(node):
            if isinstance(kid, DictionaryObject) and "/S" in kid:
                assert kid["/P"].get_object() == node


def test_a_page_and_an_element_in_another_language_say_so():
    """ISO 32000-1, 14.9.2.2: an element's language is that of all within it that names none."""
    heading = Element(Role.HEADING, (line(5, 40, "Qué cantar"),))
    quoted = Element(Role.PARAGRAPH, (line(5, 30, "Time!"),), language="en-US")
    front = page(paragraph(line(5, 50, "What to call")))
    back = replace(page(Element(Role.SECTION, (), (heading, quoted)), quoted, name="back"), language="es-US")
    reader = read(document(front, back))
    top = tree_of(reader)
    assert [node.get("/Lang") for node in kids_of(top)] == [None, "es-US", None]
    assert [node.get("/Lang") for node in kids_of(kids_of(top)[1])] == [None, "en-US"]
    assert reader.xmp_metadata.dc_language == ["en-US", "es-US"]


def test_decoration_and_the_rules_of_a_table_are_artifacts():
    rule = Shape(rectangle(5, 5, 20, 0.3), stroke=Stroke(0.2, BLACK))
    sample = document(
        page(Element(Role.DECORATION, (rule, line(5, 60, "ornament"))), Element(Role.TABLE, (rule,)))
    )
    operations = ContentStream(read(sample).pages[0]["/Contents"].get_object(), None).operations
    assert [operands[0] for operands, operator in operations if operator == b"BMC"] == [
        "/Artifact",
        "/Artifact",
    ]
    assert outline(tree_of(read(sample))) == ["Document", ["Table"]]


def test_a_placed_scene_is_read_as_one_piece_of_its_element():
    sample = document(page(Element(Role.SECTION, (Placed(BALL, 5, 5), Placed(BALL, 50, 5)))))
    operations = ContentStream(read(sample).pages[0]["/Contents"].get_object(), None).operations
    assert [op for _, op in operations if op in {b"BDC", b"Do", b"EMC"}] == [b"BDC", b"Do", b"Do", b"EMC"]


def test_fields_of_a_decoration_are_still_in_the_tree():
    sample = document(page(Element(Role.DECORATION, (TICK,)), paragraph(line(5, 5, "x"))))
    assert outline(tree_of(read(sample))) == ["Document", ["Form"], ["P"]]


def test_lines_of_one_element_do_not_run_together_for_who_listens():
    sample = document(page(paragraph(line(5, 50, "end"), line(5, 45, "start"))))
    content = read(sample).pages[0].get_contents().get_data()
    shown = [
        operands[0]
        for operands, op in ContentStream(read(sample).pages[0]["/Contents"].get_object(), None).operations
        if op == b"Tj"
    ]
    assert len(shown) == 2
    assert content.count(b"Tj") == 2
    assert len(shown[0]) == len("end ")
    assert len(shown[1]) == len("start")
