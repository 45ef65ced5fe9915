"""What the demo edition's PDFs were laid out to be."""

from __future__ import annotations

from functools import cache

from demo_edition import demo_proof

from pocketref.edition.play_proof import lay_out_plays
from pocketref.layouts.cards import LaidOut


@cache
def sent() -> dict[str, LaidOut]:
    """What the cards, sheets and training sheets were laid out to be, by file."""
    proof = demo_proof()
    made = {f"cards/{card.name}.pdf": card for card in proof.cards}
    made |= {f"sheets/{sheet.name}.pdf": sheet for sheet in proof.sheets}
    return made | {f"plays/{item.name}.pdf": item for item in lay_out_plays(proof.plays, proof.layouts)}
