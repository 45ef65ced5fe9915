"""Figures of the whole field: diagonals, gaps between bases, anchors, the pitcher's plate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction

from pocketref.field.dimensions import DiamondDimensions
from pocketref.field.figures import Figure, construct_figure, index_figures


def construct_diamond_figures(field: DiamondDimensions) -> Mapping[str, Figure]:
    """Every figure of the whole field that the dimensions lead to."""
    return index_figures(
        (
            *_construct_diagonals(field),
            *_construct_gaps(field),
            *_construct_anchors(field),
            *_construct_pitching(field),
            *_construct_lane(field),
        )
    )


def _construct_diagonals(field: DiamondDimensions) -> tuple[Figure, ...]:
    exact = float(field.base_distance) * math.sqrt(2)
    base = ("base-distance",)
    figures = [
        construct_figure(
            "square-diagonal",
            "home to the centre of second, and first to third: the diagonals of the square",
            exact,
            "√2 × base-distance",
            base,
        ),
        construct_figure(
            "first-third-crossing",
            "line from first to third crosses the centre line, from the rear tip",
            exact / 2,
            "base-distance / √2",
            base,
        ),
        construct_figure(
            "first-third-crossing-behind-pitchers-plate",
            "line from first to third behind the front of the pitcher's plate (ahead if negative)",
            exact / 2 - float(field.pitching_distance),
            "base-distance / √2 - pitching-distance",
            ("base-distance", "pitching-distance"),
        ),
    ]
    if field.second_base_diagonal is not None:
        figures.append(
            construct_figure(
                "published-diagonal-excess",
                "published home to second is longer than the exact diagonal (shorter if negative)",
                float(field.second_base_diagonal) - exact,
                "second-base-diagonal - √2 × base-distance",
                ("second-base-diagonal", "base-distance"),
            )
        )
    return tuple(figures)


def _construct_gaps(field: DiamondDimensions) -> tuple[Figure, ...]:
    rests_on = ("base-distance", "base-size")
    return (
        construct_figure(
            "home-to-first-near-edge",
            "rear tip of the plate to the near edge of first base",
            field.base_distance - field.base_size,
            "base-distance - base-size",
            rests_on,
        ),
        construct_figure(
            "first-to-second-gap",
            "between first base and second base, near edges",
            field.base_distance - field.base_size * Fraction(3, 2),
            "base-distance - base-size - base-size / 2",
            rests_on,
        ),
    )


def _construct_anchors(field: DiamondDimensions) -> tuple[Figure, ...]:
    return (
        construct_figure(
            "base-anchor-along",
            "anchor of first or third base, along the foul line from the rear tip",
            field.base_distance - field.base_size / 2,
            "base-distance - base-size / 2",
            ("base-distance", "base-size"),
        ),
        construct_figure(
            "base-anchor-inside",
            "anchor of first or third base, inside the foul line",
            field.base_size / 2,
            "base-size / 2",
            ("base-size",),
        ),
    )


def _construct_pitching(field: DiamondDimensions) -> tuple[Figure, ...]:
    figures = [
        construct_figure(
            "plate-front-to-pitchers-plate",
            "front of home plate to the front of the pitcher's plate",
            field.pitching_distance - field.plate_width,
            "pitching-distance - plate-width",
            ("pitching-distance", "plate-width"),
        ),
        _measure_to_second(field),
    ]
    if field.mound_centre is not None:
        figures.append(
            construct_figure(
                "pitchers-plate-behind-mound-centre",
                "front of the pitcher's plate behind the mound's centre",
                field.pitching_distance - field.mound_centre,
                "pitching-distance - mound-centre",
                ("pitching-distance", "mound-centre"),
            )
        )
    return tuple(figures)


def _measure_to_second(field: DiamondDimensions) -> Figure:
    """To the corner of the exact square, where second base is staked, not by the published home to second."""
    return construct_figure(
        "pitchers-plate-to-second",
        "front of the pitcher's plate to the centre of second base",
        float(field.base_distance) * math.sqrt(2) - float(field.pitching_distance),
        "√2 × base-distance - pitching-distance",
        ("base-distance", "pitching-distance"),
    )


def _construct_lane(field: DiamondDimensions) -> tuple[Figure, ...]:
    if field.lane_width is None:
        return ()
    is_half = field.lane_length is None
    return (
        construct_figure(
            "lane-start",
            "running lane starts, along the foul line from the rear tip",
            field.lane_start,
            "base-distance / 2" if is_half else "base-distance - lane-length",
            ("base-distance",) if is_half else ("base-distance", "lane-length"),
        ),
    )
