"""Lengths as people write them: read exactly, or refused with the place and the remedy; written for print.

Reading never guesses: a length carries its unit, a fraction is less than one, and nothing follows it. Writing
rounds by the one rule in `pocketref.units.rounding`.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal, NoReturn

from pocketref.problems import suggest_match
from pocketref.units.length import INCHES_PER_FOOT, MM_PER_INCH, Length, System
from pocketref.units.rounding import round_to, round_to_mm

Style = Literal["plain", "print", "mark"]
"""How a length is written: "plain" with ordinary characters, "print" with typographic fractions, a minus sign
and no-break spaces, "mark" with prime and double prime for drawings."""

LONGEST_TEXT = 80
GREATEST_LENGTH = Length.from_mm(10_000_000)
"""10 km: more is a slip of the pen on any field."""


class NotationError(ValueError):
    """A text that is no length: what is wrong, what to write, and where in the text (offset from 0).

    `code` is one of length-notation, length-range, unit-missing, unit-unknown, unit-mixed.
    """

    def __init__(self, code: str, sentence: str, hint: str, offset: int) -> None:
        self.code = code
        self.sentence = sentence
        self.hint = hint
        self.offset = offset
        super().__init__(f"{sentence}: {hint}" if hint else sentence)


@dataclass(frozen=True, slots=True)
class _Unit:
    symbol: str
    system: System
    inches: Fraction


_FOOT = _Unit("ft", "us", Fraction(INCHES_PER_FOOT))
_INCH = _Unit("in", "us", Fraction(1))
_UNIT_BY_WORD = {
    "ft": _FOOT,
    "foot": _FOOT,
    "feet": _FOOT,
    "in": _INCH,
    "inch": _INCH,
    "inches": _INCH,
    "mm": _Unit("mm", "metric", 1 / MM_PER_INCH),
    "cm": _Unit("cm", "metric", 10 / MM_PER_INCH),
    "m": _Unit("m", "metric", 1000 / MM_PER_INCH),
}
_OFFERED = ("ft", "in", "mm", "cm", "m")
_OFFER = f"use one of: {', '.join(_OFFERED)}"
_LEAST_BARE_MM = 1000
"""A bare number from here on is rather millimetres than feet or inches: our own figure."""
_JOINED = re.compile(
    r"(?P<feet>[0-9]{1,3})-(?P<inches>[0-9]{1,2})([- ](?P<fraction>[0-9]+[/⁄][0-9]+))?( ?(in|[\"″”]))?"
)
# Primes, and the straight and curly quotes that keyboards and word processors put for them.
_UNIT_BY_MARK = {"'": _FOOT, "′": _FOOT, "’": _FOOT, '"': _INCH, "″": _INCH, "”": _INCH}

_TOKEN = re.compile(
    r"""
      (?P<space>    [ \t\u00a0\u2009\u202f]+ )
    | (?P<fraction> [0-9]+[/⁄][0-9]+ | [⁰¹²³⁴-⁹]+⁄[₀-₉]+ | [¼½¾⅐-⅞] )
    | (?P<decimal>  [0-9]+\.[0-9]+ )
    | (?P<whole>    [0-9]+ )
    | (?P<word>     [^\W\d_]+ )
    | (?P<mark>     ['"′″’”] )
    | (?P<sign>     [-−+] )
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    start: int

    @property
    def end(self) -> int:
        return self.start + len(self.text)


@dataclass(frozen=True, slots=True)
class _Quantity:
    """A number with the span of text it was read from."""

    kind: str
    value: Fraction
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Term:
    """A quantity with its unit."""

    quantity: _Quantity
    unit: _Unit
    unit_start: int


def read_length(
    text: str, *, allow_zero: bool = False, allow_negative: bool = False, near: Length | None = None
) -> Length:
    """The exact length that `text` says, such as "7 ft 2 1/2 in", "127′ 3⅜″", "8-1/2 in" or "2.197 m".

    Feet and inches take fractions or decimals, metric units decimals. Raises NotationError for anything else,
    for a sign unless `allow_negative`, for zero unless `allow_zero`, and beyond 10 km. `near` is what it should
    be about, where that is known: the units a bare number may have had are then offered nearest first.
    """
    if len(text) > LONGEST_TEXT:
        hint = "write only the length, such as 7 ft 2 1/2 in"
        raise NotationError("length-notation", f"{len(text)} characters are no length", hint, LONGEST_TEXT)
    tokens = _split_tokens(text)
    is_signed = bool(tokens) and tokens[0].kind == "sign"
    if is_signed and not allow_negative:
        sentence = f"a length here has no sign, but this one starts with '{tokens[0].text}'"
        raise NotationError("length-range", sentence, "leave the sign out", tokens[0].start)
    terms = _read_terms(text, tokens, near)
    length = _join_terms(terms)
    offset = terms[0].quantity.start
    if length > GREATEST_LENGTH:
        raise NotationError("length-range", "a length here is at most 10 km", "check the unit", offset)
    if length.inches == 0 and not allow_zero:
        raise NotationError(
            "length-range", "a length here is more than zero", "check the figure and its unit", offset
        )
    return -length if is_signed and tokens[0].text != "+" else length


def _split_tokens(text: str) -> list[_Token]:
    tokens = []
    position = 0
    while position < len(text):
        match = _TOKEN.match(text, position)
        if match is None or match.lastgroup is None:
            _refuse_character(text, position)
        if match.lastgroup != "space":
            tokens.append(_Token(match.lastgroup, match.group(), position))
        position = match.end()
    return tokens


def _refuse_character(text: str, offset: int) -> NoReturn:
    sentence, hint = f"{text[offset]!r} has no place in a length", "write it as in 7 ft 2 1/2 in or 2.197 m"
    if text[offset] == ",":
        sentence = "a comma may mean decimals or thousands"
        hint = "write decimals with a point, as in 8.5 in, and thousands without a mark, as in 1200 mm"
    elif text[offset] == ".":
        sentence = "a decimal point stands once, between digits"
        hint = "write 0.5 in, not .5 in; units take no full stop"
    elif text[offset] in "/⁄":
        sentence = "a fraction is two whole numbers with a slash between them and no spaces"
        hint = "write it as in 2 1/2 in"
    raise NotationError("length-notation", sentence, hint, offset)


def _read_terms(text: str, tokens: Sequence[_Token], near: Length | None) -> list[_Term]:
    """Quantities each followed by a unit, at least one; a sign before them is left to the caller."""
    end = len(text.rstrip())
    sign = tokens[0].text if tokens and tokens[0].kind == "sign" else ""
    if sign:
        tokens = tokens[1:]
    if not tokens:
        raise NotationError("length-notation", "a length is missing", "write it as in 7 ft 2 1/2 in", end)
    terms: list[_Term] = []
    while tokens:
        quantity, tokens = _read_quantity(tokens)
        number = text[quantity.start : quantity.end]
        if not tokens:
            is_after_feet = bool(terms) and terms[-1].unit is _FOOT
            hint = f"write {number} in" if is_after_feet else f"write {number} ft or {number} in"
            if not terms:  # a sign left out of the remedy would turn the length round
                number = f"{sign}{number}"
                hint = _offer_units(quantity, number, near)
            raise NotationError("unit-missing", f"{number} has no unit", hint, end)
        if tokens[0].kind == "sign":
            _refuse_joiner(text, tokens[0])
        terms.append(_Term(quantity, _read_unit(tokens[0]), tokens[0].start))
        tokens = tokens[1:]
    return terms


def _offer_units(quantity: _Quantity, number: str, near: Length | None) -> str:
    """The lengths that a number without a unit may stand for; metric ones take no fraction."""
    if quantity.kind == "fraction":
        return f"write {number} ft or {number} in"
    if near is not None and near.inches and quantity.value:
        sizes = {word: float(quantity.value * _UNIT_BY_WORD[word].inches) for word in _OFFERED}
        target = math.log(abs(near.inches))
        first, second, third, *_ = sorted(sizes, key=lambda word: abs(math.log(sizes[word]) - target))
        offers = f"{number} {first}, {number} {second} or {number} {third}"
        return f"write {offers}: the first is nearest the target"
    us, metric = f"{number} ft or {number} in", f"{number} mm or {number} m"
    # Sheets print millimetres without decimals and metres with three.
    if quantity.value >= _LEAST_BARE_MM:
        return f"write {metric}, or {us}"
    if re.fullmatch(r".*\.[0-9]{3}", number):
        return f"write {number} m or {number} mm, or {us}"
    return f"write {us}, or {metric}"


def _refuse_joiner(text: str, sign: _Token) -> NoReturn:
    """A hyphen after a number: feet, inches and a fraction run together, or a fraction with spaces around it."""
    sentence, hint = f"'{sign.text}' stands where a unit belongs", "join a fraction as in 8-1/2 in"
    joined = _JOINED.fullmatch(text.strip())
    if joined and int(joined["inches"]) < INCHES_PER_FOOT:
        inches = " ".join(part for part in (joined["inches"], joined["fraction"]) if part)
        hint = f"write {joined['feet']} ft {inches} in"
    raise NotationError("unit-missing", sentence, hint, sign.start)


def _read_quantity(tokens: Sequence[_Token]) -> tuple[_Quantity, Sequence[_Token]]:
    """A whole number, decimal, fraction, or whole number and fraction; and the tokens after it."""
    first = tokens[0]
    if first.kind == "fraction":
        return _Quantity("fraction", _read_fraction(first), first.start, first.end), tokens[1:]
    if first.kind not in ("whole", "decimal"):
        sentence = f"a number belongs here, not '{first.text}'"
        raise NotationError("length-notation", sentence, "write it as in 7 ft 2 1/2 in", first.start)
    value = Fraction(first.text)
    taken = 2 if _is_joining_hyphen(tokens) else 1
    if len(tokens) <= taken or tokens[taken].kind != "fraction":
        return _Quantity(first.kind, value, first.start, first.end), tokens[1:]
    last = tokens[taken]
    if first.kind == "decimal":
        sentence = f"{first.text} is a decimal and takes no fraction"
        raise NotationError("length-notation", sentence, "write a decimal or a fraction", last.start)
    value += _read_fraction(last)
    return _Quantity("fraction", value, first.start, last.end), tokens[taken + 1 :]


def _is_joining_hyphen(tokens: Sequence[_Token]) -> bool:
    """Whether tokens start as in 8-1/2: a hyphen with nothing on either side of it."""
    if len(tokens) < 3 or tokens[1].text != "-":
        return False
    return tokens[0].end == tokens[1].start and tokens[1].end == tokens[2].start


def _read_fraction(token: _Token) -> Fraction:
    # Compatibility form: ½ becomes 1⁄2 and ¹¹⁄₁₆ becomes 11⁄16.
    plain = unicodedata.normalize("NFKC", token.text).replace("⁄", "/")
    numerator, denominator = (int(part) for part in plain.split("/"))
    if denominator == 0:
        sentence, hint = f"{plain} divides by zero", "write it as in 1/2"
        raise NotationError("length-notation", sentence, hint, token.start)
    if numerator >= denominator:
        # Most often a lost space: 33/8 for 3 3/8.
        hint = "put a space after the whole number, as in 2 1/2"
        raise NotationError("length-notation", f"{plain} is not less than one", hint, token.start)
    return Fraction(numerator, denominator)


def _read_unit(token: _Token) -> _Unit:
    if token.kind == "mark":
        return _UNIT_BY_MARK[token.text]
    if token.kind == "word":
        if token.text in _UNIT_BY_WORD:
            return _UNIT_BY_WORD[token.text]
        typed = token.text.lower()
        # `im` is nearer to m than to in, and metres would be far off: m is for words that begin so.
        hint = suggest_match(typed, [word for word in _UNIT_BY_WORD if word != "m" or typed.startswith("m")])
        hint = hint if hint.startswith("did") else _OFFER
        raise NotationError("unit-unknown", f"'{token.text}' is no unit known here", hint, token.start)
    sentence = f"{token.text} follows a number that has no unit"
    hint = "give each number its unit; write thousands without a space, as in 1200 mm"
    raise NotationError("unit-missing", sentence, hint, token.start)


def _join_terms(terms: Sequence[_Term]) -> Length:
    first = terms[0]
    for term in terms:
        if term.unit.system == "metric" and term.quantity.kind == "fraction":
            hint = "write it as in 2.5 m"
            offset = term.quantity.start
            raise NotationError("length-notation", "a metric length is a decimal", hint, offset)
    for before, term in pairwise(terms):
        _check_pair(before, term)
    inches = sum((term.quantity.value * term.unit.inches for term in terms), Fraction(0))
    return Length(inches, first.unit.system)


def _check_pair(first: _Term, second: _Term) -> None:
    """The only two terms that go together are whole feet, then less than 12 inches."""
    pair = f"'{second.unit.symbol}' cannot follow '{first.unit.symbol}'"
    if first.unit.system != second.unit.system:
        hint = "write feet and inches, or metric, not both"
        raise NotationError("unit-mixed", pair, hint, second.unit_start)
    if (first.unit, second.unit) != (_FOOT, _INCH):
        hint = "write feet, then inches; metric with one unit, as in 2.197 m"
        raise NotationError("unit-mixed", pair, hint, second.unit_start)
    if first.quantity.kind != "whole":
        hint = "write 7 ft 6 in or 7.5 ft"
        sentence = "feet before inches are a whole number"
        raise NotationError("length-notation", sentence, hint, first.quantity.start)
    if second.quantity.value >= INCHES_PER_FOOT:
        sentence = "inches after feet are less than 12"
        raise NotationError("length-range", sentence, "carry them into the feet", second.quantity.start)


_VULGAR = {
    unicodedata.normalize("NFKC", character): character
    for character in "½¼¾⅛⅜⅝⅞"  # what text faces carry; the rest is built from raised and lowered digits
}
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_NO_BREAK_SPACE = "\u00a0"
_MINUS = "−"


def write_feet_inches(length: Length, denominator: int = 16, style: Style = "plain") -> str:
    """Feet and inches to the nearest 1/`denominator` in (ties to even), as `read_length` reads them back.

    plain "7 ft 2 1/2 in"; print "7 ft 2½ in" with no-break spaces; mark "7′ 2½″". Under 1 ft only inches,
    exact feet only feet, and nothing is "0 in". ValueError if the denominator is below 1.
    """
    inches = round_to(length, denominator).inches
    feet, rest = divmod(abs(inches), INCHES_PER_FOOT)
    foot, inch = ("′", "″") if style == "mark" else (" ft", " in")
    parts = [f"{feet}{foot}"] if feet else []
    if rest or not feet:
        parts.append(f"{_write_mixed(rest, style)}{inch}")
    return _finish(" ".join(parts), inches < 0, style)


def write_tape(length: Length, denominator: int = 16, style: Style = "plain") -> str:
    """As the trade says it: inches alone below 4 ft ("43 in", "27 1/2 in"), feet and inches from there on.

    Rounded as `write_feet_inches` rounds. The 4-ft change is common practice on plans of the plate area.
    """
    inches = round_to(length, denominator).inches
    if abs(inches) >= 4 * INCHES_PER_FOOT:
        return write_feet_inches(length, denominator, style)
    unit = "″" if style == "mark" else " in"
    return _finish(f"{_write_mixed(abs(inches), style)}{unit}", inches < 0, style)


def write_millimetres(length: Length, style: Style = "plain") -> str:
    """Whole millimetres, nearest, ties to even: "2197 mm"."""
    mm = round_to_mm(length).mm
    return _finish(f"{abs(mm)} mm", mm < 0, style)


def write_metres(length: Length, places: int = 3, style: Style = "plain") -> str:
    """Metres with `places` decimals, nearest, ties to even: "2.197 m". ValueError if `places` is negative."""
    if places < 0:
        raise ValueError(f"decimal places are 0 or more, not {places}")
    steps = round(length.mm / 1000 * 10**places)
    digits = f"{abs(steps):0{places + 1}d}"
    number = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return _finish(f"{number} m", steps < 0, style)


def _write_mixed(value: Fraction, style: Style) -> str:
    """A whole number and fraction, value 0 or more: "2 1/2" in plain style, else "2½"."""
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    numerator, denominator = str(rest.numerator), str(rest.denominator)
    if style == "plain":
        return f"{whole} {rest}" if whole else str(rest)
    built = f"{numerator.translate(_RAISED)}⁄{denominator.translate(_LOWERED)}"
    return f"{whole or ''}{_VULGAR.get(f'{numerator}⁄{denominator}', built)}"


def _finish(text: str, is_negative: bool, style: Style) -> str:
    """Sign and spaces by style; drawings keep ordinary spaces, as their text never flows."""
    if style == "print":
        text = text.replace(" ", _NO_BREAK_SPACE)
    sign = "-" if style == "plain" else _MINUS
    return f"{sign}{text}" if is_negative else text
