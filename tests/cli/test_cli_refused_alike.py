"""What `publish` refuses of a source, `proof` refuses: the same problems, at the same file and line."""

from __future__ import annotations

import re
from functools import partial

import pytest
from source_folders import SourceFolders
from test_cli_bad_inputs import (
    CARD,
    DEEPER,
    EDITION,
    FIELD,
    SHEET,
    SLIPS,
    STYLES,
    TABLE,
    TEXTS,
    Spoil,
    assert_refused,
    make,
    run,
)

SUBJECT = "content/rulings/subjects/stance.yaml"
CODES = "content/codes.yaml"
STOCKS = "layouts/stocks.yaml"
FIGURE = "{block: figure, figure: plate-area, smallest: 50}"
PHOTO = "{block: photo, file: logo.png, width: 20 mm, alt: A badge}"
ISSUER = "association: Larkmoor Test Umpires"

PIECES = {
    "yaml-alias": (EDITION, ISSUER, "association: *nowhere"),
    "yaml-tag": (EDITION, ISSUER, "association: !x Larkmoor"),
    "yaml-merge": (FIELD, "dimensions:", "<<: {a: b}\ndimensions:"),
    "yaml-key": (EDITION, "place:", "? [a]\n: b\nplace:"),
    "yaml-documents": (EDITION, "place:", "---\nplace:"),
    "text-control-character": (EDITION, "Larkmoor Test", "Lark\x07moor Test"),
    "value-cite": (TABLE, "field-book 7-1", "field-book"),
    "value-count": (CARD, "      - share: 33\n", "      - share: 33\n        blocks: []\n"),
    "value-date": (EDITION, "2027-02-01", "2027-02-30"),
    "value-empty": (EDITION, 'season: "2027"', 'season: ""'),
    "value-kind": (EDITION, 'season: "2027"', "season: [a]"),
    "value-name": (EDITION, 'edition: "2027"', "edition: A B"),
    "value-number": (CARD, "share: 67", "share: wide"),
    "value-range": (CARD, "smallest: 50", "smallest: 0"),
    "value-text": (EDITION, ISSUER, 'association: "Lark\\u202emoor"'),
    "value-twice": (SHEET, "[Field, Date", "[Field, Field"),
    "key-missing": (CARD, "title: Batter's box and stance\n", ""),
    "work-unknown": (CODES, "work: field-book", "work: rules"),
    "code-unknown": (EDITION, "codes: [high-school]", "codes: [college]"),
    "level-unknown": (EDITION, "levels: [high-school-90-ft]", "levels: [high-school-80-ft]"),
    "subject-unknown": (CARD, "{block: calls, subject: stance}", "{block: calls, subject: stanc}"),
    "fact-unknown": (TABLE, '{over-line: "no"}', '{over-lin: "no"}'),
    "ruling-unknown": (TABLE, "ruling: legal", "ruling: legl"),
    "name-mismatch": (CARD, "card: batters-box", "card: batter"),
    "name-repeated": (EDITION, "codes: [high-school]", "codes: [high-school, high-school]"),
    "stock-sizes": (STOCKS, "width: 5 in", "width: 50 in"),
    "scale-below-floor": (STYLES, "sheet-scale: [8.4, 9.2, 9.8]", "sheet-scale: [5, 6]"),
    "blocks-many": (CARD, "front:\n", "front:\n" + f"  - {FIGURE}\n" * 300),
    "picture-missing": (CARD, FIGURE, PHOTO),
    "text-unknown": (CARD, "text: mechanics/stance/lines", "text: mechanics/stance/look-up"),
    "association-long": (EDITION, ISSUER, f"association: {'Umpires of Larkmoor ' * 8}"),
}
"""A piece of a file in another's place, by the code of what it brings about."""


def add_under(name: str) -> Spoil:
    """A file that the folder should not have."""
    return lambda folders: folders.add(name, "a: b")


def link_out(folders: SourceFolders) -> None:
    (folders.root / TEXTS).rename(folders.root.parent / "elsewhere.yaml")
    (folders.root / TEXTS).symlink_to(folders.root.parent / "elsewhere.yaml")


def put_folder(folders: SourceFolders) -> None:
    (folders.root / EDITION).unlink()
    (folders.root / EDITION).mkdir()


WHOLE: dict[str, Spoil] = {
    "file-missing": lambda folders: (folders.root / EDITION).unlink(),
    "file-is-folder": put_folder,
    "file-outside": link_out,
    "file-name": add_under("content/fields/High School.yaml"),
    "folder-linked": lambda folders: (folders.content / "notes").symlink_to(folders.root.parent),
}
SPOILT: dict[str, Spoil] = {
    **{name: partial(make, slip) for name, slip in SLIPS.items()},
    **{name: spoil for name, (spoil, _) in DEEPER.items()},
    **WHOLE,
    **{code: lambda folders, piece=piece: folders.replace(*piece) for code, piece in PIECES.items()},
}


@pytest.mark.parametrize("name", SPOILT)
def test_proof_finds_what_publish_finds(name: str, folders: SourceFolders) -> None:
    SPOILT[name](folders)
    proof, publish = run(folders, "proof"), run(folders, "publish", "--out", str(folders.root / "out"))
    assert_refused(proof, folders)
    assert proof.stderr == publish.stderr
    if name in {*WHOLE, *PIECES}:
        assert f"[{name}]" in proof.stderr
    errors = re.findall(r"^.*\berror: .*\[[a-z0-9-]+\]$", proof.stderr, re.MULTILINE)
    assert errors
    place = re.compile(r"(content|layouts)/[\w ./-]+(:\d+:\d+)?: error: ")
    assert all(place.match(line) for line in errors)
