"""Signatures and digests of editions against published test vectors and the system's own tools."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from pathlib import Path
from urllib.parse import urlsplit
from xml.etree import ElementTree as ET

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from pocketref.edition.manifest import BuiltFile, write_file
from pocketref.edition.proof import Proof
from pocketref.edition.signing import check_signature, sign_manifest
from pocketref.web.feed import write_feed

# RFC 8032, 7.1, tests 1 to 3: secret key, public key, message, signature. Written from memory; that the three
# values agree with each other under an independent implementation shows that they are right.
ED25519 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555f"
            "b8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
            "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), ED25519)
def test_a_manifest_is_signed_as_rfc_8032_says(
    secret: str, public: str, message: str, signature: str
) -> None:
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    file = sign_manifest(key, bytes.fromhex(message))
    assert file.data.decode() == f"ed25519\npublic-key {public}\nsignature {signature}\n"
    assert check_signature(bytes.fromhex(message), file.data, key.public_key())[1] == ()
    (fault,) = check_signature(bytes.fromhex(message) + b"\0", file.data, key.public_key())[1]
    assert fault.code == "signature-wrong"


# FIPS 180-4, the examples of NIST's Secure Hashing page; from memory, and told again by the system's tool below.
SHA256 = [
    (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
]


@pytest.mark.parametrize(("message", "digest"), SHA256)
def test_a_manifest_s_digest_is_that_of_fips_180(message: bytes, digest: str) -> None:
    assert write_file(BuiltFile("a", message)) == {"bytes": len(message), "sha256": digest}


def test_the_system_s_own_tool_agrees(tmp_path: Path) -> None:
    tool = shutil.which("sha256sum") or shutil.which("shasum")
    assert tool, "the system has no tool for SHA-256"
    path = tmp_path / "file"
    path.write_bytes(bytes(range(256)) * 50)
    command = [tool, *(["-a", "256"] if tool.endswith("shasum") else []), str(path)]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()[0]
    assert told == write_file(BuiltFile("file", path.read_bytes()))["sha256"]
    assert told == hashlib.sha256(path.read_bytes()).hexdigest()


# RFC 3339, 5.6, date-time with upper-case T and Z, as RFC 4287, 3.3, asks for.
_DATE_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
_NAMESPACE = "{http://www.w3.org/2005/Atom}"  # RFC 4287, 1.2


def test_the_feed_holds_what_rfc_4287_asks_for(proven: Proof) -> None:
    """RFC 4287, 4.1.1 and 4.1.2: what a feed and an entry must hold exactly once, and may hold at most once."""
    feed = ET.fromstring(write_feed([proven.library.edition], "https://umpires.example"))
    assert feed.tag == f"{_NAMESPACE}feed"
    entries = feed.findall(f"{_NAMESPACE}entry")
    for element in (feed, *entries):
        for name in ("id", "title", "updated"):
            assert len(element.findall(_NAMESPACE + name)) == 1
        for name in ("subtitle", "generator", "logo", "rights", "published", "summary", "content"):
            assert len(element.findall(_NAMESPACE + name)) <= 1
        assert _DATE_TIME.fullmatch(element.findtext(f"{_NAMESPACE}updated", ""))
        alternates = [
            x for x in element.findall(f"{_NAMESPACE}link") if x.get("rel", "alternate") == "alternate"
        ]
        assert len({(link.get("type"), link.get("hreflang")) for link in alternates}) == len(alternates)
    # 4.1.1: a feed must hold an author unless all of its entries do; it should hold a link to itself.
    assert feed.findtext(f"{_NAMESPACE}author/{_NAMESPACE}name")
    assert [link.get("href") for link in feed.findall(f"{_NAMESPACE}link") if link.get("rel") == "self"]
    # 4.1.2: an entry without content must hold an alternate link. 4.2.6: identifiers are absolute and unique.
    assert all(entry.find(f"{_NAMESPACE}link[@rel='alternate']") is not None for entry in entries)
    ids = [element.findtext(f"{_NAMESPACE}id", "") for element in (feed, *entries)]
    assert len(set(ids)) == len(ids)
    assert all(urlsplit(text).scheme for text in ids)
