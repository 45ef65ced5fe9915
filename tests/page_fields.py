"""Simulated fields typed into the page, and what the page's modules say of them beside what the engine says."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from field_sheets import library, plan_of
from simulated_fields import FAULTS, simulate_field

from pocketref.field.plan import Plan
from pocketref.problems import PocketrefError
from pocketref.tape.error_model import TAPES
from pocketref.tape.readings import Reading
from pocketref.tape.readings_file import read_temperature_f
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.tape.verdicts import PlaceVerdict, judge_tape
from pocketref.tape_report.tape_words import write_all
from pocketref.units.length import Length
from pocketref.units.notation import read_length, write_feet_inches
from pocketref.web.tape_data import build_tape_data

SCRIPT = Path(__file__).parent / "web" / "check_tape.mjs"
TOLERANCE: Length = read_length("1/2 in")
_BETWEEN_BASES = [name for name in FAULTS if "box" not in name]


@dataclass(frozen=True, slots=True)
class TypedField:
    """A fault's name, the sheet as typed into the page, and the same readings for the engine, in the page's order."""

    fault: str
    typed: dict[str, Any]
    readings: tuple[Reading, ...]

    @property
    def plan(self) -> Plan:
        return plan_of(self.typed["plan"], self.typed["level"])


def write_as_crews_do(length: Length, style: int) -> str:
    """Feet and inches with units or primes, inches as a decimal, millimetres: all exactly the same length."""
    plain = write_feet_inches(length)
    if style == 1:
        return plain.replace(" ft", "'").replace(" in", '"')
    if style == 2:
        return f"{float(length.inches)} in"
    if style == 3:
        return f"{float(length.mm):.6f} mm"
    return plain


def draw_fields(count: int, seed: int) -> Iterator[TypedField]:
    """Every level and both plans, every fault in turn; some with all of a sheet's pulls, a second tape, a warm tape."""
    random, levels = np.random.default_rng(seed), tuple(library().fields)
    for number in range(count):
        level = levels[number % len(levels)]
        plan_name = "diamond" if number // len(levels) % 4 == 3 else "plate-area"
        names = list(FAULTS) if plan_name == "plate-area" else _BETWEEN_BASES
        yield _draw_field(plan_name, level, names[number % len(names)], random)


def _draw_field(plan_name: str, level: str, fault_name: str, random: np.random.Generator) -> TypedField:
    plan = plan_of(plan_name, level)
    sheet = choose_sheet_pulls(plan, TOLERANCE)
    taped = sheet.must if random.integers(4) else (*sheet.must, *sheet.more)
    fault = FAULTS[fault_name](plan, taped, random)
    taped = fault.taped or taped
    tape = "steel" if random.integers(5) else "fibreglass"
    field = simulate_field(plan, taped, random, tape=TAPES[tape], **fault.given)
    style = int(random.integers(4))
    texts = {reading.name: write_as_crews_do(reading.length, style) for reading in field.readings}
    second: dict[str, str] = {}
    if fault_name.startswith(("factor", "offset")) and random.integers(2):
        longest = max(taped, key=lambda pull: pull.length_mm)
        second[longest.name] = write_feet_inches(longest.length)
    warm = "" if random.integers(4) else f"{int(random.integers(40, 110))} F"
    typed = {
        "level": level,
        "plan": plan_name,
        "tape": tape,
        "temperature": warm,
        "readings": texts,
        "second": second,
    }
    return TypedField(fault_name, typed, tuple(_read_typed(typed, field.readings)))


def _read_typed(typed: Mapping[str, Any], readings: Sequence[Reading]) -> Iterator[Reading]:
    warm = read_temperature_f(typed["temperature"]) if typed["temperature"] else None
    for reading in readings:
        text = typed["readings"][reading.name]
        yield replace(reading, length=read_length(text), temperature_f=warm)
        if reading.name in typed["second"]:
            by_second = read_length(typed["second"][reading.name])
            yield replace(reading, length=by_second, temperature_f=warm, is_second_tape=True)


@cache
def write_model() -> str:
    """The page's data for every level there is."""
    return json.dumps(build_tape_data(library(), tuple(library().fields)))


def ask_page(asked: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """What the page's modules say, run by node."""
    node = shutil.which("node")
    assert node, "node is needed to run the page's modules"
    (folder / "tape.json").write_text(write_model(), encoding="utf-8")
    (folder / "asked.json").write_text(json.dumps(asked), encoding="utf-8")
    modules = str(files("pocketref.web") / "page")
    command = [node, str(SCRIPT), modules, str(folder / "tape.json"), str(folder / "asked.json")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=3600, check=False)
    assert done.returncode == 0, done.stderr
    said: dict[str, Any] = json.loads(done.stdout)
    return said


def judge_by_engine(field: TypedField) -> dict[str, Any]:
    """The engine's answer in the shape of the page's."""
    try:
        report = judge_tape(field.plan, field.readings, TOLERANCE, TAPES[field.typed["tape"]])
    except PocketrefError as error:
        return {"refused": "; ".join(f"{each.sentence} {each.hint}" for each in error.problems)}
    return {
        "moves": {mark: report.stations[mark].move for mark in report.list_stations(PlaceVerdict.OUT)},
        "misreads": [misread.name for misread in report.misreads],
        "tape": report.tape is not None,
        "verdicts": {mark: found.verdict.name.lower() for mark, found in report.stations.items()},
        "lines": list(write_all(report)),
    }


def compare(engine: Mapping[str, Any], page: Mapping[str, Any]) -> Counter[str]:
    """Of one field: what the page says as the engine does, what it leaves to the desk, what it says otherwise."""
    ours, theirs = engine.get("moves", {}), page.get("moves", {})
    is_told = not page.get("isDesk")
    return Counter(
        fields=1,
        desk=not is_told,
        orders=len(ours),
        given=sum(theirs.get(mark) == move for mark, move in ours.items()),
        invented=sum(ours.get(mark) != move for mark, move in theirs.items()),
        misread=bool(engine.get("misreads")),
        misread_named=bool(engine.get("misreads")) and engine["misreads"] == page.get("misreads"),
        misread_invented=bool(set(page.get("misreads", ())) - set(engine.get("misreads", ()))),
        tape=bool(engine.get("tape")),
        tape_named=bool(engine.get("tape")) and bool(page.get("tape")),
        tape_invented=bool(page.get("tape")) and not engine.get("tape"),
        verdicts=is_told and engine.get("verdicts") == page.get("verdicts"),
        words=is_told
        and list(map(_sort_words, _list_said(engine))) == list(map(_sort_words, _list_said(page))),
    )


def _list_said(answer: Mapping[str, Any]) -> list[str]:
    return answer["lines"] if "lines" in answer else [answer["refused"]]


def _sort_words(line: str) -> list[str]:
    """A line's words; names that tie may stand in another order, and where to write a second tape differs."""
    return sorted(re.sub(r"with a second tape, and write.*", "", line).replace(",", "").split())


def write_shares(told: Mapping[str, int]) -> str:
    """The figures of many fields in a line."""
    shares = {
        "orders given": Fraction(told["given"], max(told["orders"], 1)),
        "misreads named": Fraction(told["misread_named"], max(told["misread"], 1)),
        "bad tapes named": Fraction(told["tape_named"], max(told["tape"], 1)),
        "same verdict at every station": Fraction(told["verdicts"], told["fields"]),
        "same words": Fraction(told["words"], told["fields"]),
        "left to the desk": Fraction(told["desk"], told["fields"]),
    }
    said = ", ".join(f"{name} {float(share):.2%}" for name, share in shares.items())
    return (
        f"{told['fields']:,} fields: {told['invented']} moves, {told['misread_invented']} misreads and "
        f"{told['tape_invented']} tapes of the page's own among {told['orders']:,} orders; {said}"
    )
