"""Writes a document as PDF 1.7: tagged, fonts embedded, page boxes for the press, always the same bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from pocketref.output.contents import check_page_glyphs, items_of
from pocketref.output.numbers import number
from pocketref.output.pdf_fields import add_field
from pocketref.output.pdf_fonts import FontSetter, embedded_font
from pocketref.output.pdf_items import Drawing, SceneForms, make_stream
from pocketref.output.pdf_tags import Node, StructureTree, is_decoration
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.items import FontFace, FormField, Item
from pocketref.units.length import PT_PER_MM
from pocketref.version import VERSION

PRODUCER = f"pocketref {VERSION}"

_DUPLEX = {"long": "DuplexFlipLongEdge", "short": "DuplexFlipShortEdge"}

# What reportlab reads while it writes, and may have from the environment or a settings file.
_SETTINGS = {"useA85": 0, "pdfMultiLine": 0, "pdfComments": 0, "invariant": 1, "ttfAsciiReadable": 0}


class _Information(pdfdoc.PDFInfo):  # type: ignore[misc]  # reportlab ships no types
    """The document information dictionary, without dates: an edition's dates are in its content."""

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        said = {
            "Title": self.title,
            "Author": self.author,
            "Subject": self.subject,
            "Keywords": self.keywords,
        }
        entries = {key: pdfdoc.PDFString(text) for key, text in said.items() if text}
        entries["Producer"] = pdfdoc.PDFString(PRODUCER)
        formatted: bytes = pdfdoc.PDFDictionary(entries).format(document)
        return formatted


class _TaggedPage(pdfdoc.PDFPage):  # type: ignore[misc]
    """A page that can say which marks are on it and in which order its fields are visited."""

    __NoDefault__ = (*pdfdoc.PDFPage.__NoDefault__, "StructParents", "Tabs")


class _PdfFile:
    """What the parts of one file share while its pages are written."""

    def __init__(self, document: Document) -> None:
        first_font = embedded_font(FontFace.REGULAR).fontName
        self.canvas = Canvas(
            BytesIO(),
            pdfVersion=(1, 7),
            invariant=1,
            pageCompression=1,
            initialFontName=first_font,
            lang=document.language,
        )
        self.doc = self.canvas._doc
        self.fonts = FontSetter(self.doc)
        self.scenes = SceneForms(self.doc, self.fonts)
        self.tree = StructureTree(self.doc)
        self.digest = hashlib.sha256(repr((document.title, document.author, document.subject)).encode())
        self.field_names: set[str] = set()


def write_pdf(document: Document) -> bytes:
    """The document as a PDF file.

    PocketrefError if a character has no glyph ("glyph-missing") or a figure has no words for who cannot see
    it ("figure-without-alt"); nothing is drawn then. ValueError for what only a mistake in a page's making
    brings about: a form field inside a scene, two fields of one name, two scenes of one key.
    """
    check_page_glyphs(document.pages)
    _check_figures(document)
    with _fixed_settings():
        file = _PdfFile(document)
        _write_document(document, file)
        for page in document.pages:
            _write_page(page, file)
        catalog = file.doc.Catalog
        catalog.StructTreeRoot = file.tree.finish()
        catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": "true"})
        for stream in (*file.scenes.streams, *file.scenes.images.streams):
            file.digest.update(stream)
        # ISO 32000-1, 14.4: the identifier follows from the content; no clock and no file name is in it.
        identifier = file.digest.hexdigest()[:32].encode()
        file.doc._ID = b"[<" + identifier + b"> <" + identifier + b">]\n"
        data: bytes = file.doc.GetPDFData(file.canvas)
    return data


@contextmanager
def _fixed_settings() -> Iterator[None]:
    """Hold reportlab's settings still while a file is written, whatever the environment asks for."""
    before = {name: getattr(rl_config, name) for name in _SETTINGS}
    for name, value in _SETTINGS.items():
        setattr(rl_config, name, value)
    try:
        yield
    finally:
        for name, value in before.items():
            setattr(rl_config, name, value)


def _check_figures(document: Document) -> None:
    problems = [
        Problem(
            "figure-without-alt",
            f"{page.name}: the figure '{figure.label}' has no text that says what it shows",
            "describe the figure in a sentence",
        )
        for page in document.pages
        for figure in _figures_in(page.elements)
        if not figure.alt.strip()
    ]
    if problems:
        raise PocketrefError(problems)


def _figures_in(elements: tuple[Element, ...]) -> Iterator[Element]:
    for element in elements:
        if element.role is Role.FIGURE:
            yield element
        yield from _figures_in(element.children)


def _write_document(document: Document, file: _PdfFile) -> None:
    """Title, language and printing preferences, in the information dictionary, in XMP and in the catalog."""
    info = file.doc.info = _Information()
    info.title, info.author, info.subject = document.title, document.author, document.subject
    info.keywords = ", ".join(document.keywords)
    entries = pdfdoc.PDFDictionary({"Type": "/Metadata", "Subtype": "/XML"})
    file.doc.Catalog.Metadata = pdfdoc.PDFStream(entries, _write_xmp(document))
    file.canvas.setViewerPreference("DisplayDocTitle", "true")
    file.canvas.setViewerPreference("PrintScaling", "None")
    if document.duplex:
        file.canvas.setViewerPreference("Duplex", _DUPLEX[document.duplex])


def _write_xmp(document: Document) -> bytes:
    """The XMP packet (ISO 16684-1) with the Dublin Core properties of the document."""

    def alternative(text: str) -> str:
        return f'<rdf:Alt><rdf:li xml:lang="x-default">{escape(text)}</rdf:li></rdf:Alt>'

    keywords = escape(", ".join(document.keywords))
    lines = [
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
        '<rdf:Description rdf:about=""',
        ' xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">',
        "<dc:format>application/pdf</dc:format>",
        f"<dc:title>{alternative(document.title)}</dc:title>",
        f"<dc:description>{alternative(document.subject)}</dc:description>",
        f"<dc:creator><rdf:Seq><rdf:li>{escape(document.author)}</rdf:li></rdf:Seq></dc:creator>",
        f"<dc:language><rdf:Bag><rdf:li>{escape(document.language)}</rdf:li></rdf:Bag></dc:language>",
        *([f"<pdf:Keywords>{keywords}</pdf:Keywords>"] if keywords else []),
        f"<pdf:Producer>{escape(PRODUCER)}</pdf:Producer>",
        "</rdf:Description>",
        "</rdf:RDF>",
        "</x:xmpmeta>",
        '<?xpacket end="r"?>',
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _write_page(page: Page, file: _PdfFile) -> None:
    drawing = Drawing(file.fonts.encode, file.scenes.name_form, file.scenes.images.name_image)
    ref = file.doc.thisPageRef()
    sheet = _TaggedPage()
    sheet.StructParents = file.tree.start_page(ref)
    sheet.Tabs = "/S"
    for element in page.elements:
        _write_element(element, file.tree.document, drawing, file)
    media = Box(0, 0, page.width_mm, page.height_mm)
    sheet.MediaBox = sheet.CropBox = _box_array(media)
    sheet.TrimBox = _box_array(page.trim or media)
    sheet.BleedBox = _box_array(page.bleed or media)
    content = drawing.encode()
    file.digest.update(content)
    sheet.Contents = make_stream(content)
    sheet.Resources = drawing.resources()
    sheet.Annots = file.canvas._annotationrefs
    file.doc.addPage(sheet)
    file.canvas._startPage()


def _box_array(box: Box) -> pdfdoc.PDFArray:
    return pdfdoc.PDFArray([number(edge * PT_PER_MM) for edge in (box.x, box.y, box.right, box.top)])


def _write_element(element: Element, parent: Node, drawing: Drawing, file: _PdfFile) -> None:
    """Draw an element in reading order and tie what it draws to its place in the structure tree."""
    if element.role is Role.DECORATION:
        items = list(items_of([element]))
        _draw_marked([item for item in items if not isinstance(item, FormField)], "/Artifact BMC", drawing)
        _write_fields([item for item in items if isinstance(item, FormField)], parent, drawing, file)
        return
    node = file.tree.add_element(parent, element)
    drawn = [item for item in element.items if not isinstance(item, FormField)]
    if drawn:
        begin = "/Artifact BMC" if is_decoration(element) else file.tree.begin_content(node, element.role)
        _draw_marked(drawn, begin, drawing)
    _write_fields([item for item in element.items if isinstance(item, FormField)], node, drawing, file)
    for child in element.children:
        _write_element(child, node, drawing, file)


def _draw_marked(items: Sequence[Item], begin: str, drawing: Drawing) -> None:
    if items:
        drawing.code.append(begin)
        drawing.draw_items(items)
        drawing.code.append("EMC")


def _write_fields(blanks: list[FormField], node: Node, drawing: Drawing, file: _PdfFile) -> None:
    """The blanks' boxes, which are there for the eye, and their widgets, which are read."""
    _draw_marked(blanks, "/Artifact BMC", drawing)
    for blank in blanks:
        if blank.name in file.field_names:
            raise ValueError(f"two form fields have the name {blank.name!r}")
        file.field_names.add(blank.name)
        widget, ref = add_field(file.canvas, blank)
        file.tree.add_widget(node, widget, ref)
