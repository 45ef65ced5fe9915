"""What judged feet answer to the facts of the stance and contact tables."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.field.feet import FootJudgement, Where


def answer_contact(feet: Sequence[FootJudgement]) -> dict[str, str]:
    """Answers to the contact table's facts about feet: any foot on the plate, any wholly outside."""
    return {
        "on-plate": _yes(any(foot.touches_plate for foot in feet)),
        "wholly-outside": _yes(any(foot.where is Where.OUTSIDE for foot in feet)),
    }


def answer_stance(feet: Sequence[FootJudgement]) -> dict[str, str]:
    """Answers to the stance table's fact about feet: any part past a line's outer edge."""
    return {"over-line": _yes(any(foot.past_outer_edge for foot in feet))}


def _yes(truth: bool) -> str:
    return "yes" if truth else "no"
