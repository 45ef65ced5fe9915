"""An Atom feed (RFC 4287) of an association's editions and bulletins, for its site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from urllib.parse import quote
from xml.etree import ElementTree as ET

from pocketref.layouts.footers import explain_language
from pocketref.source.edition_models import EditionModel
from pocketref.version import VERSION
from pocketref.words.speech import name_language, say

ATOM = "http://www.w3.org/2005/Atom"
FEED = "feed.xml"
NO_NEWS: Mapping[str, str] = MappingProxyType({})
INVENTED = "The association is invented, for demonstration."


def write_feed(editions: Sequence[EditionModel], address: str, news: Mapping[str, str] = NO_NEWS) -> bytes:
    """The feed, newest edition first; `address` is where the editions' folders are, such as https://example.org.

    `news` says what bulletins changed, by the marks of the editions. An edition counts as updated on the first day it
    holds for: dates come from the source, never the clock.
    """
    base = address.rstrip("/") + "/"
    newest_first = sorted(editions, key=lambda edition: edition.starts, reverse=True)
    newest = newest_first[0]
    ET.register_namespace("", ATOM)
    feed = ET.Element(f"{{{ATOM}}}feed", {"{http://www.w3.org/XML/1998/namespace}lang": name_language()})
    _add(feed, "title", say("{association}: editions", association=newest.association))
    told = [say("Pocket cards, field sheets and case plays, an edition a season.")]
    told += [say(INVENTED)] if newest.invented else []
    told += [explain_language(())]
    _add(feed, "subtitle", " ".join(filter(None, told)))
    _add(feed, "id", base)
    _add(feed, "updated", _write_time(newest))
    _add(feed, "link", rel="self", href=base + FEED, type="application/atom+xml")
    _add(feed, "link", rel="alternate", href=base, type="text/html")
    author = ET.SubElement(feed, f"{{{ATOM}}}author")
    _add(author, "name", newest.association)
    _add(feed, "generator", "pocketref", version=VERSION)
    for edition in newest_first:
        _add_entry(feed, edition, base, news.get(edition.mark, ""))
    ET.indent(feed)
    text: bytes = ET.tostring(feed, encoding="utf-8", xml_declaration=True)
    return text + b"\n"


def _add(parent: ET.Element, name: str, text: str = "", **attributes: str) -> None:
    element = ET.SubElement(parent, f"{{{ATOM}}}{name}", attributes)
    element.text = text or None


def _add_entry(feed: ET.Element, edition: EditionModel, base: str, news: str) -> None:
    where = f"{base}{quote(edition.mark)}/"
    entry = ET.SubElement(feed, f"{{{ATOM}}}entry")
    first, last = edition.starts.isoformat(), edition.valid.through.isoformat()
    holds = say("Valid from {first} through {last}.", first=first, last=last)
    title = say("Edition {edition}, season {season}", edition=edition.mark, season=edition.season)
    place, summary = "", holds
    if edition.bulletins:
        newest = edition.bulletins[-1]
        title = say(
            "Bulletin {number} to edition {edition}: edition {mark} is in force",
            number=newest.number,
            edition=edition.edition,
            mark=edition.mark,
        )
        place, summary = "#bulletin", " ".join(filter(None, (newest.reason, news, holds)))
    _add(entry, "title", title)
    _add(entry, "id", where)
    _add(entry, "updated", _write_time(edition))
    _add(entry, "link", rel="alternate", href=f"{where}index.html{place}", type="text/html")
    if edition.bulletins:
        _add(entry, "link", rel="enclosure", href=f"{where}sheets/bulletin.pdf", type="application/pdf")
    _add(entry, "summary", summary)


def _write_time(edition: EditionModel) -> str:
    """A date construct (RFC 4287, 3.3): the first moment of the first day the edition holds for."""
    return f"{edition.starts.isoformat()}T00:00:00Z"
