"""Proof: every check over content and layouts, nothing written."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from math import prod
from pathlib import Path

from pocketref.classes.class_proof import prove_classes
from pocketref.classes.deck import ClassDeck
from pocketref.edition.manifest import STORED, hash_inputs
from pocketref.edition.manifest_writing import list_pictures
from pocketref.edition.play_proof import PlayProof, prove_plays
from pocketref.edition.source_reading import list_past, read_source
from pocketref.field.level_check import check_levels
from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.footers import ASSOCIATION_LONG, find_long_association
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.layouts.places import needs_places
from pocketref.layouts.remedy import write_remedy
from pocketref.pages.stock_models import suggest_stock
from pocketref.problems import PocketrefError, Problem, ProblemLog, refusal
from pocketref.rulings.audit import audit_table, list_idle_in_all, list_problems
from pocketref.rulings.chart import list_chart_problems
from pocketref.rulings.construct import construct_table
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.library import Library, read_library
from pocketref.source.syntax.located import SourceModel


@dataclass(frozen=True, slots=True)
class Proof:
    """A source that passed: what was read, every card, sheet and class laid out, and what is worth knowing."""

    library: Library
    layouts: Layouts
    cards: tuple[LaidOut, ...]
    sheets: tuple[LaidOut, ...]
    warnings: tuple[Problem, ...]
    tables: int
    combinations: int
    inputs: Mapping[str, str]
    """SHA-256 of each source file by name."""
    plays: PlayProof
    classes: tuple[ClassDeck, ...] = ()
    past: tuple[Library, ...] = ()
    """The past editions kept under content/past, the newest last."""

    @property
    def previous(self) -> Library | None:
        """The newest past edition; None without one."""
        return self.past[-1] if self.past else None


def prove(content: Path, layouts: Path, stock: str = "") -> Proof:
    """Read, resolve, audit and lay out everything; raises PocketrefError with all that is wrong.

    `content` is a folder, or the stored source of an edition (a JSON file).
    """
    library = read_source(content) if content.suffix == STORED else read_library(content)
    looks = read_layouts(layouts, library, content)
    if stock and stock not in looks.stocks:
        hint = suggest_stock(stock, looks.stocks)
        raise refusal("stock-unknown", f"there is no stock '{stock}'", hint)
    inputs = hash_inputs(content, layouts) | list_pictures(content, looks)
    problems = ProblemLog()
    problems.extend((*library.warnings, *looks.warnings, *check_levels(library.fields.values())))
    problems.raise_errors()
    past = list_past(library, content, problems)
    problems.raise_errors()
    previous = past[-1] if past else None
    combinations = _audit_tables(library, problems)
    # Only sound tables can rule on plays.
    plays = None if problems.errors else prove_plays(library, looks, layouts, problems)
    shown = [] if plays is None else [sheet.model for sheet in plays.sheets]
    models = [
        *library.list_models(),
        *looks.cards,
        *looks.sheets,
        *looks.classes,
        *shown,
        *looks.stocks.values(),
    ]
    _check_glyphs(models, problems)
    if long := find_long_association(library, looks, stock):
        problems.extend([long])
    cards = _lay_out_cards(library, looks, stock, previous, problems)
    lay_out = partial(lay_out_sheet, library=library, layouts=looks, previous=previous)
    sheets = _lay_out_all([(each, partial(lay_out, each)) for each in looks.sheets], library, looks, problems)
    classes = prove_classes(looks, plays.books, problems) if plays else ()
    problems.raise_errors()
    if plays is None:
        raise AssertionError("a table at fault must have raised")
    return Proof(
        library,
        looks,
        cards,
        sheets,
        tuple(problems.problems),
        len(library.rulings),
        combinations,
        inputs,
        plays,
        classes,
        past,
    )


def _lay_out_cards(
    library: Library, looks: Layouts, stock: str, previous: Library | None, problems: ProblemLog
) -> tuple[LaidOut, ...]:
    """The cards in the order of their numbers; those that list places are laid out last, as the others have them."""
    cards: tuple[LaidOut, ...] = ()
    for are_lists in (False, True):
        lay_out = partial(lay_out_card, library=library, layouts=looks, stock_name=stock, previous=previous)
        work = [
            (card, partial(lay_out, card, placed=cards))
            for card in looks.cards
            if needs_places(card) is are_lists
        ]
        cards += _lay_out_all(work, library, looks, problems, stock)
    order = {card.card: number for number, card in enumerate(looks.cards)}
    return tuple(sorted(cards, key=lambda card: order[card.name]))


def _audit_tables(library: Library, problems: ProblemLog) -> int:
    """Audit every table; gives the number of combinations ruled on.

    The codes of a subject share its facts, so a fact or answer that changes nothing is news only where it
    changes nothing in any of them.
    """
    combinations = 0
    # The library has told of rulings without a row, at their own place.
    told = {_file_of(warning) for warning in library.warnings if warning.code == "ruling-unused"}
    for subject in library.subjects:
        models = [model for (_, name), model in library.rulings.items() if name == subject]
        audits = [audit_table(construct_table(library.subjects[subject], model)) for model in models]
        for audit in audits:
            found = list_problems(audit)
            if audit.is_unique:
                with suppress(PocketrefError):  # told where the chart is asked for
                    found += list_chart_problems(audit.table)
            problems.extend(p for p in found if not (p.code == "ruling-unused" and _file_of(p) in told))
            combinations += prod(len(fact.answers) for fact in audit.table.facts)
        problems.extend(list_idle_in_all(audits))
    return combinations


def _file_of(problem: Problem) -> str:
    return problem.where.file if problem.where else ""


def _lay_out_all(
    work: Sequence[tuple[CardModel | SheetModel, Callable[..., LaidOut]]],
    library: Library,
    looks: Layouts,
    problems: ProblemLog,
    stock: str = "",
) -> tuple[LaidOut, ...]:
    """Everything that can be laid out; what cannot is noted."""
    done: list[LaidOut] = []
    for model, lay_out in work:
        try:
            done.append(lay_out())
        except PocketrefError as error:
            # A table at fault is told by every chart of it, a long name by every footer: once is enough.
            is_told = any(p.code == ASSOCIATION_LONG for p in problems.problems)
            left = [p for p in error.problems if not (is_told and p.code == ASSOCIATION_LONG)]
            mended = write_remedy(left, model, stock or model.stock, looks, lay_out)
            placed = [_place(p, model, library) for p in mended]
            problems.extend(problem for problem in placed if problem not in problems.problems)
        else:
            problems.extend(check_overlaps(done[-1]))
    return tuple(done)


def _place(problem: Problem, model: CardModel | SheetModel, library: Library) -> Problem:
    """The problem at its own place; else at the dimensions of the level if it is about these, or at the layout."""
    if problem.where:
        return problem
    level = library.fields.get(f"{model.code}-{model.level}")
    if level and problem.code.startswith("dimension-"):
        hint = f"{problem.hint}, or draw what takes it for other levels only: 'for' of a layout or block"
        return replace(problem, where=level.locate("dimensions"), hint=hint)
    return replace(problem, where=model.location)


def _check_glyphs(models: Iterable[SourceModel], problems: ProblemLog) -> None:
    """Note each character of the source that the typeface cannot set, where it first stands.

    Its faces have the same characters. What no face prints today, the sheet of what changed may.
    """
    told: set[str] = set()
    texts = (node for model in models for node in model.list_texts() if not node.text.isascii())
    for node in texts:
        for character in typeface(FontFace.REGULAR).missing(unicodedata.normalize("NFC", node.text)):
            if character in told or character.isspace():
                continue
            told.add(character)
            sentence = f"the typeface has no glyph for U+{ord(character):04X} '{character}'"
            where = node.locate_offset(max(node.text.find(character), 0))
            problems.error("glyph-missing", sentence, "write it with another character", where)
