"""The demo edition's PDFs in a folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from printed_edition import proof

from pocketref.publish.build import build_edition


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo edition's PDFs."""
    folder = tmp_path_factory.mktemp("edition")
    for file in build_edition(proof()):
        if file.name.endswith(".pdf"):
            path = folder / file.name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(file.data)
    return folder
