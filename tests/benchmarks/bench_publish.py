"""Publishing against a bare replay: python tests/benchmarks/bench_publish.py

The replay makes the same drawing calls on the PDF library for every page of the edition, and nothing else: no
layout, no tags, no read-back. Goal: the whole edition in at most 2.5 times that; start-up of --version in at
most 1.5 times that of importing click and yaml.
"""

from __future__ import annotations

import io
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from pocketref.edition.build import build_edition
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import prove
from pocketref.output.contents import items_of
from pocketref.pages.page import Document
from pocketref.scene.items import Close, CurveTo, Face, Item, LineTo, MoveTo, Placed, Shape, Text
from pocketref.scene.typefaces import typeface
from pocketref.units.length import PT_PER_MM

ROOT = Path(__file__).parents[2]
CONTENT, LAYOUTS = ROOT / "content", ROOT / "layouts"


def replay(document: Document) -> bytes:
    """The document's drawing calls on a canvas, with the library's own functions."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1)
    for page in document.pages:
        canvas.setPageSize((page.width_mm * PT_PER_MM, page.height_mm * PT_PER_MM))
        for item in items_of(page.elements):
            draw(canvas, item)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def draw(canvas: Canvas, item: Item) -> None:
    k = PT_PER_MM
    if isinstance(item, Shape):
        path = canvas.beginPath()
        for segment in item.path:
            match segment:
                case MoveTo(x, y):
                    path.moveTo(x * k, y * k)
                case LineTo(x, y):
                    path.lineTo(x * k, y * k)
                case CurveTo(x1, y1, x2, y2, x, y):
                    path.curveTo(x1 * k, y1 * k, x2 * k, y2 * k, x * k, y * k)
                case Close():
                    path.close()
        if item.fill:
            canvas.setFillColorCMYK(*item.fill.cmyk)
        if item.stroke:
            canvas.setStrokeColorCMYK(*item.stroke.ink.cmyk)
            canvas.setLineWidth(item.stroke.width_mm * k)
        canvas.drawPath(path, stroke=bool(item.stroke), fill=bool(item.fill))
    elif isinstance(item, Text):
        canvas.saveState()
        canvas.translate(item.x * k, item.y * k)
        canvas.rotate(item.angle)
        canvas.setFillColorCMYK(*item.ink.cmyk)
        canvas.setFont(item.face.value, item.size_pt)
        canvas.drawString(0, 0, item.content)
        canvas.restoreState()
    elif isinstance(item, Placed):
        canvas.saveState()
        canvas.translate(item.x * k, item.y * k)
        for inner in item.scene.items:
            draw(canvas, inner)
        canvas.restoreState()


def measure(work: Callable[[], object], times: int = 5) -> float:
    """The median time in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def run(*command: str) -> Callable[[], object]:
    return lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def main() -> None:
    for face in Face:
        pdfmetrics.registerFont(TTFont(face.value, str(typeface(face).path)))
    proof = prove(CONTENT, LAYOUTS)
    documents = [item.document for item in (*proof.cards, *proof.sheets)]
    bare = measure(lambda: [replay(document) for document in documents])

    def publish() -> list[BuiltFile]:
        return list(build_edition(prove(CONTENT, LAYOUTS)))

    files = publish()
    pdfs = [file for file in files if file.name.endswith(".pdf")]
    whole = measure(publish, 3)
    print(f"bare replay of {len(documents)} cards and sheets: {bare:.3f} s")
    print(f"whole edition, {len(files)} files ({len(pdfs)} PDFs), proof and read-back included: {whole:.3f} s")
    print(f"ratio {whole / bare:.2f} (goal 2.5)")
    bare_start = measure(run(sys.executable, "-c", "import click, yaml"), 9)
    start = measure(run(str(Path(sys.executable).parent / "pocketref"), "--version"), 9)
    print(f"--version: {start / bare_start:.2f} x importing click and yaml (goal 1.5)")


if __name__ == "__main__":
    main()
