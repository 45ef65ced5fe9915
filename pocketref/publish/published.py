"""What the manifests of published editions say of them, without reading what they were made from."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from pocketref.edition.manifest import MANIFEST
from pocketref.edition.signing import SIGNATURE
from pocketref.edition.verify import verify_folder
from pocketref.output.files import refuse_filled
from pocketref.problems import PocketrefError, Problem
from pocketref.source.digest import find_digest
from pocketref.source.syntax.source_text import clip_text, list_few
from pocketref.words.terminal import tell

_ELSEWHERE = "publish elsewhere with --out, or move what is there away"
_OF_OTHERS = ("file-extra", "file-altered", "file-unreadable")
_OF_FILES = (*_OF_OTHERS, "file-missing", "signature-wrong")


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
    digest: str = ""
    """What its cards bear beside their code, by its manifest."""

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
            find_digest(content),
        )
    return None


def list_published(out: Path) -> Iterator[Published]:
    """The published editions in a folder, by name."""
    with suppress(OSError):
        for path in sorted(out.glob(f"*/{MANIFEST}")):
            published = read_published(path.parent)
            if published is not None:
                yield published


def check_replaceable(association: str, edition: str, target: Path) -> None:
    """PocketrefError if publishing an association's edition into `target` removed what pocketref did not write.

    "publish-target-foreign": no edition as it was sealed. "publish-target-other": another association's, or another
    edition. "publish-target-changed": files in it that were not published, or are no longer as they were.
    """
    if not os.path.lexists(target / MANIFEST):
        refuse_filled(target)
        return
    before = read_published(target)
    try:
        found = verify_folder(target).problems
    except PocketrefError as error:
        found = error.problems
    if before is None or any(each.code not in _OF_FILES for each in found):
        sentence = tell(
            "{target} is not as pocketref wrote it, and publishing would remove all that is there",
            target=target / MANIFEST,
        )
        _refuse("publish-target-foreign", sentence, tell(_ELSEWHERE))
    if (before.association, before.edition) != (association, edition):
        whose = tell(
            "edition {edition} of {association}",
            edition=clip_text(before.edition),
            association=clip_text(before.association),
        )
        sentence = tell(
            "{target} is {whose}, not edition {edition} of {association}",
            target=target,
            whose=whose,
            edition=edition,
            association=association,
        )
        _refuse("publish-target-other", sentence, tell(_ELSEWHERE))
    changed = [each.sentence for each in found if each.code in _OF_OTHERS]
    if changed:
        sentence = tell(
            "{target} holds what pocketref did not write, and publishing would remove it", target=target
        )
        hint = tell("move it elsewhere, then publish again")
        _refuse(
            "publish-target-changed",
            tell("{sentence}: {changed}", sentence=sentence, changed=list_few(changed, "; ")),
            hint,
        )


def check_demo_place(association: str, out: Path) -> None:
    """PocketrefError ("demo-used") if an edition of another association than the demo's is where that would go.

    For a publish that nobody gave a content folder: who stands in the wrong place does not mean the demo's.
    """
    for each in list_published(out):
        if each.association and each.association != association:
            sentence = tell(
                "no content was given or is beside you, and {folder} is an edition of {association}: the "
                "demo's is not published there",
                folder=each.folder,
                association=clip_text(each.association),
            )
            hint = tell("go to your association's folder, or name its content with --content")
            _refuse("demo-used", sentence, hint)


def _refuse(code: str, sentence: str, hint: str) -> NoReturn:
    raise PocketrefError([Problem(code, sentence, hint)])
