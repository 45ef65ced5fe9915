"""What the manifests of published editions say of them, without reading what they were made from."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pocketref.edition.manifest import MANIFEST
from pocketref.edition.signing import SIGNATURE


@dataclass(frozen=True, slots=True)
class Published:
    """What the manifest of a published edition says of it; texts are empty where it does not say."""

    folder: Path
    association: str
    edition: str
    season: str
    starts: str
    """The first day it holds for, as ISO 8601 writes it."""
    files: tuple[str, ...]
    is_signed: bool

    @property
    def has_members(self) -> bool:
        """Whether members' cards are in it."""
        return any(name.startswith("members/") for name in self.files)


def read_published(folder: Path) -> Published | None:
    """The published edition in a folder; None if there is none that can be read."""
    with suppress(OSError, ValueError, RecursionError, AttributeError, TypeError):
        content = json.loads((folder / MANIFEST).read_bytes().decode("utf-8"))
        association, edition, season = (
            str(content.get(key, "")) for key in ("association", "edition", "season")
        )
        starts = str(content.get("valid", {}).get("from", ""))
        return Published(
            folder,
            association,
            edition,
            season,
            starts,
            tuple(content.get("files", {})),
            (folder / SIGNATURE).is_file(),
        )
    return None


def list_published(out: Path) -> Iterator[Published]:
    """The published editions in a folder, by name."""
    with suppress(OSError):
        for path in sorted(out.glob(f"*/{MANIFEST}")):
            published = read_published(path.parent)
            if published is not None:
                yield published
