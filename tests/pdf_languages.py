"""The languages that a finished PDF says its words are in, read back as a program that reads aloud would."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

import pikepdf

from pocketref.output.pdf_run import read_unicode_map


def list_languages(data: bytes) -> list[tuple[str, str]]:
    """Each run of words in the order of the pages' content, with its language (ISO 32000-1, 14.9.2): the span's,
    else that of the nearest structure element that names one, else the document's."""
    with pikepdf.open(BytesIO(data)) as pdf:
        numbers = list(pdf.Root.StructTreeRoot.ParentTree.Nums)
        owners = {int(key): value for key, value in zip(numbers[::2], numbers[1::2], strict=True)}
        return [
            run
            for page in pdf.pages
            for run in _list_runs(page, owners[int(page.StructParents)], str(pdf.Root.Lang))
        ]


def _list_runs(page: pikepdf.Page, owners: pikepdf.Object, language: str) -> Iterator[tuple[str, str]]:
    stack, codes = [""], {}
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "BMC":
                stack.append("")
            case "BDC":
                marks = operands[1]
                own = _find_language(owners[int(marks.MCID)], language) if "/MCID" in marks else stack[-1]
                stack.append(str(marks.get("/Lang", own)))
            case "EMC":
                stack.pop()
            case "Tf":
                codes = read_unicode_map(page.Resources.Font[operands[0]])
            case "Tj":
                yield stack[-1], "".join(codes[code] for code in bytes(operands[0]))


def _find_language(node: pikepdf.Object, language: str) -> str:
    while "/Lang" not in node and "/P" in node:
        node = node.P
    return str(node.get("/Lang", language))
