"""Where content and layouts are found: beside the user, else in the starter set that the package carries."""

from __future__ import annotations

from pathlib import Path

import pocketref


def find_folder(name: str, given: Path | None, beside: Path) -> Path:
    """The folder given; else `name` beside the user; else the starter set's own.

    A wheel carries the starter set inside the package; in a checkout it stands beside the package.
    """
    if given is not None:
        return given
    if (beside / name).is_dir():
        return beside / name
    package = Path(pocketref.__file__).parent
    carried = package / "starter" / name
    return carried if carried.is_dir() else package.parent / name
