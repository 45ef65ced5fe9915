"""An ICC profile of grey printing, made from the published format (ICC.1:2001-04: version 2, which all know)."""

from __future__ import annotations

import struct
from functools import cache

CONDITION = "Black ink on white paper, a 50 % tint gaining 20 %"
"""What the profile says; the gain is common practice for sheet-fed offset on uncoated paper."""

_GAMMA = 1.75
"""A half tint prints as if 0.5 ** 1.75 of the paper, 30 %, were left white: it covers 70 % instead of 50 %."""
_D50 = (0.9642, 1.0, 0.8249)  # 6.1.8: the white of the profile connection space
_MADE = (2026, 1, 1, 0, 0, 0)


@cache
def write_grey_profile() -> bytes:
    """An output profile of one grey channel; the same bytes always (clauses 6.1 and 6.3.3.1)."""
    said = CONDITION.encode("ascii") + b"\0"
    tags = {
        # 6.5.17: the description in ASCII, and none in Unicode or in Macintosh script
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(said)) + said + bytes(4 + 4 + 2 + 1 + 67),
        b"cprt": b"text\0\0\0\0No rights reserved\0",
        b"wtpt": b"XYZ \0\0\0\0" + _write_xyz(*_D50),
        b"kTRC": b"curv\0\0\0\0" + struct.pack(">IH", 1, round(_GAMMA * 256)),
    }
    place = 128 + 4 + 12 * len(tags)
    table, content = struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        table += name + struct.pack(">II", place + len(content), len(data))
        content += data + bytes(-len(data) % 4)
    size = place + len(content)
    kinds = struct.pack(">I4sI4s4s4s", size, b"\0\0\0\0", 0x02400000, b"prtr", b"GRAY", b"XYZ ")
    header = kinds + struct.pack(">6H", *_MADE) + b"acsp" + bytes(28) + _write_xyz(*_D50)
    return header.ljust(128, b"\0") + table + content


def _write_xyz(*values: float) -> bytes:
    return struct.pack(">3i", *(round(value * 65536) for value in values))
