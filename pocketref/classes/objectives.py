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
from pocketref.words.speech import say, say_count


def list_objectives(model: ClassModel, asked: Mapping[str, AskedPlay], setting: Setting) -> tuple[str, ...]:
    """A line for each part that is learnt to be done, in their order."""
    return tuple(line for part in model.parts for line in _write_objective(part, asked, setting))


def _write_objective(part: AnyPart, asked: Mapping[str, AskedPlay], setting: Setting) -> Iterator[str]:
    library = setting.library
    match part:
        case BoxPartModel():
            length, width, off = (setting.lengths[f"box-{name}"] for name in ("length", "width", "offset"))
            measures = {"width": write_tape(width), "length": write_tape(length), "off": write_tape(off)}
            yield say("*Draw the box:* {width} by {length}, {off} from the plate.", **measures)
        case ChartPartModel():
            chart, _ = setting.chart(part.subject)
            yield say_count(
                chart.worst,
                "*Rule on {subject}* by at most {count} question.",
                "*Rule on {subject}* by at most {count} questions.",
                subject=_start_small(setting.find_subject(part.subject).title),
            )
        case PlaysPartModel():
            plays = [asked[name].ruled for name in part.cases]
            subjects = dict.fromkeys(
                _start_small(library.subjects[play.case.subject].title) for play in plays
            )
            yield say_count(
                len(plays),
                "*Call {count} play* on {subjects}: ball, batter and runners.",
                "*Call {count} plays* on {subjects}: ball, batter and runners.",
                subjects="; ".join(subjects),
            )
        case DifferencesPartModel():
            rows = build_difference_table(library, part.subject, part.codes, setting.code).rows
            marks = ", ".join(library.codes[code].mark for code in part.codes)
            if rows:
                yield say_count(
                    len(rows),
                    "*Tell the codes apart:* {count} group of plays that {codes} do not all rule alike.",
                    "*Tell the codes apart:* {count} groups of plays that {codes} do not all rule alike.",
                    codes=marks,
                )


def _start_small(title: str) -> str:
    return title[:1].lower() + title[1:]


def write_seen(screen: Screen) -> str:
    """From how far the slides are read, and why."""
    height, distance = write_room(screen.height), write_room(screen.distance)
    return say(
        "Made for a picture {height} high or more, read from {distance} at most: from there small letters of running "
        "text, and capitals of charts, tables and figures, fill {minutes} minutes of arc or more.",
        height=height,
        distance=distance,
        minutes=f"{screen.styles.floor.arcmin:g}",
    )


def write_room(length: Length) -> str:
    """A measure of a room as it was written: metres, or feet and inches."""
    return f"{float(length.mm) / 1000:g} m" if length.system == "metric" else write_tape(length)
