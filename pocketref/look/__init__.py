"""A page on this machine that shows faces as their source is written."""
