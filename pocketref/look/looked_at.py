"""What the page shows: each part's faces as they were last laid out, and what is wrong, with its place."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from pocketref.edition.parts import Part
from pocketref.layouts.layout_models import CardModel
from pocketref.problems import Problem, clip_line, show_line
from pocketref.source.for_levels import ForLevelsModel


@dataclass(frozen=True, slots=True)
class Face:
    """A face as SVG: its name in print, and the SHA-256 of the SVG, by which it is asked for."""

    name: str
    svg: bytes
    digest: str


def make_face(name: str, svg: bytes) -> Face:
    """A face by its name in print."""
    return Face(name, svg, hashlib.sha256(svg).hexdigest())


@dataclass(frozen=True, slots=True)
class Drawn:
    """A part's faces; the problems of its latest layout, of which the faces are not where it failed."""

    faces: tuple[Face, ...] = ()
    problems: tuple[Problem, ...] = ()
    is_current: bool = False


def write_title(part: Part, layout: ForLevelsModel) -> str:
    """A part's title as the page lists it: a card's after its number, a week's before that."""
    if isinstance(layout, CardModel):
        return f"{layout.number}  {layout.title}"
    week = part.name.removeprefix(layout.name).lstrip("-0")
    return f"{layout.title}, {week}" if week else layout.title


def record_problem(problem: Problem, *, is_own: bool) -> dict[str, object]:
    """A problem as the page shows it; `is_own` of the part that is looked at."""
    where = problem.where
    line, caret = clip_line(where.text, where.column) if where and where.line else ("", 0)
    return {
        "own": is_own,
        "severity": str(problem.severity),
        "place": show_line(str(where)) if where else "",
        "sentence": show_line(problem.sentence),
        "code": problem.code,
        "line": show_line(line),
        "caret": caret,
        "hint": show_line(problem.hint),
    }
