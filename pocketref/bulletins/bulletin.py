"""What a bulletin says: what it corrects, and which cards handed out earlier in the season still hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pocketref.bulletins.stickers import Patch, find_patches
from pocketref.bulletins.training import list_changed_training
from pocketref.changes.change_set import EDITION, ChangeSet
from pocketref.changes.changes import compare_editions
from pocketref.edition.proof import Proof
from pocketref.edition.source_reading import EditionSource
from pocketref.layouts.cards import LaidOut, lay_out_card, write_layout_title
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.layouts.places import needs_places
from pocketref.pages.change_bar import shows_bar
from pocketref.pages.composition import Face
from pocketref.pages.face_cut import list_blocks
from pocketref.pages.page import split_cards
from pocketref.pages.words import Words
from pocketref.problems import PocketrefError, Problem, refusal
from pocketref.source.edition_models import BulletinModel, EditionModel
from pocketref.source.library import Library
from pocketref.words.terminal import tell


@dataclass(frozen=True, slots=True)
class ConcernedCard:
    """A card that some bulletin of the season changed; `at` tells which one of those that its layout fills."""

    name: str
    at: int
    number: str
    title: str
    faces: tuple[str, ...]
    """The faces that changed since some edition of the season, as they are called in print."""
    withdrawn: tuple[str, ...]
    """The marks of the editions whose card no longer holds."""
    is_new: bool
    """Whether the newest bulletin changed it."""
    patches: tuple[Patch, ...] = ()
    """What corrects those in the hand, where the newest bulletin changed it."""

    def list_stuck(self) -> list[str]:
        """The marks of the editions whose card stickers correct."""
        return [mark for patch in self.patches if patch.stickers for mark in patch.marks]


@dataclass(frozen=True, slots=True)
class Bulletin:
    """The newest bulletin of an edition; `changes` are since the edition before it."""

    model: BulletinModel
    edition: EditionModel
    changes: ChangeSet
    cards: tuple[ConcernedCard, ...]
    held: int
    """How many cards of the season's earlier editions still hold."""
    sheets: tuple[str, ...]
    """The titles of the field sheets that it changed."""
    training: tuple[str, ...] = ()
    """The titles of the training sheets and classes that it changed, in what they ask, answer or show."""
    knows_layouts: bool = False
    """Whether every edition of the season says what its cards were laid out as."""
    added: tuple[str, ...] = ()
    """The titles of the field sheets that it adds."""
    gone: tuple[str, ...] = ()
    """The cards and sheets of the season's earlier editions that are among them no longer."""
    before: tuple[EditionModel, ...] = ()
    """The season's earlier editions, as far as each tells of itself."""
    shows_pictures: bool = False
    """Whether cards show picture files, of which no past edition is kept."""

    @property
    def earlier(self) -> tuple[str, ...]:
        """The marks of the editions that it and those before it correct."""
        return tuple(self.edition.list_marks()[:-1])

    def list_holding(self, concerned: ConcernedCard) -> tuple[str, ...]:
        """The marks of the editions whose card holds."""
        return tuple(mark for mark in self.edition.list_marks() if mark not in concerned.withdrawn)


def find_bulletin(proof: Proof, changes: ChangeSet | None) -> Bulletin | None:
    """The newest bulletin of a proven edition, whose `changes` since the edition before it are known; else None.

    PocketrefError ("bulletin-empty") if nothing changed.
    """
    edition = proof.library.edition
    if not edition.bulletins or changes is None:
        return None
    model, told = edition.bulletins[-1], drop_itself(changes)
    if not told.count:
        said = {"number": model.number, "old": changes.old}
        if proof.past[-1].layouts:
            sentence = tell(
                "bulletin {number} changes nothing: every word and figure of the content is as in "
                "edition {old}, and layouts are too",
                **said,
            )
        else:
            sentence = tell(
                "bulletin {number} changes nothing: every word and figure of the content is as in "
                "edition {old}, and layouts are not compared",
                **said,
            )
        hint = tell("make the correction, or take the bulletin out")
        raise PocketrefError([Problem("bulletin-empty", sentence, hint, model.location)])
    cards = [(item, at) for item in proof.cards for at, _ in enumerate(split_cards(item.document))]
    concerned = tuple(_list_concerned(proof))
    models = {sheet.sheet: sheet for sheet in proof.layouts.sheets}
    titles = {item.name: write_layout_title(models[item.name], proof.library) for item in proof.sheets}
    before = proof.past[-1].layouts
    new = [item.name for item in proof.sheets if before and f"sheets/{item.name}" not in before]
    sheets = [titles[item.name] for item in proof.sheets if item.name not in new and list_changed(item)]
    training = tuple(list_changed_training(proof, proof.past[-1]))
    marks = edition.list_marks()
    season = [past for past in proof.past if past.edition.mark in marks]
    return Bulletin(
        model,
        edition,
        told,
        concerned,
        len(cards) - len(concerned),
        tuple(sheets),
        training,
        knows_layouts=all(past.layouts for past in season),
        added=tuple(titles[name] for name in new),
        gone=tuple(dict.fromkeys(_list_gone(season, proof.library))),
        before=tuple(past.edition for past in season),
        shows_pictures=bool(proof.layouts.pictures),
    )


def no_bulletin(edition: EditionModel) -> PocketrefError:
    """What is wrong where a bulletin is asked for and edition.yaml has none."""
    sentence = tell("edition {edition} has no bulletin", edition=edition.edition)
    hint = tell(
        "add one to edition.yaml: bulletins: [{number: 1, date: the day it holds from, reason: why}], "
        "and keep the edition that it corrects in content/past"
    )
    return refusal("bulletin-missing", sentence, hint, edition.location)


def drop_itself(changes: ChangeSet) -> ChangeSet:
    """The changes without the line that says that there is a bulletin."""
    lines = tuple(each for each in changes.groups.get(EDITION, ()) if each.what != "bulletins")
    groups = {**changes.groups, EDITION: lines}
    return replace(changes, groups={name: found for name, found in groups.items() if found})


def list_news(editions: Sequence[Library]) -> dict[str, str]:
    """What each bulletin changed, in a few sentences by the mark of the edition; `editions` come oldest first.

    Nothing of one before which something else was in force than what it corrects.
    """
    return {
        now.edition.mark: drop_itself(compare_libraries(old, now)).summary.replace("*", "")
        for old, now in pairwise(editions)
        if now.edition.bulletins and old.edition.mark == now.edition.list_marks()[-2]
    }


def compare_libraries(old: Library, new: Library) -> ChangeSet:
    """What changed from one edition to another, as their sources say; of layouts nothing is known."""
    return compare_editions(EditionSource("", old), EditionSource("", new))


def _list_gone(season: Sequence[Library], now: Library) -> Iterator[str]:
    for past in season:
        for name, model in past.layouts.items():
            if name not in now.layouts and isinstance(model, CardModel | SheetModel):
                title = write_layout_title(model, past)
                yield f"*{model.number}* {title}" if isinstance(model, CardModel) else title


def list_changed(item: LaidOut) -> list[int]:
    """The pages that bear a change bar, counted from 0."""
    return [number for number, page in enumerate(item.document.pages) if shows_bar(page.elements)]


def _list_concerned(proof: Proof) -> Iterator[ConcernedCard]:
    """Every card, two faces each, of which an earlier edition of the season no longer holds."""
    models = {card.card: card for card in proof.layouts.cards}
    marks = proof.library.edition.list_marks()[:-1]
    shown = {item.name: _compare(proof, item, models[item.name]) for item in proof.cards}
    for item in proof.cards:
        changed = shown[item.name]
        if needs_places(models[item.name]):
            moved = _find_moved(proof, item, models, shown)
            changed = {mark: pages | moved.get(mark, set()) for mark, pages in changed.items()}
        for at, document in enumerate(split_cards(item.document)):
            sides = {2 * at, 2 * at + 1}
            since = [mark for mark in marks if changed[mark] & sides]
            if since:
                found = sorted(set().union(*(changed[mark] for mark in since)) & sides)
                names = dict.fromkeys(document.pages[page - 2 * at].name for page in found)
                faces = tuple(name.replace("-", " ") for name in names)
                is_new = bool(changed[marks[-1]] & sides)
                card = models[item.name]
                title = write_layout_title(card, proof.library)
                patches = tuple(find_patches(proof, item, card, at, since)) if is_new else ()
                yield ConcernedCard(item.name, at, card.number, title, faces, tuple(since), is_new, patches)


def _compare(proof: Proof, item: LaidOut, card: CardModel) -> dict[str, set[int]]:
    """The pages of a card that changed since each earlier edition of the season, by its mark."""
    edition = proof.library.edition
    changed = {edition.list_marks()[-2]: set(list_changed(item))}
    everything = set(range(len(item.document.pages)))
    for past in proof.past:
        if past.layouts and f"cards/{item.name}" not in past.layouts:
            changed[past.edition.mark] = everything
        elif past.edition.mark in edition.list_marks()[:-2]:
            other = lay_out_card(card, proof.library, proof.layouts, item.stock, past, proof.cards)
            is_alike = len(other.document.pages) == len(everything)
            changed[past.edition.mark] = set(list_changed(other)) if is_alike else everything
    return changed


def _find_moved(
    proof: Proof, item: LaidOut, models: Mapping[str, CardModel], shown: Mapping[str, dict[str, set[int]]]
) -> dict[str, set[int]]:
    """The pages of a card that lists others on which it says otherwise where something is, by earlier editions."""
    moved = {}
    for past in proof.past:
        if (mark := past.edition.mark) in shown[item.name]:
            before = [
                _lay_out_past(proof, other, models[other.name], past) if shown[other.name][mark] else other
                for other in proof.cards
            ]
            card = models[item.name]
            old = lay_out_card(card, proof.library, proof.layouts, item.stock, past, before).faces
            pages = range(len(item.faces))
            is_alike = len(old) == len(pages)
            moved[mark] = {
                n for n in pages if not is_alike or _list_said(old[n]) != _list_said(item.faces[n])
            }
    return moved


def _lay_out_past(proof: Proof, item: LaidOut, card: CardModel, past: Library) -> LaidOut:
    """A card as an earlier edition had it; without faces if that had not all that it shows now."""
    try:
        return lay_out_card(card, past, proof.layouts, item.stock, None, proof.cards)
    except PocketrefError:
        return replace(item, faces=())


def _list_said(face: Face) -> list[Words]:
    return [block.words() for block in list_blocks(face.body)]
