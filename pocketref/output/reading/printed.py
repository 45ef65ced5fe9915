"""What is found on the pages of a finished file: runs of text, paths and images, in page millimetres with y up."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.page import Box

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PrintedText:
    """One run of text as it stands on the page, whatever forms it is nested in.

    (x, y) is the start of its baseline; `corners` is the box around its ink, turned with it, going
    counter-clockwise from the lower left as the text is read. `size_pt` is the size after every scaling.
    """

    content: str
    x: float
    y: float
    size_pt: float
    angle: float
    font: str
    is_embedded: bool
    corners: tuple[Point, Point, Point, Point]

    @property
    def has_ink(self) -> bool:
        """False for a run of spaces."""
        (ax, ay), (bx, by), _, (dx, dy) = self.corners
        return abs((bx - ax) * (dy - ay) - (by - ay) * (dx - ax)) > 1e-9

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """The upright box (left, bottom, right, top) around the ink."""
        xs, ys = zip(*self.corners, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class PrintedPath:
    """One painted path: the upright box (left, bottom, right, top) of its lines, and the width of its pen.

    The box leaves the pen out; sharp slanting corners may make it too large, never too small. `is_artifact`
    tells whether the path is marked as decoration.
    """

    extent: tuple[float, float, float, float]
    stroke_mm: float
    is_artifact: bool


@dataclass(frozen=True, slots=True)
class PrintedImage:
    """One placed image: the upright box (left, bottom, right, top) it fills, and whether it is decoration."""

    extent: tuple[float, float, float, float]
    is_artifact: bool


@dataclass(frozen=True, slots=True)
class PrintedPage:
    """One page: its boxes as the file states them, and what is on it in drawing order."""

    media: Box
    crop: Box
    trim: Box
    bleed: Box
    texts: tuple[PrintedText, ...]
    paths: tuple[PrintedPath, ...]
    images: tuple[PrintedImage, ...] = ()

    @property
    def has_ink(self) -> bool:
        """Whether anything at all is drawn."""
        return bool(self.paths or self.images) or any(text.has_ink for text in self.texts)


@dataclass(frozen=True, slots=True)
class PrintedDocument:
    """The pages of one file."""

    pages: tuple[PrintedPage, ...]
