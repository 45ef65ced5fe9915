"""Nothing is settled in print that the content leaves open, and nothing in doubt stands without its mark.

Each row of each code's table is followed to every place that prints it. What charts and tables of differences say of
each play is held in `test_edition_changes_agree.py`.
"""

from __future__ import annotations

import pytest
from play_samples import books, content, ruled
from ruling_expectations import COL, HS, PRO, YTH, content_table

from pocketref.blocks.calls import CallsBlockModel
from pocketref.blocks.chart import ChartBlock, ChartBlockModel
from pocketref.blocks.setting import Setting
from pocketref.edition.ruling_text import write_answer
from pocketref.edition.statement_words import write_ruling_effect
from pocketref.layouts.play_words import write_key
from pocketref.pages.words import Listing
from pocketref.plays.choices import ask_plays
from pocketref.rulings.answer import answer_play
from pocketref.rulings.table import decide
from pocketref.scene.charts.flow_layout import FlowEnding
from pocketref.source.ruling_models import Batter, Count, RowModel, Runners
from pocketref.source.statements import DOUBT, DOUBTFUL

TABLES = tuple(content().rulings)
LEVELS = {field.code: field.level for field in reversed(content().fields.values())}
CHECK = ("league", "check your league")


def is_marked(words: str) -> bool:
    return DOUBT in words


def rows_of(code: str, subject: str) -> tuple[RowModel, ...]:
    return content().rulings[code, subject].rows


def setting(code: str) -> Setting:
    return Setting(content(), code, LEVELS[code], "card")


@pytest.mark.parametrize(("code", "subject"), TABLES)
def test_only_rows_that_are_unsettled_leave_something_to_the_league(code: str, subject: str) -> None:
    rulings = content().rulings[code, subject].rulings
    for row in rows_of(code, subject):
        ruling = rulings[row.ruling]
        effect = {ruling.batter, ruling.runners, ruling.count}
        assert row.unsettled or not effect & {Batter.LEAGUE, Runners.LEAGUE, Count.LEAGUE}


@pytest.mark.parametrize(("code", "subject"), TABLES)
def test_a_chart_in_few_words_leaves_open_and_marks_what_the_full_one_does(code: str, subject: str) -> None:
    full, brief = (
        ChartBlockModel.model_validate({"block": "chart", "subject": subject, "words": words}).build(
            setting(code)
        )
        for words in ("full", "brief")
    )
    assert isinstance(full, ChartBlock)
    assert isinstance(brief, ChartBlock)
    endings = {key: node for key, node in full.nodes.items() if isinstance(node, FlowEnding)}
    assert sum(CHECK in node.lines for node in endings.values()) >= any(
        r.unsettled for r in rows_of(code, subject)
    )
    for key, node in endings.items():
        short = brief.nodes[key]
        assert isinstance(short, FlowEnding)
        assert (CHECK in node.lines, is_marked(node.headline)) == (
            CHECK in short.lines,
            is_marked(short.headline),
        )


@pytest.mark.parametrize(("code", "subject"), TABLES)
def test_a_list_of_calls_says_which_are_disputed_and_which_in_doubt(code: str, subject: str) -> None:
    table = content().rulings[code, subject]
    words = (
        CallsBlockModel.model_validate({"block": "calls", "subject": subject}).build(setting(code)).words()
    )
    entries = [entry for word in words if isinstance(word, Listing) for entry in word.entries]
    called = {name: ruling for name, ruling in table.rulings.items() if ruling.say or ruling.signal}
    assert len(entries) == len(called)
    for (name, ruling), entry in zip(called.items(), entries, strict=True):
        rows = [row for row in table.rows if row.ruling == name]
        head = entry.partition(":* ")[0]
        assert head.startswith(f"*{ruling.headline}")
        assert ("check league" in head) == any(row.unsettled for row in rows)
        assert is_marked(head) == bool(content().mark_doubt(*rows))


@pytest.mark.parametrize(("code", "subject"), TABLES)
def test_a_row_on_the_web_page_and_a_spoken_ruling_say_so_too(code: str, subject: str) -> None:
    table, model = content_table(code, subject)
    rules = books().rules(subject, code)
    for row, built in zip(rows_of(code, subject), table.rows, strict=True):
        doubt = content().mark_doubt(row)
        assert bool(doubt) == (row.confidence in DOUBTFUL)
        web = write_ruling_effect(model, row, doubt)
        assert ("Check your league" in web) == bool(row.unsettled)
        assert is_marked(web) == bool(doubt)
        plays = [play for play in ruled() if play.code == code and play.answer.where == row.location]
        assert plays, built.when
        said = write_answer(answer_play(rules, plays[0].answers), code, subject)
        assert ("\n  unsettled: " in said) == bool(row.unsettled)
        assert ("in doubt" in said) == bool(doubt)


def test_every_key_says_so_of_its_play() -> None:
    open_plays = 0
    for question in ask_plays(books(), ruled()):
        answer = question.ruled.answer
        first, following, *rest = write_key(books(), question)
        assert is_marked(first) == answer.in_doubt
        assert any(line.startswith("*Check your league:*") for line in rest) == bool(answer.unsettled)
        assert (following == "*Next:* As the league rules.") == bool(answer.unsettled)
        open_plays += bool(answer.unsettled)
    assert open_plays > 100


def test_a_wrong_answer_that_would_be_right_elsewhere_is_marked_as_the_row_that_says_so() -> None:
    marked = opened = 0
    for question in ask_plays(books(), ruled()):
        rows = rows_of(question.ruled.code, question.ruled.case.subject)
        rulings = content().rulings[question.ruled.code, question.ruled.case.subject].rulings
        for choice in question.choices:
            name = next((name for name, ruling in rulings.items() if ruling is choice.ruling), None)
            of_it = [row for row in rows if row.ruling == name]
            if choice.is_right or choice.reason.startswith(("So by", "A ruling on another")) or not of_it:
                continue
            may = choice.reason.startswith("The league may rule so")
            assert may or not all(row.unsettled for row in of_it)
            assert is_marked(choice.reason) or not all(content().mark_doubt(row) for row in of_it)
            marked, opened = marked + is_marked(choice.reason), opened + may
    assert marked > 50
    assert opened > 20


OPEN = (
    # HS 8-4-1d against a rules column: a held or dropped bat that meets the ball again out of the box, unmeant.
    (HS, "second-touch", "on-purpose=no in-box=no fair-ground=yes bat-still=no"),
    # One college digest says live, another reading out; no youth text names a bat let go.
    (COL, "second-touch", "on-purpose=no in-box=no fair-ground=yes bat-still=no let-go=yes"),
    (YTH, "second-touch", "on-purpose=no in-box=no fair-ground=yes bat-still=no let-go=yes"),
    # No text on a piece of a bat thrown on purpose.
    *((code, "thrown-bat", "hinders=yes what=piece on-purpose=yes") for code in (HS, PRO, COL, YTH)),
    # College texts of 2007 and 2019-20 differ on a batter who lets it hit outside the box.
    (COL, "hit-by-pitch", "bat-first=no strike=no in-box=yes batter=froze over-box=no"),
    *((code, "hit-by-pitch", "bat-first=no strike=no in-box=no") for code in (HS, PRO, COL, YTH)),
    # The professional rule on a catcher in front of the plate, the batter out of the box: taught two ways.
    (PRO, "obstructs-batter", "started=yes swing=ordinary squeeze=yes in-box=no"),
    *((code, "obstructs-batter", "started=yes swing=drew") for code in (HS, PRO, YTH)),
    # Nothing ranks the catcher's act and a ball batted from out of the box.
    *((code, "obstructs-batter", "started=yes swing=outside") for code in (HS, PRO, COL, YTH)),
    # HS 8-1-1e and 8-3-1c on a runner who goes on the hit (thread 1006294).
    (HS, "obstructs-batter", "started=yes swing=ordinary squeeze=no hit=yes all-gained=went"),
    # HS notices of the double base: white only without a collision, and throws from foul ground.
    (HS, "double-base", "clash=no half=white"),
    *((code, "double-base-other", "what=thrown") for code in (HS, COL, YTH)),
    # No sentence on an infield fly that nobody called, but HS case 10.2.3 G.
    *((code, "infield-fly", "fair=yes runners=yes easy=yes called=no") for code in (PRO, COL, YTH)),
    # A plain return throw: only the professional manual speaks of it.
    *((code, "return-throw", "on-purpose=no") for code in (HS, COL, YTH)),
    # A batter who has walked, and one slow to clear the plate.
    *((code, "hinders-catcher", "retired=no how=moved pitch=four") for code in (PRO, COL, YTH)),
    *((code, "hinders-catcher", "retired=no how=crowd") for code in (PRO, COL)),
    # HS double steal, one out and one in: two sides of a forum (thread 89294).
    (HS, "hinders-catcher", "retired=scored"),
    (HS, "follow-through", "runner=scored"),
    # An out on a later throw: the words cover any runner put out, practice the first throw (threads 16026, 34140).
    *((code, "hinders-catcher", "retired=later") for code in (COL, YTH)),
    # A college swing that meets the throw, the runner out all the same: one source, which says nothing of it.
    *((COL, "follow-through", f"throwing=yes runner={who}") for who in ("out", "scored")),
)
"""Points on which public texts disagree or say nothing, as looked up in November 2026."""


@pytest.mark.parametrize(("code", "subject", "facts"), OPEN)
def test_what_texts_dispute_or_leave_out_is_left_to_the_league(code: str, subject: str, facts: str) -> None:
    table, _ = content_table(code, subject)
    assert decide(table, dict(pair.split("=") for pair in facts.split())).is_open
