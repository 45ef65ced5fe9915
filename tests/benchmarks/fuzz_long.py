"""Feeds spoilt files to pocketref for minutes, and says what came of it.

    python tests/benchmarks/fuzz_long.py --count 100000 --kind source

Kinds: source (content and layout files, read), layouts and figures (layout or content files, laid out each
time), readings (YAML and CSV), answers, rosters, pdf (filled-in sheets), editions (manifest and source of a published
one). A finding is anything but a well-told refusal: another exception, more than five seconds of work, more than
1 GiB, a problem without a place. Its number brings it back: `--first NUMBER --count 1 --show`.
"""

from __future__ import annotations

import argparse
import faulthandler
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "fuzz")]

from effort import peak_mib, spend_s  # noqa: E402  # the path is set above
from fuzz_subjects import KINDS, Subject, make_subject, seeded  # noqa: E402  # the path is set above
from refusals import BadRefusalError  # noqa: E402

SLOWEST_S = 5.0
"""Of processor time, so that a busy machine tells no tales."""
LONGEST_WAIT_S = 60.0
MOST_MIB = 1024
SEED = 2027


class SlowError(Exception):
    """Raised by the clock in the midst of a call that takes too long."""


def say(words: str, end: str = "\n") -> None:
    """A line for who waits."""
    sys.stdout.write(words + end)
    sys.stdout.flush()


def ring(*_: object) -> None:
    """Interrupt what runs."""
    raise SlowError


class Tally:
    """What was fed, what came back, the worst of it."""

    def __init__(self) -> None:
        self.answers: Counter[str] = Counter()
        self.codes: Counter[str] = Counter()
        self.findings: dict[str, list[int]] = {}
        self.slowest = (0.0, -1)
        self.largest = (0.0, -1)

    def feed(self, number: int, call: Callable[[], tuple[Any, ...]]) -> None:
        """One mutant through one call."""
        before, start = peak_mib(), spend_s()
        signal.setitimer(signal.ITIMER_PROF, SLOWEST_S)
        signal.setitimer(signal.ITIMER_REAL, LONGEST_WAIT_S)
        try:
            problems = call()
            self.answers["refused" if problems else "read"] += 1
            self.codes.update({problem.code for problem in problems})
        except SlowError:
            self.note(number, f"slower than {SLOWEST_S:g} s: {_where(sys.exc_info()[2])}")
        except BadRefusalError as error:
            self.note(number, str(error))
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt):
                raise
            self.note(number, f"{type(error).__name__} at {_where(error.__traceback__)}: {str(error)[:200]}")
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.setitimer(signal.ITIMER_REAL, 0)
        spent = spend_s() - start
        if spent > SLOWEST_S:  # that of another process, whose clock rings for none
            self.note(number, f"takes {spent:.1f} s")
        self.slowest = max(self.slowest, (spent, number))
        grown = peak_mib()
        if grown > before + 20:
            self.largest = max(self.largest, (grown, number))
        if grown > MOST_MIB > before:
            self.note(number, f"holds {grown:.0f} MiB")

    def note(self, number: int, what: str) -> None:
        """Keep a finding, and print it the first time."""
        self.answers["findings"] += 1
        key = what.split(": ")[0][:120]
        if key not in self.findings:
            say(f"  #{number}: {what}")
        self.findings.setdefault(key, []).append(number)


def _where(trace: Any) -> str:
    frames = traceback.extract_tb(trace)
    ours = [frame for frame in frames if "/pocketref/" in frame.filename] or list(frames)
    return ", ".join(f"{Path(f.filename).name}:{f.lineno}" for f in ours[-3:][::-1])


def run(subject: Subject, first: int, count: int, seed: int, minutes: float, *, verbose: bool) -> Tally:
    """Feed `count` mutants, or as many as the minutes allow."""
    tally, end = Tally(), time.monotonic() + minutes * 60
    started = time.monotonic()
    for number in range(first, first + count):
        if time.monotonic() > end:
            say(f"  stopped by the clock after {number - first} of {count}")
            break
        made = subject.make(seeded(seed, number))
        if verbose:
            say(f"#{number} {made.how} {made.name}\n{made.data[:3000].decode('utf-8', 'replace')}")
        tally.feed(number, lambda: subject.feed(made, number))  # noqa: B023  # called at once
        if (number - first + 1) % 10_000 == 0:
            rate = (number - first + 1) / (time.monotonic() - started)
            say(f"  {number - first + 1:,} fed, {rate:.0f} a second, {peak_mib():.0f} MiB")
    return tally


def report(kind: str, tally: Tally, notes: Mapping[str, int], seconds: float) -> None:
    """What came of it."""
    fed = sum(tally.answers.values())
    say(
        f"{kind}: {fed:,} fed in {seconds:.0f} s; "
        + ", ".join(f"{k} {v:,}" for k, v in tally.answers.items())
    )
    say("  " + ", ".join(f"{what} {count:,}" for what, count in notes.items()))
    say(
        f"  {len(tally.codes)} codes of refusal: "
        + ", ".join(f"{c} {n}" for c, n in tally.codes.most_common(40))
    )
    say(f"  slowest {tally.slowest[0]:.2f} s (#{tally.slowest[1]}); most memory {peak_mib():.0f} MiB", end="")
    say(f" (#{tally.largest[1]})" if tally.largest[1] >= 0 else "")
    for what, numbers in sorted(tally.findings.items(), key=lambda found: -len(found[1])):
        say(f"  finding, {len(numbers)} times: {what}: " + ", ".join(f"#{n}" for n in numbers[:6]))


def main() -> int:
    """Run one kind."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kind", choices=KINDS, default="source")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--show", action="store_true", help="print each mutant")
    args = parser.parse_args()
    faulthandler.enable()
    signal.signal(signal.SIGALRM, ring)
    signal.signal(signal.SIGPROF, ring)
    resource.setrlimit(
        resource.RLIMIT_AS, (6 << 30, 6 << 30)
    )  # an explosion becomes a finding, not an outage
    place = Path("/dev/shm") if Path("/dev/shm").is_dir() else None  # files are rewritten often
    folder = Path(tempfile.mkdtemp(prefix="pocketref-fuzz-", dir=place))
    started = time.monotonic()
    try:
        subject = make_subject(args.kind, folder)
        tally = run(subject, args.first, args.count, args.seed, args.minutes, verbose=args.show)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    report(args.kind, tally, subject.notes, time.monotonic() - started)
    return 1 if tally.findings else 0


if __name__ == "__main__":
    raise SystemExit(main())
