"""Processor time of marking 50 members on 20 plays, from the content folder to the printed page. A plain script.

python tests/benchmarks/bench_marks.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from class_answers import know, misread, rule_as, training, write_class  # noqa: E402  # the path is set above

from pocketref.layouts.play_sheets import PlaySheet  # noqa: E402  # the path is set above

GOAL_S = 2.0
MEMBERS, PLAYS, RUNS = 50, 20, 5
PROGRAM = """
import sys, time
from pocketref.cli import main
try:
    main(sys.argv[1:])
finally:
    sys.stderr.write(f"{time.process_time()}")
"""


def main() -> int:
    """The command as it is called, as text alone and with the report; 1 if text alone misses the goal."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sheet = make_sheet()
        minds = [know, misread("contact", "on-plate", "yes", "no"), rule_as("college"), know, know]
        answers = folder / "answers.csv"
        answers.write_text(write_class(sheet, minds * (MEMBERS // len(minds)), slips=0.15), encoding="utf-8")
        report = ("--report", str(folder / "marks.pdf"))
        alone, whole = (measure(str(answers), *more) for more in ((), report))
    sys.stdout.write(
        f"{MEMBERS} members, {len(sheet.questions)} plays: {alone:.2f} s of processor time ({GOAL_S} s); "
        f"with the report as PDF {whole:.2f} s\n"
    )
    return int(alone > GOAL_S)


def make_sheet() -> PlaySheet:
    """The demo's shortest sheet of as many plays."""
    return min(
        (sheet for sheet in training().sheets if len(sheet.questions) >= PLAYS),
        key=lambda sheet: len(sheet.questions),
    )


def measure(*arguments: str) -> float:
    """Seconds of the processor in the middle of the runs, start of the interpreter included."""
    command = [sys.executable, "-c", PROGRAM, "mark", *arguments]
    runs = (
        subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True) for _ in range(RUNS)
    )
    return median(float(run.stderr.rpartition("\n")[2]) for run in runs)


if __name__ == "__main__":
    sys.exit(main())
