"""Two seasons to compare: the small source with what a test changed, and the demo with its past edition."""

from __future__ import annotations

from past_edition import CONTENT, PAST
from source_folders import FIXTURES, SourceFolders

from pocketref.changes.changes import ChangeSet, compare_editions
from pocketref.edition.source_reading import EditionSource, read_edition_source, read_source
from pocketref.source.library import read_library

TABLE = "content/rulings/high-school/stance.yaml"
FIELD = "content/fields/high-school-90-ft.yaml"
TEXTS = "content/mechanics/stance.yaml"

DEMO = (EditionSource("2026", read_source(PAST)), EditionSource("2027", read_library(CONTENT)))


def changes_in(folders: SourceFolders) -> ChangeSet:
    """What next season's source changes, which is the same until a test changes it."""
    return compare_editions(read_edition_source(FIXTURES / "content"), read_edition_source(folders.content))
