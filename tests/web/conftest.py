"""What the checks in a browser share."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_edition import demo_files, demo_proof
from page_scripts import Browser, open_browser, write_edition

from pocketref.edition.proof import Proof

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


@pytest.fixture(scope="session")
def browser(modules: Path) -> Iterator[Browser]:
    """One browser for all, as starting one takes longer than most of what is asked of it."""
    with open_browser(modules) as opened:
        yield opened


@pytest.fixture(scope="session")
def demo() -> Proof:
    """The demo's proof, made once for all that look at its page."""
    return demo_proof()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo edition in its folder."""
    return write_edition(demo_files().values(), tmp_path_factory.mktemp("demo"))
