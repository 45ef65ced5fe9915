"""Whether a published edition is as it was sealed: every file against the manifest, that against its signature."""

from __future__ import annotations

import json
import os
import re
import stat
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from pocketref.edition.manifest import FORMAT, MANIFEST, SOURCE, hash_file, seal_manifest
from pocketref.edition.signing import SIGNATURE, check_signature
from pocketref.problems import Problem, explain_refusal, refusal
from pocketref.source.digest import FIELD, find_digest, is_covered, set_digest, shorten_digest, take_digest
from pocketref.source.syntax.source_text import clip_text
from pocketref.words.terminal import tell

_AGAIN = "get the edition again from the association"


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found: nothing in `problems` if the edition is as it was published."""

    edition: str
    files: int
    signed_by: str
    """The mark of the key that signed it; empty if it is not signed."""
    problems: tuple[Problem, ...]
    digest: str = ""
    """What its cards bear beside their code; empty for an edition of an earlier pocketref."""
    source: str = ""
    """What is in the cards' code: the digest of the source."""
    printed: str = ""
    """Which of the two a card was found to bear."""
    covered: int = 0
    """Files that the digest is taken of."""

    def write(self, *, has_key: bool) -> str:
        """Who vouches for the files, where nothing is wrong; `has_key` if it was checked whose the signature is."""
        said = {"edition": self.edition, "files": self.files}
        if self.signed_by and has_key:
            return tell(
                "Edition {edition}: {files} files, whole and unaltered; signed by key {key}, the one given.",
                key=self.signed_by,
                **said,
            )
        if self.printed:
            return tell(
                "Edition {edition}: {files} files that agree with the folder's own manifest; not signed.",
                **said,
            )
        return tell(
            "Edition {edition}: {files} files that agree with the folder's own manifest; it is not signed: nobody "
            "vouches for them.",
            **said,
        )

    def write_digest(self) -> str:
        """The digest, and what it says of the files."""
        if not self.digest or (self.printed and self.printed == self.source):
            return tell(
                "digest {digest}: it is the source's, and says nothing of the files", digest=self.source
            )
        if not self.printed:
            return tell(
                "digest {digest}: compare it with a card's, or give that one with --digest",
                digest=self.digest,
            )
        said = {"digest": self.digest, "covered": self.covered, "files": self.files}
        if self.covered == self.files:
            return tell(
                "digest {digest}, as on the card: {covered} of {files} files are whole and unaltered", **said
            )
        return tell(
            "digest {digest}, as on the card: {covered} of {files} files are whole and unaltered; the card says "
            "nothing of press/ and members/",
            **said,
        )

    def write_fault(self, problems: Collection[Problem], folder: Path) -> str:
        """What the problems come to, of the folder."""
        codes = {problem.code for problem in problems}
        if codes == {"digest-other"}:
            return tell(
                "{folder} agrees with its own manifest, but is not what the card is of.", folder=folder
            )
        if codes == {"signature-unknown"} and self.printed:
            return tell(
                "{folder} agrees with its own manifest; nobody that you know signed it.", folder=folder
            )
        if codes == {"signature-unknown"}:
            return tell(
                "{folder} agrees with its own manifest; nobody that you know vouches for it.", folder=folder
            )
        return tell("{folder} is not as it was published.", folder=folder)

    def find_unknown_key(self) -> tuple[Problem, ...]:
        """What is wrong with a signature that no key was given for: anybody can sign."""
        if not self.signed_by:
            return ()
        sentence = tell(
            "signed by key {signed_by}, which was not given: anybody can sign", signed_by=self.signed_by
        )
        hint = tell("get the public key from the association itself, and give it with --key")
        return (Problem("signature-unknown", sentence, hint),)


def verify_folder(folder: Path, key: Ed25519PublicKey | None = None, printed: str = "") -> Verification:
    """Compare a published edition with its manifest, and that with its signature; `key` is whose it must be.

    `printed` is the digest that a card of it bears. Every missing, extra and altered file is a problem of its own:
    "file-missing", "file-extra", "file-altered", "manifest-altered", "signature-missing", "signature-wrong",
    "digest-other". PocketrefError for what is no edition ("edition-unknown") or one of a later pocketref
    ("edition-later").
    """
    data = _read_manifest(folder)
    content = _parse_manifest(data, folder)
    signed_by, problems = _check_manifest(folder, data, content, key)
    wanted = content.get("files")
    entries: Mapping[str, object] = wanted if isinstance(wanted, dict) else {}
    parents = (parent for name in entries for parent in PurePosixPath(name).parents)
    known = {MANIFEST, SIGNATURE, *(f"{parent}/" for parent in parents)}
    there = {name: path for name, path in _walk(folder) if name not in known}
    faults = (_judge_file(n, there.get(n), entries.get(n)) for n in sorted(entries.keys() | there.keys()))
    problems += filter(None, faults)
    source, digest = _read_source_digest(entries), find_digest(content)
    digest = "" if digest == FIELD else digest
    covered = list(filter(is_covered, entries))
    if digest and not problems and digest != _take_digest(folder, covered, digest):
        sentence = tell("the files do not make the digest that {manifest} states", manifest=MANIFEST)
        problems.append(Problem("manifest-altered", sentence, tell(_AGAIN)))
    bare = re.sub(r"[\s-]", "", printed).upper()
    of_card = next((each for each in (digest, source) if each and each.replace(" ", "") == bare), "")
    if bare and not of_card:
        stated = digest or source or tell("which has none")
        sentence = tell(
            "the digest {printed} is not this edition's, {stated}",
            printed=clip_text(printed.strip(), 40),
            stated=stated,
        )
        hint = tell("a card with another digest is of another edition, or of an earlier issue of this one")
        problems.append(Problem("digest-other", sentence, hint))
    name = str(content.get("edition", ""))
    found = tuple(problems)
    return Verification(name, len(entries), signed_by, found, digest, source, of_card, len(covered))


def _read_source_digest(entries: Mapping[str, object]) -> str:
    """The digest that the cards' code holds, by the manifest; empty if that names no source."""
    entry = entries.get(SOURCE)
    stated = entry.get("sha256") if isinstance(entry, dict) else None
    return shorten_digest(stated) if isinstance(stated, str) else ""


def _take_digest(folder: Path, names: Iterable[str], digest: str) -> str:
    """The digest of files that bear it."""
    return take_digest({name: set_digest((folder / name).read_bytes(), FIELD, digest) for name in names})


def _read_manifest(folder: Path) -> bytes:
    path = folder / MANIFEST
    if not os.path.lexists(path):
        raise refusal(
            "edition-unknown",
            tell("there is no edition in {folder}", folder=folder),
            _suggest_edition(folder),
        )
    try:
        if not path.is_file():
            raise refusal(
                "edition-unknown",
                tell("{path} is not a plain file", path=path),
                tell("give a published edition"),
            )
        return path.read_bytes()
    except OSError as error:
        said = explain_refusal(str(path), error, hint=tell("give a published edition"))
        raise refusal("edition-unknown", *said) from None


def _suggest_edition(folder: Path) -> str:
    """The editions that lie in the folder, or beside it, as what to give instead."""
    for around in (folder, folder.parent):
        with suppress(OSError):
            near = [path.parent for path in sorted(around.glob(f"*/{MANIFEST}"))[:5]]
            if near:
                return tell("give a published edition: {str}", str=", ".join(map(str, near)))
    return tell("give the folder of a published edition, such as out/2027")


def _parse_manifest(data: bytes, folder: Path) -> dict[str, object]:
    try:
        content = json.loads(data.decode("utf-8"))
    except (ValueError, RecursionError):
        content = None
    if not isinstance(content, dict):
        raise refusal(
            "manifest-altered",
            tell("{folder} is not as it was published", folder=folder / MANIFEST),
            tell(_AGAIN),
        )
    version = content.get("format")
    if isinstance(version, int) and version > FORMAT:
        sentence = tell(
            "{folder} has format {version}; this pocketref reads formats up to {format}",
            folder=folder,
            version=version,
            format=FORMAT,
        )
        raise refusal("edition-later", sentence, tell("use the pocketref that wrote it, or a later one"))
    return content


def _check_manifest(
    folder: Path, data: bytes, content: Mapping[str, object], key: Ed25519PublicKey | None
) -> tuple[str, list[Problem]]:
    """Who signed the manifest, and what is wrong with it."""
    problems = []
    if seal_manifest(content) != data:
        problems.append(
            Problem(
                "manifest-altered",
                tell("{manifest} is not as it was published", manifest=MANIFEST),
                tell(_AGAIN),
            )
        )
    path = folder / SIGNATURE
    if not os.path.lexists(path):
        if key is not None:
            sentence = tell("the edition is not signed: {signature} is missing", signature=SIGNATURE)
            problems.append(Problem("signature-missing", sentence, tell(_AGAIN)))
        return "", problems
    signature = path.read_bytes()[:1000] if path.is_file() else b""
    signed_by, faults = check_signature(data, signature, key)
    return signed_by, [*problems, *faults]


def _walk(folder: Path) -> Iterator[tuple[str, Path]]:
    """Everything in the folder but folders with something in them, by name from the folder on.

    A link counts as a file, and the name of an empty folder ends with a slash.
    """
    for inner, folders, files in os.walk(folder):
        here = Path(inner)
        linked = [name for name in folders if (here / name).is_symlink()]
        for name in (*files, *linked):
            yield (here / name).relative_to(folder).as_posix(), here / name
        if not folders and not files and here != folder:
            yield f"{here.relative_to(folder).as_posix()}/", here


def _judge_file(listed: str, path: Path | None, entry: object) -> Problem | None:
    name = clip_text(listed, 120)
    if path is None:
        return Problem("file-missing", tell("{name} is missing", name=name), tell(_AGAIN))
    if entry is None:
        return Problem(
            "file-extra", tell("{name} was not published", name=name), tell("take it out of the folder")
        )
    wanted = entry if isinstance(entry, dict) else {}
    if not stat.S_ISREG(path.lstat().st_mode):
        return Problem("file-altered", tell("{name} is not a file of its own", name=name), tell(_AGAIN))
    size, published = path.stat().st_size, wanted.get("bytes")
    if size != published:
        stated = f"{published:,}" if isinstance(published, int) else "no number"
        sentence = tell(
            "{name} is altered: it has {size:,} bytes, and was published with {stated}",
            name=name,
            size=size,
            stated=stated,
        )
        return Problem("file-altered", sentence, tell(_AGAIN))
    try:
        digest = hash_file(path)
    except OSError as error:
        return Problem("file-unreadable", *explain_refusal(name, error))
    if digest != wanted.get("sha256"):
        return Problem(
            "file-altered",
            tell("{name} is altered: its SHA-256 is {digest}", name=name, digest=digest),
            tell(_AGAIN),
        )
    return None
