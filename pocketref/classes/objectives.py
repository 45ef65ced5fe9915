"""What a class teaches, and how far its type is read: computed from its parts and its screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pocketref.blocks.differences import build_difference_table
from pocketref.blocks.setting import Setting
from pocketref.classes.slide import Screen
from pocketref.layouts.class_models import (
    AnyPart,
    BoxPartModel,
    ChartPartModel,
    ClassModel,
    DifferencesPartModel,
    PlaysPartModel,
)
from pocketref.plays.choices import AskedPlay
from pocketref.units.length import Length
from pocketref.units.notation import write_tape
from pocketref.words.speech import count


def list_objectives(model: ClassModel, asked: Mapping[str, AskedPlay], setting: Setting) -> tuple[str, ...]:
    """A line for each part that is learnt to be done, in their order."""
    return tuple(line for part in model.parts for line in _write_objective(part, asked, setting))


def _write_objective(part: AnyPart, asked: Mapping[str, AskedPlay], setting: Setting) -> Iterator[str]:
    library = setting.library
    match part:
        case BoxPartModel():
            length, width, off = (setting.lengths[f"box-{name}"] for name in ("length", "width", "offset"))
            yield (
                f"*Draw the box:* {write_tape(width)} by {write_tape(length)}, {write_tape(off)} from the plate."
            )
        case ChartPartModel():
            chart, _ = setting.chart(part.subject)
            most = count(chart.worst, "question")
            yield f"*Rule on {_start_small(setting.find_subject(part.subject).title)}* by at most {most}."
        case PlaysPartModel():
            plays = [asked[name].ruled for name in part.cases]
            subjects = dict.fromkeys(
                _start_small(library.subjects[play.case.subject].title) for play in plays
            )
            yield f"*Call {count(len(plays), 'play')}* on {'; '.join(subjects)}: ball, batter and runners."
        case DifferencesPartModel():
            rows = build_difference_table(library, part.subject, part.codes, setting.code).rows
            marks = ", ".join(library.codes[code].mark for code in part.codes)
            if rows:
                groups = count(len(rows), "group of plays")
                yield f"*Tell the codes apart:* {groups} that {marks} do not all rule alike."


def _start_small(title: str) -> str:
    return title[:1].lower() + title[1:]


def write_seen(screen: Screen) -> str:
    """From how far the slides are read, and why."""
    height, distance = write_room(screen.height), write_room(screen.distance)
    return (
        f"Made for a picture {height} high or more, read from {distance} at most: from there small letters of running "
        f"text, and capitals of charts, tables and figures, fill {screen.styles.floor.arcmin:g} minutes of arc or more."
    )


def write_room(length: Length) -> str:
    """A measure of a room as it was written: metres, or feet and inches."""
    return f"{float(length.mm) / 1000:g} m" if length.system == "metric" else write_tape(length)
