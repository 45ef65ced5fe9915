"""Nodes to frozen models: pydantic checks the data, and its errors go back to places in our own words."""

from __future__ import annotations

from typing import TypeVar, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from pocketref.problems import Location, ProblemLog
from pocketref.source.syntax.located import PlacedDict, SourceModel
from pocketref.source.syntax.nodes import MOST_PROBLEMS, ListNode, Node, TextNode, find_place
from pocketref.source.syntax.validation_wording import Finding, write_finding
from pocketref.words.terminal import tell

M = TypeVar("M", bound=SourceModel)


def validate_node(node: Node, model: type[M], problems: ProblemLog, context: object = None) -> M | None:
    """The model that a node says, or None with every reason noted at its place; `context` is for its validators.

    Works with any SourceModel: fields are keys written with hyphens, and a field's description ends the hint
    when it is missing ("add 'season: ...', <description>").
    """
    data = _unwrap(node)
    try:
        return model.model_validate(data, context=context)
    except ValidationError as error:
        found = _drop_miscounts(error.errors(include_url=False))
    findings = [_place_error(details, node, data) for details in found[:MOST_PROBLEMS]]
    refused_keys = {id(finding.key) for finding in findings if finding.is_about_key}
    # What stands under a refused key is no news; the rest goes in the order of the file.
    told = [f for f in findings if f.is_about_key or id(f.key) not in refused_keys]
    worded = [write_finding(finding) for finding in told]
    for code, sentence, hint, where in sorted(worded, key=lambda w: (w[3].line, w[3].column)):
        problems.error(code, sentence, hint, where)
    if len(found) > MOST_PROBLEMS:
        sentence = tell("there are {count:,} more problems in this file", count=len(found) - MOST_PROBLEMS)
        problems.error(
            "file-problems", sentence, tell("mend those above first"), Location(node.location.file)
        )
    return None


def _unwrap(node: Node) -> object:
    """A node as text, lists and mappings; mappings keep their node."""
    if isinstance(node, TextNode):
        return node.text
    if isinstance(node, ListNode):
        return [_unwrap(item) for item in node.items]
    return PlacedDict(node, {key.text: _unwrap(value) for key, value in node.entries})


def _place_error(details: ErrorDetails, node: Node, data: object) -> Finding:
    """An error of pydantic's with the nodes it is about and the model whose keys were expected there."""
    path, kind = _drop_tags(details["loc"], data), details["type"]
    at_key = bool(path) and path[-1] == "[key]" and kind != "extra_forbidden"
    found = find_place(node, path[:-1] if at_key else path)
    inside = data  # the mapping that a key was missing from, or was one too many in
    for step in path[:-1]:
        inside = _enter(inside, step)
    return Finding(
        kind=kind,
        name=str(path[-1]) if path else "",
        node=found.node,
        key=found.key,
        at_key=at_key,
        model=inside.read_as if isinstance(inside, PlacedDict) else None,
        context=dict(details.get("ctx", {})),
        message=details["msg"],
    )


def _drop_miscounts(found: list[ErrorDetails]) -> list[ErrorDetails]:
    """The errors without those that call a list too short only because entries in it are wrong."""
    inner = {details["loc"][:end] for details in found for end in range(len(details["loc"]))}
    return [details for details in found if details["type"] != "too_short" or details["loc"] not in inner]


def _enter(data: object, step: str | int) -> object:
    """The value under a key or index, or the data itself where the step leads nowhere."""
    if isinstance(data, dict) and step in data:
        return data[step]
    if isinstance(data, list) and isinstance(step, int) and step < len(data):
        return data[step]
    return data


def _drop_tags(path: tuple[str | int, ...], data: object) -> tuple[str | int, ...]:
    """The path without the steps by which pydantic names a union's branch, as these are no keys.

    Such a step comes first inside a mapping whose model has a field that can only be that word.
    """
    kept: list[str | int] = []
    is_entered = True
    for step in path:
        if is_entered and isinstance(data, PlacedDict) and data.read_as and _is_tag(data.read_as, step):
            is_entered = False
            continue
        kept.append(step)
        inner = _enter(data, step)
        is_entered, data = inner is not data, inner
    return tuple(kept)


def _is_tag(model: type[SourceModel], step: str | int) -> bool:
    return any(get_args(field.annotation) == (step,) for field in model.model_fields.values())
