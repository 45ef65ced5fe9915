"""What the program itself says: the texts that `say` is called with, and those that it looks up from tables."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from babel.messages.extract import extract_from_file

import pocketref
from pocketref.blocks.field.figure import FIGURES
from pocketref.field.figures import list_labels
from pocketref.field.pulls import list_descriptions
from pocketref.pages.panels import SIGNALS
from pocketref.source.field_models import DIMENSIONS, TOLERANCES
from pocketref.words.catalogue import Entry

_CALLS = {"say": None, "say_count": (2, 3)}
"""The functions whose literal texts are looked up, and which of their arguments hold them."""
_TABLES: dict[str, Callable[[], Iterable[str]]] = {
    "signal-words": SIGNALS.values,
    "figures/captions": lambda: [figure.caption for figure in FIGURES.values()],
    "figures/notes": lambda: [figure.note for figure in FIGURES.values()],
    "plan-figures": list_labels,
    "pulls": list_descriptions,
    "dimensions": DIMENSIONS.values,
    "tolerances": TOLERANCES.values,
}
"""Tables whose texts are looked up where they are printed, by the name that catalogues call them."""


def list_program_words() -> Iterator[Entry]:
    """Every text that the program may print, with where it is said: a module or a table."""
    home = Path(pocketref.__file__).parent
    for name, list_texts in _TABLES.items():
        yield from (Entry((text,), references=(f"tables/{name}",)) for text in list_texts() if text)
    for path in sorted(home.rglob("*.py"), key=lambda path: path.relative_to(home).as_posix()):
        module = f"pocketref/{path.relative_to(home).as_posix()}"
        for _, said, _, _ in extract_from_file("python", path, keywords=_CALLS):
            yield Entry(said if isinstance(said, tuple) else (said,), references=(module,))
