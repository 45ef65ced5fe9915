"""The demo edition, proven and built once for all tests that look at it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof, prove
from pocketref.publish.build import build_edition

ROOT = Path(__file__).parents[1]


@cache
def demo_proof() -> Proof:
    return prove(ROOT / "content", ROOT / "layouts")


@cache
def demo_files() -> Mapping[str, BuiltFile]:
    """Its files by name."""
    return MappingProxyType({file.name: file for file in build_edition(demo_proof())})
