"""Placed runs of text put back together: what was broken into lines and faces reads as a sentence again."""

from __future__ import annotations

from collections.abc import Iterable

from pocketref.scene.items import Face, FormField, Item, Text
from pocketref.scene.paths import text_extent
from pocketref.scene.textfit import space_mm
from pocketref.web.html_tree import Node, tag

_MARKS = {Face.BOLD: "strong", Face.ITALIC: "em"}
_SAME_LINE_MM = 0.01


def join_runs(items: Iterable[Item]) -> list[Node]:
    """The texts as running text, faces kept where they change; a blank to fill in becomes an empty box."""
    spans: list[tuple[str, Face]] = []
    nodes: list[Node] = []
    last: Text | None = None
    for item in items:
        if isinstance(item, FormField):
            nodes += [*_mark_faces(spans), tag("span", class_=f"blank {item.kind}")]
            spans, last = [], None
        elif isinstance(item, Text):
            lead = " " if last is not None and _is_apart(last, item) else ""
            if spans and spans[-1][1] is item.face:
                spans[-1] = (spans[-1][0] + lead + item.content, item.face)
            elif spans:
                spans[-1] = (spans[-1][0] + lead, spans[-1][1])
                spans.append((item.content, item.face))
            else:
                spans.append((item.content, item.face))
            last = item
    return nodes + _mark_faces(spans)


def _is_apart(left: Text, right: Text) -> bool:
    """Whether a space belongs between two runs: another line, or a gap of at least half a word space."""
    if abs(left.y - right.y) > _SAME_LINE_MM:
        return True
    return text_extent(right)[0] - text_extent(left)[2] > space_mm(left.size_pt) / 2


def _mark_faces(spans: list[tuple[str, Face]]) -> list[Node]:
    """Bold and italic marked; a text all in one face needs no mark."""
    if len({face for _, face in spans}) < 2:
        return [text for text, _ in spans]
    nodes: list[Node] = []
    for text, face in spans:
        words = text.rstrip(" ")
        nodes.append(tag(_MARKS[face], words) if face in _MARKS else words)
        if words != text:
            nodes.append(text[len(words) :])
    return nodes


def plain_words(items: Iterable[Item]) -> str:
    """The same without faces and blanks."""
    return "".join(
        node if isinstance(node, str) else node.text or "" for node in join_runs(_texts(items))
    ).strip()


def _texts(items: Iterable[Item]) -> list[Text]:
    return [item for item in items if isinstance(item, Text)]


def is_column_of_lines(items: Iterable[Item]) -> bool:
    """Whether the runs are lines of their own, set from both edges as a footer is, not a running text."""
    return any(text.anchor == "end" for text in _texts(items))


def split_lines(items: Iterable[Item]) -> list[str]:
    """Each run as a line of its own, empty ones left out."""
    return [text.content for text in _texts(items) if text.content]
