"""Everything that commands tell is looked up: a language made by rule leaves no English word but what is quoted."""

from __future__ import annotations

import ast
import gettext
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders
from test_cli_refused_alike import SPOILT
from words_in_print import find_untold

from pocketref import console
from pocketref.cli import main
from pocketref.problems import Problem, render_problem
from pocketref.translations.command_words import CLICK, list_command_words
from pocketref.words.catalogue import COMPILED, compile_catalogue, start_catalogue
from pocketref.words.pseudo import PSEUDO, stretch

PACKAGE = Path(__file__).parents[2] / "pocketref"
NAMES = {
    *("Larkmoor", "Test", "Umpires", "State", "demo", "Demo", "invented", "fixture"),
    *("card", "index", "front", "back", "calls", "stance", "derived", "figures", "regular", "page"),
    *(
        "nowhere",
        "integer",
        "range",
        "proof",
        "yes",
        "told",
        "pocketref",
        "edition",
        "place",
        "valid",
        "was",
        "May",
        "Feb",
        "Dec",
    ),
}
"""What is called the same in every language: whose edition it is; faces, blocks, stocks, facts and answers by name;
click's names of types, which it does not look up."""


@pytest.fixture(scope="module")
def languages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with click's own words in the language made by rule."""
    folder = tmp_path_factory.mktemp("languages")
    home = folder / PSEUDO.tag / COMPILED
    home.parent.mkdir(parents=True)
    said = [replace(entry, forms=tuple(map(stretch, entry.english))) for entry in list_command_words()]
    home.write_bytes(compile_catalogue(replace(start_catalogue("en"), entries=tuple(said)), CLICK))
    return folder


@pytest.fixture(autouse=True)
def reader(monkeypatch: pytest.MonkeyPatch, languages: Path) -> Iterator[None]:
    """A reader of the language made by rule, to whom findings are shown without the source's own lines."""

    def render(problem: Problem, *paint: object) -> str:
        return render_problem(replace(problem, where=None), *paint)  # type: ignore[arg-type]

    for command in (main, *main.commands.values()):  # click keeps what it said of --help before
        monkeypatch.setattr(command, "_help_option", None)
    monkeypatch.setattr(console, "_find_reader", lambda: PSEUDO)
    monkeypatch.setattr(console, "render_problem", render)
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("LANGUAGE", PSEUDO.tag)
    before = gettext.bindtextdomain("messages")
    gettext.bindtextdomain("messages", str(languages))
    yield
    gettext.bindtextdomain("messages", before)


def run(*arguments: str) -> str:
    result = CliRunner().invoke(main, arguments, prog_name="pocketref")
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    return result.output


@pytest.mark.parametrize("name", SPOILT)
def test_a_finding_has_no_word_that_was_not_looked_up(name: str, folders: SourceFolders) -> None:
    SPOILT[name](folders)
    assert find_untold(run("proof", *folders.options), NAMES) == []


@pytest.mark.parametrize("name", ["", *main.commands])
def test_helps_have_no_word_that_was_not_looked_up(name: str) -> None:
    said = run(*filter(None, (name,)), "--help")
    paragraphs = said.split("\n\n")
    # Of an example only its title is told; what is typed is typed in every language.
    told = [re.sub(r"(?m)^ {4}.*$", "", each) if each.startswith("  ") else each for each in paragraphs]
    commands = re.compile(rf"^  ({'|'.join(main.commands)}) ", re.MULTILINE)
    assert find_untold(commands.sub(" ", "\n\n".join(told)), NAMES | {name}) == []


WRONG: dict[str, tuple[str, ...]] = {
    "no-command": ("pruf",),
    "no-option": ("proof", "--contnt", "x"),
    "no-argument": ("tape",),
    "no-choice": ("publish", "--flip", "wide"),
    "no-number": ("look", "--port", "many"),
    "out-of-range": ("syllabus", "weekly", "--weeks", "0"),
    "no-editions": ("changes",),
    "no-pdf": ("changes", "a", "b", "--out", "sheet.txt"),
    "no-folder": ("verify", "nowhere"),
    "no-edition": ("changes", "nowhere", "here"),
    "no-answers": ("mark",),
    "no-file": ("tape", "nowhere.csv"),
    "no-readings": ("tape", "nowhere.txt"),
    "only-and-members": ("publish", "--only", "x", "--members", "y"),
    "names-without-only": ("publish", "x"),
    "bulletin-alone": ("publish", "--bulletin"),
    "no-name": ("start", ""),
    "no-tag": ("words", "xx"),
    "no-report": ("game-report", "nowhere.yaml"),
    "no-subject": ("rule", "nothing"),
    "no-code": ("rule", "stance", "--code", "none"),
    "no-base": ("rule", "stance", "--runners", "fourth", "--outs", "4", "--count", "5-5"),
    "no-key": ("verify", ".", "--key", "nowhere.pem"),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_use_is_told_without_a_word_that_was_not_looked_up(
    name: str, folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folders.root)
    said = run(*WRONG[name])
    assert said
    assert find_untold(said, NAMES | set(main.commands)) == []


def test_results_have_no_word_that_was_not_looked_up(
    folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folders.root)
    (folders.root / "roster.csv").write_text(
        "name,number,chapter,code,level,quantity\nAnn Exemplar,1001,North Shore,high-school,90-ft,1\n"
    )
    commands = (
        ("proof", "--plays"),
        ("publish", "--each"),
        ("publish", "--only", "batters-box"),
        ("publish", "--members", "roster.csv"),
        ("publish",),
        ("publish",),
        ("verify", "out/2027"),
        ("verify", "out/2027", "--digest", "12345"),
        ("words", "fr"),
        ("bulletin",),
        ("start", "./ours", "--code", "youth"),
    )
    said = "\n".join(run(*command) for command in commands)
    assert find_untold(said, NAMES) == []


_SINKS = {"Problem", "refusal", "error", "warn", "refuse_value", "NotationError", "UsageError", "echo"}


def test_no_english_reaches_a_finding_or_the_terminal_but_through_what_looks_it_up() -> None:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            match node:
                case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name), args=args) if name in _SINKS:
                    given = args
                case ast.Assign(targets=[ast.Name(id="sentence" | "hint")], value=value):
                    given = [value]
                case _:
                    continue
            found += [f"{path.name}:{each.lineno}" for each in given if _is_english(each)]
    assert found == []


def _is_english(node: ast.expr) -> bool:
    """Whether it is a text with words in a row."""
    parts = node.values if isinstance(node, ast.JoinedStr) else [node]
    texts = [each.value for each in parts if isinstance(each, ast.Constant) and isinstance(each.value, str)]
    return any(re.search(r"[a-z]{2,} [a-z]{2,}", text) for text in texts if "pocketref" not in text)
