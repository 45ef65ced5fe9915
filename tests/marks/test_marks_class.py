"""A class with planted misunderstandings: the marks name them, and next week's sheet and the season target them."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest
from class_answers import (
    EDITION,
    ROOT,
    Think,
    books,
    find_sheet,
    know,
    misread,
    rule_as,
    take_in,
    training,
    write_class,
)
from hypothesis import given
from hypothesis import strategies as st

from pocketref.layouts.play_sheets import PlaySheet
from pocketref.marks.answers import AnswerRow, Intake
from pocketref.marks.mark_files import write_marks_json
from pocketref.marks.mark_report import lay_out_marks
from pocketref.marks.mark_text import write_marks, write_misread
from pocketref.marks.marking import TAUGHT, Marks, mark_answers
from pocketref.marks.misreadings import Misreading
from pocketref.marks.next_sheet import choose_next_sheet, write_next_sheet
from pocketref.marks.syllabus import AGAIN_WEEKS, plan_syllabus, write_syllabus, write_syllabus_layout
from pocketref.marks.training_sheets import read_training
from pocketref.members.roster import Member
from pocketref.plays.choices import LETTERS
from pocketref.problems import Location, PocketrefError, Severity

PLANTED: Mapping[str, tuple[str, str, str, str]] = {
    "a foot on the plate is no matter": ("contact", "on-plate", "yes", "no"),
    "a second hit is always on purpose": ("second-touch", "on-purpose", "no", "yes"),
    "a contact that misses counts": ("contact", "bat-meets-ball", "no", "yes"),
}
MIXED = "mixed"


def mark_class(
    folder: Path, minds: list[Think], name: str = MIXED, slips: float = 0.0, seed: int = 1
) -> Marks:
    sheet = find_sheet(name)
    intake = take_in(folder, write_class(sheet, minds, slips, seed))
    assert not intake.problems.errors
    return mark_answers(intake, training().sheets, books())


@pytest.mark.parametrize("planted", PLANTED)
@pytest.mark.parametrize("slips", [0.0, 0.1])
def test_the_misreading_that_a_third_of_a_class_shares_is_named_first(
    tmp_path: Path, planted: str, slips: float
) -> None:
    subject, fact, shown, taken = PLANTED[planted]
    think = misread(subject, fact, shown, taken)
    marks = mark_class(tmp_path, [know] * 16 + [think] * 8, slips=slips)
    first = marks.misread[0].misreading
    assert (first.subject, first.taken) == (subject, ((fact, shown, (taken,)),))
    named = write_misread(marks)[0]
    assert books().library.subjects[subject].facts[fact].ask in named


def test_a_class_that_rules_by_another_book_is_told_so(tmp_path: Path) -> None:
    marks = mark_class(tmp_path, [know] * 12 + [rule_as("professional")] * 8)
    assert marks.misread[0].misreading == Misreading("", "professional")
    assert "ruled as the professional code does" in write_marks(marks)


def test_two_misreadings_at_once_are_both_named(tmp_path: Path) -> None:
    one, other = (PLANTED[name] for name in list(PLANTED)[:2])
    marks = mark_class(tmp_path, [know] * 10 + [misread(*one)] * 6 + [misread(*other)] * 6, slips=0.05)
    named = {tally.misreading.taken for tally in marks.misread if tally.is_shared}
    assert {((one[1], one[2], (one[3],)),), ((other[1], other[2], (other[3],)),)} <= named


def test_the_row_that_a_wrong_choice_betrays_rules_as_the_choice_does(tmp_path: Path) -> None:
    for name in ("after-the-pitch", "batter-and-catcher", "feet", MIXED):
        for number, letter in enumerate(LETTERS[:3]):
            marks = mark_class(tmp_path, [lambda _, letter=letter: letter] * 2, name, seed=number)  # type: ignore[misc]
            for play in marks.sheets[0].plays:
                for wrong, betrayal in play.betrayals.items():
                    code, subject, row = betrayal.row
                    model = books().library.rulings[code, subject]
                    ruling = model.rulings[model.rows[row - 1].ruling]
                    taken = play.question.choices[LETTERS.index(wrong)].ruling
                    assert (ruling.ball, ruling.batter, ruling.runners) == (
                        taken.ball,
                        taken.batter,
                        taken.runners,
                    )
                assert set(play.wrong) == set(play.betrayals), "every wrong choice betrays some row"


def test_a_class_that_knows_everything_has_misread_nothing(tmp_path: Path) -> None:
    marks = mark_class(tmp_path, [know] * 5)
    assert marks.misread == ()
    figures = marks.sheets[0].figures
    assert (figures.mean, figures.deviation, figures.kr20) == (len(marks.sheets[0].plays), 0, None)
    assert "reliability (KR-20) not defined" in write_marks(marks)
    with pytest.raises(PocketrefError, match="no row was missed"):
        choose_next_sheet(training(), marks)


# --- nobody's answers are lost ----------------------------------------------------------------------------


@given(
    st.lists(st.lists(st.sampled_from(["", "A", "B", "C"]), min_size=6, max_size=6), min_size=1, max_size=12)
)
def test_every_answer_is_counted_once(answers: list[list[str]]) -> None:
    sheet = find_sheet("weekly-01")
    rows = [
        AnswerRow(f"Member {n}", f"{n}", "North" if n % 2 else "", sheet.name, tuple(letters), Location("a"))
        for n, letters in enumerate(answers)
    ]
    marks = mark_answers(Intake(rows), training().sheets, books())
    (marked,) = marks.sheets
    key = [question.letter for question in sheet.questions]
    assert sorted(marked.right) == sorted(
        sum(a == k for a, k in zip(row, key, strict=True)) for row in answers
    )
    assert all(sum(play.counts.values()) == len(answers) for play in marked.plays)
    assert sum(member.right.count for member in marks.members) == sum(
        play.figures.right.count for play in marked.plays
    )
    assert sum(count for count, _ in marks.chapters.values()) == len(answers)
    assert sum(share.count for _, share in marks.chapters.values()) == sum(marked.right)
    assert sum(mark.right.count for mark in marks.rows) == sum(marked.right)


def test_the_order_of_the_answers_changes_no_figure(tmp_path: Path) -> None:
    sheet = find_sheet(MIXED)
    head, *rows = write_class(
        sheet, [know] * 5 + [misread(*PLANTED["a foot on the plate is no matter"])] * 5, 0.2
    ).splitlines()
    one, other = (
        mark_answers(take_in(tmp_path, "\n".join([head, *lines])), training().sheets, books())
        for lines in (rows, rows[::-1])
    )
    assert one.sheets[0].figures == other.sheets[0].figures
    assert one.misread == other.misread
    assert one.members == other.members


def test_a_member_who_answers_twice_is_told_and_the_first_counts(tmp_path: Path) -> None:
    text = (
        "name,number,sheet,answers\nAnn,1,weekly-01,AAAAAA\nANN,1,weekly-01,BBBBBB\nAnn,1,weekly-01,AAAAAA\n"
    )
    intake = take_in(tmp_path, text)
    marks = mark_answers(intake, training().sheets, books())
    error, warning = intake.problems.problems
    assert (error.severity, str(error.where)) == (Severity.ERROR, f"{tmp_path / 'answers.csv'}:3:1")
    assert "answers.csv:2:1" in error.sentence
    assert (warning.severity, warning.where and warning.where.line) == (Severity.WARNING, 4)
    assert (len(marks.members), marks.unmarked) == (1, 1)
    assert "1 not marked, as told" in write_marks(marks)


def test_the_roster_gives_chapters_and_who_is_silent(tmp_path: Path) -> None:
    roster = [
        Member("Ann Exemplar", "1", "North", "high-school", "90-ft", 1, 2),
        Member("Bo Sample", "2", "South", "high-school", "90-ft", 1, 3),
        Member("Cy Model", "3", "South", "high-school", "90-ft", 1, 4),
    ]
    text = """\
name,number,sheet,answers
ann exemplar,,weekly-01,AAAAAA
Bo Sampel,2,weekly-01,BBBBBB
Di,9,weekly-01,AAAAAA
"""
    intake = take_in(tmp_path, text)
    marks = mark_answers(intake, training().sheets, books(), roster)
    assert [(member.name, member.chapter) for member in marks.members] == [
        ("Ann Exemplar", "North"),
        ("Bo Sample", "South"),
        ("Di", ""),
    ]
    assert [member.name for member in marks.silent] == ["Cy Model"]
    assert [problem.sentence for problem in intake.problems.problems] == [
        "Bo Sampel has the number 2, which is Bo Sample's on the roster",
        "the number 9 is not on the roster",
    ]


# --- what to teach next -----------------------------------------------------------------------------------


@pytest.mark.parametrize("planted", PLANTED)
def test_next_week_s_sheet_targets_what_was_misread(tmp_path: Path, planted: str) -> None:
    """Each missed row once, and no other, by plays not asked yet, in one of which the misreading shows again."""
    subject, fact, shown, taken = PLANTED[planted]
    think = misread(subject, fact, shown, taken)
    marks = mark_class(tmp_path, [know] * 8 + [think] * 8)
    missed = {mark.row for mark in marks.rows if mark.right.value < TAUGHT}
    found = choose_next_sheet(training(), marks)
    assert missed
    assert {row[1] for row in missed} == {subject}
    assert sorted(mark.row for _, mark in found.plays) == sorted(missed)
    assert not training().list_used([MIXED]) & {name for name, _ in found.plays}
    (sheet,) = read_layout(tmp_path, "next-week", write_next_sheet(found, marks, "next-week"))
    assert [question.ruled.row for question in sheet.questions] == [m.row for _, m in found.plays]
    assert any(think(question) != question.letter for question in sheet.questions)


def test_next_week_s_sheet_is_a_layout_that_the_proof_takes(tmp_path: Path) -> None:
    marks = mark_class(tmp_path, [lambda _: "A"] * 4)
    found = choose_next_sheet(training(), marks)
    sheets = read_layout(tmp_path, "next-week", write_next_sheet(found, marks, "next-week"))
    assert [question.ruled.case.name for question in sheets[0].questions] == [name for name, _ in found.plays]
    assert any(name.startswith("computed/") for name, _ in found.plays)


def read_layout(folder: Path, name: str, text: str) -> list[PlaySheet]:
    """The sheets of a layout, read with the project's own plays."""
    layouts = folder / "layouts"
    (layouts / "plays").mkdir(parents=True)
    for file in ("stocks.yaml", "styles.yaml"):
        shutil.copy(ROOT / "layouts" / file, layouts / file)
    (layouts / f"plays/{name}.yaml").write_text(text, encoding="utf-8")
    return list(read_training(ROOT / "content", layouts).sheets)


# --- the weeks of a season --------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(20, 6), (10, 12), (40, 3)])
def test_every_row_is_met_as_early_as_can_be(size: tuple[int, int]) -> None:
    weeks, each = size
    plan = plan_syllabus(training(), "weekly", size)
    firsts = [play.row for week in plan.weeks for play in week if play.why == "new"]
    met = {play.row for week in plan.weeks for play in week}
    assert len(plan.weeks) == weeks
    assert len(firsts) == len(set(firsts)) == len(met) == plan.rows
    assert plan.all_met_by == -(-plan.rows // each)
    assert all(len(week) == each for week in plan.weeks)


def test_no_play_comes_twice_in_a_season() -> None:
    plan = plan_syllabus(training(), "weekly", (25, 8))
    names = [play.name for week in plan.weeks for play in week]
    assert len(names) == len(set(names))


def test_what_was_missed_comes_again_after_a_spell(tmp_path: Path) -> None:
    """1, 4 and 8 weeks after, by a play that was not asked, as long as the content has one."""
    sheet = find_sheet("weekly-01")
    intake = take_in(
        tmp_path, write_class(sheet, [lambda question: "A" if question.letter != "A" else "B"] * 6)
    )
    marks = mark_answers(intake, training().sheets, books())
    missed = {mark.row for mark in marks.rows}
    plan = plan_syllabus(training(), "weekly", (20, 12), marks)
    assert [play.name for play in plan.weeks[0]] == [question.ruled.case.name for question in sheet.questions]
    again = [(n, play.row) for n, week in enumerate(plan.weeks, 1) for play in week if play.why == "again"]
    weeks = {row: [n for n, asked in again if asked == row] for row in missed}
    expected = [1 + gap for gap in AGAIN_WEEKS]
    assert all(found == expected[: len(found)] for found in weeks.values())
    assert any(found == expected for found in weeks.values())
    short = {row for row, found in weeks.items() if found != expected}
    assert short == set(plan.unrepeated)


def test_a_season_is_a_layout_that_the_proof_takes(tmp_path: Path) -> None:
    plan = plan_syllabus(training(), "feet", (5, 4))
    sheets = read_layout(tmp_path, "season", write_syllabus_layout(plan, "season"))
    assert [sheet.name for sheet in sheets] == [f"season-{n:02d}" for n in range(1, 6)]
    assert [[q.ruled.case.name for q in sheet.questions] for sheet in sheets] == [
        [play.name for play in week] for week in plan.weeks
    ]
    assert {play.row[1] for week in plan.weeks for play in week} <= {"contact", "stance"}
    assert "rows are met" in write_syllabus(plan)


def test_a_season_longer_than_the_plays_last_is_refused() -> None:
    with pytest.raises(PocketrefError, match="the plays last for"):
        plan_syllabus(training(), "double-base", (60, 30))


def test_the_marks_are_json_with_null_for_what_is_not_defined(tmp_path: Path) -> None:
    marks = mark_class(tmp_path, [know] * 3)
    read = json.loads(write_marks_json(marks))
    assert read["sheets"][0]["kr20"] is None
    assert read["sheets"][0]["plays"][0]["point_biserial"] is None
    assert [member["right"] for member in read["members"]] == [len(marks.sheets[0].plays)] * 3
    assert EDITION not in read


def test_a_class_of_50_on_20_plays_is_reported_on_one_page(tmp_path: Path) -> None:
    minds = [know, misread(*PLANTED["a foot on the plate is no matter"]), rule_as("college"), know, know] * 10
    marks = mark_class(tmp_path, minds, slips=0.15)
    assert len(marks.sheets[0].plays) > 20
    assert len(lay_out_marks(marks, training().layouts, "letter").document.pages) == 1
