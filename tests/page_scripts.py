"""The page's checks that are scripts, run by node: in a browser, or the page's modules alone."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from threading import Thread
from typing import Any

from pocketref.edition.manifest import BuiltFile

FOLDER = Path(__file__).parent / "web"
PAGE = files("pocketref.web") / "page"


def run_script(name: str, *arguments: str | Path) -> Any:
    """What a script of `tests/web/` tells in JSON; fails with what it says on its errors."""
    return _run_node(str(FOLDER / name), *map(str, arguments))


def run_module(module: str, names: str, script: str, result: str) -> Any:
    """What an expression gives after a script that imports names from one of the page's modules."""
    lines = f"import {{ {names} }} from {json.dumps(f'file://{PAGE / module}')};{script}"
    return _run_node("--input-type=module", "-e", f"{lines}\nprocess.stdout.write(JSON.stringify({result}));")


@dataclass(frozen=True, slots=True)
class Browser:
    """A headless Chromium that stays open, by its address, and the npm modules that drive it."""

    modules: Path
    address: str

    def run(self, name: str, *arguments: str | Path) -> Any:
        """What a script of `tests/web/` tells of what it did in the browser."""
        return run_script(name, self.modules, self.address, *arguments)


@contextmanager
def open_browser(modules: Path) -> Iterator[Browser]:
    """A browser until the end of the block."""
    chromium = shutil.which("chromium")
    assert chromium, "Chromium is needed to check the web page (Debian package chromium)"
    command = [_find_node(), str(FOLDER / "browser.mjs"), str(modules), chromium]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin
        assert process.stdout
        address = process.stdout.readline().strip()
        assert address, "the browser did not start"
        yield Browser(modules, address)
        process.stdin.close()


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002  # the library's name
        """Nothing."""


@contextmanager
def serve_folder(folder: Path) -> Iterator[str]:
    """The address of a site of this machine that has a folder's files, until the end of the block."""
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder))) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def write_edition(files: Iterable[BuiltFile], folder: Path) -> Path:
    """The files in a folder, which is given back."""
    for file in files:
        path = folder / file.name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(file.data)
    return folder


def _run_node(*arguments: str) -> Any:
    done = subprocess.run(
        [_find_node(), *arguments], capture_output=True, text=True, timeout=600, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def _find_node() -> str:
    node = shutil.which("node")
    assert node, "node is needed to run the page's checks"
    return node
