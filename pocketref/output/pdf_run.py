"""Long runs of pages that share everything but a few words: scenes once as forms, a short stream a page.

A template with every scene and every character is written as any document is; its fonts say which code shows
which character (ISO 32000-1, 9.10.3). Pages are then put into the finished file one by one, which is many
times as fast as drawing them. The pages are for a print shop and carry no tags.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby

import pikepdf

from pocketref.output.numbers import number, numbers
from pocketref.output.pdf import write_pdf
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Placed, Scene
from pocketref.scene.typefaces import set_text, typeface
from pocketref.units.length import PT_PER_MM

_ENTRY = re.compile(rb"<([0-9A-F]{2})> <([0-9A-F]{4,8})>")
_ESCAPED = {0x28: rb"\(", 0x29: rb"\)", 0x5C: rb"\\", 0x0A: rb"\n", 0x0D: rb"\r"}
_TURNS = ("1 0 0 1", "0 1 -1 0", "-1 0 0 -1", "0 -1 1 0")
_FORM = re.compile(r"/Scene(\d+)")


Pieces = tuple[tuple[bytes, bytes], ...]
"""Encoded text: for each piece the font's resource name, and its codes as a literal string holds them."""


class _Strings(dict[int, str]):
    """The codes of one face by character, for `str.translate`; a character it has no code for is a KeyError."""

    def __missing__(self, character: int) -> str:
        raise KeyError(chr(character))


class _FaceCodes:
    """The codes of one face, whose characters may be shared among several subsets."""

    def __init__(self, codes: Mapping[str, tuple[bytes, bytes]]) -> None:
        self._fonts = {character: font for character, (font, _) in codes.items()}
        self._strings = _Strings({ord(ch): code.decode("latin-1") for ch, (_, code) in codes.items()})
        fonts = set(self._fonts.values())
        self._only = fonts.pop() if len(fonts) == 1 else None

    def encode(self, content: str) -> Pieces:
        if self._only is not None:
            return ((self._only, content.translate(self._strings).encode("latin-1")),)
        return tuple(
            (font, "".join(group).translate(self._strings).encode("latin-1"))
            for font, group in groupby(content, lambda character: self._fonts[character])
        )


@dataclass(frozen=True, slots=True)
class RunTemplate:
    """A finished file with the run's forms and fonts, and what its content streams call them."""

    data: bytes
    width_mm: float
    height_mm: float
    forms: Mapping[str, str]
    """Resource name of each scene by its key."""
    codes: Mapping[FontFace, _FaceCodes]

    def encode(self, content: str, face: FontFace) -> Pieces:
        """The text as pieces of one font each. KeyError for a character that was not asked for."""
        return self.codes[face].encode(content)


def prepare_run(
    scenes: Sequence[Scene], characters: Mapping[FontFace, Iterable[str]], about: Document, box: Box
) -> RunTemplate:
    """The template of a run on pages of the size of `box`, that may set `characters` in each face.

    `about` says what the file says of itself; its pages are not taken. PocketrefError ("glyph-missing") for
    characters that a face cannot set.
    """
    items: list[Item] = [Placed(scene, 0.0, 0.0) for scene in scenes]
    for face, known in characters.items():
        items += [set_text(0, 0, character, face, 8.0, BLACK) for character in sorted(set(known))]
    page = Page("run", box.width_mm, box.height_mm, (Element(Role.DECORATION, tuple(items)),), box)
    document = Document(about.title, about.subject, about.author, (page,), about.language, about.duplex)
    data = write_pdf(document)
    with pikepdf.open(BytesIO(data)) as pdf:
        resources = pdf.pages[0].obj.Resources
        names = sorted(resources.XObject.keys(), key=_form_number) if scenes else []
        forms = {scene.key: name for scene, name in zip(scenes, names, strict=True)}
        codes = {face: _FaceCodes(_read_codes(resources.Font, face)) for face in characters}
    return RunTemplate(data, box.width_mm, box.height_mm, forms, codes)


def _form_number(name: str) -> int:
    """Forms are numbered in the order in which they are first placed."""
    match = _FORM.fullmatch(name)
    if match is None:
        raise ValueError(f"{name} is not a scene's form")
    return int(match[1])


def _read_codes(fonts: pikepdf.Object, face: FontFace) -> dict[str, tuple[bytes, bytes]]:
    """The code of each character in the subsets of one face, by their own ToUnicode maps."""
    codes: dict[str, tuple[bytes, bytes]] = {}
    wanted = typeface(face).postscript_name
    for name, font in fonts.items():
        if str(font.BaseFont).rpartition("+")[2].removeprefix("/") != wanted:
            continue
        for code, character in _ENTRY.findall(font.ToUnicode.read_bytes()):
            value = int(code, 16)
            shown = _ESCAPED.get(value) or bytes([value])
            codes.setdefault(bytes.fromhex(character.decode()).decode("utf-16-be"), (name.encode(), shown))
    return codes


def place_form(template: RunTemplate, placed: Placed) -> bytes:
    """The operators that place a scene."""
    matrix = f"{_TURNS[placed.quarter_turns]} {numbers(placed.x * PT_PER_MM, placed.y * PT_PER_MM)}"
    return f"q {matrix} cm {template.forms[placed.scene.key]} Do Q\n".encode("ascii")


def begin_text(x_mm: float, y_mm: float, quarter_turns: int) -> bytes:
    """The operators that start a run of black text at a place, turned counter-clockwise by quarter turns."""
    matrix = f"{_TURNS[quarter_turns]} {numbers(x_mm * PT_PER_MM, y_mm * PT_PER_MM)}"
    return f"0 g BT {matrix} Tm ".encode("ascii")


def show_text(pieces: Iterable[tuple[bytes, bytes]], size_pt: float) -> bytes:
    """The operators that show encoded text and end its run."""
    size = number(size_pt).encode("ascii")
    shown = b" ".join([b"%s %s Tf (%s) Tj" % (font, size, string) for font, string in pieces])
    return shown + b" ET\n"


def use_form(name: str) -> bytes:
    """The operators that place a form of `write_run` where it was made."""
    return f"/{name} Do\n".encode("ascii")


def write_run(template: RunTemplate, pages: Iterable[bytes], forms: Mapping[str, bytes]) -> bytes:
    """The file with one page a content stream; the same streams give the same bytes.

    `forms` are content streams of the size of a page that pages use by name, as `use_form` says.
    """
    with pikepdf.open(BytesIO(template.data)) as pdf:
        resources = pdf.make_indirect(pdf.pages[0].obj.Resources)
        sides = (template.width_mm, template.height_mm)
        media = pikepdf.Array([0, 0, *(round(side * PT_PER_MM, 3) for side in sides)])
        for key in ("/StructTreeRoot", "/MarkInfo"):
            if key in pdf.Root:
                del pdf.Root[key]
        del pdf.pages[0]
        added = {}
        for name, content in forms.items():
            entries = {"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": media}
            # Copied, not shared: a form that names itself among its resources would be a ring.
            inner = pikepdf.Dictionary(
                Font=resources.Font, XObject=pikepdf.Dictionary(dict(resources.XObject.items()))
            )
            form = pdf.make_stream(content, entries | {"/Resources": inner})
            added[f"/{name}"] = form
        for name, form in added.items():
            resources.XObject[name] = form
        # The page tree is written here, as one that is kept in order page by page takes quadratic time.
        # Pages inherit their resources from it (ISO 32000-1, 7.7.3.4), and those alike share a stream.
        tree = pdf.Root.Pages
        tree.Resources = resources
        streams: dict[bytes, pikepdf.Object] = {}
        kids = []
        for content in pages:
            stream = streams.get(content)
            if stream is None:
                stream = streams[content] = pdf.make_stream(content)
            entries = {"/Type": pikepdf.Name.Page, "/Parent": tree, "/MediaBox": media, "/Contents": stream}
            kids.append(pdf.make_indirect(pikepdf.Dictionary(entries)))
        tree.Kids, tree.Count = pikepdf.Array(kids), len(kids)
        out = BytesIO()
        pdf.save(
            out,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            compress_streams=True,
            deterministic_id=True,
            fix_metadata_version=False,
        )
    return out.getvalue()
