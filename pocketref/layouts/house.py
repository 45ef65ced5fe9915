"""What holds for every card and sheet of an edition unless its layout, or an option of the command, says otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from pocketref.blocks.model import ShowsPicture
from pocketref.blocks.photo import PhotoBlock, check_resolution, find_picture
from pocketref.layouts.layout_models import Sides, StockName
from pocketref.pages.press.imposition import Flip
from pocketref.pages.press.press_grid import Order
from pocketref.pages.stock_models import StockModel, suggest_stock
from pocketref.problems import ProblemLog, write_unknown
from pocketref.source.for_levels import ALL_IN_FORCE
from pocketref.source.pictures import PictureFile
from pocketref.source.syntax.kinds import LengthField, Line, Name, OneOrMany, Sentence
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length

HOUSE = "house.yaml"


def _check_logo(logo: Any, picture: PictureFile, problems: ProblemLog) -> None:
    """Warn of a logo with too few pixels for its printed height."""
    across, down = picture.pixels
    check_resolution(picture, Length(logo.height.inches * across / down), logo.locate("height"), problems)


class LogoModel(SourceModel):
    """The association's badge, printed in the band across the top of faces."""

    file: Annotated[Line, ShowsPicture(_check_logo)] = Field(
        description="its path in the content folder, such as pictures/logo.png"
    )
    alt: Sentence = Field(description="what it shows, in words for who cannot see it")
    height: LengthField = Field(
        default=Length.from_mm(5), description="its printed height; a band is at least as high"
    )
    side: Literal["front", "back", "both"] = Field(
        default="front", description="the faces of a card or sheet that it is on"
    )


class HouseModel(SourceModel):
    """The file house.yaml: what holds for the whole edition unless a layout or a command's option says otherwise."""

    for_: OneOrMany[Name] = Field(
        default=(ALL_IN_FORCE,),
        description="what layouts are for that name no level: all-in-force, or a list of levels and codes",
    )
    card_stock: StockName = Field(
        default="index-3x5", description="the stock of cards that name none, one of stocks.yaml"
    )
    sides: Sides = Field(
        default="front-and-back",
        description="by-language: cards that do not say have each face in two languages, one on either side",
    )
    paper: Name = Field(
        default="letter", description="the paper of what names none, and of press sheets, one of stocks.yaml"
    )
    flip: Flip = Field(default="long", description="the edge that press sheets turn over")
    order: Order = Field(default="sequence", description="how cards follow on press sheets")
    logo: LogoModel | None = Field(
        default=None, description="{file: ..., alt: ..., height: 6 mm, side: front}"
    )

    def check(self, stocks: Mapping[str, StockModel], problems: ProblemLog) -> None:
        """Note a stock that there is not, or that is of the other kind."""
        for key, name, kind in (("card-stock", self.card_stock, "card"), ("paper", self.paper, "paper")):
            known = {each: stock for each, stock in stocks.items() if stock.kind == kind}
            if name not in known:
                what = "stock of cards" if kind == "card" else "paper"
                code = "stock-unknown" if kind == "card" else "paper-unknown"
                hint = suggest_stock(name, known)
                problems.error(code, write_unknown(what, name), hint, self.locate(key))

    def find_logo(self, side: str, pictures: Mapping[str, PictureFile]) -> PhotoBlock | None:
        """The logo of a face, or None: the edition has none, or none there."""
        logo = self.logo
        if logo is None or logo.side not in (side, "both"):
            return None
        picture = find_picture(logo, pictures)
        across, down = picture.pixels
        return PhotoBlock(picture, logo.height.float_mm * across / down, logo.alt)
