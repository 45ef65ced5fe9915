"""The demo edition, proven once for all that reads what it prints."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from pocketref.edition.play_proof import lay_out_plays
from pocketref.edition.proof import Proof, prove
from pocketref.layouts.cards import LaidOut

ROOT = Path(__file__).parents[2]


@cache
def proof() -> Proof:
    return prove(ROOT / "content", ROOT / "layouts")


@cache
def sent() -> dict[str, LaidOut]:
    """What the cards, sheets and training sheets were laid out to be, by file."""
    made = {f"cards/{card.name}.pdf": card for card in proof().cards}
    made |= {f"sheets/{sheet.name}.pdf": sheet for sheet in proof().sheets}
    return made | {f"plays/{item.name}.pdf": item for item in lay_out_plays(proof().plays, proof().layouts)}
