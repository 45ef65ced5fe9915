"""Drawing operators of PDF (ISO 32000-1, clauses 8 and 9) for the closed set of items.

One `Drawing` is one content stream. It knows the pen, ink and type in force, so that an operator is written
only where something changes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from reportlab.pdfbase import pdfdoc

from pocketref.output.contents import outline_blank
from pocketref.output.numbers import number, numbers
from pocketref.output.pdf_fonts import FontSetter
from pocketref.output.pdf_images import PdfImages
from pocketref.output.pdf_press import write_lab_separation
from pocketref.scene.items import (
    Cap,
    CurveTo,
    FontFace,
    FormField,
    Ink,
    Item,
    LineTo,
    MoveTo,
    Placed,
    Raster,
    Scene,
    Segment,
    Shape,
    Stroke,
    Text,
)
from pocketref.scene.paths import extent_of_all
from pocketref.scene.typefaces import list_languages
from pocketref.source.digest import encode_field
from pocketref.units.length import PT_PER_MM

_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
_ANCHOR_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_CAP_STYLE = {Cap.BUTT: 0, Cap.ROUND: 1}
_TURN_PLACES = 6  # a turn is multiplied by lengths up to a page, so it needs more decimals than they do


@lru_cache(maxsize=256)
def _ink_operators(ink: Ink, *, strokes: bool) -> str:
    """The operators that choose the ink for strokes or fills: an ink of black alone is a grey.

    Black written as CMYK (0, 0, 0, 1) or as DeviceGray 0 prints with one plate; as RGB it would not.
    """
    cyan, magenta, yellow, black = ink.cmyk
    if ink.plate:
        return f"/{_name_plate(ink)} {'CS 1 SCN' if strokes else 'cs 1 scn'}"
    if cyan == magenta == yellow == 0:
        return f"{number(1 - black)} {'G' if strokes else 'g'}"
    return f"{numbers(cyan, magenta, yellow, black)} {'K' if strokes else 'k'}"


def _name_plate(ink: Ink) -> str:
    """The resource name of a spot ink's colour space."""
    return f"Plate{ink.plate.encode().hex()}"


def _write_separation(ink: Ink, *, in_lab: bool) -> str:
    """A colour space of one plate (ISO 32000-1, 8.6.6.4), its tint mixed of process inks where there is none.

    Where no mix may be asked for, the tint is told `in_lab`.
    """
    name = "".join(
        chr(code) if chr(code).isalnum() and code < 128 else f"#{code:02X}" for code in ink.plate.encode()
    )
    if in_lab:
        return write_lab_separation(ink, name)
    tint = f"<< /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [{numbers(*ink.cmyk)}] >>"
    return f"[/Separation /{name} /DeviceCMYK {tint}]"


@lru_cache(maxsize=256)
def _pen_operators(stroke: Stroke) -> str:
    dash = numbers(*(length * PT_PER_MM for length in stroke.dash_mm))
    width = number(stroke.width_mm * PT_PER_MM)
    return f"{_ink_operators(stroke.ink, strokes=True)} {width} w {_CAP_STYLE[stroke.cap]} J [{dash}] 0 d"


@lru_cache(maxsize=64)
def _turn(angle: float) -> tuple[float, float]:
    """Cosine and sine, exact for quarter turns."""
    angle %= 360
    return _QUARTERS.get(angle) or (math.cos(math.radians(angle)), math.sin(math.radians(angle)))


def path_operators(path: tuple[Segment, ...]) -> str:
    """The path's construction operators, millimetres turned into points."""
    parts: list[str] = []
    for segment in path:
        if isinstance(segment, LineTo):
            parts.append(f"{number(segment.x * PT_PER_MM)} {number(segment.y * PT_PER_MM)} l")
        elif isinstance(segment, MoveTo):
            parts.append(f"{number(segment.x * PT_PER_MM)} {number(segment.y * PT_PER_MM)} m")
        elif isinstance(segment, CurveTo):
            points = (segment.x1, segment.y1, segment.x2, segment.y2, segment.x, segment.y)
            parts.append(numbers(*[value * PT_PER_MM for value in points]) + " c")
        else:
            parts.append("h")
    return " ".join(parts)


def _form_box(scene: Scene) -> str:
    """The form's BBox operands in points. It clips, which a scene does not, so it holds every item."""
    left, bottom, right, top = extent_of_all(scene.items)
    edges = (min(left, 0), min(bottom, 0), max(right, scene.width_mm), max(top, scene.height_mm))
    return numbers(*((edge + pad) * PT_PER_MM for edge, pad in zip(edges, (-1, -1, 1, 1), strict=True)))


def make_stream(content: bytes, entries: Mapping[str, object] | None = None) -> pdfdoc.PDFStream:
    """A stream, compressed unless an edition's digest is to be set into it."""
    filters = [] if encode_field() in content else [pdfdoc.PDFZCompress]
    return pdfdoc.PDFStream(pdfdoc.PDFDictionary(dict(entries or {})), content, filters)


class SceneForms:
    """The scenes of one document as Form XObjects, each written once however often it is placed."""

    def __init__(self, doc: pdfdoc.PDFDocument, fonts: FontSetter, *, in_lab: bool) -> None:
        self._doc = doc
        self._fonts = fonts
        self._in_lab = in_lab
        self._scenes: dict[str, tuple[Scene, str]] = {}
        self.images = PdfImages(doc)
        self.streams: list[bytes] = []

    def name_form(self, scene: Scene) -> str:
        """The resource name of the scene's form, written on first use.

        ValueError if two different scenes share a key, or if a scene holds a form field, which PDF allows on
        pages alone.
        """
        known = self._scenes.get(scene.key)
        if known is None:
            name = f"Scene{len(self._scenes) + 1}"
            self._scenes[scene.key] = (scene, name)
            self._write_form(scene, name)
            return name
        if known[0] is not scene and known[0] != scene:
            raise ValueError(f"two different scenes have the key {scene.key!r}")
        return known[1]

    def _write_form(self, scene: Scene, name: str) -> None:
        blanks = [item.name for item in scene.items if isinstance(item, FormField)]
        if blanks:
            raise ValueError(f"the form field {blanks[0]!r} is inside the scene {scene.key!r}")
        drawing = Drawing(self._fonts.encode, self.name_form, self.images.name_image, in_lab=self._in_lab)
        drawing.draw_items(scene.items)
        content = drawing.encode()
        self.streams.append(content)
        entries = {
            "Type": "/XObject",
            "Subtype": "/Form",
            "FormType": 1,
            "BBox": f"[{_form_box(scene)}]",
            "Resources": drawing.resources(),
        }
        self._doc.Reference(make_stream(content, entries), name)


class Drawing:
    """One content stream being written.

    `encode` gives pieces of a text, each with its font's resource name and its escaped string, latin-1 for bytes;
    `name_form` and `name_image` the resource names of what is placed. `in_lab` is how spot inks are told.
    """

    def __init__(
        self,
        encode: Callable[[str, FontFace], list[tuple[str, str]]],
        name_form: Callable[[Scene], str],
        name_image: Callable[[Raster], str],
        *,
        in_lab: bool = False,
    ) -> None:
        self._in_lab = in_lab
        self._encode = encode
        self._name_form, self._name_image = name_form, name_image
        self.code: list[str] = []
        self._objects: set[str] = set()
        self._plates: dict[str, str] = {}
        # Unknown at the start: a form inherits the state of whatever it is placed on.
        self._pen = ""
        self._fill = ""
        self._type: tuple[str, float] | None = None

    def draw_items(self, items: Sequence[Item]) -> None:
        """Write items that are read together. A run is parted from the next by a space, which has no ink.

        Without it, whoever listens to the page or copies from it gets the last word of a line and the first
        of the next as one.
        """
        last = max((index for index, item in enumerate(items) if isinstance(item, Text)), default=-1)
        for index, item in enumerate(items):
            self._draw_item(item, " " if index < last else "")

    def _draw_item(self, item: Item, gap: str) -> None:
        """Write one item: a path, a run of text, a placed scene, a raster, or a blank's box."""
        if isinstance(item, Text):
            self._draw_text(item, gap)
        elif isinstance(item, Shape):
            self._draw_shape(item)
        elif isinstance(item, Placed):
            self._place_scene(item)
        elif isinstance(item, Raster):
            self._place_raster(item)
        else:
            self._draw_shape(outline_blank(item))

    def encode(self) -> bytes:
        """The finished stream."""
        return "\n".join(self.code).encode("latin-1") + b"\n"

    def resources(self) -> pdfdoc.PDFDictionary:
        """The fonts, forms, images and spot inks that the stream names."""
        entries: dict[str, object] = {"Font": pdfdoc.PDFObjectReference(pdfdoc.BasicFonts)}
        if self._objects:
            objects = {name: pdfdoc.PDFObjectReference(name) for name in sorted(self._objects)}
            entries["XObject"] = pdfdoc.PDFDictionary(objects)
        if self._plates:
            entries["ColorSpace"] = pdfdoc.PDFDictionary(dict(sorted(self._plates.items())))
        return pdfdoc.PDFDictionary(entries)

    def _draw_shape(self, shape: Shape) -> None:
        stroke, fill = shape.stroke, shape.fill
        if stroke is not None:
            pen = _pen_operators(stroke)
            if pen != self._pen:
                self._pen = pen
                self.code.append(pen)
                self._note_plate(stroke.ink)
        if fill is not None:
            self._set_fill(fill)
        painting = ("B" if fill else "S") if stroke else ("f" if fill else "n")
        drawn = f"{path_operators(shape.path)} {painting}"
        self.code.append(f"2 j {drawn} 0 j" if stroke and stroke.is_bevelled else drawn)

    def _set_fill(self, ink: Ink) -> None:
        fill = _ink_operators(ink, strokes=False)
        if fill != self._fill:
            self._fill = fill
            self.code.append(fill)
            self._note_plate(ink)

    def _note_plate(self, ink: Ink) -> None:
        if ink.plate:
            self._plates[_name_plate(ink)] = _write_separation(ink, in_lab=self._in_lab)

    def _draw_text(self, text: Text, gap: str) -> None:
        if text.content:
            place = self._begin_text(text)
            shown = [
                self._set_piece(language, [self._set_run(text.face, *run) for run in runs])
                for language, runs in list_languages(text, gap)
            ]
            self.code.append(f"{place} {' '.join(shown)} ET")

    def _set_piece(self, language: str, runs: Sequence[str]) -> str:
        """Runs that follow each other, as a span if they are in another language (ISO 32000-1, 14.9.2.3)."""
        shown = " ".join(runs)
        return f"/Span <</Lang ({language})>> BDC {shown} EMC" if language else shown

    def _begin_text(self, text: Text) -> str:
        """Set the ink; the operators that begin the run where it starts."""
        self._set_fill(text.ink)
        back = _ANCHOR_SHARE[text.anchor] * text.width_mm
        if text.angle == 0:
            return f"BT {numbers((text.x - back) * PT_PER_MM, text.y * PT_PER_MM)} Td"
        cos, sin = _turn(text.angle)
        turn = " ".join(number(value, _TURN_PLACES) for value in (cos, sin, -sin, cos))
        start = numbers((text.x - back * cos) * PT_PER_MM, (text.y - back * sin) * PT_PER_MM)
        return f"BT {turn} {start} Tm"

    def _set_run(self, face: FontFace, content: str, size_pt: float, rise_mm: float, spelt: str) -> str:
        """The operators of one piece; a fraction is marked with what it says (ISO 32000-1, 14.9.4)."""
        shown = " ".join([self._show(name, string, size_pt) for name, string in self._encode(content, face)])
        if not rise_mm:
            return shown
        rise = number(rise_mm * PT_PER_MM)
        return f"/Span <</ActualText ({spelt})>> BDC {rise} Ts {shown} 0 Ts EMC"

    def _show(self, font_name: str, string: str, size_pt: float) -> str:
        """The string's operators; font and size are named only if they change, as they outlast ET."""
        wanted = (font_name, size_pt)
        if wanted == self._type:
            return f"({string}) Tj"
        self._type = wanted
        return f"{font_name} {number(size_pt)} Tf ({string}) Tj"

    def _place_scene(self, placed: Placed) -> None:
        name = self._name_form(placed.scene)
        self._objects.add(name)
        cos, sin = _turn(90 * placed.quarter_turns)
        place = numbers(cos, sin, -sin, cos, placed.x * PT_PER_MM, placed.y * PT_PER_MM)
        self.code.append(f"q {place} cm /{name} Do Q")

    def _place_raster(self, raster: Raster) -> None:
        """An image fills the unit square (ISO 32000-1, 8.9.5.1), so its matrix is its size and place."""
        name = self._name_image(raster)
        self._objects.add(name)
        sides = (raster.width_mm, 0, 0, raster.height_mm, raster.x, raster.y)
        self.code.append(f"q {numbers(*(side * PT_PER_MM for side in sides))} cm /{name} Do Q")
