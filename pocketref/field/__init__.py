"""Points, lines and areas of a field, where feet are on them, and how to tape them."""
