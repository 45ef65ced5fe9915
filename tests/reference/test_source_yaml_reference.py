"""The tree against PyYAML's own composer, which builds nodes from the same text by another way."""

from __future__ import annotations

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.problems import ProblemLog
from pocketref.source.syntax.nodes import ListNode, Node, TextNode, build_tree
from pocketref.source.syntax.source_text import SourceText

TEXTS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=20)
KEYS = TEXTS.filter(lambda key: key.strip() and key != "<<")
DATA = st.recursive(
    TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=15,
)


def outline(node: Node) -> object:
    at = (node.location.line, node.location.column)
    if isinstance(node, TextNode):
        return at, node.text
    if isinstance(node, ListNode):
        return at, [outline(item) for item in node.items]
    return at, [(outline(key), outline(value)) for key, value in node.entries]


def outline_composed(node: yaml.Node) -> object:
    at = (node.start_mark.line + 1, node.start_mark.column + 1)
    if isinstance(node, yaml.ScalarNode):
        return at, node.value
    if isinstance(node, yaml.SequenceNode):
        return at, [outline_composed(item) for item in node.value]
    return at, [(outline_composed(key), outline_composed(value)) for key, value in node.value]


@given(st.dictionaries(KEYS, DATA, min_size=1, max_size=5), st.booleans() | st.none())
@settings(max_examples=100)
def test_the_tree_agrees_with_pyyamls_composer(data: dict[str, object], flow: bool | None) -> None:
    text = yaml.safe_dump(data, default_flow_style=flow, allow_unicode=True, sort_keys=False)
    problems = ProblemLog()
    tree = build_tree(SourceText("a.yaml", text, tuple(text.split("\n"))), problems)
    assert problems.problems == []
    assert tree is not None
    assert outline(tree) == outline_composed(yaml.compose(text, Loader=yaml.BaseLoader))
