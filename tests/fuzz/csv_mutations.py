"""Spoils CSV files: cells, rows, columns, quoting, bytes, sizes."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from contextlib import suppress
from random import Random

from source_mutations import Mutant
from spoilt_values import BYTES, LENGTHS, SCALARS, UNITS

from pocketref.units.notation import NotationError, read_length

Rows = list[list[str]]

WORDS = (
    *(
        "80 F",
        "-40 C",
        "999 F",
        "26.7 K",
        "85F",
        "A",
        "F1",
        "A-F1",
        "Z9",
        "0",
        "99",
        "100",
        "1.0",
        "１",
        "½ in",
    ),
    *(
        "Ann Exemplar",
        "North Shore",
        "../x",
        "CON",
        "  ",
        "=HYPERLINK(1)",
        "'=1",
        '"',
        '""',
        "a\nb",
        "a\rb",
        "a,b",
    ),
)


def _put_cell(rng: Random, rows: Rows) -> None:
    row = rng.choice(rows)
    if row:
        row[rng.randrange(len(row))] = rng.choice((*SCALARS, *WORDS))


def _shake_lengths(rng: Random, rows: Rows) -> None:
    """Every reading off by a little or by feet, as no crew would leave them: the longest to search for misreads."""
    spread = rng.choice((0.5, 2.0, 6.0, 12.0, 40.0))
    for row in rows:
        for place, cell in enumerate(row[2:3], start=2):
            with suppress(NotationError):
                inches = float(read_length(cell).inches) + rng.uniform(-spread, spread)
                row[place] = f"{max(inches, 1.0):.2f} in"


def _put_length(rng: Random, rows: Rows) -> None:
    row = rng.choice(rows)
    if row:
        row[rng.randrange(len(row))] = f"{rng.choice(LENGTHS)} {rng.choice(UNITS)}"


def _move_cell(rng: Random, rows: Rows) -> None:
    row, other = rng.choice(rows), rng.choice(rows)
    if row and other:
        row[rng.randrange(len(row))] = rng.choice(other)


def _drop_cell(rng: Random, rows: Rows) -> None:
    row = rng.choice(rows)
    if row:
        del row[rng.randrange(len(row))]


def _add_cell(rng: Random, rows: Rows) -> None:
    row = rng.choice(rows)
    row.insert(rng.randrange(len(row) + 1), rng.choice((*SCALARS, *WORDS)))


def _drop_row(rng: Random, rows: Rows) -> None:
    if len(rows) > 1:
        del rows[rng.randrange(len(rows))]


def _double_row(rng: Random, rows: Rows) -> None:
    at = rng.randrange(len(rows))
    rows[at:at] = [list(rows[at]) for _ in range(rng.choice((1, 1, 1, 2, 50, 1500)))]


def _swap_rows(rng: Random, rows: Rows) -> None:
    one, other = rng.randrange(len(rows)), rng.randrange(len(rows))
    rows[one], rows[other] = rows[other], rows[one]


def _double_column(rng: Random, rows: Rows) -> None:
    at = rng.randrange(8)
    for row in rows:
        if at < len(row):
            row.append(row[at])


_CHANGES: Sequence[Callable[[Random, Rows], None]] = (
    *[_put_cell] * 3,
    *[_put_length] * 2,
    _shake_lengths,
    *[_move_cell] * 2,
    _drop_cell,
    _add_cell,
    *(_drop_row, _double_row, _swap_rows, _double_column),
)


def _strew_bytes(rng: Random, data: bytes) -> bytes:
    spoilt = bytearray(data)
    for _ in range(rng.choice((1, 1, 3, 30))):
        at = rng.randrange(len(spoilt) + 1)
        spoilt[at : at + rng.choice((0, 1, 5))] = rng.choice((*BYTES, b'"', b",", b";", b"\r\n"))
    return bytes(spoilt)


def _encode(rng: Random, data: bytes) -> bytes:
    encoding = rng.choice(("utf-16", "utf-32", "utf-8-sig", "latin-1", "cp037"))
    return data.decode().encode(encoding, "replace")


def _grow(rng: Random, data: bytes) -> bytes:
    size = rng.choice((1000, 100_000, 200_000))
    grown = (
        b'"' + b"a" * size,
        b"a," * size,
        b"\n" * size,
        data + b"x" * size,
        b'""' * size,
        data + b"\0" * size,
    )
    return rng.choice(grown)


def _be_other(rng: Random, data: bytes) -> bytes:
    return rng.choice(
        (
            b"",
            b"\n",
            b",",
            b'"',
            b"level",
            b"from,to,reading",
            b"\xff\xfe",
            b"%PDF-1.7",
            b"PK\x03\x04",
            data * 2,
        )
    )


_WHOLE: Sequence[Callable[[Random, bytes], bytes]] = (_strew_bytes, _strew_bytes, _encode, _grow, _be_other)


def mutate_csv(rng: Random, name: str, text: str) -> Mutant:
    """A CSV file, spoilt in one to four ways."""
    rows = list(csv.reader(io.StringIO(text)))
    how = []
    for _ in range(rng.choice((1, 1, 2, 3, 4))):
        change = rng.choice(_CHANGES)
        change(rng, rows)
        how.append(change.__name__.strip("_"))
    out = io.StringIO(newline="")
    quoting = rng.choice((csv.QUOTE_MINIMAL, csv.QUOTE_MINIMAL, csv.QUOTE_ALL))
    delimiter = rng.choice((*",,,,,,,,", ";", "\t"))
    csv.writer(
        out, quoting=quoting, delimiter=delimiter, lineterminator=rng.choice(("\n", "\r\n"))
    ).writerows(rows)
    data = out.getvalue().encode("utf-8", "surrogatepass")
    if rng.random() < 0.2:
        whole = rng.choice(_WHOLE)
        data = whole(rng, data if whole is not _encode else text.encode())
        how.append(whole.__name__.strip("_"))
    return Mutant(name, data, tuple(how))
