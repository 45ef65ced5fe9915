"""An Atom feed (RFC 4287) of an association's editions, for its site."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote
from xml.etree import ElementTree as ET

from pocketref.source.edition_models import EditionModel
from pocketref.version import VERSION

ATOM = "http://www.w3.org/2005/Atom"
FEED = "feed.xml"
INVENTED = "The association is invented, for demonstration."


def write_feed(editions: Sequence[EditionModel], address: str) -> bytes:
    """The feed, newest edition first; `address` is where the editions' folders are, such as https://example.org.

    An edition counts as updated on the first day it holds for: dates come from the source, never the clock.
    """
    base = address.rstrip("/") + "/"
    newest_first = sorted(editions, key=lambda edition: edition.valid.from_, reverse=True)
    newest = newest_first[0]
    ET.register_namespace("", ATOM)
    feed = ET.Element(f"{{{ATOM}}}feed", {"{http://www.w3.org/XML/1998/namespace}lang": "en-US"})
    _add(feed, "title", f"{newest.association}: editions")
    invented = f" {INVENTED}" if newest.invented else ""
    _add(feed, "subtitle", f"Pocket cards, field sheets and case plays, an edition a season.{invented}")
    _add(feed, "id", base)
    _add(feed, "updated", _write_time(newest))
    _add(feed, "link", rel="self", href=base + FEED, type="application/atom+xml")
    _add(feed, "link", rel="alternate", href=base, type="text/html")
    author = ET.SubElement(feed, f"{{{ATOM}}}author")
    _add(author, "name", newest.association)
    _add(feed, "generator", "pocketref", version=VERSION)
    for edition in newest_first:
        _add_entry(feed, edition, base)
    ET.indent(feed)
    text: bytes = ET.tostring(feed, encoding="utf-8", xml_declaration=True)
    return text + b"\n"


def _add(parent: ET.Element, name: str, text: str = "", **attributes: str) -> None:
    element = ET.SubElement(parent, f"{{{ATOM}}}{name}", attributes)
    element.text = text or None


def _add_entry(feed: ET.Element, edition: EditionModel, base: str) -> None:
    where = f"{base}{quote(edition.edition)}/"
    entry = ET.SubElement(feed, f"{{{ATOM}}}entry")
    _add(entry, "title", f"Edition {edition.edition}, season {edition.season}")
    _add(entry, "id", where)
    _add(entry, "updated", _write_time(edition))
    _add(entry, "link", rel="alternate", href=where + "index.html", type="text/html")
    valid = edition.valid
    _add(entry, "summary", f"Valid from {valid.from_.isoformat()} through {valid.through.isoformat()}.")


def _write_time(edition: EditionModel) -> str:
    """A date construct (RFC 4287, 3.3): the first moment of the first day the edition holds for."""
    return f"{edition.valid.from_.isoformat()}T00:00:00Z"
