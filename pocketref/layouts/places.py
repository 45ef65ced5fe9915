"""Where everything is on the cards of a set, for a face that lists them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from pocketref.blocks.chart import ChartBlock
from pocketref.blocks.finder import FinderBlockModel
from pocketref.blocks.kinds import walk_blocks
from pocketref.blocks.legend import SymbolsBlockModel
from pocketref.blocks.setting import Place
from pocketref.layouts.layout_models import CardModel
from pocketref.pages.blocks import Block
from pocketref.pages.change_bar import ChangeBar
from pocketref.pages.composition import Face
from pocketref.pages.face_cut import list_blocks
from pocketref.problems import Location


def needs_places(card: CardModel) -> bool:
    """Whether a card tells what is on others, which must then be laid out first."""
    models = walk_blocks((*card.front, *card.back))
    return any(isinstance(model, FinderBlockModel | SymbolsBlockModel) for model in models)


def list_sets(card: CardModel) -> dict[str, Location | None]:
    """The further sets that a card's finders list, and where they are named."""
    finders = (m for m in walk_blocks((*card.front, *card.back)) if isinstance(m, FinderBlockModel))
    return {name: finder.locate("sets", n) for finder in finders for n, name in enumerate(finder.sets)}


def find_places(
    card: CardModel, cards: Iterable[CardModel], find_faces: Callable[[CardModel], Sequence[Face]]
) -> tuple[Place, ...]:
    """What is where on the other cards of a card's code, level and set; `find_faces` gives the faces of one.

    With those of the sets that its finder lists besides.
    """
    sets = {card.set_, *list_sets(card)}
    others = (
        c
        for c in cards
        if (c.code, c.level) == (card.code, card.level) and c.set_ in sets and not needs_places(c)
    )
    return tuple(
        replace(place, set_="" if other.set_ == card.set_ else other.set_)
        for other in others
        for place in _list_places(other, find_faces(other))
    )


def _list_places(card: CardModel, faces: Sequence[Face]) -> Iterator[Place]:
    """Each block of a card's faces in its place; a chart that is cut stands where it starts."""
    for face in faces:
        for block in list_blocks(face.body):
            shown = block.block if isinstance(block, ChangeBar) else block
            if not _goes_on(shown):
                subject = shown.label.removeprefix("chart ") if isinstance(shown, ChartBlock) else ""
                yield Place(card.number, card.title, face.name.replace("-", " "), shown.label, subject)


def _goes_on(block: Block) -> bool:
    return isinstance(block, ChartBlock) and block.part is not None and block.part.first > 1
