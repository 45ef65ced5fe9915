"""A made-up subject whose questions have three to five answers, each a phrase, in everything that is printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.proof import Proof, prove
from pocketref.layouts.cards import LaidOut
from pocketref.output.contents import items_of, texts_in
from pocketref.web.plays_web import build_play_pages
from pocketref.web.web import build_web_page

SUBJECT = """\
subject: lost-ball
title: The ball is lost from sight
facts:
  where:
    ask: Where did the ball go?
    answers: {hedge: into the hedge behind the line, roof: onto the roof of a dugout, drain: down a drain,
              pocket: into a pocket, unseen: nobody saw}
  who:
    ask: Who touched it last?
    answers: {fielder: a fielder, runner: a runner who was forced, nobody: nobody at all}
  when:
    ask: When was it seen again?
    answers: {at-once: at once, before: before the next base, after: after the play had ended, never: not at all}
"""
RULINGS = """\
rulings:
  two: {headline: Two bases, ball: dead, batter: bats on, runners: forced, count: no change, say: ["Time!"], signal: []}
  out: {headline: Runner out, ball: dead, batter: bats on, runners: return, count: no change, out: [runner touched],
        say: ["Out!"], signal: []}
  live: {headline: Play on, ball: live, batter: bats on, runners: at own risk, count: no change, say: [], signal: []}
  back: {headline: Runners back, ball: dead, batter: bats on, runners: return, count: no change, say: [], signal: []}
"""
ROWS = {
    "{where: hedge, who: fielder}": "two",
    "{where: hedge, who: runner}": "out",
    "{where: hedge, who: nobody}": "live",
    "{where: roof}": "two",
    "{where: drain, when: [at-once, before]}": "live",
    "{where: drain, when: after}": "two",
    "{where: drain, when: never}": "back",
    "{where: pocket}": "out",
    "{where: unseen}": "back",
}
PHRASES = (
    "into the hedge behind the line", "onto the roof of a dugout", "down a drain", "into a pocket", "nobody saw",
    "a fielder", "a runner who was forced", "nobody at all", "at once or before the next base",
    "after the play had ended", "not at all",
)  # fmt: skip
FACE = "code: high-school\nlevel: 90-ft\nfront:\n  - {block: chart, subject: lost-ball}\n"


def write_table(code: str, ruled: dict[str, str]) -> str:
    rows = "".join(
        f"  - {{when: {when}, ruling: {ruling}, source: field-book 7-1, confidence: secondary}}\n"
        for when, ruling in ruled.items()
    )
    return f"subject: lost-ball\ncode: {code}\nrows:\n{rows}{RULINGS}"


def write_plays() -> str:
    """A play for each row and one for the answer that shares an exit."""
    facts = [*(when.replace("[at-once, before]", "at-once") for when in ROWS), "{where: drain, when: before}"]
    rulings = [*ROWS.values(), "live"]
    cases = "".join(
        f"  play-{number}: {{title: Lost {number}, situation: {{runners: [first], outs: 1, count: 1-1}}, "
        f"story: The ball goes out of sight., facts: {fact}, expect: {{high-school: {ruling}}}}}\n"
        for number, (fact, ruling) in enumerate(zip(facts, rulings, strict=True), 1)
    )
    return f"plays: lost-ball\nsubject: lost-ball\ncases:\n{cases}"


@pytest.fixture
def lost(folders: SourceFolders) -> SourceFolders:
    folders.add("content/rulings/subjects/lost-ball.yaml", SUBJECT)
    folders.add("content/rulings/high-school/lost-ball.yaml", write_table("high-school", ROWS))
    other = write_table("town", {**ROWS, "{where: roof}": "back"})
    folders.add("content/rulings/town/lost-ball.yaml", other)
    folders.replace(
        "content/codes.yaml", "codes:\n", "codes:\n  town: {name: Town, mark: TN, work: field-book}\n"
    )
    folders.add("content/plays/lost-ball.yaml", write_plays())
    sheet = f"sheet: lost-ball\ntitle: The ball is lost\nstock: letter\n{FACE}"
    folders.add("layouts/sheets/lost-ball.yaml", sheet)
    back = "back:\n  - {block: differences, subject: lost-ball, codes: [high-school, town]}\n"
    card = f'card: lost-ball\nnumber: "2"\ntitle: The ball is lost\nstock: index-3x5\n{FACE}{back}'
    folders.add("layouts/cards/lost-ball.yaml", card)
    plays = "sheet: lost\ntitle: Lost balls\nstock: letter\ncode: high-school\nlevel: 90-ft\nsubjects: [lost-ball]\n"
    folders.add("layouts/plays/lost.yaml", plays)
    return folders


def find(proof: Proof, kind: str) -> LaidOut:
    return next(item for item in getattr(proof, kind) if item.name == "lost-ball")


def read(item: LaidOut) -> str:
    return " ".join(t.content for page in item.document.pages for t in texts_in(items_of(page.elements)))


def test_every_answer_is_printed_on_card_and_sheet_and_written_on_the_page(lost: SourceFolders) -> None:
    """That no word touches a line is held for any such chart in `tests/scene`."""
    proof = prove(lost.content, lost.layouts)
    page = build_web_page(proof, []).data.decode()
    printed = [set(read(find(proof, kind)).replace("\u00a0", " ").split()) for kind in ("cards", "sheets")]
    for phrase in PHRASES:
        assert all(set(phrase.split()) <= words for words in printed), phrase
        assert f"<li>{phrase[0].upper()}{phrase[1:]}: " in page
    assert "Onto the roof of a dugout" in " ".join(read(find(proof, "cards")).split())


def test_plays_on_it_meet_every_row_and_their_keys_say_the_way(lost: SourceFolders) -> None:
    proof = prove(lost.content, lost.layouts)
    tables = proof.plays.coverage.tables
    (met,) = [each for each in tables if (each.subject, each.code) == ("lost-ball", "high-school")]
    assert met.unmet_rows == met.unwalked == ()
    key = next(
        file for file in build_play_pages(proof.plays) if file.name == "plays/lost-key.html"
    ).data.decode()
    assert "Where did the ball go? <b>down a drain</b> → When was it seen again? " in key


@pytest.mark.parametrize(
    ("layout", "stock"),
    [("sheets", "index-3x5"), ("cards", "badge"), ("cards", "badge-punched")],
    ids=["sheet", "card", "card with a hole"],
)
def test_what_does_not_fit_is_refused_and_published_on_the_stock_that_the_hint_names(
    layout: str, stock: str, lost: SourceFolders, tmp_path: Path
) -> None:
    name = f"layouts/{layout}/lost-ball.yaml"
    for added in ("badge", "badge-punched", "index-3x5-punched"):
        size = (60, 40) if added.startswith("badge") else (127, 76.2)
        hole = (
            "    punch: {edge: left, diameter: 5 mm, distance: 3 mm, clearance: 3 mm}\n"
            if "punched" in added
            else ""
        )
        lost.replace("layouts/stocks.yaml", "stocks:\n", f"stocks:\n{write_stock(added, *size)}{hole}")
    lost.replace(name, "stock: letter" if layout == "sheets" else "stock: index-3x5", f"stock: {stock}")
    asked = CliRunner().invoke(main, ["proof", *lost.options])
    assert asked.exit_code == 1
    (named,) = set(re.findall(r"choose a larger stock: it fits on (\S+)", asked.output))
    lost.replace(name, f"stock: {stock}", f"stock: {named}")
    published = CliRunner().invoke(main, ["publish", *lost.options, "--out", str(tmp_path / "out")])
    assert published.exit_code == 0, published.output
    assert ("punched" in named) == ("punched" in stock)


def write_stock(name: str, width_mm: float, height_mm: float) -> str:
    return (
        f"  {name}:\n    name: {name}\n    width: {width_mm} mm\n    height: {height_mm} mm\n    safe: 3 mm\n"
        "    margin: 3 mm\n    bleed: 3 mm\n    laminate-margin: 3 mm\n    source: invented\n"
    )
