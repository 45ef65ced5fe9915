"""What the checks in a browser share."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def modules(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """axe-core and playwright-core, as the lock file names them, in a folder of their own."""
    assert shutil.which("npm"), "npm is needed to check the web page in a browser"
    folder = tmp_path_factory.mktemp("npm")
    for name in ("package.json", "package-lock.json"):
        shutil.copy(HERE / name, folder / name)
    subprocess.run(
        ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"],
        cwd=folder,
        check=True,
        capture_output=True,
        timeout=300,
    )
    return folder / "node_modules"
