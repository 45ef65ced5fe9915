"""Figures to scale: plate area, diamond, mound, feet, plays, positions, template."""
