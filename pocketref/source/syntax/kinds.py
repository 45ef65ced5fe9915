"""The kinds of value a source may hold, each read from the text as it was written.

Every reader refuses with a sentence, a hint and the offset of the character at fault; validation turns these
into problems with places. A value that already has the right type passes, so that models can be made in code.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import partial
from typing import Annotated, LiteralString, NoReturn, Self, TypeVar
from urllib.parse import urlsplit

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, PlainSerializer, PlainValidator
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from pocketref.problems import suggest_match
from pocketref.source.syntax.source_text import clip_text
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length, write_exact
from pocketref.words.terminal import tell

T = TypeVar("T")

LONGEST_NAME = 60
LONGEST_SENTENCE = 400

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
"""What Windows takes for a device wherever it is the name of a file or folder, with any ending."""
_SECTION = re.compile(r"[A-Za-z0-9][A-Za-z0-9.()-]{0,39}")
# Control, format, unassigned and private characters, and line and paragraph separators (Unicode 3.5, 4.5).
_UNPRINTABLE = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"}


def refuse_value(code: LiteralString, sentence: str, hint: str = "", offset: int | None = None) -> NoReturn:
    """Refuse a value from within a validator, with what validation needs to report it.

    `code` is the problem's code; `offset` counts from 0 in the text.
    """
    raise PydanticCustomError(code, "{sentence}", {"sentence": sentence, "hint": hint, "offset": offset})


def _need_text(value: object) -> str:
    if not isinstance(value, str):
        refuse_value("value-kind", tell("text belongs here"))
    return value


def _quote(text: str) -> str:
    return f"'{clip_text(text)}'"


# --- lengths ---------------------------------------------------------------------------------------------


def convert_length(value: object, read: Callable[[str], Length]) -> Length:
    """A length from its text by a notation's reader, whose refusal validation then reports at its place."""
    if isinstance(value, Length):
        return value
    try:
        return read(_need_text(value))
    except NotationError as error:
        context = {"sentence": error.sentence, "hint": error.hint, "offset": error.offset}
        # The code is one of the few that NotationError lists, though its type can't say so.
        raise PydanticCustomError(error.code, "{sentence}", context) from None


def _read_length(value: object, *, zero: bool = False, negative: bool = False) -> Length:
    return convert_length(value, partial(read_length, allow_zero=zero, allow_negative=negative))


_write_length = PlainSerializer(write_exact, return_type=str)

LengthField = Annotated[Length, PlainValidator(_read_length), _write_length]
"""A length above zero with its unit."""
LengthOrZero = Annotated[Length, PlainValidator(partial(_read_length, zero=True)), _write_length]
"""A length of zero or more."""
SignedLength = Annotated[
    Length, PlainValidator(partial(_read_length, zero=True, negative=True)), _write_length
]
"""A length of either sign, or zero."""


# --- numbers, truth values, dates ------------------------------------------------------------------------


def _read_whole(value: object) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    text = _need_text(value)
    if not re.fullmatch("-?[0-9]{1,9}", text):
        refuse_value(
            "value-number",
            tell("{text} is not a whole number", text=_quote(text)),
            tell("write digits only, such as 12"),
        )
    return int(text)


def _read_decimal(value: object) -> Decimal:
    if isinstance(value, Decimal | int | float) and not isinstance(value, bool):
        return Decimal(str(value))
    text = _need_text(value)
    if not re.fullmatch(r"-?[0-9]{1,9}(\.[0-9]{1,9})?", text):
        hint = tell("write digits with a point for decimals, such as 2.5")
        refuse_value("value-number", tell("{text} is not a number", text=_quote(text)), hint)
    return Decimal(text)


def _read_yes_no(value: object) -> bool:
    if isinstance(value, bool):
        return value
    text = _need_text(value)
    if text not in ("yes", "no"):
        refuse_value(
            "value-yes-no", tell("{text} is neither yes nor no", text=_quote(text)), tell("write yes or no")
        )
    return text == "yes"


def _read_date(value: object) -> date:
    if isinstance(value, date):
        return value
    text = _need_text(value)
    if not re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        hint = tell("write year-month-day, such as 2027-02-01")
        refuse_value("value-date", tell("{text} is not a date", text=_quote(text)), hint)
    try:
        return date.fromisoformat(text)
    except ValueError:
        refuse_value(
            "value-date",
            tell("there is no such day as {text}", text=text),
            tell("check the month and the day"),
        )


WholeNumber = Annotated[int, BeforeValidator(_read_whole)]
"""A whole number in digits, at most nine of them."""
DecimalNumber = Annotated[Decimal, BeforeValidator(_read_decimal)]
"""A number kept as it was written: 2.50 stays 2.50."""
YesNo = Annotated[bool, BeforeValidator(_read_yes_no)]
"""Truth, written yes or no."""
IsoDate = Annotated[date, BeforeValidator(_read_date)]
"""A day as ISO 8601 writes it, year-month-day."""


# --- names and sentences ---------------------------------------------------------------------------------


def is_name(text: str) -> bool:
    """Whether a text is an identifier such as high-school."""
    return len(text) <= LONGEST_NAME and _NAME.fullmatch(text) is not None


def _read_name(value: object) -> str:
    text = _need_text(value)
    if len(text) > LONGEST_NAME:
        sentence = tell(
            "{text} has {count} characters; a name has at most {longest_name}",
            text=_quote(text),
            count=len(text),
            longest_name=LONGEST_NAME,
        )
        refuse_value("value-name", sentence, tell("shorten it"), LONGEST_NAME)
    if not _NAME.fullmatch(text):
        plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
        mended = "-".join(re.findall("[a-z0-9]+", plain))
        if mended:
            hint = tell("use lower-case letters, digits and single hyphens: {mended}", mended=mended)
        else:
            hint = tell("use lower-case letters, digits and single hyphens")
        match = _NAME.match(text)
        refuse_value(
            "value-name", tell("{text} is not a name", text=_quote(text)), hint, match.end() if match else 0
        )
    if text in DEVICES:
        refuse_value(
            "value-name",
            tell("'{text}' can't be a file's name on Windows", text=text),
            tell("choose another name"),
        )
    return text


def _read_sentence(value: object) -> str:
    text = _need_text(value)
    for offset, letter in enumerate(text.rstrip("\n")):
        if unicodedata.category(letter) in _UNPRINTABLE:
            sentence, hint = (
                tell("the character U+{letter:04X} can't be printed", letter=ord(letter)),
                tell("delete it"),
            )
            if letter == "\n":
                sentence = tell("this text has more than one line")
                hint = tell("write it on one line, or start it with '>-'")
            refuse_value("value-text", sentence, hint, offset)
    text = unicodedata.normalize("NFC", text).strip()
    if not text:
        refuse_value("value-empty", tell("the text is empty"), tell("write the text, or leave the key out"))
    if len(text) > LONGEST_SENTENCE:
        sentence = tell(
            "the text has {count} characters; at most {longest_sentence} are read",
            count=len(text),
            longest_sentence=LONGEST_SENTENCE,
        )
        refuse_value("value-text", sentence, tell("shorten it"), LONGEST_SENTENCE)
    return text


def _read_address(value: object) -> str:
    text = _read_sentence(value)
    try:
        parts = urlsplit(text)
        is_whole = parts.scheme in ("http", "https") and bool(parts.hostname)
    except ValueError:
        is_whole = False
    if not is_whole or any(mark in text for mark in " ?#"):
        sentence = tell("{text} is not an address on the web that folders can be under", text=_quote(text))
        refuse_value("address-notation", sentence, tell("write it whole, such as https://example.org"))
    return text


Name = Annotated[str, BeforeValidator(_read_name)]
"""An identifier: lower-case letters and digits in words joined by hyphens."""
Line = Annotated[str, BeforeValidator(_read_sentence)]
"""Printable text on one line, composed (Unicode NFC), without spaces at its ends; the same in every language."""
TRANSLATED = "translated"
"""Marks the type of what is said in the language of an edition."""
Sentence = Annotated[Line, TRANSLATED]
"""As a line, and said in the language of an edition."""
WebAddress = Annotated[str, BeforeValidator(_read_address)]
"""An absolute address of http or https, without query or fragment (RFC 3986)."""


def _wrap_single(value: object) -> object:
    return value if isinstance(value, list | tuple) else [value]


OneOrMany = Annotated[tuple[T, ...], Field(min_length=1), BeforeValidator(_wrap_single)]
"""A single value or a list of at least one."""
OneOrList = Annotated[tuple[T, ...], BeforeValidator(_wrap_single)]
"""A single value or a list, which may be empty."""


# --- where a statement comes from ------------------------------------------------------------------------


class Confidence(StrEnum):
    """How sure the source of a figure or ruling is."""

    IN_TEXT = "in text"
    """Read in the work cited."""
    SECONDARY = "secondary"
    """Others say that the work cited says so."""
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    """Must be compared with the work cited before printing."""
    INFERRED = "inferred"
    """Follows from what the works cited say."""
    OUR_PROPOSAL = "our proposal"


HOUSE = "house"
"""The work named by whoever cites nothing but the association itself."""


@dataclass(frozen=True, slots=True)
class Cite:
    """A section of a work, or the association itself ("house", with no section)."""

    work: str
    section: str = ""

    def __str__(self) -> str:
        return f"{self.work} {self.section}".rstrip()

    @property
    def is_house(self) -> bool:
        """Whether the association itself is the source."""
        return self.work == HOUSE

    @classmethod
    def read(cls, value: object) -> Self:
        """A citation from text such as "hs-book 7-1-1"."""
        if isinstance(value, cls):
            return value
        text = _need_text(value)
        example = tell("write a work and one section, such as hs-book 7-1-1, or the word house")
        work, *sections = text.split() or [""]
        if not is_name(work):
            refuse_value(
                "value-cite", tell("{text} doesn't start with a work's name", text=_quote(text)), example
            )
        if (work == HOUSE) != (not sections):
            if work == HOUSE:
                refuse_value("value-cite", tell("{text} takes no section", text=_quote(text)), example)
            refuse_value("value-cite", tell("{text} names no section", text=_quote(text)), example)
        if len(sections) > 1:
            hint = tell(
                "write a list: [{work} {sections}, {work} {sections2}]",
                work=work,
                sections=sections[0],
                sections2=sections[1],
            )
            sentence, offset = (
                tell("{text} names more than one section", text=_quote(text)),
                text.rindex(sections[1]),
            )
            refuse_value("value-cite", sentence, hint, offset)
        if sections:
            read_section(sections[0], text.index(sections[0], len(work)))
        return cls(work, *sections)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            cls.read, serialization=core_schema.to_string_ser_schema()
        )


def read_section(value: object, offset: int = 0) -> str:
    """A section's number or name, such as 7-1-1, 5.04(b)(5) or diagram-2; `offset` is where it starts."""
    text = _need_text(value)
    if not _SECTION.fullmatch(text):
        hint = tell("use letters, digits, hyphens, full stops and brackets, at most 40, no spaces")
        match = _SECTION.match(text)
        offset += match.end() if match else 0
        refuse_value("value-cite", tell("{text} is not a section", text=_quote(text)), hint, offset)
    return text


SectionName = Annotated[str, BeforeValidator(read_section)]
Sources = OneOrMany[Cite]
"""One citation or more."""


# --- closed lists ----------------------------------------------------------------------------------------


_NOT_KNOWN = {
    "dimension": "{word} is not a known dimension",
    "figure": "{word} is not a known figure",
    "picture": "{word} is not a known picture",
    "plan": "{word} is not a known plan",
    "tolerance": "{word} is not a known tolerance",
}


@dataclass(frozen=True, slots=True, eq=False)
class OneOf:
    """Validates a word of a closed list, else refuses it with the closest match; `what` names its kind."""

    what: str
    known: Collection[str]

    def __call__(self, word: str) -> str:
        """The word itself."""
        if word not in self.known:
            hint = suggest_match(word, self.known)
            refuse_value("key-unknown", tell(_NOT_KNOWN[self.what], word=_quote(word)), hint)
        return word
