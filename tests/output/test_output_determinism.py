from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

from output_samples import full_document

from pocketref.output.pdf import write_pdf
from pocketref.output.svg import write_svg

HERE = Path(__file__).parent
PROGRAM = """
import hashlib, sys
sys.path[:0] = sys.argv[1:]
from output_samples import full_document
from pocketref.output.pdf import write_pdf
from pocketref.output.svg import write_svg
document = full_document()
print(hashlib.sha256(write_pdf(document)).hexdigest())
print(hashlib.sha256(write_svg(document.pages[0], "t", "d").encode()).hexdigest())
"""


def run_elsewhere(folder: Path, **environment: str) -> list[str]:
    """The digests that another process finds, in another folder and with another environment."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(HERE), str(HERE.parent), str(HERE.parents[1])],
        cwd=folder,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.split()


def test_the_bytes_depend_on_no_seed_zone_folder_clock_or_settings(tmp_path):
    document = full_document()
    here = [
        hashlib.sha256(write_pdf(document)).hexdigest(),
        hashlib.sha256(write_svg(document.pages[0], "t", "d").encode()).hexdigest(),
    ]
    home = tmp_path / "home"
    home.mkdir()
    (home / ".reportlab_settings").write_text(
        "useA85 = 1\npdfComments = 1\npageCompression = 0\nttfAsciiReadable = 1\n"
    )
    assert run_elsewhere(tmp_path, PYTHONHASHSEED="1", TZ="Pacific/Kiritimati", HOME=str(home)) == here
    upset = {"RL_useA85": "1", "RL_pdfMultiLine": "1", "RL_invariant": "0", "RL_documentLang": "fr-FR"}
    assert run_elsewhere(HERE, PYTHONHASHSEED="2", TZ="UTC", SOURCE_DATE_EPOCH="1234567890", **upset) == here


def test_writing_twice_in_one_process_gives_the_same_bytes():
    assert write_pdf(full_document()) == write_pdf(full_document())
    once, again = (write_svg(full_document().pages[0], "t", "d") for _ in range(2))
    assert once == again


def test_equal_values_give_equal_bytes_whether_or_not_they_are_shared():
    from copy import deepcopy

    assert write_pdf(deepcopy(full_document())) == write_pdf(full_document())
