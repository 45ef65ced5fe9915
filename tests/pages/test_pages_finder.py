"""The finder: every card is in it, and what an umpire asks is answered by it and the face that it names."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from demo_cards import lay_out, read_demo, words_on
from source_folders import SourceFolders

from pocketref.blocks.chart import ChartBlockModel
from pocketref.blocks.finder import Entry, FinderList
from pocketref.blocks.kinds import walk_blocks
from pocketref.edition.proof import prove
from pocketref.layouts.places import list_sets
from pocketref.pages.face_cut import list_blocks
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError

FINDER = "finder"
STOP_WORDS = re.compile(r"an?|and|at|be|do|for|he|her|his|how|i|if|in|is|it|of|on|or|our|the|to|was|we|what")

# An umpire's question, and words that the face must hold to answer it: what the tables and cautions say.
QUESTIONS = [
    ("His stance is over the line and nobody has pitched yet. Ball, strike?", "Tell the batter to get in"),
    ("The stance was wrong, but the pitcher has started.", "Play on, watch the feet"),
    ("Told of a stance outside the box, still no.", "Strike: stays out"),
    ("Is a stance with a foot on the line of the box all right?", "Legal stance"),
    ("Batting with a foot out of the box, on the ground?", "Out: batted out of the box"),
    ("Foot on the plate while batting, box or not?", "Foot on plate at contact?"),
    ("A knee was out of the box when batting.", "Knee on plate or outside?"),
    ("Batting half out of the box, swing and miss.", "No contact: play on"),
    ("Batting, a foot in the air out of the box?", "Legal: play the ball"),
    ("The bat met the ball again, on purpose, near the line.", "Out: interference"),
    ("The bat hit the ball again, by accident, still in the box.", "Foul ball"),
    ("The ball rolled into the bat again on fair ground.", "Live, as if not touched"),
    ("Do runners move when bat and ball meet again by accident?", "as the ball is ruled"),
    ("Leaving the box with no excuse, everybody waits.", "Strike"),
    ("A hitter refusing to enter the box.", "Told to enter, and won’t?"),
    ("Leaving the box late, as the pitch came.", "late, or hand up"),
    ("Leaving one box for the other, the pitcher ready.", "Out for changing boxes"),
    ("Is the ball dead for refusing the box?", "live"),
    ("A whole bat was thrown on purpose at a fielder's play.", "Thrown on purpose?"),
    ("A broken bat: a piece hits the ball.", "What came off the batter?"),
    ("The batter hinders the catcher's throw, the runner is out all the same.", "Runner out: play on"),
    ("The batter hinders our catcher on strike three, two outs likely.", "Both out: interference"),
    ("The swing comes round and hits the catcher, nobody going.", "Strike, nobody moves"),
    ("The catcher hinders the swing: the batter puts the ball in play.", "Award, or the play"),
    ("The third strike bounces, uncaught, and first is empty.", "Live: batter may run"),
    ("The batter goes to the dugout after an uncaught strike.", "Out: gave up first base"),
    ("An easy fly to the infield, first and second held.", "Infield fly: batter out"),
    ("A fly is dropped on purpose, first held.", "Out: dropped on purpose"),
    ("A runner off the base is hit by the fly.", "Runner out: hit by ball"),
    ("Runner and fielder collide at the double first base.", "Out: interference"),
    ("The double base in other plays: a ball over the coloured half.", "Foul ball"),
    ("I saw lightning: how long do we wait?", "30 minutes"),
    ("Lightning: is the dugout safe?", "dugouts"),
    ("Heat stroke, or just hot? What first?", "Cool first"),
    ("Heat: how hot is too hot today?", "Heat index"),
    ("A pitch to the head, the impact left him dazed.", "No return that day"),
    ("Whose protective gear do I check?", "skull caps"),
    ("Which marking material burns eyes?", "hydrated lime"),
    ("A batter's box and its size: how long?", "6 ft"),
    ("Positions with a runner on first?", "First only"),
    ("How far is it to second on the field?", "127 ft"),
    ("The pitch hits a batter who let it.", "Dead ball, ball"),
    ("The batter, out of the box, is hit by his own ball.", "Out: touched by own ball"),
    ("Where do college codes differ from ours?", "COL"),
    ("Which pulls for a field check before the game?", "tape it once more"),
]


def list_stems(words: str) -> list[str]:
    found = re.findall(r"[a-z]+", words.lower().replace("’s", "").replace("'s", ""))
    return [word[:5] for word in found if not STOP_WORDS.fullmatch(word)]


def read_finder() -> FinderList:
    """The finder, its parts put together where it goes on on further faces."""
    blocks = [block for face in lay_out(FINDER).faces for block in list_blocks(face.body)]
    parts = [block for block in blocks if isinstance(block, FinderList)]
    return replace(parts[0], entries=tuple(dict.fromkeys(entry for part in parts for entry in part.entries)))


def find_entry(question: str) -> Entry:
    """Of the finder's entries that with most of a question's words."""
    asked = list_stems(question)

    def score(words: str) -> tuple[int, float, int]:
        stems = list_stems(words)
        found = [stem for stem in stems if stem in asked]
        in_order = sum(asked.index(one) < asked.index(other) for one, other in pairwise(found))
        return len(set(found)), len(set(found)) / len(set(stems)), in_order

    entries = [entry for entry in read_finder().entries if entry.number]
    best = max(entries, key=lambda entry: score(entry.words))
    assert score(best.words)[0] > 0
    assert [score(entry.words) for entry in entries].count(score(best.words)) == 1, "more than one will do"
    return best


def look_up(question: str) -> list[str]:
    """The words on the faces that the finder names for a question."""
    best = find_entry(question)
    numbers = best.number.split(", ")
    cards = [card.card for card in read_demo()[1].cards if card.number in numbers]
    pages = [page for card in cards for page in lay_out(card).document.pages]
    found: list[str] = []
    for page in pages:
        face = page.name.replace("-", " ")
        is_named = best.face in ("", face)
        is_sent = any(re.search(rf"go to \d+ {face}\b", words) for words in found)
        if (
            is_named or is_sent or (found and "next face" in found[-1])
        ):  # a chart that is cut sends its reader on
            found.append(words_on(page))
    return found


@pytest.mark.parametrize(("question", "answer"), QUESTIONS)
def test_a_question_is_answered_by_the_finder_and_a_face_that_it_names(question: str, answer: str) -> None:
    assert any(answer in re.sub(r"\s+", " ", words) for words in look_up(question)), look_up(question)


def test_there_are_thirty_questions_and_one_for_each_call_at_least() -> None:
    assert len(QUESTIONS) >= 30
    library = read_demo()[0]
    calls = {entry.words for entry in read_finder().entries} & {s.title for s in library.subjects.values()}
    assert {find_entry(question).words for question, _ in QUESTIONS} >= calls


def test_the_finder_is_one_card_and_what_happened_is_on_its_front_by_moment() -> None:
    front, back = lay_out(FINDER).faces
    assert (front.name, back.name) == ("front", "back")
    groups: dict[str, list[str]] = {}
    for block in list_blocks(front.body):
        for entry in block.entries if isinstance(block, FinderList) else ():
            if not entry.number:
                groups[entry.words] = []
            else:
                groups[list(groups)[-1]].append(entry.words)
    assert groups["Before the pitch"] == ["Stance in the box", "Leaving or refusing the box"]
    assert list(groups)[-1] == "Somebody can get hurt"
    assert "A call to make" not in groups, "every call has its moment"


def test_a_call_of_no_moment_comes_last_and_a_subject_that_is_none_is_told(folders: SourceFolders) -> None:
    text = (
        "card: finder\nnumber: '2'\ntitle: What happened?\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
        "front:\n  - {block: finder, moments: [{moment: Early, calls: [stance]}]}\n"
        "back:\n  - {block: symbols}\n"
    )
    folders.write("layouts/cards/finder.yaml", text)
    card = next(card for card in prove(folders.content, folders.layouts).cards if card.name == "finder")
    assert "Early 1 back" in words_on(card.document.pages[0])
    folders.replace("layouts/cards/finder.yaml", "[stance]", "[stanse]")
    with pytest.raises(PocketrefError, match="there is no subject 'stanse'"):
        prove(folders.content, folders.layouts)


def test_a_set_that_no_card_is_of_is_told_with_its_line_and_the_closest_name(folders: SourceFolders) -> None:
    text = (
        "card: finder\nnumber: '0'\ntitle: What happened?\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
        "front:\n  - {block: finder, sets: [more, furthr]}\nback:\n  - {block: codes}\n"
    )
    folders.write("layouts/cards/finder.yaml", text)
    for name in ("more", "further"):
        card = (folders.layouts / "cards/batters-box.yaml").read_text(encoding="utf-8")
        folders.add(f"layouts/cards/{name}.yaml", f"set: {name}\n{card.replace('batters-box', name, 1)}")
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    (problem,) = caught.value.problems
    assert problem.sentence == "there is no set 'furthr'"
    assert "further" in problem.hint
    assert str(problem.where) == "layouts/cards/finder.yaml:8:34"


def test_the_members_set_has_a_chart_of_every_subject_of_its_code() -> None:
    library, layouts = read_demo()
    finder = next(card for card in layouts.cards if card.card == FINDER)
    cards = [card for card in layouts.cards if card.set_ in ("", *list_sets(finder))]
    assert {card.set_ for card in cards} == {"", "supplement"}
    charted = {
        block.subject
        for card in cards
        for block in walk_blocks((*card.front, *card.back))
        if isinstance(block, ChartBlockModel)
    }
    assert {subject for code, subject in library.rulings if code == "high-school"} - charted == set()


def test_every_card_of_the_code_is_in_the_finder_and_of_the_lanyard_none() -> None:
    numbers = {number for entry in read_finder().entries for number in entry.number.split(", ") if number}
    cards = read_demo()[1].cards
    assert numbers == {
        card.number for card in cards if card.card != FINDER and card.set_ in ("", "supplement")
    }


def test_every_chart_is_found_by_its_subjects_title_on_the_face_that_has_it() -> None:
    library = read_demo()[0]
    found = {entry.words: entry for entry in read_finder().entries}
    for card in (card.card for card in read_demo()[1].cards if not card.set_):
        starts: dict[str, str] = {}
        for face in lay_out(card).faces:
            for block in list_blocks(face.body):
                starts.setdefault(block.label, face.name.replace("-", " "))
        for label, face_name in starts.items():
            if label.startswith("chart "):
                entry = found[library.subjects[label.removeprefix("chart ")].title]
                assert entry.face == face_name


def test_the_back_explains_every_mark_and_code_that_cards_print() -> None:
    back = " ".join(words_on(page) for page in lay_out(FINDER).document.pages[1:])
    for words in (
        "ball dead",
        "ball live",
        "batter out",
        "runners go back",
    ):
        assert words in back
    assert re.search(r"HS +High school\.", back)
    assert "Whom to ask" in back


def test_a_finder_with_room_says_what_is_asked_first_and_goes_on_where_it_has_none() -> None:
    finder, sizes = read_finder(), sizes_for(9.9, 7.56)
    whole = finder.measure_mm(119, sizes)
    first, rest = finder.split(0.6 * whole, 119, sizes)
    assert first is not None
    assert rest is not None
    kept = [entry for part in (first, rest) for entry in part.entries if entry.number]
    assert kept == [entry for entry in finder.entries if entry.number]
    assert not rest.entries[0].number, "it goes on under a heading"
    asks = {
        entry.words: entry.asks
        for face in lay_out(FINDER, "index-4x6").faces
        for block in face.body
        if isinstance(block, FinderList)
        for entry in block.entries
    }
    assert asks["Batting out of the box"] == "Did the bat touch the ball?"


def test_a_new_title_is_in_the_finder_at_once(folders: SourceFolders) -> None:
    text = (
        "card: finder\nnumber: '2'\ntitle: What happened?\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
        "front:\n  - {block: finder}\nback:\n  - {block: symbols}\n  - {block: codes}\n"
    )
    folders.write("layouts/cards/finder.yaml", text)
    folders.replace(
        "content/rulings/subjects/stance.yaml", "title: Stance in the box", "title: Feet before the pitch"
    )
    card = next(card for card in prove(folders.content, folders.layouts).cards if card.name == "finder")
    assert re.search("1 back Feet before the +pitch Foot past", words_on(card.document.pages[0]))


def test_a_finder_without_anything_to_list_is_told_at_its_place(folders: SourceFolders) -> None:
    folders.replace(
        "layouts/cards/batters-box.yaml", "  - {block: calls, subject: stance}", "  - {block: finder}"
    )
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    (problem,) = caught.value.problems
    assert (problem.code, str(problem.where)) == ("finder-empty", "layouts/cards/batters-box.yaml:19:5")
