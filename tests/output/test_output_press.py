"""What a file for the print shop may say: PDF/X-4 on greys and spot inks, nothing where colours need another intent."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pikepdf
import pytest
from output_samples import BADGE, ORANGE, document, full_document, line, page, paragraph, simple_document
from PIL import Image, ImageCms

from pocketref.output.grey_profile import write_grey_profile
from pocketref.output.pdf import write_pdf
from pocketref.output.pdf_press import convert_to_lab
from pocketref.pages.page import Document, Element, Role
from pocketref.scene.inks import BLACK, GREY_MID, spot_ink
from pocketref.scene.items import Shape
from pocketref.scene.paths import rectangle

RED = spot_ink("Signal red 1", (0.0, 0.95, 0.85, 0.0), "#c8102e")
SQUARE = rectangle(5, 5, 10, 10)


def for_press(sample: Document) -> bytes:
    return write_pdf(replace(sample, press_day="2027-02-01"))


def standards(data: bytes) -> set[str]:
    with pikepdf.open(BytesIO(data)) as pdf:
        packet = pdf.Root.Metadata.read_bytes().decode()
    return set(re.findall(r"<pdf\w+id:\w+>([^<]+)", packet))


def test_greys_and_spot_inks_are_pdf_x_other_colours_pictures_and_fields_are_not() -> None:
    def drawn(ink) -> bytes:
        return for_press(simple_document(Shape(SQUARE, None, ink)))

    assert [standards(drawn(ink)) for ink in (BLACK, GREY_MID, RED)] == [{"PDF/X-4"}] * 3
    assert standards(drawn(ORANGE)) == set()
    picture = Element(Role.FIGURE, (BADGE,), alt="A badge in colour", label="badge")
    assert standards(for_press(document(page(picture)))) == set()
    assert standards(for_press(full_document())) == set()


def test_what_is_read_is_pdf_ua_unless_it_begins_below_a_title_or_a_field_is_silent() -> None:
    assert standards(write_pdf(full_document())) == {"1"}
    heading = Element(Role.HEADING, (line(5, 50, "Enforce"),))
    assert standards(write_pdf(document(page(heading)))) == set()
    ragged = Element(
        Role.TABLE,
        (),
        tuple(
            Element(
                Role.TABLE_ROW,
                (),
                tuple(Element(Role.TABLE_CELL, (line(5 + 9 * n, 9 * count, "x"),)) for n in range(count)),
            )
            for count in (1, 2)
        ),
    )
    assert standards(write_pdf(document(page(ragged)))) == set()


def test_a_run_of_pages_says_nothing_of_standards_that_its_pages_may_not_keep() -> None:
    assert standards(write_pdf(full_document(), is_tagged=False)) == set()


def test_little_cms_takes_the_profile_for_one_of_a_grey_printer() -> None:
    """ICC.1:2001-04, 6.3.3.1, read by the colour engine that Pillow brings; white stays white and black black."""
    profile = ImageCms.getOpenProfile(BytesIO(write_grey_profile()))
    assert (profile.profile.device_class, profile.profile.xcolor_space.strip()) == ("prtr", "GRAY")
    assert profile.profile.connection_space.strip() == "XYZ"
    screen = ImageCms.createProfile("sRGB")
    greys = Image.new("L", (256, 1))
    greys.putdata(range(256))
    shown = ImageCms.profileToProfile(greys, profile, screen, outputMode="RGB")
    levels = [shown.getpixel((x, 0))[0] for x in range(256)]
    assert (levels[0], levels[255]) == (0, 255)
    assert levels == sorted(levels)
    # A half tint that covers 70 % leaves 30 % of the light: 0.3 in IEC 61966-2-1 is 149 of 255.
    assert levels[128] == pytest.approx(149, abs=2)


@pytest.mark.parametrize(
    "srgb", ["#ffffff", "#000000", "#ff0000", "#00ff00", "#0000ff", "#c8102e", "#080808"]
)
def test_colours_are_told_in_lab_as_little_cms_tells_them(srgb: str) -> None:
    lab = ImageCms.createProfile("LAB", 5000)  # D50, as in profiles
    rgb = tuple(int(srgb[at : at + 2], 16) for at in (1, 3, 5))
    said = ImageCms.profileToProfile(
        Image.new("RGB", (1, 1), rgb), ImageCms.createProfile("sRGB"), lab, outputMode="LAB"
    ).getpixel((0, 0))
    signed = [said[0] * 100 / 255, *(value - 128 for value in said[1:])]
    assert convert_to_lab(srgb) == pytest.approx(signed, abs=1.1)


def test_a_spot_ink_for_the_press_asks_for_no_mix_of_inks() -> None:
    """ISO 32000-1, 8.6.6.4 and 8.6.5.4: the tint of a plate that is not there, independent of any device."""
    with pikepdf.open(BytesIO(for_press(simple_document(Shape(SQUARE, None, RED))))) as pdf:
        ((_, space),) = pdf.pages[0].obj.Resources.ColorSpace.items()
        assert (str(space[1]), str(space[2][0])) == ("/Signal red 1", "/Lab")
        assert [float(share) for share in space[3].C1] == pytest.approx(convert_to_lab(RED.srgb), abs=0.001)


def test_more_than_four_pages_are_found_by_their_titles_or_names() -> None:
    title = Element(Role.TITLE, (line(5, 60, "Contact"),))
    heading = Element(Role.HEADING, (line(5, 50, "Enforce"),))
    named = [page(title, heading, name=f"face-{n}") for n in range(4)]
    with pikepdf.open(BytesIO(write_pdf(document(*named)))) as pdf, pdf.open_outline() as outline:
        assert not outline.root
    last = page(paragraph(line(5, 5, "x")), name="tile-1")
    with pikepdf.open(BytesIO(write_pdf(document(*named, last)))) as pdf, pdf.open_outline() as outline:
        titles = ["Contact", "Contact, face-1", "Contact, face-2", "Contact, face-3", "tile 1"]
        assert [item.title for item in outline.root] == titles
        assert [[kid.title for kid in item.children] for item in outline.root] == [["Enforce"]] * 4 + [[]]
        assert [pdf.pages.index(item.destination[0]) for item in outline.root] == [0, 1, 2, 3, 4]
