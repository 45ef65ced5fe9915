"""Parcels: what each member gets in the post and what it weighs, and what a chapter's come to; as CSV (RFC 4180)."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from pocketref.edition.manifest import BuiltFile
from pocketref.members.roster import Member, name_folder
from pocketref.words.speech import say, say_count


@dataclass(frozen=True, slots=True)
class PackedRow:
    """A row of the roster, packed: how many cards it comes to, and their grams, if their stock says."""

    member: Member
    cards: int
    grams: Fraction | None


@dataclass(frozen=True, slots=True)
class ChapterTotal:
    """What one chapter gets."""

    chapter: str
    members: int
    sets: int
    cards: int
    sheets: int
    grams: Fraction | None

    @property
    def folder(self) -> str:
        """Where its files are."""
        return name_folder(self.chapter)

    def describe(self) -> str:
        """The figures in a line."""
        told = [
            say_count(self.members, "{count} member", "{count} members"),
            say_count(self.sets, "{count} set", "{count} sets"),
            say_count(self.cards, "{count} card", "{count} cards"),
            say_count(self.sheets, "{count} sheet", "{count} sheets"),
        ]
        told += [say("{grams} g of cards", grams=_write_grams(self.grams))] if self.grams else []
        return ", ".join(told)


def pack_rows(
    members: Sequence[Member],
    cards: Mapping[str, Sequence[int]],
    weights: Mapping[str, Fraction | None],
) -> list[PackedRow]:
    """The rows of a chapter with their cards; `cards` are each row's by stock, `weights` the grams of one."""
    rows = []
    for place, member in enumerate(members):
        counts = {name: counted[place] for name, counted in cards.items() if counted[place]}
        grams = _add_grams(_multiply(weights[name], count) for name, count in counts.items())
        rows.append(PackedRow(member, sum(counts.values()), grams))
    return rows


def total_chapter(chapter: str, rows: Sequence[PackedRow], sheets: int) -> ChapterTotal:
    """What the rows come to."""
    return ChapterTotal(
        chapter,
        members=len({row.member.number for row in rows}),
        sets=sum(row.member.quantity for row in rows),
        cards=sum(row.cards for row in rows),
        sheets=sheets,
        grams=_add_grams(row.grams for row in rows),
    )


def write_packing_csv(total: ChapterTotal, rows: Sequence[PackedRow]) -> BuiltFile:
    """The packing list as a table."""
    columns = ("number", "name", "code", "level", "quantity")
    written = ((*(getattr(row.member, name) for name in columns), row.cards) for row in rows)
    return BuiltFile(f"members/{total.folder}/packing-list.csv", _write_csv([(*columns, "cards"), *written]))


class PostBook:
    """The parcels of all chapters, a member's sets of one chapter in each, and the chapters' totals."""

    def __init__(self) -> None:
        self._totals: list[ChapterTotal] = []
        columns = ("chapter", "postcode", "number", "name", "sets", "cards", "grams")
        self._parcels = [_write_csv([columns])]

    def add(self, total: ChapterTotal, rows: Sequence[PackedRow]) -> None:
        """One more chapter, its rows as `group_by_chapter` has them."""
        self._totals.append(total)
        self._parcels.append(_write_csv(_list_parcels(rows)))

    def build(self) -> Iterator[BuiltFile]:
        """A row a parcel, to merge with addresses; a row a chapter, and their sum, for who orders paper and postage."""
        yield BuiltFile("members/parcels.csv", b"".join(self._parcels))
        names = ("members", "sets", "cards", "sheets")
        rows = [[total.chapter, *(getattr(total, name) for name in names)] for total in self._totals]
        sums = [sum(getattr(total, name) for total in self._totals) for name in names]
        grams = [*(total.grams for total in self._totals), _add_grams(total.grams for total in self._totals)]
        weighed = [
            [*row, _write_grams(each)]
            for row, each in zip([*rows, [say("all chapters"), *sums]], grams, strict=True)
        ]
        yield BuiltFile("members/totals.csv", _write_csv([("chapter", *names, "grams"), *weighed]))


def _list_parcels(rows: Sequence[PackedRow]) -> Iterator[Sequence[object]]:
    for number, group in groupby(rows, key=lambda row: row.member.number):
        theirs = list(group)
        first, sets = theirs[0].member, sum(row.member.quantity for row in theirs)
        cards, grams = sum(row.cards for row in theirs), _add_grams(row.grams for row in theirs)
        yield first.chapter, first.postcode, number, first.name, sets, cards, _write_grams(grams)


def _multiply(weight: Fraction | None, count: int) -> Fraction | None:
    return None if weight is None else weight * count


def _add_grams(weights: Iterable[Fraction | None]) -> Fraction | None:
    """The sum; None if one is not known."""
    total = Fraction(0)
    for weight in weights:
        if weight is None:
            return None
        total += weight
    return total


def _write_grams(grams: Fraction | None) -> str:
    """Whole grams, rounded up as postage is; nothing if they are not known."""
    return "" if grams is None else str(math.ceil(grams))


def _write_csv(rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode("utf-8")
