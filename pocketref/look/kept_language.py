"""The language of the faces, read again only after its catalogues were saved."""

from __future__ import annotations

from pathlib import Path

from pocketref.translations.language_proof import read_language
from pocketref.words.catalogue import list_catalogues
from pocketref.words.speech import Language


class KeptLanguage:
    """A language by the name of its folder; English for an empty name and for en."""

    def __init__(self, name: str, content: Path) -> None:
        self._name, self._content = name, content
        self._kept: tuple[list[bytes], Language] | None = None

    def read(self) -> Language | None:
        """The language, the same one while its files are; None for English. PocketrefError as `read_language`."""
        if self._name in ("", "en"):
            return None
        files = [
            path.read_bytes() for path, _ in list_catalogues(self._name, self._content) if path.is_file()
        ]
        if self._kept is None or self._kept[0] != files:
            self._kept = files, read_language(self._name, self._content)
        return self._kept[1]
