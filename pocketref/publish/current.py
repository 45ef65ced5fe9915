"""Which of the editions that lie side by side is the latest: what `verify` says beyond one folder."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from pocketref.edition.verify import verify_folder
from pocketref.problems import Problem
from pocketref.publish.published import Published, list_published, read_published
from pocketref.source.syntax.source_text import clip_text
from pocketref.words.terminal import tell


def list_beside(folder: Path) -> tuple[Published, ...]:
    """The association's other editions beside a published one, the newest last; none if that can't be read."""
    own = read_published(folder)
    if own is None:
        return ()
    others = (
        each
        for each in list_published(folder.resolve().parent)
        if each.association == own.association and each.edition != own.edition
    )
    return tuple(sorted(others, key=lambda each: each.starts))


def write_current(folder: Path, key: Ed25519PublicKey | None = None) -> str:
    """Whether a later edition of the association lies beside a published one, and whether it can be vouched for.

    Which of them is in force is a question of the day, and left to who asks.

    `key` is whose signature a later one must have.
    """
    own, beside = read_published(folder), list_beside(folder)
    if own is None:
        return ""
    later = [each for each in beside if each.starts > own.starts]
    if not later:
        return tell("no later edition lies beside {edition}", edition=clip_text(own.edition))
    newest = later[-1]
    said = {
        "edition": clip_text(newest.edition),
        "folder": newest.folder.name,
        "starts": clip_text(newest.starts),
    }
    if verify_folder(newest.folder, key).problems:
        return tell(
            "a later edition lies beside it: {edition}, in {folder}, holds from {starts}, by what that folder says, "
            "which does not stand up to being verified as this one did",
            **said,
        )
    return tell("a later edition lies beside it: {edition}, in {folder}, holds from {starts}", **said)


def name_edition(problems: Iterable[Problem], folder: Path, printed: str) -> tuple[Problem, ...]:
    """The problems, a digest that is another edition's told with that edition, where it lies beside this one."""
    digits = "".join(filter(str.isdigit, printed))
    found = next(
        (each for each in list_beside(folder) if digits and each.digest.replace(" ", "") == digits), None
    )
    if found is None:
        return tuple(problems)
    said = tell(
        "it is that of edition {edition}, in {folder}",
        edition=clip_text(found.edition),
        folder=found.folder.name,
    )
    return tuple(replace(p, hint=said) if p.code == "digest-other" else p for p in problems)
