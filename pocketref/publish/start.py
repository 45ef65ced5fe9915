"""A new association's own content and layouts, from the starter set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pocketref.output.files import publish_folder
from pocketref.problems import PocketrefError, Problem
from pocketref.publish.start_code import MadeOver, find_levels, make_over
from pocketref.source.edition_models import EditionModel
from pocketref.source.library import Library, read_library
from pocketref.words.terminal import tell

PLACEHOLDER = "Your Umpires Association (placeholder)"
ADDRESS = "https://your-association.example"

_EDITION = """\
# Whose edition this is and when it holds. Every value here is a placeholder: write your own.

# The mark that tells this edition from others; the edition is published into out/<edition>.
edition: "{edition}"

# The association that issues it. Printed at the foot of every card and sheet.
association: {association}

# Where the association is; may be left out.
place: Your state (placeholder)

# The web address that editions will be under; cards carry it as a QR code. This one is kept free for examples.
address: {address}

# The season, as the title bands print it.
season: "{season}"

# The first and the last day the edition holds for, year-month-day. The last day is printed on every card.
valid: {{from: {from_}, through: {through}}}

# The codes in force, each a folder under rulings. The starter set also rules by: {others}.
codes: [{codes}]

# The fields in force, each a file under fields.
levels: [{levels}]
"""

_IGNORE = """\
# What publishing makes can be made again.
/out/
# Private keys stay with the association: never commit one, never put one into an edition.
*.pem
*.key
*.p8
*private*
"""


def start_folder(
    target: Path, content: Path, layouts: Path, codes: Sequence[str] = (), levels: Sequence[str] = ()
) -> MadeOver:
    """Put a copy of the starter set into `target`, a new or an empty folder; gives the files written.

    The edition is the association's to fill in: edition.yaml says what each value is for, and placeholders say
    that they are. Past editions are not taken over. With `codes` or `levels`, those levels are in force, and the first
    of each code of which none is named, and the layouts are made over for them. PocketrefError: "folder-not-empty" if
    something is there already, "code-unknown", "level-unknown", and what `publish_folder` refuses.
    """
    if target.is_dir() and any(target.iterdir()):
        sentence = tell("the folder {target} is not empty", target=target.resolve())
        raise PocketrefError(
            [Problem("folder-not-empty", sentence, tell("name a new folder, or an empty one"))]
        )
    files = {".gitignore": _IGNORE.encode()}
    for name, folder in (("content", content), ("layouts", layouts)):
        for path in sorted((*folder.rglob("*.yaml"), *folder.rglob("*.po"))):
            files[f"{name}/{path.relative_to(folder).as_posix()}"] = path.read_bytes()
    library = read_library(content)
    made, edition = MadeOver(files, ()), library.edition
    if codes or levels:
        fields = find_levels(library, codes, levels)
        made = make_over(files, library, fields)
        in_force = {
            "codes": tuple(dict.fromkeys(field.code for field in fields)),
            "levels": tuple(field.key for field in fields),
        }
        edition = edition.model_copy(update=in_force)
    files = {**made.files, "content/edition.yaml": _write_edition(library, edition).encode()}
    publish_folder(target, files)
    return replace(made, files=files)


def _write_edition(library: Library, edition: EditionModel) -> str:
    others = sorted({code for code, _ in library.rulings} - set(edition.codes))
    return _EDITION.format(
        edition=edition.edition,
        association=PLACEHOLDER,
        address=ADDRESS,
        season=edition.season,
        from_=edition.valid.from_.isoformat(),
        through=edition.valid.through.isoformat(),
        codes=", ".join(edition.codes),
        levels=", ".join(edition.levels),
        others=", ".join(others) or "none",
    )
