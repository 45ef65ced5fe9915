"""Points, lines and areas of a field, and where feet are on them."""
