"""Finished PDFs read: what was printed, what was typed in."""
