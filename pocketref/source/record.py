"""The normalised source of an edition as plain data, and a short digest of it."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache

from pocketref.source.digest import shorten_digest
from pocketref.source.library import Library
from pocketref.source.syntax.located import SourceModel

FORMAT = 2
"""Counts up when a reader of an older record would misread a newer one, or the other way round.

From 2 on, rulings say what they do in closed lists.
"""


def record_library(library: Library) -> dict[str, object]:
    """Everything a library says, as it was written: lengths in their own notation, keys in a fixed order."""
    groups = ("codes", "works", "fields", "subjects", "rulings", "texts", "cautions", "plays")
    rulings = {f"{code}/{subject}": table for (code, subject), table in library.rulings.items()}
    record: dict[str, object] = {"format": FORMAT, "edition": _dump(library.edition)}
    for group in groups:
        models = rulings if group == "rulings" else getattr(library, group)
        record[group] = {name: _dump(model) for name, model in models.items()}
    record["compared"] = [_dump(each) for each in library.compared]
    if library.layouts:
        record["layouts"] = {name: record_layout(model) for name, model in library.layouts.items()}
    return record


def record_layout(model: SourceModel) -> dict[str, object]:
    """What a card or sheet is laid out as for its one level.

    Which levels its file was for is left out, and that its sides are those of every card.
    """
    return {k: value for k, value in _dump(model).items() if k != "for" and (k != "sides" or value)}


@lru_cache(maxsize=2)  # of an edition and the one before; codes hold its digest, and the edition it
def write_record(library: Library) -> bytes:
    """The record as JSON text, the bytes of source.json."""
    return (json.dumps(record_library(library), ensure_ascii=False, indent=1) + "\n").encode()


def digest_library(library: Library) -> str:
    """The digest of source.json that a card's code holds."""
    return shorten_digest(hashlib.sha256(write_record(library)).hexdigest())


def _dump(model: SourceModel) -> dict[str, object]:
    return model.as_written.model_dump(mode="json", by_alias=True)
