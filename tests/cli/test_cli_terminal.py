"""What a terminal gets beside the words: how far long work has come, and colour for what is wrong."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import BashComplete
from source_folders import FIXTURES, SourceFolders

from pocketref.cli import main

pty = pytest.importorskip("pty", reason="there are no pseudo-terminals here")

PROGRAM = "from pocketref.cli import main; main(prog_name='pocketref')"
OPTIONS = ["--content", str(FIXTURES / "content"), "--layouts", str(FIXTURES / "layouts")]
ROSTER = "name,number,chapter,code,level,quantity\nAnn Exemplar,1001,North Shore,high-school,90-ft,1\n"


def run_in_terminal(*arguments: str, **settings: str) -> tuple[int, str, str]:
    """The exit code, what went to stdout, which is a pipe, and what a terminal on stderr was sent."""
    screen, end = pty.openpty()
    surroundings = {name: value for name, value in os.environ.items() if name != "NO_COLOR"}
    command = [sys.executable, "-c", PROGRAM, *arguments]
    child = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=end, env=surroundings | {"TERM": "xterm"} | settings
    )
    os.close(end)
    sent = bytearray()
    while True:
        try:
            piece = os.read(screen, 65536)
        except OSError:  # Linux says so when the other end is closed
            break
        if not piece:
            break
        sent += piece
    os.close(screen)
    said, _ = child.communicate()
    return child.returncode, said.decode(), sent.decode()


def test_a_terminal_is_told_how_far_a_publish_has_come_and_a_quiet_one_is_not(tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    publish = ["publish", *OPTIONS, "--members", str(tmp_path / "roster.csv"), "--out"]
    code, said, sent = run_in_terminal(*publish, str(tmp_path / "out"))
    assert code == 0, sent
    lines = re.split(r"[\r\n]", re.sub(r"\x1b\[[?0-9]*[a-zA-Z]", "", sent))
    bars = {line.split()[0]: line for line in lines if "[" in line}
    assert list(bars) == ["Checks", "Files", "Members"]
    assert "1/1" in bars["Members"]
    assert "\r" not in said
    code, said, sent = run_in_terminal(*publish, str(tmp_path / "quiet"), "--quiet")
    assert (code, said, sent) == (0, "", "")


def test_what_is_wrong_is_coloured_for_a_terminal_unless_no_color_is_set(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", "codes: [high-school]", "codes: [high-skool]")
    code, _, sent = run_in_terminal("proof", *folders.options)
    assert code == 1
    assert "\x1b[31m\x1b[1merror\x1b[0m: " in sent
    code, _, plain = run_in_terminal("proof", *folders.options, NO_COLOR="1")
    assert code == 1
    assert "error: " in plain
    assert not re.search(r"\x1b\[\d*m", plain)
    _, _, empty = run_in_terminal("proof", *folders.options, NO_COLOR="")
    assert "\x1b[31m" in empty  # no-color.org: an empty value does not count


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("pocketref pub", ["publish"]),
        ("pocketref publish --only bat", ["batters-box"]),
        ("pocketref publish --only batters-box sheets/", ["sheets/plate-area"]),
    ],
)
def test_a_shell_completes_commands_and_names(
    words: str, offered: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(FIXTURES)
    *before, typed = words.split()[1:]
    completed = BashComplete(main, {}, "pocketref", "_POCKETREF_COMPLETE").get_completions(before, typed)
    assert [each.value for each in completed] == offered
