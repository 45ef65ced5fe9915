"""What a validation error means, and how to mend it, in plain words."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pocketref.problems import Location, find_match, suggest_match
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode
from pocketref.source.syntax.source_text import clip_text
from pocketref.words.terminal import tell, tell_count

Worded = tuple[str, str, str, Location]
"""Code, sentence, hint, place."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One validation error: pydantic's kind of it, and what it is about.

    `name` is the key in question; `node` the value (for a missing key, the mapping that lacks it) and `key`
    the key it stands under; `at_key` says that the key itself is wrong; `model` is what the mapping around
    it was read as; `context` and `message` are pydantic's.
    """

    kind: str
    name: str
    node: Node
    key: TextNode | None
    at_key: bool
    model: type[SourceModel] | None
    context: Mapping[str, object]
    message: str

    @property
    def is_about_key(self) -> bool:
        """Whether the key itself is wrong, as against its value."""
        return self.at_key or self.kind == "extra_forbidden"

    @property
    def label(self) -> str:
        """The key the value stands under, quoted, for the start of a sentence."""
        return f"'{clip_text(self.key.text)}'" if self.key else tell("the file")

    @property
    def value(self) -> str:
        """The value if it is text, quoted."""
        return f"'{clip_text(self.node.text)}'" if isinstance(self.node, TextNode) else kind_of(self.node)

    @property
    def where(self) -> Location:
        """The value's place, or the key's where the key is wrong."""
        return self.key.location if self.at_key and self.key else self.node.location


def kind_of(node: Node) -> str:
    """What a node is, in words."""
    if isinstance(node, MapNode):
        return tell("a mapping")
    if isinstance(node, ListNode):
        return tell("a list")
    return tell("nothing") if node.is_absent else tell("text")


def write_finding(finding: Finding) -> Worded:
    """The problem behind a validation error."""
    if finding.is_about_key:
        return _write_key(finding)
    if finding.kind != "missing" and isinstance(finding.node, TextNode) and finding.node.is_absent:
        return _write_absent(finding)
    return _WORDING.get(finding.kind, _write_other)(finding)


def _write_key(finding: Finding) -> Worded:
    """A key that is unknown, or is not what keys are here."""
    key = finding.key.text if finding.key else finding.name
    where = finding.key.location if finding.key else finding.node.location
    if isinstance(finding.node, TextNode) and finding.node.is_absent and not key.isidentifier():
        hint = tell(
            "if it belongs to the text before it, put quotes round that text: a comma in { } ends a value"
        )
        sentence = tell("'{key}' stands where a key and its value belong", key=clip_text(key))
        return "key-unknown", sentence, hint, where
    if finding.kind == "extra_forbidden":
        hint = suggest_match(key, list_keys(finding.model)) if finding.model else tell("take it out")
        return "key-unknown", tell("unknown key '{key}'", key=clip_text(key)), hint, where
    code, sentence, hint, _ = _write_other(finding)
    return code, sentence, hint, where


def list_keys(model: type[SourceModel]) -> list[str]:
    """The keys a model reads."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _write_missing(finding: Finding) -> Worded:
    fields = finding.model.model_fields.values() if finding.model else ()
    about = next((field.description for field in fields if field.alias == finding.name), None)
    if not finding.where.file.lower().endswith(".csv"):
        hint = tell("add '{name}: ...'", name=finding.name)
    elif finding.key is None:  # a setting is a row of its own, the rest are columns
        hint = tell("add a row '{name},...'", name=finding.name)
    else:
        hint = tell("fill in the column '{name}'", name=finding.name)
    hint = f"{hint}, {tell(about)}" if about else hint
    return "key-missing", _write_lack(finding.name), hint, finding.where


def _write_lack(name: str) -> str:
    return tell("'{name}' is missing", name=clip_text(name))


def _write_absent(finding: Finding) -> Worded:
    hint = tell("write a value after the colon, or take the key out")
    if finding.kind in ("tuple_type", "list_type"):
        hint = tell("write [] for an empty list")
    return "value-empty", tell("{label} has no value", label=finding.label), hint, finding.where


def _write_choice(finding: Finding) -> Worded:
    expected = str(finding.context.get("expected") or finding.context.get("expected_tags") or "")
    choices = re.findall("'([^']*)'", expected)
    text = finding.node.text if isinstance(finding.node, TextNode) else ""
    where = finding.where
    if finding.kind == "union_tag_invalid":
        tag = _find_tag(finding)
        text, where = (tag.text, tag.location) if tag else (text, where)
    elif not isinstance(finding.node, TextNode):
        return _write_kind("text")(finding)
    listed = tell("use one of: {shown}", shown=", ".join(choices))
    hint = f"{match} {listed}" if (match := find_match(text, choices)) else listed
    sentence = tell("'{text}' is not one of the choices here", text=clip_text(text))
    return "value-choice", sentence, hint, where


def _tag_name(finding: Finding) -> str:
    return str(finding.context.get("discriminator", "")).strip("'")


def _find_tag(finding: Finding) -> TextNode | None:
    entry = finding.node.find(_tag_name(finding)) if isinstance(finding.node, MapNode) else None
    return entry[1] if entry and isinstance(entry[1], TextNode) else None


def _write_no_tag(finding: Finding) -> Worded:
    if not isinstance(finding.node, MapNode):
        return _write_kind("a mapping")(finding)
    name = _tag_name(finding)
    return "key-missing", _write_lack(name), tell("add '{name}: ...'", name=name), finding.where


HOW = {
    "a mapping": "write 'key: value' lines indented below it, or {key: value}",
    "a list": "write [one, two], or '- item' lines below it",
    "text": "write a single value",
}


_BOUNDS = {
    "ge": "it must be at least {limit}",
    "gt": "it must be more than {limit}",
    "le": "it must be at most {limit}",
    "lt": "it must be less than {limit}",
}
_COUNTS = {
    (True, True): ("{label} needs at least {count} character", "{label} needs at least {count} characters"),
    (False, True): ("{label} needs at most {count} character", "{label} needs at most {count} characters"),
    (True, False): ("{label} needs at least {count} entry", "{label} needs at least {count} entries"),
    (False, False): ("{label} needs at most {count} entry", "{label} needs at most {count} entries"),
}
"""By whether there are too few, and whether they are characters."""


def _write_kind(wanted: str) -> Callable[[Finding], Worded]:
    def word(finding: Finding) -> Worded:
        found = finding.value if isinstance(finding.node, TextNode) else kind_of(finding.node)
        sentence = tell(
            "{label} needs {wanted}, not {found}", label=finding.label, wanted=tell(wanted), found=found
        )
        return "value-kind", sentence, tell(HOW[wanted]), finding.where

    return word


def _write_bound(finding: Finding) -> Worded:
    bounds = (tell(_BOUNDS[name], limit=limit) for name, limit in finding.context.items() if name in _BOUNDS)
    sentence = tell("{label} is {value}", label=finding.label, value=finding.value)
    return "value-range", sentence, next(bounds, ""), finding.where


def _write_count(finding: Finding) -> Worded:
    least, most = finding.context.get("min_length"), finding.context.get("max_length")
    is_short = finding.kind.endswith("too_short")
    count = least if is_short else most
    number = count if isinstance(count, int) else 0
    is_text = finding.kind.startswith("string")
    sentence = tell_count(number, *_COUNTS[is_short, is_text], label=finding.label)
    hint = tell("add what is missing") if is_short else tell("take some out")
    return "value-count", sentence, hint, finding.where


def _write_other(finding: Finding) -> Worded:
    """Our own refusals carry sentence, hint and offset; whatever else pydantic says is passed on."""
    if finding.kind == "value-kind":
        return _write_kind("text")(finding)
    if "sentence" not in finding.context:
        reason = str(finding.context.get("error", finding.message))
        sentence = f"{finding.label}: {clip_text(reason)}"
        return "value-invalid", sentence, tell("change the value"), finding.where
    offset, where = finding.context.get("offset"), finding.where
    text = finding.key if finding.at_key else finding.node
    if isinstance(offset, int) and isinstance(text, TextNode):
        where = text.locate_offset(offset)
    return finding.kind, str(finding.context["sentence"]), str(finding.context.get("hint", "")), where


_WORDING: dict[str, Callable[[Finding], Worded]] = {
    "missing": _write_missing,
    "enum": _write_choice,
    "literal_error": _write_choice,
    "union_tag_invalid": _write_choice,
    "union_tag_not_found": _write_no_tag,
    "model_type": _write_kind("a mapping"),
    "model_attributes_type": _write_kind("a mapping"),
    "dict_type": _write_kind("a mapping"),
    "mapping_type": _write_kind("a mapping"),
    "list_type": _write_kind("a list"),
    "tuple_type": _write_kind("a list"),
    "string_type": _write_kind("text"),
    "greater_than": _write_bound,
    "greater_than_equal": _write_bound,
    "less_than": _write_bound,
    "less_than_equal": _write_bound,
    "too_short": _write_count,
    "too_long": _write_count,
    "string_too_short": _write_count,
    "string_too_long": _write_count,
}
