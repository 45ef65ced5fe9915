"""Rulings and situations made in a few words."""

from __future__ import annotations

from pocketref.source.ruling_models import RulingModel
from pocketref.source.situation_models import SituationModel


def make_ruling(**effect: object) -> RulingModel:
    """A ruling with the effects given; raises ValidationError if they contradict each other."""
    return RulingModel.model_validate({"headline": "So it is", "say": [], "signal": [], **effect})


def stand(runners: str, outs: int, count: str) -> SituationModel:
    """Where a game stands, the bases held as "first third"."""
    return SituationModel.model_validate({"runners": runners.split(), "outs": str(outs), "count": count})
