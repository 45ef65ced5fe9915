"""The demo edition's PDFs in a folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_edition import demo_files


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo edition's PDFs."""
    folder = tmp_path_factory.mktemp("edition")
    for file in demo_files().values():
        if file.name.endswith(".pdf"):
            path = folder / file.name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(file.data)
    return folder
