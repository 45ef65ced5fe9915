"""Catalogues: what they lack is told where it stands, and a translation goes on holding only while its English does."""

from __future__ import annotations

import shutil
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
import refresh_words
from babel import Locale
from babel.messages.pofile import read_po
from babel.units import format_unit
from click.testing import CliRunner
from source_folders import copy_folders

from pocketref.cli import main
from pocketref.problems import PocketrefError
from pocketref.translations.language_proof import prove_language, read_language
from pocketref.translations.program_words import list_said
from pocketref.units.notation import read_length, write_tape
from pocketref.words.catalogue import (
    CARRIED,
    COMMANDS,
    CONTENT,
    PROGRAM,
    Catalogue,
    Entry,
    construct_language,
    read_catalogue,
    refresh_catalogue,
    start_catalogue,
    write_catalogue,
)
from pocketref.words.pseudo import stretch
from pocketref.words.speech import LANGUAGES, UNTRANSLATED, say, say_count, speak

ROOT = Path(__file__).parents[2]
PULLS = Entry(("{count} pull", "{count} pulls"), ("{count} medida", "{count} de medidas", "{count} medidas"))


def make_catalogue(*entries: Entry) -> Catalogue:
    return replace(start_catalogue("es"), entries=entries)


def write(folder: Path, catalogue: Catalogue) -> Path:
    path = folder / CONTENT
    path.write_bytes(write_catalogue(catalogue))
    return path


def test_the_catalogues_of_the_program_hold_what_it_says() -> None:
    made = {path: data for path, data in refresh_words.refresh_all().items() if path.is_relative_to(CARRIED)}
    stale = [path for path, data in made.items() if path.read_bytes() != data]
    assert stale == [], "run python tests/refresh_words.py"


@pytest.mark.parametrize("name", [PROGRAM, COMMANDS])
def test_the_program_carries_spanish_whole(name: str) -> None:
    catalogue = read_catalogue(CARRIED / "es" / name, name)
    assert [entry.english for entry in catalogue.entries if not entry.is_translated] == []


def test_what_is_written_is_read_alike_by_another_reader_of_the_format(tmp_path: Path) -> None:
    """Babel reads PO files of GNU gettext; a text with quotes, a backslash and letters beyond ASCII comes through."""
    odd = Entry(('say "«¡out!»" \\ now',), ("di “fuera”",), ("cards/x/title",))
    changed = Entry(("new words",), ("palabras",), ("cards/x/2",), is_outdated=True, previous='old "words"')
    gone = Entry(("gone",), ("ido",))
    catalogue = replace(make_catalogue(odd, changed, PULLS), obsolete=(gone,))
    path = write(tmp_path, catalogue)
    read = read_po(BytesIO(path.read_bytes()))
    assert read[odd.english[0]].string == odd.forms[0]
    assert read[changed.english[0]].fuzzy
    assert read[PULLS.english].string == PULLS.forms  # type: ignore[index]
    assert [message.string for message in read.obsolete.values()] == ["ido"]
    ours = read_catalogue(path, CONTENT)
    assert [replace(entry, line=0) for entry in ours.entries] == [odd, changed, PULLS]
    assert write_catalogue(ours) == path.read_bytes()


def test_the_form_for_a_number_is_that_of_unicode_cldr() -> None:
    """The categories one, many and other of CLDR's plural rules for Spanish, by Babel."""
    language = construct_language("es", [make_catalogue(PULLS)])
    locale = Locale("es")
    order = {"one": 0, "many": 1, "other": 2}
    with speak(language):
        for number in (0, 1, 2, 11, 21, 999_999, 1_000_000, 2_000_000):
            said = say_count(number, "{count} pull", "{count} pulls")
            assert said == PULLS.forms[order[locale.plural_form(number)]].format(count=number)


def test_english_that_lacks_a_translation_is_said_and_marked() -> None:
    with speak(construct_language("es", [make_catalogue()])):
        assert say("Tape {mark} again", mark="F2") == f"Tape F2 again{UNTRANSLATED}"
    assert say("Tape {mark} again", mark="F2") == "Tape F2 again"


def test_what_was_said_at_the_same_place_goes_along_as_outdated_and_comes_back_with_its_english() -> None:
    before = make_catalogue(Entry(("Stop.",), ("Pare.",), ("cautions/sun/lead/0",)))
    changed = [Entry(("Stop now.",), references=("cautions/sun/lead/0",))]
    after = refresh_catalogue(before, changed)
    (entry,) = after.entries
    assert (entry.forms, entry.is_outdated, entry.previous) == (("Pare.",), True, "Stop.")
    assert construct_language("es", [after]).find("Stop now.") == f"Stop now.{UNTRANSLATED}"
    back = refresh_catalogue(after, [Entry(("Stop.",), references=("cautions/sun/lead/0",))])
    assert [entry.is_translated for entry in back.entries] == [True]


def test_of_several_texts_new_in_a_place_none_is_said_to_have_been_another() -> None:
    place = ("pocketref/x.py",)
    before = make_catalogue(Entry(("Stop.",), ("Pare.",), place))
    after = refresh_catalogue(
        before, [Entry((text,), references=place) for text in ("Stop now.", "Left field")]
    )
    assert [(entry.forms, entry.is_outdated) for entry in after.entries] == [(("",), False)] * 2


@pytest.mark.parametrize(
    ("english", "spanish", "code"),
    [("{far} too far", "demasiado lejos", "catalogue-slots"), ("*Stop*", "*Pare", "catalogue-bold")],
)
def test_a_translation_that_loses_a_slot_or_an_asterisk_is_told_at_its_line(
    tmp_path: Path, english: str, spanish: str, code: str
) -> None:
    path = write(tmp_path, make_catalogue(Entry((english,), (spanish,))))
    with pytest.raises(PocketrefError) as error:
        read_catalogue(path, CONTENT)
    (problem,) = error.value.problems
    assert (problem.code, problem.where and problem.where.line) == (code, 10)


@pytest.mark.parametrize("data", [b'msgid "x"\nnonsense\n', b"\xff\xfe", b'msgid "a"\nmsgid "b"\n'])
def test_a_file_that_is_no_catalogue_is_told_without_a_traceback(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / CONTENT
    path.write_bytes(data)
    with pytest.raises(PocketrefError) as error:
        read_catalogue(path, CONTENT)
    assert error.value.problems[0].code == "catalogue-broken"


def test_a_caution_whose_english_changed_fails_the_proof_of_the_language(tmp_path: Path) -> None:
    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content)
    path = content / "cautions" / "marking.yaml"
    text = path.read_text(encoding="utf-8")
    old = "Use calcium carbonate"
    line = 1 + text[: text.index(old)].count("\n")
    path.write_text(text.replace(old, "Use only calcium carbonate"), encoding="utf-8")
    with pytest.raises(PocketrefError) as error:
        prove_language("es", content, ROOT / "layouts")
    (problem,) = error.value.problems
    assert problem.code == "translation-outdated"
    assert old in problem.sentence
    assert problem.where
    assert (problem.where.file, problem.where.line) == ("content/cautions/marking.yaml", line)


def test_the_proof_counts_what_a_language_says_and_lists_what_it_lacks_by_place() -> None:
    proof = prove_language("es", ROOT / "content", ROOT / "layouts")
    assert proof.texts - proof.translated == len(proof.list_lacks())
    assert f"{proof.translated:,} of {proof.texts:,} texts translated" in proof.summarize()
    assert all(problem.where and problem.where.line for problem in proof.problems)


def test_a_language_without_a_catalogue_is_told_with_the_closest(tmp_path: Path) -> None:
    (tmp_path / LANGUAGES).mkdir()
    with pytest.raises(PocketrefError, match="no catalogue of a language 'ess'"):
        read_language("ess", tmp_path)


@pytest.mark.parametrize("name", ["../x", "F R", "", "xx", "ES", "en"])
def test_no_catalogue_is_written_of_what_is_no_language_s_tag(tmp_path: Path, name: str) -> None:
    folders = copy_folders(tmp_path)
    said = CliRunner().invoke(main, ["words", name, *folders.options], catch_exceptions=False)
    assert "write a tag such as es, fr or pt-BR" in said.stderr
    assert (said.exit_code, (folders.content / LANGUAGES).exists()) == (1, False)


def test_a_language_of_one_s_own_lacks_what_its_catalogue_has_not_yet(tmp_path: Path) -> None:
    folders = copy_folders(tmp_path)
    assert CliRunner().invoke(main, ["words", "fr", *folders.options], catch_exceptions=False).exit_code == 0
    own, path = (folders.content / LANGUAGES / "fr" / name for name in (CONTENT, PROGRAM))
    said = read_catalogue(own, CONTENT)  # whose cautions must be translated
    said = replace(said, entries=tuple(replace(each, forms=each.english) for each in said.entries))
    own.write_bytes(write_catalogue(said))
    whole = prove_language("fr", folders.content, folders.layouts)
    old = '- "A foot *on the line is in*.'
    folders.replace("content/mechanics/stance.yaml", old, f'- "Look."\n      {old}')
    longer = prove_language("fr", folders.content, folders.layouts)
    assert (longer.texts, longer.translated) == (whole.texts + 1, whole.translated)
    assert "0 changed in English since" in longer.summarize(), "it is new, and the one after it as it was"
    folders.replace("content/mechanics/stance.yaml", f'- "Look."\n      {old}', old)
    path.write_bytes(write_catalogue(replace(read_catalogue(path, PROGRAM), entries=())))
    assert prove_language("fr", folders.content, folders.layouts).texts == whole.texts


def test_a_language_is_read_from_its_own_folder_alone(tmp_path: Path) -> None:
    (tmp_path / LANGUAGES).mkdir()
    write(tmp_path, make_catalogue(PULLS))
    with pytest.raises(PocketrefError, match=r"no catalogue of a language '\.\.'"):
        read_language("..", tmp_path)


def test_the_language_made_by_rule_keeps_slots_and_asterisks_and_is_a_third_longer() -> None:
    english = "Tape *{mark}* again, flat on the ground, from the plate's rear tip."
    made = stretch(english)
    assert "*{mark}*" in made
    assert 1.25 < len(made) / len(english) < 1.45


def test_what_is_said_within_a_formatted_text_is_in_the_catalogues_too() -> None:
    code = 'words = f"*{say("Stop")}*, {say_count(n, "{count} pull", "{count} pulls")}"\n'.replace(
        'f"', "f'''"
    )
    said = [*list_said(code.replace('}"\n', "}'''\n")), *list_said('say("a" "b", x=say("c")); say(name)')]
    assert said == [("Stop",), ("{count} pull", "{count} pulls"), ("ab",), ("c",)]


@pytest.mark.parametrize("path", [CARRIED / "es" / PROGRAM, ROOT / "content" / LANGUAGES / "es" / CONTENT])
def test_spanish_quotes_by_one_pair_of_marks(path: Path) -> None:
    """« » as Unicode CLDR has them for es (delimiters, from memory: Babel carries none), “ ” only within these."""
    entries = read_catalogue(path, path.name).entries
    forms = [form for entry in entries for form in entry.forms]
    assert [form for form in forms if "“" in form.partition("«")[0]] == []


@pytest.mark.parametrize("tag", ["en-US", "es-US"])
def test_lengths_are_written_with_the_short_units_of_unicode_cldr(tag: str) -> None:
    """So that a tape's own marks, ft and in, are what is printed in Spanish, too."""
    tape = read_length("7 ft 3 in")
    units = ((7, "foot"), (3, "inch"))
    said = (format_unit(n, f"length-{unit}", "short", locale=tag.replace("-", "_")) for n, unit in units)
    assert write_tape(tape) == " ".join(said)
