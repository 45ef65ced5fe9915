"""The page: a save shows, a fault is told where it stands, and nobody but this machine is answered."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from looking import PATIENCE_S, Page, open_page
from source_folders import FIXTURES, SourceFolders, copy_folders

CARD = "cards/batters-box"
LAYOUT = f"layouts/{CARD}.yaml"
PROGRAM = "from pocketref.cli import main; main(prog_name='pocketref')"
INTERRUPTED = (
    "import _thread, sys, threading;"
    "threading.Thread(target=lambda: (sys.stdin.read(), _thread.interrupt_main()), daemon=True).start();"
)
"""Interrupts itself when its input is closed: a signal cannot be sent to one process alone everywhere."""


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> SourceFolders:
    return copy_folders(tmp_path_factory.mktemp("look"))


@pytest.fixture(scope="module")
def page(source: SourceFolders) -> Iterator[Page]:
    with open_page(source) as opened:
        yield opened


def is_good(state: dict[str, Any]) -> bool:
    return bool(state["faces"]) and state["current"] and state["proved"]


def read_faces(page: Page, state: dict[str, Any]) -> dict[str, str]:
    """The words of each face by its name."""
    drawings = {each["name"]: page.get(f"/faces/{each['digest']}") for each in state["faces"]}
    assert all(status == 200 for status, _ in drawings.values())
    return {name: re.sub(r"<[^>]*>", "", svg.decode()) for name, (_, svg) in drawings.items()}


def test_a_word_that_is_saved_shows_and_a_fault_is_told_while_the_last_picture_stays(
    page: Page, source: SourceFolders
) -> None:
    with page.listen(CARD) as news:
        state = news.wait(is_good)
        assert [each["name"] for each in state["faces"]] == ["front", "back"]
        assert {each["name"] for each in state["parts"]} == {CARD, "sheets/plate-area"}
        title = "Batter's box and stance"
        assert all(title in words for words in read_faces(page, state).values())
        source.replace(LAYOUT, title, "The box we chalk")
        before = state["faces"]
        state = news.wait(lambda now: now["faces"] != before and is_good(now))
        assert all("The box we chalk" in words for words in read_faces(page, state).values())
        # Half saved: told at its line, and the last picture stays.
        whole = (source.root / LAYOUT).read_text(encoding="utf-8")
        source.write(LAYOUT, whole[: whole.index("share: 33")] + "share: {")
        broken = news.wait(lambda now: now["broken"])
        assert broken["faces"] == state["faces"]
        assert not broken["current"]
        (problem,) = broken["problems"]
        assert problem["own"]
        assert re.fullmatch(rf"{LAYOUT}:\d+:\d+", problem["place"])
        assert [each["name"] for each in broken["parts"] if each["faulty"]] == [CARD]
        # A title without room: the card's own problem, with its line.
        long = "A title that no card has room for " * 6
        source.write(LAYOUT, whole.replace("The box we chalk", long))
        misfit = news.wait(lambda now: not now["broken"] and now["proved"])
        assert misfit["faces"] == state["faces"]
        assert {each["code"] for each in misfit["problems"]} == {"block-too-large"}
        assert misfit["problems"][0]["place"].startswith(f"{LAYOUT}:3:")
        assert misfit["problems"][0]["line"].startswith("title: A title")
        source.write(LAYOUT, whole)
        assert news.wait(is_good)["faces"] == state["faces"]


def test_who_looks_at_another_part_gets_that_one(page: Page) -> None:
    with page.listen("sheets/plate-area") as news:
        state = news.wait(is_good)
        assert state["part"] == "sheets/plate-area"
        assert "plate area" in " ".join(read_faces(page, state).values()).lower()
    with page.listen("cards/none-such") as news:
        state = news.wait(lambda now: bool(now["parts"]))
        assert (state["part"], state["faces"]) == ("", [])


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        ("/", {}, 200),
        ("/look.js", {}, 200),
        ("/", {"Host": "rebound.example"}, 403),
        ("/", {"Host": "127.0.0.1"}, 403),
        ("/news", {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Dest": "empty"}, 403),
        ("/look.js", {"Sec_Fetch_Site": "same-site", "Sec_Fetch_Dest": "script"}, 403),
        ("/", {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Dest": "document"}, 200),
        ("/../server.py", {}, 404),
        ("/faces/../../session.py", {}, 404),
        ("/%2e%2e/server.py", {}, 404),
        ("/session.py", {}, 404),
        ("//etc/passwd", {}, 404),
    ],
)
def test_only_what_is_the_pages_own_is_answered_and_only_to_it(
    page: Page, path: str, headers: dict[str, str], status: int
) -> None:
    assert page.get(path, **headers)[0] == status
    assert page.server.server_address[0] == "127.0.0.1"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_nothing_can_be_sent(page: Page, method: str) -> None:
    assert page.get("/", method)[0] == 501


def test_the_command_says_where_the_page_is_and_ends_when_it_is_interrupted() -> None:
    options = ["--content", str(FIXTURES / "content"), "--layouts", str(FIXTURES / "layouts"), "--port", "0"]
    child = subprocess.Popen(
        [sys.executable, "-uc", INTERRUPTED + PROGRAM, "look", *options],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == f"content: {FIXTURES / 'content'}\n"
    assert re.search(r"http://127\.0\.0\.1:\d+/", child.stdout.readline())
    _, said = child.communicate(timeout=PATIENCE_S)
    assert (child.returncode, said) == (0, "")


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    options = ["--content", str(tmp_path / "none"), "--layouts", str(FIXTURES / "layouts")]
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, "look", *options], capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert "[folder-missing]" in done.stderr
