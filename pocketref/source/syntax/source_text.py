"""A source file's text: read whole, checked before parsing, able to turn a line and column into a place."""

from __future__ import annotations

import difflib
import re
import stat
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from pocketref.problems import Location, ProblemLog, explain_refusal

BIGGEST_FILE_BYTES = 5_000_000
"""A season's content is a few hundred kilobytes; a file beyond this is no source of ours."""
_MOST_NAMED = 8

# What YAML 1.1 counts as a line break (section 4.2), so that lines here are the parser's lines.
_LINE_BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
# What YAML 1.1 does not allow in a file (section 4.1, c-printable turned round).
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
# How the files of spreadsheets begin: ZIP (.xlsx, .ods) and the compound file (.xls).
_SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_REPLACEMENT = "\ufffd"


@dataclass(frozen=True, slots=True)
class SourceText:
    """The text of a file, the name it is shown by in messages, and its lines without their ends."""

    file: str
    text: str
    lines: tuple[str, ...]

    def locate(self, line: int, column: int) -> Location:
        """The place at a line and column, both from 1; a place past the text becomes the end of the text."""
        last = len(self.lines)
        if line >= last and not "".join(self.lines[line - 1 :]).strip():
            while last > 1 and not self.lines[last - 1].strip():
                last -= 1
            if last < line:
                line, column = last, len(self.lines[last - 1]) + 1
        return Location(self.file, line, column, self.lines[line - 1])


def read_source_text(
    path: Path, shown: str, problems: ProblemLog, within: Path | None = None
) -> SourceText | None:
    """The text of a UTF-8 file, or None with the reason noted.

    `shown` names the file in messages. The file must lie in the folder `within` (its own folder if None)
    once links are followed.
    """
    content = read_bytes_within(path, shown, problems, (within or path.parent).resolve)
    return None if content is None else decode_text(content, shown, problems)


def read_bytes_within(
    path: Path, shown: str, problems: ProblemLog, find_folder: Callable[[], Path]
) -> bytes | None:
    """What a file holds that lies in a folder once links are followed, or None with the reason noted.

    `find_folder` gives the folder, links followed.
    """
    return read_bytes(path, shown, problems) if _is_within(path, shown, problems, find_folder) else None


def read_bytes(
    path: Path, shown: str, problems: ProblemLog, most: int = BIGGEST_FILE_BYTES, hint: str = ""
) -> bytes | None:
    """What a plain file of at most `most` bytes holds, or None with the reason noted.

    `hint` says what file to give; without it the one in the folder with the likest name is named.
    """
    whole = Location(shown)
    try:
        info = path.stat()
        if stat.S_ISDIR(info.st_mode):
            problems.error("file-is-folder", f"{shown} is a folder", hint or "give a file", whole)
        elif not stat.S_ISREG(info.st_mode):
            sentence = f"{shown} is not a plain file"
            problems.error("file-unreadable", sentence, hint or "give a plain file", whole)
        elif info.st_size > most:
            sentence = f"{shown} has {info.st_size:,} bytes; at most {most:,} are read"
            problems.error("file-too-big", sentence, "check that it is the right file, or split it", whole)
        else:
            with path.open("rb") as file:
                return file.read(most)
    except (FileNotFoundError, NotADirectoryError):
        problems.error("file-missing", f"{shown} is not there", hint or _hint_for_missing(path), whole)
    except (OSError, ValueError, RuntimeError) as error:
        problems.error("file-unreadable", *explain_refusal(shown, error), whole)
    return None


def decode_text(content: bytes, shown: str, problems: ProblemLog) -> SourceText | None:
    """The text of UTF-8 content, its byte order mark left out, or None with the reason noted."""
    text = _decode(content, shown, problems)
    if text is None:
        return None
    source = SourceText(shown, text, tuple(_LINE_BREAK.split(text)))
    return source if _is_printable(source, problems) else None


def clean_name(name: str) -> str:
    """A name that can be printed whatever bytes it holds."""
    return "".join(letter if letter.isprintable() else _REPLACEMENT for letter in name)


def clip_text(text: str, longest: int = 60) -> str:
    """Author's text short and printable enough to quote in a sentence."""
    shown = clean_name(text[: longest + 1])
    return shown if len(shown) <= longest else shown[: longest - 3] + "..."


def list_few(names: Sequence[str], between: str = ", ") -> str:
    """The first of the author's names, and how many more there are."""
    shown = between.join(clip_text(name, 200) for name in names[:_MOST_NAMED])
    return f"{shown} and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else shown


def _is_within(path: Path, shown: str, problems: ProblemLog, find_folder: Callable[[], Path]) -> bool:
    try:
        if path.resolve().is_relative_to(find_folder()):
            return True
    except (OSError, ValueError, RuntimeError) as error:
        problems.error("file-unreadable", *explain_refusal(shown, error), Location(shown))
        return False
    hint = "put the file itself there in place of the link"
    problems.error("file-outside", f"{shown} is a link to a file outside its folder", hint, Location(shown))
    return False


def _hint_for_missing(path: Path) -> str:
    try:
        names = (path.name for path in path.parent.iterdir() if path.suffix in {".yaml", ".yml"})
        beside = list(map(clean_name, names))
    except OSError:
        return "the folder it should be in is not there either"
    name = clean_name(path.name)
    close = difflib.get_close_matches(name, beside, n=1)
    return f"if '{close[0]}' is the file, name it '{name}'" if close else f"add a file named '{name}'"


def _decode(content: bytes, shown: str, problems: ProblemLog) -> str | None:
    if content.startswith(_SPREADSHEETS):
        hint = "save it as CSV (UTF-8) from the spreadsheet, and give that file"
        sentence = f"{shown} is a spreadsheet's own file, not text"
        problems.error("text-not-utf8", sentence, hint, Location(shown))
        return None
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        hint = "save it again with the encoding UTF-8"
        problems.error("text-not-utf8", f"{shown} is UTF-16, not UTF-8", hint, Location(shown))
        return None
    content = content.removeprefix(b"\xef\xbb\xbf")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        after = content[error.start : error.start + 200].decode("utf-8", errors="replace")
        sentence = f"the byte 0x{content[error.start]:02x} is not UTF-8 text"
        hint = "save the file again with the encoding UTF-8, or type the character again"
        problems.error("text-not-utf8", sentence, hint, _locate_after(shown, before, after))
        return None


def _is_printable(source: SourceText, problems: ProblemLog) -> bool:
    found = _UNPRINTABLE.search(source.text)
    if found is None:
        return True
    sentence = f"the control character U+{ord(found.group()):04X} stands in the text"
    hint = "delete it; the caret shows where it is, though it may not be visible"
    before, after = source.text[: found.start()], source.text[found.start() :]
    problems.error("text-control-character", sentence, hint, _locate_after(source.file, before, after))
    return False


def _locate_after(file: str, before: str, after: str) -> Location:
    """The place where a text goes on, what can't be printed in its line replaced."""
    *above, start = _LINE_BREAK.split(before)
    rest = _LINE_BREAK.split(after, maxsplit=1)[0]
    return Location(file, len(above) + 1, len(start) + 1, _UNPRINTABLE.sub(_REPLACEMENT, start + rest))
