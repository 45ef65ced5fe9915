"""The digests that a card bears: of the source in its code, of all that the edition says in its words.

The second can't be in what it is taken of. Pages are made with FIELD in its place; the files are finished, the digest
is taken of them, and then set into them digit by digit, nothing else changing.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from functools import partial

DIGEST_LENGTH = 10
FIELD = "00000 00000 00000 00000"
"""What stands for the digest until it is known: as many digits."""
KEY = "digest"
"""What a manifest has it under."""
PDF_CODES = "012345678.9"
"""Characters that a PDF's regular face sets by the codes 1, 2, 3 and so on: no digit gets one that is escaped."""

OUTLINED = "-digest-"
"""What stands before the digit in the name of a digest's glyph, where digits are drawn as outlines."""

_OUTLINED = re.compile(rb'(?:<use [^<>]*-digest-\d"[^<>]*/>\s*){20}')
_DIGIT = re.compile(rb'(?<=-digest-)\d(?=")')
_DIGEST = re.compile(r"[0-9]{5}( [0-9]{5}){3}")
_TO_PDF = str.maketrans({character: chr(code) for code, character in enumerate(PDF_CODES, 1)})
_APART = re.compile(r"([a-z]{2,3}(-[A-Za-z0-9]+)*/)?(press|members)/")
"""Folders that the digest leaves out, in any language: they differ with paper and roster, while cards say the same."""


def shorten_digest(sha256: str) -> str:
    """The first DIGEST_LENGTH hexadecimal digits of the SHA-256 of source.json, in capitals.

    Enough to tell one edition's source from another's, not a proof against forgery.
    """
    return sha256[:DIGEST_LENGTH].upper()


def is_covered(name: str) -> bool:
    """Whether the digest is taken of a file of this name."""
    return not _APART.match(name)


def take_digest(files: Mapping[str, bytes]) -> str:
    """The digest of an edition's files by name, their fields empty.

    The last 20 decimal digits of the SHA-256 over the SHA-256 of each name (UTF-8) and of its file, in the order of
    the names: a forger would have to make some 10^20 editions for one that has the digest of a card.
    """
    whole = hashlib.sha256()
    for name in sorted(filter(is_covered, files)):
        for part in (name.encode("utf-8", "surrogatepass"), files[name]):
            whole.update(hashlib.sha256(part).digest())
    digits = f"{int.from_bytes(whole.digest(), 'big') % 10**20:020d}"
    return " ".join(digits[start : start + 5] for start in range(0, 20, 5))


def find_digest(manifest: Mapping[str, object]) -> str:
    """The digest that a manifest says was set into its files; FIELD if it says none."""
    stated = manifest.get(KEY)
    return stated if isinstance(stated, str) and _DIGEST.fullmatch(stated) else FIELD


def encode_field(digest: str = FIELD) -> bytes:
    """The digest as a PDF's string shows it."""
    return digest.translate(_TO_PDF).encode("ascii")


def set_digest(data: bytes, digest: str, before: str = FIELD) -> bytes:
    """The file with the digest in its fields, whether it is a PDF or a text; `before` is what stands there."""
    data = data.replace(encode_field(before), encode_field(digest)).replace(before.encode(), digest.encode())
    if OUTLINED.encode() not in data:
        return data
    old, new = (each.replace(" ", "").encode() for each in (before, digest))
    return _OUTLINED.sub(partial(_set_outlines, old, new), data)


def _set_outlines(old: bytes, new: bytes, run: re.Match[bytes]) -> bytes:
    """The glyphs of other digits, where those of the old ones stand."""
    if b"".join(_DIGIT.findall(run[0])) != old:
        return run[0]
    digits = iter(new)
    return _DIGIT.sub(lambda _: bytes([next(digits)]), run[0])
