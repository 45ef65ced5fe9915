"""Typefaces embedded in SVG and HTML: WOFF subsets, as @font-face rules."""

from __future__ import annotations

import base64
from collections.abc import Collection, Mapping
from functools import lru_cache
from io import BytesIO

from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface

# A name of our own: a subset is not the typeface its maker named, and must not be taken for an installed one.
FAMILY = "pocketref"

WEIGHT_AND_STYLE = {
    FontFace.REGULAR: ("400", "normal"),
    FontFace.MEDIUM: ("500", "normal"),
    FontFace.BOLD: ("700", "normal"),
    FontFace.ITALIC: ("400", "italic"),
}

# Name records that stay: copyright, licence and its address, as the SIL Open Font License 1.1 asks.
_KEPT_NAMES = (0, 13, 14)


# Carried by every subset, so that the drawings of an edition share one subset a face, which is made once.
_COMMON = frozenset(
    [chr(code) for code in range(0x20, 0x7F)]
    + list("\u00a0\u2010\u2013\u2014\u2018\u2019\u201c\u201d\u2026\u2032\u2033\u2044")
    + list("°±·×Ø≤≥−→¼½¾⅛⅜⅝⅞⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉")
)


def font_face_css(characters: Mapping[FontFace, Collection[str]]) -> str:
    """One @font-face rule a line for each face in use, in the order of `Face`; empty if none is.

    The font is in the rule itself, so that the drawing needs no other file.
    """
    rules = []
    for face in FontFace:
        if characters.get(face):
            weight, style = WEIGHT_AND_STYLE[face]
            data = base64.b64encode(subset_font(face, _COMMON | frozenset(characters[face]))).decode("ascii")
            rules.append(
                f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};font-style:{style};'
                f'src:url(data:font/woff;base64,{data}) format("woff")}}'
            )
    return "\n".join(rules)


@lru_cache(maxsize=64)
def subset_font(face: FontFace, characters: frozenset[str]) -> bytes:
    """A WOFF 1.0 file (W3C) of the face with the given characters and no others.

    Layout features are left out, so that a run is as wide as it was measured: without kerning, as in PDF. The
    same characters give the same bytes. WOFF 2.0 would be a quarter smaller and take more than twice as long.
    """
    # Deferred: slow to import, and needed only where type is embedded in SVG.
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    options = Options()
    options.layout_features = []
    options.hinting = False
    options.name_IDs = list(_KEPT_NAMES)
    options.notdef_outline = True
    options.drop_tables += ["meta", "DSIG", "GDEF", "GPOS", "GSUB"]
    # Glyphs are copied as they are: to find their boxes anew would take as long as all the rest.
    source = TTFont(typeface(face).path, lazy=True, recalcTimestamp=False, recalcBBoxes=False)
    with source as font:
        subsetter = Subsetter(options)
        subsetter.populate(text="".join(sorted(characters)))
        subsetter.subset(font)
        font.flavor = "woff"
        buffer = BytesIO()
        font.save(buffer)
    return buffer.getvalue()
