"""What a PDF says of itself: the information dictionary and the XMP packet, which must agree."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfdoc

from pocketref.pages.page import Document
from pocketref.version import VERSION

PRODUCER = f"pocketref {VERSION}"

_SPACES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
}


class Information(pdfdoc.PDFInfo):  # type: ignore[misc]  # reportlab ships no types
    """The document information dictionary. A file for the press bears its day, others none: no clock is asked."""

    def __init__(self, document: Document, *, is_press: bool) -> None:
        super().__init__()
        self.title, self.author, self.subject = document.title, document.author, document.subject
        self.keywords = ", ".join(document.keywords)
        self._day = document.press_day.replace("-", "") if is_press else ""

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        """The entries that say something, as a PDF dictionary."""
        day = f"D:{self._day}000000Z" if self._day else ""
        said = {
            "Title": self.title,
            "Author": self.author,
            "Subject": self.subject,
            "Keywords": self.keywords,
            "Producer": PRODUCER,
            "CreationDate": day,
            "ModDate": day,
        }
        entries: dict[str, object] = {key: pdfdoc.PDFString(text) for key, text in said.items() if text}
        if self._day:
            entries["Trapped"] = "/False"
        formatted: bytes = pdfdoc.PDFDictionary(entries).format(document)
        return formatted


def write_xmp(document: Document, mark: str, *, is_press: bool, is_accessible: bool) -> bytes:
    """The XMP packet (ISO 16684-1); `mark` is the file's identifier in 32 hexadecimal digits."""
    spaces = " ".join(f'xmlns:{prefix}="{space}"' for prefix, space in _SPACES.items())
    properties = [
        *_list_said(document),
        *(_list_press(document.press_day, mark) if is_press else ()),
        *(("pdfuaid:part", "1") for _ in range(is_accessible)),
    ]
    lines = [
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
        f'<rdf:Description rdf:about="" {spaces}>',
        *[f"<{name}>{content}</{name}>" for name, content in properties],
        "</rdf:Description>",
        "</rdf:RDF>",
        "</x:xmpmeta>",
        '<?xpacket end="r"?>',
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _list_said(document: Document) -> Iterator[tuple[str, str]]:
    """The Dublin Core properties of the document, and those of the PDF schema."""
    yield "dc:format", "application/pdf"
    for name, text in (("dc:title", document.title), ("dc:description", document.subject)):
        yield name, f'<rdf:Alt><rdf:li xml:lang="x-default">{escape(text)}</rdf:li></rdf:Alt>'
    yield "dc:creator", f"<rdf:Seq><rdf:li>{escape(document.author)}</rdf:li></rdf:Seq>"
    languages = dict.fromkeys(page.language or document.language for page in document.pages)
    listed = "".join(f"<rdf:li>{escape(language)}</rdf:li>" for language in languages)
    yield "dc:language", f"<rdf:Bag>{listed}</rdf:Bag>"
    if document.keywords:
        yield "pdf:Keywords", escape(", ".join(document.keywords))
    yield "pdf:Producer", escape(PRODUCER)


def _list_press(day: str, mark: str) -> Iterator[tuple[str, str]]:
    """What ISO 15930-7, 6.4 and 6.5, ask for."""
    yield "pdfxid:GTS_PDFXVersion", "PDF/X-4"
    yield "pdf:Trapped", "False"
    for name in ("CreateDate", "ModifyDate", "MetadataDate"):
        yield f"xmp:{name}", f"{day}T00:00:00Z"
    yield "xmpMM:DocumentID", uuid.UUID(mark).urn.removeprefix("urn:")
    yield "xmpMM:VersionID", "1"
    yield "xmpMM:RenditionClass", "default"
