"""What is inside a PNG or JPEG file: the parts that draw it are kept, and all that it says beside is dropped.

Cameras and editors write places, names and times into pictures, and these must not go out with an edition.
Colour profiles go too, so that each writer shows the same samples. Nothing is decoded here.
"""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass
from typing import Literal

from pocketref.words.terminal import tell

PictureKind = Literal["png", "jpeg"]

PNG_START = b"\x89PNG\r\n\x1a\n"
JPEG_START = b"\xff\xd8\xff"

# ISO/IEC 15948 (PNG), clause 11.2, and the transparency of 11.3.2.1.
_PNG_DRAWS = (b"IHDR", b"PLTE", b"IDAT", b"tRNS", b"IEND")
_PNG_DEPTH_AT = 24
# ITU-T T.81 (JPEG), table B.1.
_END, _START_OF_SCAN, _COMMENT = 0xD9, 0xDA, 0xFE
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_FRAMES_READ_EVERYWHERE = (0xC0, 0xC1, 0xC2)  # baseline, extended sequential, progressive; all Huffman
_JFIF, _EXIF, _LAST_APPLICATION, _ADOBE = 0xE0, 0xE1, 0xEF, 0xEE
_EXIF_MARK = b"Exif\0\0"
_SCAN_ENDS = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]")  # any marker but those that may stand in a scan


class BrokenPictureError(ValueError):
    """The bytes don't follow the format they begin with; the message says how, for a sentence."""


@dataclass(frozen=True, slots=True)
class DrawnParts:
    """A picture without what only talks about it. `exif` is its Exif data, empty without any."""

    kind: PictureKind
    data: bytes
    exif: bytes
    sample_bits: int = 8
    is_common: bool = True
    """Whether every reader of PDF and every browser decodes it."""


def keep_drawn_parts(content: bytes) -> DrawnParts | None:
    """The parts of a PNG or JPEG file that draw it; None if it is neither.

    BrokenPictureError if it is cut off or malformed.
    """
    try:
        if content.startswith(PNG_START):
            return _keep_chunks(content)
        return _keep_segments(content) if content.startswith(JPEG_START) else None
    except (struct.error, IndexError):
        raise BrokenPictureError(tell("it is cut off")) from None


def _keep_chunks(content: bytes) -> DrawnParts:
    kept, exif, at = [PNG_START], b"", len(PNG_START)
    kind = b""
    while kind != b"IEND":
        length, kind = struct.unpack_from(">I4s", content, at)
        end = at + 12 + length
        if end > len(content):
            raise BrokenPictureError(tell("it is cut off"))
        if kind in _PNG_DRAWS:
            kept.append(content[at:end])
        elif kind == b"eXIf":
            exif = content[at + 8 : end - 4]
        elif not kind[0] & 0x20:  # a critical chunk that the standard does not know
            raise BrokenPictureError(tell("it holds a part that no reader must understand"))
        at = end
    drawn = b"".join(kept)
    return DrawnParts("png", drawn, exif, sample_bits=drawn[_PNG_DEPTH_AT])


def _keep_segments(content: bytes) -> DrawnParts:
    kept, exif, at = [content[:2]], b"", 2
    is_common = True
    while True:
        if content[at] != 0xFF:
            raise BrokenPictureError(tell("its parts don't follow one another"))
        marker = content[at + 1]
        if marker == 0xFF:  # a fill byte
            at += 1
            continue
        if marker == _END:
            return DrawnParts("jpeg", b"".join([*kept, content[at : at + 2]]), exif, is_common=is_common)
        (length,) = struct.unpack_from(">H", content, at + 2)
        end = at + 2 + length
        if length < 2 or end > len(content):
            raise BrokenPictureError(tell("it is cut off"))
        if marker == _EXIF and content.startswith(_EXIF_MARK, at + 4):
            exif = exif or content[at + 4 + len(_EXIF_MARK) : end]
        if marker in _FRAMES:
            is_common = is_common and marker in _FRAMES_READ_EVERYWHERE
        if _draws(marker):
            kept.append(content[at:end])
        if marker == _START_OF_SCAN:
            kept.append(content[end : (scan_end := _find_scan_end(content, end))])
            end = scan_end
        at = end


def _draws(marker: int) -> bool:
    """Whether a segment is needed to draw: all but applications' notes and comments.

    JFIF's and Adobe's say which colours the components are.
    """
    is_note = _JFIF <= marker <= _LAST_APPLICATION and marker not in (_JFIF, _ADOBE)
    return not is_note and marker != _COMMENT


def _find_scan_end(content: bytes, start: int) -> int:
    found = _SCAN_ENDS.search(content, start)
    if found is None:
        raise BrokenPictureError(tell("it is cut off"))
    return found.start()
