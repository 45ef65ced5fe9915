"""Figures that follow from a plan, as a short list."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import MOST_ENTRIES, PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.figures import PlanFigure
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.source.syntax.kinds import Name, Sentence
from pocketref.units.length import Length
from pocketref.units.notation import write_tape
from pocketref.words.speech import say
from pocketref.words.terminal import tell


class DerivedBlockModel(BlockModel):
    """Derived figures of a plan, as a short list."""

    block: Literal["derived"]
    plan: PlanName = Field(description="the plan the figures are of")
    heading: Sentence = Field(default="", description="a heading above it")
    show: tuple[Name, ...] = Field(min_length=1, max_length=MOST_ENTRIES, description="which figures, a list")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions."""
        yield from setting.list_dimensions(PLANS[self.plan])

    def build(self, setting: Setting) -> Block:
        """A line a figure; PocketrefError for one that the plan has not."""
        entries = []
        figures = setting.find_plan(self.plan).figures
        for index, name in enumerate(self.show):
            if name not in figures:
                where, hint = self.locate("show", index), suggest_match(name, figures)
                raise PocketrefError(
                    [
                        Problem(
                            "figure-unknown", tell("the plan has no figure '{name}'", name=name), hint, where
                        )
                    ]
                )
            entries.append(_write_figure(figures[name], setting.lengths.get(name)))
        return Paragraphs("derived figures", tuple(entries), self.heading, "list")


def _write_figure(figure: PlanFigure, published: Length | None) -> str:
    """A derived figure in a line; where the book prints a rounded one, both."""
    nominal = write_tape(published or figure.length)
    label = say(figure.label)
    if published is not None and published != figure.length:
        exact = f"{figure.inches:.2f}\u00a0in"
        return say(
            "*{nominal}* as published, *{exact}* exact: {label}", nominal=nominal, exact=exact, label=label
        )
    return f"*{nominal}* {label}"
