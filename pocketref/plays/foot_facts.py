"""What judged feet answer to the facts that are about feet."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.field.feet import FootJudgement, Where


def answer_feet(feet: Sequence[FootJudgement]) -> dict[str, str]:
    """Answers by fact: any foot on the plate, any down wholly outside, any part past a line's outer edge."""
    return {
        "on-plate": _yes(any(foot.touches_plate for foot in feet)),
        "wholly-outside": _yes(any(foot.where is Where.OUTSIDE for foot in feet)),
        "over-line": _yes(any(foot.past_outer_edge for foot in feet)),
    }


def _yes(truth: bool) -> str:
    return "yes" if truth else "no"
