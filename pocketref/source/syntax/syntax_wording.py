"""What a YAML parser's complaint means, and what to do about it, in plain words.

The parser has two builds, one in C and one in Python, whose wording differs; the phrases looked for here
are found in both.
"""

from __future__ import annotations

from dataclasses import dataclass

import yaml

from pocketref.problems import Location, Problem
from pocketref.source.syntax.source_text import SourceText


@dataclass(frozen=True, slots=True)
class _Meaning:
    """A complaint known by phrases in its context and its problem; {mark} is the character it stopped at."""

    context: str
    problem: str
    sentence: str
    hint: str
    at_start: bool = False
    """Point at where the parser began what it could not finish rather than at where it gave up."""
    code: str = "yaml-syntax"


_UNCLOSED = ("a quoted text starts here and is never closed", "add the closing quote, or quote the text anew")
_INDENT = "give all keys of one mapping, and all items of one list, the same indent"
_TAB = ("a tab stands where spaces are needed", "indent with spaces only")
_OPENED = (
    "close it with '{close}', put commas between its entries, and quote any text that holds , : [ ] {{ or }}"
)
_TAG = (
    "a word starting with '!' is a tag, and tags are not read",
    "take it out, or put quotes round the text",
)

_MEANINGS = (
    _Meaning("quoted", "unexpected end of stream", *_UNCLOSED, at_start=True),
    _Meaning("quoted", "unexpected document", *_UNCLOSED, at_start=True),
    _Meaning(
        "quoted",
        "escape",
        "a backslash in double quotes is followed by something it can't stand before",
        "write \\\\ for a backslash, or put the text in single quotes",
    ),
    _Meaning("quoted", "hexdec", "a \\x, \\u or \\U code is not complete", "write \\\\ for a backslash"),
    _Meaning(
        "",
        "maximum nesting",
        "lists and mappings stand too deep in one another",
        "write it with fewer lists and mappings inside others",
        code="yaml-depth",
    ),
    _Meaning("", "tab character", *_TAB),
    _Meaning("", "'\\t'", *_TAB),
    _Meaning(
        "simple key",
        "expected ':'",
        "this line has no colon after its key",
        "write 'key: value', or indent the line if it carries on the text above it",
        at_start=True,
    ),
    _Meaning(
        "",
        "mapping values are not allowed",
        "a colon stands where no key can be",
        f"put quotes round text that holds ': '; {_INDENT}",
    ),
    _Meaning(
        "",
        "entries are not allowed",
        "a list item can't start here",
        "put each '- item' on its own line below the key, all at one indent",
    ),
    _Meaning(
        "",
        "cannot start any token",
        "text can't start with {mark} unless it is quoted",
        "put quotes round the text",
    ),
    _Meaning(
        "flow sequence",
        "or ']'",
        "the list opened with '[' on line {start} is broken here",
        _OPENED.format(close="]"),
    ),
    _Meaning(
        "flow mapping",
        "or '}'",
        "the mapping opened with '{{' on line {start} is broken here",
        _OPENED.format(close="}"),
    ),
    _Meaning(
        "flow node",
        "node content",
        "a value is missing here, or a bracket is never closed",
        "close every '[' and '{' and leave no two commas without a value between",
    ),
    _Meaning(
        "", "node content", "a value can't start with {mark}", "put quotes round the text, or take it out"
    ),
    _Meaning(
        "block collection",
        "",
        "this line is not an item of the list above it",
        "start it with '- ' at the indent of the other items, or move it out to the indent of its key",
    ),
    _Meaning(
        "block mapping",
        "",
        "this doesn't fit the mapping it stands in, which starts on line {start}",
        f"{_INDENT}; a quoted or bracketed value ends at its closing mark",
    ),
    _Meaning("", "<document start>", "this doesn't belong to what stands above it", _INDENT),
    _Meaning("anchor", "", "'&' needs a name after it", "put quotes round text that starts with '&'"),
    _Meaning("alias", "", "'*' needs a name after it", "put quotes round text that starts with '*'"),
    _Meaning("directive", "", "a line starting with '%' is not read", "take the line out", at_start=True),
    _Meaning("", "YAML document", "this version of YAML is not read", "take the line starting with '%' out"),
    _Meaning("", "tag handle", *_TAG, code="yaml-tag"),
    _Meaning("tag", "", *_TAG, code="yaml-tag"),
    _Meaning(
        "block scalar",
        "",
        "only a line break may follow '|' or '>'",
        "start the text on the next line, or put quotes round text that starts with '|' or '>'",
    ),
)
_UNKNOWN = _Meaning(
    "", "", "this can't be read as YAML", "check indents, colons, quotes and brackets near here"
)


def write_syntax_error(error: yaml.YAMLError, source: SourceText) -> Problem:
    """The problem behind a parser's complaint, at the place a reader would mend."""
    context, complaint = (str(getattr(error, name, None) or "") for name in ("context", "problem"))
    meaning = next((m for m in _MEANINGS if m.context in context and m.problem in complaint), _UNKNOWN)
    found = _locate(getattr(error, "problem_mark", None), source)
    start = _locate(getattr(error, "context_mark", None), source) or found
    where = start if meaning.at_start else found or start
    mark = repr(where.text[where.column - 1 : where.column]) if where else ""
    if mark == "'\\t'":
        return Problem("yaml-syntax", *_TAB, where)
    if mark in ("''", ""):
        mark = "the end of the line"
    sentence = meaning.sentence.format(mark=mark, start=start.line if start else 1)
    return Problem(meaning.code, sentence, meaning.hint, where or Location(source.file))


def _locate(mark: yaml.Mark | None, source: SourceText) -> Location | None:
    return source.locate(mark.line + 1, mark.column + 1) if mark is not None else None
