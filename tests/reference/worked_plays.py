"""Plays that columns, case books and umpires' forums worked out, and where the game stands after each by the tables.

Where a source speaks for some codes only, the others are asked only if their own text is read too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ruling_expectations import content_library, content_table
from ruling_samples import stand

from pocketref.rulings.next_state import find_next_states
from pocketref.rulings.situation import add_situation
from pocketref.rulings.state_words import write_states
from pocketref.rulings.table import decide, read_ending
from pocketref.source.situation_models import Pitch

ASK = "check your league"


@dataclass(frozen=True, slots=True)
class Worked:
    """A play as its source tells it, and by code where the game stands then."""

    source: str
    subject: str
    situation: tuple[str, int, str]
    """Bases held, outs, count."""
    facts: str
    after: Mapping[str, str]
    pitch: Pitch | None = None


def rule(play: Worked, code: str) -> str:
    """Where the game stands after the play, as a key says it; or whom to ask."""
    table, model = content_table(code, play.subject)
    situation = stand(*play.situation)
    facts = dict(pair.split("=") for pair in play.facts.split())
    answers = add_situation(content_library().subjects[play.subject], facts, [situation])
    name, is_open = read_ending(decide(table, answers).ending)
    if is_open:
        return ASK
    return " ".join(write_states(find_next_states(situation, model.rulings[name], play.pitch)))
