"""Processor time of a class published alone: laid out, written, read back, beside its notes. Run as a plain script.

python tests/benchmarks/bench_classes.py
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from pocketref.classes.deck import lay_out_class
from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.layout_library import read_layouts
from pocketref.plays.plays import RuleBooks
from pocketref.source.library import read_library

ROOT = Path(__file__).parents[2]
GOAL_S = 3.0
FEW = 40


def main() -> int:
    """Each class of the demo; 1 if one of 40 slides or more misses the goal."""
    library = read_library(ROOT / "content")
    layouts = read_layouts(ROOT / "layouts", library, ROOT / "content")
    missed = False
    for model in layouts.classes:
        start = time.process_time()
        deck = lay_out_class(model, RuleBooks(library), layouts)
        files = [build_pdf(item.name, item.document, item.floor_pt) for item in (deck.deck, deck.notes)]
        taken = time.process_time() - start
        missed |= len(deck.slides) >= FEW and taken > GOAL_S
        size = sum(len(file.data) for file in files)
        sys.stdout.write(
            f"{model.class_}: {len(deck.slides)} slides, {size:,} bytes, {taken:.2f} s ({GOAL_S} s)\n"
        )
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
