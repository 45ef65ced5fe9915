"""Message catalogues in GNU gettext's published format (PO files), read with Babel and written back in a fixed form.

An entry's msgid is the English text itself: where that changes, the translation no longer holds, and says of what it
was one. `reference` says where the English stands, by a name that lasts when lines move.
"""

from __future__ import annotations

import gettext
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from struct import pack

from pocketref.problems import Location, PocketrefError, Problem, explain_refusal
from pocketref.words import speech
from pocketref.words.speech import LANGUAGES, Language
from pocketref.words.terminal import tell

CONTENT, PROGRAM, COMMANDS = "content.po", "program.po", "commands.po"
"""What the source says in print, what the program says there, and what its commands tell their reader."""
COMPILED = Path("LC_MESSAGES", "messages.mo")
"""Where GNU gettext looks for the words of click, which has no catalogue of its own."""
CARRIED = Path(speech.__file__).parent / LANGUAGES
"""The program's own catalogues, a folder for each language."""
SIGNED_OFF = "X-Signed-Off"
"""The header that says who read the translations, by role, and when; until then they are from memory."""
ENGLISH_NAME = "en"
"""What the language of the source is called where languages are named by their folders."""
_NAME = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]+)*")
_SLOT = re.compile(r"\{\w+(?:![rs])?(?::[^{}]*)?\}")
_PLURALS = re.compile(r"nplurals=(\d+);\s*plural=([^;]+)")
_ONE_OR_MANY = "nplurals=2; plural=(n != 1);"


@dataclass(frozen=True, slots=True)
class Entry:
    """An English text (two forms where it counts) with its translation, one text a form; "" where there is none."""

    english: tuple[str, ...]
    forms: tuple[str, ...] = ("",)
    references: tuple[str, ...] = ()
    line: int = 0
    is_outdated: bool = False
    """Whether the translation is of an English text before this one (gettext's "fuzzy")."""
    previous: str = ""
    """That English text."""
    notes: tuple[str, ...] = ()
    """What translators noted."""

    @property
    def is_translated(self) -> bool:
        """Whether the translation holds."""
        return all(self.forms) and not self.is_outdated


@dataclass(frozen=True, slots=True)
class Catalogue:
    """A catalogue's headers and entries; `obsolete` are those whose English is no longer said anywhere."""

    headers: tuple[tuple[str, str], ...]
    entries: tuple[Entry, ...]
    obsolete: tuple[Entry, ...] = ()
    shown: str = ""
    """The file's name in messages."""

    def find_header(self, name: str) -> str:
        """A header's value; "" without it."""
        return next((value for key, value in self.headers if key.lower() == name.lower()), "")

    def locate(self, entry: Entry) -> Location:
        """Where an entry stands."""
        return Location(self.shown, entry.line, 1)


def start_catalogue(tag: str, shown: str = "") -> Catalogue:
    """A catalogue without entries for a language by its tag."""
    headers = (
        ("Language", tag.replace("-", "_")),
        ("MIME-Version", "1.0"),
        ("Content-Type", "text/plain; charset=utf-8"),
        ("Content-Transfer-Encoding", "8bit"),
        ("Plural-Forms", _find_plurals(tag)),
        (SIGNED_OFF, ""),
    )
    return Catalogue(headers, (), shown=shown)


def _find_plurals(tag: str) -> str:
    from babel.messages.plurals import get_plural  # deferred: English needs none of it

    return f"{get_plural(tag.replace('-', '_')).plural_forms};".replace(";;", ";")


def read_catalogue(path: Path, shown: str) -> Catalogue:
    """A catalogue file; PocketrefError "catalogue-broken" at the line where it is no PO file or loses a slot."""
    from babel.messages.pofile import PoFileError, read_po  # deferred: English needs none of it

    try:
        data = path.read_bytes()
        catalog = read_po(BytesIO(data), abort_invalid=True, charset="utf-8")
    except OSError as error:
        sentence, hint = explain_refusal(shown, error)
        raise PocketrefError([Problem("file-unreadable", sentence, hint, Location(shown))]) from None
    except PoFileError as error:
        raise _refuse(
            shown, error.lineno + 1, tell("this is no entry of a catalogue: {error}", error=error)
        ) from None
    except (ValueError, IndexError, LookupError) as error:
        raise _refuse(shown, 1, tell("this is no catalogue in UTF-8 ({error})", error=error)) from None
    text = data.decode("utf-8", "replace")
    headers = tuple(re.findall(r'^"([A-Za-z-]+): (.*?)(?:\\n)?"$', text.partition("\n\n")[0], re.MULTILINE))
    entries = tuple(_read_entry(message) for message in catalog if message.id)
    obsolete = tuple(_read_entry(message) for message in catalog.obsolete.values())
    found = Catalogue(headers, entries, obsolete, shown)
    problems = list(_check(found))
    if problems:
        raise PocketrefError(problems)
    return found


def _refuse(shown: str, line: int, sentence: str) -> PocketrefError:
    hint = tell("mend it, or take the entry out and write it anew with `pocketref words`")
    return PocketrefError([Problem("catalogue-broken", sentence, hint, Location(shown, line))])


def _read_entry(message: object) -> Entry:
    made: object = message
    english, string = made.id, made.string  # type: ignore[attr-defined]
    said = [note for note in made.user_comments if not note.startswith("|")]  # type: ignore[attr-defined]
    before = [note[1:].strip() for note in made.user_comments if note.startswith("|")]  # type: ignore[attr-defined]
    return Entry(
        english=english if isinstance(english, tuple) else (english,),
        forms=tuple(string) if isinstance(string, tuple | list) else (string or "",),
        references=tuple(name for name, _ in made.locations),  # type: ignore[attr-defined]
        line=made.lineno or 0,  # type: ignore[attr-defined]
        is_outdated="fuzzy" in made.flags,  # type: ignore[attr-defined]
        previous=_join_previous(before),
        notes=tuple(said),
    )


def _join_previous(lines: Iterable[str]) -> str:
    from babel.messages.pofile import unescape  # deferred: as above

    quoted = (line.removeprefix("msgid ") for line in lines if not line.startswith("msgid_plural"))
    return "".join(unescape(line) for line in quoted if line.startswith('"'))


def _check(catalogue: Catalogue) -> Iterator[Problem]:
    """What a translation lost: a slot that must be filled, or half of a pair of asterisks."""
    for entry in catalogue.entries:
        if not entry.is_translated:
            continue
        slots = [set(_SLOT.findall(english)) for english in entry.english]
        wanted, known = slots[0] & slots[-1], slots[0] | slots[-1]
        for form in entry.forms:
            has = set(_SLOT.findall(form))
            if other := ((wanted - has) | (has - known)) - {"{count}"}:
                sentence = tell(
                    "'{form}' has not the slots of '{english}': {other}",
                    form=form,
                    english=entry.english[-1],
                    other=", ".join(sorted(other)),
                )
                hint = tell("write each {name} as the English has it; what is in it is filled in")
                yield Problem("catalogue-slots", sentence, hint, catalogue.locate(entry))
            if (form.count("*") - entry.english[-1].count("*")) % 2:
                sentence = tell("'{form}' has an asterisk too many or too few", form=form)
                hint = tell("what is bold stands between two asterisks")
                yield Problem("catalogue-bold", sentence, hint, catalogue.locate(entry))


def construct_language(tag: str, catalogues: Iterable[Catalogue]) -> Language:
    """The language of catalogues; where two have a text, the later is used. Outdated translations are not used."""
    messages: dict[str, tuple[str, ...]] = {}
    read = tuple(catalogues)
    for catalogue in read:
        for entry in catalogue.obsolete + catalogue.entries:
            if entry.is_translated:
                messages[entry.english[0]] = entry.forms
    rule = next((c.find_header("Plural-Forms") for c in read if c.find_header("Plural-Forms")), _ONE_OR_MANY)
    found = _PLURALS.search(rule) or _PLURALS.search(_ONE_OR_MANY)
    if found is None:
        raise AssertionError("the rule for one or many is one")
    signed = bool(read) and all(catalogue.find_header(SIGNED_OFF) for catalogue in read)
    named = next((c.find_header("Language") for c in read if c.find_header("Language")), tag)
    return Language(named.replace("_", "-"), messages, gettext.c2py(found[2]), signed)


def refresh_catalogue(catalogue: Catalogue, said: Iterable[Entry]) -> Catalogue:
    """The catalogue with an entry for each text that is `said`, in that order, and its translations kept.

    A text new at a place where another stood takes that one's translation along, as outdated, where no other text came
    or went there: of several nobody can tell which is which. What is said no longer becomes obsolete, and comes back
    with the text.
    """
    before = {entry.english: entry for entry in (*catalogue.obsolete, *catalogue.entries)}
    wanted: dict[tuple[str, ...], Entry] = {}
    for entry in said:
        known = wanted.get(entry.english)
        more = tuple(dict.fromkeys((*known.references, *entry.references))) if known else entry.references
        wanted[entry.english] = replace(entry, references=more)
    left = [entry for english, entry in before.items() if english not in wanted and any(entry.forms)]
    gone = {reference: entry for entry in left for reference in entry.references}
    new = [
        entry for english, entry in wanted.items() if english not in before or not any(before[english].forms)
    ]
    moved = [Counter(each for entry in some for each in entry.references) for some in (left, new)]
    gone = {place: entry for place, entry in gone.items() if all(count[place] == 1 for count in moved)}
    made, used = [], set()
    for english, entry in wanted.items():
        old = before.get(english)
        other = next((gone[each] for each in entry.references if each in gone), None)
        if old is not None and (any(old.forms) or other is None):
            made.append(replace(old, references=entry.references))
        elif other is not None and len(other.english) == len(english):
            used.add(other.english)
            previous = other.previous if other.is_outdated else other.english[0]
            kept = {"forms": other.forms, "notes": other.notes}
            made.append(replace(entry, **kept, is_outdated=True, previous=previous))  # type: ignore[arg-type]
        else:
            forms = ("",) * (_count_forms(catalogue) if len(english) > 1 else 1)
            made.append(replace(entry, forms=forms))
    # What a face of the edition before said is still looked up, so that its translation stays.
    obsolete = tuple(entry for entry in left if entry.is_translated)
    return replace(catalogue, entries=tuple(made), obsolete=obsolete)


def _count_forms(catalogue: Catalogue) -> int:
    found = _PLURALS.search(catalogue.find_header("Plural-Forms"))
    return int(found[1]) if found else 2


def write_catalogue(catalogue: Catalogue) -> bytes:
    """The catalogue as a PO file, each text on one line."""
    lines = [
        'msgid ""',
        'msgstr ""',
        *(_quote(f"{name}: {value}\n") for name, value in catalogue.headers),
        "",
    ]
    for entry in catalogue.entries:
        lines += [*_write_entry(entry), ""]
    for entry in catalogue.obsolete:
        lines += [*(f"#~ {line}" for line in _write_texts(entry)), ""]
    return "\n".join(lines).encode()


def compile_catalogue(catalogue: Catalogue, reference: str) -> bytes:
    """The translations that stand at a place, as GNU gettext's file of a catalogue for programs (MO)."""
    headers = "".join(f"{name}: {value}\n" for name, value in catalogue.headers)
    found = [entry for entry in catalogue.entries if reference in entry.references and entry.is_translated]
    texts = sorted([("", headers), *(("\0".join(each.english), "\0".join(each.forms)) for each in found)])
    pairs = [tuple(text.encode() for text in pair) for pair in texts]
    start, size = 28, 8 * len(pairs)
    tables, data = [b"", b""], b""
    for column in (0, 1):
        for pair in pairs:
            place = start + 2 * size + len(data)
            tables[column] += pack("<II", len(pair[column]), place)
            data += pair[column] + b"\0"
    head = pack("<7I", 0x950412DE, 0, len(pairs), start, start + size, 0, start + 2 * size)
    return head + b"".join(tables) + data


def _write_entry(entry: Entry) -> Iterator[str]:
    yield from (f"# {note}".rstrip() for note in entry.notes)
    yield from (f"#: {reference}" for reference in entry.references)
    if entry.is_outdated:
        yield "#, fuzzy"
        yield f"#| msgid {_quote(entry.previous)}"
    yield from _write_texts(entry)


def _write_texts(entry: Entry) -> Iterator[str]:
    yield f"msgid {_quote(entry.english[0])}"
    if len(entry.english) == 1:
        yield f"msgstr {_quote(entry.forms[0])}"
        return
    yield f"msgid_plural {_quote(entry.english[1])}"
    yield from (f"msgstr[{number}] {_quote(form)}" for number, form in enumerate(entry.forms))


def _quote(text: str) -> str:
    from babel.messages.pofile import escape  # deferred: as above

    return escape(text)


def is_language_name(name: str) -> bool:
    """Whether a folder of a language may be called so: by a tag (BCP 47), unlike any other folder of an edition."""
    return _NAME.fullmatch(name) is not None


def list_languages(content: Path | None = None) -> list[str]:
    """The languages that there is a catalogue of, with the program or beside the content."""
    homes = [CARRIED, *([content / LANGUAGES] if content else [])]
    return sorted({path.name for home in homes if home.is_dir() for path in home.iterdir() if path.is_dir()})


def read_catalogues(name: str, content: Path) -> list[Catalogue]:
    """The program's catalogue of a language, then the content's own, those that there are.

    None for what is not the name of a language's folder.
    """
    if name not in list_languages(content):
        return []
    return [read_catalogue(path, said) for path, said in list_catalogues(name, content) if path.is_file()]


def list_catalogues(name: str, content: Path) -> tuple[tuple[Path, str], ...]:
    """Where catalogues of a language may be, each with its name in messages."""
    beside = content / LANGUAGES / name
    shown = f"{content.name or content.resolve().name}/{LANGUAGES}/{name}"
    return (
        (CARRIED / name / PROGRAM, f"pocketref/words/{LANGUAGES}/{name}/{PROGRAM}"),
        (beside / PROGRAM, f"{shown}/{PROGRAM}"),
        (beside / CONTENT, f"{shown}/{CONTENT}"),
    )
