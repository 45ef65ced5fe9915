"""Spoils source files the way authors, editors and enemies do: by their structure, their values, their bytes.

A mutation replaces, drops, doubles, swaps or wraps some of a file's pieces, or spoils the file as a whole.
Everything follows from the generator of random numbers that is given, so a seed is enough to see a finding
again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

from source_pieces import Piece, Sample, quote
from spoilt_values import BYTES, LENGTHS, NODES, NUMBERS, SCALARS, UNITS

_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_LENGTH = re.compile(r"(?P<number>[0-9][0-9 ./]*) ?(?P<unit>ft|in|mm|cm|m)( .*)?")


@dataclass(frozen=True)
class Mutant:
    """One file of a folder, spoilt; `how` names what was done."""

    name: str
    data: bytes
    how: tuple[str, ...]


# --- changes of pieces --------------------------------------------------------------------------------------

Edit = tuple[int, int, str]
"""Start, end, what to put there."""


def _put_scalar(rng: Random, sample: Sample, piece: Piece) -> Edit:
    text = rng.choice(SCALARS)
    plain = rng.random() < 0.3
    return piece.start, piece.end, text if plain else quote(text)


def _put_node(rng: Random, sample: Sample, piece: Piece) -> Edit:
    return piece.start, piece.end, rng.choice(NODES)


def _put_other(rng: Random, sample: Sample, piece: Piece) -> Edit:
    """Another piece of the same file: a reference that leads elsewhere, or a value of another kind."""
    other = rng.choice(sample.pieces)
    text = quote(other.text) if other.kind in ("key", "text") else other.text
    return piece.start, piece.end, text


def _drop(rng: Random, sample: Sample, piece: Piece) -> Edit:
    end = piece.end
    rest = sample.text[end : end + 2]
    if piece.is_flow and rest.startswith(","):
        end += 1
    return piece.start, end, ""


def _double(rng: Random, sample: Sample, piece: Piece) -> Edit:
    between = ", " if piece.is_flow else "\n" + " " * piece.column
    lead = "" if piece.kind != "item" or piece.is_flow else "- "
    if lead:
        between = "\n" + " " * max(piece.column - 2, 0)
    copies = rng.choice((1, 1, 1, 2, 30, 300))
    word = rng.random() < 0.5  # entries under names of their own, so that they are no duplicates
    parts = []
    for number in range(copies):
        text = piece.text
        if piece.kind == "entry" and word:
            text = text.replace('"', f'"n{number}-', 1)
        parts.append(f"{between}{lead}{text}")
    return piece.end, piece.end, "".join(parts)


def _wrap(rng: Random, sample: Sample, piece: Piece) -> Edit:
    text = quote(piece.text) if piece.kind in ("key", "text") else piece.text
    depth = rng.choice((1, 1, 1, 2, 30, 40, 2000))
    opened, closed = rng.choice((("[", "]"), ("{x: ", "}"), ("[x, ", "]")))
    return piece.start, piece.end, opened * depth + text + closed * depth


def _change_number(rng: Random, sample: Sample, piece: Piece) -> Edit:
    text = piece.text
    if match := _LENGTH.fullmatch(text):
        number = rng.choice((*LENGTHS, match["number"].strip()))
        unit = rng.choice((*UNITS, match["unit"], match["unit"], match["unit"], match["unit"]))
        text = f"{number} {unit}"
    elif _NUMBER.fullmatch(text):
        text = rng.choice(NUMBERS)
    else:
        text = f"{text} {rng.choice(NUMBERS)}"
    return piece.start, piece.end, quote(text)


def _misspell(rng: Random, sample: Sample, piece: Piece) -> Edit:
    text = piece.text
    at = rng.randrange(len(text) + 1)
    changed = rng.choice(
        (
            text[:at] + text[at + 1 :],
            text[:at] + rng.choice("abcxyz-_ .,:'*\u00e9") + text[at:],
            text.upper(),
            text[::-1],
            text + text,
            text.replace("-", "_"),
            text.replace("-", " "),
            (text or "x") * rng.choice((10, 100)),
        )
    )
    return piece.start, piece.end, changed if rng.random() < 0.3 else quote(changed)


_CHANGES: tuple[tuple[Callable[[Random, Sample, Piece], Edit], tuple[str, ...], int], ...] = (
    (_put_scalar, ("text", "text", "text", "key", "list", "map"), 5),
    (_change_number, ("text",), 5),
    (_put_other, ("text", "key", "list", "map"), 4),
    (_misspell, ("key", "text"), 3),
    (_put_node, ("text", "list", "map"), 3),
    (_drop, ("entry", "item", "entry", "key", "text", "list", "map"), 3),
    (_double, ("entry", "item"), 2),
    (_wrap, ("text", "list", "map", "key"), 1),
)
_WEIGHTS = tuple(weight for _, _, weight in _CHANGES)


def _change_pieces(rng: Random, sample: Sample) -> tuple[str, tuple[str, ...]]:
    edits: list[Edit] = []
    how = []
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3))):
        change, kinds, _ = rng.choices(_CHANGES, _WEIGHTS)[0]
        kind = rng.choice(kinds)
        fitting = [piece for piece in sample.pieces if piece.kind == kind]
        if not fitting:
            continue
        edit = change(rng, sample, rng.choice(fitting))
        if all(edit[1] <= start or edit[0] >= end for start, end, _ in edits):
            edits.append(edit)
            how.append(change.__name__.strip("_"))
    text = sample.text
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return text, tuple(how)


def _swap(rng: Random, sample: Sample) -> tuple[str, tuple[str, ...]]:
    """Two pieces of one kind in each other's place."""
    kind = rng.choice(("key", "text", "list", "map", "entry", "item"))
    fitting = [piece for piece in sample.pieces if piece.kind == kind]
    if len(fitting) < 2:
        return _change_pieces(rng, sample)
    one, other = sorted(rng.sample(fitting, 2), key=lambda piece: piece.start)
    text = sample.text
    if one.end > other.start:  # one inside the other: only the outer is replaced
        return text[: one.start] + text[other.start : other.end] + text[one.end :], ("lift",)
    first, second = text[one.start : one.end], text[other.start : other.end]
    return text[: one.start] + second + text[one.end : other.start] + first + text[other.end :], ("swap",)


# --- changes of the whole file ------------------------------------------------------------------------------


def _encode(rng: Random, text: str) -> bytes:
    encoding = rng.choice(("utf-16", "utf-16-le", "utf-32", "utf-8-sig", "latin-1", "cp1252", "cp037"))
    return text.encode(encoding, "replace")


def _break_lines(rng: Random, text: str) -> bytes:
    return text.replace(
        "\n", rng.choice(("\r\n", "\r", "\n\n", "\n\t", " ", "\u2028", "\x85", "\n "))
    ).encode()


def _cut_off(rng: Random, text: str) -> bytes:
    return text.encode()[: rng.randrange(len(text) + 1)]


def _strew_bytes(rng: Random, text: str) -> bytes:
    data = bytearray(text.encode())
    for _ in range(rng.choice((1, 1, 2, 5, 50))):
        at = rng.randrange(len(data) + 1)
        data[at : at + rng.choice((0, 0, 1, 8))] = rng.choice(BYTES)
    return bytes(data)


def _grow(rng: Random, text: str) -> bytes:
    grown = (
        lambda n: "# " + "x" * n + "\n" + text,
        lambda n: text + "\n" * n,
        lambda n: text + "x: " + "y" * n,
        lambda n: text + "\n" + "".join(f"k{i}: v\n" for i in range(n // 8)),
        lambda n: text + "list: [" + "a, " * (n // 3) + "]\n",
        lambda n: "[" * n,
        lambda n: "{a: " * (n // 4) + text,
        lambda n: "- " * (n // 2),
        lambda n: text.replace("\n", " " * (n // (text.count("\n") + 1)) + "\n"),
        lambda n: "? " * (n // 2),
        lambda n: "&" + "a" * n + " x",
        lambda n: "!" + "a" * n + " x",
        lambda n: "'" + "a" * n,
    )
    return rng.choice(grown)(rng.choice((100, 1000, 10_000, 10_000, 100_000))).encode()


def _bomb(rng: Random, text: str) -> bytes:
    """Aliases of aliases, each naming many of the one before."""
    width, depth = rng.choice((2, 9, 40)), rng.choice((3, 9, 25))
    lines = ["a0: &a0 [x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * width)}]" for n in range(1, depth)]
    return ("\n".join(lines) + "\n" + text).encode()


def _be_other(rng: Random, text: str) -> bytes:
    other = (
        b"",
        b"\n",
        b"# nothing\n",
        b"---\n",
        b"~",
        b"[]",
        b"{}",
        b"x",
        b"- a\n",
        b"%PDF-1.7\n%\xe2\xe3\n",
    )
    more = (
        b"%YAML 1.2\n---\na: b\n",
        b"%YAML 9.9\n---\na: b\n",
        b"%TAG ! x\n---\n",
        b"a: b\n---\na: b\n",
        b"\0" * 9,
    )
    return rng.choice((*other, *more, text.encode() * 2))


_WHOLE: Sequence[Callable[[Random, str], bytes]] = (
    *(_encode, _break_lines),
    *[_cut_off] * 2,
    *[_strew_bytes] * 3,
    *(_bomb, _be_other, _grow),
)


def adjust(rng: Random, samples: Sequence[Sample]) -> Mutant:
    """One of the files with values that may well be read, though none ever should be: too small, large, alike."""
    sample = rng.choice(samples)
    texts = [piece for piece in sample.pieces if piece.kind == "text"]
    blocks = [piece for piece in sample.pieces if piece.kind in ("entry", "item")]
    edits: list[Edit] = []
    for _ in range(rng.choice((1, 1, 2, 3))):
        chance = rng.random()
        figures = [piece for piece in texts if _LENGTH.fullmatch(piece.text) or _NUMBER.fullmatch(piece.text)]
        if chance < 0.6 and figures:
            edit = _change_number(rng, sample, rng.choice(figures))
        elif chance < 0.75:
            edit = _put_other(rng, sample, rng.choice(texts))
        elif chance < 0.85:
            edit = _put_scalar(rng, sample, rng.choice(texts))
        else:
            edit = rng.choice((_drop, _double))(rng, sample, rng.choice(blocks))
        if all(edit[1] <= start or edit[0] >= end for start, end, _ in edits):
            edits.append(edit)
    text = sample.text
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return Mutant(sample.name, text.encode("utf-8", "surrogatepass"), ("adjust",))


def mutate(rng: Random, samples: Sequence[Sample]) -> Mutant:
    """One of the files, spoilt in one to four ways."""
    sample = rng.choice(samples)
    chance = rng.random()
    if chance < 0.85:
        text, how = _swap(rng, sample) if chance < 0.1 else _change_pieces(rng, sample)
        data = text.encode("utf-8", "surrogatepass")
        if chance > 0.8:
            data, how = _strew_bytes(rng, text), (*how, "strew_bytes")
        return Mutant(sample.name, data, how)
    change = rng.choice(_WHOLE)
    return Mutant(sample.name, change(rng, sample.text), (change.__name__.strip("_"),))
