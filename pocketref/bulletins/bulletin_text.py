"""A bulletin as text for a terminal."""

from __future__ import annotations

from pocketref.bulletins.bulletin import Bulletin
from pocketref.bulletins.bulletin_sheet import CARDS, write_card, write_holding, write_title
from pocketref.changes.change_text import write_changes
from pocketref.words.speech import say_day
from pocketref.words.terminal import tell


def write_bulletin(bulletin: Bulletin) -> str:
    """What it is, why and what it changes, then the cards that no longer hold and what holds."""
    lines = [f"{write_title(bulletin)}, {say_day(bulletin.model.date)}: {bulletin.model.reason}"]
    lines += [write_changes(bulletin.changes), *(["", CARDS] if bulletin.cards else [""])]
    for card in bulletin.cards:
        holds = ", ".join(bulletin.list_holding(card))
        said = {"card": write_card(card), "old": ", ".join(card.withdrawn), "new": holds}
        if marks := card.list_stuck():
            stickers = ", ".join(marks)
            line = tell(
                "{card}: {old} no longer holds; {new} holds; stickers for {stickers}",
                stickers=stickers,
                **said,
            )
        else:
            line = tell("{card}: {old} no longer holds; {new} holds", **said)
        lines.append(f"  {line}")
    return "\n".join((*lines, *write_holding(bulletin))).replace("*", "")
