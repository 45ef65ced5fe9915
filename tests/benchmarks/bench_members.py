"""Cards a second, bytes a card and peak memory of the whole member command, beside a plain loop. Run as a plain script.

python tests/benchmarks/bench_members.py          10,000 members with a set of ten cards each
python tests/benchmarks/bench_members.py 1000     as many members as named

The command reads the roster, lays out, writes and reads back press sheets and packing lists, and puts all of it on the
disk; the edition that it adds to is proven before, and not counted. The plain loop draws ten cards of 30 lines of text
and 60 rules once as Form XObjects, then one page a card with its form and a name, with reportlab's default settings,
and keeps the file in memory. At last a national body, five times as many members, in one run. Each part runs in a
process of its own, so that its peak memory is its own.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from io import BytesIO
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from pocketref.edition.manifest_writing import write_source
from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof, prove
from pocketref.members.members import MemberRun
from pocketref.members.roster import read_roster
from pocketref.publish.build import publish_edition
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface

HOME = Path(__file__).parents[2]
SET = 10
"""Cards of a set: the first of the demo's."""
CHAPTERS = ("North Shore", "South Fork", "East Hill", "West Bay")


def prove_set(folder: Path) -> Proof:
    """The demo with as many of its cards as make the set; one of more than two faces is several cards."""
    proof = prove(HOME / "content", HOME / "layouts")
    shutil.copytree(HOME / "layouts", folder / "layouts")
    left = SET
    for card in proof.cards:
        cards = len(card.document.pages) // 2
        if cards > left or card.name == "finder":  # the finder lists the others
            (folder / "layouts" / "cards" / f"{card.name}.yaml").unlink()
        else:
            left -= cards
    assert not left
    return prove(HOME / "content", folder / "layouts")


def write_roster(path: Path, count: int) -> None:
    """Invented members of four chapters, a set each."""
    rows = (f"Member Zoë {n},{n},{CHAPTERS[4 * n // count]},high-school,90-ft,1\n" for n in range(count))
    path.write_text("name,number,chapter,code,level,quantity\n" + "".join(rows), encoding="utf-8")


def run_plain(count: int) -> tuple[float, int]:
    """Seconds and bytes of the plain loop."""
    pdfmetrics.registerFont(TTFont("plain", str(typeface(FontFace.REGULAR).path)))
    start = time.perf_counter()
    out = BytesIO()
    canvas = Canvas(out, pagesize=(360, 216))
    for card in range(SET):
        canvas.beginForm(f"card {card}")
        canvas.setFont("plain", 8)
        for line in range(30):
            words = f"line {line} of card {card}, with about fifty characters of text"
            canvas.drawString(12, 200 - 6 * line, words)
            canvas.line(12, 198 - 6 * line, 348, 198 - 6 * line)
            canvas.line(12 + line, 12, 12 + line, 200)
        canvas.endForm()
    for member in range(count):
        for card in range(SET):
            canvas.doForm(f"card {card}")
            canvas.setFont("plain", 8)
            canvas.drawString(12, 8, f"Member Zoë {member}, {member}")
            canvas.showPage()
    canvas.save()
    return time.perf_counter() - start, len(out.getvalue())


def run_members(count: int) -> tuple[float, int]:
    """Seconds and bytes of the command, from the roster's file to all files on the disk."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        proof = prove_set(folder)
        roster = folder / "roster.csv"
        write_roster(roster, count)
        start = time.perf_counter()
        run = MemberRun(proof, read_roster(roster), roster.name, PressRun())
        target = publish_edition(proof, [write_source(proof.library)], folder / "out", build_more=run.build)
        seconds = time.perf_counter() - start
        return seconds, sum(path.stat().st_size for path in target.glob("members/**/*") if path.is_file())


PARTS = {"plain": run_plain, "members": run_members}


def measure(part: str, count: int) -> tuple[float, int, int]:
    """Seconds, bytes and peak memory in KiB of one part in a fresh process."""
    told = subprocess.run(
        [sys.executable, __file__, part, str(count)], capture_output=True, text=True, check=True
    ).stdout.split()
    return float(told[0]), int(told[1]), int(told[2])


def report(count: int) -> None:
    """The figures of this machine, as ratios; the parts take turns, so that both meet the same load."""
    runs = [{part: measure(part, count) for part in PARTS} for _ in range(3)]
    rates = {}
    for part in PARTS:
        seconds, size, _ = min(run[part] for run in runs)
        rates[part] = SET * count / seconds
        sys.stdout.write(f"{part:8} {rates[part]:10,.0f} cards/s {size / count / SET:8.0f} bytes a card\n")
    few, (seconds, _, many) = runs[0]["members"][2], measure("members", 5 * count)
    told = f"five times as many members: {seconds:.0f} s, peak memory {many / 1024:.0f} MiB"
    lines = (
        f"the command is {rates['members'] / rates['plain']:.1f} times as fast as the plain loop (at least 8)",
        f"{told}, {many / few:.2f} times as much (at most 1.3)",
    )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        seconds, size = PARTS[sys.argv[1]](int(sys.argv[2]))
        sys.stdout.write(f"{seconds} {size} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}\n")
    else:
        report(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
