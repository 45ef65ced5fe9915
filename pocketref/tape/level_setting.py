"""The level of a file of readings that names none, from whoever gives the file."""

from __future__ import annotations

from pocketref.source.syntax.nodes import MapNode, Node, TextNode


def supply_level(tree: Node | None, level: str) -> Node | None:
    """The tree with `level` as its 'level' where it has none; as it is where `level` is empty or it has one."""
    if not level or not isinstance(tree, MapNode) or tree.find("level") is not None:
        return tree
    entry = TextNode("level", tree.location), TextNode(level, tree.location)
    return MapNode((*tree.entries, entry), tree.location)
