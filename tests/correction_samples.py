"""An edition of the small source that a bulletin corrects, proven without being published."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from season_samples import FIRST, SECOND_CARD, Season
from source_folders import copy_folders

from pocketref.bulletins.bulletin import Bulletin, ConcernedCard
from pocketref.edition.press import make_run
from pocketref.edition.proof import Proof, prove
from pocketref.edition.whole_source import read_whole_source
from pocketref.publish.build import check_edition
from pocketref.source.record import write_record

NO_FILES: Mapping[str, str] = MappingProxyType({})


@dataclass
class Corrected:
    """A season whose bulletin is proven."""

    proof: Proof
    bulletin: Bulletin

    def find(self, number: str) -> ConcernedCard:
        (card,) = [card for card in self.bulletin.cards if card.number == number]
        return card


def correct(
    folder: Path,
    *edits: tuple[str, str, str],
    added: Mapping[str, str] = NO_FILES,
    created: Mapping[str, str] = NO_FILES,
    removed: Sequence[str] = (),
) -> Corrected:
    """The small source with two cards and what is `added`, corrected since.

    Files were edited, `created` and `removed`.
    """
    season = Season(copy_folders(folder))
    for name, text in {"layouts/cards/sight.yaml": SECOND_CARD, **added}.items():
        season.folders.add(name, text)
    library = read_whole_source(season.folders.content, season.folders.layouts).library
    season.folders.add("content/past/2027.json", write_record(library).decode())
    for name, text in created.items():
        season.folders.add(name, text)
    for name in removed:
        (season.folders.root / name).unlink()
    for edit in edits:
        season.folders.replace(*edit)
    season.add_bulletin(FIRST)
    proof = prove(season.folders.content, season.folders.layouts)
    bulletin = check_edition(proof, make_run(proof.layouts)).bulletin
    assert bulletin
    return Corrected(proof, bulletin)
