"""Ruling on a play from the command line: given, asked for in a terminal, or refused."""

from __future__ import annotations

import json
import os
import pty
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

from click.testing import CliRunner, Result

from pocketref.cli import main
from pocketref.source.library import read_library

CONTENT = str(Path(__file__).parents[2] / "content")


def rule(*words: str) -> Result:
    return CliRunner().invoke(main, ["rule", *words, "--content", CONTENT])


def test_a_play_is_ruled_with_its_section_row_and_questions() -> None:
    result = rule("contact", "bat-meets-ball=yes", "on-plate=yes")
    assert result.exit_code == 0
    assert result.stdout.startswith("Out: batted out of the box")
    assert "HS 7-3-2" in result.stdout
    assert "content/rulings/high-school/contact.yaml:" in result.stdout
    assert "Foot on plate at contact? yes" in result.stdout
    assert result.stdout.rstrip().endswith("The rule book and the league govern.")


def test_a_ruling_in_doubt_says_how_sure_it_is(tmp_path: Path) -> None:
    settled = rule("contact", "bat-meets-ball=yes", "on-plate=yes").stdout
    assert "not yet compared with the book" not in settled
    shutil.copytree(CONTENT, tmp_path / "content")
    table = tmp_path / "content/rulings/high-school/contact.yaml"
    table.write_text(table.read_text().replace("confidence: in text", "confidence: inferred"))
    words = ["rule", "contact", "bat-meets-ball=yes", "on-plate=yes", "--content", str(tmp_path / "content")]
    assert "in doubt inferred, not yet compared with the book" in CliRunner().invoke(main, words).stdout
    assert json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)["in-doubt"] is True


def test_facts_that_make_no_difference_are_named() -> None:
    result = rule("contact", "bat-meets-ball=no")
    assert "makes no difference here: on-plate, wholly-outside, knee-out, caught-tip" in result.stdout


def test_the_same_play_is_ruled_by_another_code() -> None:
    play = (
        "contact",
        "bat-meets-ball=yes",
        "on-plate=yes",
        "wholly-outside=no",
        "caught-tip=no",
        "knee-out=no",
    )
    assert rule(*play).stdout.startswith("Out")
    assert rule(*play, "--code", "professional").stdout.startswith("Legal")


def test_without_a_code_the_first_in_force_rules(tmp_path: Path) -> None:
    shutil.copytree(CONTENT, tmp_path / "content")
    edition = tmp_path / "content" / "edition.yaml"
    text = edition.read_text(encoding="utf-8")
    assert "codes: [high-school]" in text
    edition.write_text(
        text.replace("codes: [high-school]", "codes: [professional, high-school]"), encoding="utf-8"
    )
    play = ("contact", "bat-meets-ball=yes", "on-plate=yes", "wholly-outside=no", "caught-tip=no")
    ruled = CliRunner().invoke(main, ["rule", *play, "--content", str(tmp_path / "content")])
    assert "(professional, contact)" in ruled.stdout


def test_json_holds_the_ruling_and_the_way_to_it() -> None:
    answer = json.loads(rule("contact", "bat-meets-ball=no", "--json").stdout)
    assert answer["ruling"]["ball"] == "live"
    assert answer["asked"] == [
        {"fact": "bat-meets-ball", "ask": "Did the bat touch the ball?", "answer": "no"}
    ]


def test_what_is_missing_is_named_with_its_question() -> None:
    result = rule("contact", "bat-meets-ball=yes")
    assert result.exit_code == 2
    assert "the ruling depends on 'on-plate': Foot on plate at contact?" in result.stderr
    assert "give on-plate=yes or on-plate=no" in result.stderr


def test_unknown_names_are_refused_with_the_close_match() -> None:
    for words, hint in (
        (("contct",), "did you mean 'contact'?"),
        (("contact", "on-plat=yes"), "did you mean 'on-plate'?"),
        (("contact", "on-plate=yess"), "did you mean 'yes'?"),
        (("contact", "--code", "proffesional"), "did you mean 'professional'?"),
        (("contact", "on-plate"), "write, for example, on-plate=yes"),
    ):
        result = rule(*words)
        assert result.exit_code == 2
        assert hint in result.stderr
        assert "Traceback" not in result.stderr


def test_in_a_terminal_the_rest_is_asked_in_the_order_of_the_chart() -> None:
    start = "from pocketref.cli import main; main()"
    command = [sys.executable, "-c", start, "rule", "contact", "--content", CONTENT]
    parent, child = pty.openpty()
    with subprocess.Popen(command, stdin=child, stdout=child, stderr=child, close_fds=True) as process:
        os.close(child)
        shown = talk(parent, [("touch the ball?", "yes\n"), ("on plate", "no\n"), ("all outside", "yes\n")])
        assert process.wait(timeout=300) == 0
    os.close(parent)
    assert "Out: batted out of the box" in shown
    assert "Knee" not in shown


def test_in_a_terminal_the_first_letter_of_an_answer_is_enough_and_others_are_asked_again() -> None:
    start = "from pocketref.cli import main; main()"
    command = [sys.executable, "-c", start, "rule", "contact", "--content", CONTENT]
    parent, child = pty.openpty()
    with subprocess.Popen(command, stdin=child, stdout=child, stderr=child, close_fds=True) as process:
        os.close(child)
        answers = [
            ("touch the ball?", "q\n"),
            ("'q' is not one of: yes, no", "y\n"),
            ("on plate", "N\n"),
            ("all outside", "y\n"),
        ]
        shown = talk(parent, answers)
        assert process.wait(timeout=300) == 0
    os.close(parent)
    assert "Out: batted out of the box" in shown


def test_without_a_subject_what_can_be_asked_is_listed() -> None:
    result = rule()
    assert result.exit_code == 0
    assert "  on-plate        Foot on plate at contact?  yes, no" in result.stdout.splitlines()
    library = read_library(Path(CONTENT))
    assert all(name in result.stdout for name in (*library.codes, *library.subjects))


def test_the_help_names_the_codes_of_the_starter_set_and_says_how_to_list_the_subjects() -> None:
    words = " ".join(CliRunner().invoke(main, ["rule", "--help"]).stdout.split())
    assert all(name in words for name in read_library(Path(CONTENT)).codes)
    assert "Without a SUBJECT, list the subjects" in words


def talk(terminal: int, lines: list[tuple[str, str]], seconds: float = 300.0) -> str:
    """What the terminal shows while each question is answered once it has come up."""
    shown, waiting, deadline = "", list(lines), time.monotonic() + seconds
    while time.monotonic() < deadline:
        if not select.select([terminal], [], [], 0.2)[0]:
            continue
        try:
            piece = os.read(terminal, 4096).decode()
        except OSError:  # the other end is closed: all has been said
            break
        shown += piece
        if waiting and waiting[0][0] in shown:
            os.write(terminal, waiting.pop(0)[1].encode())
    assert not waiting, shown
    return shown


def test_where_the_game_stands_after_the_ruling_is_told_in_place_of_what_it_does() -> None:
    play = ("contact", "bat-meets-ball=yes", "on-plate=yes")
    told = rule(*play, "--runners", "first,third", "--outs", "1", "--count", "1-2").stdout
    assert "next     Batter out, two outs; runners back to first and third." in told
    assert "at-bat over" not in told
    assert "count    at-bat over" in rule(*play, "--outs", "1").stdout


def test_json_holds_every_state_that_may_come_next() -> None:
    stand = ("--runners", "none", "--outs", "2", "--count", "1-2")
    answer = json.loads(rule("contact", "bat-meets-ball=no", *stand, "--json").stdout)
    found = [(state["when"], state["outs"], state["side-retired"]) for state in answer["next"]]
    assert found == [
        ("a ball", 2, False),
        ("strike three, caught", 3, True),
        ("strike three, not caught", 2, False),
    ]
    assert json.loads(rule("contact", "bat-meets-ball=no", "--json").stdout)["next"] == []


def test_what_is_unsettled_leads_to_no_state() -> None:
    play = ("second-touch", "on-purpose=no", "in-box=no", "fair-ground=yes", "bat-still=no", "let-go=yes")
    stand = ("--runners", "none", "--outs", "0", "--count", "0-0")
    result = rule(*play, *stand, "--code", "college")
    assert "unsettled:" in result.stdout
    assert "next " not in result.stdout


def test_a_situation_that_cannot_be_is_refused_with_what_can() -> None:
    result = rule("contact", "--runners", "frist", "--outs", "4", "--count", "5-5")
    assert result.exit_code == 2
    for said in ("did you mean 'first'?", "write 0, 1 or 2", "at most 3-2"):
        assert said in result.stderr


def test_the_youth_code_says_where_a_batter_may_not_run_on_a_third_strike() -> None:
    # LL 6.05(b) and 6.09(b), quoted on an umpires' handout: in Minors and tee ball out, caught or not.
    late = ("leaving", "refuses=no", "left=late", "pitched=yes", "--runners", "none", "--outs", "1")
    note = "In Minors and tee ball the batter is out, caught or not."
    assert note in rule(*late, "--count", "0-2", "--code", "youth").stdout
    assert note not in rule(*late, "--count", "0-1", "--code", "youth").stdout
    assert note not in rule(*late, "--count", "0-2", "--code", "professional").stdout
