"""A photograph or logo from the content folder, at a printed width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Annotated, Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, ShowsPicture, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Words
from pocketref.problems import PocketrefError, Problem, ProblemLog
from pocketref.scene.items import Raster
from pocketref.source.pictures import PictureFile
from pocketref.source.syntax.kinds import LengthField, Sentence

LEAST_DPI = 150
"""Below this many pixels to an inch, the pixels of a photo show at arm's length: half of the 300 that printers
ask for (common practice)."""


def _check_resolution(block: PhotoBlockModel, picture: PictureFile, problems: ProblemLog) -> None:
    """Warn of a picture with too few pixels for its printed width."""
    across = picture.pixels[0]
    dpi = across / block.width.inches
    if dpi < LEAST_DPI:
        sentence = (
            f"{block.file} is {across:,} pixels across: {float(dpi):.0f} dpi at this width, "
            f"and print needs {LEAST_DPI}"
        )
        least = ceil(LEAST_DPI * block.width.inches)
        hint = f"use a picture at least {least:,} pixels wide, or a smaller width"
        problems.warn("picture-coarse", sentence, hint, block.locate("width"))


class PhotoBlockModel(BlockModel):
    """A photograph or logo: a PNG or JPEG file of the content folder."""

    block: Literal["photo"]
    file: Annotated[Sentence, ShowsPicture(_check_resolution)] = Field(
        description="its path in the content folder, such as pictures/logo.png"
    )
    width: LengthField = Field(description="its printed width, such as 20 mm; the height follows")
    alt: Sentence = Field(description="what it shows, in words for who cannot see it")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The picture as it was read."""
        picture = setting.pictures.get(self.file)
        if picture is None:
            hint = "give the content folder that the picture is in"
            where = self.locate("file")
            raise PocketrefError([Problem("picture-missing", f"{self.file} was not read", hint, where)])
        return PhotoBlock(picture, self.width.float_mm, self.alt)


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

    def words(self) -> Words:
        """What it shows."""
        return (FigureWords(self.alt),)
