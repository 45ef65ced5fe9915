"""Objects appended to a finished PDF file as a later revision of it, whose own bytes stay as they are."""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping, Sequence
from itertools import accumulate
from struct import Struct

_PLACE = Struct(">BIH")
"""An entry of a cross-reference stream: its type, and where the object is."""
_LONG = 2000
"""Bytes of a stream that is worth packing: a page of lines is, a sheet of cards takes longer than it gains."""
_PACKED = 500
"""Objects in an object stream: so many are packed well, and a reader that wants one unpacks no more."""


class Revision:
    """Objects appended to a finished file, with object and cross-reference streams (ISO 32000-1, 7.5.6 to 7.5.8)."""

    def __init__(self, data: bytes, objects: int) -> None:
        self._data = data
        self._first = self._next = objects
        self._parts = [data]
        self._end = len(data)
        self._plain: list[tuple[int, bytes]] = []
        self._entries: dict[int, bytes] = {}

    def add(self, content: bytes) -> int:
        """Append an object that is no stream; its number."""
        self._plain.append((self._next, content))
        self._next += 1
        return self._next - 1

    def add_stream(self, content: bytes, entries: bytes = b"") -> int:
        """Append a stream, packed if it is long; its object's number."""
        if len(content) > _LONG and b"/Filter" not in entries:
            content, entries = zlib.compress(content, 1), entries + b"/Filter/FlateDecode"
        head = b"%d 0 obj\n<</Length %d%s>>\nstream\n" % (self._next, len(content), entries)
        self._entries[self._next] = _PLACE.pack(1, self._end, 0)
        part = b"%s%s\nendstream\nendobj\n" % (head, content)
        self._parts.append(part)
        self._end += len(part)
        self._next += 1
        return self._next - 1

    def finish(self, replaced: Mapping[int, bytes], entries: bytes) -> bytes:
        """The file, with objects of it `replaced` by their numbers, and `entries` in its trailer."""
        for start in range(0, len(self._plain), _PACKED):
            self._pack(self._plain[start : start + _PACKED])
        self._pack(list(replaced.items()))
        mark = hashlib.sha256(b"".join(self._parts)).hexdigest()[:32].encode("ascii")
        before = int(self._data[self._data.rindex(b"startxref") :].split()[1])
        self._entries[self._next] = _PLACE.pack(1, self._end, 0)
        index = b"".join([b"%d 1 " % number for number in sorted(replaced)])
        index += b"%d %d" % (self._first, self._next + 1 - self._first)
        rows = zlib.compress(b"".join([self._entries[number] for number in sorted(self._entries)]), 1)
        more = (index, before, self._next + 1, mark, mark, entries)
        end = self._end
        self.add_stream(
            rows,
            b"/Type/XRef/Filter/FlateDecode/W[1 4 2]/Index[%s]/Prev %d/Size %d/ID[<%s><%s>]%s" % more,
        )
        return b"".join([*self._parts, b"startxref\n%d\n%%%%EOF\n" % end])

    def _pack(self, objects: Sequence[tuple[int, bytes]]) -> None:
        """Append an object stream."""
        places = accumulate([len(content) + 1 for _, content in objects], initial=0)
        head = b" ".join(
            [b"%d %d" % (number, place) for (number, _), place in zip(objects, places, strict=False)]
        )
        body = zlib.compress(head + b"\n" + b"\n".join([content for _, content in objects]), 1)
        for index, (known, _) in enumerate(objects):
            self._entries[known] = _PLACE.pack(2, self._next, index)
        self.add_stream(
            body, b"/Type/ObjStm/Filter/FlateDecode/N %d/First %d" % (len(objects), len(head) + 1)
        )
