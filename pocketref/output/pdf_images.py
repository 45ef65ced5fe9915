"""Rasters as image XObjects (ISO 32000-1, 8.9): each picture once, grey or RGB, its transparency as a soft mask."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Literal

from PIL import Image, ImageChops
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from reportlab.pdfbase import pdfdoc

from pocketref.scene.items import Raster

_PNG_START_LENGTH = 8
_CHUNK_FRAME = 12  # length, name and checksum of a PNG chunk


@dataclass(frozen=True, slots=True)
class _Samples:
    """An image's encoded samples and how to decode them; `mask` is its opacity as an image of its own."""

    pixels: tuple[int, int]
    colours: int
    filter_name: Literal["FlateDecode", "DCTDecode"]
    data: bytes
    mask: _Samples | None = None


class PdfImages:
    """The pictures of one document, each written once however often it is placed."""

    def __init__(self, doc: pdfdoc.PDFDocument) -> None:
        self._doc = doc
        self._names: dict[bytes, str] = {}
        self.streams: list[bytes] = []

    def name_image(self, raster: Raster) -> str:
        """The resource name of the raster's picture, written on first use."""
        name = self._names.get(raster.data)
        if name is None:
            name = self._names[raster.data] = f"Image{len(self._names) + 1}"
            self._write(_encode(raster.data, raster.kind), name)
        return name

    def _write(self, samples: _Samples, name: str) -> pdfdoc.PDFObjectReference:
        self.streams.append(samples.data)
        width, height = samples.pixels
        entries: dict[str, object] = {
            "Type": "/XObject",
            "Subtype": "/Image",
            "Width": width,
            "Height": height,
            "ColorSpace": "/DeviceGray" if samples.colours == 1 else "/DeviceRGB",
            "BitsPerComponent": 8,
            "Filter": f"/{samples.filter_name}",
        }
        if samples.filter_name == "FlateDecode":
            # A row begins with its predictor, as in PNG (ISO 32000-1, 7.4.4.4).
            parameters = {"Predictor": 15, "Colors": samples.colours, "BitsPerComponent": 8, "Columns": width}
            entries["DecodeParms"] = pdfdoc.PDFDictionary(parameters)
        if samples.mask is not None:
            entries["SMask"] = self._write(samples.mask, f"{name}Mask")
        stream = pdfdoc.PDFStream(pdfdoc.PDFDictionary(entries), samples.data)
        return self._doc.Reference(stream, name)


def is_grey(raster: Raster) -> bool:
    """Whether the raster's picture is written in greys alone."""
    return _encode(raster.data, raster.kind).colours == 1


@lru_cache(maxsize=16)  # a card's picture stands again in the press sheets and in each member's run
def _encode(data: bytes, kind: Literal["png", "jpeg"]) -> _Samples:
    """JPEG as it is; PNG decoded, and its samples encoded in as few colours as they need."""
    if kind == "jpeg":
        jpeg = JpegImageFile(BytesIO(data))
        return _Samples(jpeg.size, len(jpeg.getbands()), "DCTDecode", data)
    colour, opacity = _separate(PngImageFile(BytesIO(data)))
    return _deflate(colour, _deflate(opacity) if opacity is not None else None)


def _separate(image: Image.Image) -> tuple[Image.Image, Image.Image | None]:
    """The colours, grey where all are, and the opacity where it is not full everywhere."""
    has_alpha = "A" in image.getbands() or "transparency" in image.info
    bands = image.convert("RGBA" if has_alpha else "RGB").split()
    red, green, blue = bands[:3]
    is_grey = all(ImageChops.difference(red, band).getbbox() is None for band in (green, blue))
    colour = red if is_grey else Image.merge("RGB", bands[:3])
    is_clear = has_alpha and bands[3].getextrema() != (255, 255)
    return colour, bands[3] if is_clear else None


def _deflate(image: Image.Image, mask: _Samples | None = None) -> _Samples:
    """The samples as PNG compresses them, which PDF reads as they are."""
    buffer = BytesIO()
    image.save(buffer, "PNG")
    data = _join_samples(buffer.getvalue())
    return _Samples(image.size, len(image.getbands()), "FlateDecode", data, mask)


def _join_samples(png: bytes) -> bytes:
    """The content of the IDAT chunks of a PNG file (ISO/IEC 15948, 11.2.4)."""
    parts, at = [], _PNG_START_LENGTH
    while at < len(png):
        length = int.from_bytes(png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            parts.append(png[at + 8 : at + 8 + length])
        at += length + _CHUNK_FRAME
    return b"".join(parts)
