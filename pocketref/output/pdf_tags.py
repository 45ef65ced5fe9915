"""Tagged PDF (ISO 32000-1, 14.7 and 14.8): the structure tree, and the marks that tie page content to it."""

from __future__ import annotations

from dataclasses import dataclass, field

from reportlab.pdfbase import pdfdoc

from pocketref.output.contents import elements_in, items_of, list_headings
from pocketref.output.numbers import numbers
from pocketref.pages.page import Document, Element, Role
from pocketref.scene.items import FormField, Shape
from pocketref.scene.paths import extent_of_all
from pocketref.units.length import PT_PER_MM

# Roles that group others and so may not hold content themselves (ISO 32000-1, 14.8.4): the child that does.
CONTENT_CHILD = {
    Role.SECTION: "P",
    Role.LIST: "Caption",
    Role.LIST_ITEM: "LBody",
    Role.TABLE: "Caption",
    Role.TABLE_ROW: "TD",
}


@dataclass(eq=False)
class Node(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab ships no types
    """A structure element: its standard type, where it hangs, and what it holds.

    `kids` are mark numbers on `page`, or further nodes and widgets as references.
    """

    tag: str
    parent: pdfdoc.PDFObjectReference
    page: pdfdoc.PDFObjectReference | None = None
    alt: str = ""
    attributes: str = ""
    language: str = ""
    kids: list[object] = field(default_factory=list)
    ref: pdfdoc.PDFObjectReference | None = None
    body: Node | None = None
    """The child that holds this node's own content, where the standard asks for one."""

    def format(self, doc: pdfdoc.PDFDocument) -> bytes:
        """The element as a PDF dictionary."""
        parts = [b"<< /S /" + self.tag.encode(), b"/P " + _refer(self.parent, doc)]
        if self.page is not None:
            parts.append(b"/Pg " + _refer(self.page, doc))
        if self.alt:
            parts.append(b"/Alt " + pdfdoc.PDFString(self.alt).format(doc))
        if self.language:
            parts.append(b"/Lang " + pdfdoc.PDFString(self.language).format(doc))
        if self.attributes:
            parts.append(f"/A << {self.attributes} >>".encode())
        if self.kids:
            parts.append(b"/K [" + b" ".join([_write_kid(kid, doc) for kid in self.kids]) + b"]")
        return b" ".join([*parts, b">>"])


def _write_kid(kid: object, doc: pdfdoc.PDFDocument) -> bytes:
    if isinstance(kid, int):
        return b"%d" % kid
    if isinstance(kid, pdfdoc.PDFObjectReference):
        return _refer(kid, doc)
    written: bytes = pdfdoc.format(kid, doc)
    return written


def _refer(reference: pdfdoc.PDFObjectReference, doc: pdfdoc.PDFDocument) -> bytes:
    """As the library writes it, without going through its encodings: there are ten thousands of them."""
    written: bytes = b"%d %d R" % doc.idToObjectNumberAndVersion[reference.name]
    return written


class _Marks(pdfdoc.PDFObject):  # type: ignore[misc]
    """The nodes of a page's marks, in the order of their numbers."""

    def __init__(self, nodes: list[pdfdoc.PDFObjectReference]) -> None:
        self._nodes = nodes

    def format(self, doc: pdfdoc.PDFDocument) -> bytes:
        """The references as a PDF array, ten on a line."""
        written = [_refer(node, doc) for node in self._nodes]
        lines = [b" ".join(written[start : start + 10]) for start in range(0, len(written), 10)]
        return b"[ " + b" \n  ".join(lines) + b" ]"


class StructureTree:
    """The structure tree of one document, grown in reading order while its pages are written."""

    def __init__(self, doc: pdfdoc.PDFDocument) -> None:
        self._doc = doc
        self._root = pdfdoc.PDFDictionary({"Type": "/StructTreeRoot"})
        self._root_ref = doc.Reference(self._root)
        self._marks: list[list[pdfdoc.PDFObjectReference]] = []
        self._widgets: list[tuple[pdfdoc.PDFDictionary, pdfdoc.PDFObjectReference]] = []
        self._page: pdfdoc.PDFObjectReference | None = None
        self.document = Node("Document", self._root_ref)
        self.document.ref = doc.Reference(self.document)

    def start_page(self, page: pdfdoc.PDFObjectReference) -> int:
        """Begin a page; its key in the parent tree, for /StructParents."""
        self._page = page
        self._marks.append([])
        return len(self._marks) - 1

    def add_element(self, parent: Node, element: Element) -> Node:
        """A node for the element, under `parent` (in its body if it has one)."""
        attributes = _write_attributes(element)
        return self._add(parent.body or parent, element.role.value, element.alt, attributes, element.language)

    def _add(self, parent: Node, tag: str, alt: str = "", attributes: str = "", language: str = "") -> Node:
        assert parent.ref is not None
        node = Node(tag, parent.ref, self._page, alt, attributes, language)
        node.ref = self._doc.Reference(node)
        parent.kids.append(node.ref)
        return node

    def begin_content(self, node: Node, role: Role) -> str:
        """The operator that begins the node's own content; end it with EMC."""
        child = CONTENT_CHILD.get(role)
        holder = node
        if child:
            holder = node.body or self._add(node, child)
            if role is Role.LIST_ITEM:
                node.body = holder
        marks = self._marks[-1]
        assert holder.ref is not None
        holder.kids.append(len(marks))
        marks.append(holder.ref)
        return f"/{holder.tag} <</MCID {len(marks) - 1}>> BDC"

    def add_widget(self, parent: Node, widget: pdfdoc.PDFDictionary, ref: pdfdoc.PDFObjectReference) -> None:
        """A Form node for a field's widget, so that it is read in its place."""
        node = self._add(parent.body or parent, "Form")
        reference = {"Type": "/OBJR", "Obj": ref, "Pg": self._page}
        node.kids.append(pdfdoc.PDFDictionary(reference))
        assert node.ref is not None
        self._widgets.append((widget, node.ref))

    def finish(self) -> pdfdoc.PDFObjectReference:
        """Write the parent tree, give each widget its key in it, and return the tree's root."""
        numbers_tree: list[object] = []
        for key, marks in enumerate(self._marks):
            numbers_tree += [key, self._doc.Reference(_Marks(marks))]
        for key, (widget, node) in enumerate(self._widgets, start=len(self._marks)):
            widget["StructParent"] = key
            numbers_tree += [key, node]
        parent_tree = pdfdoc.PDFDictionary({"Nums": pdfdoc.PDFArray(numbers_tree)})
        self._root["K"] = pdfdoc.PDFArray([self.document.ref])
        self._root["ParentTree"] = self._doc.Reference(parent_tree)
        self._root["ParentTreeNextKey"] = len(self._marks) + len(self._widgets)
        return self._root_ref


def can_be_followed(document: Document) -> bool:
    """Whether the document is one that PDF/UA-1 takes (ISO 14289-1, as far as it is not kept by all that is written).

    It has a title; its headings begin with a title and skip no level (7.4.2); the rows of each table have as many
    cells (7.5); each field says what belongs there (7.18.1). Figures without words are refused altogether.
    """
    levels = [level for page in document.pages for level, _ in list_headings(page)]
    elements = [element for page in document.pages for element in elements_in(page)]
    tables = [element.children for element in elements if element.role is Role.TABLE]
    fields = [
        item for page in document.pages for item in items_of(page.elements) if isinstance(item, FormField)
    ]
    return (
        bool(document.title.strip())
        and not any(levels[:1])
        and all(len({len(row.children) for row in rows}) <= 1 for rows in tables)
        and all(field.tooltip.strip() for field in fields)
    )


def is_decoration(element: Element) -> bool:
    """Whether the element's own items are there for the eye alone.

    So they are where its role says so, and where a group draws nothing but rules and tints: a table's lines
    say nothing that its cells do not.
    """
    if element.role is Role.DECORATION:
        return True
    return element.role in CONTENT_CHILD and all(isinstance(item, Shape) for item in element.items)


def _write_attributes(element: Element) -> str:
    """Attribute entries of the element: a figure's box in points, a header cell's scope."""
    if element.role is Role.FIGURE:
        box = numbers(*(edge * PT_PER_MM for edge in extent_of_all(items_of([element]))))
        return f"/O /Layout /Placement /Block /BBox [{box}]"
    if element.role is Role.TABLE_HEADER:
        return f"/O /Table /Scope /{element.scope or 'Column'}"
    return ""
