"""What the edition's page computes with: values for its views, by the name under which each view asks for its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pocketref.edition.proof import Proof
from pocketref.web.page_script import count_forms
from pocketref.web.plays_data import build_plays_data
from pocketref.web.rules_data import build_rules_data
from pocketref.web.tape_data import build_tape_data
from pocketref.words.speech import find_language


def build_language() -> str | None:
    """Which form language.js says with a number: None in English."""
    language = find_language()
    return count_forms(language) if language else None


_VIEWS: Mapping[str, Callable[[Proof], object]] = {
    "language": lambda _: build_language(),
    "rules": build_rules_data,
    "tape": lambda proof: build_tape_data(proof.library),
    "plays": build_plays_data,
}
"""One entry a view; a view without data isn't offered."""


def build_page_data(proof: Proof) -> dict[str, object]:
    """The data of every view; the same proof gives the same values in the same order."""
    return {name: build(proof) for name, build in _VIEWS.items()}
