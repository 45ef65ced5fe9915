"""Files and YAML text: what is kept, and what is refused where."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
import yaml

from pocketref.problems import Problem, ProblemLog, render_problem
from pocketref.source.syntax import nodes
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode, read_tree
from pocketref.source.syntax.source_text import BIGGEST_FILE_BYTES


def read(tmp_path: Path, content: str | bytes) -> tuple[Node | None, list[Problem]]:
    path = tmp_path / "file.yaml"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    problems = ProblemLog()
    return read_tree(path, "content/file.yaml", problems), problems.problems


def only_problem(tmp_path: Path, content: str | bytes) -> Problem:
    _, problems = read(tmp_path, content)
    assert len(problems) == 1, [render_problem(p) for p in problems]
    return problems[0]


def place(problem: Problem) -> tuple[int, int]:
    assert problem.where is not None
    assert problem.where.file == "content/file.yaml"
    return problem.where.line, problem.where.column


def text_at(node: Node | None, key: str) -> str:
    assert isinstance(node, MapNode)
    entry = node.find(key)
    assert entry is not None
    assert isinstance(entry[1], TextNode)
    return entry[1].text


@pytest.mark.parametrize("text", ["2.50", "no", "1:30", "0x10", "~", "2027-02-01", "1_000", "null", "010"])
def test_a_scalar_stays_as_it_was_written(tmp_path: Path, text: str) -> None:
    tree, problems = read(tmp_path, f"key: {text}\n")
    assert problems == []
    assert text_at(tree, "key") == text


def test_every_node_knows_its_line_and_column(tmp_path: Path) -> None:
    tree, _ = read(tmp_path, "# first\na: x\nb:\n  - {c: é, d: z}\n")
    assert isinstance(tree, MapNode)
    key, items = tree.entries[1]
    assert (key.location.line, key.location.column, key.location.text) == (3, 1, "b:")
    assert isinstance(items, ListNode)
    inner = items.items[0]
    assert isinstance(inner, MapNode)
    assert [(k.location.line, k.location.column) for k, _ in inner.entries] == [(4, 6), (4, 12)]
    assert str(inner.location) == "content/file.yaml:4:5"


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r", "\x85", "\u2028"])
def test_lines_are_counted_as_yaml_counts_them(tmp_path: Path, line_end: str) -> None:
    problem = only_problem(tmp_path, line_end.join(["a: 1", "b: 2", "a: 3"]))
    assert place(problem) == (3, 1)
    assert problem.where is not None
    assert problem.where.text == "a: 3"


def test_a_byte_order_mark_moves_no_column(tmp_path: Path) -> None:
    tree, problems = read(tmp_path, b"\xef\xbb\xbfa: 1\n")
    assert problems == []
    assert isinstance(tree, MapNode)
    assert tree.entries[0][0].location.column == 1
    assert tree.entries[0][0].location.text == "a: 1"


@pytest.mark.parametrize(
    ("written", "offset", "column"),
    [
        ("a: 17 inn", 3, 7),
        ("a: '17 inn'", 3, 8),
        ('a: "17 inn"', 3, 8),
        ('a: "17\\x20inn"', 3, 4),  # with an escape the offset can't be told
        ("a: 17\n  inn", 3, 4),
        ("a: 17 inn", 99, 10),
    ],
)
def test_the_place_of_a_character_within_a_text(
    tmp_path: Path, written: str, offset: int, column: int
) -> None:
    tree, _ = read(tmp_path, written)
    assert isinstance(tree, MapNode)
    value = tree.entries[0][1]
    assert isinstance(value, TextNode)
    assert value.locate_offset(offset).column == column


# --- files ---


def test_a_missing_file_says_what_to_add(tmp_path: Path) -> None:
    problems = ProblemLog()
    assert read_tree(tmp_path / "works.yaml", "content/works.yaml", problems) is None
    (problem,) = problems.problems
    assert problem.code == "file-missing"
    assert str(problem.where) == "content/works.yaml"
    assert problem.hint == "add a file named 'works.yaml'"


def test_a_missing_file_finds_the_one_with_a_misspelt_name(tmp_path: Path) -> None:
    (tmp_path / "works.yml").write_text("a: 1")
    problems = ProblemLog()
    read_tree(tmp_path / "works.yaml", "content/works.yaml", problems)
    assert problems.problems[0].hint == "if 'works.yml' is the file, name it 'works.yaml'"


def test_a_file_in_a_missing_folder_says_so(tmp_path: Path) -> None:
    problems = ProblemLog()
    read_tree(tmp_path / "none" / "works.yaml", "none/works.yaml", problems)
    assert problems.problems[0].code == "file-missing"
    assert "folder" in problems.problems[0].hint


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    problems = ProblemLog()
    assert read_tree(tmp_path, "content", problems) is None
    assert [p.code for p in problems.problems] == ["file-is-folder"]


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    problems = ProblemLog()
    assert read_tree(tmp_path / "pipe.yaml", "pipe.yaml", problems) is None
    assert [p.code for p in problems.problems] == ["file-unreadable"]


def test_a_link_may_not_lead_out_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "secret.yaml").write_text("a: 1")
    inner = tmp_path / "content"
    inner.mkdir()
    (inner / "link.yaml").symlink_to(tmp_path / "secret.yaml")
    problems = ProblemLog()
    assert read_tree(inner / "link.yaml", "content/link.yaml", problems) is None
    assert [p.code for p in problems.problems] == ["file-outside"]


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real.yaml").write_text("a: 1")
    (tmp_path / "link.yaml").symlink_to("real.yaml")
    problems = ProblemLog()
    assert read_tree(tmp_path / "link.yaml", "link.yaml", problems) is not None
    assert problems.problems == []


def test_links_in_a_ring_are_refused(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").symlink_to("b.yaml")
    (tmp_path / "b.yaml").symlink_to("a.yaml")
    problems = ProblemLog()
    assert read_tree(tmp_path / "a.yaml", "a.yaml", problems) is None
    assert [p.code for p in problems.problems] == ["file-unreadable"]


def test_a_file_that_may_not_be_opened_says_why(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "a.yaml").write_text("a: 1")
    monkeypatch.setattr(Path, "open", refuse)
    problems = ProblemLog()
    assert read_tree(tmp_path / "a.yaml", "a.yaml", problems) is None
    (problem,) = problems.problems
    assert problem.code == "file-unreadable"
    assert "permission denied" in problem.sentence
    assert "permissions" in problem.hint


@pytest.mark.parametrize("name", ["nul\0.yaml", "x" * 300 + ".yaml"])
def test_an_impossible_file_name_is_refused(tmp_path: Path, name: str) -> None:
    problems = ProblemLog()
    assert read_tree(tmp_path / name, "odd.yaml", problems) is None
    assert [p.code for p in problems.problems] == ["file-unreadable"]


def test_a_file_too_big_is_refused_before_it_is_parsed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(yaml, "parse", lambda *_, **__: pytest.fail("parsed"))
    path = tmp_path / "file.yaml"
    with path.open("wb") as file:
        file.truncate(BIGGEST_FILE_BYTES + 1)
    problems = ProblemLog()
    assert read_tree(path, "content/file.yaml", problems) is None
    assert [p.code for p in problems.problems] == ["file-too-big"]
    assert "5,000,000" in problems.problems[0].sentence


@pytest.mark.parametrize("content", ["", "\n\n", "# only a remark\n", "---\n", "---\n...\n", "\ufeff"])
def test_an_empty_file_is_a_problem(tmp_path: Path, content: str) -> None:
    problem = only_problem(tmp_path, content)
    assert problem.code == "file-empty"
    assert "key: value" in problem.hint


def test_a_byte_that_is_not_utf8_is_shown_in_its_line(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: é\nb: ok ".encode() + b"\xe9t\xe9\n")
    assert (problem.code, place(problem)) == ("text-not-utf8", (2, 7))
    assert problem.where is not None
    assert problem.where.text.startswith("b: ok ")
    assert "0xe9" in problem.sentence
    assert "UTF-8" in problem.hint


def test_utf16_is_named(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: 1\n".encode("utf-16"))
    assert problem.code == "text-not-utf8"
    assert "UTF-16" in problem.sentence


@pytest.mark.parametrize("letter", ["\0", "\x1b", "\x7f", "\x9b", "\ufeff", "\ufffe"])
def test_a_control_character_is_shown_without_being_printed(tmp_path: Path, letter: str) -> None:
    problem = only_problem(tmp_path, f"a: 1\nb: x{letter}y\n")
    assert (problem.code, place(problem)) == ("text-control-character", (2, 5))
    assert f"U+{ord(letter):04X}" in problem.sentence
    assert letter not in render_problem(problem)


@pytest.mark.parametrize("escape", ["\\0", "\\x07", "\\e"])
def test_an_escaped_control_character_is_refused_too(tmp_path: Path, escape: str) -> None:
    problem = only_problem(tmp_path, f'a: "x{escape}"\n')
    assert (problem.code, place(problem)) == ("text-control-character", (1, 4))


# --- YAML: each with where it is told and a word the hint must hold ---

BROKEN = {
    "an unclosed quote": ("a: 1\nb: 'x\nc: 1\n", (2, 4), "closing quote"),
    "an unclosed double quote": ('a: "x\nb: 1\n', (1, 4), "closing quote"),
    "a tab before a key": ("a:\n\tb: 1\n", (2, 1), "spaces"),
    "a tab in a text's indent": ("a: x\n\ty: 1\n", (2, 1), "spaces"),
    "a missing colon": ("a: 1\nb 2\nc: 3\n", (2, 1), "key: value"),
    "two colons": ("ask: Told: when?\n", (1, 10), "quotes"),
    "a key indented too far": ("a: 1\n  b: 2\n", (2, 4), "same indent"),
    "keys at two indents": ("  a: 1\n b: 2\n", (2, 2), "same indent"),
    "a list on its key's line": ("a: - b\n", (1, 4), "own line"),
    "a key among items": ("- a\nb: 1\n", (2, 1), "- "),
    "an at sign": ("a: @x\n", (1, 4), "quotes"),
    "a percent sign": ("a: %x\n", (1, 4), "quotes"),
    "a backtick": ("a: `x`\n", (1, 4), "quotes"),
    "an unclosed list": ("a: [1, 2\nb: 3\n", (2, 2), "]"),
    "an unclosed mapping": ("a: {x: 1\nb: 3\n", (2, 2), "}"),
    "a bracket that closes nothing": ("a: {b: c}}\n", (1, 10), "indent"),
    "text after a quote": ('a: "x" y\n', (1, 8), "quoted"),
    "a value that starts with a brace": ("}\n", (1, 1), "quotes"),
    "an ampersand": ("a: & b\n", (1, 5), "quotes"),
    "a star": ("a: * b\n", (1, 5), "quotes"),
    "a directive": ("%YAML 3.0\n---\na: 1\n", (1, 1), "out"),
}


@pytest.mark.parametrize("loader", [yaml.SafeLoader, yaml.CSafeLoader])
@pytest.mark.parametrize("case", BROKEN)
def test_broken_yaml_is_told_in_place_with_a_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, loader: type[yaml.SafeLoader], case: str
) -> None:
    monkeypatch.setattr(nodes, "_LOADER", loader)
    content, where, remedy = BROKEN[case]
    problem = only_problem(tmp_path, content)
    assert problem.code == "yaml-syntax"
    assert place(problem) == where
    assert remedy in problem.hint
    assert "expected" not in problem.sentence  # the parser's own words are not shown


def test_an_unknown_escape_is_told(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, 'a: "\\q"\n')
    assert (problem.code, place(problem)) == ("yaml-syntax", (1, 5))
    assert "single quotes" in problem.hint


def test_a_bracket_open_at_the_end_points_at_the_end(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: [\n\n")
    assert place(problem) == (1, 5)


def test_a_duplicate_key_names_both_places(tmp_path: Path) -> None:
    tree, problems = read(tmp_path, "a: 1\nb:\n  c: 1\n  d: 2\n  c: 3\na: 2\n")
    assert [(p.code, place(p)) for p in problems] == [
        ("yaml-duplicate-key", (5, 3)),
        ("yaml-duplicate-key", (6, 1)),
    ]
    assert "first on line 3, column 3" in problems[0].sentence
    assert text_at(tree, "a") == "1"


def test_problems_beyond_count_end_the_reading(tmp_path: Path) -> None:
    tree, problems = read(tmp_path, "a: 1\n" * 1000)
    assert tree is None
    assert len(problems) == 101
    assert problems[-1].code == "file-problems"


def test_a_quoted_key_is_the_same_key(tmp_path: Path) -> None:
    assert only_problem(tmp_path, 'yes: 1\n"yes": 2\n').code == "yaml-duplicate-key"


@pytest.mark.parametrize(
    "content", ["? [a]\n: b\n", "{a: b}: c\n", "[a]: b\n", '"": b\n', "a: &x y\n*x : z\n"]
)
def test_a_key_must_be_text(tmp_path: Path, content: str) -> None:
    problem = only_problem(tmp_path, content)
    assert problem.code == "yaml-key"
    assert "quotes" in problem.hint


def test_a_second_document_is_refused(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: 1\n---\nb: 2\n")
    assert (problem.code, place(problem)) == ("yaml-documents", (2, 1))
    assert "---" in problem.hint


@pytest.mark.parametrize(
    "value", ["!!python/object:os.system x", "!mine [a]", "!!str 5", "!<tag:x> y", "! z"]
)
def test_tags_are_refused(tmp_path: Path, value: str) -> None:
    problem = only_problem(tmp_path, f"a: {value}\n")
    assert (problem.code, place(problem)) == ("yaml-tag", (1, 4))


def test_merge_keys_are_refused_but_the_quoted_text_is_not(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: &x {b: 1}\nc:\n  <<: *x\n")
    assert (problem.code, place(problem)) == ("yaml-merge", (3, 3))
    assert read(tmp_path, '"<<": 1\n')[1] == []


def test_an_alias_stands_for_what_it_names(tmp_path: Path) -> None:
    tree, problems = read(tmp_path, "a: &x y\nb: *x\n")
    assert problems == []
    assert text_at(tree, "b") == "y"


@pytest.mark.parametrize(
    ("content", "where"),
    [
        ("a: *x\n", (1, 4)),
        ("a: &x [*x]\n", (1, 8)),
        ("a: &x 1\nb: &x 2\n", (2, 4)),
        ("a: &x 1\nb: [" + "*x, " * 51 + "]\n", (2, 205)),
    ],
)
def test_aliases_that_lead_nowhere_or_are_too_many_are_refused(
    tmp_path: Path, content: str, where: tuple[int, int]
) -> None:
    problem = only_problem(tmp_path, content)
    assert (problem.code, place(problem)) == ("yaml-alias", where)


def test_aliases_of_aliases_cannot_swell(tmp_path: Path) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 5)}]" for n in range(1, 10)]
    problem = only_problem(tmp_path, "\n".join(lines))
    assert problem.code == "yaml-alias"


def test_aliases_count_toward_the_depth(tmp_path: Path) -> None:
    content = f"a: &x {'[' * 20}{']' * 20}\nb: {'[' * 20}*x{']' * 20}\n"
    assert only_problem(tmp_path, content).code == "yaml-depth"


@pytest.mark.parametrize("loader", [yaml.SafeLoader, yaml.CSafeLoader])
@pytest.mark.parametrize("opening", ["[", "- ", "{a: ", "? "])
@pytest.mark.parametrize("times", [33, 5000])
def test_nesting_too_deep_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, loader: type[yaml.SafeLoader], opening: str, times: int
) -> None:
    monkeypatch.setattr(nodes, "_LOADER", loader)
    _, problems = read(tmp_path, opening * times)
    assert problems[-1].code == "yaml-depth"


def test_nesting_to_the_bound_is_read(tmp_path: Path) -> None:
    tree, problems = read(tmp_path, "[" * 32 + "]" * 32)
    assert problems == []
    assert isinstance(tree, ListNode)


def test_a_very_long_line_is_clipped_in_the_message(tmp_path: Path) -> None:
    problem = only_problem(tmp_path, "a: [" + "x, " * 20_000 + "b: }\n")
    assert len(render_problem(problem)) < 600


def test_the_refusal_of_a_file_is_worded_in_one_place():
    package = Path(__file__).parents[2] / "pocketref"
    places = [path.name for path in package.rglob("*.py") if "strerror" in path.read_text(encoding="utf-8")]
    assert places == ["problems.py"]
