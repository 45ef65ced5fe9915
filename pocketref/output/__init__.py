"""Writers of PDF and SVG, and the reading back of what was written."""
