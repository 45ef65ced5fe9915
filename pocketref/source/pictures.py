"""Pictures of a content folder: PNG and JPEG files, refused with the reason before anything is decoded."""

from __future__ import annotations

import hashlib
import re
import stat
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import NoReturn

from PIL import Image, ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile

from pocketref.problems import Location, PocketrefError, ProblemLog, explain_refusal, refusal
from pocketref.source.picture_bytes import BrokenPictureError, DrawnParts, PictureKind, keep_drawn_parts
from pocketref.source.syntax.source_text import clean_name, clip_text
from pocketref.words.terminal import tell

BIGGEST_PICTURE_BYTES = 5_000_000
MOST_PIXELS = 40_000_000
"""A letter page at 600 dpi has 34 million."""

_MODES = ("1", "L", "LA", "P", "PA", "RGB", "RGBA")
_ORIENTATION = 0x0112  # Exif 2.32, 4.6.4
_UPRIGHT = 1
_EXPORT = "export it as PNG or JPEG"
_BESIDE = "copy the picture into the content folder and write its path from there, such as pictures/logo.png"
_SMALLER = "save it smaller: 300 pixels to an inch of printed width will do"
# How other kinds of files begin, so that a reason can name them.
OTHER_KINDS = (
    (re.compile(rb"GIF8"), "a GIF"),
    (re.compile(rb"RIFF....WEBP", re.DOTALL), "a WebP"),
    (re.compile(rb"II\*\0|MM\0\*"), "a TIFF"),
    (re.compile(rb"....ftyp", re.DOTALL), "a HEIC, an AVIF or a film"),
    (re.compile(rb"%PDF"), "a PDF"),
    (re.compile(rb"BM"), "a BMP"),
    (re.compile(rb"%!PS"), "PostScript"),
)
_SVG = re.compile(rb"<svg\b|<!DOCTYPE\s+svg", re.IGNORECASE)
_GZIP = b"\x1f\x8b"  # how a compressed SVG begins


@dataclass(frozen=True, slots=True)
class PictureFile:
    """A picture that can be drawn by every writer.

    `name` is its path in the content folder. `data` is the file without what doesn't draw, `pixels` its width
    and height, `sha256` that of the file as it stands in the folder.
    """

    name: str
    kind: PictureKind
    pixels: tuple[int, int]
    sha256: str
    data: bytes = field(repr=False)


def read_picture(
    content: Path, file: str, where: Location | None, problems: ProblemLog
) -> PictureFile | None:
    """A picture by its path in the content folder, or None with the reason noted at `where`.

    It must lie in the folder once links are followed, be a PNG or JPEG of at most BIGGEST_PICTURE_BYTES and,
    by its header, MOST_PIXELS, of 8 bits a sample or fewer, grey or RGB, stored upright, and whole.
    """
    try:
        return _read(content, file)
    except PocketrefError as error:
        problems.extend(replace(problem, where=where) for problem in error.problems)
        return None


def _refuse(code: str, sentence: str, hint: str) -> NoReturn:
    raise refusal(code, sentence, hint)


def _read(content: Path, file: str) -> PictureFile:
    shown = clip_text(file)
    raw = _read_bytes(_find(content, file, shown), shown)
    try:
        parts = keep_drawn_parts(raw)
    except BrokenPictureError as error:
        _refuse_broken(shown, str(error))
    if parts is None:
        _refuse_kind(shown, raw)
    pixels = _check_header(shown, parts)
    name = clean_name(PurePosixPath(file).as_posix())
    return PictureFile(name, parts.kind, pixels, hashlib.sha256(raw).hexdigest(), parts.data)


# --- the file --------------------------------------------------------------------------------------------


def _find(content: Path, file: str, shown: str) -> Path:
    """Where the file is, if that is in the content folder."""
    if not content.is_dir():
        sentence = tell(
            "{shown} can't be had: {name} is not a folder, and holds no pictures",
            shown=shown,
            name=clean_name(content.name),
        )
        _refuse("picture-missing", sentence, tell("give the content folder that the picture is in"))
    if "\\" in file or ":" in file:
        _refuse(
            "picture-outside",
            tell("'{shown}' is not a path in the content folder", shown=shown),
            tell("part names with '/'"),
        )
    if file.startswith(("/", "~")) or ".." in PurePosixPath(file).parts:
        _refuse(
            "picture-outside", tell("'{shown}' leads out of the content folder", shown=shown), tell(_BESIDE)
        )
    path = content / file
    try:
        is_inside = path.resolve().is_relative_to(content.resolve())
    except (OSError, ValueError, RuntimeError):
        _refuse(
            "picture-unreadable",
            tell("{shown} cannot be followed", shown=shown),
            tell("check its name and links"),
        )
    if not is_inside:
        hint = tell("put the file itself there in place of the link")
        _refuse(
            "picture-outside",
            tell("{shown} is a link to a file outside the content folder", shown=shown),
            hint,
        )
    return path


def _read_bytes(path: Path, shown: str) -> bytes:
    try:
        info = path.stat()
        if not stat.S_ISREG(info.st_mode):
            _refuse(
                "picture-unreadable",
                tell("{shown} is not a plain file", shown=shown),
                tell("name a PNG or JPEG file"),
            )
        if info.st_size > BIGGEST_PICTURE_BYTES:
            sentence = tell(
                "{shown} has {st_size:,} bytes; at most {biggest_picture_bytes:,} are read",
                shown=shown,
                st_size=info.st_size,
                biggest_picture_bytes=BIGGEST_PICTURE_BYTES,
            )
            _refuse("picture-big", sentence, tell(_SMALLER))
        with path.open("rb") as stream:
            return stream.read(BIGGEST_PICTURE_BYTES)
    except (FileNotFoundError, NotADirectoryError):
        hint = tell("check the path, which starts in the content folder, and its capitals")
        _refuse("picture-missing", tell("the content folder has no file {shown}", shown=shown), hint)
    except OSError as error:
        _refuse("picture-unreadable", *explain_refusal(shown, error))


# --- what is in it ---------------------------------------------------------------------------------------


def _refuse_kind(shown: str, raw: bytes) -> NoReturn:
    start = raw[:4096]
    if _SVG.search(start) or (raw.startswith(_GZIP) and shown.lower().endswith(".svgz")):
        sentence = tell("{shown} is an SVG, which can carry scripts and refer to other files", shown=shown)
        _refuse(
            "picture-kind", sentence, tell("export it as PNG, with 300 pixels to an inch of printed width")
        )
    found = next((name for start_of, name in OTHER_KINDS if start_of.match(start)), "")
    if found:
        sentence = tell("{shown} is {found}, not a PNG or JPEG", shown=shown, found=tell(found))
        _refuse("picture-kind", sentence, tell(_EXPORT))
    sentence = tell("{shown} is not a picture: it is neither PNG nor JPEG", shown=shown)
    _refuse("picture-kind", sentence, tell("name a PNG or JPEG file"))


def _refuse_broken(shown: str, why: str) -> NoReturn:
    _refuse(
        "picture-broken",
        tell("{shown} can't be drawn: {why}", shown=shown, why=why),
        tell("open it in an image editor and save it again"),
    )


def _check_header(shown: str, parts: DrawnParts) -> tuple[int, int]:
    """Its width and height in pixels, once all that its header tells is in order and its samples decode."""
    image = _open(shown, parts)
    width, height = image.size
    if width < 1 or height < 1:
        _refuse_broken(shown, tell("its header says that it has no pixels"))
    if width * height > MOST_PIXELS:
        _refuse(
            "picture-many-pixels",
            tell(
                "{shown} has {width:,} by {height:,} pixels; at most {limit} million are read",
                shown=shown,
                width=width,
                height=height,
                limit=MOST_PIXELS // 1_000_000,
            ),
            tell(_SMALLER),
        )
    if parts.sample_bits > 8:
        sentence = tell(
            "{shown} has {sample_bits} bits a sample; print takes 8",
            shown=shown,
            sample_bits=parts.sample_bits,
        )
        _refuse("picture-depth", sentence, tell("save it with 8 bits a channel"))
    if image.mode not in _MODES:
        sentence = tell(
            "{shown} is in {mode} colours, which each screen and press shows in its own way",
            shown=shown,
            mode=image.mode,
        )
        _refuse("picture-colours", sentence, tell("save it as RGB or in shades of grey"))
    if _read_orientation(parts.exif) != _UPRIGHT:
        sentence = tell(
            "{shown} is stored turned, with a note to turn it that print does not follow", shown=shown
        )
        _refuse("picture-turned", sentence, tell("turn it upright in an image editor and save it again"))
    _decode(shown, image)
    return width, height


def _open(shown: str, parts: DrawnParts) -> ImageFile.ImageFile:
    """The picture with its header read and nothing decoded."""
    if not parts.is_common:
        sentence = tell("{shown} is a JPEG of a kind that few programs draw", shown=shown)
        _refuse("picture-coding", sentence, tell("save it as a baseline or progressive JPEG"))
    # The plug-ins themselves and not Image.open, which would try every format on it.
    opener = PngImageFile if parts.kind == "png" else JpegImageFile
    try:
        return opener(BytesIO(parts.data))
    except Exception:  # a decoder that is handed any bytes raises anything
        _refuse_broken(shown, tell("its header is broken"))


def _read_orientation(exif: bytes) -> int:
    if not exif:
        return _UPRIGHT
    notes = Image.Exif()
    try:
        notes.load(exif)
        found = notes.get(_ORIENTATION, _UPRIGHT)
    except Exception:  # as above; and notes that can't be read turn nothing
        return _UPRIGHT
    return found if found in range(1, 9) else _UPRIGHT


def _decode(shown: str, image: ImageFile.ImageFile) -> None:
    """Decode once what is small enough, so that no writer meets a picture that is broken further on."""
    try:
        image.load()
    except Exception:  # as above
        _refuse_broken(shown, tell("it is cut off or damaged after its header"))
    finally:
        image.close()
