"""What commands tell is in the language of the environment, as GNU gettext reads it, whatever is printed."""

from __future__ import annotations

import subprocess
import sys

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.words.terminal import list_wanted


@pytest.mark.parametrize(
    ("environment", "wanted"),
    [
        ({}, []),
        ({"LANG": "es_MX.UTF-8"}, ["es-MX", "es"]),
        ({"LANG": "fr_FR", "LC_MESSAGES": "es", "LC_ALL": ""}, ["es"]),
        ({"LANG": "fr_FR", "LC_ALL": "es_US@euro"}, ["es-US", "es"]),
        ({"LANG": "fr_FR", "LANGUAGE": "pt_BR:es:en:fr"}, ["pt-BR", "pt", "es"]),
        ({"LANG": "C", "LANGUAGE": "es"}, []),
        ({"LANG": "es", "LC_ALL": "POSIX"}, []),
        ({"LANGUAGE": "es"}, ["es"]),
        ({"LANG": "en_US.UTF-8"}, []),
    ],
)
def test_the_reader_s_language_is_found_in_the_order_of_gnu_gettext(
    environment: dict[str, str], wanted: list[str]
) -> None:
    """GNU gettext's manual: LANGUAGE, unless the locale is C; then LC_ALL, LC_MESSAGES, LANG."""
    assert list_wanted(environment) == wanted


def run(folders: SourceFolders, language: str, *arguments: str) -> str:
    said = CliRunner(env={"LANGUAGE": language}).invoke(main, [*arguments, *folders.options])
    return said.output


def test_a_spanish_reader_is_told_in_spanish_and_an_unknown_language_is_english(
    folders: SourceFolders,
) -> None:
    folders.replace("content/edition.yaml", "season:", "saison:")
    spanish, german = (run(folders, language, "proof") for language in ("es_CU", "de"))
    assert "error" in spanish
    assert "no se escribió nada." in spanish
    assert "nothing was written" in german


def test_english_starts_without_catalogues() -> None:
    code = "import sys; from pocketref.cli import main; main(['--help'], standalone_mode=False); "
    code += "print(sorted(m for m in sys.modules if m.startswith(('babel', 'pocketref.translations'))))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.splitlines()[-1] == "[]"


def test_a_catalogue_beside_the_content_is_told_from_and_a_broken_one_is_told_of(
    folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folders.content.parent)
    home = "content/languages/fr"
    (folders.root / home).mkdir(parents=True)
    folders.add(f"{home}/commands.po", 'msgid "Say nothing of what was made."\nmsgstr "Ne dit rien."\n')
    said = CliRunner(env={"LANGUAGE": "fr"}).invoke(main, ["publish", "--help"]).output
    assert "Ne dit rien." in said
    assert "Name each file, with what reading it back gave." in " ".join(said.split())
    folders.write(f"{home}/commands.po", 'msgid "Say\n')
    said = CliRunner(env={"LANGUAGE": "fr"}).invoke(main, ["publish", "--help"]).output
    assert "[catalogue-broken]" in said
    assert "Say nothing of what was made." in said
