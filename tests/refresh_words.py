"""Brings the catalogues of the demo and of the program up to date: run it after a change of words.

    python tests/refresh_words.py

Translations are kept; tests/words/test_words_catalogues.py tells when a catalogue lacks what is said.
"""

from __future__ import annotations

from pathlib import Path

from pocketref.layouts.layout_library import read_layouts
from pocketref.source.library import read_library
from pocketref.translations.command_words import CLICK
from pocketref.translations.refreshing import refresh_language, refresh_program
from pocketref.words.catalogue import (
    CARRIED,
    COMMANDS,
    COMPILED,
    PROGRAM,
    compile_catalogue,
    read_catalogue,
)

ROOT = Path(__file__).parents[1]


def refresh_all() -> dict[Path, bytes]:
    """Every catalogue of the repository by its path, as it should be."""
    content = ROOT / "content"
    library = read_library(content)
    layouts = read_layouts(ROOT / "layouts", library)
    made: dict[Path, bytes] = {}
    for home in sorted(path for path in CARRIED.iterdir() if path.is_dir()):
        made |= {home / name: refresh_program(home.name, home / name) for name in (PROGRAM, COMMANDS)}
        if (home / COMMANDS).is_file():
            made[home / COMPILED] = compile_catalogue(read_catalogue(home / COMMANDS, COMMANDS), CLICK)
        refreshed = refresh_language(home.name, library, layouts, content, ROOT / "layouts")
        made |= {content / file.name: file.data for file in refreshed}
    return made


if __name__ == "__main__":
    for path, data in refresh_all().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
