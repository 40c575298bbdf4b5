"""Lines, boxes and dots of a drawing, as SVG.

Conventions: points; black where nothing else is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

ACCENT: Final = "#a33b20"
"""The one colour beside black; nothing is told by it alone."""

GREY: Final = "#c9c9c9"

Point = tuple[float, float]


def line(
    start: Point, end: Point, thick: float = 0.5, *, ink: str = "black", dashes: str = ""
) -> str:
    """Return a straight line; `dashes` are lengths of dash and gap, such as ``3 2``."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}" '
        f'stroke="{ink}" stroke-width="{thick}"{dashed}/>'
    )


def way(points: Sequence[Point], thick: float = 0.8, *, ink: str = "black") -> str:
    """Return lines from point to point."""
    joined = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    return f'<polyline points="{joined}" fill="none" stroke="{ink}" stroke-width="{thick}"/>'


def box(corner: Point, width: float, height: float, fill: str, *, edge: str = "none") -> str:
    """Return a box from its upper left corner."""
    return (
        f'<rect x="{corner[0]:.2f}" y="{corner[1]:.2f}" width="{width:.2f}" '
        f'height="{height:.2f}" fill="{fill}" stroke="{edge}" stroke-width="0.5"/>'
    )


def dot(middle: Point, radius: float, *, hollow: bool = False) -> str:
    """Return a dot, or a ring."""
    return (
        f'<circle cx="{middle[0]:.2f}" cy="{middle[1]:.2f}" r="{radius}" '
        f'fill="{"white" if hollow else "black"}" stroke="black" stroke-width="0.6"/>'
    )


def moved(drawing: str, x: float, y: float) -> str:
    """Return a drawing moved to the right and down."""
    return f'<g transform="translate({x:.2f} {y:.2f})">{drawing}</g>'
