"""The page's checks that are scripts, run by node: in a browser, or the page's modules alone."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "web"


def run_script(name: str, *arguments: str | Path) -> Any:
    """What a script of `tests/web/` tells in JSON; fails with what it says on its errors."""
    node = shutil.which("node")
    assert node, "node is needed to run the page's checks"
    command = [node, str(FOLDER / name), *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def find_chromium() -> str:
    """The browser's program."""
    chromium = shutil.which("chromium")
    assert chromium, "Chromium is needed to check the web page (Debian package chromium)"
    return chromium
