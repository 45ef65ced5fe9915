"""Source files cut into pieces: keys, values, entries and items, each with its span."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import yaml

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Piece:
    """A span of a file: a "key", "text", "list" or "map", or an "entry" or "item" with its whole value."""

    kind: str
    start: int
    end: int
    text: str
    """The scalar's text, or the piece as flow YAML."""
    is_flow: bool
    column: int


@dataclass(frozen=True)
class Sample:
    """A file that reads without a problem, and its pieces."""

    name: str
    text: str
    pieces: tuple[Piece, ...]


def read_samples(files: Mapping[str, str]) -> tuple[Sample, ...]:
    """Files by name, cut into pieces."""
    return tuple(Sample(name, text, tuple(_cut(text))) for name, text in sorted(files.items()))


def _cut(text: str) -> Iterator[Piece]:
    root = yaml.compose(text, Loader=LOADER)
    waiting: list[tuple[str, yaml.Node]] = [("", root)] if root else []
    while waiting:
        kind, node = waiting.pop()
        yield _piece(kind or _kind_of(node), node, node, text)
        if isinstance(node, yaml.SequenceNode):
            for item in node.value:
                yield _piece("item", item, item, text, is_flow=bool(node.flow_style))
                waiting.append(("", item))
        elif isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                yield _piece("entry", key, value, text, is_flow=bool(node.flow_style))
                waiting += [("key", key), ("", value)]


def _kind_of(node: yaml.Node) -> str:
    kinds: dict[type[yaml.Node], str] = {yaml.SequenceNode: "list", yaml.MappingNode: "map"}
    return kinds.get(type(node), "text")


def _piece(kind: str, first: yaml.Node, last: yaml.Node, text: str, *, is_flow: bool = False) -> Piece:
    start = first.start_mark.index
    end = start + len(text[start : last.end_mark.index].rstrip())
    shown = str(first.value) if kind in ("key", "text") else write_flow(last)
    if kind == "entry":
        shown = f"{write_flow(first)}: {shown}"
    return Piece(kind, start, end, shown, is_flow, first.start_mark.column)


def write_flow(node: yaml.Node) -> str:
    """A node on one line."""
    if isinstance(node, yaml.SequenceNode):
        return f"[{', '.join(write_flow(item) for item in node.value)}]"
    if isinstance(node, yaml.MappingNode):
        return f"{{{', '.join(f'{write_flow(key)}: {write_flow(value)}' for key, value in node.value)}}}"
    return quote(node.value)


def quote(text: str) -> str:
    """Any text as a double-quoted scalar."""
    written = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return '"' + "".join(ch if ch.isprintable() or ch == " " else f"\\U{ord(ch):08x}" for ch in written) + '"'
