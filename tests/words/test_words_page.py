"""The edition's page in other languages: a language made by rule shows what was never looked up."""

from __future__ import annotations

import json
import re
import zlib
from base64 import b64decode
from collections.abc import Iterator
from functools import cache
from html import unescape
from pathlib import Path

from page_scripts import PAGE
from words_in_print import NAMES, find_plain

from pocketref.edition.proof import Proof, prove
from pocketref.pages.words import Paragraph
from pocketref.translations.language_proof import read_language
from pocketref.web.html import write_html
from pocketref.web.html_content import WebPage, WebPart, WebSection, WebWords
from pocketref.web.page_script import list_script_words
from pocketref.web.web import build_web_page
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import UNTRANSLATED, Language, say, speak

ROOT = Path(__file__).parents[2]
PARTS = ("plate-area", "mound")


@cache
def write_page(language: Language) -> str:
    with speak(language):
        proof: Proof = prove(ROOT / "content", ROOT / "layouts", only=PARTS)
        return build_web_page(proof, ()).data.decode()


def read_data(page: str, name: str) -> dict[str, object]:
    """What the page's views compute and say their sentences with."""
    (packed,) = re.findall(rf'<script[^>]*id="data-{name}"[^>]*>([^<]*)<', page)
    return dict(json.loads(zlib.decompress(b64decode(packed), -zlib.MAX_WBITS)))


def read_script(page: str) -> str:
    """The code of the page's views."""
    (script,) = re.findall(r'<script type="module">(.*?)</script>', page, flags=re.S)
    return str(script)


def test_every_literal_that_a_view_says_is_found_by_the_catalogues() -> None:
    """Each call has its text as a literal, so that the search for them finds all."""
    for path in PAGE.iterdir():
        if path.name.endswith(".js"):
            text = re.sub(r"^//.*$|^export function .*$", "", path.read_text(encoding="utf-8"), flags=re.M)
            calls = re.findall(r"(?<![\w.])say(?:Count)?\([^\n]{0,60}", text)
            assert [call for call in calls if not re.match(r'say(\("|Count\([^"]*, ")', call)] == []
    assert len(list_script_words()) > 200


def list_told(page: str) -> Iterator[str]:
    """What a reader of the page is given without its views: texts, and what elements are called."""
    body = re.sub(r"<(script|style)\b.*?</\1>|<section[^>]*id=\"rulings\".*?</section>", "", page, flags=re.S)
    yield from re.findall(r'(?:aria-label|alt|title)="([^"]*)"', body)
    yield from (unescape(text) for text in re.sub(r"<[^>]*>", "\n", body).split("\n"))


def test_every_word_of_the_page_is_looked_up() -> None:
    page = write_page(PSEUDO)
    assert '<html lang="qps">' in page
    assert {word for text in list_told(page) for word in find_plain(text, NAMES)} == set()
    said = re.findall(r'\bsay(?:Count\([^"]*?\[)?\(?("(?:[^"\\]|\\.)*")', read_script(page))
    assert len(said) > len(list_script_words())
    assert {word for each in said for word in find_plain(re.sub(r"\{\w+\}", "", json.loads(each)))} == set()


def test_the_page_in_spanish_lacks_nothing_that_its_views_say() -> None:
    page = write_page(read_language("es", ROOT / "content"))
    assert '<html lang="es-US">' in page
    assert UNTRANSLATED not in json.dumps(read_data(page, "tape"), ensure_ascii=False)
    script = read_script(page)
    assert UNTRANSLATED not in script
    assert '["{count} parte ' in script


def test_what_is_still_in_english_says_that_it_is() -> None:
    """WCAG 2.2, 3.1.2: whoever has the page read aloud hears English as English."""
    language = Language("es-US", {"Play": ("Jugada",)})
    with speak(language):
        words = (
            Paragraph(say("Foul *tip*")),
            Paragraph(f"{say('Play')}: {say('Don’t touch')}; {say('Play')}"),
        )
        part = WebPart("part", say("Play"), (WebWords(words),))
        page = write_html(
            WebPage(say("Calls"), "h", (WebSection("s", say("Play"), (part,)),), language=language.tag)
        )
    assert '<title lang="en-US">Calls‡</title>' in page
    assert '<p lang="en-US">Foul <b>tip</b>‡</p>' in page
    assert '<p>Jugada: <span lang="en-US">Don’t touch‡</span>; Jugada</p>' in page
