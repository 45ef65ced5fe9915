"""Watches the folders that a session looks at, while its page is served."""

from __future__ import annotations

from collections.abc import Sequence
from http.server import ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread

import watchfiles

from pocketref.look.server import open_server
from pocketref.look.session import Session
from pocketref.problems import explain_refusal, refusal
from pocketref.words.terminal import tell

_STEP_MS = 20
"""How long the disk must be still after a save: an editor may write a file in several goes."""
_MOST_MS = 200


def find_watched(content: Path, layouts: Path) -> tuple[Path, ...]:
    """What is watched of a source; PocketrefError ("folder-missing") if it is not there."""
    for path in (content, layouts):
        if not path.exists():
            raise refusal(
                "folder-missing",
                tell("there is no folder {path}", path=path),
                tell("give the one that is to be shown"),
            )
    return content.resolve(), layouts.resolve()


def open_port(session: Session, asked: int | None, usual: int) -> ThreadingHTTPServer:
    """A server on the port that is asked for, or on the usual one, or where that is taken on one that is free.

    PocketrefError ("port-taken") if the one that is asked for can't be had.
    """
    for port in (usual, 0) if asked is None else (asked,):
        try:
            return open_server(session, port)
        except OSError as error:
            said = explain_refusal(
                tell("port {port}", port=port), error, "opened", tell("give another --port, or none")
            )
    raise refusal("port-taken", *said)


def serve(session: Session, server: ThreadingHTTPServer, folders: Sequence[Path], stopping: Event) -> None:
    """Serve the page and draw what is saved, until `stopping` is set or the user interrupts.

    What goes wrong in the drawing is raised here.
    """
    faults: list[BaseException] = []

    def work() -> None:
        try:
            session.run()
        except BaseException as error:
            faults.append(error)
        finally:
            stopping.set()

    closing = Event()
    working, serving = (
        Thread(target=work, daemon=True),
        Thread(target=_answer, args=(server, closing), daemon=True),
    )
    try:
        serving.start()
        working.start()
        # Whatever is saved there may be part of the source: to read it again, when nothing has changed, costs little.
        for _ in watchfiles.watch(
            *folders,
            watch_filter=None,
            step=_STEP_MS,
            debounce=_MOST_MS,
            stop_event=stopping,
            rust_timeout=500,
        ):
            session.note_change()
    except KeyboardInterrupt:
        pass
    finally:
        closing.set()
        session.stop()
        if serving.is_alive():  # to shut down what never ran would wait for ever
            server.shutdown()
        server.server_close()
        if working.is_alive():
            working.join()
    for fault in faults:
        raise fault


def _answer(server: ThreadingHTTPServer, closing: Event) -> None:
    """Answer requests until the server is shut down, or closed before it had begun."""
    try:
        server.serve_forever()
    except (OSError, ValueError):
        if not closing.is_set():
            raise
