"""One folder of source files: what is in it, and each file's model."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import TypeVar

from pocketref.problems import Location, ProblemLog, explain_refusal
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.syntax.kinds import is_name
from pocketref.source.syntax.located import SourceModel, write_key
from pocketref.source.syntax.nodes import build_tree
from pocketref.source.syntax.source_text import clean_name, decode_text, read_bytes_within
from pocketref.source.syntax.validation import validate_node
from pocketref.words.terminal import tell

M = TypeVar("M", bound=SourceModel)


class FolderReader:
    """Reads files of one folder, naming them from the folder's own name on; files `kept` are read anew if changed."""

    def __init__(self, folder: Path, problems: ProblemLog, kept: KeptFiles | None = None) -> None:
        name = folder.name if folder.name not in ("", "..") else folder.resolve().name
        self.shown = clean_name(name) or "content"
        self._folder = folder
        self._problems = problems
        self._kept = kept or KeptFiles()
        self._home: Path | None = None

    def require(self, hint: str) -> None:
        """Raise PocketrefError unless the folder is there; `hint` says which folder to give."""
        whole = clean_name(str(self._folder))
        try:
            is_there = stat.S_ISDIR(self._folder.stat().st_mode)
        except PermissionError as error:
            self._problems.error("file-unreadable", *explain_refusal(whole, error), Location(self.shown))
            is_there = True
        except (OSError, ValueError):
            is_there = False
        if not is_there:
            self._problems.error(
                "folder-missing", tell("there is no folder {whole}", whole=whole), hint, Location(self.shown)
            )
        self._problems.raise_errors()

    def _find_home(self) -> Path:
        """The folder, links followed: once, as every file is compared with it."""
        if self._home is None:
            self._home = self._folder.resolve()
        return self._home

    def show(self, inner: str) -> str:
        """The name of a file within the folder, for messages."""
        return clean_name(f"{self.shown}/{inner}")

    def has(self, inner: str) -> bool:
        """Whether there is anything by a path in the folder, readable or not."""
        return os.path.lexists(self._folder / inner)

    def read(self, inner: str, model: type[M]) -> M | None:
        """A file's model, or None with the reasons noted. `inner` is its path in the folder, with slashes."""
        path, shown = self._folder / inner, self.show(inner)

        def read(content: bytes, problems: ProblemLog) -> M | None:
            source = decode_text(content, shown, problems)
            tree = build_tree(source, problems) if source else None
            return validate_node(tree, model, problems) if tree is not None else None

        content = read_bytes_within(path, shown, self._problems, self._find_home)
        return None if content is None else self._kept.take(path, model, content, self._problems, read)

    def read_named(self, inner: str, model: type[M], key: str) -> dict[str, M | None]:
        """The files of a folder by name, each of which must say under `key` what it is called."""
        files: dict[str, M | None] = {}
        for stem in self.list_files(inner):
            found = files[stem] = self.read(f"{inner}/{stem}.yaml", model)
            if found is not None:
                self.check_name("file", stem, found, key)
        return files

    def check_name(self, what: str, name: str, model: SourceModel, key: str) -> None:
        """What a file or its folder is called must be what the file says under `key`."""
        said, shown = getattr(model, key), write_key(key)
        if said != name:
            told = {"name": name, "key": shown, "said": said}
            if what == "file":
                sentence = tell("the file is called '{name}', but its '{key}' is '{said}'", **told)
                hint = tell("write '{key}: {name}', or rename the file", key=shown, name=name)
            else:
                sentence = tell("the folder is called '{name}', but its '{key}' is '{said}'", **told)
                hint = tell("write '{key}: {name}', or rename the folder", key=shown, name=name)
            self._problems.error("name-mismatch", sentence, hint, model.locate(shown))

    def list_files(self, inner: str) -> list[str]:
        """The YAML files directly in a folder, as names without ".yaml", in order; none if it isn't there."""
        names: list[str] = []
        for path in self._list(inner):
            if path.suffix == ".yaml":
                names += self._list_name(f"{inner}/{path.name}", path.stem)
            elif path.suffix.lower() in (".yaml", ".yml"):
                shown = self.show(f"{inner}/{path.name}")
                sentence = tell("{shown} would be left out", shown=shown)
                self._problems.error("file-name", sentence, tell("end its name in .yaml"), Location(shown))
        return names

    def list_folders(self, inner: str) -> list[str]:
        """The folders directly in a folder, in order; none if it isn't there."""
        folders = [path for path in self._list(inner) if _is_folder(path)]
        return [name for path in folders for name in self._list_name(f"{inner}/{path.name}", path.name)]

    def _list_name(self, inner: str, name: str) -> list[str]:
        """The name, if it is one."""
        if is_name(name):
            return [name]
        hint = tell("name it with lower-case letters, digits and single hyphens")
        shown = self.show(inner)
        sentence = tell("{shown} has a name that can't be listed", shown=shown)
        self._problems.error("file-name", sentence, hint, Location(shown))
        return []

    def _list(self, inner: str) -> list[Path]:
        folder = self._folder / inner
        try:
            return sorted(path for path in folder.iterdir() if not path.name.startswith("."))
        except (FileNotFoundError, NotADirectoryError):
            return []
        except OSError as error:
            shown = self.show(inner)
            self._problems.error("file-unreadable", *explain_refusal(shown, error, "listed"), Location(shown))
            return []


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # in a folder that may not be entered
        return False
