"""One layout yields a card, a sheet or a class for each level it is for, none of which passes for another."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain, permutations
from pathlib import Path

import pytest
from level_samples import LEVELS, make_levels
from picture_samples import badge_png
from source_folders import SourceFolders

from pocketref.edition.press import PressRun, build_press
from pocketref.edition.proof import Proof, prove
from pocketref.layouts.layout_library import read_layouts
from pocketref.layouts.layout_models import CardModel
from pocketref.members.members import MemberRun
from pocketref.members.roster import Member
from pocketref.output.contents import items_of, texts_in
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.page import Page
from pocketref.problems import PocketrefError, Problem
from pocketref.units.notation import write_tape
from pocketref.web.web import build_web_page

CARD = "layouts/cards/batters-box.yaml"


@pytest.fixture
def folders(tmp_path: Path) -> SourceFolders:
    return make_levels(tmp_path / "source")


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Proof:
    folders = make_levels(tmp_path_factory.mktemp("levels") / "source")
    return prove(folders.content, folders.layouts)


def words_on(page: Page) -> list[str]:
    return [text.content for text in texts_in(items_of(page.elements))]


def find_problems(folders: SourceFolders) -> list[Problem]:
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    return list(caught.value.problems)


# --- names, numbers, faces -------------------------------------------------------------------------------


def test_each_level_has_its_cards_one_level_after_the_other_and_no_name_or_number_twice(three: Proof) -> None:
    boxes = [f"batters-box-{level}" for level in LEVELS]
    names = [card.name for card in three.cards]
    assert [name for name in names if name in boxes] == boxes
    assert len(set(names)) == len(names) == 9
    numbers = [card.number for card in three.layouts.cards]
    assert numbers == ["0a", "1a", "S2a", "0b", "1b", "S2b", "0c", "1c", "S1c"]
    assert [sheet.name for sheet in three.sheets] == [f"plate-area-{level}" for level in LEVELS]
    assert len({card.document.title for card in three.cards if card.name in boxes}) == 3


def test_a_face_says_its_level_and_draws_that_level_s_field(three: Proof) -> None:
    for card, model in zip(three.cards, three.layouts.cards, strict=True):
        words = words_on(card.document.pages[0])
        mark = three.library.codes[model.code].mark
        assert any(text.startswith(f"{mark} {model.level} 2027") for text in words)
        if model.card.startswith("batters-box"):
            field = three.library.fields[model.key]
            for name in ("box-length", "box-width"):
                assert write_tape(field.dimensions[name].value) in words


def test_with_one_level_in_force_a_layout_for_all_keeps_its_name_and_number(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", ", high-school-60-ft, youth-60-ft", "")
    folders.replace("content/edition.yaml", "codes: [high-school, youth]", "codes: [high-school]")
    (folders.layouts / "cards/further.yaml").unlink()
    proof = prove(folders.content, folders.layouts)
    assert [(card.card, card.number) for card in proof.layouts.cards] == [
        ("finder", "0"),
        ("batters-box", "1"),
        ("more", "S2"),
    ]
    assert "HS 2027" in words_on(proof.cards[1].document.pages[0])


def test_a_title_may_hold_the_level_and_the_code(folders: SourceFolders, three: Proof) -> None:
    folders.replace(CARD, "Batter's box and stance", "'{code}: {level}'")
    layouts = read_layouts(folders.layouts, three.library)
    assert layouts.cards[7].title == "Youth: 60-ft diamond"
    folders.replace(CARD, "{level}", "{levl}")
    (problem,) = find_problems(folders)
    assert problem.code == "slot-unknown"
    assert "did you mean 'level'?" in problem.hint


def test_a_block_may_be_for_some_of_the_levels(folders: SourceFolders, three: Proof) -> None:
    folders.replace(CARD, "{block: calls, subject: stance}", "{block: calls, subject: stance, for: [youth]}")
    folders.replace(CARD, "as: list}", "as: list, for: [high-school-60-ft, youth]}")
    cards = {card.card: card for card in read_layouts(folders.layouts, three.library).cards}
    kept = [[block.block for block in cards[f"batters-box-{level}"].back] for level in LEVELS]
    assert kept == [["chart"], ["chart"], ["chart", "calls"]]
    folders.replace(CARD, "for: [youth]}", "for: [college]}")
    assert [p.code for p in find_problems(folders)] == ["level-unknown"]


# --- finder and members ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("level", "further"), [(LEVELS[0], "S2a"), (LEVELS[1], "S2b"), (LEVELS[2], "S1c")])
def test_a_finder_and_a_member_s_set_have_the_cards_of_their_level(
    level: str, further: str, three: Proof
) -> None:
    (finder,) = [card for card in three.cards if card.name == f"finder-{level}"]
    numbers = {card.number for card in three.layouts.cards}
    listed = numbers & {each for words in words_on(finder.document.pages[0]) for each in words.split(", ")}
    letter = further[-1]
    assert listed == {f"0{letter}", f"1{letter}", further}
    field = three.library.fields[level]
    member = Member("Ann Exemplar", "1", "North", field.code, field.level, 1, 2)
    files = {file.name: file.data for file in MemberRun(three, [member], "roster.csv", PressRun()).build()}
    said = {t.content for t in read_pdf(files["members/north/cards-index-3x5.pdf"]).pages[0].texts}
    assert numbers & said == listed


def test_each_level_is_ordered_from_its_own_press_files(three: Proof) -> None:
    made = {
        file.name: read_pdf(file.data).pages
        for file in build_press(three.cards, three.library, three.layouts, PressRun())
    }
    stems = [f"{level}{each}" for level in LEVELS for each in ("", "-further")]
    kinds = (f"press/cards-{stem}-letter.pdf press/cards-with-marks-{stem}.pdf".split() for stem in stems)
    assert [*made] == [*chain.from_iterable(kinds), "press/print-check-letter.pdf"]
    marks = {
        level: f"{three.library.codes[field.code].mark} {field.level} 2027"
        for level, field in three.library.fields.items()
    }
    for level in LEVELS:
        said = " ".join(run.content for page in made[f"press/cards-{level}-letter.pdf"] for run in page.texts)
        assert [each for each in LEVELS if marks[each] in said] == [level]


def test_the_web_page_tells_levels_apart(three: Proof) -> None:
    page = build_web_page(three, [], []).data.decode()
    for words in ("High school 90-ft 2027", "High school 60-ft 2027", "Youth 60-ft 2027"):
        assert words in page


def write_list(names: Iterable[str]) -> str:
    return f"[{', '.join(names)}]"


# --- what is wrong ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("new", "code", "words", "hint"),
    [
        ("[youth-60-tf]", "level-unknown", "there is no level 'youth-60-tf'", "did you mean 'youth-60-ft'?"),
        ("all-in-farce", "level-unknown", "no level 'all-in-farce'", "did you mean 'all-in-force'?"),
        ("all in force", "value-name", "is not a name", "all-in-force"),
        ("[youth, youth]", "name-repeated", "'youth' stands twice", "keep one"),
        ("[youth]\ncode: youth", "level-twice", "'for' says its levels", "for: all-in-force"),
    ],
)
def test_a_wrong_for_is_told_once_with_its_line_and_remedy(
    new: str, code: str, words: str, hint: str, folders: SourceFolders
) -> None:
    folders.replace(CARD, "for: all-in-force", f"for: {new}")
    (problem,) = [p for p in find_problems(folders) if p.code != "set-unknown"]
    assert problem.code == code
    assert words in problem.sentence
    assert hint in problem.hint
    assert problem.where is not None
    assert problem.where.file == CARD.replace("source/", "")


def test_a_level_that_is_not_in_force_is_told_with_those_that_are(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", ", youth-60-ft", "")
    found = {(p.code, p.sentence) for p in find_problems(folders)}
    assert ("level-not-in-force", "no level of 'youth' is in force") in found


def test_what_is_wrong_with_some_levels_names_them_and_what_is_wrong_with_all_is_told_once(
    folders: SourceFolders,
) -> None:
    (folders.content / "rulings/youth/stance.yaml").unlink()
    folders.replace("content/edition.yaml", "codes: [high-school, youth]", "codes: [high-school]")
    folders.replace(CARD, "mechanics/stance/lines", "mechanics/stance/linse")
    found = [p for p in find_problems(folders) if p.where and p.where.file == CARD]
    said = [p.sentence for p in found if p.code != "code-not-in-force"]
    assert said.count("there is no text 'mechanics/stance/linse'") == 1
    assert "there is no subject 'stance', for youth-60-ft" in said
    assert not any("high-school" in sentence for sentence in said)


def test_a_block_too_large_for_several_levels_is_told_once_with_their_names(folders: SourceFolders) -> None:
    large = '{block: photo, file: pictures/a.png, width: 300 mm, alt: "A bell"'
    (folders.content / "pictures").mkdir()
    folders.write("content/pictures/a.png", badge_png())
    folders.replace(CARD, "  - {block: calls, subject: stance}", f"  - {large}, for: [high-school]}}")
    (problem,) = [p for p in find_problems(folders) if "a.png is" in p.sentence and "too wide" in p.sentence]
    assert problem.sentence.startswith("card batters-box, back: photo pictures/a.png is")
    assert problem.sentence.endswith(", for high-school-90-ft, high-school-60-ft")


def test_whichever_levels_are_listed_those_are_made_each_as_if_for_all(
    folders: SourceFolders, three: Proof
) -> None:
    def list_boxes(layouts: tuple[CardModel, ...]) -> dict[str, CardModel]:
        return {each.name: each for each in layouts if each.name.startswith("batters-box")}

    whole, before = list_boxes(three.layouts.cards), "all-in-force"
    for chosen in (each for count in (1, 2, 3) for each in permutations(LEVELS, count)):
        folders.replace(CARD, f"for: {before}", f"for: {(before := write_list(chosen))}")
        made = list_boxes(read_layouts(folders.layouts, three.library).cards)
        assert list(made) == [f"batters-box-{level}" for level in LEVELS if level in chosen]
        for name, card in made.items():
            assert card.model_dump(exclude={"for_"}) == whole[name].model_dump(exclude={"for_"})
