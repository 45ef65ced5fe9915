"""HTML read back by the standard library's parser into a tree that tests can ask."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

IMPLIED = {
    "li": ("li",),
    **dict.fromkeys(("td", "th"), ("td", "th")),
    "tr": ("td", "th", "tr"),
    "tbody": ("td", "th", "tr", "thead"),
}
"""Elements that end, if one of them is open, where another of a name begins."""
VOID = {"meta", "link", "input", "br", "hr", "img"}


@dataclass
class Node:
    """An element: its name, attributes, and what is in it, in order."""

    name: str
    attributes: dict[str, str]
    parent: Node | None = None
    content: list[Node | str] = field(default_factory=list)

    def __getitem__(self, attribute: str) -> str:
        return self.attributes[attribute]

    def walk(self) -> Iterator[Node]:
        """The element and all within it, in reading order."""
        yield self
        for child in self.content:
            if isinstance(child, Node):
                yield from child.walk()

    def all(self, *names: str, **attributes: str) -> list[Node]:
        """Every element within that has one of the names, and the attributes' values."""
        wanted = {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()}
        return [
            node
            for node in self.walk()
            if (not names or node.name in names) and wanted.items() <= node.attributes.items()
        ]

    def one(self, *names: str, **attributes: str) -> Node:
        """The only such element."""
        (node,) = self.all(*names, **attributes)
        return node

    def name_of(self, node: Node) -> str:
        """The accessible name of an element within: what it is labelled by, or its label (WAI-ARIA)."""
        by = node.attributes.get("aria-labelledby")
        return " ".join(self.one(id=each).text for each in by.split()) if by else node["aria-label"]

    def outer(self) -> Iterator[Node]:
        """The elements it is within, innermost first."""
        if self.parent is not None:
            yield self.parent
            yield from self.parent.outer()

    @property
    def text(self) -> str:
        """Its words, with single spaces."""
        return " ".join("".join(self.texts()).split())

    def texts(self) -> Iterator[str]:
        for child in self.content:
            if isinstance(child, str):
                yield child
            else:
                yield from child.texts()


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = self.here = Node("", {})
        self.doctypes: list[str] = []

    def handle_decl(self, decl: str) -> None:
        self.doctypes.append(decl)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"an attribute of {tag} is given twice"
        self._end(IMPLIED.get(tag, ()))
        node = Node(tag, {name: value or "" for name, value in attrs}, self.here)
        self.here.content.append(node)
        if tag not in VOID:
            self.here = node

    def _end(self, names: Iterable[str]) -> None:
        """End elements of those names, whose end tags the HTML standard lets be left out (13.1.2.4)."""
        while self.here.name in names and self.here.parent:
            self.here = self.here.parent

    def handle_endtag(self, tag: str) -> None:
        self._end({"thead", *IMPLIED} - {tag})
        assert self.here.name == tag, f"</{tag}> ends <{self.here.name}>"
        assert self.here.parent is not None
        self.here = self.here.parent

    def handle_data(self, data: str) -> None:
        self.here.content.append(data)


def read_html(text: str) -> Node:
    """The root above the `html` element; AssertionError if elements do not nest."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert reader.doctypes == ["DOCTYPE html"]
    assert reader.here is reader.root, f"<{reader.here.name}> is never ended"
    return reader.root
