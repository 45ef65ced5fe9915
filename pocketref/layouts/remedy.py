"""What to do about a card or sheet that does not fit: the smallest stock is looked for on which it does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from pocketref.layouts.cards import find_languages
from pocketref.layouts.face_fit import TOO_LARGE, LaidOut
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import FRONT_AND_BACK, CardModel, SheetModel
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.problems import PocketrefError, Problem
from pocketref.words.terminal import tell


def write_remedy(
    problems: Sequence[Problem],
    model: CardModel | SheetModel,
    stock_name: str,
    layouts: Layouts,
    lay_out: Callable[..., LaidOut],
) -> Sequence[Problem]:
    """The problems of what `lay_out` refused, those of size with what it fits with.

    That is another stock; for a card in two languages, either side in one as well.
    """
    if not any(problem.code == TOO_LARGE for problem in problems):
        return problems
    hint = tell(
        "shorten its text, drop a block, or add a larger stock: it fits on none of those that there are"
    )
    for name in _list_larger(model, stock_name, layouts):
        with suppress(PocketrefError):
            if not check_overlaps(lay_out(stock_name=name)):
                hint = tell(
                    "shorten its text, drop a block, or choose a larger stock: it fits on {name}", name=name
                )
                break
    if isinstance(model, CardModel) and len(find_languages(model)) > 1:
        with suppress(PocketrefError):
            if not check_overlaps(lay_out(shown=model.model_copy(update={"sides": FRONT_AND_BACK}))):
                hint = tell("{hint}; with 'sides: front-and-back' it fits here", hint=hint)
    return [replace(p, hint=hint) if p.code == TOO_LARGE else p for p in problems]


def _list_larger(model: CardModel | SheetModel, name: str, layouts: Layouts) -> Iterator[str]:
    """The larger stocks, smallest first; for a card cards only, for one with a hole those with one."""
    here = layouts.stocks[name]
    larger = sorted(
        (stock.width.mm * stock.height.mm, other)
        for other, stock in layouts.stocks.items()
        if stock.width >= here.width and stock.height >= here.height and other != name
    )
    for _, other in larger:
        stock = layouts.stocks[other]
        is_alike = stock.kind == here.kind and (stock.punch or not here.punch)
        if is_alike or not isinstance(model, CardModel):
            yield other
