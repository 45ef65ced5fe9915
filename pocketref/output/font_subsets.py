"""Subsets of the typefaces, as files of their own."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface

# Name records that stay: copyright, licence and its address, as the SIL Open Font License 1.1 asks.
_KEPT_NAMES = (0, 13, 14)


@lru_cache(maxsize=64)
def subset_font(face: FontFace, characters: frozenset[str], flavor: str = "woff") -> bytes:
    """A WOFF 1.0 file (W3C) of the face with the given characters and no others; without `flavor` as TrueType.

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
        font.flavor = flavor or None
        buffer = BytesIO()
        font.save(buffer)
    return buffer.getvalue()
