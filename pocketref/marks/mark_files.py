"""What a class's answers showed, for other programs: JSON, a folder of CSV tables, and empty answers to fill in."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from pocketref.layouts.play_sheets import CHOICES, PlaySheet, write_choices_mark
from pocketref.marks.item_analysis import Share
from pocketref.marks.marking import MarkedPlay, MarkedSheet, Marks
from pocketref.marks.misreadings import write_misreading
from pocketref.members.roster import Member
from pocketref.output.files import publish_folder
from pocketref.plays.choices import LETTERS
from pocketref.plays.plays import Row, RuleBooks
from pocketref.problems import Location, explain_refusal, refusal
from pocketref.source.syntax.kinds import is_name
from pocketref.source.syntax.source_text import clip_text
from pocketref.words.terminal import tell

Record = dict[str, Any]


def write_marks_json(marks: Marks) -> str:
    """Everything as one object; what is not defined is null."""
    tables = _list_tables(marks)
    sheets = []
    for sheet in marks.sheets:
        figures, model = sheet.figures, sheet.sheet.model
        sheets.append(
            {
                "sheet": sheet.sheet.name,
                "title": sheet.sheet.title,
                "code": model.code,
                "members": figures.people,
                "mean": round(figures.mean, 4),
                "deviation": round(figures.deviation, 4),
                "kr20": _round(figures.kr20),
                "plays": [_record_play(sheet, play, marks.books) for play in sheet.plays],
            }
        )
    rest = {name: tables[name] for name in ("rows", "misread", "chapters", "members")}
    counts = {
        "unmarked": marks.unmarked,
        "without_answer": marks.empty,
        "silent": [member.number for member in marks.silent],
    }
    return json.dumps({"sheets": sheets, **rest, **counts}, ensure_ascii=False, indent=2)


def write_marks_csv(marks: Marks, folder: Path) -> None:
    """A CSV file a table in a new or an empty folder; PocketrefError ("folder-not-empty"), and as `publish_folder`."""
    if folder.is_dir() and any(folder.iterdir()):
        sentence = tell("the folder {folder} is not empty", folder=folder.resolve())
        raise refusal("folder-not-empty", sentence, tell("name a new folder, or an empty one"))
    files = {
        f"{name}.csv": _write_csv(records).encode()
        for name, records in _list_tables(marks).items()
        if records
    }
    publish_folder(folder, files)


def write_template(sheet: PlaySheet, roster: Sequence[Member], path: Path) -> None:
    """An empty answers file for a sheet, a row a member of the roster; PocketrefError ("file-unwritable")."""
    heads = (
        "name",
        "number",
        "chapter",
        "sheet",
        CHOICES,
        *(str(n) for n in range(1, len(sheet.questions) + 1)),
    )
    members = {member.number: (member.name, member.number, member.chapter) for member in roster}
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(heads)
    for who in members.values() or [("", "", "")]:
        writer.writerow((*who, sheet.name, write_choices_mark(sheet), *("" for _ in sheet.questions)))
    write_file(path, text.getvalue().encode())


def write_file(path: Path, data: bytes, may_replace: Callable[[Path], bool] | None = None) -> None:
    """Write a file, whole or not at all; PocketrefError ("file-unwritable").

    What is there already stays, and is told ("file-exists"), unless `may_replace` says of it that it may go.
    """
    where = Location(str(path))
    try:
        if path.exists() and not (path.is_file() and may_replace and may_replace(path)):
            sentence = tell("there is something under this name already, and it stays as it is")
            raise refusal("file-exists", sentence, tell("give a name that is free"), where)
        beside = path.with_name(f".{path.name}.new")
        beside.write_bytes(data)
        beside.replace(path)
    except OSError as error:
        said = explain_refusal(
            str(path), error, "written", tell("name a file in a folder that you may write to")
        )
        raise refusal("file-unwritable", *said, where) from None


def read_layout_name(path: Path) -> str:
    """The name of a layout that is to be written to a path; PocketrefError ("layout-place") if it can't have one."""
    if path.suffix == ".yaml" and is_name(path.stem):
        return path.stem
    sentence = tell("'{name}' is no name for a layout", name=clip_text(path.name))
    hint = tell(
        "use lower-case letters, digits and hyphens, and end it in .yaml, such as layouts/plays/week-5.yaml"
    )
    raise refusal("layout-place", sentence, hint, Location(str(path)))


def _list_tables(marks: Marks) -> dict[str, list[Record]]:
    books = marks.books
    members = [
        {
            "name": member.name,
            "number": member.number,
            "chapter": member.chapter,
            "sheet": sheet,
            **_record_share(share),
        }
        for member in marks.members
        for sheet, share in member.sheets.items()
    ]
    chapters = [
        {"chapter": name, "members": count, **_record_share(share)}
        for name, (count, share) in marks.chapters.items()
    ]
    misread = [
        {
            "misreading": write_misreading(books, tally.misreading).replace("*", ""),
            "taken": tally.taken.count,
            "answers": tally.taken.of,
            "shared": tally.is_shared,
            "choices": " ".join(f"{sheet}/{number}{letter}" for sheet, number, letter in tally.places),
        }
        for tally in marks.misread
    ]
    rows = [
        {**_record_row(mark.row, books), **_record_share(mark.right), "missed": mark.is_missed}
        for mark in marks.rows
    ]
    plays = [_flatten(_record_play(sheet, play, books)) for sheet in marks.sheets for play in sheet.plays]
    return {"members": members, "plays": plays, "rows": rows, "misread": misread, "chapters": chapters}


def _record_play(sheet: MarkedSheet, play: MarkedPlay, books: RuleBooks) -> Record:
    figures, case = play.figures, play.question.ruled.case
    wrong = []
    for letter in play.wrong:
        betrayal = play.betrayals.get(letter)
        ruling = play.question.choices[LETTERS.index(letter)].ruling.headline
        record: Record = {"letter": letter, "taken": play.counts[letter], "ruling": ruling}
        if betrayal:
            words = write_misreading(books, betrayal.misreading).replace("*", "")
            record |= {"misreading": words, "row": _record_row(betrayal.row, books)}
        wrong.append(record)
    return {
        "sheet": sheet.sheet.name,
        "number": play.number,
        "play": case.name,
        "title": case.model.title,
        "answer": play.question.letter,
        "row": _record_row(play.row, books),
        "taken": {**{letter: play.counts[letter] for letter in LETTERS}, "none": play.counts[""]},
        **_record_share(figures.right),
        "point_biserial": _round(figures.point_biserial),
        "point_biserial_of_others": _round(figures.corrected),
        "highest": _record_share(figures.upper),
        "lowest": _record_share(figures.lower),
        "discrimination": _round(figures.discrimination),
        "wrong": wrong,
    }


def _flatten(record: Record) -> Record:
    """A play as a row of a table: what it holds in records by names of two words, of wrong choices the most taken."""
    row: Record = {}
    for name, value in record.items():
        inner = (value[0] if value else {}) if isinstance(value, list) else value
        if isinstance(inner, dict):
            row |= {f"{name} {key}": each for key, each in _flatten(inner).items()}
        else:
            row[name] = value
    return row


def _record_row(row: Row, books: RuleBooks) -> Record:
    code, subject, number = row
    where = books.rules(subject, code).table.rows[number - 1].where
    return {"code": code, "subject": subject, "row": number, "where": str(where or "")}


def _record_share(share: Share) -> Record:
    return {"right": share.count, "of": share.of, "share": _round(share.value) if share.of else None}


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _write_csv(records: Iterable[Record]) -> str:
    """The records with a column for each name that any of them has."""
    rows = list(records)
    text = io.StringIO()
    writer = csv.DictWriter(
        text, list(dict.fromkeys(name for row in rows for name in row)), lineterminator="\r\n"
    )
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
