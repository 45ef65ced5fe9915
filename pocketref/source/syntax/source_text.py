"""A source file's text: read whole, checked before parsing, able to turn a line and column into a place."""

from __future__ import annotations

import difflib
import re
import stat
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from pocketref.problems import Location, ProblemLog, explain_refusal
from pocketref.words.terminal import tell

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
            problems.error(
                "file-is-folder", tell("{shown} is a folder", shown=shown), hint or tell("give a file"), whole
            )
        elif not stat.S_ISREG(info.st_mode):
            sentence = tell("{shown} is not a plain file", shown=shown)
            problems.error("file-unreadable", sentence, hint or tell("give a plain file"), whole)
        elif info.st_size > most:
            sentence = tell(
                "{shown} has {st_size:,} bytes; at most {most:,} are read",
                shown=shown,
                st_size=info.st_size,
                most=most,
            )
            problems.error(
                "file-too-big", sentence, tell("check that it is the right file, or split it"), whole
            )
        else:
            with path.open("rb") as file:
                return file.read(most)
    except (FileNotFoundError, NotADirectoryError):
        problems.error(
            "file-missing", tell("{shown} is not there", shown=shown), hint or _hint_for_missing(path), whole
        )
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
    if len(names) <= _MOST_NAMED:
        return shown
    return tell("{shown} and {more} more", shown=shown, more=len(names) - _MOST_NAMED)


def _is_within(path: Path, shown: str, problems: ProblemLog, find_folder: Callable[[], Path]) -> bool:
    try:
        if path.resolve().is_relative_to(find_folder()):
            return True
    except (OSError, ValueError, RuntimeError) as error:
        problems.error("file-unreadable", *explain_refusal(shown, error), Location(shown))
        return False
    hint = tell("put the file itself there in place of the link")
    problems.error(
        "file-outside",
        tell("{shown} is a link to a file outside its folder", shown=shown),
        hint,
        Location(shown),
    )
    return False


def _hint_for_missing(path: Path) -> str:
    try:
        names = (path.name for path in path.parent.iterdir() if path.suffix in {".yaml", ".yml"})
        beside = list(map(clean_name, names))
    except OSError:
        return tell("the folder it should be in is not there either")
    name = clean_name(path.name)
    close = difflib.get_close_matches(name, beside, n=1)
    return (
        tell("if '{close}' is the file, name it '{name}'", close=close[0], name=name)
        if close
        else tell("add a file named '{name}'", name=name)
    )


def _decode(content: bytes, shown: str, problems: ProblemLog) -> str | None:
    if content.startswith(_SPREADSHEETS):
        hint = tell("save it as CSV (UTF-8) from the spreadsheet, and give that file")
        sentence = tell("{shown} is a spreadsheet's own file, not text", shown=shown)
        problems.error("text-not-utf8", sentence, hint, Location(shown))
        return None
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        hint = tell("save it again with the encoding UTF-8")
        problems.error(
            "text-not-utf8", tell("{shown} is UTF-16, not UTF-8", shown=shown), hint, Location(shown)
        )
        return None
    content = content.removeprefix(b"\xef\xbb\xbf")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        after = content[error.start : error.start + 200].decode("utf-8", errors="replace")
        sentence = tell("the byte 0x{content:02x} is not UTF-8 text", content=content[error.start])
        hint = tell("save the file again with the encoding UTF-8, or type the character again")
        problems.error("text-not-utf8", sentence, hint, _locate_after(shown, before, after))
        return None


def _is_printable(source: SourceText, problems: ProblemLog) -> bool:
    found = _UNPRINTABLE.search(source.text)
    if found is None:
        return True
    sentence = tell("the control character U+{found:04X} stands in the text", found=ord(found.group()))
    hint = tell("delete it; the caret shows where it is, though it may not be visible")
    before, after = source.text[: found.start()], source.text[found.start() :]
    problems.error("text-control-character", sentence, hint, _locate_after(source.file, before, after))
    return False


def _locate_after(file: str, before: str, after: str) -> Location:
    """The place where a text goes on, what can't be printed in its line replaced."""
    *above, start = _LINE_BREAK.split(before)
    rest = _LINE_BREAK.split(after, maxsplit=1)[0]
    return Location(file, len(above) + 1, len(start) + 1, _UNPRINTABLE.sub(_REPLACEMENT, start + rest))
