"""Run as a program of its own: what a PDF's form says, read from its objects; nothing is drawn, nothing run.

A PDF may be made to eat time and memory (streams that unfold a thousandfold, page trees that lead back to
themselves), and its reader can't be stopped from within. So this program takes the bytes from its standard input,
limits itself, and writes JSON; `filled_sheet.py` starts it by its path, and takes any other end for a refusal.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from io import BytesIO
from itertools import islice

import pikepdf

MOST_PAGES = 40
"""A sheet with its back has two pages, a template some seven; a longer file is something else."""
MOST_NODES = 4 * MOST_PAGES
MOST_ANNOTATIONS = 2_000
"""The fullest sheet of ours has some eighty fields."""
MOST_PARENTS = 16
MOST_LETTERS = 10_000
CPU_S = 4
MOST_BYTES = 400 * 1024 * 1024
"""Of addresses, the interpreter's own included."""
LOCKED = 3
"""The exit code that tells of a password."""


def limit_self() -> None:
    """Limit time and memory where the system can: Windows limits neither, macOS time alone."""
    try:
        import resource  # not on Windows
    except ImportError:
        return
    limits = {resource.RLIMIT_CPU: CPU_S, resource.RLIMIT_AS: MOST_BYTES, resource.RLIMIT_CORE: 0}
    for kind, most in limits.items():
        try:
            resource.setrlimit(kind, (most, most))
        except (ValueError, OSError):
            continue


def list_pages(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    """The pages in their order, at most one more than a sheet may have; ValueError if they form no tree."""
    pages: list[pikepdf.Object] = []
    waiting = [pdf.Root.Pages]
    for _ in range(MOST_NODES):
        if not waiting or len(pages) > MOST_PAGES:
            return pages
        node = waiting.pop()
        if node.Type == pikepdf.Name.Page:
            pages.append(node)
        else:
            waiting += list(islice(node.Kids, MOST_NODES))[::-1]
    raise ValueError("more nodes than a sheet has")


def list_fields(pages: list[pikepdf.Object]) -> Iterator[tuple[str, str]]:
    """Each field's full name and its value, "" where there is none (ISO 32000-1, 12.7.3)."""
    annotations = [a for page in pages for a in islice(page.get("/Annots", ()), MOST_ANNOTATIONS + 1)]
    if len(annotations) > MOST_ANNOTATIONS:
        raise ValueError("more fields than a sheet has")
    return (read_field(a) for a in annotations if a.get("/Subtype") == pikepdf.Name.Widget)


def read_field(widget: pikepdf.Object) -> tuple[str, str]:
    """Name and value, either of which may stand with a parent."""
    names, value, node = [], None, widget
    for _ in range(MOST_PARENTS):
        if "/T" in node:
            names.append(write_value(node.T))
        value = node.get("/V") if value is None else value
        if "/Parent" not in node:
            return ".".join(reversed(names))[:MOST_LETTERS], write_value(value).strip()
        node = node.Parent
    raise ValueError("more parents than a field has")


def write_value(value: object) -> str:
    """A text as it is, one of any length from its stream, a name (a box that is ticked) without its slash."""
    if isinstance(value, pikepdf.Stream):
        value = pikepdf.String(value.read_bytes())
    is_text = isinstance(value, pikepdf.String | pikepdf.Name)
    text = str(value)[:MOST_LETTERS].encode("utf-8", "replace").decode() if is_text else ""
    return text.removeprefix("/") if isinstance(value, pikepdf.Name) else text


def main() -> int:
    """Read standard input, write what was found."""
    limit_self()
    try:
        pdf = pikepdf.open(BytesIO(sys.stdin.buffer.read()))
    except pikepdf.PasswordError:
        return LOCKED
    pages, said = list_pages(pdf), pdf.trailer.get("/Info", pikepdf.Dictionary())
    found = {
        "subject": write_value(said.get("/Subject")),
        "keywords": write_value(said.get("/Keywords")),
        "pages": len(pages),
        "fields": list(list_fields(pages)) if len(pages) <= MOST_PAGES else [],
    }
    sys.stdout.write(json.dumps(found))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
