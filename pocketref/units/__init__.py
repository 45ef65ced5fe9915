"""Exact lengths and angles, how they are read and how they are written."""
