"""The closed set of drawable items: shapes, texts, form fields, rasters, and scenes placed whole.

All coordinates are millimetres with y up; angles are degrees, counter-clockwise from +x. Every value is
frozen; writers handle each kind and decide nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal


@dataclass(frozen=True, slots=True)
class Ink:
    """A printing ink mix and its screen twin.

    `cmyk` are shares from 0 to 1; a grey has only k, so that black text prints as one ink.
    `srgb` is "#rrggbb" for SVG and HTML. `plate` names the plate of an ink that is not mixed from the process
    inks; `cmyk` is then what stands for it where there is no such plate.
    """

    name: str
    cmyk: tuple[float, float, float, float]
    srgb: str
    plate: str = ""


class FontFace(StrEnum):
    """The embedded typefaces, by role-neutral weight."""

    REGULAR = "regular"
    MEDIUM = "medium"
    BOLD = "bold"
    ITALIC = "italic"

    __hash__ = str.__hash__  # an enum's own hash is computed in Python, and faces are looked up at every word


class Slot(StrEnum):
    """What differs from one copy of a page to the next."""

    OWNER = "whose card it is"
    SHEET = "which sheet of a run it is"
    PAGE = "which page of a list it is"
    NUMBER = "a member's number"
    NAME = "a member's name"
    SET = "the code and level of a member's set"
    QUANTITY = "how many sets a member gets"
    CARDS = "how many cards a member gets"

    @property
    def is_padded(self) -> bool:
        """Whether figures are set in it after spaces, each as wide as a figure, so that they end in line."""
        return self in (Slot.QUANTITY, Slot.CARDS)


class Cap(StrEnum):
    """How a stroke ends."""

    BUTT = "butt"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class Stroke:
    """A pen: width in mm, ink, dash pattern in mm (empty is solid), line end; and whether it cuts corners flat.

    A corner that is not cut reaches beyond its point, the further the sharper it is.
    """

    width_mm: float
    ink: Ink
    dash_mm: tuple[float, ...] = ()
    cap: Cap = Cap.BUTT
    is_bevelled: bool = False


# Segments are values too, but to make a frozen one takes more than twice as long, and an edition has 200,000.
@dataclass(slots=True, unsafe_hash=True)
class MoveTo:
    """Begin a subpath at (x, y)."""

    x: float
    y: float


@dataclass(slots=True, unsafe_hash=True)
class LineTo:
    """A straight segment to (x, y)."""

    x: float
    y: float


@dataclass(slots=True, unsafe_hash=True)
class CurveTo:
    """A cubic Bezier to (x, y) with control points (x1, y1) and (x2, y2)."""

    x1: float
    y1: float
    x2: float
    y2: float
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Close:
    """Close the subpath."""


Segment = MoveTo | LineTo | CurveTo | Close


@dataclass(frozen=True, slots=True)
class Shape:
    """A path, stroked, filled (non-zero winding), or both."""

    path: tuple[Segment, ...]
    stroke: Stroke | None = None
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One run of text on one baseline; (x, y) is its start, middle or end by `anchor`.

    `width_mm` is the advance width measured with the embedded face, so that writers and checks need no
    measuring of their own. `angle` turns the run about (x, y). A text with a slot is open: it has no content, as
    each copy says its own there, and its width is the room for that.
    """

    x: float
    y: float
    content: str
    face: FontFace
    size_pt: float
    ink: Ink
    width_mm: float
    anchor: Literal["start", "middle", "end"] = "start"
    angle: float = 0.0
    slot: Slot | None = None
    foreign: tuple[tuple[int, int, str], ...] = ()
    """Where words in another language than that of its element begin and end, in order, and its tag (BCP 47)."""


@dataclass(frozen=True, slots=True)
class FormField:
    """A blank that can be typed into in the PDF and is an empty box in print and in SVG.

    (x, y) is the lower left corner. `name` is unique in a document; `tooltip` says what belongs there.
    """

    x: float
    y: float
    width_mm: float
    height_mm: float
    name: str
    tooltip: str
    size_pt: float = 10.0
    kind: Literal["text", "checkbox"] = "text"


@dataclass(frozen=True, slots=True)
class Raster:
    """A photograph or logo: pixels that fill an upright rectangle with its lower left corner at (x, y).

    `data` is a whole PNG or JPEG file of 8 bits a sample or fewer, grey or RGB, that decodes; `pixels` are its
    width and height. A writer may embed it once however often it is placed.
    """

    x: float
    y: float
    width_mm: float
    height_mm: float
    data: bytes = field(repr=False)
    kind: Literal["png", "jpeg"]
    pixels: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing that is reused whole: its extent and its items, origin at the lower left.

    `key` is unique among the scenes of a document; a PDF writer makes one form of it.
    """

    key: str
    width_mm: float
    height_mm: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A scene placed with its lower-left corner of the unturned scene at (x, y), turned about that point."""

    scene: Scene
    x: float
    y: float
    quarter_turns: Literal[0, 1, 2, 3] = 0


Item = Shape | Text | FormField | Raster | Placed
