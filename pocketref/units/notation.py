"""Lengths as people write them: read exactly, or refused with the place and the remedy; written; typeset.

Reading never guesses: a length carries its unit, a fraction is less than one, and nothing follows it. What is
written is plain text, to be read back; print sets it as `typeset_figures` says.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from itertools import pairwise, zip_longest
from typing import NoReturn

from pocketref.problems import find_match
from pocketref.units.length import INCHES_PER_FOOT, MM_PER_INCH, Length, System, round_to
from pocketref.words.terminal import tell

LONGEST_TEXT = 80
GREATEST_LENGTH = Length.from_mm(10_000_000)
"""10 km: more is a slip of the pen on any field."""


class NotationError(ValueError):
    """A text that is no length: what is wrong, what to write, and where in the text (offset from 0).

    `code` is one of length-notation, length-range, unit-missing, unit-unknown, unit-mixed.
    """

    def __init__(self, code: str, sentence: str, hint: str, offset: int) -> None:
        self.code, self.sentence, self.hint, self.offset = code, sentence, hint, offset
        super().__init__(f"{sentence}: {hint}" if hint else sentence)


@dataclass(frozen=True, slots=True)
class _Unit:
    symbol: str
    system: System
    inches: Fraction


_FOOT = _Unit("ft", "us", Fraction(INCHES_PER_FOOT))
_INCH = _Unit("in", "us", Fraction(1))
_UNIT_BY_WORD = {
    # Primes, and the straight and curly quotes that keyboards and word processors put for them.
    **dict.fromkeys("'′’", _FOOT),
    **dict.fromkeys('"″”', _INCH),
    **dict.fromkeys(("ft", "foot", "feet"), _FOOT),
    **dict.fromkeys(("in", "inch", "inches"), _INCH),
    "mm": _Unit("mm", "metric", 1 / MM_PER_INCH),
    "cm": _Unit("cm", "metric", 10 / MM_PER_INCH),
    "m": _Unit("m", "metric", 1000 / MM_PER_INCH),
}
_OFFERED = ("ft", "in", "mm", "cm", "m")
_WORDS = [word for word in _UNIT_BY_WORD if word.isalpha()]
_LEAST_BARE_MM = 1000
"""A bare number from here on is rather millimetres than feet or inches: our own figure."""
_JOINED = re.compile(
    r"(?P<feet>[0-9]{1,3})-(?P<inches>[0-9]{1,2})([- ](?P<fraction>[0-9]+[/⁄][0-9]+))?( ?(in|[\"″”]))?"
)
_FRACTION = "[0-9]+[/⁄][0-9]+ | [⁰¹²³⁴-⁹]+⁄[₀-₉]+ | [¼½¾⅐-⅞]"
_SPACES = r"[ \t\u00a0\u2009\u202f]"
_TOKEN = re.compile(
    rf"""
      (?P<space>  {_SPACES}+ )
    | (?P<number> (?P<alone> {_FRACTION} )
                | (?P<whole> (?> [0-9]+ (\.[0-9]+)? ) ) ( ( {_SPACES}* | - ) (?P<part> {_FRACTION} ) )? )
    | (?P<word>   [^\W\d_]+ )
    | (?P<mark>   ['"′″’”] )
    | (?P<sign>   [-−+] )
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class _Term:
    """A number with its unit; `kind` is "whole", "decimal" or "fraction"."""

    kind: str
    value: Fraction
    start: int
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
        hint = tell("write only the length, such as 7 ft 2 1/2 in")
        raise NotationError(
            "length-notation", tell("{count} characters are no length", count=len(text)), hint, LONGEST_TEXT
        )
    tokens = list(_split_tokens(text))
    sign = tokens.pop(0) if tokens and tokens[0].lastgroup == "sign" else None
    if sign and not allow_negative:
        sentence = tell("a length here has no sign, but this one starts with '{sign}'", sign=sign[0])
        raise NotationError("length-range", sentence, tell("leave the sign out"), sign.start())
    terms = _read_terms(text, tokens, sign[0] if sign else "", near)
    length = _join_terms(terms)
    offset = terms[0].start
    if length > GREATEST_LENGTH:
        raise NotationError(
            "length-range", tell("a length here is at most 10 km"), tell("check the unit"), offset
        )
    if length.inches == 0 and not allow_zero:
        hint = tell("check the figure and its unit")
        raise NotationError("length-range", tell("a length here is more than zero"), hint, offset)
    return -length if sign and sign[0] != "+" else length


def _split_tokens(text: str) -> Iterator[re.Match[str]]:
    """Numbers, words, marks and signs, by the name of the group that matched."""
    position = 0
    while position < len(text):
        match = _TOKEN.match(text, position)
        if match is None:
            _refuse_character(text, position)
        if match.lastgroup != "space":
            yield match
        position = match.end()


def _refuse_character(text: str, offset: int) -> NoReturn:
    sentence, hint = (
        tell("{text!r} has no place in a length", text=text[offset]),
        tell("write it as in 7 ft 2 1/2 in or 2.197 m"),
    )
    if text[offset] == ",":
        sentence = tell("a comma may mean decimals or thousands")
        hint = tell("write decimals with a point, as in 8.5 in, and thousands without a mark, as in 1200 mm")
    elif text[offset] == ".":
        sentence = tell("a decimal point stands once, between digits")
        hint = tell("write 0.5 in, not .5 in; units take no full stop")
    elif text[offset] in "/⁄":
        sentence = tell("a fraction is two whole numbers with a slash between them and no spaces")
        hint = tell("write it as in 2 1/2 in")
    raise NotationError("length-notation", sentence, hint, offset)


def _read_terms(text: str, tokens: Sequence[re.Match[str]], sign: str, near: Length | None) -> list[_Term]:
    """Numbers each followed by a unit, at least one; `sign` stands before them."""
    end = len(text.rstrip())
    if not tokens:
        raise NotationError(
            "length-notation", tell("a length is missing"), tell("write it as in 7 ft 2 1/2 in"), end
        )
    terms: list[_Term] = []
    for token, unit in zip_longest(tokens[::2], tokens[1::2]):
        kind, value = _read_number(token)
        if unit is None:
            number = token[0]
            is_after_feet = bool(terms) and terms[-1].unit is _FOOT
            hint = (
                tell("write {number} in", number=number)
                if is_after_feet
                else tell("write {number} ft or {number} in", number=number)
            )
            if not terms:  # a sign left out of the remedy would turn the length round
                number = f"{sign}{number}"
                hint = _offer_units(kind, value, number, near)
            raise NotationError("unit-missing", tell("{number} has no unit", number=number), hint, end)
        if unit.lastgroup == "sign":
            _refuse_joiner(text, unit)
        terms.append(_Term(kind, value, token.start(), _read_unit(unit), unit.start()))
    return terms


def _offer_units(kind: str, value: Fraction, number: str, near: Length | None) -> str:
    """The lengths that a number without a unit may stand for; metric ones take no fraction."""
    if kind == "fraction":
        return tell("write {number} ft or {number} in", number=number)
    if near is not None and near.inches and value:
        sizes = {word: float(value * _UNIT_BY_WORD[word].inches) for word in _OFFERED}
        target = math.log(abs(near.inches))
        first, second, third, *_ = sorted(sizes, key=lambda word: abs(math.log(sizes[word]) - target))
        offers = f"{number} {first}, {number} {second} or {number} {third}"
        return tell("write {offers}: the first is nearest the target", offers=offers)
    us, metric = f"{number} ft or {number} in", f"{number} mm or {number} m"
    # Sheets print millimetres without decimals and metres with three.
    if value >= _LEAST_BARE_MM:
        return tell("write {metric}, or {us}", metric=metric, us=us)
    if re.fullmatch(r".*\.[0-9]{3}", number):
        return tell("write {number} m or {number} mm, or {us}", number=number, us=us)
    return tell("write {us}, or {metric}", us=us, metric=metric)


def _refuse_joiner(text: str, sign: re.Match[str]) -> NoReturn:
    """A hyphen after a number: feet, inches and a fraction run together, or a fraction with spaces around it."""
    sentence, hint = (
        tell("'{sign}' stands where a unit belongs", sign=sign[0]),
        tell("join a fraction as in 8-1/2 in"),
    )
    joined = _JOINED.fullmatch(text.strip())
    if joined and int(joined["inches"]) < INCHES_PER_FOOT:
        inches = " ".join(part for part in (joined["inches"], joined["fraction"]) if part)
        hint = tell("write {feet} ft {inches} in", feet=joined["feet"], inches=inches)
    raise NotationError("unit-missing", sentence, hint, sign.start())


def _read_number(token: re.Match[str]) -> tuple[str, Fraction]:
    """The kind and value of a whole number, decimal, fraction, or whole number and fraction."""
    if token.lastgroup != "number":
        sentence = tell("a number belongs here, not '{token}'", token=token[0])
        raise NotationError("length-notation", sentence, tell("write it as in 7 ft 2 1/2 in"), token.start())
    if token["alone"]:
        return "fraction", _read_fraction(token["alone"], token.start())
    whole, part = token["whole"], token["part"]
    if not part:
        return "decimal" if "." in whole else "whole", Fraction(whole)
    if "." in whole:
        sentence = tell("{whole} is a decimal and takes no fraction", whole=whole)
        raise NotationError(
            "length-notation", sentence, tell("write a decimal or a fraction"), token.start("part")
        )
    return "fraction", int(whole) + _read_fraction(part, token.start("part"))


def _read_fraction(text: str, offset: int) -> Fraction:
    # Compatibility form: ½ becomes 1⁄2 and ¹¹⁄₁₆ becomes 11⁄16.
    plain = unicodedata.normalize("NFKC", text).replace("⁄", "/")
    numerator, denominator = (int(part) for part in plain.split("/"))
    if denominator == 0:
        raise NotationError(
            "length-notation",
            tell("{plain} divides by zero", plain=plain),
            tell("write it as in 1/2"),
            offset,
        )
    if numerator >= denominator:
        # Most often a lost space: 33/8 for 3 3/8.
        hint = tell("put a space after the whole number, as in 2 1/2")
        raise NotationError(
            "length-notation", tell("{plain} is not less than one", plain=plain), hint, offset
        )
    return Fraction(numerator, denominator)


def _read_unit(token: re.Match[str]) -> _Unit:
    written = token[0]
    if written in _UNIT_BY_WORD:
        return _UNIT_BY_WORD[written]
    if token.lastgroup == "word":
        typed = written.lower()
        # `im` is nearer to m than to in, and metres would be far off: m is for words that begin so.
        hint = find_match(typed, [word for word in _WORDS if word != "m" or typed.startswith("m")])
        hint = hint or tell("use one of: {shown}", shown=", ".join(_OFFERED))
        raise NotationError(
            "unit-unknown", tell("'{written}' is no unit known here", written=written), hint, token.start()
        )
    sentence = tell("{written} follows a number that has no unit", written=written)
    hint = tell("give each number its unit; write thousands without a space, as in 1200 mm")
    raise NotationError("unit-missing", sentence, hint, token.start())


def _join_terms(terms: Sequence[_Term]) -> Length:
    first = terms[0]
    for term in terms:
        if term.unit.system == "metric" and term.kind == "fraction":
            sentence, hint = tell("a metric length is a decimal"), tell("write it as in 2.5 m")
            raise NotationError("length-notation", sentence, hint, term.start)
    for before, term in pairwise(terms):
        _check_pair(before, term)
    inches = sum((term.value * term.unit.inches for term in terms), Fraction(0))
    return Length(inches, first.unit.system)


def _check_pair(first: _Term, second: _Term) -> None:
    """The only two terms that go together are whole feet, then less than 12 inches."""
    pair = tell("'{symbol}' cannot follow '{symbol2}'", symbol=second.unit.symbol, symbol2=first.unit.symbol)
    if first.unit.system != second.unit.system:
        hint = tell("write feet and inches, or metric, not both")
        raise NotationError("unit-mixed", pair, hint, second.unit_start)
    if (first.unit, second.unit) != (_FOOT, _INCH):
        hint = tell("write feet, then inches; metric with one unit, as in 2.197 m")
        raise NotationError("unit-mixed", pair, hint, second.unit_start)
    if first.kind != "whole":
        sentence, hint = tell("feet before inches are a whole number"), tell("write 7 ft 6 in or 7.5 ft")
        raise NotationError("length-notation", sentence, hint, first.start)
    if second.value >= INCHES_PER_FOOT:
        sentence, hint = tell("inches after feet are less than 12"), tell("carry them into the feet")
        raise NotationError("length-range", sentence, hint, second.start)


def write_feet_inches(length: Length, denominator: int = 16) -> str:
    """Feet and inches to the nearest 1/`denominator` in (ties to even), as `read_length` reads them back.

    "7 ft 2 1/2 in"; under 1 ft only inches, exact feet only feet, and nothing is "0 in". ValueError if the
    denominator is below 1.
    """
    inches = round_to(length, denominator).inches
    feet, rest = divmod(abs(inches), INCHES_PER_FOOT)
    parts = [f"{feet} ft"] if feet else []
    if rest or not feet:
        parts.append(f"{_write_mixed(rest)} in")
    return ("-" if inches < 0 else "") + " ".join(parts)


def write_tape(length: Length, denominator: int = 16) -> str:
    """As the trade says it: inches alone below 4 ft ("43 in", "27 1/2 in"), feet and inches from there on.

    Rounded as `write_feet_inches` rounds. The 4-ft change is common practice on plans of the plate area.
    """
    inches = round_to(length, denominator).inches
    if abs(inches) >= 4 * INCHES_PER_FOOT:
        return write_feet_inches(length, denominator)
    return f"{'-' if inches < 0 else ''}{_write_mixed(abs(inches))} in"


def write_measured(mm: float, denominator: int = 16) -> str:
    """A length found by measuring or computing, in mm, as `write_tape` writes it."""
    return write_tape(Length.from_mm(Fraction(mm)), denominator)


def write_exact(length: Length) -> str:
    """A length's own notation without rounding, as `read_length` reads it back: "8 1/2 in", "2197 mm"."""
    if length.system == "us":
        return write_feet_inches(length, length.inches.denominator)
    mm = Context(prec=60).divide(Decimal(length.mm.numerator), Decimal(length.mm.denominator))
    return f"{mm.normalize():f} mm"


def write_mm(length: Length) -> str:
    """Whole millimetres, nearest, ties to even, without their unit, as columns and brackets hold them: "2197"."""
    return str(round(length.mm))


def _write_mixed(value: Fraction) -> str:
    """A whole number and fraction, value 0 or more: "2 1/2"."""
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


_VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_SPELT = re.compile(
    r"(?<![\w/.,-])(?:(?P<whole>\d+)[ \u00a0])?(?P<over>\d{1,2})/(?P<under>2|4|8|16|32|64)(?![\w/])"
)
_MINUS = re.compile(r"(?<![^\s*])-(?=\d)")
FRACTION = re.compile("([¼½¾⅛⅜⅝⅞]|[⁰¹²³⁴-⁹]+⁄[₀-₉]+)")
"""A typeset fraction."""
_TYPESET = re.compile(rf"(?P<whole>\d)?(?P<fraction>{FRACTION.pattern})")


def typeset_figures(text: str) -> str:
    """The text as print sets it: a minus sign, and the fractions that a tape has as "2⁹⁄₁₆" or "½" for "2 9/16", "1/2".

    What text faces carry as one character is one; the rest is built from raised and lowered figures.
    """
    if "-" in text:
        text = _MINUS.sub("−", text)
    return _SPELT.sub(_typeset, text) if "/" in text else text


def has_fraction(text: str) -> bool:
    """Whether a fraction that a tape has stands in the text, typeset or in ordinary characters."""
    return FRACTION.search(typeset_figures(text)) is not None


def _typeset(match: re.Match[str]) -> str:
    over, under = match["over"], match["under"]
    if not int(over) % 2 or int(over) >= int(under):
        return match[0]
    built = f"{over.translate(_RAISED)}⁄{under.translate(_LOWERED)}"
    return (match["whole"] or "") + _VULGAR.get(f"{over}/{under}", built)


def spell_fractions(text: str) -> str:
    """The text with its fractions in ordinary characters, "2⁹⁄₁₆" as "2 9/16", held together by a no-break space."""
    return text if text.isascii() else _TYPESET.sub(_spell, text)


def _spell(match: re.Match[str]) -> str:
    # Compatibility form: ½ becomes 1⁄2 and ¹¹⁄₁₆ becomes 11⁄16.
    spelt = unicodedata.normalize("NFKC", match["fraction"]).replace("⁄", "/")
    return f"{match['whole']}\u00a0{spelt}" if match["whole"] else spelt
