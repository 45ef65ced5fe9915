"""What a YAML parser's complaint means, and what to do about it, in plain words.

The parser has two builds, one in C and one in Python, whose wording differs; the phrases looked for here
are found in both.
"""

from __future__ import annotations

import yaml

from pocketref.problems import Location, Problem
from pocketref.source.syntax.source_text import SourceText
from pocketref.words.terminal import tell

_UNCLOSED = ("a quoted text starts here and is never closed", "add the closing quote, or quote the text anew")
_INDENT = "give all keys of one mapping, and all items of one list, the same indent"
_TAB = ("a tab stands where spaces are needed", "indent with spaces only")
_TAG = (
    "a word starting with '!' is a tag, and tags are not read",
    "take it out, or put quotes round the text",
)

MEANINGS = {
    ("quoted", "unexpected end of stream"): _UNCLOSED,
    ("quoted", "unexpected document"): _UNCLOSED,
    ("quoted", "escape"): (
        "a backslash in double quotes is followed by something it can't stand before",
        "write \\\\ for a backslash, or put the text in single quotes",
    ),
    ("quoted", "hexdec"): ("a \\x, \\u or \\U code is not complete", "write \\\\ for a backslash"),
    ("", "maximum nesting"): (
        "lists and mappings stand too deep in one another",
        "write it with fewer lists and mappings inside others",
    ),
    ("", "tab character"): _TAB,
    ("", "'\\t'"): _TAB,
    ("simple key", "expected ':'"): (
        "this line has no colon after its key",
        "write 'key: value', or indent the line if it carries on the text above it",
    ),
    ("", "mapping values are not allowed"): (
        "a colon stands where no key can be",
        (
            "put quotes round text that holds ': '; give all keys of one mapping, and all items of one list, "
            "the same indent"
        ),
    ),
    ("", "entries are not allowed"): (
        "a list item can't start here",
        "put each '- item' on its own line below the key, all at one indent",
    ),
    ("", "cannot start any token"): (
        "text can't start with {mark} unless it is quoted",
        "put quotes round the text",
    ),
    ("flow sequence", "or ']'"): (
        "the list opened with '[' on line {start} is broken here",
        "close it with ']', put commas between its entries, and quote any text that holds , : [ ] { or }",
    ),
    ("flow mapping", "or '}'"): (
        "the mapping opened with '{{' on line {start} is broken here",
        "close it with '}', put commas between its entries, and quote any text that holds , : [ ] { or }",
    ),
    ("flow node", "node content"): (
        "a value is missing here, or a bracket is never closed",
        "close every '[' and '{' and leave no two commas without a value between",
    ),
    ("", "node content"): ("a value can't start with {mark}", "put quotes round the text, or take it out"),
    ("block collection", ""): (
        "this line is not an item of the list above it",
        "start it with '- ' at the indent of the other items, or move it out to the indent of its key",
    ),
    ("block mapping", ""): (
        "this doesn't fit the mapping it stands in, which starts on line {start}",
        (
            "give all keys of one mapping, and all items of one list, the same indent; a quoted or bracketed "
            "value ends at its closing mark"
        ),
    ),
    ("", "<document start>"): ("this doesn't belong to what stands above it", _INDENT),
    ("anchor", ""): ("'&' needs a name after it", "put quotes round text that starts with '&'"),
    ("alias", ""): ("'*' needs a name after it", "put quotes round text that starts with '*'"),
    ("directive", ""): ("a line starting with '%' is not read", "take the line out"),
    ("", "YAML document"): ("this version of YAML is not read", "take the line starting with '%' out"),
    ("", "tag handle"): _TAG,
    ("tag", ""): _TAG,
    ("block scalar", ""): (
        "only a line break may follow '|' or '>'",
        "start the text on the next line, or put quotes round text that starts with '|' or '>'",
    ),
    ("", ""): ("this can't be read as YAML", "check indents, colons, quotes and brackets near here"),
}
"""A sentence and a hint by phrases in a complaint's context and in its problem, the first found counting;
{mark} is the character it stopped at."""
_AT_START = {
    ("quoted", "unexpected end of stream"),
    ("quoted", "unexpected document"),
    ("simple key", "expected ':'"),
    ("directive", ""),
}
"""Point at where the parser began what it could not finish rather than at where it gave up."""
_CODES = {("", "maximum nesting"): "yaml-depth", ("", "tag handle"): "yaml-tag", ("tag", ""): "yaml-tag"}


def write_syntax_error(error: yaml.YAMLError, source: SourceText) -> Problem:
    """The problem behind a parser's complaint, at the place a reader would mend."""
    context, complaint = (str(getattr(error, name, None) or "") for name in ("context", "problem"))
    phrases = next(p for p in MEANINGS if p[0] in context and p[1] in complaint)
    sentence, hint = MEANINGS[phrases]
    found = _locate(getattr(error, "problem_mark", None), source)
    start = _locate(getattr(error, "context_mark", None), source) or found
    where = start if phrases in _AT_START else found or start
    mark = repr(where.text[where.column - 1 : where.column]) if where else ""
    if mark == "'\\t'":
        return Problem("yaml-syntax", tell(_TAB[0]), tell(_TAB[1]), where)
    if mark in ("''", ""):
        mark = tell("the end of the line")
    sentence = tell(sentence, mark=mark, start=start.line if start else 1)
    return Problem(_CODES.get(phrases, "yaml-syntax"), sentence, tell(hint), where or Location(source.file))


def _locate(mark: yaml.Mark | None, source: SourceText) -> Location | None:
    return source.locate(mark.line + 1, mark.column + 1) if mark is not None else None
