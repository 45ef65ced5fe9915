"""Writes a document as PDF 1.7: tagged, fonts embedded, page boxes for the press, always the same bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from io import BytesIO

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from pocketref.output.contents import check_page_glyphs, figures_in, items_of, list_headings
from pocketref.output.numbers import number
from pocketref.output.pdf_fields import FormFields
from pocketref.output.pdf_fonts import FontSetter, embedded_font
from pocketref.output.pdf_information import Information, write_xmp
from pocketref.output.pdf_items import Drawing, SceneForms, make_stream
from pocketref.output.pdf_press import fits_press, write_intent
from pocketref.output.pdf_tags import Node, StructureTree, can_be_followed, is_decoration
from pocketref.pages.page import Box, Document, Element, Page, Role, say_name
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.items import FontFace, FormField, Item
from pocketref.units.length import PT_PER_MM
from pocketref.words.terminal import tell

_FEW_PAGES = 4
"""More are found by bookmarks, as common practice for tagged files has it."""
_DUPLEX = {"long": "DuplexFlipLongEdge", "short": "DuplexFlipShortEdge"}

# What reportlab reads while it writes, and may have from the environment or a settings file.
_SETTINGS = {"useA85": 0, "pdfMultiLine": 0, "pdfComments": 0, "invariant": 1, "ttfAsciiReadable": 0}


class _TaggedPage(pdfdoc.PDFPage):  # type: ignore[misc]
    """A page that can say which marks are on it and in which order its fields are visited."""

    __NoDefault__ = (*pdfdoc.PDFPage.__NoDefault__, "StructParents", "Tabs")


class _PdfFile:
    """What the parts of one file share while its pages are written."""

    def __init__(self, document: Document) -> None:
        first_font = embedded_font(FontFace.REGULAR).fontName
        self.is_press = fits_press(document)
        self.canvas = Canvas(
            BytesIO(),
            pdfVersion=(1, 6 if self.is_press else 7),  # ISO 15930-7, 6.1
            invariant=1,
            pageCompression=1,
            initialFontName=first_font,
            lang=document.language,
        )
        self.language = document.language
        self.doc = self.canvas._doc
        self.fonts = FontSetter(self.doc)
        self.scenes = SceneForms(self.doc, self.fonts, in_lab=self.is_press)
        self.tree = StructureTree(self.doc)
        self.digest = hashlib.sha256(repr((document.title, document.author, document.subject)).encode())
        self.fields = FormFields(self.canvas)
        self.titles: set[str] = set()


def write_pdf(document: Document, *, is_tagged: bool = True) -> bytes:
    """The document as a PDF file; without tags and bookmarks where other pages are to follow.

    It says that it is PDF/X-4 if it is made for the press and fits that, else that it is PDF/UA-1 if it may.

    PocketrefError if a character has no glyph ("glyph-missing") or a figure has no words for who cannot see
    it ("figure-without-alt"); nothing is drawn then. ValueError for what only a mistake in a page's making
    brings about: a form field inside a scene, two fields of one name, two scenes of one key.
    """
    check_page_glyphs(document.pages)
    _check_figures(document)
    with _fixed_settings():
        file = _PdfFile(document)
        for number, page in enumerate(document.pages, 1):
            if is_tagged and len(document.pages) > _FEW_PAGES:
                _write_bookmarks(number, page, file)
            _write_page(page, file)
        for stream in (*file.scenes.streams, *file.scenes.images.streams):
            file.digest.update(stream)
        _write_document(document, file, is_tagged=is_tagged)
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
            tell(
                "{name}: the figure '{label}' has no text that says what it shows",
                name=page.name,
                label=figure.label,
            ),
            tell("describe the figure in a sentence"),
        )
        for page in document.pages
        for figure in figures_in(page)
        if not figure.alt.strip()
    ]
    if problems:
        raise PocketrefError(problems)


def _write_document(document: Document, file: _PdfFile, *, is_tagged: bool) -> None:
    """What the file is and says, and how it wishes to be shown and printed: in the catalog and beside it."""
    catalog, is_press = file.doc.Catalog, file.is_press
    file.doc.info = Information(document, is_press=is_press)
    identifier = file.digest.hexdigest()[:32]
    is_accessible = is_tagged and not document.press_day and can_be_followed(document)
    packet = write_xmp(document, identifier, is_press=is_press, is_accessible=is_accessible)
    entries = pdfdoc.PDFDictionary({"Type": "/Metadata", "Subtype": "/XML"})
    catalog.Metadata = pdfdoc.PDFStream(entries, packet)
    if is_press:
        catalog.__NoDefault__ = [*catalog.__NoDefault__, "OutputIntents"]
        catalog.OutputIntents = write_intent(file.doc)
    if is_tagged:
        catalog.StructTreeRoot = file.tree.finish()
        catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": "true"})
    catalog.AcroForm = file.fields.finish()
    file.canvas.setViewerPreference("DisplayDocTitle", "true")
    file.canvas.setViewerPreference("PrintScaling", "None")
    if document.duplex:
        file.canvas.setViewerPreference("Duplex", _DUPLEX[document.duplex])
    # ISO 32000-1, 14.4: the identifier follows from the content; no clock and no file name is in it.
    file.doc._ID = b"[<%s> <%s>]\n" % (identifier.encode(), identifier.encode())


def _write_page(page: Page, file: _PdfFile) -> None:
    drawing = Drawing(
        file.fonts.encode, file.scenes.name_form, file.scenes.images.name_image, in_lab=file.is_press
    )
    ref = file.doc.thisPageRef()
    sheet = _TaggedPage()
    sheet.StructParents = file.tree.start_page(ref)
    sheet.Tabs = "/S"
    for element in _mark_language(page, file.language):
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


def _mark_language(page: Page, language: str) -> Iterator[Element]:
    """The elements of a page, each with its language where that is not the document's (ISO 32000-1, 14.9.2)."""
    for element in page.elements:
        own = element.language or page.language
        yield replace(element, language="" if own == language else own)


def _write_bookmarks(number: int, page: Page, file: _PdfFile) -> None:
    """The page by its title and headings, or by its name where it has none; a title that comes again says where."""
    headings = list(list_headings(page)) or [(0, say_name(page.name.replace("-", " ")))]
    for place, (level, text) in enumerate(headings):
        title = f"{text}, {say_name(page.name)}" if level == 0 and text in file.titles else text
        file.titles.add(text)
        key = f"{number}-{place}"
        file.canvas.bookmarkPage(key)
        file.canvas.addOutlineEntry(title, key, level if place else 0, closed=level == 0)


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
        file.tree.add_widget(node, *file.fields.add(blank))
