"""Spoilt sources are read, or refused with a place and a sentence, within seconds; never anything else.

Every mutant follows from a seed and its number: `--fuzz-seed` gives another seed, and
`tests/benchmarks/fuzz_long.py` feeds mutants by the hundred thousand.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from effort import spend_s
from fuzz_subjects import SourceSubject, Subject, seeded
from record_subjects import AnswersSubject, EditionSubject, ReadingsSubject, RosterSubject, SheetSubject
from source_folders import FIXTURES

SLOWEST_S = 5.0
"""Of processor time: a busy machine tells no tales."""


def small_source(folder: Path) -> Subject:
    return SourceSubject(folder, prove_every=10, sources=[FIXTURES])


def small_figures(folder: Path) -> Subject:
    return SourceSubject(folder, prove_every=1, adjusted=1.0, sources=[FIXTURES])


KINDS: dict[str, tuple[Callable[[Path], Subject], int]] = {
    "source": (small_source, 150),
    "figures": (small_figures, 50),
    "readings": (ReadingsSubject, 60),
    "answers": (AnswersSubject, 150),
    "rosters": (RosterSubject, 80),
    "sheets": (SheetSubject, 40),
    "editions": (EditionSubject, 60),
}
"""What is spoilt, and how many mutants of it are fed."""


def digest_mutants(subject: Subject, seed: int) -> str:
    """Thirty mutants, made last to first and first to last: in either order they are the same."""
    numbers = [*reversed(range(30)), *range(30)]
    made = [repr(subject.make(seeded(seed, number))) for number in numbers]
    assert made[:30] == made[:29:-1]
    return sha256("".join(made).encode()).hexdigest()


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_spoilt_is_read_or_refused_with_a_place_in_seconds(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    make_subject, count = KINDS[kind]
    seed = int(request.config.getoption("--fuzz-seed"))
    subject = make_subject(tmp_path)
    for number in range(count):
        mutant = subject.make(seeded(seed, number))
        start = spend_s()
        try:
            subject.feed(mutant, number)
        except Exception as error:
            error.add_note(f"{kind}, seed {seed}, mutant {number}: {mutant.how} of {mutant.name}")
            raise
        assert spend_s() - start < SLOWEST_S, (kind, seed, number)


PROGRAM = """
import json, sys
from pathlib import Path
sys.path[:0] = sys.argv[2:]
from test_fuzz_source import KINDS, digest_mutants
print(json.dumps({kind: digest_mutants(make(Path(sys.argv[1], kind)), 1) for kind, (make, _) in KINDS.items()}))
"""


def test_a_seed_and_a_number_are_enough_to_see_a_mutant_again(tmp_path: Path) -> None:
    here = Path(__file__).parent
    elsewhere = subprocess.run(
        [sys.executable, "-W", "error", "-c", PROGRAM, str(tmp_path / "a"), str(here), str(here.parent)],
        env={**os.environ, "PYTHONHASHSEED": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    made = {kind: digest_mutants(make(tmp_path / "b" / kind), 1) for kind, (make, _) in KINDS.items()}
    assert json.loads(elsewhere.stdout) == made
