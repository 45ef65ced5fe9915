"""Every benchmark one after the other: python tests/benchmarks/run_all.py

Each prints its own ratios beside its goals. The long ones (fuzz_long.py, fault_long.py, check_everywhere.py,
bench_code_mutations.py) take minutes to an hour and are run by name.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

SHORT = (
    "bench_publish.py",
    "bench_members.py",
    "bench_rulings.py",
    "bench_look.py",
    "bench_classes.py",
    "bench_marks.py",
    "bench_tape.py",
    "bench_ruling_mutations.py",
    "bench_flips.py",
)


def main() -> int:
    """Run them; the exit code counts those that failed."""
    failed = 0
    for name in SHORT:
        sys.stdout.write(f"== {name}\n")
        sys.stdout.flush()
        failed += (
            subprocess.run([sys.executable, str(Path(__file__).parent / name)], check=False).returncode != 0
        )
    return failed


if __name__ == "__main__":
    sys.exit(main())
