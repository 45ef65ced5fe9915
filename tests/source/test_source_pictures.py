"""Pictures of a content folder: what is taken, what is dropped from it, and what is refused with its reason."""

from __future__ import annotations

import gzip
import hashlib
import os
import struct
import tracemalloc
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from picture_samples import (
    PNG_START,
    badge,
    badge_jpeg,
    badge_png,
    chunk,
    exif_turned,
    header_only_png,
    insert_chunk,
    insert_segment,
    save,
)
from PIL import Image, ImageChops, ImageFile

from pocketref.problems import Location, Problem, ProblemLog
from pocketref.source.picture_bytes import BrokenPictureError, keep_drawn_parts
from pocketref.source.pictures import BIGGEST_PICTURE_BYTES, PictureFile, read_picture

WHERE = Location("layouts/cards/batters-box.yaml", 12, 18, "  - {block: photo, file: logo.png}")

SVG = b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">%s</svg>'


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A content folder."""
    folder = tmp_path / "content"
    folder.mkdir()
    return folder


def take(home: Path, content: bytes, name: str = "logo.png") -> PictureFile:
    (home / name).write_bytes(content)
    problems = ProblemLog()
    picture = read_picture(home, name, WHERE, problems)
    assert problems.problems == []
    assert picture is not None
    return picture


def refuse(home: Path, file: str) -> Problem:
    problems = ProblemLog()
    assert read_picture(home, file, WHERE, problems) is None
    (problem,) = problems.problems
    assert problem.where == WHERE
    assert problem.hint
    return problem


def refuse_content(home: Path, content: bytes, name: str = "logo.png") -> Problem:
    (home / name).write_bytes(content)
    return refuse(home, name)


# --- taken -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA"])
def test_a_png_of_any_common_kind_is_taken_with_its_size_and_pixels(home: Path, mode: str) -> None:
    content = badge_png(mode)
    picture = take(home, content)
    assert (picture.kind, picture.pixels) == ("png", (240, 120))
    assert picture.sha256 == hashlib.sha256(content).hexdigest()
    kept, sent = (Image.open(BytesIO(data)).convert("RGBA") for data in (picture.data, content))
    assert ImageChops.difference(kept, sent).getbbox(alpha_only=False) is None


@pytest.mark.parametrize(("mode", "progressive"), [("L", False), ("RGB", False), ("RGB", True)])
def test_a_jpeg_grey_or_rgb_baseline_or_progressive_is_taken(
    home: Path, mode: str, progressive: bool
) -> None:
    content = badge_jpeg(mode, progressive=progressive)
    picture = take(home, content, "crew.jpg")
    assert (picture.kind, picture.pixels) == ("jpeg", (240, 120))
    assert Image.open(BytesIO(picture.data)).tobytes() == Image.open(BytesIO(content)).tobytes()


def test_what_is_in_the_file_counts_and_not_how_its_name_ends(home: Path) -> None:
    assert take(home, badge_jpeg(), "logo.png").kind == "jpeg"
    assert take(home, badge_png(), "crew").kind == "png"


def test_a_link_within_the_folder_is_followed(home: Path) -> None:
    (home / "pictures").mkdir()
    (home / "pictures" / "new.png").write_bytes(badge_png())
    (home / "logo.png").symlink_to("pictures/new.png")
    assert read_picture(home, "logo.png", WHERE, ProblemLog()) is not None


def test_a_content_folder_that_is_a_link_itself_holds_its_pictures(home: Path) -> None:
    (home / "logo.png").write_bytes(badge_png())
    (home.parent / "season").symlink_to(home)
    assert read_picture(home.parent / "season", "logo.png", WHERE, ProblemLog()) is not None


def test_two_ways_to_write_a_path_give_one_name(home: Path) -> None:
    (home / "logo.png").write_bytes(badge_png())
    first, second = (read_picture(home, name, WHERE, ProblemLog()) for name in ("logo.png", "./logo.png"))
    assert first == second


# --- what it says beside its pixels ----------------------------------------------------------------------


def test_a_png_loses_its_words_times_and_profiles(home: Path) -> None:
    said = badge_png()
    for kind in (b"tEXt", b"zTXt", b"iTXt", b"tIME", b"iCCP", b"eXIf", b"prVt"):
        said = insert_chunk(said, kind, b"Author\x0051 Elm Lane")
    picture = take(home, said)
    assert b"Elm" not in picture.data
    assert picture.data == take(home, badge_png()).data


def test_a_jpeg_loses_place_comment_profile_thumbnails_and_what_follows_it(home: Path) -> None:
    plain = take(home, badge_jpeg()).data
    said = insert_segment(badge_jpeg(comment=b"51 Elm Lane"), 0xE1, b"Exif\0\0" + exif_turned(1))
    said = insert_segment(said, 0xE2, b"ICC_PROFILE\0Elm") + b"Elm"
    assert b"Elm" not in take(home, said).data
    assert take(home, said).data == plain


def test_a_chunk_that_would_unpack_to_gigabytes_is_never_unpacked(home: Path) -> None:
    bomb = zlib.compress(b"\0" * 200_000_000, 9)
    said = insert_chunk(badge_png(), b"zTXt", b"Comment\0\0" + bomb)
    tracemalloc.start()
    take(home, said)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 20_000_000


# --- where it may be -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "file",
    [
        "../logo.png",
        "pictures/../../logo.png",
        "/etc/logo.png",
        "~/logo.png",
        "C:/logo.png",
        "pictures\\logo.png",
        "file:///logo.png",
        "https://example.org/logo.png",
        "..",
    ],
)
def test_a_path_that_leads_elsewhere_is_refused_though_there_is_a_picture(home: Path, file: str) -> None:
    (home.parent / "logo.png").write_bytes(badge_png())
    assert refuse(home, file).code == "picture-outside"


def test_a_link_out_of_the_folder_is_refused(home: Path) -> None:
    (home.parent / "secret.png").write_bytes(badge_png())
    (home / "logo.png").symlink_to(home.parent / "secret.png")
    (home / "pictures").symlink_to(home.parent)
    for file in ("logo.png", "pictures/secret.png"):
        problem = refuse(home, file)
        assert problem.code == "picture-outside"
        assert "link" in problem.sentence
        assert "put the file itself there" in problem.hint


def test_links_in_a_ring_are_refused(home: Path) -> None:
    (home / "logo.png").symlink_to("other.png")
    (home / "other.png").symlink_to("logo.png")
    assert refuse(home, "logo.png").code == "picture-unreadable"


@pytest.mark.parametrize("file", ["logo.png", "pictures/logo.png", "x" * 300 + ".png"])
def test_a_picture_that_is_not_there_is_told_of(home: Path, file: str) -> None:
    assert refuse(home, file).code in ("picture-missing", "picture-unreadable")


def test_a_folder_and_a_pipe_are_no_pictures(home: Path) -> None:
    (home / "logos").mkdir()
    os.mkfifo(home / "pipe.png")
    assert refuse(home, "logos").code == "picture-unreadable"
    assert refuse(home, "pipe.png").code == "picture-unreadable"


def test_a_stored_source_holds_no_pictures(home: Path) -> None:
    stored = home / "2026.json"
    stored.write_text("{}")
    problem = refuse(stored, "logo.png")
    assert problem.code == "picture-missing"
    assert "give the content folder" in problem.hint


# --- what it may be --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [
        SVG % b"",
        SVG % b"<script>alert(1)</script>",
        SVG % b'<image href="http://example.org/x.png"/>',
        b"\xef\xbb\xbf" + SVG % b"",
        b"<!-- a comment first -->" * 20 + SVG % b"",
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "">' + SVG % b"",
    ],
)
@pytest.mark.parametrize("name", ["logo.svg", "logo.png"])
def test_an_svg_is_refused_with_or_without_a_script_whatever_it_is_called(
    home: Path, content: bytes, name: str
) -> None:
    problem = refuse_content(home, content, name)
    assert problem.code == "picture-kind"
    assert "SVG, which can carry scripts" in problem.sentence
    assert "export it as PNG" in problem.hint


def test_a_compressed_svg_is_refused_as_one(home: Path) -> None:
    assert "is an SVG" in refuse_content(home, gzip.compress(SVG % b""), "logo.svgz").sentence


@pytest.mark.parametrize(
    ("kind", "name"), [("GIF", "GIF"), ("WEBP", "WebP"), ("TIFF", "TIFF"), ("BMP", "BMP"), ("PDF", "PDF")]
)
def test_another_kind_of_picture_is_refused_by_its_name(home: Path, kind: str, name: str) -> None:
    problem = refuse_content(home, save(badge(), kind))
    assert problem.code == "picture-kind"
    assert f"is a {name}, not a PNG or JPEG" in problem.sentence
    assert "export it" in problem.hint


@pytest.mark.parametrize(
    "content", [b"", b"hello", b"\0" * 100, b"#!/bin/sh\nexit\n", b"\x89PNG", b"\xff\xd8"]
)
def test_what_is_no_picture_is_refused(home: Path, content: bytes) -> None:
    problem = refuse_content(home, content)
    assert problem.code == "picture-kind"
    assert "is not a picture" in problem.sentence


@pytest.mark.parametrize(
    ("width", "height"), [(20_000, 15_000), (2_000_000_000, 2_000_000_000), (8000, 5001)]
)
def test_a_picture_of_too_many_pixels_is_refused_by_its_header_alone(
    home: Path, width: int, height: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    decoded: list[object] = []
    monkeypatch.setattr(ImageFile.ImageFile, "load", decoded.append)
    problem = refuse_content(home, header_only_png(width, height))
    assert problem.code == "picture-many-pixels"
    assert f"{width:,} by {height:,} pixels; at most 40 million" in problem.sentence
    assert decoded == []


def test_a_jpeg_of_300_megapixels_is_refused_by_its_header_alone(home: Path) -> None:
    jpeg = badge_jpeg()
    size = struct.pack(">HH", 120, 240)
    assert jpeg.count(size) == 1
    problem = refuse_content(home, jpeg.replace(size, struct.pack(">HH", 15_000, 20_000)))
    assert problem.code == "picture-many-pixels"


def test_a_file_over_five_megabytes_is_refused_unread(home: Path) -> None:
    with (home / "logo.png").open("wb") as stream:
        stream.write(badge_png())
        stream.truncate(BIGGEST_PICTURE_BYTES + 1)
    problem = refuse(home, "logo.png")
    assert problem.code == "picture-big"
    assert "5,000,001 bytes; at most 5,000,000" in problem.sentence


def test_a_cmyk_jpeg_is_refused_with_what_to_save_it_as(home: Path) -> None:
    problem = refuse_content(home, badge_jpeg("CMYK"), "crew.jpg")
    assert problem.code == "picture-colours"
    assert "CMYK" in problem.sentence
    assert "RGB" in problem.hint


@pytest.mark.parametrize("colour_type", [0, 2, 4, 6])
def test_sixteen_bits_a_sample_are_refused(home: Path, colour_type: int) -> None:
    problem = refuse_content(home, header_only_png(10, 10, 16, colour_type))
    assert problem.code == "picture-depth"
    assert "16 bits" in problem.sentence


@pytest.mark.parametrize("orientation", [2, 3, 6, 8])
def test_a_photo_stored_on_its_side_is_refused_rather_than_printed_so(home: Path, orientation: int) -> None:
    problem = refuse_content(home, badge_jpeg(exif=exif_turned(orientation)), "crew.jpg")
    assert problem.code == "picture-turned"
    problem = refuse_content(home, save(badge(), exif=exif_turned(orientation)))
    assert problem.code == "picture-turned"


@pytest.mark.parametrize("notes", [b"", b"\0", b"MM\0*\xff\xff\xff\xff", b"II*\0" + b"\x08" * 40])
def test_notes_that_cannot_be_read_turn_nothing(home: Path, notes: bytes) -> None:
    take(home, insert_segment(badge_jpeg(), 0xE1, b"Exif\0\0" + notes), "crew.jpg")


def test_a_jpeg_coded_as_few_programs_read_it_is_refused(home: Path) -> None:
    jpeg = badge_jpeg()
    assert refuse_content(home, jpeg.replace(b"\xff\xc0", b"\xff\xc9")).code == "picture-coding"


CUTS: dict[str, Callable[[], bytes]] = {
    "png-halved": lambda: badge_png()[: len(badge_png()) // 2],
    "png-in-its-header": lambda: badge_png()[:20],
    "png-with-no-pixels": lambda: header_only_png(0, 10),
    "png-with-few-rows": lambda: header_only_png(100, 100),
    "png-with-a-wrong-checksum": lambda: badge_png().replace(b"IDAT", b"IDAT\0", 1),
    "png-without-a-header": lambda: PNG_START + chunk(b"IEND", b""),
    "png-with-a-strange-critical-chunk": lambda: insert_chunk(badge_png(), b"ABCD", b"x"),
    "png-whose-pixels-are-not-packed": lambda: (
        PNG_START + header_only_png(4, 4)[8:33] + chunk(b"IDAT", b"not zlib") + chunk(b"IEND", b"")
    ),
    "jpeg-halved": lambda: badge_jpeg()[:3000],
    "jpeg-in-its-header": lambda: badge_jpeg()[:30],
    "jpeg-without-tables": lambda: b"\xff\xd8\xff\xd9",
    "jpeg-with-a-segment-of-no-length": lambda: b"\xff\xd8\xff\xe0\0\0",
    "jpeg-with-rubbish-between": lambda: badge_jpeg()[:20] + b"rubbish" + badge_jpeg()[20:],
}


@pytest.mark.parametrize("name", CUTS)
def test_a_broken_picture_is_refused_before_anything_is_written(home: Path, name: str) -> None:
    problem = refuse_content(home, CUTS[name]())
    assert problem.code == "picture-broken"
    assert "save it again" in problem.hint


PNG, JPEG = badge_png("RGBA", 24, 12), save(badge("RGB", 24, 12), "JPEG", progressive=True)


@settings(max_examples=200)
@given(
    st.sampled_from([PNG, JPEG]),
    st.lists(st.tuples(st.integers(0, 600), st.binary(max_size=4)), max_size=4),
    st.integers(0, 900),
)
def test_whatever_is_done_to_a_picture_it_is_taken_or_refused(
    tmp_path_factory: pytest.TempPathFactory, picture: bytes, edits: list[tuple[int, bytes]], cut: int
) -> None:
    spoilt = bytearray(picture)
    for at, put in edits:
        spoilt[at : at + len(put)] = put
    home = tmp_path_factory.mktemp("content")
    (home / "logo.png").write_bytes(spoilt[: len(spoilt) - cut if cut < 100 else None])
    problems = ProblemLog()
    found = read_picture(home, "logo.png", WHERE, problems)
    assert (found is None) == bool(problems.problems)
    if found is not None:
        Image.open(BytesIO(found.data)).load()


@given(st.sampled_from([PNG, JPEG]))
def test_keeping_the_drawn_parts_twice_keeps_the_same(picture: bytes) -> None:
    once = keep_drawn_parts(picture)
    assert once is not None
    assert keep_drawn_parts(once.data) == once


def test_what_is_neither_has_no_drawn_parts_and_what_is_cut_off_says_so() -> None:
    assert keep_drawn_parts(b"GIF89a") is None
    with pytest.raises(BrokenPictureError, match="cut off"):
        keep_drawn_parts(PNG[:-1])
