"""What the program itself says: the texts that `say` is called with, and those that it looks up from tables."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

import pocketref
from pocketref.blocks.field.figure import FIGURES
from pocketref.blocks.field.marking_list import EDGES, name_line
from pocketref.blocks.legend import LOOKS
from pocketref.bulletins.bulletin_sheet import CARDS
from pocketref.bulletins.sticker_sheet import HOW
from pocketref.bulletins.stickers import REASONS
from pocketref.changes.change_set import GROUPS
from pocketref.changes.change_words import list_words
from pocketref.changes.changes import KINDS
from pocketref.changes.layout_changes import list_layout_words
from pocketref.changes.table_changes import ROW_PARTS
from pocketref.classes.figure_slides import STEPS
from pocketref.edition.review import HEADS
from pocketref.field.diamond import construct_diamond
from pocketref.field.figures import list_labels
from pocketref.field.plan import construct_plate_area
from pocketref.field.pulls import list_descriptions
from pocketref.layouts.footers import SECTIONS
from pocketref.layouts.play_words import BALL_LEGEND, FEET_LEGEND, FIELDER_LEGEND, KNEE_LEGEND
from pocketref.pages.page import PAGES
from pocketref.pages.panels import SIGNALS
from pocketref.plays.choices import list_reasons
from pocketref.rulings.effects import list_effect_words
from pocketref.rulings.next_state import HOME
from pocketref.rulings.situation import OUTS
from pocketref.rulings.state_words import STATE_WORDS
from pocketref.scene.charts.ruling_flow import SUBJECTS
from pocketref.scene.figures.diamond_figure import PARTS
from pocketref.scene.figures.diamond_labels import SURROUNDINGS
from pocketref.scene.figures.feet_figure import ON_PLATE, WORDS
from pocketref.scene.figures.plate_figure import PLATE_PARTS
from pocketref.scene.figures.play_figure import SCOREBOOK
from pocketref.scene.figures.play_scene import BALL_WORDS, RING_WORDS
from pocketref.scene.marks import MARKS
from pocketref.source.field_models import BOUNDS, DIMENSIONS, TOLERANCES
from pocketref.source.ruling_models import Ball, RunnerOut
from pocketref.source.situation_models import BASES
from pocketref.source.syntax.kinds import HOUSE, Confidence
from pocketref.tape.crew_errors import CORNER, list_crew_errors
from pocketref.tape_report.tape_words import list_tape_words
from pocketref.units.notation import read_length
from pocketref.weather.heat_index import CATEGORY_SETS
from pocketref.web.feed import INVENTED
from pocketref.web.page_script import list_script_words
from pocketref.words.catalogue import Entry

_CALLS = {"say": slice(0, 1), "say_count": slice(1, 3)}
"""The functions whose literal texts are looked up, and which of their arguments hold them."""
MODULES = Path(pocketref.__file__).parent
"""The folder of the program's modules."""
_FIELD = {
    **{name: least for name, (least, _) in BOUNDS.items()},
    **{
        name: read_length(written)
        for name, written in (
            ("plate-width", "17 in"),
            ("box-length", "6 ft"),
            ("box-width", "4 ft"),
            ("box-offset", "6 in"),
            ("line-width", "4 in"),
            ("catchers-box-width", "43 in"),
            ("catchers-box-depth", "8 ft"),
            ("base-distance", "90 ft"),
            ("base-size", "15 in"),
            ("double-base-width", "30 in"),
            ("pitching-distance", "60 ft 6 in"),
            ("pitchers-plate-width", "24 in"),
            ("pitchers-plate-depth", "6 in"),
            ("mound-diameter", "18 ft"),
            ("mound-centre", "59 ft"),
            ("lane-length", "45 ft"),
            ("infield-arc", "95 ft"),
        )
    },
}
"""A field that has everything a field may have, for the names of its stations and lines."""


_OTHER_WAYS = {
    *("plate-side", "plate-rear-edge", "second-base-diagonal"),
    *("box-ahead", "box-behind", "catchers-box-length", "pitching-circle-radius"),
}
"""Dimensions that follow from others, or stand in the place of others."""


def _list_field_check_words() -> Iterator[str]:
    """The errors that a field check may miss, where boxes are centred on the plate and where they are not."""
    given = {name: length for name, length in _FIELD.items() if name not in _OTHER_WAYS}
    uneven = {
        name: read_length(ft)
        for name, ft in zip(("box-length", "box-ahead", "box-behind"), ("7 ft", "4 ft", "3 ft"), strict=True)
    }
    for lengths in (given, {**given, **uneven}):
        errors = list_crew_errors(construct_plate_area(lengths), lengths)
        yield from (words for error in errors for words in (error.kind, error.name) if error.kind != CORNER)
    yield CORNER


def _list_plan_words() -> Iterator[str]:
    """What stations and lines are called, on every plan."""
    given = {name: length for name, length in _FIELD.items() if name not in _OTHER_WAYS}
    bare = {name: length for name, length in given.items() if name != "infield-arc"}
    for plan in (construct_plate_area(given), construct_diamond(given), construct_diamond(bare)):
        yield from (station.label for station in plan.stations.values())
        yield from (name_line(line, plan) for line in plan.lines.values())


_TABLES: dict[str, Callable[[], Iterable[str]]] = {
    "stickers": lambda: (*HOW, *REASONS),
    "signal-words": SIGNALS.values,
    "figures/captions": lambda: [figure.caption for figure in FIGURES.values()],
    "figures/notes": lambda: [figure.note for figure in FIGURES.values()],
    "plan-figures": list_labels,
    "plans": _list_plan_words,
    "edges": EDGES.values,
    "heat-index": lambda: [
        words for each in CATEGORY_SETS.values() for words in (each.source, *(name for _, name in each.edges))
    ],
    "plate-parts": lambda: PLATE_PARTS,
    "play-scenes": lambda: [*BALL_WORDS.values(), *RING_WORDS.values()],
    "diamond": lambda: [words for _, words in (*PARTS.values(), *SURROUNDINGS)],
    "pulls": list_descriptions,
    "dimensions": DIMENSIONS.values,
    "tolerances": TOLERANCES.values,
    "tape": list_tape_words,
    "plays": lambda: [
        *(FEET_LEGEND, KNEE_LEGEND, BALL_LEGEND, FIELDER_LEGEND),
        *(*BASES, *SCOREBOOK, *list_reasons()),
    ],
    "changes": lambda: [*GROUPS.values(), CARDS],
    "differences": lambda: [*list_words(), *list_layout_words(), *KINDS.values(), *ROW_PARTS],
    "class-steps": lambda: [step.title for step in STEPS.values()],
    "review": lambda: [*HEADS, "yes", "no"],
    "page": lambda: [
        INVENTED,
        *PAGES,
        *STATE_WORDS.values(),
        *OUTS,
        *Ball,
        *RunnerOut,
        *Confidence,
        HOUSE,
    ],
    "field-check": _list_field_check_words,
    "effects": list_effect_words,
    "about": SUBJECTS.values,
    "marks": MARKS.values,
    "looks": LOOKS.values,
    "feet": lambda: [*WORDS.values(), ON_PLATE],
    "sections": lambda: SECTIONS,
    "places": lambda: [
        *BASES,
        HOME,
        "runner",
        "runners",
        "mound",
        "circle",
        "pitcher's plate",
    ],
}
"""Tables whose texts are looked up where they are printed, by the name that catalogues call them."""


def list_program_words() -> Iterator[Entry]:
    """Every text that the program may print, with where it is said: a module or a table."""
    for name, list_texts in _TABLES.items():
        yield from (Entry((str(text),), references=(f"tables/{name}",)) for text in list_texts() if text)
    yield from (Entry(said, references=("pocketref/web/page",)) for said in list_script_words())
    for module, code in read_modules():
        yield from (Entry(said, references=(module,)) for said in list_said(code))


def read_modules() -> Iterator[tuple[str, str]]:
    """Every module's path and code."""
    for path in sorted(MODULES.rglob("*.py"), key=lambda path: path.relative_to(MODULES).as_posix()):
        yield f"pocketref/{path.relative_to(MODULES).as_posix()}", path.read_text("utf-8")


def list_said(code: str, calls: Mapping[str, slice] = _CALLS) -> Iterator[tuple[str, ...]]:
    """The texts of every such call, those within f-strings too, which no reader of tokens sees.

    A name stands for the texts that it is given anywhere in the module.
    """
    tree = ast.parse(code)
    named = name_texts(tree)
    for node in walk_code(tree):
        match node:
            case ast.Call(func=ast.Name(id=name), args=[_, ast.Starred(value=value)]) if name in calls:
                texts = iter(read_texts(value, named))
                yield from zip(texts, texts, strict=True)
            case ast.Call(func=ast.Name(id=name), args=args) if name in calls:
                given = [read_texts(each, named) for each in args[calls[name]]]
                yield from (texts for texts in zip(*given, strict=True) if all(texts))


def name_texts(tree: ast.AST) -> dict[str, list[str]]:
    """Each name with the texts that it is given anywhere in the module."""
    named: dict[str, list[str]] = {}
    for node in ast.walk(tree):
        match node:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                named.setdefault(name, []).extend(_list_values(value))
    return named


def _list_values(node: ast.expr) -> Iterator[str]:
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.Dict(values=inner) | ast.Tuple(elts=inner):
            for each in inner:
                yield from _list_values(each)


def read_texts(node: ast.expr, named: Mapping[str, list[str]]) -> list[str]:
    """The texts that an expression may be, as far as it is a literal or a name."""
    match node:
        case ast.Constant(value=str(text)):
            return [text]
        case ast.Name(id=name) | ast.Subscript(value=ast.Name(id=name)):
            return named.get(name, [])
        case ast.Call(func=ast.Attribute(value=ast.Name(id=name), attr="get"), args=[_, other]):
            return [*named.get(name, []), *read_texts(other, named)]
    return []


def walk_code(node: ast.AST) -> Iterator[ast.AST]:
    """The node and all within, as they are read."""
    yield node
    for inner in ast.iter_child_nodes(node):
        yield from walk_code(inner)
