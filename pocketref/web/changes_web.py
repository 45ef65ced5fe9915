"""What changed since the edition before, as a section of the edition's page."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.changes.change_text import GROUPS, count_changes, write_change
from pocketref.changes.changes import ChangeSet
from pocketref.changes.model_changes import Change
from pocketref.changes.ruling_changes import RulingChange, RulingSide
from pocketref.pages.words import Heading, Listing, Paragraph, Table, Word
from pocketref.source.field_models import DIMENSIONS, TOLERANCES
from pocketref.source.library import Library
from pocketref.web.html_content import WebContent, WebPart, WebSection, WebWords

SECTION = "changes"
_FIGURES = ("dimensions", "tolerances")
_TEXTS = ("cautions", "texts", "plays", "edition")
_APART = ("wording", "works")
_ENTRIES = "entries"


def write_changes_section(changes: ChangeSet, library: Library) -> WebSection:
    """Calls first, then figures and texts, each with what it was; what changes nothing comes last.

    `library` is that of the newer edition: what it still holds is named by its title.
    """
    was, now = f"Was, {changes.old}", f"Now, {changes.new}"
    parts = [WebPart("changes-calls", "Calls", _write_calls(changes.rulings, library, was, now))]
    for name in (*_FIGURES, *_TEXTS):
        found: tuple[Change, ...] = getattr(changes, name)
        if found:
            columns, width = (
                (("What", was, now, "Sections"), 4) if name in _FIGURES else (("What", was, now), 3)
            )
            rows = tuple(_write_row(change, library)[:width] for change in found)
            caption = f"{GROUPS[name]}: {changes.old} and {changes.new}"
            grid = Table(name, columns, rows, caption, is_narrow=False)
            parts.append(WebPart(f"changes-{name}", GROUPS[name], (WebWords((grid,)),)))
    if apart := _list_apart(changes):
        parts.append(WebPart("changes-apart", "What changes no call and no figure", apart))
    count = count_changes(changes)
    intro = (
        f"{count[0].upper()}{count[1:]} from {changes.old} to {changes.new}. What is not listed is as it was."
    )
    return WebSection(SECTION, "What changed", tuple(parts), intro)


def _write_calls(
    calls: Sequence[RulingChange], library: Library, was: str, now: str
) -> tuple[WebContent, ...]:
    if not calls:
        return (WebWords((Paragraph("*No call changes.*"),)),)
    rows = tuple(
        (
            f"*{call.title}*, {library.codes[call.code].name.lower()}: {call.play}",
            _write_side(call.old),
            _write_side(call.new),
        )
        for call in calls
    )
    caption = "Plays that are ruled differently"
    return (WebWords((Table("calls", ("Play", was, now), rows, caption, is_narrow=False),)),)


def _write_side(side: RulingSide | None) -> str:
    """A ruling as on the rulings' own tables: headline, effect, sections, a line each."""
    if side is None:
        return "No ruling"
    if side.is_unsettled:
        return f"*Unsettled:* check your league\n{side.sections}"
    effect = f"Ball: {side.ball}. Batter: {side.batter}. Runners: {side.runners}. Count: {side.count}."
    return f"*{side.headline}*\n{effect}\n{side.sections}"


def _write_row(change: Change, library: Library) -> tuple[str, str, str, str]:
    named = DIMENSIONS.get(change.what) or TOLERANCES.get(change.what) or change.what
    what = f"*{_name_place(change.where, library)}*" + ("" if named == _ENTRIES else f": {named}")
    return what, change.old or "Not there", change.new or "Dropped", change.cites or "None"


def _name_place(where: str, library: Library) -> str:
    """What a change is of, by its title if the library holds it, else by its name in the source."""
    if where in library.fields:
        field = library.fields[where]
        return f"{field.name}, {library.codes[field.code].name.lower()}"
    if where in library.texts and library.texts[where].heading:
        return library.texts[where].heading
    caution = library.cautions.get(where.removeprefix("cautions/"))
    if caution is not None:
        return caution.title
    place = where.rpartition("/")[2].replace("-", " ")
    return f"{place[:1].upper()}{place[1:]}"


def _list_apart(changes: ChangeSet) -> tuple[WebContent, ...]:
    words: list[Word] = []
    for name in _APART:
        found: tuple[Change, ...] = getattr(changes, name)
        if found:
            entries = tuple(write_change(change).replace("->", "→") for change in found)
            words += [Heading(GROUPS[name]), Listing(entries)]
    if changes.layouts:
        words += [Heading("The same content set otherwise"), Listing(changes.layouts)]
    return (WebWords(tuple(words)),) if words else ()
