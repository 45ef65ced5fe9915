"""What the edition's page computes with: values for its views, by the name under which each view asks for its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pocketref.edition.proof import Proof
from pocketref.web.page_script import list_script_words
from pocketref.web.plays_data import build_plays_data
from pocketref.web.rules_data import build_rules_data
from pocketref.web.tape_data import build_tape_data
from pocketref.words.speech import find_language

_NUMBERS = range(200)
"""Enough to tell which form goes with any number: language.js knows of the rest by their last two digits."""


def build_language() -> object:
    """What language.js says its sentences with: None in English."""
    language = find_language()
    if language is None:
        return None
    chosen = [language.choose_form(number) for number in _NUMBERS]
    words: dict[str, str | list[str]] = {}
    for one, *many in list_script_words():
        forms = {form: language.find(one, number) for number, form in enumerate(chosen)}
        words[one] = [forms.get(form, "") for form in range(max(forms) + 1)] if many else language.find(one)
    return {"words": words, "forms": "".join(map(str, chosen))}


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
