"""What a machine can check of ISO 14289-1 (PDF/UA-1) and ISO 15930-7 (PDF/X-4), by pikepdf on finished files.

Each check bears the clause that it reads; the conditions of PDF/UA are those which the Matterhorn protocol 1.1 and the
PDF/UA profile of veraPDF list as decidable by software, as far as a file can hold what they are about. Nothing here
knows how the files are written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from io import BytesIO
from xml.etree import ElementTree

import pikepdf
from fontTools.ttLib import TTFont

Object = pikepdf.Object
Check = Callable[[pikepdf.Pdf], Iterator[str]]
"""Gives what is wrong."""

# ISO 32000-1, 14.8.4: the standard structure types.
_TYPES = """
    Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI
    Lbl LBody Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby Warichu
    RB RT RP WT WP Figure Formula Form
"""
STANDARD = set(_TYPES.split())
PAINTING = {
    "S",
    "s",
    "f",
    "F",
    "f*",
    "B",
    "B*",
    "b",
    "b*",
    "sh",
    "Tj",
    "TJ",
    "'",
    '"',
    "Do",
    "BI",
    "INLINE IMAGE",
}
PARENTS = {
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "TH": {"TR"},
    "TD": {"TR"},
    "LI": {"L"},
    "LBody": {"LI"},
}
CHILDREN = {
    "Table": {"TR", "THead", "TBody", "TFoot", "Caption"},
    "TR": {"TH", "TD"},
    "L": {"L", "LI", "Caption"},
    "LI": {"Lbl", "LBody"},
}
XMP = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
}


# --- reading ----------------------------------------------------------------------------------------------


def read_xmp(pdf: pikepdf.Pdf, name: str) -> str:
    """A property's text, of its first item where it has several; "" if the packet does not say it."""
    root = ElementTree.fromstring(pdf.Root.Metadata.read_bytes())
    node = root.find(f".//{name}", XMP)
    return "" if node is None else "".join(node.itertext()).strip()


def kids_of(node: Object) -> list[object]:
    kids = node.get("/K", pikepdf.Array())
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def elements_of(node: Object) -> Iterator[Object]:
    """The structure elements below one, in reading order."""
    for kid in kids_of(node):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from elements_of(kid)


def kind_of(node: Object) -> str:
    return str(node.S).removeprefix("/")


def child_kinds(node: Object) -> list[str]:
    return [kind_of(kid) for kid in kids_of(node) if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]


def all_elements(pdf: pikepdf.Pdf) -> list[Object]:
    return list(elements_of(pdf.Root.StructTreeRoot))


def parent_tree(pdf: pikepdf.Pdf) -> dict[int, Object]:
    numbers = list(pdf.Root.StructTreeRoot.ParentTree.Nums)
    return {int(key): node for key, node in zip(numbers[::2], numbers[1::2], strict=True)}


def widgets_of(pdf: pikepdf.Pdf) -> list[Object]:
    return [annotation for page in pdf.pages for annotation in page.obj.get("/Annots", [])]


def streams_of(pdf: pikepdf.Pdf) -> Iterator[tuple[Object, Object]]:
    """Every content stream with its resources: pages, the forms that they place, what fields look like."""
    waiting = [(page.obj, page.obj.Resources) for page in pdf.pages]
    for widget in widgets_of(pdf):
        looks = widget.AP.N
        kinds = [looks] if isinstance(looks, pikepdf.Stream) else list(looks.values())
        waiting += [(look, look.get("/Resources", pikepdf.Dictionary())) for look in kinds]
    seen: set[tuple[int, int]] = set()
    while waiting:
        stream, resources = waiting.pop()
        if stream.objgen in seen:
            continue
        seen.add(stream.objgen)
        yield stream, resources
        for form in resources.get("/XObject", {}).values():
            if form.Subtype == "/Form":
                waiting.append((form, form.Resources))


def shown_codes(pdf: pikepdf.Pdf) -> Iterator[tuple[Object, bytes]]:
    """Each string that is shown, with its font. A form begins in the font of its place, but ours choose their own."""
    for stream, resources in streams_of(pdf):
        font = None
        for operands, operator in pikepdf.parse_content_stream(stream):
            if str(operator) == "Tf":
                font = resources.Font[str(operands[0])]
            elif str(operator) == "Tj":
                yield font, bytes(operands[0])


def fonts_of(pdf: pikepdf.Pdf) -> dict[str, Object]:
    """The fonts that something is shown in, and that of form fields."""
    used = {str(font.objgen): font for font, _ in shown_codes(pdf)}
    form = pdf.Root.get("/AcroForm", pikepdf.Dictionary())
    fields = form.get("/DR", pikepdf.Dictionary()).get("/Font", pikepdf.Dictionary())
    return used | {str(font.objgen): font for font in fields.values()}


def unicode_map(font: Object) -> dict[int, str]:
    text = font.ToUnicode.read_bytes().decode("ascii")
    pairs = re.findall(r"<([0-9A-F]{2})> <([0-9A-F]{4,})>", text)
    return {int(code, 16): bytes.fromhex(said).decode("utf-16-be") for code, said in pairs}


# --- ISO 14289-1 ------------------------------------------------------------------------------------------


def check_identifier(pdf: pikepdf.Pdf) -> Iterator[str]:
    """5: the packet says part 1, with the prefix pdfuaid. 6.1: the header is of PDF 1.0 to 1.7."""
    if read_xmp(pdf, "pdfuaid:part") != "1" or b"xmlns:pdfuaid=" not in pdf.Root.Metadata.read_bytes():
        yield "no identifier"
    if not re.fullmatch(r"1\.[0-7]", pdf.pdf_version):
        yield f"version {pdf.pdf_version}"


def check_catalog(pdf: pikepdf.Pdf) -> Iterator[str]:
    """6.2 and 7.1: tagged, not suspect; a title that is shown; 7.2: a language; nothing dynamic (7.15, 7.16)."""
    root = pdf.Root
    if not root.MarkInfo.Marked or root.MarkInfo.get("/Suspects", False):
        yield "not marked"
    if not root.ViewerPreferences.DisplayDocTitle:
        yield "title not shown"
    if not read_xmp(pdf, "dc:title") or read_xmp(pdf, "dc:title") != str(pdf.docinfo.Title):
        yield "no title"
    if not re.fullmatch(r"[a-z]{2,3}(-[A-Z]{2})?", str(root.Lang)):
        yield f"language {root.Lang}"
    if pdf.is_encrypted or "/XFA" in root.get("/AcroForm", {}) or "/OCProperties" in root:
        yield "locked, dynamic or layered"


def check_tree(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.1: each element has its parent and a standard type, none of them mapped to another."""
    if "/RoleMap" in pdf.Root.StructTreeRoot:
        yield "types are mapped"
    for node in [pdf.Root.StructTreeRoot, *all_elements(pdf)]:
        for kid in kids_of(node):
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                if kid.P.objgen != node.objgen:
                    yield f"{kind_of(kid)} names another parent"
                if kind_of(kid) not in STANDARD:
                    yield f"{kind_of(kid)} is no standard type"


def check_content(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.1: all that is drawn on a page is tagged or an artifact, neither within the other; each mark is in the tree."""
    tree = parent_tree(pdf)
    for number, page in enumerate(pdf.pages, 1):
        open_: list[str] = []
        marks = []
        for operands, operator in pikepdf.parse_content_stream(page):
            name = str(operator)
            if name in {"BMC", "BDC"}:
                kind = kind_of_mark(operands)
                if kind != "span" and open_:
                    yield f"page {number}: {kind} content within {open_}"
                if kind == "tagged":
                    marks.append((str(operands[0]), int(operands[1].MCID)))
                open_.append(kind)
            elif name == "EMC":
                open_.pop()
            elif name in PAINTING and not {"artifact", "tagged"} & set(open_):
                yield f"page {number}: {name} is neither tagged nor an artifact"
        owners = list(tree[int(page.obj.StructParents)])
        yield from check_marks(number, marks, owners)


def kind_of_mark(operands: list[Object]) -> str:
    if str(operands[0]) == "/Artifact":
        return "artifact"
    is_tagged = len(operands) > 1 and isinstance(operands[1], pikepdf.Dictionary) and "/MCID" in operands[1]
    return "tagged" if is_tagged else "span"


def check_marks(number: int, marks: list[tuple[str, int]], owners: list[Object]) -> Iterator[str]:
    if [mark for _, mark in marks] != list(range(len(owners))):
        yield f"page {number}: marks {marks}"
    for tag, mark in marks:
        if str(owners[mark].S) != tag or mark not in kids_of(owners[mark]):
            yield f"page {number}: mark {mark} is not in the tree"


def check_nesting(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.2: tables hold rows of cells, lists items with bodies."""
    for node in all_elements(pdf):
        kind, children = kind_of(node), child_kinds(node)
        if not set(children) <= CHILDREN.get(kind, STANDARD):
            yield f"{kind} holds {children}"
        if kind in PARENTS and kind_of(node.P) not in PARENTS[kind]:
            yield f"{kind} within {kind_of(node.P)}"


def check_tables(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.2: rows have as many cells; 7.5: each column and each row with words has a header cell with its scope."""
    for table in (node for node in all_elements(pdf) if kind_of(node) == "Table"):
        rows = [row for row in kids_of(table) if kind_of(row) == "TR"]
        if len({len(kids_of(row)) for row in rows}) > 1:
            yield f"rows of {[len(kids_of(row)) for row in rows]} cells"
        scopes = [[str(cell.get("/A", {}).get("/Scope", "")) for cell in kids_of(row)] for row in rows]
        kinds = [child_kinds(row) for row in rows]
        for row_kinds, row_scopes in zip(kinds, scopes, strict=True):
            if any(
                (kind == "TH") != (scope in {"/Column", "/Row"})
                for kind, scope in zip(row_kinds, row_scopes, strict=True)
            ):
                yield f"header cells without scope: {row_kinds} {row_scopes}"
        if rows and set(scopes[0]) - {"/Column", ""}:
            yield f"the first row is {scopes[0]}"
        for row, row_scopes in zip(rows[1:], scopes[1:], strict=True):
            says = [cell for cell in kids_of(row) if kids_of(cell) and "Form" not in child_kinds(cell)]
            if says and row_scopes.count("/Row") != 1:
                yield f"a row is headed by {row_scopes}"


def check_headings(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.4.2: headings begin with H1 and skip none downward; 7.4.4: none without a number."""
    before = 0
    for kind in map(kind_of, all_elements(pdf)):
        if kind == "H":
            yield "a heading without a number"
        if re.fullmatch(r"H[1-6]", kind):
            if int(kind[1]) > before + 1:
                yield f"{kind} after H{before}"
            before = int(kind[1])


def check_figures(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.3 and 7.7: figures and formulas have words; a figure's box is on its page (ISO 32000-1, 14.8.5.4.3)."""
    for node in all_elements(pdf):
        if kind_of(node) in {"Figure", "Formula"}:
            if not str(node.get("/Alt", "")).strip():
                yield "a figure without words"
            left, bottom, right, top = map(float, node.A.BBox)
            if not (left < right and bottom < top):
                yield f"a figure's box is {list(node.A.BBox)}"


def check_fields(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.18: annotations are fields alone, each with its words, within a Form of the tree; pages go by structure."""
    tree = parent_tree(pdf)
    named = [str(field.T) for field in pdf.Root.get("/AcroForm", pikepdf.Dictionary()).get("/Fields", [])]
    if named != [str(widget.get("/T", "")) for widget in widgets_of(pdf)] or len(named) != len(set(named)):
        yield "fields and widgets differ"
    for page in pdf.pages:
        if page.obj.get("/Tabs") != "/S":
            yield "a page is not walked by its structure"
    for widget in widgets_of(pdf):
        if widget.Subtype != "/Widget" or not str(widget.get("/TU", "")).strip():
            yield f"{widget.get('/T')} does not say what it is for"
        form = tree[int(widget.StructParent)]
        (kid,) = kids_of(form)
        if kind_of(form) != "Form" or kid.Obj.objgen != widget.objgen:
            yield f"{widget.T} is not in the tree"


def check_fonts(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.21: every font is embedded, also that of fields; its widths are those of its program; symbolic ones have no
    encoding and one character map, others a standard encoding and a Unicode map (7.21.6)."""
    for font in fonts_of(pdf).values():
        name = str(font.BaseFont)
        if font.Subtype != "/TrueType" or "/FontFile2" not in font.get("/FontDescriptor", {}):
            yield f"{name} is not embedded"
            continue
        program = TTFont(BytesIO(font.FontDescriptor.FontFile2.read_bytes()))
        maps = {(table.platformID, table.platEncID): table.cmap for table in program["cmap"].tables}
        is_symbolic = bool(int(font.FontDescriptor.Flags) & 4)
        if is_symbolic and ("/Encoding" in font or len(maps) != 1):
            yield f"{name}: encoding {font.get('/Encoding')}, maps {list(maps)}"
        if not is_symbolic and (font.get("/Encoding") != "/WinAnsiEncoding" or (3, 1) not in maps):
            yield f"{name}: encoding {font.get('/Encoding')}, maps {list(maps)}"
        (codes,) = maps.values() if is_symbolic else (maps[3, 1],)
        said = unicode_map(font)
        if set("".join(said.values())) & {"\0", "\ufeff", "\ufffe"}:
            yield f"{name}: a code means nothing"
        em, metrics, first = program["head"].unitsPerEm, program["hmtx"].metrics, int(font.FirstChar)
        for code, character in said.items():
            glyph = codes.get(code if is_symbolic else ord(character), ".notdef")
            width = float(font.Widths[code - first])
            if abs(width - metrics[glyph][0] * 1000 / em) > 1:
                yield f"{name}: {character!r} is {width} wide, its glyph {metrics[glyph][0]}"
            if glyph == ".notdef" and character != "\u00a0":
                yield f"{name}: {character!r} has no glyph"


def check_codes(pdf: pikepdf.Pdf) -> Iterator[str]:
    """7.21.7: each code that is shown has a character."""
    maps: dict[str, dict[int, str]] = {}
    for font, codes in shown_codes(pdf):
        known = maps.setdefault(str(font.objgen), unicode_map(font))
        if set(codes) - known.keys():
            yield f"{font.BaseFont}: {sorted(set(codes) - known.keys())} mean nothing"


def check_bookmarks(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Common practice for tagged files: more than four pages are found by bookmarks, each page by one of its own."""
    titles, pages = [], []
    if len(pdf.pages) > 4:
        with pdf.open_outline() as outline:
            titles = [item.title for item in outline.root]
            pages = [pdf.pages.index(item.destination[0]) for item in outline.root]
        if pages != list(range(len(pdf.pages))) or len(set(titles)) != len(titles) or not all(titles):
            yield f"bookmarks {titles} of pages {pages}"


UA_CHECKS: tuple[Check, ...] = (
    check_identifier,
    check_catalog,
    check_tree,
    check_content,
    check_nesting,
    check_tables,
    check_headings,
    check_figures,
    check_fields,
    check_fonts,
    check_codes,
    check_bookmarks,
)


# --- ISO 15930-7 ------------------------------------------------------------------------------------------


def check_x_identity(pdf: pikepdf.Pdf) -> Iterator[str]:
    """6.1 to 6.5: PDF 1.6 or less, a file identifier, not locked; version, dates, title and trapping told alike."""
    info = pdf.docinfo
    if pdf.pdf_version > "1.6" or pdf.is_encrypted or "/ID" not in pdf.trailer:
        yield "version, lock or identifier"
    if read_xmp(pdf, "pdfxid:GTS_PDFXVersion") != "PDF/X-4":
        yield "no identifier"
    if str(info.get("/Trapped")).removeprefix("/") not in {"True", "False"} or (
        read_xmp(pdf, "pdf:Trapped") != str(info.Trapped).removeprefix("/")
    ):
        yield "trapping"
    for key, name in (("/CreationDate", "xmp:CreateDate"), ("/ModDate", "xmp:ModifyDate")):
        day = read_xmp(pdf, name)
        if not day or "D:" + re.sub(r"[-:T]", "", day) != str(info.get(key)):
            yield f"{name} {day}, {key} {info.get(key)}"
    if read_xmp(pdf, "dc:title") != str(info.get("/Title")):
        yield "title"
    missing = [
        n
        for n in ("xmp:MetadataDate", "xmpMM:DocumentID", "xmpMM:VersionID", "xmpMM:RenditionClass")
        if not read_xmp(pdf, n)
    ]
    if missing:
        yield f"without {missing}"


def check_x_intent(pdf: pikepdf.Pdf) -> Iterator[str]:
    """6.2.2: one intent with an output profile embedded. 6.2.4: what is drawn is in its colours, or in spot inks told
    independently of any device."""
    (intent,) = [each for each in pdf.Root.OutputIntents if each.S == "/GTS_PDFX"]
    if not str(intent.OutputConditionIdentifier) or not str(intent.Info):
        yield "the condition is not named"
    profile = intent.DestOutputProfile
    data = profile.read_bytes()
    if (data[12:16], data[16:20], int(profile.N)) != (b"prtr", b"GRAY", 1):
        yield f"profile {data[12:20]}"
    for stream, resources in streams_of(pdf):
        for space in resources.get("/ColorSpace", {}).values():
            if space[0] != "/Separation" or space[2][0] != "/Lab":
                yield f"colour space {space}"
        used = {str(operator) for _, operator in pikepdf.parse_content_stream(stream)}
        if used & {"k", "K", "rg", "RG"}:
            yield f"colours by {used & {'k', 'K', 'rg', 'RG'}}"
        for image in resources.get("/XObject", {}).values():
            if image.Subtype == "/Image" and image.ColorSpace != "/DeviceGray":
                yield f"a picture in {image.ColorSpace}"


def check_x_pages(pdf: pikepdf.Pdf) -> Iterator[str]:
    """6.3: boxes lie in one another; 6.10 and 6.11: no annotations, no actions; 6.8: every font is embedded."""
    for page in pdf.pages:
        media, bleed, trim = ([*map(float, page.obj[f"/{name}Box"])] for name in ("Media", "Bleed", "Trim"))
        if "/ArtBox" in page.obj:
            yield "ArtBox beside TrimBox"
        for outer, inner in ((media, bleed), (bleed, trim)):
            if any(o > i for o, i in zip(outer[:2], inner[:2], strict=True)) or any(
                o < i for o, i in zip(outer[2:], inner[2:], strict=True)
            ):
                yield f"boxes {media} {bleed} {trim}"
        if "/Annots" in page.obj or "/AA" in page.obj:
            yield "annotations"
    if {"/AA", "/OpenAction", "/AcroForm"} & set(pdf.Root.keys()) or "/JavaScript" in pdf.Root.get(
        "/Names", {}
    ):
        yield "actions or fields"
    for font in fonts_of(pdf).values():
        if "/FontFile2" not in font.FontDescriptor:
            yield f"{font.BaseFont} is not embedded"


X_CHECKS: tuple[Check, ...] = (check_x_identity, check_x_intent, check_x_pages, check_bookmarks)


def find_faults(data: bytes, checks: tuple[Check, ...]) -> list[str]:
    """All that is wrong, each with the check that found it."""
    with pikepdf.open(BytesIO(data)) as pdf:
        return [f"{check.__name__}: {fault}" for check in checks for fault in check(pdf)]
