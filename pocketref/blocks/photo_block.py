"""A photograph or logo from the content folder, at a printed width."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.items import Raster
from pocketref.source.pictures import PictureFile


@dataclass(frozen=True, slots=True)
class PhotoBlock:
    """A picture of a fixed width, as high as its pixels make it; `alt` says what it shows."""

    picture: PictureFile
    width_mm: float
    alt: str
    grows: bool = False

    @property
    def label(self) -> str:
        """Its name in messages."""
        return f"photo {self.picture.name}"

    @property
    def height_mm(self) -> float:
        """Its printed height: pixels are square."""
        across, down = self.picture.pixels
        return self.width_mm * down / across

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Its own height, at any width and any type."""
        return self.height_mm

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much it is too wide."""
        return max(self.width_mm - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box, centred."""
        left = box.x + (box.width_mm - self.width_mm) / 2
        picture = self.picture
        raster = Raster(
            left,
            box.top - self.height_mm,
            self.width_mm,
            self.height_mm,
            picture.data,
            picture.kind,
            picture.pixels,
        )
        return Element(Role.FIGURE, (raster,), alt=self.alt, label=self.label)
