"""What the page says of simulated fields beside what the engine says, and how soon. Run it by hand; it is no test.

    python tests/benchmarks/bench_page_tape.py [--fields 10000] [--seed 1] [--modules node_modules]

Goals: no order, misread or tape of the page's own; 95 % of the engine's orders, misreads and tapes. With `--modules`
(the folder that holds playwright-core) also how long a verdict takes in Chromium, the processor six times slower: 1 s
of processor time.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from field_sheets import CONTENT, LAYOUTS
from page_fields import ask_page, compare, draw_fields, judge_by_engine, write_shares

from pocketref.edition.proof import prove
from pocketref.web.web import INDEX, build_web_page

_TIMED = 20
_BATCH = 500


def measure(fields: int, seed: int, folder: Path) -> Counter[str]:
    """The counts of so many fields."""
    told: Counter[str] = Counter()
    drawn = draw_fields(fields, seed)
    while batch := [field for _, field in zip(range(_BATCH), drawn, strict=False)]:
        page = ask_page({"typed": [field.typed for field in batch]}, folder)
        for field, said in zip(batch, page["judged"], strict=True):
            told += compare(judge_by_engine(field), said)
    return told


def time_verdicts(modules: Path, folder: Path) -> list[float]:
    """Milliseconds of processor time from a tap to the verdict on the screen, with one six times slower."""
    proof = prove(CONTENT, LAYOUTS)
    (folder / INDEX).write_bytes(build_web_page(proof, ()).data)
    levels = proof.library.edition.levels
    typed = [field.typed for field in draw_fields(60 * _TIMED, 3) if field.typed["level"] in levels]
    (folder / "typed.json").write_text(json.dumps(typed[:_TIMED]), encoding="utf-8")
    script, chromium = Path(__file__).parent / "time_verdicts.mjs", shutil.which("chromium") or "chromium"
    command = ["node", str(script), str(modules), str(folder / INDEX), chromium, str(folder / "typed.json")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=1200, check=True)
    times: list[float] = json.loads(done.stdout)
    return times


def main() -> int:
    """The shares, and the times."""
    parser = argparse.ArgumentParser(description="What the page says of simulated fields.")
    parser.add_argument("--fields", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--modules", type=Path)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        if options.modules:
            times = sorted(time_verdicts(options.modules, Path(name)))
            middle = times[len(times) // 2]
            sys.stdout.write(
                f"verdict at 6 x slower: {middle:.0f} ms in the middle of {len(times)}, {times[-1]:.0f} at worst\n"
            )
            sys.stdout.flush()
        if options.fields:
            sys.stdout.write(write_shares(measure(options.fields, options.seed, Path(name))) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
