"""A run's pages print what they were given, and reading them back finds what is not so."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from pocketref.output.pdf import write_pdf
from pocketref.output.pdf_run import RunPage, RunTemplate, add_scenes, prepare_run, write_run
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.run_readback import RunReader
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Placed, Scene, Slot
from pocketref.scene.typefaces import open_slot, set_text

PAPER = Box(0, 0, 120, 80)
NAMES = ("Ann (Jo) Exemplar", "Bo \\ Muster", "Zoë Ångström")


def make_scene(key: str = "card") -> Scene:
    words = set_text(2, 12, "Same on every card", FontFace.REGULAR, 8, BLACK)
    slot = open_slot(Slot.OWNER, set_text(2, 4, "W" * 20, FontFace.BOLD, 9, BLACK))
    return Scene(key, 50, 30, (words, slot))


def make_run() -> tuple[RunTemplate, list[RunPage]]:
    """A template with a scene, one that is added, and a page for each name, the second scene turned."""
    scene, added = make_scene(), make_scene("added")
    page = Page(
        "sheet", PAPER.width_mm, PAPER.height_mm, (Element(Role.PARAGRAPH, (Placed(scene, 5, 5),)),), PAPER
    )
    template = prepare_run(Document("Run", "a test", "nobody", (page,)), {FontFace.BOLD: "".join(NAMES)})
    shown = (Placed(scene, 5, 40), Placed(added, 100, 5, 1))
    return add_scenes(template, [added]), [[(placed, (name,)) for placed in shown] for name in NAMES]


def test_every_name_stands_in_its_slot_whoever_reads_it() -> None:
    template, pages = make_run()
    data = write_run(template, pages)
    RunReader(template, 7.0).check(data, template, pages)
    assert data == write_run(template, pages)
    for name, printed, other in zip(NAMES, read_pdf(data).pages, PdfReader(BytesIO(data)).pages, strict=True):
        found = [
            (round(run.x, 2), round(run.y, 2), round(run.angle))
            for run in printed.texts
            if run.content == name
        ]
        assert found == [(7.0, 44.0, 0), (96.0, 7.0, 90)]
        assert other.extract_text().count(name) == 2
        assert printed.media.width_mm == pytest.approx(PAPER.width_mm, abs=0.001)
    with pikepdf.open(BytesIO(data)) as pdf:
        assert pdf.check_pdf_syntax() == []


def test_a_slot_of_a_plain_document_is_left_empty() -> None:
    page = Page("card", 60, 40, (Element(Role.PARAGRAPH, make_scene().items),), Box(0, 0, 60, 40))
    (printed,) = read_pdf(write_pdf(Document("Card", "", "", (page,)))).pages
    assert [run.content for run in printed.texts] == ["Same on every card"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b" 14.173 ", b" 24.173 "),
        (b" 9 Tf", b" 3 Tf"),
        (b"/S1 Do", b"/A1 Do"),
        (b") Tj", b") ' "),
        (b" BT ", b" 0 w"),
        (b"/F1+0", b"/F2+0"),
    ],
)
def test_a_line_that_is_not_as_asked_for_is_refused(old: bytes, new: bytes) -> None:
    template, pages = make_run()
    data = write_run(template, pages)
    before, found, after = data.rpartition(old)  # on the last page
    assert found
    refuse(template, before + new + after, pages)


def test_another_name_or_card_or_paper_and_a_page_too_few_are_refused() -> None:
    template, pages = make_run()
    data = write_run(template, pages)
    last = data.rindex(b") Tj ET")
    refuse(template, data[: last - 1] + data[last - 2 : last - 1] + data[last:], pages)
    refuse(template, data.replace(b"/Subtype /Form", b"/Subtype /Fern", 1), pages)
    refuse(template, data, pages[:-1])
    refuse(template, data, [*pages[:-1], [(placed, ("Someone Else",)) for placed, _ in pages[-1]]])
    refuse(replace(template, width_mm=130), data, pages)


def refuse(template: RunTemplate, data: bytes, pages: list[RunPage]) -> None:
    with pytest.raises(PocketrefError, match="not as it should be"):
        RunReader(template, 7.0).check(data, template, pages)
