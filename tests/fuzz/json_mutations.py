"""Spoils JSON: values, keys, kinds, sizes, bytes."""

from __future__ import annotations

import json
from copy import deepcopy
from random import Random
from typing import Any

from source_mutations import Mutant
from spoilt_values import BYTES, SCALARS

_VALUES: tuple[Any, ...] = (
    *(
        None,
        True,
        False,
        0,
        -1,
        1,
        2,
        10**30,
        -1e308,
        0.1,
        "",
        [],
        {},
        [[]],
        {"": ""},
        "\ud800",
        "\0",
        "x" * 5000,
    ),
)


def _list_holders(value: Any) -> list[tuple[Any, Any]]:
    """Every place in a tree, as what holds it and the key or index there."""
    found, waiting = [], [value]
    while waiting:
        holder = waiting.pop()
        keys = list(holder) if isinstance(holder, dict) else range(len(holder))
        for key in keys:
            found.append((holder, key))
            if isinstance(holder[key], dict | list):
                waiting.append(holder[key])
    return found


def _change(rng: Random, tree: Any) -> str:
    places = _list_holders(tree)
    if not places:
        return "nothing"
    holder, key = rng.choice(places)
    how = rng.choice(("scalar", "scalar", "value", "value", "move", "drop", "rename", "deepen"))
    match how:
        case "scalar":
            holder[key] = rng.choice(SCALARS)
        case "value":
            holder[key] = deepcopy(rng.choice(_VALUES))  # lest a later change is of all of them
        case "move":
            other, at = rng.choice(places)
            holder[key] = (
                json.loads(json.dumps(other[at])) if at in other or isinstance(other, list) else None
            )
        case "drop":
            del holder[key]
        case "rename" if isinstance(holder, dict):
            holder[rng.choice(("", "../x", "\ud800", "format", "é", "a" * 5000, "\x1b[2J"))] = holder.pop(key)
        case _:
            for _ in range(rng.choice((1, 50))):
                holder[key] = rng.choice(([holder[key]], {"x": holder[key]}))
    return how


def mutate_json(rng: Random, name: str, text: str) -> Mutant:
    """A JSON file, spoilt in one to three ways."""
    tree, how = json.loads(text), []
    for _ in range(rng.choice((1, 1, 2, 3))):
        try:
            how.append(_change(rng, tree))
        except (IndexError, KeyError):
            break  # an earlier change has taken the place away
    data = json.dumps(tree, ensure_ascii=rng.random() < 0.5, indent=1).encode("utf-8", "surrogatepass")
    if rng.random() < 0.2:
        spoilt = bytearray(data)
        for _ in range(rng.choice((1, 3, 20))):
            at = rng.randrange(len(spoilt) + 1)
            spoilt[at : at + rng.choice((0, 1, 9))] = rng.choice(
                (*BYTES, b"9" * 5000, b"[" * 5000, b"NaN", b"1e999")
            )
        data = bytes(spoilt)
        how.append("strew_bytes")
    return Mutant(name, data, tuple(how))
