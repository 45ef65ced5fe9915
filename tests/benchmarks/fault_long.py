"""Kills a real publish over and over at any moment, and fills a real disk: the edition stands, old or new.

    python tests/benchmarks/fault_long.py --kills 300 [--two-steps]

With --two-steps, folders change places as where the system can't exchange them at once; the next command then finds
the edition again.
A small disk is a tmpfs of 1 MiB, which takes the right to mount; without it that part is left out, and said so.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from pocketref.edition.manifest import MANIFEST  # noqa: E402  # the path is set above
from pocketref.edition.verify import verify_folder  # noqa: E402

FIXTURES = ROOT / "tests" / "fixtures"
COMMAND = (sys.executable, "-c", "from pocketref.cli import main; main()")
TWO_STEPS = """\
from pocketref.output import files
files._exchange = lambda one, other: False
# Long enough that kills fall into it, however fast the disk.
move = files._move_to_free
def move_slowly(new, target):
    import os, time
    if not os.path.lexists(target):
        time.sleep(0.02)
    return move(new, target)
files._move_to_free = move_slowly
from pocketref.cli import main
main()
"""
CARD = "layouts/cards/batters-box.yaml"


def say(words: str) -> None:
    """A line for who waits."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


def digest(folder: Path) -> str:
    """All files of a folder in one digest."""
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name != MANIFEST:  # which names the program that made it, and is verified
            whole.update(path.relative_to(folder).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return whole.hexdigest()


def make_sources(place: Path) -> list[list[str]]:
    """The options of two sources that differ in a title."""
    options = []
    for name in ("old", "new"):
        shutil.copytree(FIXTURES, place / name)
        text = (place / name / CARD).read_text(encoding="utf-8")
        (place / name / CARD).write_text(text.replace("Batter's box", f"The {name} box"), encoding="utf-8")
        options.append(["--content", f"{place}/{name}/content", "--layouts", f"{place}/{name}/layouts"])
    return options


def run(options: list[str], out: Path) -> subprocess.CompletedProcess[str]:
    """One publish to its end."""
    command = [*COMMAND, "publish", *options, "--out", str(out)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def kill_often(place: Path, kills: int, seed: int, *, two_steps: bool) -> bool:
    """Kill publishes of the two editions in turn; whether the folder always held one of them."""
    sources, out, rng = make_sources(place), place / "out", random.Random(seed)
    whole, start = [], time.monotonic()
    for options in sources:
        done = run(options, out)
        assert done.returncode == 0, done.stderr
        whole.append(digest(out / "2027"))
    seconds = (time.monotonic() - start) / 2
    seen: Counter[str] = Counter()
    for number in range(kills):
        program = [sys.executable, "-c", TWO_STEPS] if two_steps else COMMAND
        command = [*program, "publish", *sources[number % 2], "--out", str(out)]
        process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        if number % 8 == 0:
            time.sleep(seconds * rng.uniform(0, 1.1))
        else:  # most of them while files are written and folders change places
            in_swap = two_steps and number % 2
            while process.poll() is None and (
                (out / "2027").exists() if in_swap else len(list(out.iterdir())) == 1
            ):
                time.sleep(0.0005)
            time.sleep(rng.uniform(0, 0.03 if in_swap else 0.3))
        seen["alive" if process.poll() is None else "done"] += 1
        process.kill()
        process.wait()
        if not (out / "2027").exists():
            seen["set aside"] += 1
            subprocess.run(
                [*COMMAND, "verify", str(out / "2027")], cwd=ROOT, capture_output=True, check=False
            )
        found = digest(out / "2027")
        is_whole = not verify_folder(out / "2027").problems and found in whole
        seen[("old", "new")[whole.index(found)] if is_whole else "torn"] += 1
        left = len(list(out.iterdir())) - 1
        seen["left beside"] += left > 0
    last = run(sources[0], out)
    swept = [path.name for path in out.iterdir()] == ["2027"] and last.returncode == 0
    say(f"{kills} kills, a publish takes {seconds:.2f} s: " + ", ".join(f"{k} {v}" for k, v in seen.items()))
    say(f"the next publish {'swept all away' if swept else 'LEFT SOMETHING'}")
    return not seen["torn"] and swept


def fill_disk(place: Path) -> bool:
    """Publish to disks of growing size until one holds it; whether each failure was told and left nothing."""
    sources, out, good = make_sources(place / "sources"), place / "disk", True
    out.mkdir()
    for kib in (64, 256, 512, 1024, 2048, 4096, 16384):
        mount = ["mount", "-t", "tmpfs", "-o", f"size={kib}k", "pocketref-disk", str(out)]
        if subprocess.run(mount, capture_output=True, check=False).returncode:
            say("no small disk could be mounted: this part is left out")
            return True
        try:
            first = run(sources[0], out)
            before = digest(out / "2027") if first.returncode == 0 else ""
            again = run(sources[1], out)
            after = digest(out / "2027") if (out / "2027").is_dir() else ""
            told = all(
                d.returncode == 0 or ("[disk-full]" in d.stderr and "Traceback" not in d.stderr)
                for d in (first, again)
            )
            stands = again.returncode == 0 or after == before
            clean = all(path.name == "2027" for path in out.iterdir())
            good = good and told and stands and clean
            codes = f"first {first.returncode}, again {again.returncode}"
            say(f"{kib:6} KiB: {codes}; told {told}, stands {stands}, clean {clean}")
        finally:
            subprocess.run(["umount", str(out)], check=False)
    return good


def main() -> int:
    """Run both."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=2027)
    parser.add_argument("--two-steps", action="store_true")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="pocketref-fault-") as folder:
        place = Path(folder)
        is_whole = kill_often(place, args.kills, args.seed, two_steps=args.two_steps)
        is_told = fill_disk(place)
    return 0 if is_whole and is_told else 1


if __name__ == "__main__":
    raise SystemExit(main())
