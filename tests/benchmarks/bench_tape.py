"""What crews are told of simulated fields, and how fast. Run it by hand; it is no test.

    python tests/benchmarks/bench_tape.py [--runs 1000] [--seed 1]

Goals: perfect fields passed >= 98 %; true corners ordered moved < 0.1 % under any single fault; a corner off by 1/2 in
or more ordered moved or asked for again >= 99 %, silently passed < 0.5 %; a misread of a foot named >= 99 %; the tape
named >= 99 % from a factor of 0.5 %; half-filled sheets refused < 5 %; 200 fields a second (of processor time).
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from field_sheets import plan_of
from simulated_fields import FAULTS, Fault, simulate_field

from pocketref.problems import PocketrefError
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.tape.verdicts import PlaceVerdict, TapeReport, judge_tape
from pocketref.units.length import Length
from pocketref.units.notation import read_length

TOLERANCE: Length = read_length("1/2 in")


def count_told(report: TapeReport, fault: Fault) -> Counter[str]:
    """What a crew is told, against what is so."""
    told: Counter[str] = Counter(corners=len(report.stations))
    out = report.list_stations(PlaceVerdict.OUT)
    told["true corners ordered moved"] = len(set(out) - set(fault.off))
    told["passed"] = report.is_fine
    told["tape named"] = report.tape is not None
    told["misread named"] = [misread.name for misread in report.misreads] == [fault.misread]
    told["one of these"] = any(fault.misread in doubt.pulls for doubt in report.doubts)
    told["unexplained"] = not report.is_settled
    if fault.off:
        told["ordered"] = set(fault.off) <= set(out)
        told["ordered or asked again"] = told["ordered"] or not report.is_fine
    return told


def measure(name: str, plan_name: str, runs: int, seed: int) -> str:
    """A line of one fault's shares."""
    plan = plan_of(plan_name)
    taped, random = choose_sheet_pulls(plan, TOLERANCE).must, np.random.default_rng(seed)
    told: Counter[str] = Counter()
    spent = 0.0
    for _ in range(runs):
        fault = FAULTS[name](plan, taped, random)
        field = simulate_field(plan, fault.taped or taped, random, **fault.given)
        started = time.process_time()
        try:
            told += count_told(judge_tape(plan, field.readings, TOLERANCE), fault)
        except PocketrefError:
            told["refused"] += 1
        spent += time.process_time() - started
    corners = told.pop("corners")
    said = [
        f"{what} {count / runs:.1%}" for what, count in told.items() if what != "true corners ordered moved"
    ]
    wrong = told["true corners ordered moved"]
    return f"{name}: {', '.join(said)}; {wrong} of {corners:,} corners wrongly ordered; {runs / spent:,.0f} a second"


def main() -> int:
    """Every fault around the plate, and perfect bases."""
    parser = argparse.ArgumentParser(description="What crews are told of simulated fields.")
    parser.add_argument("--runs", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    for name in FAULTS:
        sys.stdout.write(measure(name, "plate-area", options.runs, options.seed) + "\n")
        sys.stdout.flush()
    corners = tuple(f"corner {inches} in off" for inches in (0.5, 1.0, 3.0))
    for name in ("nothing", *corners, "factor 0.01", "pull misread by 12.0 in", "half filled"):
        sys.stdout.write("bases, " + measure(name, "diamond", options.runs, options.seed) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
