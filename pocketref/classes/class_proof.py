"""Every class of the layouts laid out, and what is wrong with it noted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pocketref.classes.deck import ClassDeck, lay_out_class
from pocketref.classes.objectives import write_room
from pocketref.classes.slide import MOST_HEIGHTS, read_screen
from pocketref.layouts.class_models import ClassModel
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.pages.stock_models import StylesModel
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError, Problem, ProblemLog, Severity
from pocketref.words.terminal import tell


def prove_classes(layouts: Layouts, books: RuleBooks, problems: ProblemLog) -> tuple[ClassDeck, ...]:
    """The classes that can be laid out, by name."""
    done = []
    for model in layouts.classes:
        problems.extend(_check_seats(model, layouts.styles))
        try:
            deck = lay_out_class(model, books, layouts)
        except PocketrefError as error:
            placed = (each if each.where else replace(each, where=model.location) for each in error.problems)
            problems.extend(each for each in placed if each not in problems.problems)
        else:
            problems.extend((*check_overlaps(deck.deck), *check_overlaps(deck.notes)))
            done.append(deck)
    return tuple(done)


def _check_seats(model: ClassModel, styles: StylesModel) -> Iterator[Problem]:
    """A warning for a last row that sits farther from the picture than one is to teach from."""
    most = read_screen(model, styles).most_distance
    if model.reading_distance > most:
        far, high = write_room(model.reading_distance), write_room(model.screen_height)
        sentence = tell(
            "from {far} a picture {high} high is too small to teach by: no more than {most_heights} "
            "times its height, {most}",
            far=far,
            high=high,
            most_heights=MOST_HEIGHTS,
            most=write_room(most),
        )
        hint = tell("seat the last row nearer, or show a larger picture, and write that here")
        where = model.locate("reading-distance")
        yield Problem("class-far", sentence, hint, where, Severity.WARNING)


def summarize_classes(classes: tuple[ClassDeck, ...]) -> str:
    """The classes in a line; empty without any."""
    shown = (
        tell(
            "{name}, {slides} slides in {minutes} minutes",
            name=each.model.class_,
            slides=len(each.slides),
            minutes=each.model.minutes,
        )
        for each in classes
    )
    return tell("classes: {classes}.", classes="; ".join(shown)) if classes else ""
