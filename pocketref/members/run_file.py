"""One file of a member run: written and read back, or taken from an earlier publish and read back."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.reuse import EarlierFiles
from pocketref.output.pdf_run import RunPage, RunTemplate, write_run
from pocketref.output.reading.run_readback import RunReader
from pocketref.problems import PocketrefError


def build_run(
    name: str,
    template: RunTemplate,
    pages: Sequence[RunPage],
    reader: RunReader,
    made_of: str,
    earlier: EarlierFiles,
    report: str,
) -> BuiltFile:
    """The pages as a file; `made_of` is their fingerprint. PocketrefError ("print-differs") if it reads otherwise.

    One of the `earlier` files that was made of the same, and still reads as asked, is taken.
    """
    if known := earlier.take(name, made_of):
        with suppress(PocketrefError):
            reader.check(known.data, template, pages)
            return known
    data = write_run(template, pages)
    reader.check(data, template, pages)
    return BuiltFile(name, data, len(pages), report, made_of)
