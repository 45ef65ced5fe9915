"""Publishing against a bare replay: python tests/benchmarks/bench_publish.py

In one fresh process with its modules loaded, the demo edition is proven and built as `publish` does it for the
first time; its parts are timed, each without what it calls of the others. Then the replay makes the same drawing
calls, with the same reused forms, pictures and form fields, for every page of every PDF of the edition (cards,
sheets, plays, what changed, press sheets) with the PDF library's own functions, and nothing else: no layout, no
tags, no read-back. SVG, PNG and HTML files have no replay; their time counts all the same. All are processor seconds,
so that a busy machine counts less.

Goals: the whole edition in at most 2.5 times the replay; an unchanged one in a tenth of the first time, both as
commands from start to end; --version in at most 1.5 times importing click and yaml.
"""

from __future__ import annotations

import io
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as the program has it, before numpy is loaded

from pocketref.blocks import setting
from pocketref.edition import pdf_file, play_proof, press, proof, reuse
from pocketref.edition.collector import hold_collector
from pocketref.output.contents import items_of
from pocketref.pages.page import Document
from pocketref.publish import build
from pocketref.rulings import answer
from pocketref.scene.items import (
    Close,
    CurveTo,
    FontFace,
    FormField,
    Item,
    LineTo,
    MoveTo,
    Placed,
    Raster,
    Shape,
    Text,
)
from pocketref.scene.typefaces import typeface
from pocketref.units.length import PT_PER_MM
from pocketref.web import plays_web, web

ROOT = Path(__file__).parents[2]
FIRST_TIMES = 7
CONTENT, LAYOUTS = ROOT / "content", ROOT / "layouts"
PARTS: dict[str, tuple[tuple[Any, str], ...]] = {
    "reading": ((proof, "read_whole_source"),),
    "charts": ((answer, "find_chart"), (setting, "find_chart")),
    "plays ruled on": (
        (play_proof, "rule_on_all"),
        (play_proof, "make_sheets"),
        (play_proof, "measure_coverage"),
    ),
    "layout, cards and sheets": ((proof, "lay_out_card"), (proof, "lay_out_sheet")),
    "layout, plays": (
        (play_proof, "check_fit"),
        (play_proof, "lay_out_questions"),
        (play_proof, "lay_out_key"),
    ),
    "layout, press": ((press, "impose_cards"), (press, "lay_out_print_check")),
    "PDF": ((pdf_file, "write_pdf"),),
    "read-back": ((pdf_file, "read_pdf"), (pdf_file, "check_document")),
    "fingerprints": ((reuse, "take_fingerprint"),),
    "SVG": ((build, "write_svg"),),
    "PNG": ((build, "draw_picture"),),
    "HTML": ((web, "write_html"), (build, "build_web_page"), (plays_web, "write_html")),
    "HTML, plays": ((build, "build_play_pages"),),
}


# --- the replay ------------------------------------------------------------------------------------------


class Replay:
    """One document's drawing calls on a canvas."""

    def __init__(self) -> None:
        self.buffer = io.BytesIO()
        self.canvas = Canvas(self.buffer, invariant=1)
        self.forms: set[str] = set()
        self.images: dict[bytes, ImageReader] = {}

    def run(self, document: Document) -> bytes:
        for page in document.pages:
            # The library wants its forms before the page that shows them.
            items = list(items_of(page.elements))
            for item in items:
                self.keep_form(item)
            self.canvas.setPageSize((page.width_mm * PT_PER_MM, page.height_mm * PT_PER_MM))
            for item in items:
                self.draw(item)
            self.canvas.showPage()
        self.canvas.save()
        return self.buffer.getvalue()

    def keep_form(self, item: Item) -> None:
        if not isinstance(item, Placed) or item.scene.key in self.forms:
            return
        for inner in item.scene.items:
            self.keep_form(inner)
        self.forms.add(item.scene.key)
        self.canvas.beginForm(item.scene.key)
        for inner in item.scene.items:
            self.draw(inner)
        self.canvas.endForm()

    def draw(self, item: Item) -> None:
        canvas, k = self.canvas, PT_PER_MM
        if isinstance(item, Shape):
            self.draw_shape(item)
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
            canvas.rotate(90 * item.quarter_turns)
            canvas.doForm(item.scene.key)
            canvas.restoreState()
        elif isinstance(item, Raster):
            if item.data not in self.images:
                self.images[item.data] = ImageReader(io.BytesIO(item.data))
            image = self.images[item.data]
            canvas.drawImage(
                image, item.x * k, item.y * k, item.width_mm * k, item.height_mm * k, mask="auto"
            )
        else:
            self.draw_field(item)

    def draw_shape(self, shape: Shape) -> None:
        canvas, k = self.canvas, PT_PER_MM
        path = canvas.beginPath()
        for segment in shape.path:
            match segment:
                case MoveTo(x, y):
                    path.moveTo(x * k, y * k)
                case LineTo(x, y):
                    path.lineTo(x * k, y * k)
                case CurveTo(x1, y1, x2, y2, x, y):
                    path.curveTo(x1 * k, y1 * k, x2 * k, y2 * k, x * k, y * k)
                case Close():
                    path.close()
        if shape.fill:
            canvas.setFillColorCMYK(*shape.fill.cmyk)
        if shape.stroke:
            canvas.setStrokeColorCMYK(*shape.stroke.ink.cmyk)
            canvas.setLineWidth(shape.stroke.width_mm * k)
        dash = shape.stroke.dash_mm if shape.stroke else ()
        if dash:
            canvas.setDash([length * k for length in dash])
        canvas.drawPath(path, stroke=bool(shape.stroke), fill=bool(shape.fill))
        if dash:
            canvas.setDash()

    def draw_field(self, blank: FormField) -> None:
        form, k = self.canvas.acroForm, PT_PER_MM
        said = {"name": blank.name, "tooltip": blank.tooltip, "x": blank.x * k, "y": blank.y * k}
        if blank.kind == "checkbox":
            form.checkbox(size=blank.width_mm * k, **said)
        else:
            form.textfield(
                width=blank.width_mm * k, height=blank.height_mm * k, fontSize=int(blank.size_pt), **said
            )


# --- measuring -------------------------------------------------------------------------------------------


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


class Parts:
    """Processor seconds by part, each without those of the parts within it."""

    def __init__(self) -> None:
        self.seconds: Counter[str] = Counter()
        self._inner: list[float] = []

    def run(self, part: str, work: Callable[..., Any], *args: Any, **options: Any) -> Any:
        start = time.process_time()
        self._inner.append(0.0)
        try:
            made = work(*args, **options)
            # What is made one by one is made while it is timed.
            return list(made) if hasattr(made, "__next__") else made
        finally:
            taken = time.process_time() - start
            self.seconds[part] += taken - self._inner.pop()
            if self._inner:
                self._inner[-1] += taken

    def watch(self, module: Any, name: str, part: str) -> None:
        work = getattr(module, name)
        setattr(module, name, lambda *args, **options: self.run(part, work, *args, **options))


def measure_first() -> None:
    """The first publish of a fresh process, part by part, and the replay of what it drew."""
    parts, documents = Parts(), []
    for part, places in PARTS.items():
        for module, name in places:
            parts.watch(module, name, part)
    write = pdf_file.write_pdf

    def keep(document: Document) -> bytes:
        documents.append(document)
        return write(document)

    pdf_file.write_pdf = keep
    with hold_collector():
        files = parts.run("the rest", lambda: list(build.build_edition(proof.prove(CONTENT, LAYOUTS))))
    whole = sum(parts.seconds.values())
    for face in FontFace:
        pdfmetrics.registerFont(TTFont(face.value, str(typeface(face).path)))
    with hold_collector():
        bare = measure(lambda: [Replay().run(document) for document in documents])
    say(f"{len(files)} files; bare replay of {len(documents)} PDFs: {bare:.2f} s")
    say(f"proof, making and read-back: {whole:.2f} s, {whole / bare:.2f} x the replay (goal 2.5)")
    for part, seconds in parts.seconds.most_common():
        say(f"  {part:26}{seconds:6.2f} s {seconds / bare:6.2f}")
    without = whole - sum(parts.seconds[part] for part in ("SVG", "PNG", "HTML", "HTML, plays"))
    say(f"without SVG, PNG and HTML, which have no replay: {without / bare:.2f} x")


def measure(work: Callable[[], object], times: int = 5) -> float:
    """The median time in processor seconds."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def measure_command(*command: str, times: int = 9) -> float:
    """The median processor seconds of a command from start to end."""
    taken = []
    for _ in range(times):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return statistics.median(taken)


def report_median(times: int) -> str:
    """What the run in the middle of several fresh processes printed, and how far apart they were."""
    command = [sys.executable, __file__, "--first"]
    reports = [
        subprocess.run(command, check=True, env=os.environ, capture_output=True, text=True).stdout
        for _ in range(times)
    ]
    by_ratio = {float(report.split(" x the replay")[0].split()[-1]): report for report in reports}
    ratios = sorted(by_ratio)
    middle = by_ratio[ratios[len(ratios) // 2]]
    return f"{middle}the middle one of {times} runs, {ratios[0]:.2f} to {ratios[-1]:.2f} x"


def main() -> None:
    if sys.argv[1:] == ["--first"]:
        measure_first()
        return
    say(report_median(FIRST_TIMES))
    program = [sys.executable, "-c", "from pocketref.cli import main; main()"]
    with tempfile.TemporaryDirectory() as out:
        command = [*program, "publish", "--content", str(CONTENT), "--layouts", str(LAYOUTS), "--out", out]
        first = measure_command(*command, "--fresh", times=3)
        again = measure_command(*command, times=5)
    say(f"publish: first {first:.2f} s, unchanged {again:.2f} s, {again / first:.3f} of it (goal 0.1)")
    bare_start = measure_command(sys.executable, "-c", "import click, yaml")
    start = measure_command(*program, "--version")
    say(f"--version: {start / bare_start:.2f} x importing click and yaml (goal 1.5)")


if __name__ == "__main__":
    main()
