"""Changes each dimension, ruling row, caution and mechanics text of the demo in turn; compares bars with faces.

Takes some minutes: `python tests/benchmarks/check_change_bars.py [EVERY]`, each EVERY-th change, from 1.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "edition"))

from changed_faces import WholeEdition, list_statement_changes  # noqa: E402  # after the path that finds it

from pocketref.layouts.layout_library import read_layouts  # noqa: E402
from pocketref.source.library import read_library  # noqa: E402

if __name__ == "__main__":
    library = read_library(ROOT / "content")
    layouts = read_layouts(ROOT / "layouts", library, ROOT / "content")
    changes = list_statement_changes(library)[:: int(sys.argv[1]) if len(sys.argv) > 1 else 1]
    found = list(WholeEdition(library, layouts).find_disagreements(changes))
    for each in found:
        sys.stdout.write(
            f"{'/'.join(each.path)}: no bar on {sorted(each.unmarked)}; a bar on {sorted(each.mismarked)}\n"
        )
    sys.stdout.write(
        f"{len(changes)} changes, {len(changes) - len(found)} with bars on just the faces that differ\n"
    )
    sys.exit(bool(found))
