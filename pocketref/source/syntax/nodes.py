"""YAML text to a tree of nodes, each knowing its file, line and column; scalars stay text.

The tree is built from the parser's events, so that nothing recurses and every bound is met before memory is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import yaml

from pocketref.problems import Location, PocketrefError, ProblemLog, refusal
from pocketref.source.syntax.source_text import SourceText, clip_text, read_source_text
from pocketref.source.syntax.syntax_wording import write_syntax_error
from pocketref.words.terminal import tell

DEEPEST = 32
"""How many lists and mappings may stand in one another."""
MOST_ALIASES = 50
MOST_COPIED_NODES = 10_000
"""How many nodes all the aliases of a file may add up to."""
MOST_PROBLEMS = 100
"""Problems reported for one file; past these the first ones matter."""

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_QUOTES = ("'", '"')


@dataclass(frozen=True, slots=True)
class TextNode:
    """A scalar as it was written: never a number, a date or a truth value yet.

    `is_plain` is true of unquoted text; plain empty text is a key whose value was left out.
    """

    text: str
    location: Location
    is_plain: bool = True

    @property
    def is_absent(self) -> bool:
        """Whether nothing was written where a value could stand."""
        return self.is_plain and not self.text

    def locate_offset(self, offset: int) -> Location:
        """The place of the character at `offset` (from 0), or the text's start where it can't be told."""
        at, line = self.location, self.location.text
        quoted = int(line[at.column - 1 : at.column] in _QUOTES and not self.is_plain)
        start = at.column - 1 + quoted
        if not line.startswith(self.text, start):
            return at
        return Location(at.file, at.line, start + min(max(offset, 0), len(self.text)) + 1, line)


@dataclass(frozen=True, slots=True)
class ListNode:
    """A list in the author's order."""

    items: tuple[Node, ...]
    location: Location


@dataclass(frozen=True, slots=True)
class MapNode:
    """A mapping's keys and values in the author's order; no key stands twice."""

    entries: tuple[tuple[TextNode, Node], ...]
    location: Location

    def find(self, key: str) -> tuple[TextNode, Node] | None:
        """The entry with a key, or None."""
        return next((entry for entry in self.entries if entry[0].text == key), None)


Node = TextNode | ListNode | MapNode


@dataclass(frozen=True, slots=True)
class FoundNode:
    """Where a path into a tree leads: a node, and the key it stands under (None outside a mapping)."""

    node: Node
    key: TextNode | None = None


def find_place(node: Node, path: tuple[str | int, ...]) -> FoundNode:
    """Follow keys and indices down from a node.

    A step that leads nowhere is passed over: a missing key leaves the mapping that lacks it, and an index
    into a single value written where a list may stand leaves that value.
    """
    found = FoundNode(node)
    for step in path:
        if isinstance(found.node, MapNode) and isinstance(step, str):
            entry = found.node.find(step)
            found = FoundNode(entry[1], entry[0]) if entry else found
        elif isinstance(found.node, ListNode) and isinstance(step, int) and step < len(found.node.items):
            found = FoundNode(found.node.items[step], found.key)
    return found


def read_tree(path: Path, shown: str, problems: ProblemLog, within: Path | None = None) -> Node | None:
    """The tree of a YAML file, or None if it can't be had; everything wrong with it is noted in `problems`.

    `shown` names the file in messages. Links must not lead out of the folder `within` (the file's own if
    None). A tree may come back although problems were noted, so that its contents can be checked as well.
    """
    source = read_source_text(path, shown, problems, within)
    return build_tree(source, problems) if source else None


def build_tree(source: SourceText, problems: ProblemLog) -> Node | None:
    """The tree of a text, or None if it can't be had; see `read_tree`."""
    builder = _TreeBuilder(source, problems)
    try:
        for event in yaml.parse(source.text, Loader=_LOADER):
            builder.take(event)
    except PocketrefError as error:
        problems.extend(error.problems)
        return None
    except yaml.YAMLError as error:
        problems.extend([write_syntax_error(error, source)])
        return None
    root = builder.root
    if root is None or (isinstance(root, TextNode) and root.is_absent):
        whole = Location(source.file)
        problems.error(
            "file-empty", tell("{file} is empty", file=source.file), tell("write 'key: value' lines"), whole
        )
        return None
    return root


@dataclass(frozen=True, slots=True)
class _Branch:
    """A finished node, how many nodes it holds, and how deep lists and mappings stand in it."""

    node: Node
    size: int = 1
    height: int = 0


@dataclass(slots=True)
class _Frame:
    """A list or mapping being filled. In a mapping, `key` waits for its value."""

    location: Location
    is_map: bool
    anchor: str | None
    items: list[Node] = field(default_factory=list)
    keys: dict[str, TextNode] = field(default_factory=dict)
    awaits_value: bool = False
    key: TextNode | None = None
    """None while awaiting a value means that the key was refused and its value is dropped."""
    size: int = 1
    height: int = 1

    def close(self) -> _Branch:
        """The finished list or mapping."""
        if self.is_map:
            node: Node = MapNode(tuple(zip(self.keys.values(), self.items, strict=True)), self.location)
        else:
            node = ListNode(tuple(self.items), self.location)
        return _Branch(node, self.size, self.height)


class _TreeBuilder:
    """Takes a parser's events in turn; `root` is the tree once all are taken."""

    def __init__(self, source: SourceText, problems: ProblemLog) -> None:
        self.root: Node | None = None
        self._source = source
        self._problems = problems
        self._frames: list[_Frame] = []
        self._anchors: dict[str, _Branch | None] = {}  # None while the anchored node is still open
        self._aliases = 0
        self._copied = 0
        self._documents = 0
        self._noted = 0

    def take(self, event: yaml.Event) -> None:
        """Grow the tree by one event."""
        if isinstance(event, yaml.ScalarEvent):
            self._take_text(event)
        elif isinstance(event, yaml.CollectionStartEvent):
            self._open(event)
        elif isinstance(event, yaml.CollectionEndEvent):
            frame = self._frames.pop()
            self._add(frame.close(), frame.anchor)
        elif isinstance(event, yaml.AliasEvent):
            self._copy(event)
        elif isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                hint = tell("put it in a file of its own, or take the '---' line out")
                where = self._place(event)
                raise refusal("yaml-documents", tell("a second document starts here"), hint, where)

    def _place(self, event: yaml.Event) -> Location:
        mark = event.start_mark
        if mark is None:  # parsers mark every event; the type leaves it open
            return Location(self._source.file)
        return self._source.locate(mark.line + 1, mark.column + 1)

    def _note(self, code: str, sentence: str, hint: str, where: Location) -> None:
        """Note a problem that reading can go on after, unless there are too many."""
        self._noted += 1
        if self._noted > MOST_PROBLEMS:
            sentence = tell(
                "there are more than {most_problems} problems in this file", most_problems=MOST_PROBLEMS
            )
            hint = tell("mend those above first")
            raise refusal("file-problems", sentence, hint, where)
        self._problems.error(code, sentence, hint, where)

    def _take_text(self, event: yaml.ScalarEvent) -> None:
        where = self._place(event)
        self._refuse_tag(event.tag, where)
        self._begin_anchor(event.anchor, where)
        text, is_plain = event.value, event.style not in ("'", '"', "|", ">")
        if any((letter < " " and letter not in "\t\n") or "\ud800" <= letter <= "\udfff" for letter in text):
            sentence, hint = (
                tell("an escape in this text stands for a control character"),
                tell("take the escape out"),
            )
            self._note("text-control-character", sentence, hint, where)
            text = "".join(letter if letter.isprintable() else "\ufffd" for letter in text)
        self._add(_Branch(TextNode(text, where, is_plain)), event.anchor)

    def _open(self, event: yaml.CollectionStartEvent) -> None:
        where = self._place(event)
        self._refuse_tag(event.tag, where)
        self._refuse_depth(1, where)
        self._begin_anchor(event.anchor, where)
        self._frames.append(_Frame(where, isinstance(event, yaml.MappingStartEvent), event.anchor))

    def _copy(self, event: yaml.AliasEvent) -> None:
        where, name = self._place(event), event.anchor
        shown = clip_text(name or "")
        quoted = tell("put quotes round text that starts with '*'")
        if name not in self._anchors:
            raise refusal(
                "yaml-alias", tell("'*{shown}' refers to no '&{shown}' above it", shown=shown), quoted, where
            )
        branch = self._anchors[name]
        if branch is None:
            sentence = tell("'*{shown}' stands inside what '&{shown}' names", shown=shown)
            raise refusal("yaml-alias", sentence, tell("write the value out"), where)
        self._aliases += 1
        self._copied += branch.size
        if self._aliases > MOST_ALIASES or self._copied > MOST_COPIED_NODES:
            sentence = tell(
                "more than {most_aliases} aliases, or {most_copied_nodes:,} values copied by them",
                most_aliases=MOST_ALIASES,
                most_copied_nodes=MOST_COPIED_NODES,
            )
            raise refusal("yaml-alias", sentence, tell("write the values out"), where)
        self._refuse_depth(branch.height, where)
        if self._awaits_key():
            self._take_key(None, where)
        else:
            self._add(branch, None)

    def _add(self, branch: _Branch, anchor: str | None) -> None:
        if anchor is not None:
            self._anchors[anchor] = branch
        if not self._frames:
            self.root = branch.node
            return
        frame, node = self._frames[-1], branch.node
        frame.size += branch.size
        frame.height = max(frame.height, branch.height + 1)
        if self._awaits_key():
            self._take_key(node if isinstance(node, TextNode) else None, node.location)
        elif not frame.is_map:
            frame.items.append(node)
        else:
            if frame.key is not None:
                frame.keys[frame.key.text] = frame.key
                frame.items.append(node)
            frame.key, frame.awaits_value = None, False

    def _awaits_key(self) -> bool:
        return bool(self._frames) and self._frames[-1].is_map and not self._frames[-1].awaits_value

    def _take_key(self, key: TextNode | None, where: Location) -> None:
        """Keep a key for the value that comes next, unless it is refused."""
        frame = self._frames[-1]
        frame.awaits_value = True
        if key is None or not key.text.strip():
            hint = tell("a key is a word before a colon; put quotes round text that holds [ ] { } or *")
            self._note("yaml-key", tell("a key must be plain text"), hint, where)
        elif key.text == "<<" and key.is_plain:
            self._note("yaml-merge", tell("'<<' merges are not read"), tell("write the entries out"), where)
        elif key.text in frame.keys:
            first = frame.keys[key.text].location
            sentence = tell(
                "the key '{key}' stands twice; it is first on line {line}, column {column}",
                key=clip_text(key.text),
                line=first.line,
                column=first.column,
            )
            self._note("yaml-duplicate-key", sentence, tell("keep one of the two"), where)
        else:
            frame.key = key

    def _refuse_tag(self, tag: str | None, where: Location) -> None:
        if tag is not None:
            sentence = tell("the tag '{tag}' is not read", tag=clip_text(tag))
            hint = tell("take it out, or put quotes round the text")
            self._note("yaml-tag", sentence, hint, where)

    def _refuse_depth(self, height: int, where: Location) -> None:
        if len(self._frames) + height > DEEPEST:
            sentence = tell(
                "lists and mappings stand too deep in one another: more than {deepest}", deepest=DEEPEST
            )
            raise refusal("yaml-depth", sentence, tell("close brackets sooner, or indent less"), where)

    def _begin_anchor(self, anchor: str | None, where: Location) -> None:
        if anchor is None:
            return
        if anchor in self._anchors:
            sentence = tell("the anchor '&{anchor}' stands twice", anchor=clip_text(anchor))
            raise refusal("yaml-alias", sentence, tell("give one of them another name"), where)
        self._anchors[anchor] = None
