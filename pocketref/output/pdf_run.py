"""Long runs of pages that share everything but a few words: what is fixed once, a short stream a page.

A template with every scene and every character is written and read back as any document is. Pages are then appended
to it as a later revision of the same file (ISO 32000-1, 7.5.6), so that its own bytes stay as they were read back;
its fonts say which code shows which character (9.10.3). The pages are for a print shop and carry no tags.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cache
from io import BytesIO
from itertools import groupby
from operator import itemgetter
from unicodedata import combining

import pikepdf

from pocketref.output.contents import items_of
from pocketref.output.numbers import number, numbers
from pocketref.output.pdf import write_pdf
from pocketref.output.pdf_fonts import escape_codes
from pocketref.output.pdf_items import Drawing
from pocketref.output.pdf_revision import Revision
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Placed, Raster, Scene, Text
from pocketref.scene.typefaces import set_text, typeface
from pocketref.units.length import PT_PER_MM

# ISO 32000-1, 7.3.4.2: by octal escapes no string holds a bracket or a line break.
_OCTAL = str.maketrans({character: f"\\{ord(character):03o}" for character in "()\\\r\n"})

Line = tuple[Placed, tuple[str, ...]]
"""A scene that a page places, and what its slots say."""
RunPage = Sequence[Line]
SHOWN = b") Tj ET"
"""How a slot ends in a line of content."""


class RunFonts:
    """The fonts of a finished file: which code of which of them shows a character."""

    def __init__(self, fonts: pikepdf.Object) -> None:
        self._codes = {face: codes for face in FontFace if (codes := _read_codes(fonts, face))}
        self.main = {face: min(font for font, _ in codes.values()) for face, codes in self._codes.items()}
        """The resource names of the fonts that slots begin in."""
        self._plain = {
            face: {
                character: code.translate(_OCTAL)
                for character, (font, code) in codes.items()
                if font == self.main[face]
            }
            for face, codes in self._codes.items()
        }

    def encode(self, content: str, face: FontFace) -> list[tuple[str, str]]:
        """As `FontSetter.encode`. KeyError for a character that the template was not asked for."""
        return [(font, escape_codes(codes)) for font, codes in self._group(content, face)]

    def encode_slot(self, content: str, face: FontFace, size_pt: float) -> bytes:
        """What is set in a slot, as the inside of a string without brackets; it calls other fonts than the slot's."""
        with suppress(KeyError):
            return "".join([*map(self._plain[face].__getitem__, content)]).encode("latin-1")
        shown = ""
        for font, codes in self._group(content, face):
            if shown or font != self.main[face]:
                shown += f") Tj {font} {number(size_pt)} Tf ("
            shown += codes.translate(_OCTAL)
        return shown.encode("latin-1")

    def _group(self, content: str, face: FontFace) -> list[tuple[str, str]]:
        """The codes of the characters, those in a row of one font together."""
        codes = self._codes[face]
        groups = groupby([codes[character] for character in content], itemgetter(0))
        return [(font, "".join([code for _, code in group])) for font, group in groups]


def _read_codes(fonts: pikepdf.Object, face: FontFace) -> dict[str, tuple[str, str]]:
    """The font and the code of each character in the subsets of one face, by their own ToUnicode maps."""
    wanted = typeface(face).postscript_name
    codes = {
        character: (name, chr(code))
        for name, font in fonts.items()
        if str(font.BaseFont).rpartition("+")[2].removeprefix("/") == wanted
        for code, character in read_unicode_map(font).items()
    }
    return codes | ({"\u00a0": codes[" "]} if " " in codes else {})  # reportlab sets both alike


def read_unicode_map(font: pikepdf.Object) -> Mapping[int, str]:
    """The character of each code, by the font's ToUnicode map."""
    return _read_map(font.ToUnicode.read_bytes())


@cache
def _read_map(data: bytes) -> Mapping[int, str]:
    """Kept, as all files of a run have the same fonts."""
    found: dict[int, str] = {}
    with pikepdf.new() as pdf:
        for each in pikepdf.parse_content_stream(pikepdf.Stream(pdf, data)):
            if str(each.operator) == "endbfchar":
                pairs = [bytes(operand) for operand in each.operands]
                coded = zip(pairs[::2], pairs[1::2], strict=True)
                found |= {code[0]: character.decode("utf-16-be") for code, character in coded}
    return found


@dataclass(frozen=True, slots=True)
class RunTemplate:
    """A finished file with the run's forms and fonts, and what content streams that are added to it call them."""

    data: bytes
    width_mm: float
    height_mm: float
    safe: Box
    fonts: RunFonts
    forms: Mapping[str, str]
    """The resource name of each scene by its key."""
    resources: tuple[bytes, bytes]
    """Its fonts, and its forms without the end of their dictionary, so that more can follow."""
    tree: int
    """The object number of the page tree, which other pages replace."""
    trailer: bytes
    """Entries that a later revision's trailer repeats."""
    objects: int
    """How many object numbers are taken."""
    added: Mapping[str, bytes] = field(default_factory=dict)
    """The content streams of the forms that `add_scenes` added."""

    def name_form(self, scene: Scene) -> str:
        """As `SceneForms.name_form`, for scenes that are in the template."""
        return self.forms[scene.key]

    def draw(self, items: Sequence[Item]) -> tuple[bytes, ...]:
        """A line of a content stream that draws items whose scenes and characters are in the template.

        It is cut where `encode_slot` goes: in the slots of placed scenes.
        """
        drawing = _LineDrawing(self)
        drawing.draw_items(items)
        return drawing.cut()


class _LineDrawing(Drawing):
    """A line of a content stream that is cut in the slots of the scenes that it places."""

    def __init__(self, template: RunTemplate) -> None:
        super().__init__(template.fonts.encode, template.name_form, _refuse_image)
        self._run_fonts = template.fonts
        self._before: list[bytes] = []

    def _place_scene(self, placed: Placed) -> None:
        super()._place_scene(placed)
        slots = list_slots(placed.scene)
        if slots:
            self.code[-1] = self.code[-1].removesuffix(" Q")
            for slot in slots:
                self._draw_slot(slot)
            self.code.append("Q")

    def _draw_slot(self, slot: Text) -> None:
        begin, font = self._begin_text(slot), self._run_fonts.main[slot.face]
        is_padded = slot.slot is not None and slot.slot.is_padded
        if is_padded:  # ISO 32000-1, 9.3.3: word spacing
            measure = typeface(slot.face).measure_em
            begin = f"{number((measure('0') - measure(' ')) * slot.size_pt)} Tw {begin}"
        self.code.append(f"{begin} {font} {number(slot.size_pt)} Tf (")
        self._before.append(self._join())
        self.code = [SHOWN.decode(), *(["0 Tw"] if is_padded else [])]

    def _join(self) -> bytes:
        """The code since the last slot, on one line: a line break in a string is written as an escape."""
        return " ".join(self.code).encode("latin-1")

    def cut(self) -> tuple[bytes, ...]:
        """The whole line."""
        return (*self._before, self._join() + b"\n")


def _refuse_image(raster: Raster) -> str:
    raise ValueError(f"an image of {raster.width_mm:g} mm is in no scene of a run")


def list_slots(scene: Scene) -> list[Text]:
    """The slots of a scene in drawing order."""
    return [item for item in scene.items if isinstance(item, Text) and item.slot]


def lift_slots(placed: Placed) -> list[Text]:
    """The slots of a placed scene where they are on the page."""
    turns, slots = placed.quarter_turns, []
    for slot in list_slots(placed.scene):
        x, y = ((slot.x, slot.y), (-slot.y, slot.x), (-slot.x, -slot.y), (slot.y, -slot.x))[turns]
        slots.append(replace(slot, x=placed.x + x, y=placed.y + y, angle=slot.angle + 90 * turns))
    return slots


def prepare_run(document: Document, characters: Mapping[FontFace, Iterable[str]]) -> RunTemplate:
    """The template of a run on pages of the size of the document's, that may set `characters` in each face.

    It holds the document's pages and one more, which is none to be read. PocketrefError ("glyph-missing") for
    characters that a face cannot set.
    """
    first = document.pages[0]
    items = [
        set_text(0, 0, character, face, 8.0, BLACK)
        for face, known in characters.items()
        for character in sorted(set(known), key=_order_character)
    ]
    page = Page(
        "characters", first.width_mm, first.height_mm, (Element(Role.DECORATION, tuple(items)),), first.safe
    )
    # Those of slots come first, so that they share one subset of their font as far as they can.
    data = _pack(write_pdf(replace(document, pages=(page, *document.pages)), is_tagged=False))
    placed = [item for each in document.pages for item in items_of(each.elements) if isinstance(item, Placed)]
    forms = {
        key: f"S{number}" for number, key in enumerate(dict.fromkeys(item.scene.key for item in placed), 1)
    }
    with pikepdf.open(BytesIO(data), inherit_page_attributes=False) as pdf:
        used = [each.Resources for each in pdf.Root.Pages.Kids]
        objects = {name: form for each in used for name, form in each.get("/XObject", {}).items()}
        # The writer numbers forms as they are first placed.
        numbered = sorted(objects, key=lambda name: (len(name), name))
        named = dict(zip([f"/{name}" for name in forms.values()], map(objects.get, numbered), strict=True))
        return RunTemplate(
            data,
            first.width_mm,
            first.height_mm,
            first.safe,
            RunFonts(used[0].Font),
            forms,
            (used[0].Font.unparse(), pikepdf.Dictionary(named).unparse().removesuffix(b">>")),
            pdf.Root.Pages.objgen[0],
            b"/Root %d 0 R/Info %d 0 R" % (pdf.Root.objgen[0], pdf.trailer.Info.objgen[0]),
            int(pdf.trailer.Size),
        )


def _order_character(character: str) -> tuple[bool, str]:
    """First what most names are set in, and the marks that go on any letter, so that one subset of a font has all."""
    return character > "\u00ff" and not combining(character), character


def _pack(data: bytes) -> bytes:
    """The file with object and cross-reference streams."""
    out = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        streams = pikepdf.ObjectStreamMode.generate
        # What is not compressed stays so: an edition's digest is to be set into it.
        pdf.save(
            out,
            object_stream_mode=streams,
            deterministic_id=True,
            fix_metadata_version=False,
            compress_streams=False,
        )
    return out.getvalue()


def add_scenes(template: RunTemplate, scenes: Sequence[Scene]) -> RunTemplate:
    """The template with more scenes to place, whose own scenes and characters are in it already."""
    content = {f"A{place}": b"".join(template.draw(scene.items)) for place, scene in enumerate(scenes, 1)}
    keys = (scene.key for scene in scenes)
    return replace(template, added=content, forms={**template.forms, **dict(zip(keys, content, strict=True))})


def write_run(template: RunTemplate, pages: Sequence[RunPage]) -> bytes:
    """The file with these pages in place of the template's, a line of content a scene; the same give the same bytes.

    Pages inherit size and resources from the page tree (ISO 32000-1, 7.7.3.4); one that comes again shares its stream.
    """
    writer = _PageWriter(template)
    revision = Revision(template.data, template.objects)
    sides = numbers(template.width_mm * PT_PER_MM, template.height_mm * PT_PER_MM).encode("ascii")
    box, (fonts, forms) = b"[0 0 %s]" % sides, template.resources
    resources = b"/Resources<</Font %s/XObject%s>>>>" % (fonts, forms)
    entries = b"/Type/XObject/Subtype/Form/BBox%s%s" % (box, resources)
    for name, content in template.added.items():
        forms += b"/%s %d 0 R" % (name.encode("ascii"), revision.add_stream(content, entries))
    resources = b"/Resources<</Font %s/XObject%s>>>>" % (fonts, forms)
    streams: dict[int, int] = {}
    kids = []
    for page in pages:
        stream = streams.get(id(page))
        if stream is None:
            stream = streams[id(page)] = revision.add_stream(writer.write(page))
        kids.append(revision.add(b"<</Type/Page/Parent %d 0 R/Contents %d 0 R>>" % (template.tree, stream)))
    listed = b" ".join([b"%d 0 R" % kid for kid in kids])
    tree = b"<</Type/Pages/Count %d/Kids[%s]/MediaBox%s%s>>" % (len(kids), listed, box, resources)
    return revision.finish({template.tree: tree}, template.trailer)


class _PageWriter:
    """Writes pages; what is drawn and what is said is encoded once, however often it is used."""

    def __init__(self, template: RunTemplate) -> None:
        self._template = template
        self._drawn: dict[int, tuple[bytes, list[tuple[FontFace, float, bytes]], Placed]] = {}
        self._encode = cache(template.fonts.encode_slot)

    def write(self, page: RunPage) -> bytes:
        """The content stream that places the page's scenes, with their slots filled."""
        parts = []
        for placed, said in page:
            begin, slots, _ = self._drawn.get(id(placed)) or self._draw(placed)
            parts.append(begin)
            for text, (face, size_pt, after) in zip(said, slots, strict=True):
                parts += (self._encode(text, face, size_pt), after)
        return b"".join(parts)

    def _draw(self, placed: Placed) -> tuple[bytes, list[tuple[FontFace, float, bytes]], Placed]:
        begin, *rest = self._template.draw([placed])
        drawn = zip(list_slots(placed.scene), rest, strict=True)
        slots = [(slot.face, slot.size_pt, after) for slot, after in drawn]
        self._drawn[id(placed)] = (begin, slots, placed)
        return self._drawn[id(placed)]
