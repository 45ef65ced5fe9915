"""The short digest by which a card says which source it was made from."""

from __future__ import annotations

DIGEST_LENGTH = 10


def shorten_digest(sha256: str) -> str:
    """The first DIGEST_LENGTH hexadecimal digits of the SHA-256 of source.json, in capitals.

    Enough to tell one edition's source from another's, not a proof against forgery: that is the signature's.
    """
    return sha256[:DIGEST_LENGTH].upper()
