"""What layouts of every kind name of the content and the stocks: a code and its level, a paper, plays."""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.layouts.class_models import ClassModel
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.stock_models import StockModel, suggest_stock
from pocketref.problems import Location, ProblemLog, write_unknown
from pocketref.source.library import Library
from pocketref.source.play_models import PlayModel, PlaySheetModel
from pocketref.words.terminal import tell

AnyLayout = CardModel | SheetModel | ClassModel | PlaySheetModel


def check_level(layout: AnyLayout, library: Library, problems: ProblemLog) -> None:
    """Note a code that there is not, or a level that it does not have."""
    problems.need(layout.code, library.codes, "code", layout.locate_level("code"))
    if layout.code in library.codes:
        levels = [field.level for field in library.fields.values() if field.code == layout.code]
        problems.need(layout.level, levels, "level", layout.locate_level("level"))


def check_paper(layout: AnyLayout, stocks: Mapping[str, StockModel], problems: ProblemLog) -> None:
    """Note a stock that is no paper."""
    papers = [name for name, stock in stocks.items() if stock.kind == "paper"]
    if layout.stock not in papers:
        hint = suggest_stock(layout.stock, papers)
        problems.error(
            "paper-unknown",
            write_unknown("paper", layout.stock),
            hint,
            layout.locate("stock"),
        )


def check_play(
    name: str, code: str, cases: Mapping[str, PlayModel], problems: ProblemLog, where: Location | None
) -> None:
    """Note a play that there is not, or that the code does not rule on."""
    problems.need(name, cases, "play", where)
    if name in cases and code not in cases[name].expect:
        hint = tell("give its ruling there: 'expect: {{{code}: ...}}'", code=code)
        problems.error(
            "play-not-told", tell("'{name}' is not told for {code}", name=name, code=code), hint, where
        )
