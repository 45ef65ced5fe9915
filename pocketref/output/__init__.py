"""Writers of PDF, SVG and HTML, and the reading back of what was written."""
