"""What differs in words: what it is of, as print calls it, and what was and is there."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any, Literal, get_args, get_origin, get_type_hints

from pocketref.changes.change_set import EDITION, FIGURES, SOURCES, WORDING, Change
from pocketref.changes.differences import Difference, open_model
from pocketref.layouts.footers import write_cites
from pocketref.rulings.situation import write_situation
from pocketref.source.edition_models import BulletinModel, ValidDates
from pocketref.source.field_models import DIMENSIONS, TOLERANCES
from pocketref.source.library import Library
from pocketref.source.play_models import PlaysModel
from pocketref.source.ruling_models import RulingModel
from pocketref.source.situation_models import SituationModel
from pocketref.source.statements import ComparisonModel
from pocketref.source.syntax.kinds import HOUSE, Cite
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length
from pocketref.units.notation import write_exact, write_tape
from pocketref.words.speech import find_language, quote, say, say_day

Path = tuple[str, ...]
_LEVEL = 2
"""How many keys of a field stand before what is one figure."""

_GROUPS: Mapping[str, str] = {
    "fields": FIGURES,
    "texts": "mechanics",
    "subjects": WORDING,
    "rulings": WORDING,
    "works": SOURCES,
    "codes": SOURCES,
    "compared": SOURCES,
}
"""The group that a part of the source belongs to, where that is not called the same."""
_KEYS: Mapping[str, str] = {
    "source": "section",
    "compared": "compared with the book",
    "entries": "",
    "value": "",
    "ask": "",
    "bats": "the batter's hand",
    "check": "what is left to compare",
    "invented": "note that it is invented",
    "levels": "levels in force",
    "codes": "codes in force",
    "work": "work cited",
    "say": "what to say",
    "see": "subject to turn to",
    "out": "runner out",
    "brief": "in a few words",
    "from": "answered by",
    "order": "order of questions",
    "dimensions": "",
    "tolerances": "",
    "sections": "",
    "cases": "",
    "expect": "",
    "facts": "",
    "rulings": "",
    "answers": "answer",
    "never": "what cannot happen",
}
"""What a reader calls a key, where that is not the key itself; "" where what is before it says enough."""
_NAMED: Mapping[str, str] = {
    "codes": "codes",
    "levels": "fields",
    "work": "works",
    "caution": "cautions",
    "see": "subjects",
    "subject": "subjects",
}
"""Keys that hold names, and of what."""
_TOLD = ("value", "entries", "story", "headline", "reason", "ask", "title", "name")
"""What is said of a model that stands on one side alone: the first of these that it has."""
_WRITERS: Mapping[type, Callable[[Any], str]] = {
    bool: lambda value: say("yes") if value else say("no"),
    date: say_day,
    SituationModel: write_situation,
    ValidDates: lambda value: say("{old} to {new}", old=say_day(value.from_), new=say_day(value.through)),
    BulletinModel: lambda value: say(
        "{number} of {day}: {reason}", number=value.number, day=say_day(value.date), reason=value.reason
    ),
    ComparisonModel: lambda value: say(
        "{statements} of edition {edition}, {day}",
        statements=len(value.statements),
        edition=value.edition,
        day=say_day(value.date),
    ),
    PlaysModel: lambda value: "; ".join(case.title for case in value.cases.values()),
}


@dataclass(frozen=True, slots=True)
class Editions:
    """The libraries of two editions, the older first."""

    old: Library
    new: Library

    def name(self, path: Path) -> str:
        """What print calls a part of the source in the newer edition, else in the older."""
        try:
            return _name(self.new, path)
        except KeyError:
            return _name(self.old, path)

    def say(self, what: str, found: Difference, cites: str = "") -> Change:
        """A difference, each side in the words of its own edition; of lists only the entries that differ."""
        one, other = found.old, found.new
        if isinstance(one, tuple) and isinstance(other, tuple):
            apart = [e for e in one if e not in other], [e for e in other if e not in one]
            one, other = apart if any(apart) else (one, other)
        old, new = _write_leaf(self.old, found.path, one), _write_leaf(self.new, found.path, other)
        return Change(what, old, say("{new}, written otherwise", new=new) if old == new else new, cites)


def write_difference(editions: Editions, found: Difference) -> tuple[str, Change]:
    """A difference with the name of its group; of rulings, one that changes no call."""
    group, *keys = path = found.path
    if group == EDITION:
        return group, editions.say(_name(editions.new, path), found)
    title, *parts = (editions.name(path[:end]) for end in range(min(2, len(path)), len(path) + 1))
    said = ", ".join(part for part in parts if part)
    what = f"*{title}:* {said}" if said else f"*{title}*"
    if path[-1] in ("source", "confidence") or (group == "fields" and keys[-1] == "note"):
        return SOURCES, editions.say(what, found)
    cites: Sequence[Cite] = ()
    if group == "fields" and found.new is not None and len(keys) > _LEVEL:
        cites = getattr(editions.new.fields[keys[0]], keys[1])[keys[2]].source
    return _GROUPS.get(group, group), editions.say(what, found, write_sections(editions.new, cites))


def _name(library: Library, path: Path) -> str:
    """What print calls the part of the source that a path leads to, within what the path before leads to.

    "" for what needs no name; KeyError if the library has none.
    """
    for pattern, write in _NAMES.items():
        if len(pattern) == len(path) and all(
            key in (each, _ANY) for key, each in zip(pattern, path, strict=True)
        ):
            return write(library, path)
    return _say_key(path[-1])


def _say_key(key: str) -> str:
    """What a reader calls a key in the language in force."""
    return say(_KEYS.get(key, _spell(key)))


def list_words() -> Iterator[str]:
    """What a reader calls the keys and the closed lists' values of all models that differences are told of."""
    keys, values = _list_words()
    yield from (words for key in keys for words in (_spell(key), _KEYS.get(key, "")) if words)
    yield from map(_spell, values)


@cache
def _list_words() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Keys, and values of closed lists, of every model of a library."""
    keys, values, known = dict[str, None](), dict[str, None](), set[Any]()

    def note(kind: Any) -> None:
        kinds = get_args(getattr(kind, "__value__", kind))
        if isinstance(kind, type) and issubclass(kind, SourceModel) and kind not in known:
            known.add(kind)
            keys.update(dict.fromkeys(info.alias or name for name, info in kind.model_fields.items()))
            kinds = tuple(info.annotation for info in kind.model_fields.values())
        elif isinstance(kind, type) and issubclass(kind, StrEnum):
            values.update(dict.fromkeys(map(str, kind)))
        elif get_origin(kind) is Literal:
            values.update(dict.fromkeys(each for each in kinds if isinstance(each, str)))
            return
        for each in kinds:
            note(each)

    for kind in get_type_hints(Library).values():
        note(kind)
    return tuple(keys), tuple(values)


def _write_code_name(library: Library, code: str) -> str:
    return library.codes[code].name.lower()


def _ask(library: Library, subject: str, fact: str) -> str:
    return quote(library.subjects[subject].facts[fact].ask) if fact else say("order of questions")


def _find_ruling(library: Library, table: str, name: str) -> RulingModel:
    code, _, subject = table.partition("/")
    return library.rulings[code, subject].rulings[name]


def _write_text_name(library: Library, key: str) -> str:
    """A text's heading, after the title of the subject that it is on, as many subjects have a text "Look"."""
    _, file, name = key.split("/")
    heading = library.texts[key].heading or _spell(name).capitalize()
    subject = library.subjects.get(file)
    return f"{subject.title}, {heading[0].lower()}{heading[1:]}" if subject else heading


_ANY = "*"
_NAMES: Mapping[Path, Callable[[Library, Path], str]] = {
    ("fields", _ANY): lambda library, path: (
        f"{library.fields[path[1]].name}, {_write_code_name(library, library.fields[path[1]].code)}"
    ),
    ("fields", _ANY, "dimensions", _ANY): lambda _, path: say(DIMENSIONS[path[3]]).partition(" (")[0],
    ("fields", _ANY, "tolerances", _ANY): lambda _, path: say("tolerance, {of}", of=say(TOLERANCES[path[3]])),
    ("codes", _ANY): lambda library, path: library.codes[path[1]].name,
    ("works", _ANY): lambda library, path: library.works[path[1]].title,
    ("works", _ANY, "sections", _ANY): lambda library, path: write_sections(
        library, (Cite(path[1], path[3]),)
    ),
    ("texts", _ANY): lambda library, path: _write_text_name(library, path[1]),
    ("cautions", _ANY): lambda library, path: library.cautions[path[1]].title,
    ("subjects", _ANY): lambda library, path: library.subjects[path[1]].title,
    ("subjects", _ANY, "facts", _ANY): lambda library, path: _ask(library, path[1], path[3]),
    ("subjects", _ANY, "facts", _ANY, _ANY, _ANY): lambda *_: "",
    ("rulings", _ANY): lambda library, path: (
        f"{library.subjects[path[1].rpartition('/')[2]].title}, {_write_code_name(library, path[1].partition('/')[0])}"
    ),
    ("rulings", _ANY, "rulings", _ANY): lambda library, path: say(
        "ruling “{ruling}”", ruling=_find_ruling(library, path[1], path[3]).headline
    ),
    ("plays", _ANY): lambda library, path: library.subjects[library.plays[path[1]].subject].title,
    ("plays", _ANY, "cases", _ANY): lambda library, path: library.plays[path[1]].cases[path[3]].title,
    ("plays", _ANY, "cases", _ANY, "expect", _ANY): lambda library, path: say(
        "ruling, {code}", code=_write_code_name(library, path[5])
    ),
    ("plays", _ANY, "cases", _ANY, "facts", _ANY): lambda library, path: _ask(
        library, library.plays[path[1]].subject, path[5]
    ),
}
"""What the parts of a source that have names of their own are called, by the keys that lead to them."""


# --- what was and is there -----------------------------------------------------------------------------------


def _write_leaf(library: Library, path: Path, value: object) -> str:
    """A leaf's value in words, names by what print calls them; "" for nothing."""
    if value is None or isinstance(value, SourceModel):
        return _write_value(library, value)
    names = [str(each) for each in value] if isinstance(value, list | tuple) else [str(value)]
    match path:
        case ("subjects", subject, "facts", "") | ("rulings", subject, "order"):
            facts = library.subjects[subject.rpartition("/")[2]].facts
            return " / ".join(facts[name].ask for name in names)
        case ("subjects", subject, "facts", fact, "answers", "") | (
            "subjects", subject, "facts", _, "only-after", fact
        ):  # fmt: skip
            answers = library.subjects[subject].facts[fact].answers
            return " / ".join(answers[name] for name in names)
        case ("plays", file, "cases", _, "facts", fact):
            return library.subjects[library.plays[file].subject].facts[fact].answers[names[0]]
        case ("plays", file, "cases", _, "expect", code):
            return _find_ruling(library, f"{code}/{library.plays[file].subject}", names[0]).headline
        case (*_, "tags"):
            return _spell(", ".join(names))
        case (*_, key) if key in _NAMED:
            return ", ".join(_name(library, (_NAMED[key], name)) for name in names)
        case _:
            return _write_value(library, value)


def _write_value(library: Library, value: object) -> str:
    write = next((write for kind, write in _WRITERS.items() if isinstance(value, kind)), None)
    if write:
        return write(value)
    if isinstance(value, Length):
        # As the trade says it, but unrounded; a metric one as it was given.
        return write_tape(value, value.inches.denominator) if value.system == "us" else write_exact(value)
    if isinstance(value, SourceModel):
        told = next((getattr(value, key) for key in _TOLD if hasattr(value, key)), None)
        return _write_value(library, told) if told else _write_parts(library, value)
    if isinstance(value, Mapping):
        return "; ".join(f"{say(_spell(key))}: {_write_value(library, each)}" for key, each in value.items())
    if isinstance(value, list | tuple):
        if value and isinstance(value[0], Cite):
            return write_sections(library, value)
        return " / ".join(_write_value(library, entry) for entry in value)
    if find_language() and value in _list_words()[1]:
        return say(_spell(str(value)))
    return "" if value is None else str(value).replace("*", "")


def _write_parts(library: Library, model: SourceModel) -> str:
    """What a model holds, nothing that is left out, such as "foot left, corner back inner"."""
    words = {key: _write_value(library, value) for key, value in open_model(model).items()}
    told = {_spell(key): said if find_language() else _spell(said) for key, said in words.items() if said}
    return ", ".join(f"{say(key)} {said}" for key, said in told.items())


def _spell(words: str) -> str:
    """Names from closed lists as words: "back-inner" is "back inner"."""
    return re.sub("(?<=[a-z])-(?=[a-z])", " ", words)


def write_sections(library: Library, cites: Sequence[Cite]) -> str:
    """Sections as a face cites them, each once: the work's mark and the section, or the house."""
    words = (say(HOUSE) if cite.is_house else write_cites((cite,), library) for cite in cites)
    return ", ".join(dict.fromkeys(words))
