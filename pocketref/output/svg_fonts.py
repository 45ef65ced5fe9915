"""Typefaces embedded in SVG and HTML: WOFF subsets, as @font-face rules."""

from __future__ import annotations

import base64
from collections.abc import Collection, Mapping

from pocketref.output.font_subsets import subset_font
from pocketref.scene.items import FontFace

# A name of our own: a subset is not the typeface its maker named, and must not be taken for an installed one.
FAMILY = "pocketref"

WEIGHT_AND_STYLE = {
    FontFace.REGULAR: ("400", "normal"),
    FontFace.MEDIUM: ("500", "normal"),
    FontFace.BOLD: ("700", "normal"),
    FontFace.ITALIC: ("400", "italic"),
}

# Carried by every subset of the many small pages, so that they share one a face, which is made once.
_COMMON = frozenset(
    [chr(code) for code in range(0x20, 0x7F)]
    + list("\u00a0\u2010\u2013\u2014\u2018\u2019\u201c\u201d\u2026\u2032\u2033\u2044")
    + list("°±·×Ø≤≥−→¼½¾⅛⅜⅝⅞⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉")
)


def font_face_css(characters: Mapping[FontFace, Collection[str]], *, is_shared: bool = True) -> str:
    """One @font-face rule a line for each face in use, in the order of `Face`; empty if none is.

    The font is in the rule itself, so that the page needs no other file. One that is not shared holds the given
    characters alone.
    """
    common = _COMMON if is_shared else frozenset()
    rules = []
    for face in FontFace:
        if characters.get(face):
            weight, style = WEIGHT_AND_STYLE[face]
            data = base64.b64encode(subset_font(face, common | frozenset(characters[face]))).decode("ascii")
            rules.append(
                f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};font-style:{style};'
                f'src:url(data:font/woff;base64,{data}) format("woff")}}'
            )
    return "\n".join(rules)
