"""The page's checks that are scripts, run by node: in a browser, or the page's modules alone."""

from __future__ import annotations

import json
import shutil
import subprocess
from importlib.resources import files
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "web"
PAGE = files("pocketref.web") / "page"


def run_script(name: str, *arguments: str | Path) -> Any:
    """What a script of `tests/web/` tells in JSON; fails with what it says on its errors."""
    return _run_node(str(FOLDER / name), *map(str, arguments))


def run_module(module: str, names: str, script: str, result: str) -> Any:
    """What an expression gives after a script that imports names from one of the page's modules."""
    lines = f"import {{ {names} }} from {json.dumps(f'file://{PAGE / module}')};{script}"
    return _run_node("--input-type=module", "-e", f"{lines}\nprocess.stdout.write(JSON.stringify({result}));")


def find_chromium() -> str:
    """The browser's program."""
    chromium = shutil.which("chromium")
    assert chromium, "Chromium is needed to check the web page (Debian package chromium)"
    return chromium


def _run_node(*arguments: str) -> Any:
    node = shutil.which("node")
    assert node, "node is needed to run the page's checks"
    done = subprocess.run([node, *arguments], capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
