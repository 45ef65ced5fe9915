"""Heights taped on a mound: how each is written, which blank of a sheet is for it, and what they say together."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pocketref.field.mound import (
    NEEDED,
    JudgedSlope,
    SlopePoint,
    SlopeReading,
    check_has_mound,
    judge_plate_height,
    judge_slope,
    list_slope,
)
from pocketref.problems import refusal
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length
from pocketref.words.terminal import tell

PLATE_FIELD = "plate-height"
_SLOPE_FIELD = re.compile(r"below-([0-9]{1,4})(?:_([0-9]{1,3})-([1-9][0-9]{0,2}))?-in")
_SIDE = re.compile(
    r"(?P<length>.*\S)\s+(?P<side>above|below)(\s+(the\s+)?(level\s+)?line)?\s*", re.IGNORECASE
)


def read_depth(text: str, near: Length | None = None) -> Length:
    """How far ground is below the level line: "1 in"; above it "1/2 in above" or "-1/2 in", which are negative.

    `near` is what it should be about. Raises NotationError as `read_length` does, and for a sign that doesn't
    say which way it counts.
    """
    if text.strip() == "0":
        return Length(Fraction(0))  # level is level in any unit
    said = _SIDE.fullmatch(text)
    bare = said["length"] if said else text
    sign = bare.lstrip()[:1]
    if sign == "+" or (said and sign in ("-", "−")):
        sentence = tell("'{sign}' doesn't say whether the ground is above or below the level line", sign=sign)
        amount = bare.lstrip()[1:].strip()
        hint = tell("write {amount} below or {amount} above, without a sign", amount=amount)
        raise NotationError("length-range", sentence, hint, text.index(sign))
    depth = read_length(bare, allow_zero=True, allow_negative=True, near=near)
    return -depth if said and said["side"].lower() == "above" else depth


@dataclass(frozen=True, slots=True)
class JudgedMound:
    """A mound's heights against the level; `plate` is None where the pitcher's plate was not read."""

    plate: JudgedSlope | None
    slope: tuple[JudgedSlope, ...]
    unread: tuple[SlopePoint, ...] = ()
    """The places of the slope that no reading is of."""

    @property
    def is_good(self) -> bool:
        """Whether every height that was read is within the tolerance."""
        return all(judged.is_good for judged in (*self.slope, *((self.plate,) if self.plate else ())))

    @property
    def is_fine(self) -> bool:
        """Whether all of it was read and is good."""
        return self.is_good and self.is_whole

    @property
    def is_whole(self) -> bool:
        """Whether the pitcher's plate and every place of the slope were read."""
        return self.plate is not None and not self.unread


def write_slope_field(ahead: Length) -> str:
    """The name of the blank for the ground at a distance ahead of the pitcher's plate, such as "below-18-in"."""
    whole, rest = divmod(ahead.inches, 1)
    return f"below-{whole}_{rest.numerator}-{rest.denominator}-in" if rest else f"below-{whole}-in"


def read_slope_field(name: str) -> Length | None:
    """How far ahead of the pitcher's plate a blank's ground is; None if the name is no such blank's."""
    match = _SLOPE_FIELD.fullmatch(name)
    if match is None:
        return None
    whole, numerator, denominator = match.groups()
    return Length(Fraction(int(whole)) + (Fraction(int(numerator), int(denominator)) if numerator else 0))


def judge_mound(
    lengths: Mapping[str, Length], slope: Sequence[SlopeReading], height: Length | None, tolerance: Length
) -> JudgedMound:
    """Heights of the ground, and of the pitcher's plate, against the level's dimensions.

    Raises PocketrefError if there is none, or one can't be.
    """
    check_has_mound(lengths)
    if not slope and height is None:
        raise refusal("tape-empty", tell("there are no readings"), tell("write at least one height"))
    plate = judge_plate_height(lengths, height, tolerance) if height is not None else None
    judged = judge_slope(lengths, slope, tolerance)
    read = {one.reading.ahead for one in judged}
    asked = list_slope(lengths) if all(name in lengths for name in NEEDED) else ()
    return JudgedMound(plate, judged, tuple(point for point in asked if point.ahead not in read))
