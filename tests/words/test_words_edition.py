"""A whole edition in another language, every file of it read back: nothing that was never looked up, nothing too long.

The language made by rule is a third longer than English, and shows what no catalogue was asked for; Spanish is what a
crew, an umpire and an instructor read.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator, Mapping
from html import unescape
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from correction_samples import correct
from words_in_print import NAMES, find_plain

from pocketref.edition.press import make_run
from pocketref.edition.proof import Proof, prove
from pocketref.edition.review import build_review
from pocketref.members.members import MemberRun
from pocketref.members.roster import read_roster
from pocketref.output.reading.readback import read_pdf
from pocketref.publish.build import build_edition
from pocketref.source.library import read_library
from pocketref.translations.language_proof import read_language
from pocketref.web.mail import build_mail
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import UNTRANSLATED, speak

ROOT = Path(__file__).parents[2]
CONTENT, LAYOUTS = ROOT / "content", ROOT / "layouts"
LARGER = ("cautions-weather", "field")
"""Cards of which a part that stays whole has no room on its own stock when a third longer: what counts the seconds from
the flash, the table of the heat index, and the field with its distances are read at one look, and not cut."""
ROSTER = "name,number,chapter,code,level,quantity\nBo,1,Qx,high-school,90-ft,1\n"
SHEET = "weekly-01"
KEPT = {
    *NAMES,
    *("item", "Letter", "Tabloid"),  # a section as its book names it; papers by their trade names
    *("high", "school", "pocketref"),  # a roster's own words; who made the feed
    *("compared", "yaml"),  # a file
}
"""What is called the same in every language, beside files and books."""


@pytest.fixture(scope="module")
def longer(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, bytes]:
    """The demo's edition with a chapter's cards, its review sheet and a mailed sheet, a third longer."""
    folder = tmp_path_factory.mktemp("longer")
    shutil.copytree(LAYOUTS, folder / "layouts")
    for card in LARGER:
        path = folder / f"layouts/cards/{card}.yaml"
        path.write_text(path.read_text("utf-8") + "stock: quarter-letter\n", "utf-8")
    (folder / "roster.csv").write_text(ROSTER, "utf-8")
    with speak(PSEUDO):
        proof = prove(CONTENT, folder / "layouts")  # what has no room raises, and what overlaps
        run = MemberRun(proof, read_roster(folder / "roster.csv"), "roster.csv", make_run(proof.layouts))
        files = [*build_edition(proof), *run.build(), *build_mail(SHEET, proof.plays, proof.layouts)]
        return {file.name: file.data for file in files} | build_review(proof, "letter")


def test_every_word_of_an_edition_is_looked_up(longer: Mapping[str, bytes]) -> None:
    works = read_library(CONTENT).works.values()
    kept = [*(Path(name).stem for name in longer), *(f"{work.title} {work.edition}" for work in works)]
    names = KEPT | {word for name in kept for word in re.findall("[A-Za-z]+", name)}
    found = {
        (name, plain)
        for name, data in longer.items()
        for text in list_told(name, data)
        for plain in find_plain(text, names)
    }
    assert found == set()


def test_every_kind_of_file_is_read(longer: Mapping[str, bytes]) -> None:
    """Lest a reader that finds nothing pass for a language that says everything."""
    for name in ("cards/contact.pdf", "classes/box-notes.pdf", "press/print-check-letter.pdf", "review.pdf"):
        assert len(list(list_told(name, longer[name]))) > 20
    for name in ("index.html", "feed.xml", "drawings/rulings-front.svg", f"{SHEET}-play-1.html"):
        assert len([text for text in list_told(name, longer[name]) if text.strip()]) > 5


def list_told(name: str, data: bytes) -> Iterator[str]:
    """What a reader is given of a file: words, what figures and fields are called, titles, bookmarks."""
    kind = Path(name).suffix
    if kind == ".pdf":
        printed = read_pdf(data)
        yield from (text.content for page in printed.pages for text in page.texts)
        yield from _list_unprinted(data)
    elif kind in (".html", ".xml", ".svg"):
        body = re.sub(r"<(script|style|desc)\b.*?</\1>", "", data.decode(), flags=re.S)
        yield from (unescape(text) for text in re.findall(r'(?:aria-label|alt|title)="([^"]*)"', body))
        yield from (unescape(text) for text in re.sub("<[^>]*>", "\n", body).split("\n"))


def _list_unprinted(data: bytes) -> Iterator[str]:
    with pikepdf.open(BytesIO(data)) as file:
        for each in file.objects:
            if isinstance(each, pikepdf.Dictionary):
                yield from (
                    str(each[key]) for key in ("/Alt", "/TU", "/ActualText", "/Title") if _is_text(each, key)
                )


def _is_text(holder: pikepdf.Dictionary, key: str) -> bool:
    return key in holder and isinstance(holder[key], pikepdf.String)


@pytest.fixture(scope="module")
def spanish(tmp_path_factory: pytest.TempPathFactory) -> tuple[Proof, Mapping[str, bytes], set[str]]:
    """The demo in Spanish as for a chapter and for who compares it with the books, and which texts Spanish lacked."""
    language = read_language("es", CONTENT)
    roster = tmp_path_factory.mktemp("spanish") / "roster.csv"
    roster.write_text(ROSTER, "utf-8")
    with speak(language):
        proof = prove(CONTENT, LAYOUTS)
        run = MemberRun(proof, read_roster(roster), roster.name, make_run(proof.layouts))
        built = [*build_edition(proof), *run.build(), *build_mail(SHEET, proof.plays, proof.layouts)]
        files = {file.name: file.data for file in built} | build_review(proof, "letter")
    return proof, files, language.missed


def test_an_edition_in_spanish_lacks_nothing(
    spanish: tuple[Proof, Mapping[str, bytes], set[str]],
) -> None:
    _, files, missed = spanish
    assert missed == set()
    marked = {text for name, data in files.items() for text in list_told(name, data) if UNTRANSLATED in text}
    assert marked == {f"{UNTRANSLATED} En inglés: aún sin traducir."}  # the page says what the mark means


@pytest.mark.parametrize(
    "name",
    [
        *("cards/contact.pdf", "sheets/plate-area.pdf", "sheets/what-changed.pdf", "plays/weekly-01.pdf"),
        *(
            "plays/weekly-01-answers.pdf",
            "plays/weekly-01-key.pdf",
            "classes/box.pdf",
            "classes/box-notes.pdf",
        ),
        *("press/print-check-letter.pdf", "members/qx/packing-list.pdf", "review.pdf"),
        *("weekly-01-play-1.html", "plays/weekly-01.html", "plays/weekly-01-key.html", "feed.xml"),
    ],
)
def test_what_is_from_memory_says_so_once(
    spanish: tuple[Proof, Mapping[str, bytes], set[str]], name: str
) -> None:
    """Once a document; on a sheet of two pages at the foot of both."""
    _, files, _ = spanish
    said = " ".join(list_told(name, files[name]))
    assert said.count("Traducción de memoria") == (2 if name == "sheets/plate-area.pdf" else 1)


def test_a_bulletin_and_its_stickers_are_looked_up(tmp_path: Path) -> None:
    edit = ("layouts/cards/sight.yaml", "title: Look", "title: Sight")
    names = KEPT | {"Test", "org", "batters", "box", "sight", "plate", "area"}
    with speak(PSEUDO):
        corrected = correct(tmp_path, edit)
        files = {file.name: file.data for file in build_edition(corrected.proof)}
    told = [
        (name, plain)
        for name in ("sheets/bulletin.pdf", "index.html", "feed.xml")
        for text in list_told(name, files[name])
        for plain in find_plain(text, names)
    ]
    assert told == []
