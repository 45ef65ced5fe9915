"""A photograph or logo from the content folder, at a printed width."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Annotated, Any, Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, ShowsPicture, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Words
from pocketref.problems import Location, ProblemLog, refusal
from pocketref.scene.items import Raster
from pocketref.source.pictures import PictureFile
from pocketref.source.syntax.kinds import LengthField, Line, Sentence
from pocketref.units.length import Length
from pocketref.words.terminal import tell

LEAST_DPI = 150
"""Below this many pixels to an inch, the pixels of a photo show at arm's length: half of the 300 that printers
ask for (common practice)."""


def check_resolution(
    picture: PictureFile, width: Length, where: Location | None, problems: ProblemLog
) -> None:
    """Warn of a picture with too few pixels for its printed width; `where` it follows from."""
    across = picture.pixels[0]
    dpi = across / width.inches
    if dpi < LEAST_DPI:
        sentence = tell(
            "{name} is {across:,} pixels across: {dpi:.0f} dpi at this size, and print needs {least_dpi}",
            name=picture.name,
            across=across,
            dpi=float(dpi),
            least_dpi=LEAST_DPI,
        )
        least = ceil(LEAST_DPI * width.inches)
        hint = tell("use a picture at least {least:,} pixels wide, or a smaller size", least=least)
        problems.warn("picture-coarse", sentence, hint, where)


def _check_photo(block: PhotoBlockModel, picture: PictureFile, problems: ProblemLog) -> None:
    check_resolution(picture, block.width, block.locate("width"), problems)


def find_picture(asked: Any, pictures: Mapping[str, PictureFile]) -> PictureFile:
    """The picture that a model names under `file`; raises PocketrefError if no content folder was read for it."""
    picture = pictures.get(asked.file)
    if picture is None:
        sentence, hint = (
            tell("{file} was not read", file=asked.file),
            tell("give the content folder that the picture is in"),
        )
        raise refusal("picture-missing", sentence, hint, asked.locate("file"))
    return picture


class PhotoBlockModel(BlockModel):
    """A photograph or logo: a PNG or JPEG file of the content folder."""

    block: Literal["photo"]
    file: Annotated[Line, ShowsPicture(_check_photo)] = Field(
        description="its path in the content folder, such as pictures/logo.png"
    )
    width: LengthField = Field(description="its printed width, such as 20 mm; the height follows")
    alt: Sentence = Field(description="what it shows, in words for who cannot see it")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The picture as it was read."""
        return PhotoBlock(find_picture(self, setting.pictures), self.width.float_mm, self.alt)


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
