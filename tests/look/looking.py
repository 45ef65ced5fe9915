"""A page that is served while a test edits its source, and what a browser would hear of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPResponse
from http.server import ThreadingHTTPServer
from threading import Event, Thread
from typing import Any

from source_folders import SourceFolders

from pocketref.look.server import LOOPBACK, open_server
from pocketref.look.session import Session
from pocketref.look.watching import find_watched, serve

PATIENCE_S = 300
"""Longer than any machine takes: a test ends by what happens, not by the clock."""


@dataclass(frozen=True)
class Page:
    """A page that is being served."""

    server: ThreadingHTTPServer

    @property
    def port(self) -> int:
        return self.server.server_port

    def get(self, path: str, method: str = "GET", **headers: str) -> tuple[int, bytes]:
        """Status and content of an answer; underscores in headers' names stand for hyphens."""
        connection = HTTPConnection(LOOPBACK, self.port, timeout=PATIENCE_S)
        connection.request(method, path, headers={name.replace("_", "-"): v for name, v in headers.items()})
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, content

    @contextmanager
    def listen(self, part: str = "") -> Iterator[News]:
        """The news of a part, until the tab is closed."""
        connection = HTTPConnection(LOOPBACK, self.port, timeout=PATIENCE_S)
        connection.request("GET", f"/news?part={part}")
        try:
            yield News(connection.getresponse())
        finally:
            connection.close()


@dataclass(frozen=True)
class News:
    """What a tab is told."""

    answer: HTTPResponse

    def wait(self, is_meant: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """The first state that is meant."""
        while line := self.answer.readline():
            if line.startswith(b"data: "):
                state: dict[str, Any] = json.loads(line.removeprefix(b"data: "))
                if is_meant(state):
                    return state
        raise AssertionError("the page was closed")


@contextmanager
def open_page(folders: SourceFolders) -> Iterator[Page]:
    """The page of a source, on a port that is free."""
    session, stopping = Session(folders.content, folders.layouts), Event()
    server = open_server(session, 0)
    watched = find_watched(folders.content, folders.layouts)
    thread = Thread(target=serve, args=(session, server, watched, stopping), daemon=True)
    thread.start()
    try:
        yield Page(server)
    finally:
        stopping.set()
        thread.join(PATIENCE_S)
        assert not thread.is_alive()
