"""Typefaces embedded in a PDF as subsets, with a ToUnicode map of exactly the characters that are set."""

from __future__ import annotations

from functools import cache

from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.digest import PDF_CODES

# ISO 32000-1, 7.3.4.2: what must be escaped in a literal string.
_ESCAPES = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)", "\r": "\\r", "\n": "\\n"})

# Adobe Technical Note 5014: at most 100 entries in one bfchar section.
_SECTION = 100


class EmbeddedFont(TTFont):  # type: ignore[misc]  # reportlab ships no types
    """A TrueType face whose subsets map each code back to its own character.

    reportlab's own map sends the codes a subset leaves unused to U+0000 and so misleads who extracts text.
    """

    def addObjects(self, doc: pdfdoc.PDFDocument) -> None:  # noqa: N802  the library's own name
        """Write the subsets as PDF objects, then put the maps right."""
        used = {code: char for char, code in self.state[doc].assignments.items() if char}
        first = len(self.state[doc].subsets)
        super().addObjects(doc)
        names = [name for name in doc.idToObject if name.startswith("toUnicodeCMap:")][-first:]
        for subset, name in enumerate(names):
            codes = {code & 0xFF: char for code, char in used.items() if code >> 8 == subset}
            doc.idToObject[name].content = write_unicode_map(name.split(":", 1)[1], codes)


def write_unicode_map(name: str, codes: dict[int, int]) -> bytes:
    """A ToUnicode CMap (ISO 32000-1, 9.10.3) from one-byte codes to characters."""
    entries = [
        f"<{code:02X}> <{chr(char).encode('utf-16-be').hex().upper()}>"
        for code, char in sorted(codes.items())
    ]
    sections = []
    for start in range(0, len(entries), _SECTION):
        part = entries[start : start + _SECTION]
        sections += [f"{len(part)} beginbfchar", *part, "endbfchar"]
    lines = [
        "/CIDInit /ProcSet findresource begin",
        "12 dict begin",
        "begincmap",
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
        f"/CMapName /{name} def",
        "/CMapType 2 def",
        "1 begincodespacerange",
        "<00> <FF>",
        "endcodespacerange",
        *sections,
        "endcmap",
        "CMapName currentdict /CMap defineresource pop",
        "end",
        "end",
    ]
    return "\n".join(lines).encode("ascii")


def escape_codes(codes: str) -> str:
    """The codes, a character each, as the inside of a literal string."""
    return codes.translate(_ESCAPES)


@cache
def embedded_font(face: FontFace) -> EmbeddedFont:
    """The face as reportlab embeds it; read once, subset anew for each document.

    Registered under its PostScript name, which must be no other face's: two fonts of one name would print as
    one, so that is a ValueError.
    """
    kind = typeface(face)
    twins = [
        other
        for other in FontFace
        if other is not face and typeface(other).postscript_name == kind.postscript_name
    ]
    if twins:
        raise ValueError(f"the faces {face} and {twins[0]} share the PostScript name {kind.postscript_name}")
    font = EmbeddedFont(kind.postscript_name, str(kind.path), asciiReadable=False, shapable=False)
    pdfmetrics.registerFont(font)
    return font


class _CodeTable(dict[int, str]):
    """Escaped codes of one face in one document, by character, for `str.translate`; a new character gets one.

    Only characters of the first subset can be looked up so; `later` holds the others.
    """

    def __init__(self, font: EmbeddedFont, doc: pdfdoc.PDFDocument) -> None:
        super().__init__()
        self.font = font
        self.doc = doc
        self.later: set[str] = set()
        if font is embedded_font(FontFace.REGULAR):
            font.splitString(PDF_CODES, doc)

    def __missing__(self, character: int) -> str:
        ((subset, code),) = self.font.splitString(chr(character), self.doc)
        if subset:
            self.later.add(chr(character))
        escaped: str = escape_codes(code.decode("latin-1"))
        self[character] = escaped
        return escaped


class FontSetter:
    """Encodes text for one document: which codes of which subset show it."""

    def __init__(self, doc: pdfdoc.PDFDocument) -> None:
        self._doc = doc
        self._tables: dict[FontFace, _CodeTable] = {}

    def encode(self, content: str, face: FontFace) -> list[tuple[str, str]]:
        """Pieces of `content`, each with its font resource name and its escaped string, latin-1 for bytes."""
        table = self._tables.get(face)
        if table is None:
            table = self._tables[face] = _CodeTable(embedded_font(face), self._doc)
        escaped = content.translate(table)
        if table.later.isdisjoint(content):
            return [(table.font.getSubsetInternalName(0, self._doc), escaped)] if escaped else []
        return [
            (table.font.getSubsetInternalName(subset, self._doc), escape_codes(codes.decode("latin-1")))
            for subset, codes in table.font.splitString(content, self._doc)
        ]
