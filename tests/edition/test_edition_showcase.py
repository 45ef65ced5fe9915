"""The pictures in the README are the edition's own drawings."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_edition import demo_proof

from pocketref.publish.build import build_drawings

ROOT = Path(__file__).parents[2]
SHOWCASE = sorted(path.name for path in (ROOT / "out" / "showcase").glob("*.svg"))


@pytest.fixture(scope="module")
def drawings() -> dict[str, bytes]:
    proof = demo_proof()
    built = [file for item in (*proof.cards, *proof.sheets) for file in build_drawings(item)]
    return {Path(file.name).name: file.data for file in built}


def test_there_is_a_showcase() -> None:
    assert len(SHOWCASE) >= 3


@pytest.mark.parametrize("name", SHOWCASE)
def test_a_showcase_picture_is_what_publish_makes(name: str, drawings: dict[str, bytes]) -> None:
    shown = (ROOT / "out" / "showcase" / name).read_bytes()
    assert drawings[name] == shown, f"publish, then copy out/2027/drawings/{name} to out/showcase/"


def test_every_showcase_picture_is_in_the_readme() -> None:
    words = (ROOT / "README.md").read_text()
    assert [name for name in SHOWCASE if f"out/showcase/{name}" not in words] == []
