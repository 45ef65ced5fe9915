"""The command `look`: faces on a page of this machine, drawn anew as their source is saved."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from threading import Event

import click

from pocketref.console import (
    command,
    count_errors,
    find_sources,
    language_option,
    option,
    print_source,
    report_refusals,
    source_options,
    stock_option,
)
from pocketref.words.terminal import tell

_PORT = 8520
"""Always the same where it is free, so that a page that is still open goes on."""


@command()
@source_options
@stock_option
@option(
    "--port",
    type=click.IntRange(0, 65535),
    help="Port of the page; default: {usual}, or one that is free.",
    slots={"usual": _PORT},
)
@option("--open", "opens", is_flag=True, help="Open the page in your browser.")
@language_option
@report_refusals(count_errors)
def look(
    content: Path | None, layouts: Path | None, stock: str, port: int | None, opens: bool, language: str
) -> None:
    """Show the faces on a page that is drawn anew at each save, with what is wrong beside them.

    The page is for this machine alone: it answers no other, and changes nothing. A source that is half saved or at
    fault leaves what was last seen. Ctrl-C ends it.

    \b
    Example:
      pocketref look --open
      pocketref look --language es
    """
    from pocketref.look.server import write_address
    from pocketref.look.session import Session
    from pocketref.look.watching import find_watched, open_port, serve

    sources = find_sources(content, layouts)
    watched = find_watched(*sources)
    session = Session(*sources, stock, language)
    server = open_port(session, port, _PORT)
    with suppress(KeyboardInterrupt):
        print_source(sources[0])
        click.echo(tell("The faces are at {server} until you press Ctrl-C.", server=write_address(server)))
        if opens:
            click.launch(write_address(server))
        serve(session, server, watched, Event())
