"""What is wrong, where it stands and how to mend it; collected, then reported together."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum

from pocketref.words.terminal import tell


class Severity(StrEnum):
    """Errors stop a publish; warnings are printed and do not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Location:
    """A place in a source file. Line and column count from 1; 0 means the file as a whole."""

    file: str
    line: int = 0
    column: int = 0
    text: str = ""
    """The source line itself, without its line end."""

    def __str__(self) -> str:
        if self.line == 0:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding: a stable code, a place, what is wrong in a sentence, what to do about it."""

    code: str
    sentence: str
    hint: str = ""
    where: Location | None = None
    severity: Severity = Severity.ERROR


class PocketrefError(Exception):
    """Something the user can mend; carries every problem found in the phase that stopped."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(p.sentence for p in self.problems))


def refusal(code: str, sentence: str, hint: str = "", where: Location | None = None) -> PocketrefError:
    """The error of a single problem, to be raised."""
    return PocketrefError([Problem(code, sentence, hint, where)])


@contextmanager
def amending(change: Callable[[Problem], Problem]) -> Iterator[None]:
    """Raise what is refused within with each problem changed, as by its place where only the caller knows it."""
    try:
        yield
    except PocketrefError as error:
        raise PocketrefError(map(change, error.problems)) from None


@dataclass(slots=True)
class ProblemLog:
    """Collects problems through a phase, so that all are reported at once."""

    problems: list[Problem] = field(default_factory=list)

    def error(self, code: str, sentence: str, hint: str = "", where: Location | None = None) -> None:
        """Note something that must be mended before anything is written."""
        self.problems.append(Problem(code, sentence, hint, where))

    def warn(self, code: str, sentence: str, hint: str = "", where: Location | None = None) -> None:
        """Note something worth knowing that does not stop a publish."""
        self.problems.append(Problem(code, sentence, hint, where, Severity.WARNING))

    def unknown(
        self,
        code: str,
        sentence: str,
        word: str,
        known: Iterable[str],
        where: Location | None,
        more: str = "",
    ) -> None:
        """Note a word that is none of those known; the hint is the closest of them, then `more`."""
        hint = "; ".join(filter(None, (suggest_match(word, known), more)))
        self.error(code, sentence, hint, where)

    def need(
        self, name: str, known: Collection[str], what: str, where: Location | None, more: str = ""
    ) -> None:
        """Note a name that is not among those known of `what`: "there is no code 'hs'", code-unknown."""
        if name not in known:
            self.unknown(f"{what}-unknown", write_unknown(what, name), name, known, where, more)

    def extend(self, problems: Iterable[Problem]) -> None:
        """Take over problems found elsewhere."""
        self.problems.extend(problems)

    @property
    def errors(self) -> list[Problem]:
        """The problems that stop a publish."""
        return [p for p in self.problems if p.severity is Severity.ERROR]

    def raise_errors(self) -> None:
        """End a phase: raise PocketrefError with everything noted if any of it is an error."""
        if self.errors:
            raise PocketrefError(self.problems)


UNKNOWN = {
    "case": "there is no case '{name}'",
    "catalogue of a language": "there is no catalogue of a language '{name}'",
    "caution": "there is no caution '{name}'",
    "code": "there is no code '{name}'",
    "column": "there is no column '{name}'",
    "fact": "there is no fact '{name}'",
    "field": "there is no field '{name}'",
    "level": "there is no level '{name}'",
    "paper": "there is no paper '{name}'",
    "play": "there is no play '{name}'",
    "set": "there is no set '{name}'",
    "slot": "there is no slot '{name}'",
    "statement": "there is no statement '{name}'",
    "stock": "there is no stock '{name}'",
    "stock of cards": "there is no stock of cards '{name}'",
    "subject": "there is no subject '{name}'",
    "tag": "there is no tag '{name}'",
    "text": "there is no text '{name}'",
    "training sheet": "there is no training sheet '{name}'",
    "work": "there is no work '{name}'",
}


def write_unknown(what: str, name: str) -> str:
    """That there is nothing of a kind by that name."""
    return tell(UNKNOWN[what], name=name)


def suggest_match(word: str, known: Iterable[str]) -> str:
    """A hint naming the closest known word, or the list of them.

    "did you mean 'foot'?" if one is close, else "use one of: foot, plate". Empty if nothing is known.
    """
    names = sorted(set(known))
    if close := find_match(word, names):
        return close
    if not names:
        return ""
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return tell("use one of: {shown}", shown=shown)


REASONS = (
    "address already in use",
    "bad file descriptor",
    "device or resource busy",
    "directory not empty",
    "disk quota exceeded",
    "file exists",
    "file name too long",
    "file too large",
    "input/output error",
    "invalid argument",
    "invalid cross-device link",
    "is a directory",
    "no space left on device",
    "no such file or directory",
    "not a directory",
    "operation not permitted",
    "permission denied",
    "read-only file system",
    "too many levels of symbolic links",
    "too many open files",
)
"""Why systems refuse (errno of POSIX), as Python names it; what is none of these is told as it is."""
_REFUSED = {
    "listed": "{what} cannot be listed: {reason}",
    "opened": "{what} cannot be opened: {reason}",
    "published": "{what} cannot be published: {reason}",
    "reached": "{what} cannot be reached: {reason}",
    "read": "{what} cannot be read: {reason}",
    "written": "{what} cannot be written: {reason}",
}


def find_match(word: str, known: Iterable[str]) -> str:
    """A hint naming the closest known word, if any is close."""
    close = difflib.get_close_matches(word, sorted(set(known)), n=1, cutoff=0.6)
    return tell("did you mean '{name}'?", name=close[0]) if close else ""


def explain_refusal(
    what: str,
    error: Exception,
    act: str = "read",
    hint: str = "",
    otherwise: str = "",
) -> tuple[str, str]:
    """That a file or folder cannot be read or written, and what to do: `hint`, unless it is its permissions.

    `act` is one of those of `_REFUSED`.
    The reason is the system's own, or `otherwise` where it gives none.
    """
    said = tell((getattr(error, "strerror", None) or "").lower()) or otherwise
    if isinstance(error, PermissionError):
        hint = tell("check its permissions, and those of the folder that it is in")
    reason = said or tell("its name or a link cannot be followed")
    return tell(_REFUSED[act], what=what, reason=reason), hint or tell("check its name and place")


def render_problem(problem: Problem, paint: Callable[[Severity], str] = str) -> str:
    """A problem as a reader sees it: place, sentence, source line with a caret, hint.

    What would steer a terminal or turn its text round is replaced, wherever it came from; how grave it is stands
    there as `paint` writes it.
    """
    place = show_line(f"{problem.where}: " if problem.where else "")
    lines = [f"{problem.sentence} [{problem.code}]"]
    if problem.where and problem.where.line and problem.where.text.strip():
        text, caret = clip_line(problem.where.text, problem.where.column)
        lines += [f"    {text}", f"    {' ' * caret}^"]
    if problem.hint:
        lines.append(f"    {problem.hint}")
    return f"{place}{paint(problem.severity)}: " + "\n".join(map(show_line, lines))


# Control, format and surrogate characters, line and paragraph separators (Unicode 4.5).
_UNPRINTABLE = {"Cc", "Cf", "Cs", "Zl", "Zp"}


def show_line(line: str) -> str:
    """The line with what would steer a terminal, or turn its text round, replaced."""
    return "".join("\ufffd" if unicodedata.category(letter) in _UNPRINTABLE else letter for letter in line)


def clip_line(text: str, column: int, width: int = 96) -> tuple[str, int]:
    """A source line short enough for a terminal, and where the caret goes under it (from 0)."""
    text = text.replace("\t", " ")
    caret = max(column - 1, 0)
    if len(text) <= width:
        return text, min(caret, len(text))
    start = max(0, min(caret - width // 2, len(text) - width))
    left, right = ("..." if start else ""), ("..." if start + width < len(text) else "")
    return f"{left}{text[start : start + width]}{right}", caret - start + len(left)
