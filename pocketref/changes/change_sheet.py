"""The sheet "What changed": calls first, then figures, cautions and texts; what changes nothing comes last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pocketref.changes.change_text import GROUPS, count_changes, name_place, write_change, write_title
from pocketref.changes.changes import ChangeSet, compare_editions
from pocketref.changes.model_changes import Change
from pocketref.changes.ruling_changes import RulingChange, RulingSide
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import Shelf
from pocketref.edition.source_reading import EditionSource
from pocketref.layouts.cards import GOVERNS
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import Face, body_box, choose_sizes, compose_face, stack_height_mm
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import TypeSizes, floor_size_pt, sizes_for
from pocketref.problems import PocketrefError, Problem, explain_refusal

_PAPER = Box(0, 0, 215.9, 279.4)
"""US Letter, ANSI/ASME Y14.1 size A."""
_MARGIN_MM = 12.0
_SAFE_MM = 6.35
_SCALE_PT = (10.4, 9.8, 9.2, 8.4)
_FLOOR_PT = floor_size_pt(16, 400)
_FIGURES = ("dimensions", "tolerances")
_TEXTS = ("cautions", "texts", "plays", "edition")
_APART = ("wording", "works")


def build_change_sheet(changes: ChangeSet, shelf: Shelf | None = None) -> BuiltFile:
    """The sheet as a PDF, read back; PocketrefError if it is not printed as asked for."""
    built = build_pdf("sheets/what-changed", lay_out_changes(changes), _FLOOR_PT, shelf)
    return replace(built, report=f"{built.report}; {count_changes(changes)} from {changes.old}")


def find_past_changes(proof: Proof) -> ChangeSet | None:
    """What changed since the edition before; None without one."""
    before, now = proof.previous, proof.library
    if before is None:
        return None
    old = EditionSource(before.edition.edition, before)
    new = EditionSource(now.edition.edition, now, proof.inputs)
    return compare_editions(old, new)


def write_change_sheet(changes: ChangeSet, path: Path) -> None:
    """Put the sheet in a file of its own; PocketrefError ("file-unwritable") if it cannot be written."""
    data = build_change_sheet(changes).data
    try:
        path.write_bytes(data)
    except OSError as error:
        said = explain_refusal(str(path), error, "written", "name another file with --out")
        raise PocketrefError([Problem("file-unwritable", *said)]) from None


def lay_out_changes(changes: ChangeSet) -> Document:
    """One page at the largest type that fits; more pages at the least where one does not hold everything."""
    inner = _PAPER.inset(_MARGIN_MM)
    blocks = _build_blocks(changes)
    face = _make_face(changes, blocks, "")
    sizes, _ = choose_sizes(face, inner, _SCALE_PT, _FLOOR_PT)
    faces = [face]
    if sizes is None:
        sizes = sizes_for(min(_SCALE_PT), _FLOOR_PT)
        stacks = _share_out(_split_rows(blocks), body_box(face, inner, sizes), sizes)
        faces = [
            _make_face(changes, stack, f"page {n} of {len(stacks)}") for n, stack in enumerate(stacks, 1)
        ]
    return Document(
        title=write_title(changes),
        subject=f"{count_changes(changes)}: calls, figures, cautions, texts",
        author=changes.association,
        pages=tuple(_make_page(page, inner, sizes) for page in faces),
    )


def _make_face(changes: ChangeSet, blocks: Sequence[Block], page: str) -> Face:
    edition = f"{changes.association}, {changes.new}"
    foot = Footer((f"{edition}, {page}" if page else edition,), (GOVERNS,))
    title = "What differs" if changes.is_of_codes else "What changed"
    band = TitleBand(title, f"{changes.old} to {changes.new}")
    return Face(page or "front", band, tuple(blocks), foot)


def _make_page(face: Face, inner: Box, sizes: TypeSizes) -> Page:
    elements = (Element(Role.SECTION, (), compose_face(face, inner, sizes), label=face.name),)
    return Page(face.name, _PAPER.width_mm, _PAPER.height_mm, elements, _PAPER.inset(_SAFE_MM))


# --- blocks ----------------------------------------------------------------------------------------------


def _build_blocks(changes: ChangeSet) -> list[Block]:
    columns: tuple[Column, ...]
    blocks: list[Block] = [Paragraphs("summary", (_write_summary(changes),))]
    was, now = f"Was, {changes.old}", f"Now, {changes.new}"
    if changes.is_of_codes:
        was, now = changes.old, changes.new
    if changes.rulings:
        columns = (Column("Play", flex=True), Column(was, width_mm=58), Column(now, width_mm=58))
        rows = tuple(_write_ruling(change, is_of_codes=changes.is_of_codes) for change in changes.rulings)
        blocks.append(_table("calls", columns, rows, "Calls"))
    figures = [change for name in _FIGURES for change in _list(changes, name)]
    if figures:
        columns = (Column("Figure", flex=True), Column(was), Column(now), Column("Source"))
        rows = tuple(_write_figure(change, changes.places) for change in figures)
        blocks.append(_table("figures", columns, rows, "Dimensions and tolerances"))
    for name in _TEXTS:
        if found := _list(changes, name):
            columns = (
                Column("Where", width_mm=38),
                Column(was, flex=True),
                Column(now, flex=True),
            )
            rows = tuple(_write_text(change, changes.places) for change in found)
            blocks.append(_table(name, columns, rows, GROUPS[name]))
    for name in _APART:
        if found := _list(changes, name):
            entries = tuple(write_change(change).replace("->", "→") for change in found)
            blocks.append(Paragraphs(name, entries, GROUPS[name], "list", small=True))
    if changes.layouts:
        entries = ("The same content set otherwise: " + ", ".join(changes.layouts),)
        blocks.append(Paragraphs("layouts", entries, "Layout only", small=True))
    return blocks


def _write_summary(changes: ChangeSet) -> str:
    groups = len(changes.rulings)
    if changes.is_of_codes:
        return (
            f"Plays that the two codes rule differently, merged to {groups} rows; they agree on all others."
        )
    flips = {0: "No call changes.", 1: "*One call changes.*"}.get(
        groups, f"*{groups} groups of calls change.*"
    )
    bars = "On the cards a bar stands beside each block that changed."
    return f"{flips} What is not listed here is as it was in {changes.old}. {bars}"


def _list(changes: ChangeSet, group: str) -> tuple[Change, ...]:
    found: tuple[Change, ...] = getattr(changes, group)
    return found


def _table(
    label: str, columns: tuple[Column, ...], rows: tuple[tuple[Cell, ...], ...], heading: str
) -> Block:
    return TableBlock(label, columns, rows, heading, grows=False)


def _write_ruling(change: RulingChange, *, is_of_codes: bool) -> tuple[Cell, ...]:
    play = f"*{change.title}:* {change.play}"
    if not is_of_codes:
        play = f"*{change.title}*, {change.code}: {change.play}"
    return Cell(play), Cell(_write_side(change.old)), Cell(_write_side(change.new))


def _write_side(side: RulingSide | None) -> str:
    if side is None:
        return "no ruling"
    if side.is_unsettled:
        return f"*check your league* ({side.sections})"
    effect = f"{side.ball}; batter {side.batter}; runners {side.runners}; count {side.count}"
    return f"*{side.headline}.* Ball {effect} ({side.sections})"


def _write_figure(change: Change, places: Mapping[str, str]) -> tuple[Cell, ...]:
    figure = name_place(change, places, "*")
    return Cell(figure), Cell(change.old or "none"), Cell(f"*{change.new or 'none'}*"), Cell(change.cites)


def _write_text(change: Change, places: Mapping[str, str]) -> tuple[Cell, ...]:
    # A path is set as words, since a column is too narrow for it in one piece.
    plain = (
        change.where.removeprefix("mechanics/").removeprefix("cautions/").replace("/", ", ").replace("-", " ")
    )
    named = name_place(replace(change, where=plain), {plain: places.get(change.where, plain)}, "*")
    return Cell(named), Cell(change.old or "nothing"), Cell(change.new or "nothing")


# --- more than a page ------------------------------------------------------------------------------------


def _split_rows(blocks: Sequence[Block]) -> list[Block]:
    """The blocks with every row of a table, and every entry of a list, a block that can go to another page."""
    pieces: list[Block] = []
    for block in blocks:
        if isinstance(block, TableBlock):
            pieces += [replace(block, rows=(row,)) for row in block.rows]
        elif isinstance(block, Paragraphs):
            pieces += [replace(block, entries=(entry,)) for entry in block.entries]
        else:
            pieces.append(block)
    return pieces


def _share_out(pieces: Sequence[Block], body: Box, sizes: TypeSizes) -> list[list[Block]]:
    """Pages filled one after the other; pieces of one block that meet on a page are one block again."""
    pages: list[list[Block]] = [[]]
    for piece in pieces:
        grown = _join(pages[-1], piece)
        if pages[-1] and stack_height_mm(grown, body.width_mm, sizes) > body.height_mm:
            pages.append([piece])
        else:
            pages[-1] = grown
    return pages


def _join(stack: list[Block], piece: Block) -> list[Block]:
    last = stack[-1] if stack else None
    if isinstance(last, TableBlock) and isinstance(piece, TableBlock) and last.label == piece.label:
        return [*stack[:-1], replace(last, rows=(*last.rows, *piece.rows))]
    if isinstance(last, Paragraphs) and isinstance(piece, Paragraphs) and last.label == piece.label:
        return [*stack[:-1], replace(last, entries=(*last.entries, *piece.entries))]
    return [*stack, piece]
