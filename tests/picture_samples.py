"""Pictures made on the spot, for the tests of reading, placing and writing them."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

from PIL import Image

PNG_START = b"\x89PNG\r\n\x1a\n"


def chunk(kind: bytes, content: bytes) -> bytes:
    """A chunk of a PNG file, with its checksum."""
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def save(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    buffer = BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def badge(mode: str = "RGB", width: int = 240, height: int = 120) -> Image.Image:
    """A field of changing colours, the same every time."""
    image = Image.new("RGB", (width, height))
    image.putdata([(x % 256, y * 2 % 256, (x + y) % 256) for y in range(height) for x in range(width)])
    if mode in ("LA", "RGBA"):
        image = image.convert("L" if mode == "LA" else "RGB")
        image.putalpha(Image.linear_gradient("L").resize((width, height)))
        return image
    return image.convert(mode)


def badge_png(mode: str = "RGB", width: int = 240, height: int = 120) -> bytes:
    return save(badge(mode, width, height))


def badge_jpeg(mode: str = "RGB", **options: object) -> bytes:
    return save(badge(mode), "JPEG", quality=90, **options)


def header_only_png(width: int, height: int, depth: int = 8, colour_type: int = 2) -> bytes:
    """A PNG that says how large it is and holds next to nothing of it."""
    header = struct.pack(">IIBBBBB", width, height, depth, colour_type, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 100)
    return PNG_START + chunk(b"IHDR", header) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


def insert_chunk(png: bytes, kind: bytes, content: bytes) -> bytes:
    """The PNG with one more chunk right after its header."""
    end = len(PNG_START) + 25
    return png[:end] + chunk(kind, content) + png[end:]


def insert_segment(jpeg: bytes, marker: int, content: bytes) -> bytes:
    """The JPEG with one more segment right after its start."""
    return jpeg[:2] + bytes([0xFF, marker]) + struct.pack(">H", len(content) + 2) + content + jpeg[2:]


def exif_turned(orientation: int) -> bytes:
    """Exif data that says how to turn the picture, and that names a place."""
    notes = Image.Exif()
    notes[0x0112] = orientation
    notes[0x010E] = "taken at 51 Elm Lane"
    return notes.tobytes()
