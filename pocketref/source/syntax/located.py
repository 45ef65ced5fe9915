"""Models that know where in the source they stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Self

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, PrivateAttr, model_validator

from pocketref.problems import Location
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode, find_place


class PlacedDict(dict[str, object]):
    """A mapping's plain data with the node it came from; `read_as` is the model it was last read as."""

    __slots__ = ("node", "read_as")

    def __init__(self, node: MapNode, data: dict[str, object]) -> None:
        super().__init__(data)
        self.node = node
        self.read_as: type[SourceModel] | None = None


def write_key(name: str) -> str:
    """A field's key in the source: words joined by hyphens; a trailing underscore only dodges a keyword."""
    return name.rstrip("_").replace("_", "-")


class SourceModel(BaseModel):
    """Base of every model read from the source: frozen, no unknown keys, keys written with hyphens.

    Where it stands is no part of its value: two models with equal fields are equal wherever they were read.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", alias_generator=write_key)

    _node: MapNode | None = PrivateAttr(default=None)
    _written: SourceModel | None = PrivateAttr(default=None)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_place(cls, data: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        if not isinstance(data, PlacedDict):
            return handler(data)
        data.read_as = cls  # noted first, so that an unknown key can be compared with this model's fields
        model = handler(data)
        model._node = data.node
        return model

    def __eq__(self, other: object) -> bool:
        if type(self) is not type(other):
            return NotImplemented
        return self.__dict__ == other.__dict__

    def is_read_alike(self, other: SourceModel) -> bool:
        """Whether another is equal and of the very same mapping in the source, so that all its places are the same."""
        return self is other or (self._node is other._node and self == other)

    __hash__ = None  # type: ignore[assignment]  # fields may hold mappings

    @property
    def as_written(self) -> Self:
        """The model in the language it was written in, where this is a translation; else itself."""
        return self._written or self  # type: ignore[return-value]

    def note_written(self, written: Self) -> None:
        """Keep what the model is a translation of."""
        self._written = written

    @property
    def location(self) -> Location | None:
        """Where the model's mapping starts; None if it was not read from a file."""
        return self._node.location if self._node else None

    def locate(self, *path: str | int) -> Location | None:
        """Where the value under keys and indices stands, such as `locate("when", "plate")`."""
        return find_place(self._node, path).node.location if self._node else None

    def locate_key(self, *path: str | int) -> Location | None:
        """Where the last key of the path stands."""
        if self._node is None:
            return None
        found = find_place(self._node, path)
        return (found.key or found.node).location

    def list_texts(self) -> Iterator[TextNode]:
        """Every text under the model as it stands in the source; none if it was not read from a file."""
        return _list_texts(self._node) if self._node else iter(())


def _list_texts(node: Node) -> Iterator[TextNode]:
    if isinstance(node, TextNode):
        yield node
        return
    for value in node.items if isinstance(node, ListNode) else [value for _, value in node.entries]:
        yield from _list_texts(value)
