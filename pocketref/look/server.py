"""Serves the page to this machine alone: three files, the faces by their digests, and news of what changed.

Nothing is read from a path that is asked for, and nothing can be written. A page of another origin gets no answer, nor
one that reaches this server under another name (DNS rebinding): the Host must be this machine's own.
"""

from __future__ import annotations

import json
from functools import partial
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from typing import Any
from urllib.parse import parse_qs, urlsplit

from pocketref.look.session import Session

LOOPBACK = "127.0.0.1"
_STILL_S = 10.0
"""How often a tab is told that there is no news, by which one that was closed is noticed."""
_WAIT_S = 30.0
_FILES = {
    "/": ("look.html", "text/html; charset=utf-8"),
    "/look.css": ("look.css", "text/css; charset=utf-8"),
    "/look.js": ("look.js", "text/javascript; charset=utf-8"),
}
_HEADERS = {
    # Drawings carry style attributes; scripts and styles come from this server's files alone.
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; "
        "img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}


def open_server(session: Session, port: int) -> ThreadingHTTPServer:
    """A server on a port of this machine, 0 for any that is free; OSError if it is taken."""
    server = ThreadingHTTPServer((LOOPBACK, port), partial(_Handler, session))
    server.daemon_threads = True
    return server


def write_address(server: ThreadingHTTPServer) -> str:
    """Where the page is."""
    return f"http://{LOOPBACK}:{server.server_port}/"


class _Handler(BaseHTTPRequestHandler):
    """Answers one browser; methods other than GET and HEAD are not known."""

    protocol_version = "HTTP/1.1"
    server_version = "pocketref"
    sys_version = ""
    timeout = _WAIT_S

    def __init__(self, session: Session, *args: Any) -> None:
        self._session = session
        super().__init__(*args)

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002  # the library's own name
        """Requests are no news to who looks."""

    def do_GET(self) -> None:  # the library's own name
        """Answer with a file, a face or the news."""
        if fault := self._find_fault():
            self._answer(HTTPStatus.FORBIDDEN, "text/plain; charset=utf-8", fault.encode())
            return
        asked = urlsplit(self.path)
        if asked.path in _FILES:
            name, kind = _FILES[asked.path]
            self._answer(HTTPStatus.OK, kind, (files("pocketref.look") / "page" / name).read_bytes())
        elif asked.path == "/news":
            self._send_news(parse_qs(asked.query).get("part", [""])[0])
        elif asked.path.startswith("/faces/") and (
            face := self._session.find_face(asked.path.removeprefix("/faces/"))
        ):
            self._answer(HTTPStatus.OK, "image/svg+xml; charset=utf-8", face)
        else:
            self._answer(HTTPStatus.NOT_FOUND, "text/plain; charset=utf-8", b"not here")

    do_HEAD = do_GET  # noqa: N815  # the library's own name

    def _find_fault(self) -> str:
        """Why a request is refused, or nothing."""
        _, port = self.request.getsockname()
        hosts = self.headers.get_all("Host") or []
        if len(hosts) != 1 or hosts[0].lower() not in (f"{LOOPBACK}:{port}", f"localhost:{port}"):
            return f"this page is http://{LOOPBACK}:{port}/ and nothing else"
        # Browsers say where a request comes from (Fetch Metadata Request Headers, W3C).
        site = self.headers.get("Sec-Fetch-Site", "none")
        is_visit = self.headers.get("Sec-Fetch-Dest") == "document"
        if site not in ("none", "same-origin") and not is_visit:
            return "this page answers no other page"
        return ""

    def _answer(self, status: HTTPStatus, kind: str, content: bytes) -> None:
        self._begin(status, kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def _begin(self, status: HTTPStatus, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        for name, value in _HEADERS.items():
            self.send_header(name, value)

    def _send_news(self, name: str) -> None:
        """State after state, as server-sent events (HTML Living Standard, 9.2), until the tab is closed."""
        if not self._session.watch(self, name):
            self._answer(
                HTTPStatus.SERVICE_UNAVAILABLE, "text/plain; charset=utf-8", b"too many tabs are open"
            )
            return
        seen = -1
        try:
            self.close_connection = True
            self._begin(HTTPStatus.OK, "text/event-stream; charset=utf-8")
            self.send_header("Connection", "close")
            self.end_headers()
            while self.command != "HEAD" and not self._session.is_stopped:
                number = self._session.wait_for_news(seen, _STILL_S)
                state = json.dumps(self._session.record(name), ensure_ascii=False)
                self.wfile.write(f"data: {state}\n\n".encode() if number != seen else b": no news\n\n")
                seen = number
        except OSError:  # the tab was closed
            pass
        finally:
            self._session.leave(self)
