"""PDFs made to eat time and memory: shapes to give a sheet that was whole, and files of nothing else."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from functools import cache
from io import BytesIO

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String


@cache
def fold(mebibytes: int, times: int) -> bytes:
    """Zeros, deflated so many times over: a thousandth of their size each time."""
    packer = zlib.compressobj(9)
    data = b"".join([*(packer.compress(bytes(1 << 20)) for _ in range(mebibytes)), packer.flush()])
    for _ in range(times - 1):
        data = zlib.compress(data, 9)
    return data


def _put_value(pdf: Pdf, data: bytes, times: int) -> None:
    stream = Stream(pdf, b"")
    stream.write(data, filter=Array([Name.FlateDecode] * times))
    pdf.pages[0].obj.Annots[0].V = pdf.make_indirect(stream)


def nest_forms(pdf: Pdf) -> None:
    """A page that draws ten forms, each of which draws ten others, and so on twelve deep."""
    plain = {"Type": Name.XObject, "Subtype": Name.Form, "BBox": Array([0, 0, 9, 9])}
    form = pdf.make_stream(b"0 0 m 1 1 l S\n" * 50, **plain)
    for _ in range(12):
        inner = Dictionary(XObject=Dictionary(F=form))
        form = pdf.make_stream(b"/F Do " * 10, Resources=inner, **plain)
    page = pdf.pages[0].obj
    page.Resources.XObject = Dictionary(F=form)
    page.Contents = pdf.make_stream(b"/F Do " * 10)


def unfold_value(pdf: Pdf) -> None:
    """A field's value whose 300 KB hold 300 MB."""
    _put_value(pdf, fold(300, 1), 1)


def chain_filters(pdf: Pdf) -> None:
    """A field's value behind sixty filters, and as large."""
    data = fold(300, 1)
    for _ in range(59):
        data = zlib.compress(data, 1)
    _put_value(pdf, data, 60)


def run_script(pdf: Pdf) -> None:
    """A script that never ends, when the file is opened and when any field is typed into."""
    script = Dictionary(S=Name.JavaScript, JS=String("while (true) {}"))
    pdf.Root.OpenAction = script
    pdf.Root.AcroForm.CO = pdf.Root.AcroForm.Fields
    for widget in pdf.pages[0].obj.Annots:
        widget.AA = Dictionary(C=script, K=script)


def lead_pages_back(pdf: Pdf) -> None:
    """A page tree that holds itself."""
    pdf.Root.Pages.Kids.append(pdf.Root.Pages)


def lead_field_back(pdf: Pdf) -> None:
    """A field that is its own parent."""
    widget = pdf.pages[0].obj.Annots[0]
    widget.Parent = widget


def lead_form_back(pdf: Pdf) -> None:
    """A form whose field is its own child."""
    field = pdf.make_indirect(Dictionary(T=String("a")))
    field.Kids, field.Parent = Array([field]), field
    pdf.Root.AcroForm.Fields.append(field)


def deepen_pages(pdf: Pdf) -> None:
    """A page tree ten thousand nodes deep."""
    node = pdf.Root.Pages
    for _ in range(10_000):
        node = pdf.make_indirect(Dictionary(Type=Name.Pages, Count=2, Kids=Array([node])))
    pdf.Root.Pages = node


def repeat_page(pdf: Pdf) -> None:
    """One page thirty thousand times over."""
    pdf.Root.Pages.Kids = Array([pdf.Root.Pages.Kids[0]] * 30_000)


def repeat_field(pdf: Pdf) -> None:
    """One field a hundred thousand times over."""
    pdf.pages[0].obj.Annots = Array([pdf.pages[0].obj.Annots[0]] * 100_000)


READ_ALL_THE_SAME = (nest_forms, run_script, lead_form_back)
"""What lies beside the fields, and is not looked at."""
REFUSED = (
    *(unfold_value, chain_filters, lead_pages_back, lead_field_back),
    *(deepen_pages, repeat_page, repeat_field),
)


def reshape(data: bytes, change: Callable[[Pdf], None], password: str | None = None) -> bytes:
    """A sheet given one of the shapes; locked with a password if there is one, for its owner alone if it is ""."""
    saved = BytesIO()
    lock = False if password is None else pikepdf.Encryption(owner="owner", user=password)
    with pikepdf.open(BytesIO(data)) as pdf:
        change(pdf)
        pdf.save(saved, encryption=lock, static_id=True)
    return saved.getvalue()


def _write_objects(*objects: bytes) -> bytes:
    out = b"%PDF-1.5\n"
    places = []
    for number, content in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, content)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    head = b"xref\n0 %d\n0000000000 65535 f \n%b" % (size, table)
    return out + head + b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (size, len(out))


_CATALOGUE = b"<</Type/Catalog/Pages 2 0 R>>"
_FILTERS = b"/Filter[/FlateDecode/FlateDecode]"


def _unfold_table() -> bytes:
    """A table of cross-references whose kilobytes hold gigabytes."""
    folded = fold(600, 2)
    head = b"<</Type/XRef/Size 299000000/W[1 4 2]/Root 2 0 R%b/Length %d>>" % (_FILTERS, len(folded))
    return b"%%PDF-1.5\n1 0 obj\n%bstream\n%b\nendstream\nendobj\nstartxref\n9\n%%%%EOF\n" % (head, folded)


def _unfold_objects() -> bytes:
    """The catalogue in a stream of objects whose kilobytes hold gigabytes."""
    folded, start = fold(600, 2), b"%PDF-1.5\n"
    head = b"<</Type/ObjStm/N 1/First 5%b/Length %d>>" % (_FILTERS, len(folded))
    objects = b"3 0 obj\n%bstream\n%b\nendstream\nendobj\n" % (head, folded)
    at = len(start) + len(objects)
    rows = [(0, 0, 255), (1, at, 0), (2, 3, 0), (1, len(start), 0)]
    table = b"".join(
        bytes([kind]) + place.to_bytes(4, "big") + bytes([0, more]) for kind, place, more in rows
    )
    head = b"<</Type/XRef/Size 4/W[1 4 2]/Root 2 0 R/Length %d>>" % len(table)
    return b"%b%b1 0 obj\n%bstream\n%b\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % (
        *(start, objects, head, table, at),
    )


FILES: dict[str, Callable[[], bytes]] = {
    "brackets": lambda: _write_objects(_CATALOGUE, b"[" * 5_000_000),
    "keys-in-keys": lambda: _write_objects(_CATALOGUE, b"<</A" * 2_000_000),
    "names": lambda: _write_objects(_CATALOGUE, b"[" + b"/A " * 3_000_000 + b"]"),
    "a-catalogue-that-is-itself": lambda: _write_objects(b"1 0 R"),
    "objects-without-a-table": lambda: b"%PDF-1.5\n" + b"1 0 obj\n<<>>\nendobj\n" * 200_000,
    "trailers": lambda: b"%PDF-1.5\n" + b"trailer\n<</Root 1 0 R>>\n" * 200_000,
    "a-table-that-unfolds": _unfold_table,
    "objects-that-unfold": _unfold_objects,
    "nothing-but-zeros": lambda: b"%PDF-1.5\n" + bytes(10_000_000),
}
"""Refused; the sizes are what keeps a reader without limits busy for minutes, or grows it past any memory."""
