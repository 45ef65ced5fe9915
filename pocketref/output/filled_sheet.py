"""Reads what was typed into a published sheet: its fields' values, and which sheet it says it is."""

from __future__ import annotations

import ctypes
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium

from pocketref.problems import Location, PocketrefError, Problem

_SUBJECT = re.compile(r"sheet (?P<sheet>[a-z0-9-]+), edition (?P<edition>.+)")
_LEVEL = re.compile(r"level (?P<level>[a-z0-9-]+)")
CHECK_SHEETS = "fill in a check sheet, such as plate-area.pdf, bases.pdf or mound.pdf"
LONGEST_NAME = 60
"""What is shown of a field's name."""
MOST_PAGES = 40
"""A sheet with its back has two pages, a template some seven; a longer file is something else."""


@dataclass(frozen=True, slots=True)
class FilledSheet:
    """A sheet of an edition as it came back: `values` are the texts of its fields by name, blank ones too."""

    file: str
    sheet: str
    edition: str
    level: str
    """The level it was laid out for, such as "high-school-90-ft"."""
    values: Mapping[str, str]

    def locate(self, name: str) -> Location:
        """A field's place, for messages."""
        return Location(f"{self.file}, field {name[:LONGEST_NAME]}")


def read_filled_sheet(data: bytes, shown: str) -> FilledSheet:
    """The fields of a filled-in sheet; `shown` names the file in messages.

    Raises PocketrefError if the bytes are no PDF, or a PDF that is no sheet of an edition.
    """
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        hint = "give a published sheet as your viewer saved it, without a password"
        raise _refuse("sheet-unreadable", f"{shown} can't be read as a PDF", hint, shown) from None
    try:
        said = _SUBJECT.fullmatch(document.get_metadata_value("Subject"))
        level = _LEVEL.search(document.get_metadata_value("Keywords"))
        if said is None or level is None or len(document) > MOST_PAGES:
            sentence = f"{shown} is a PDF, but no sheet of an edition"
            hint = "give a published check sheet as saved; one printed to a new PDF has lost its fields"
            raise _refuse("sheet-foreign", sentence, hint, shown)
        values = MappingProxyType(dict(_read_fields(document)))
    except pypdfium2.PdfiumError:
        hint = "save the sheet once more in your viewer, or fill in a fresh one"
        raise _refuse("sheet-unreadable", f"{shown} is a damaged PDF", hint, shown) from None
    finally:
        document.close()
    if not values:
        sentence = f"{shown} is the sheet '{said['sheet']}' with no fields to fill in"
        hint = f"{CHECK_SHEETS}; if this is one, save it itself, as printing it to a PDF drops its fields"
        raise _refuse("sheet-flattened", sentence, hint, shown)
    return FilledSheet(shown, said["sheet"], said["edition"], level["level"], values)


def read_subject(data: bytes) -> str:
    """The subject that a PDF names in its properties, such as "tape report, edition 2027"; "" if there is none."""
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        return ""
    try:
        return str(document.get_metadata_value("Subject"))
    except pypdfium2.PdfiumError:
        return ""
    finally:
        document.close()


def _refuse(code: str, sentence: str, hint: str, shown: str) -> PocketrefError:
    return PocketrefError([Problem(code, sentence, hint, Location(shown))])


def _read_fields(document: pypdfium2.PdfDocument) -> Iterator[tuple[str, str]]:
    """Each field's name and text, in the order of the pages."""
    document.init_forms()
    if document.formenv is None:
        return
    form = document.formenv.raw
    for page in document:
        for index in range(pdfium.FPDFPage_GetAnnotCount(page.raw)):
            annotation = pdfium.FPDFPage_GetAnnot(page.raw, index)
            try:
                if pdfium.FPDFAnnot_GetSubtype(annotation) == pdfium.FPDF_ANNOT_WIDGET:
                    name = _read_string(pdfium.FPDFAnnot_GetFormFieldName, form, annotation)
                    yield name, _read_string(pdfium.FPDFAnnot_GetFormFieldValue, form, annotation).strip()
            finally:
                pdfium.FPDFPage_CloseAnnot(annotation)


def _read_string(read: Callable[..., int], form: Any, annotation: Any) -> str:
    length = read(form, annotation, None, 0)
    units = (ctypes.c_ushort * max(length // 2, 1))()
    read(form, annotation, units, length)
    return bytes(units).decode("utf-16-le", "replace").rstrip("\0")
