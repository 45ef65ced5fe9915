"""Proof: every check over content and layouts, nothing written."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from math import prod
from pathlib import Path

from pocketref.classes.class_proof import prove_classes
from pocketref.classes.deck import ClassDeck
from pocketref.edition.languages import ALONE, EditionLanguage, merge_problems, take_in_each
from pocketref.edition.making import Maker
from pocketref.edition.parts import CARDS, SHEETS, Part, choose_parts
from pocketref.edition.play_proof import PlayProof, prove_plays
from pocketref.edition.whole_source import WholeSource, read_whole_source, translate_source
from pocketref.layouts.cards import CardFaces, LaidOut, find_card_faces, lay_out_card, lay_out_sheet
from pocketref.layouts.class_layouts import CLASSES
from pocketref.layouts.footers import ASSOCIATION_LONG, find_long_association
from pocketref.layouts.for_levels import merge_named
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import BY_LANGUAGE, CardModel, SheetModel
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.layouts.places import find_places, needs_places
from pocketref.layouts.play_layouts import PLAY_SHEETS, read_play_sheets
from pocketref.layouts.remedy import write_remedy
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError, Problem, ProblemLog, Severity
from pocketref.rulings.audit import audit_table, list_idle_in_all, list_problems
from pocketref.rulings.chart import list_chart_problems
from pocketref.rulings.construct import construct_table
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.library import Library
from pocketref.source.syntax.located import SourceModel
from pocketref.source.translation import translate_model
from pocketref.words.speech import find_language
from pocketref.words.terminal import tell, tell_count


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
    language: EditionLanguage = ALONE
    """Which of the edition's languages it is in, where there are several."""
    others: tuple[Proof, ...] = ()
    """The same source in each further language."""

    @property
    def previous(self) -> Library | None:
        """The newest past edition; None without one."""
        return self.past[-1] if self.past else None

    @property
    def printed(self) -> tuple[LaidOut, ...]:
        """The cards that this language prints: not those whose faces stand on the backs of its own language's."""
        is_own = not self.language.folder
        return tuple(card for card in self.cards if is_own or not card.is_two_sided)


def prove(
    content: Path,
    layouts: Path,
    stock: str = "",
    only: Sequence[str] = (),
    maker: Maker | None = None,
    languages: Sequence[EditionLanguage] = (),
) -> Proof:
    """Read, resolve, audit and lay out everything; raises PocketrefError with all that is wrong.

    `content` is a folder, or the stored source of an edition (a JSON file). With names in `only`, no other parts are
    laid out, nor plays ruled on where none of these shows any; "part-unknown" for a name that is none. With several
    `languages` all is proven in each, else in the one in force.
    """
    source, maker = read_whole_source(content, layouts, stock), maker or Maker()
    if len(languages) < 2:
        proof = prove_whole(source, only, maker)
        return replace(proof, warnings=(*proof.warnings, *_list_one_sided(proof.layouts)))
    first, *others = take_in_each(
        languages, lambda each: replace(prove_whole(source, only, maker), language=each)
    )
    found = {proof.language.name: proof.warnings for proof in (first, *others)}
    return replace(first, warnings=tuple(merge_problems(languages, found)), others=tuple(others))


def _list_one_sided(looks: Layouts) -> Iterator[Problem]:
    """A warning of the cards that are to be two-sided by language in an edition in one."""
    cards = [card for card in looks.cards if card.sides == BY_LANGUAGE]
    if cards:
        where = cards[0].locate("sides")
        if where == cards[0].location:
            where = looks.house.locate("sides")
        sentence = tell_count(
            len(cards),
            "{count} card is to be two-sided by language, and the edition is in one: it has front and back",
            "{count} cards are to be two-sided by language, and the edition is in one: they have front and back",
        )
        hint = tell("name the edition's languages in edition.yaml, such as 'languages: [en, es]'")
        yield Problem("sides-one-language", sentence, hint, where, Severity.WARNING)


def prove_whole(source: WholeSource, only: Sequence[str], maker: Maker) -> Proof:
    """Audit and lay out what was read, as `prove`."""
    problems = ProblemLog(list(source.warnings))
    combinations = _audit_tables(source.library, problems)
    if language := find_language():
        source = translate_source(source, language)
    library, looks = source.library, source.layouts
    asked, training = _choose(source, only)
    maker.expect(len(asked.cards) + len(asked.sheets) + 2)
    # Only sound tables can rule on plays.
    plays = None if problems.errors else _prove_plays(source, training, problems, maker)
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
    if long := find_long_association(library, looks, source.stock):
        problems.extend([long])
    cards = lay_out_cards(asked.cards, source, problems, maker)
    laid_out = [lay_out_model(model, source, problems, maker) for model in asked.sheets]
    sheets = tuple(sheet for sheet in laid_out if sheet is not None)
    classes = _prove_classes(asked, plays.books, problems, maker) if plays else ()
    problems.problems = list(merge_named(problems.problems, (*looks.cards, *looks.sheets)))
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
        source.inputs,
        plays,
        classes,
        source.past,
    )


def _choose(source: WholeSource, only: Sequence[str]) -> tuple[Layouts, frozenset[str] | None]:
    """The layouts with those parts alone that are asked for, and the training sheets' names; None is all of these.

    A class shows plays, so that it takes those of all sheets to be ruled on.
    """
    looks = source.layouts
    if not only:
        return looks, None
    parts = choose_parts(only, looks, read_play_sheets(source.folder, source.library, looks, source.kept))
    chosen = replace(
        looks,
        cards=tuple(card for card in looks.cards if Part(CARDS, card.card) in parts),
        sheets=tuple(sheet for sheet in looks.sheets if Part(SHEETS, sheet.sheet) in parts),
        classes=tuple(each for each in looks.classes if Part(CLASSES, each.class_) in parts),
    )
    return chosen, frozenset(part.name for part in parts if part.folder == PLAY_SHEETS)


def _prove_plays(
    source: WholeSource, training: frozenset[str] | None, problems: ProblemLog, maker: Maker
) -> PlayProof:
    """The plays, and those training sheets that are asked for; where none is, no play is ruled on."""
    library, looks = source.library, source.layouts
    if training is not None and not training:
        return PlayProof(0, (), (), RuleBooks(library))
    models = read_play_sheets(source.folder, library, looks, source.kept)
    if language := find_language():
        models = tuple(translate_model(model, language) for model in models)

    def rule(made_from: Library) -> tuple[PlayProof, tuple[Problem, ...]]:
        found = ProblemLog()
        return prove_plays(made_from, looks, source.folder, found, models), tuple(found.problems)

    plays, found = maker.make("plays", library, (*models, looks.house, looks.styles, looks.stocks), rule)
    problems.extend(found)
    if training is None:
        return plays
    return replace(plays, sheets=tuple(sheet for sheet in plays.sheets if sheet.name in training))


def _prove_classes(
    looks: Layouts, books: RuleBooks, problems: ProblemLog, maker: Maker
) -> tuple[ClassDeck, ...]:
    def lay_out(made_from: Library) -> tuple[tuple[ClassDeck, ...], tuple[Problem, ...]]:
        found = ProblemLog()
        return prove_classes(looks, books, found), tuple(found.problems)

    made_of = (books, *looks.classes, looks.house, looks.styles, looks.stocks, looks.pictures)
    classes, found = maker.make("classes", books.library, made_of, lay_out)
    problems.extend(each for each in found if each not in problems.problems)
    return classes


def prove_training(
    source: WholeSource, problems: ProblemLog, maker: Maker, *, with_classes: bool
) -> tuple[PlayProof, tuple[ClassDeck, ...]]:
    """The plays and training sheets, and the classes if they are asked for."""
    plays = _prove_plays(source, None, problems, maker)
    classes = _prove_classes(source.layouts, plays.books, problems, maker) if with_classes else ()
    return plays, classes


def lay_out_cards(
    models: Sequence[CardModel], source: WholeSource, problems: ProblemLog, maker: Maker
) -> tuple[LaidOut, ...]:
    """The cards in the order of their numbers; those that list places are laid out last, as the others have them."""
    cards: list[LaidOut] = []
    are_all = len(models) == len(source.layouts.cards)
    for model in sorted(models, key=needs_places):
        placed = tuple(cards) if are_all and needs_places(model) else None
        if card := lay_out_model(model, source, problems, maker, placed):
            cards.append(card)
    order = {card.card: number for number, card in enumerate(models)}
    return tuple(sorted(cards, key=lambda card: order[card.name]))


def find_listed_faces(model: CardModel, source: WholeSource, maker: Maker) -> tuple[CardFaces, ...] | None:
    """What stands on which face of the other cards of a level, where a card lists places; each is found by itself."""
    if not needs_places(model):
        return None
    looks, stock, before = source.layouts, source.stock, source.previous

    def find_faces(other: CardModel) -> CardFaces:
        def take(library: Library) -> CardFaces:
            return find_card_faces(other, library, looks, stock, before)

        return maker.make(f"faces of {other.card}", source.library, _list_others(other, source), take)

    return tuple(find_faces(c) for c in looks.cards if c.key == model.key and not needs_places(c))


def _list_others(model: CardModel | SheetModel, source: WholeSource) -> tuple[object, ...]:
    """What a card or sheet follows from beside the library."""
    looks, stock = source.layouts, source.stock if isinstance(model, CardModel) else ""
    return model, stock, looks.house, looks.styles, looks.stocks, looks.pictures, source.previous


def lay_out_model(
    model: CardModel | SheetModel,
    source: WholeSource,
    problems: ProblemLog,
    maker: Maker,
    placed: Sequence[LaidOut | CardFaces] | None = None,
) -> LaidOut | None:
    """A card or sheet; None if it cannot be laid out, what keeps it from that being noted.

    A card that lists others lists those `placed`; their faces are found if not given.
    """
    looks, stock = source.layouts, source.stock if isinstance(model, CardModel) else ""
    others = _list_others(model, source)
    if isinstance(model, CardModel) and needs_places(model):
        faces = {card.name: card.own.faces for card in placed or ()}
        others += find_places(model, looks.cards, lambda card: faces.get(card.card, ()))

    def lay_out(library: Library, stock_name: str = stock, shown: CardModel | SheetModel = model) -> LaidOut:
        if isinstance(shown, CardModel):
            return lay_out_card(shown, library, looks, stock_name, source.previous, placed)
        return lay_out_sheet(shown, library, looks, stock_name, source.previous)

    def try_layout(library: Library) -> tuple[LaidOut | None, tuple[Problem, ...]]:
        try:
            done = lay_out(library)
        except PocketrefError as error:
            make = partial(lay_out, library)
            mended = write_remedy(error.problems, model, stock or model.stock, looks, make)
            return None, tuple(_place(problem, model, library) for problem in mended)
        return done, tuple(check_overlaps(done))

    part = Part(CARDS, model.card) if isinstance(model, CardModel) else Part(SHEETS, model.sheet)
    done, found = maker.make(str(part), source.library, others, try_layout)
    # A table at fault is told by every chart of it, a long name by every footer: once is enough.
    is_told = any(p.code == ASSOCIATION_LONG for p in problems.problems)
    left = [p for p in found if not (is_told and p.code == ASSOCIATION_LONG)]
    problems.extend(problem for problem in left if problem not in problems.problems)
    return done


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


def _place(problem: Problem, model: CardModel | SheetModel, library: Library) -> Problem:
    """The problem at its own place; else at the dimensions of the level if it is about these, or at the layout."""
    if problem.where:
        return problem
    level = library.fields.get(f"{model.code}-{model.level}")
    if level and problem.code.startswith("dimension-"):
        hint = tell(
            "{hint}, or draw what takes it for other levels only: 'for' of a layout or block",
            hint=problem.hint,
        )
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
            sentence = tell(
                "the typeface has no glyph for U+{character:04X} '{character2}'",
                character=ord(character),
                character2=character,
            )
            where = node.locate_offset(max(node.text.find(character), 0))
            problems.error("glyph-missing", sentence, tell("write it with another character"), where)
