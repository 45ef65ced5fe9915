"""A small content folder and its layouts in a place of their own, for tests to spoil and print."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

FIXTURES = Path(__file__).parent / "fixtures"


@dataclass(frozen=True)
class SourceFolders:
    """A folder that holds `content` and `layouts`."""

    root: Path

    @property
    def content(self) -> Path:
        return self.root / "content"

    @property
    def layouts(self) -> Path:
        return self.root / "layouts"

    @property
    def options(self) -> list[str]:
        """What tells the command line where they are."""
        return ["--content", str(self.content), "--layouts", str(self.layouts)]

    def replace(self, name: str, old: str, new: str) -> None:
        """Replace one piece of one file, which must hold it."""
        path = self.root / name
        text = path.read_text(encoding="utf-8")
        assert old in text, f"{name} does not hold {old!r}"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    def write(self, name: str, content: str | bytes) -> None:
        """Give one file another content."""
        data = content.encode() if isinstance(content, str) else content
        (self.root / name).write_bytes(data)

    def add(self, name: str, text: str) -> None:
        """A file that is not there yet, in a folder that may not be there either."""
        path = self.root / name
        assert not path.exists(), f"{name} is there already"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")


def copy_folders(root: Path) -> SourceFolders:
    """The fixtures, copied into `root`."""
    for name in ("content", "layouts"):
        shutil.copytree(FIXTURES / name, root / name)
    return SourceFolders(root)
