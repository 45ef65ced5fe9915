"""A second, independent reading of a PDF's drawing operators, over pypdf's parser and nothing of pdfium.

It interprets the operators of ISO 32000-1, clauses 8 and 9, that position text and paths, through nested forms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from io import BytesIO

from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject

Matrix = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Run:
    """A shown string: baseline start and size in points."""

    x: float
    y: float
    size: float


@dataclass
class Found:
    """What is on a page: runs, the points of path segments, and the matrices of images, in points."""

    runs: list[Run] = field(default_factory=list)
    points: list[tuple[float, float]] = field(default_factory=list)
    images: list[Matrix] = field(default_factory=list)


def multiply(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def apply(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def read_pages(data: bytes) -> list[Found]:
    """Everything found on each page."""
    reader = PdfReader(BytesIO(data))
    pages = []
    for page in reader.pages:
        found = Found()
        Interpreter(page["/Resources"], IDENTITY, found).run(
            ContentStream(page["/Contents"].get_object(), reader)
        )
        pages.append(found)
    return pages


class Interpreter:
    """Runs one content stream; a form is run by an interpreter of its own."""

    def __init__(self, resources: DictionaryObject, ctm: Matrix, found: Found) -> None:
        self.resources = resources
        self.ctm = ctm
        self.found = found
        self.size = 0.0
        self.font = DictionaryObject()
        self.rise = 0.0
        self.text = IDENTITY
        self.stack: list[tuple[Matrix, float]] = []
        self.handlers = {
            b"q": lambda: self.stack.append((self.ctm, self.size)),
            b"Q": self.restore,
            b"cm": lambda *v: setattr(self, "ctm", multiply(v, self.ctm)),
            b"BT": lambda: setattr(self, "text", IDENTITY),
            b"Td": lambda x, y: setattr(self, "text", multiply((1, 0, 0, 1, x, y), self.text)),
            b"Tm": lambda *v: setattr(self, "text", v),
            b"m": self.reach,
            b"l": self.reach,
            b"c": lambda *v: self.reach(*v[4:]),
        }

    def run(self, stream: ContentStream) -> None:
        for operands, operator in stream.operations:
            if operator in self.handlers:
                self.handlers[operator](*(float(v) for v in operands))
            elif operator == b"Tf":
                self.font = self.resources["/Font"][operands[0]].get_object()
                self.size = float(operands[1])
            elif operator == b"Ts":
                self.rise = float(operands[0])
            elif operator == b"Tj":
                self.show(operands[0].original_bytes)
            elif operator == b"Do":
                self.enter(self.resources["/XObject"][operands[0]].get_object())

    def show(self, codes: bytes) -> None:
        """Note the run, and go on by the widths of its glyphs (9.4.4)."""
        _, _, c, d, x, y = multiply((1, 0, 0, 1, 0, self.rise), multiply(self.text, self.ctm))
        self.found.runs.append(Run(x, y, self.size * math.hypot(c, d)))
        first, widths = self.font["/FirstChar"], self.font["/Widths"]
        advance = sum(float(widths[code - first]) for code in codes) / 1000 * self.size
        self.text = multiply((1, 0, 0, 1, advance, 0), self.text)

    def restore(self) -> None:
        self.ctm, self.size = self.stack.pop()

    def reach(self, x: float, y: float) -> None:
        self.found.points.append(apply(self.ctm, x, y))

    def enter(self, form: DictionaryObject) -> None:
        if form["/Subtype"] == "/Image":
            self.found.images.append(self.ctm)
            return
        matrix = tuple(float(v) for v in form.get("/Matrix", IDENTITY))
        inner = Interpreter(form["/Resources"], multiply(matrix, self.ctm), self.found)
        inner.run(ContentStream(form, None))
