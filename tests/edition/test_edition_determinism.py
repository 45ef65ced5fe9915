"""The same source gives the same bytes, whatever the machine it is published on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from source_folders import FIXTURES

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import prove
from pocketref.publish.build import build_edition

PROGRAM = """
import hashlib, json, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from pocketref.publish.build import build_edition
from pocketref.edition.manifest import write_file
from pocketref.edition.manifest_writing import write_manifest
from pocketref.edition.proof import prove
proof = prove(Path(sys.argv[2], "content"), Path(sys.argv[2], "layouts"))
files = list(build_edition(proof))
entries = {file.name: write_file(file) for file in files}
files.append(write_manifest(proof.library, entries, proof.inputs))
print(json.dumps({file.name: hashlib.sha256(file.data).hexdigest() for file in files}))
"""


def digests_elsewhere(folder: Path, source: Path, **environment: str) -> dict[str, str]:
    """The digests that another process finds, in another folder and with another environment."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(Path(__file__).parents[2]), str(source)],
        cwd=folder,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    found: dict[str, str] = json.loads(done.stdout)
    return found


def test_the_bytes_depend_on_no_seed_zone_language_or_folder(tmp_path: Path) -> None:
    here = digests_elsewhere(FIXTURES, FIXTURES, PYTHONHASHSEED="1", TZ="UTC", LANG="C")
    there = digests_elsewhere(
        tmp_path, FIXTURES, PYTHONHASHSEED="2", TZ="Pacific/Kiritimati", LANG="de_DE.UTF-8", LC_ALL="C.UTF-8"
    )
    assert {"cards/batters-box.pdf", "drawings/batters-box-front.svg", "source.json", "manifest.json"} <= set(
        here
    )
    assert there == here


def test_the_bytes_do_not_depend_on_where_the_source_lies(tmp_path: Path) -> None:
    import shutil

    shutil.copytree(FIXTURES, tmp_path / "copy")
    here = {file.name: file.data for file in build_edition(prove(FIXTURES / "content", FIXTURES / "layouts"))}
    there = {
        file.name: file.data
        for file in build_edition(prove(tmp_path / "copy" / "content", tmp_path / "copy" / "layouts"))
    }
    assert there == here


def test_building_twice_gives_the_same_bytes(built: Mapping[str, BuiltFile]) -> None:
    again = {file.name: file for file in build_edition(prove(FIXTURES / "content", FIXTURES / "layouts"))}
    assert again == dict(built)
