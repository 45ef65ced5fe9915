"""A class in an edition: its two files, listed on the page, and used again while they would come out the same."""

from __future__ import annotations

import re

import pytest
from class_samples import CLASS, add_class, lay_out
from pypdf import PdfReader
from source_folders import SourceFolders

from pocketref.edition.proof import prove
from pocketref.publish.build import build_edition, publish_edition


def test_slides_and_notes_are_files_of_the_edition_and_listed_on_its_page(folders: SourceFolders) -> None:
    add_class(folders, CLASS)
    proof = prove(folders.content, folders.layouts)
    built = list(build_edition(proof))
    target = publish_edition(proof, built, folders.root / "out")
    slides, notes = (PdfReader(target / f"classes/night{end}.pdf") for end in ("", "-notes"))
    assert len(slides.pages) == len(proof.classes[0].slides)
    assert "Speaker" in notes.pages[0].extract_text()
    manifest = (target / "manifest.json").read_text(encoding="utf-8")
    assert all(f'"classes/night{end}.pdf"' in manifest for end in ("", "-notes"))
    page = (target / "index.html").read_text(encoding="utf-8")
    assert "Classes to project" in page
    assert len(re.findall(r'href="?classes/night(-notes)?\.pdf', page)) == 2


def test_rooms_are_measured_in_feet_or_in_metres(folders: SourceFolders) -> None:
    feet = CLASS.replace("8 m", "26 ft").replace("1.5 m", "5 ft")
    add_class(folders, feet)
    (night,) = prove(folders.content, folders.layouts).classes
    # 26 ft beside 5 ft is as 7.9248 m beside 1.524 m; the demo's room is 8 m beside 1.5 m.
    assert night.deck.floor_pt == pytest.approx(lay_out("box").deck.floor_pt * (7.9248 / 1.524) / (8 / 1.5))
    assert "5 ft high or more, read from 26 ft at most" in night.slides[0].slide.notes[0]
