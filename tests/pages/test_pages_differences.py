"""The table of differences between codes: few words, faulty tables refused, unsettled only where it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from play_samples import CODES, content

from pocketref.blocks.differences import DifferencesBlockModel, build_difference_table, write_play
from pocketref.blocks.setting import Setting
from pocketref.pages.table_blocks import TableBlock
from pocketref.pages.words import Paragraph
from pocketref.problems import PocketrefError, ProblemLog
from pocketref.rulings.boxes import Combination
from pocketref.source.library import Library
from pocketref.source.ruling_models import SubjectModel


def words_of(subject: str) -> dict[str, tuple[str, ...]]:
    """Each row's play and what each code is said to rule, without marks."""
    table = build_difference_table(content(), subject, CODES, "high-school")
    return {row[0].words: tuple(cell.words.strip("*") for cell in row[1:]) for row in table.rows}


def test_only_the_unsettled_play_says_check_league_and_settled_ones_of_its_ruling_do_not() -> None:
    rows = words_of("contact")
    assert rows["Foot wholly outside; caught foul tip"] == (
        "Out, dead",
        "Out, dead",
        "check league",
        "check league",
    )
    assert rows["Foot on the plate; none wholly outside; caught foul tip"][2:] == (
        "check league",
        "Legal, live†",
    )


def test_a_play_is_told_in_words_that_do_not_contradict_each_other() -> None:
    assert list(words_of("second-touch")) == [
        "On purpose; no chance to turn fair; ball moving",
        "By accident; over fair ground; bat let go, still moving",
        "By accident; over fair ground; bat in hand, out of the box",
    ]


def test_a_headline_that_says_the_ball_is_not_followed_by_the_ball_again() -> None:
    said = {
        words.rstrip("†")
        for subject in ("second-touch", "hit-by-pitch")
        for row in words_of(subject).values()
        for words in row
    }
    assert {"Dead ball, strike", "Out, dead"} <= said


def test_a_play_of_which_all_is_left_unsaid_is_told_in_full() -> None:
    subject = content().subjects["leaving"]
    assert write_play(Combination((("pitched", ("no",)),)), subject) == "Pitcher stopped"


def test_what_is_asked_after_an_answer_that_is_not_there_is_refused() -> None:
    subject = content().subjects["second-touch"].model_dump(by_alias=True, exclude_defaults=True)
    for after in ({"in-bax": "no"}, {"in-box": "nope"}):
        subject["facts"]["let-go"]["only-after"] = after
        with pytest.raises(ValueError, match="'let-go' is asked after 'in-b"):
            SubjectModel.model_validate(subject)


def test_a_table_with_a_row_missing_is_refused_with_what_no_row_rules_on() -> None:
    key = ("high-school", "contact")
    table = content().rulings[key]
    rows = tuple(row for row in table.rows if "knee-out" not in row.when or "no" in row.when["knee-out"])
    faulty = replace(content(), rulings={**content().rulings, key: table.model_copy(update={"rows": rows})})
    with pytest.raises(PocketrefError) as caught:
        build_difference_table(faulty, "contact", CODES, "high-school")
    (problem,) = caught.value.problems
    assert problem.code == "table-gap"
    assert problem.sentence.endswith("wholly-outside = no, knee-out = yes")


def with_codes(*codes: str) -> Library:
    """The content with other codes in force."""
    library = content()
    return replace(library, edition=library.edition.model_copy(update={"codes": codes}))


def test_the_card_s_own_code_and_those_in_force_have_columns_whichever_are_listed() -> None:
    def list_marks(library: Library, home: str, *listed: str) -> list[str]:
        block = DifferencesBlockModel(block="differences", subject="contact", codes=listed)
        table = block.build(Setting(library, home, "90-ft", "card"))
        assert isinstance(table, TableBlock)
        return [column.header for column in table.columns[1:]]

    assert list_marks(content(), "high-school", "professional", "college") == ["PRO", "COL", "HS"]
    assert list_marks(with_codes("high-school", "youth"), "high-school") == ["HS", "YTH"]
    assert list_marks(with_codes("youth"), "professional") == ["PRO", "YTH"]


def test_a_code_that_does_not_rule_on_the_subject_has_no_column_and_one_alone_is_refused() -> None:
    block = DifferencesBlockModel(block="differences", subject="double-base")
    library = with_codes("professional", "college", "youth")
    assert block.list_columns("professional", library) == ("college", "youth")
    problems = ProblemLog()
    block.check("professional", library, problems)
    assert problems.problems == []
    block.check("professional", with_codes("professional", "college"), problems)
    assert [(p.code, p.hint) for p in problems.problems] == [
        ("codes-few", "list others to compare it with: 'codes: [...]'")
    ]


def test_codes_that_rule_alike_are_said_to_in_a_line() -> None:
    block = DifferencesBlockModel(block="differences", subject="thrown-bat", codes=("professional", "youth"))
    words = block.build(Setting(with_codes("youth"), "professional", "90-ft", "card")).words()
    assert words == (Paragraph("*Thrown or broken bat:* PRO, YTH rule every play alike in effect."),)
