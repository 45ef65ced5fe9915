"""From one season to the next: whether an earlier edition that lies about is kept, so that changes can be told."""

from __future__ import annotations

from pathlib import Path

from pocketref.edition.manifest import PAST, SOURCE, STORED
from pocketref.edition.proof import Proof
from pocketref.edition.source_reading import shorten_path
from pocketref.problems import Problem, Severity
from pocketref.publish.published import Published, list_published
from pocketref.words.terminal import tell


def find_unkept(proof: Proof, content: Path, out: Path) -> tuple[Problem, ...]:
    """A warning if the newest earlier edition of the association in `out` is not kept under content/past."""
    now, kept = proof.library.edition, proof.previous
    since = kept.edition.starts.isoformat() if kept else ""
    found = [
        each
        for each in list_published(out)
        if each.association == now.association
        and each.edition != now.mark
        and since < each.starts < now.starts.isoformat()
        and (each.folder / SOURCE).is_file()
    ]
    if not found or content.suffix == STORED:
        return ()
    before = max(found, key=lambda each: each.starts)
    place = shorten_path(content / PAST)
    sentence = tell(
        "the edition before, {folder}, is not kept in {place}: nothing tells what changed since",
        folder=before.folder,
        place=place,
    )
    hint = tell(
        "close its season: mkdir -p {place} && cp {folder} {place2}{stored}, then publish again",
        place=place,
        folder=before.folder / SOURCE,
        place2=place / before.edition,
        stored=STORED,
    )
    return (Problem("past-missing", sentence, hint, severity=Severity.WARNING),)


def write_left_out(
    before: Published | None, target: Path, *, has_roster: bool, is_signed: bool
) -> tuple[Problem, ...]:
    """Warnings that the members' cards, or the signature, of the edition replaced are not in the new one."""
    if before is None:
        return ()
    found = [] if has_roster or not before.has_members else [_write_members_left(target)]
    if before.is_signed and not is_signed:
        sentence = tell("{target} was signed before, and is not now", target=target)
        hint = tell("to sign it anew, publish with --sign and the private key")
        found.append(Problem("signature-left-out", sentence, hint, severity=Severity.WARNING))
    return tuple(found)


def _write_members_left(target: Path) -> Problem:
    sentence = tell(
        "{target} is left out: the members' cards there were of the edition as it was",
        target=target / "members",
    )
    hint = tell("to print them anew, publish with --members and the roster")
    return Problem("members-left-out", sentence, hint, severity=Severity.WARNING)
