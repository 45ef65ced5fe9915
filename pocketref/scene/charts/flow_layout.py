"""Where the symbols of a flowchart go: columns to the right for one exit, downwards for the other.

A question's last exit always leads down and every other one to the right, so that "yes" reads the same way
all through a chart. Right-hand subtrees are packed above the downward one, column by column; connectors
therefore run in free channels and never cross.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

ROW_GAP_MM = 3.1
RAIL_INSET_MM = 2.4
NO_LABELS: Mapping[str, tuple[float, float]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class FlowExit:
    """The way on from a question: the answer as printed, and the node it leads to (by key)."""

    label: str
    target: str


@dataclass(frozen=True, slots=True)
class FlowQuestion:
    """A decision: what is asked, and at least two exits; the last one leads down."""

    key: str
    text: str
    exits: tuple[FlowExit, ...]


@dataclass(frozen=True, slots=True)
class FlowEnding:
    """A terminal: the ruling's headline, and lines of (mark, words)."""

    key: str
    headline: str
    lines: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class FlowJump:
    """A connector circle that stands for a question drawn elsewhere, with its letter."""

    key: str
    letter: str


@dataclass(frozen=True, slots=True)
class FlowSame:
    """An ending that is the one below it again: what leads here goes on down to it."""

    key: str


FlowNode = FlowQuestion | FlowEnding | FlowJump | FlowSame


@dataclass(frozen=True, slots=True)
class PlacedNode:
    """A node in its place: column from 0 at the left; `top` and `height_mm` downwards from the chart's top."""

    node: FlowNode
    column: int
    top: float
    height_mm: float
    exits: tuple[tuple[str, PlacedNode], ...] = ()
    letter: str = ""
    """The connector letter of a question that other places jump to."""

    @property
    def middle(self) -> float:
        """Distance of the node's middle from the chart's top, mm."""
        return self.top + self.height_mm / 2


def list_questions(nodes: Mapping[str, FlowNode], root: str) -> list[FlowQuestion]:
    """The questions, each after all that lead to it, and right after one of them wherever that can be."""
    met: dict[str, FlowQuestion] = {}
    waits: Counter[str] = Counter()

    def visit(key: str) -> None:
        node = nodes[key]
        if isinstance(node, FlowQuestion) and key not in met:
            met[key] = node
            for leave in node.exits:
                waits[leave.target] += 1
                visit(leave.target)

    visit(root)
    order: list[FlowQuestion] = []
    while met:
        ahead = [leave.target for leave in order[-1].exits] if order else []
        key = next(key for key in (*ahead, *met) if key in met and not waits[key])
        order.append(met.pop(key))
        waits.subtract(leave.target for leave in order[-1].exits)
    return order


def unfold_nodes(nodes: Mapping[str, FlowNode], root: str) -> tuple[dict[str, FlowNode], dict[str, str]]:
    """A tree from a diagram that shares nodes, and the letter of each question that is jumped to.

    Endings are drawn wherever they are reached; a question reached twice is drawn the first time and is a
    connector (ISO 5807) from then on. Tree keys are paths, so that each is unique.
    """
    tree: dict[str, FlowNode] = {}
    first_path: dict[str, str] = {}
    letters: dict[str, str] = {}

    def visit(key: str, path: str) -> str:
        node = nodes[key]
        if isinstance(node, FlowQuestion):
            if key in first_path:
                letter = letters.setdefault(first_path[key], chr(ord("A") + len(letters)))
                tree[path] = FlowJump(path, letter)
                return path
            first_path[key] = path
            exits = tuple(FlowExit(e.label, visit(e.target, f"{path}.{i}")) for i, e in enumerate(node.exits))
            tree[path] = FlowQuestion(path, node.text, exits)
        else:
            tree[path] = node
        return path

    visit(root, "0")
    return tree, letters


def join_endings(tree: Mapping[str, FlowNode]) -> dict[str, FlowNode]:
    """The tree with equal endings one above the other made one, the lowest of them.

    They are the right-hand endings of a question and of the question right below it.
    """
    joined = dict(tree)
    for node in tree.values():
        if isinstance(node, FlowQuestion) and len(node.exits) == 2:
            below = tree[node.exits[1].target]
            if isinstance(below, FlowQuestion) and len(below.exits) == 2:
                first, second = tree[node.exits[0].target], tree[below.exits[0].target]
                if (
                    isinstance(first, FlowEnding)
                    and isinstance(second, FlowEnding)
                    and _says_same(first, second)
                ):
                    joined[node.exits[0].target] = FlowSame(node.exits[0].target)
    return joined


def _says_same(one: FlowEnding, other: FlowEnding) -> bool:
    return (one.headline, one.lines) == (other.headline, other.lines)


def place_nodes(
    tree: Mapping[str, FlowNode],
    heights: Mapping[str, float],
    letters: Mapping[str, str],
    row_gap_mm: float = ROW_GAP_MM,
    labels: Mapping[str, tuple[float, float]] = NO_LABELS,
) -> tuple[PlacedNode, int, float]:
    """Place a tree; gives the root's spot, the number of columns and the total height in mm.

    `labels` are how far the words of the exit to a node reach over and under its connector to the right, in mm; of
    one that leads down, together, how far apart the two nodes must be.
    """
    bottoms: list[float] = []
    channels: dict[int, float] = {}
    """How far down the words right of a column reach."""

    def floor_of(column: int) -> float:
        while len(bottoms) <= column:
            bottoms.append(0.0)
        return bottoms[column]

    def place(key: str, column: int, least_top: float) -> PlacedNode:
        node, height = tree[key], heights[key]
        top = max(least_top, floor_of(column))
        exits: list[tuple[str, PlacedNode]] = []
        if isinstance(node, FlowQuestion):
            rail_end = top
            for number, leave in enumerate(node.exits[:-1]):
                over, under = labels.get(leave.target, (0.0, 0.0))
                # The first right-hand child stands level with its question, which moves down to it if need be.
                middle = max(top + height / 2 if number == 0 else 0.0, channels.get(column, 0.0) + over)
                placed = place(leave.target, column + 1, middle - heights[leave.target] / 2)
                exits.append((leave.label, placed))
                top = placed.middle - height / 2 if number == 0 else top
                rail_end = placed.middle
                channels[column] = rail_end + under
            last = node.exits[-1]
            bottoms[column] = top + height + max(row_gap_mm, sum(labels.get(last.target, ())))
            least = max(bottoms[column], rail_end + row_gap_mm) if len(node.exits) > 2 else bottoms[column]
            exits.append((last.label, place(last.target, column, least)))
        else:
            bottoms[column] = top + height + row_gap_mm
        return PlacedNode(node, column, top, height, tuple(exits), letters.get(key, ""))

    placed = place("0", 0, 0.0)
    all_placed = list(walk_nodes(placed))
    lift = min(s.top for s in all_placed)
    height = max(s.top + s.height_mm for s in all_placed) - lift
    return (_lift(placed, lift) if lift else placed), len(bottoms), height


def _lift(placed: PlacedNode, by: float) -> PlacedNode:
    exits = tuple((label, _lift(child, by)) for label, child in placed.exits)
    return PlacedNode(placed.node, placed.column, placed.top - by, placed.height_mm, exits, placed.letter)


def walk_nodes(placed: PlacedNode) -> list[PlacedNode]:
    """The spot and every spot below it, in reading order."""
    found = [placed]
    for _, child in placed.exits:
        found += walk_nodes(child)
    return found
