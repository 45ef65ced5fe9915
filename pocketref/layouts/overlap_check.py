"""Whether words of a laid-out card or sheet run over each other or off the face, told before anything is written."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pocketref.layouts.cards import LaidOut
from pocketref.pages.page import Box, Element
from pocketref.problems import Problem
from pocketref.scene.dimensioning import boxes_meet
from pocketref.scene.items import Text
from pocketref.scene.paths import Point
from pocketref.scene.typefaces import measure_reach_em
from pocketref.units.length import MM_PER_PT
from pocketref.words.terminal import tell

_TOUCH_MM = 0.05
"""Boxes that reach into each other by less are taken as touching, as when a printed file is read back."""


@dataclass(frozen=True, slots=True)
class _Boxed:
    """A run, the corners of the box around its ink, and the label of the block that it stands in."""

    text: Text
    corners: tuple[Point, ...]
    label: str
    extent: tuple[float, float, float, float]
    """The upright box around the corners: left, bottom, right, top."""


def _box(text: Text, label: str) -> _Boxed:
    """The box is turned as the run is, and smaller by what counts as touching."""
    em = text.size_pt * MM_PER_PT
    low, high = (em * reach for reach in measure_reach_em(text.face, text.content))
    high -= _TOUCH_MM
    start = {"start": 0.0, "middle": -text.width_mm / 2, "end": -text.width_mm}[text.anchor]
    cos, sin = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    end = start + text.width_mm
    places = ((start, low), (end, low), (end, high), (start, high))
    corners = tuple((text.x + u * cos - v * sin, text.y + u * sin + v * cos) for u, v in places)
    xs, ys = zip(*corners, strict=True)
    return _Boxed(text, corners, label, (min(xs), min(ys), max(xs), max(ys)))


def check_overlaps(item: LaidOut) -> list[Problem]:
    """Texts that overlap on a face or leave its safe area, at the card's or sheet's own place in the layouts."""
    hint = tell("give that block more of the face, leave out another, or choose a larger stock")
    what = item.document.subject.split(",")[0]
    problems = []
    for page in item.document.pages:
        boxed = list(_list_texts(page.elements, "the face"))
        for one, other, block in _find_overlaps(boxed):
            sentence = tell(
                "{what}, {name}: '{one}' and '{other}' overlap in {block}",
                what=what,
                name=page.name,
                one=one,
                other=other,
                block=block,
            )
            problems.append(Problem("text-overlap", sentence, hint, item.where))
        for box in boxed:
            if (excess_mm := _excess_mm(box, page.safe)) > 0:
                sentence = tell(
                    "{what}, {name}: '{text}' in {block} is {excess_mm:.1f} mm outside the safe area",
                    what=what,
                    name=page.name,
                    text=_quote(box.text),
                    block=box.label,
                    excess_mm=excess_mm,
                )
                problems.append(Problem("text-outside-safe", sentence, hint, item.where))
    return problems


def _excess_mm(box: _Boxed, safe: Box) -> float:
    """How far the text leaves the safe area; less than what counts as touching is nothing."""
    left, bottom, right, top = box.extent
    excess_mm = max(safe.x - left, safe.y - bottom, right - safe.right, top - safe.top)
    return excess_mm if excess_mm > _TOUCH_MM else 0.0


def _list_texts(elements: Iterable[Element], label: str) -> Iterator[_Boxed]:
    """The texts of elements; those of a scene that is placed are the scene's own."""
    for element in elements:
        named = element.label or label
        for item in element.items:
            if isinstance(item, Text) and item.content.strip():
                yield _box(item, named)
        yield from _list_texts(element.children, named)


def _find_overlaps(boxed: Iterable[_Boxed]) -> Iterator[tuple[str, str, str]]:
    """Pairs of runs that overlap, found by sweeping from left to right."""
    ordered = sorted(boxed, key=lambda box: box.extent[0])
    for index, box in enumerate(ordered):
        _, bottom, right, top = box.extent
        for other in ordered[index + 1 :]:
            left, low, _, high = other.extent
            if left >= right:
                break
            if low < top and bottom < high and boxes_meet(box.corners, other.corners):
                yield _quote(box.text), _quote(other.text), box.label


def _quote(text: Text) -> str:
    return text.content.replace("\u00a0", " ")
