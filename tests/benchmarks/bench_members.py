"""Cards a second, bytes a card and peak memory of a member run, beside a plain loop. Run as a plain script.

python tests/benchmarks/bench_members.py          10,000 cards
python tests/benchmarks/bench_members.py 100000   as many cards as named

The plain loop draws one card of 30 lines of text and 60 rules once as a Form XObject, then one page a card
with the form and a name, with reportlab's default settings. Each part runs in a process of its own, so that
its peak memory is its own.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from pocketref.edition.press import PressRun
from pocketref.edition.proof import prove
from pocketref.members.member_run import ChapterRun
from pocketref.members.members import build_members, prepare_presses
from pocketref.members.roster import Member, group_by_chapter
from pocketref.output.pdf_run import write_run
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface

FIXTURES = Path(__file__).parents[1] / "fixtures"


def list_members(count: int) -> list[Member]:
    """Invented members of four chapters, one card each."""
    chapters = ("North Shore", "South Fork", "East Hill", "West Bay")
    return [
        Member(f"Member Zoë {n}", f"{n}", chapters[4 * n // count], "high-school", "90-ft", 1, n + 2)
        for n in range(count)
    ]


def run_plain(count: int) -> tuple[float, int]:
    """Seconds and bytes of the plain loop."""
    pdfmetrics.registerFont(TTFont("plain", str(typeface(FontFace.REGULAR).path)))
    members = list_members(count)
    start = time.perf_counter()
    out = BytesIO()
    canvas = Canvas(out, pagesize=(360, 216))
    canvas.beginForm("card")
    canvas.setFont("plain", 8)
    for line in range(30):
        canvas.drawString(12, 200 - 6 * line, f"line {line} of a card, with about fifty characters of text")
        canvas.line(12, 198 - 6 * line, 348, 198 - 6 * line)
        canvas.line(12 + line, 12, 12 + line, 200)
    canvas.endForm()
    for member in members:
        canvas.doForm("card")
        canvas.setFont("plain", 8)
        canvas.drawString(12, 8, f"{member.name}, {member.number}")
        canvas.showPage()
    canvas.save()
    return time.perf_counter() - start, len(out.getvalue())


def run_sheets(count: int) -> tuple[float, int]:
    """Seconds and bytes of the press sheets alone, fronts and backs, from cards that are laid out already."""
    proof = prove(FIXTURES / "content", FIXTURES / "layouts")
    members = list_members(count)
    (press,) = prepare_presses(proof, members, "roster.csv", PressRun(), "").values()
    start = time.perf_counter()
    size = 0
    for chapter, group in group_by_chapter(members):
        run = ChapterRun(press, chapter, group)
        for part in run.list_parts():
            size += len(write_run(press.template, run.pages(part), run.forms))
    return time.perf_counter() - start, size


def run_members(count: int) -> tuple[float, int]:
    """As `run_sheets`, but from the proof on, with packing lists and read-back."""
    proof = prove(FIXTURES / "content", FIXTURES / "layouts")
    members = list_members(count)
    start = time.perf_counter()
    files = build_members(proof, members, "roster.csv", PressRun())
    size = sum(len(file.data) for file in files if "/cards-" in file.name)
    return time.perf_counter() - start, size


PARTS = {"plain": run_plain, "sheets": run_sheets, "members": run_members}


def measure(part: str, count: int) -> tuple[float, int, int]:
    """Seconds, bytes and peak memory in KiB of one part in a fresh process."""
    told = subprocess.run(
        [sys.executable, __file__, part, str(count)], capture_output=True, text=True, check=True
    ).stdout.split()
    return float(told[0]), int(told[1]), int(told[2])


def report(count: int) -> None:
    """The figures of this machine, as ratios."""
    rates = {}
    for part in PARTS:
        seconds, size, _ = min(measure(part, count) for _ in range(3))
        rates[part] = count / seconds
        sys.stdout.write(f"{part:8} {count / seconds:10,.0f} cards/s {size / count:8.0f} bytes a card\n")
    few, many = measure("sheets", count // 10)[2], measure("sheets", count)[2]
    lines = (
        f"sheets are {rates['sheets'] / rates['plain']:.1f} times as fast as the plain loop (at least 8)",
        f"with packing lists and read-back {rates['members'] / rates['plain']:.2f} times",
        f"peak memory {many / 1024:.0f} MiB, {many / few:.2f} times that of a tenth of the cards (at most 1.3)",
    )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        seconds, size = PARTS[sys.argv[1]](int(sys.argv[2]))
        sys.stdout.write(f"{seconds} {size} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}\n")
    else:
        report(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
