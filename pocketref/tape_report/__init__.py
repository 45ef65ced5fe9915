"""Files of readings judged, in words and as a drawn report."""
