"""Where content and layouts are found: beside the user, else the demo's, which the package carries."""

from __future__ import annotations

from pathlib import Path

import pocketref
from pocketref.problems import PocketrefError, Problem, Severity
from pocketref.words.terminal import tell, tell_list

_MARKS = {"edition.yaml": "content", "stocks.yaml": "layouts"}
"""A file that tells a folder of a kind, and that kind."""


def find_folder(name: str, given: Path | None, beside: Path) -> Path:
    """The folder given; else `name` beside the user; else the demo's own.

    PocketrefError ("folder-inside") where the user stands inside such a folder: what they mean is not beside them.
    """
    if given is not None:
        return given
    if (beside / name).is_dir():
        return beside / name
    for mark, kind in _MARKS.items():
        if (beside / mark).is_file():
            sentence = tell(
                "you are inside a {kind} folder: {mark} is here, and no folder '{name}'",
                kind=kind,
                mark=mark,
                name=name,
            )
            hint = tell("go to the folder above (cd ..), or give --content and --layouts")
            raise PocketrefError([Problem("folder-inside", sentence, hint)])
    return find_carried(name)


def find_carried(name: str) -> Path:
    """The demo's folder, which new associations start from.

    A wheel carries it inside the package; in a checkout it stands beside the package.
    """
    package = Path(pocketref.__file__).parent
    carried = package / "starter" / name
    return carried if carried.is_dir() else package.parent / name


def is_carried(name: str, folder: Path, given: Path | None, beside: Path) -> bool:
    """Whether the folder found is the demo's for want of one given or beside the user."""
    return given is None and folder != beside / name and folder == find_carried(name)


def write_carried(
    folders: dict[str, Path], given: dict[str, Path | None], beside: Path
) -> tuple[Problem, ...]:
    """A warning that what is used is the demo's, as nothing was given and nothing stands beside the user."""
    names = [name for name, folder in folders.items() if is_carried(name, folder, given[name], beside)]
    if not names:
        return ()
    kinds = tell_list((f"'{name}'" for name in names), is_or=True)
    demo = tell("the demo's, of an invented association") if "content" in names else tell("the demo's")
    sentence = tell(
        "there is no folder {kinds} in {beside}: what is used is {demo}",
        kinds=kinds,
        beside=beside,
        demo=demo,
    )
    hint = tell("go to your association's folder, or begin one with: pocketref start FOLDER")
    return (Problem("demo-used", sentence, hint, severity=Severity.WARNING),)
