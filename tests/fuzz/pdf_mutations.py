"""Spoils filled-in sheets: what was typed, the fields' names, the document's words, its objects and bytes."""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Sequence
from io import BytesIO
from random import Random

import pikepdf
from csv_mutations import WORDS
from hostile_pdfs import READ_ALL_THE_SAME, REFUSED
from source_mutations import Mutant
from spoilt_values import LENGTHS, SCALARS, UNITS

_NAMES = (
    *(
        "A-F1",
        "A-T2",
        "A-A",
        "Z9-Q8",
        "-",
        "A-",
        "Ü-Ñ",
        "below-18-in",
        "below-0-in",
        "below-1_1-0-in",
        "below-1_9-2-in",
    ),
    *(
        "below-" + "9" * 5000 + "-in",
        "below-99999999999-in",
        "plate-height",
        "Tape used",
        "Temperature",
        "",
        "\x1b[31m",
    ),
    *("x" * 3000, "A\nB", "\ud800", "a.b.c", "<script>", "A-F1\0"),
)
_SUBJECTS = (
    *(
        "",
        "sheet plate-area, edition 2027",
        "sheet , edition ",
        "sheet plate-area, edition \x1b[31m",
        "nothing",
    ),
    *("sheet plate-area, edition " + "9" * 5000, "sheet mound, edition 2026", "sheet ../x, edition 2027"),
)
_KEYWORDS = (
    "",
    "level high-school-90-ft",
    "level youth-60-ft",
    "level nowhere",
    "level " + "a" * 5000,
    "level ../../x",
)
_FILTERS = ("FlateDecode", "LZWDecode", "ASCII85Decode", "ASCIIHexDecode", "RunLengthDecode", "Crypt", "X")


def _widgets(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    return [
        annot
        for page in pdf.pages
        for annot in page.obj.get("/Annots", [])
        if annot.get("/Subtype") == "/Widget"
    ]


def _type_values(rng: Random, pdf: pikepdf.Pdf) -> None:
    widgets = _widgets(pdf)
    for widget in rng.sample(widgets, min(len(widgets), rng.choice((1, 1, 2, 10, 100)))):
        length = f"{rng.choice(LENGTHS)} {rng.choice(UNITS)}"
        words = rng.choice((rng.choice(SCALARS), rng.choice(WORDS), length, length))
        widget.V = pikepdf.String(words)


def _rename(rng: Random, pdf: pikepdf.Pdf) -> None:
    widgets = _widgets(pdf)
    for widget in rng.sample(widgets, min(len(widgets), rng.choice((1, 1, 3)))):
        widget.T = pikepdf.String(rng.choice(_NAMES).encode("utf-8", "replace").decode())


def _mistype_object(rng: Random, pdf: pikepdf.Pdf) -> None:
    """A key of a widget, a page, the form or the catalogue with something that doesn't belong there."""
    form = pdf.Root.get("/AcroForm", pikepdf.Dictionary())
    holder = rng.choice((*_widgets(pdf)[:5], pdf.Root, form, pdf.pages[0].obj, pdf.Root.Pages))
    keys = sorted(key for key in holder.keys() if key not in ("/Parent", "/P"))  # noqa: SIM118  # no mapping
    if keys:
        other: tuple[object, ...] = (
            0,
            -1,
            1 << 40,
            True,
            None,
            pikepdf.Name.X,
            pikepdf.Array(),
            pikepdf.Dictionary(),
        )
        value = rng.choice(
            (*other, pikepdf.String("x" * 1000), pikepdf.Array([holder]) if holder.is_indirect else 1)
        )
        if value is None:
            del holder[rng.choice(keys)]
        else:
            holder[rng.choice(keys)] = value


def _tell_otherwise(rng: Random, pdf: pikepdf.Pdf) -> None:
    if rng.random() < 0.5:
        pdf.docinfo["/Subject"] = pikepdf.String(rng.choice(_SUBJECTS))
    else:
        pdf.docinfo["/Keywords"] = pikepdf.String(rng.choice(_KEYWORDS))


def _drop_pages(rng: Random, pdf: pikepdf.Pdf) -> None:
    if rng.random() < 0.5 and len(pdf.pages) > 1:
        del pdf.pages[rng.randrange(len(pdf.pages))]
    else:
        for _ in range(rng.choice((1, 45))):
            pdf.pages.append(pdf.pages[0])


def _drop_form(rng: Random, pdf: pikepdf.Pdf) -> None:
    if rng.random() < 0.5:
        del pdf.Root["/AcroForm"]
    else:
        for page in pdf.pages:
            page.obj["/Annots"] = pikepdf.Array()


def _double_widgets(rng: Random, pdf: pikepdf.Pdf) -> None:
    annots = pdf.pages[0].obj.get("/Annots", pikepdf.Array())
    copies = list(annots) * rng.choice((1, 5, 20))
    pdf.pages[0].obj["/Annots"] = pikepdf.Array([*annots, *copies])


def _link_objects(rng: Random, pdf: pikepdf.Pdf) -> None:
    """Keys and items of objects anywhere lead to other objects: rings, shared children, kinds mixed up."""
    objects = [
        obj for obj in pdf.objects if isinstance(obj, pikepdf.Dictionary | pikepdf.Array | pikepdf.Stream)
    ]
    for _ in range(rng.choice((1, 3, 30))):
        holder, other = rng.choice(objects), rng.choice(objects)
        keys = range(len(holder)) if isinstance(holder, pikepdf.Array) else sorted(holder.keys())
        if keys:
            holder[rng.choice(keys)] = other


def _put_shape(rng: Random, pdf: pikepdf.Pdf) -> None:
    rng.choice((*READ_ALL_THE_SAME, *REFUSED))(pdf)


def _filter_stream(rng: Random, pdf: pikepdf.Pdf) -> None:
    """A stream behind filters that it was not made for."""
    stream = rng.choice([obj for obj in pdf.objects if isinstance(obj, pikepdf.Stream)])
    names = [pikepdf.Name(f"/{name}") for name in rng.choices(_FILTERS, k=rng.choice((1, 3, 100)))]
    stream.write(stream.read_raw_bytes(), filter=pikepdf.Array(names))


_CHANGES: Sequence[Callable[[Random, pikepdf.Pdf], None]] = (
    *[_type_values] * 3,
    *[_rename] * 2,
    _tell_otherwise,
    *[_mistype_object] * 2,
    *(_drop_pages, _drop_form, _double_widgets),
    *[_link_objects] * 3,
    *(_put_shape, _filter_stream),
)


def _strew_bytes(rng: Random, data: bytes) -> bytes:
    spoilt = bytearray(data)
    for _ in range(rng.choice((1, 5, 50, 500))):
        spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
    return bytes(spoilt)


def _cut_off(rng: Random, data: bytes) -> bytes:
    return data[: rng.randrange(len(data))]


def _change_numbers(rng: Random, data: bytes) -> bytes:
    """Numbers outside streams: lengths, offsets, counts, object numbers."""
    places = [match.span() for match in re.finditer(rb"(?<=[ /\[])[0-9]{1,6}(?=[ \]/\r\n])", data)]
    spoilt = bytearray(data)
    for start, end in rng.sample(places, min(len(places), rng.choice((1, 3, 20)))):
        spoilt[start:end] = rng.choice((b"0", b"9" * (end - start), b"-" + b"1" * (end - start - 1)))[
            : end - start
        ].ljust(end - start, b"0")
    return bytes(spoilt)


def _splice(rng: Random, data: bytes) -> bytes:
    start = rng.randrange(len(data))
    piece = data[start : start + rng.choice((10, 1000, 20_000))]
    at = rng.randrange(len(data))
    return data[:at] + piece + data[at:]


_WHOLE: Sequence[Callable[[Random, bytes], bytes]] = (
    _strew_bytes,
    _strew_bytes,
    _cut_off,
    _change_numbers,
    _splice,
)


def mutate_pdf(rng: Random, name: str, data: bytes) -> Mutant:
    """A filled-in sheet, spoilt in one to four ways."""
    how = []
    if rng.random() < 0.7:
        with pikepdf.open(BytesIO(data)) as pdf:
            for _ in range(rng.choice((1, 1, 2, 3))):
                change = rng.choice(_CHANGES)
                how.append(change.__name__.strip("_"))
                try:
                    change(rng, pdf)
                except (RuntimeError, ValueError, TypeError, KeyError, AttributeError, pikepdf.PdfError):
                    break  # an earlier change has left nothing to change
            saved = BytesIO()
            try:
                with warnings.catch_warnings(action="ignore"):
                    pdf.save(saved, static_id=True)
                data = saved.getvalue()
            except (RuntimeError, ValueError, TypeError, pikepdf.PdfError):
                how.append("unsaved")
    if not how or rng.random() < 0.1:
        whole = rng.choice(_WHOLE)
        how.append(whole.__name__.strip("_"))
        data = whole(rng, data)
    return Mutant(name, data, tuple(how))
