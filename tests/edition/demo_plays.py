"""The demo edition's own plays and training sheets, proven once."""

from __future__ import annotations

from functools import cache

from play_samples import ROOT, content

from pocketref.edition.play_proof import PlayProof, prove_plays
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.problems import ProblemLog


@cache
def demo_layouts() -> Layouts:
    """The demo's layouts."""
    return read_layouts(ROOT / "layouts", content())


@cache
def demo() -> PlayProof:
    """What its plays prove, and the sheets they make."""
    problems = ProblemLog()
    proof = prove_plays(content(), demo_layouts(), ROOT / "layouts", problems)
    problems.raise_errors()
    return proof
