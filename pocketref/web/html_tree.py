"""HTML as an element tree: every text and attribute is escaped by the serialiser, none is pasted in."""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement, tostring

from pocketref.units.notation import spell_fractions

Node = Element | str

# Whatever else there is stands on a line of its own in the file: a reader can follow it, and words of neighbours never
# run together, as the last one's end in the line that its parent ends.
WITHIN_A_LINE = frozenset(["a", "b", "em", "input", "label", "path", "span", "strong", "text", "tspan"])
_NEEDLESS = re.compile("</(?:li|t[dhr]|thead|tbody)>")
"""End tags that say nothing, as nothing but the next of its kind or the end of the list or table follows each (HTML
Living Standard, 13.1.2.4)."""


def tag(kind: str, /, *children: Node, **attributes: str) -> Element:
    """An element; `class_` stands for class and `aria_label` for aria-label.

    Texts become its text, with apostrophes curved as on a face, and fractions in ordinary characters: raised and
    lowered figures would be read out as such.
    """
    element = Element(kind, {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()})
    append(element, children)
    return element


def append(element: Element, children: Iterable[Node]) -> Element:
    """The element with more children at its end."""
    for child in children:
        if isinstance(child, str):
            _append_text(element, child)
        else:
            element.append(child)
    return element


def _append_text(element: Element, text: str) -> None:
    text = spell_fractions(text).replace("'", "\u2019")
    if len(element):
        element[-1].tail = (element[-1].tail or "") + text
    else:
        element.text = (element.text or "") + text


def mark_bold(text: str) -> list[Node]:
    """Running text as a face sets it: what stands between asterisks is bold."""
    nodes: list[Node] = []
    for number, piece in enumerate(text.split("*")):
        if piece:
            nodes.append(tag("b", piece) if number % 2 else piece)
    return nodes


def text_of(element: Element) -> str:
    """All the text within, as it stands."""
    return "".join(element.itertext())


def write_tree(root: Element) -> str:
    """The document with its doctype. The text of `style` and `script`, in which no tag ends, is written as it is."""
    for parent in root.iter():
        for element in [*parent][:-1]:
            if element.tag not in WITHIN_A_LINE and not element.tail:
                element.tail = "\n"
    text = tostring(root, encoding="unicode", method="html")
    return "<!DOCTYPE html>\n" + _NEEDLESS.sub("", text.replace("></path>", "/>"))


def add_raw(parent: Element, name: str, text: str, **attributes: str) -> None:
    """A `style` or `script` of our own; ValueError if its text would end it."""
    if "</" in text or "<!--" in text:
        raise ValueError(f"the {name} holds what would end it")
    SubElement(parent, name, attributes).text = text
