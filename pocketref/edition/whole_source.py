"""All that an edition is made from, read: content, layouts, and the edition before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pocketref.edition.manifest import STORED, hash_inputs
from pocketref.edition.manifest_writing import list_pictures
from pocketref.edition.source_reading import list_past, read_source
from pocketref.field.level_check import check_levels
from pocketref.layouts.layout_library import Layouts, read_layouts, translate_layouts
from pocketref.pages.stock_models import suggest_stock
from pocketref.problems import Problem, ProblemLog, refusal, write_unknown
from pocketref.source.library import Library, read_library
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.translation import translate_library
from pocketref.words.speech import Language


@dataclass(frozen=True, slots=True)
class WholeSource:
    """What was read, without errors: `warnings` stop nothing."""

    library: Library
    layouts: Layouts
    folder: Path
    """The layouts folder, which the training sheets are read from."""
    stock: str
    """The stock that cards are laid out on in place of their own; empty for their own."""
    inputs: Mapping[str, str]
    """SHA-256 of each source file by name."""
    past: tuple[Library, ...]
    """The past editions kept under content/past, the newest last."""
    warnings: tuple[Problem, ...]
    kept: KeptFiles | None = None
    """Files that are read anew only if they changed."""

    @property
    def previous(self) -> Library | None:
        """The newest past edition; None without one."""
        return self.past[-1] if self.past else None


def read_whole_source(
    content: Path, layouts: Path, stock: str = "", kept: KeptFiles | None = None
) -> WholeSource:
    """Content and layouts; PocketrefError with all that is wrong in the first of them where something is.

    `content` is a folder, or the stored source of an edition (a JSON file). Files `kept` are read anew if they
    changed; as this is for looking, no digests are then taken for a manifest.
    """
    library = read_source(content) if content.suffix == STORED else read_library(content, kept)
    looks = read_layouts(layouts, library, content, kept)
    library = replace(library, layouts=looks.by_name)
    if stock and stock not in looks.stocks:
        hint = suggest_stock(stock, looks.stocks)
        raise refusal("stock-unknown", write_unknown("stock", stock), hint)
    inputs = {} if kept else hash_inputs(content, layouts) | list_pictures(content, looks)
    problems = ProblemLog()
    problems.extend((*library.warnings, *looks.warnings, *check_levels(library.fields.values())))
    problems.raise_errors()
    past = list_past(library, content, problems, kept)
    problems.raise_errors()
    return WholeSource(library, looks, layouts, stock, inputs, past, tuple(problems.problems), kept)


def translate_source(source: WholeSource, language: Language) -> WholeSource:
    """What was read, its sentences in a language."""
    return replace(
        source,
        library=translate_library(source.library, language),
        layouts=translate_layouts(source.layouts, language),
        past=tuple(translate_library(each, language) for each in source.past),
    )
