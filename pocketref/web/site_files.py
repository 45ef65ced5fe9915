"""What lets a phone install the page from a site and open it without a network: manifest, icons, service worker."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from importlib.resources import files
from io import BytesIO

from PIL import Image, ImageDraw

from pocketref.edition.languages import EditionLanguage
from pocketref.edition.manifest import BuiltFile
from pocketref.source.digest import FIELD
from pocketref.source.edition_models import EditionModel
from pocketref.words.speech import name_language, say

MANIFEST = "site.webmanifest"
WORKER = "service-worker.js"
ICON_PX = (192, 512)
_DARK, _PALE = "#16181a", "#f1f2ee"
_PLATE = ((0.29, 0.32), (0.71, 0.32), (0.71, 0.53), (0.5, 0.74), (0.29, 0.53))
"""Home plate within the middle four fifths of a square, of which any shape of icon leaves the circle (W3C manifest,
"maskable"), as shares of its side, y down."""
_FINER = 4


def build_site_manifest(edition: EditionModel, language: EditionLanguage) -> BuiltFile:
    """The manifest of the page in one language. All of the edition is within, so that links to the others stay."""
    home = language.find_home()
    icons = [
        {
            "src": f"{home}{_name_icon(px)}",
            "sizes": f"{px}x{px}",
            "type": "image/png",
            "purpose": "any maskable",
        }
        for px in ICON_PX
    ]
    manifest = {
        "name": say(
            "{association}, edition {edition}", association=edition.association, edition=edition.mark
        ),
        "short_name": say("Rules {edition}", edition=edition.mark),
        "start_url": "index.html",
        "scope": home or "./",
        "display": "standalone",
        "lang": name_language(),
        "background_color": _PALE,
        "theme_color": _DARK,
        "icons": icons,
    }
    return BuiltFile(MANIFEST, json.dumps(manifest, ensure_ascii=False, indent=1).encode() + b"\n")


def build_site_files(edition: EditionModel, languages: Sequence[EditionLanguage]) -> Iterator[BuiltFile]:
    """The files beside the page of the edition's own language, for all.

    The worker bears the edition's digest, so that another edition takes its place.
    """
    worker = (files("pocketref.web") / "service_worker.js").read_text(encoding="utf-8")
    folders = json.dumps([each.folder for each in languages])
    said = {"@EDITION@": f"{edition.mark} {FIELD}", '["@FOLDERS@"]': folders}
    for place, value in said.items():
        worker = worker.replace(place, value)
    yield BuiltFile(WORKER, worker.encode())
    for px in ICON_PX:
        yield BuiltFile(_name_icon(px), _draw_icon(px))


def _name_icon(px: int) -> str:
    return f"icon-{px}.png"


def _draw_icon(px: int) -> bytes:
    """Home plate, pale on dark, as PNG."""
    side = px * _FINER
    picture = Image.new("L", (side, side), 0)
    ImageDraw.Draw(picture).polygon([(x * side, y * side) for x, y in _PLATE], fill=255)
    icon = Image.composite(
        Image.new("RGB", (px, px), _PALE),
        Image.new("RGB", (px, px), _DARK),
        picture.resize((px, px), Image.Resampling.BOX),
    )
    data = BytesIO()
    icon.save(data, "PNG", optimize=False, compress_level=9)
    return data.getvalue()
