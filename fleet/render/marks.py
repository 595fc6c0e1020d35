"""The shape that stands beside each attention word, for PDF and HTML.

Told apart by outline and by how much of it is black, never by colour: a spiked
burst (today), a hexagon half filled (this week), a lens with a dot (watch), a ring
with a level line (steady).
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import NamedTuple

from fleet.records import Attention
from fleet.render.pdf_page import Drawing

Point = tuple[float, float]


class Part(NamedTuple):
    """One outline in a unit square, y upward."""

    points: tuple[Point, ...]
    filled: bool
    closed: bool = True


def _ring(radius: float, corners: int, turn: float = 0.0) -> tuple[Point, ...]:
    step = 2 * math.pi / corners
    return tuple(
        (
            0.5 + radius * math.sin(turn + step * corner),
            0.5 + radius * math.cos(turn + step * corner),
        )
        for corner in range(corners)
    )


@cache
def parts(attention: Attention) -> tuple[Part, ...]:
    """Return the outlines that make up the shape of ``attention``."""
    if attention == "today":
        tips, dents = _ring(0.5, 10), _ring(0.34, 10, math.pi / 10)
        burst = tuple(point for pair in zip(tips, dents, strict=True) for point in pair)
        return (Part(burst, filled=True),)
    if attention == "this week":
        hexagon = _ring(0.47, 6)
        half = (hexagon[0], *hexagon[3:])
        return (Part(hexagon, filled=False), Part(half, filled=True))
    if attention == "watch":
        steps = [number / 12 for number in range(13)]
        lid = [(x, 0.5 + 0.32 * math.sin(math.pi * x)) for x in steps]
        under = [(x, 1 - y) for x, y in reversed(lid[1:-1])]
        return (
            Part((*lid, *under), filled=False),
            Part(_ring(0.15, 16), filled=True),
        )
    level = ((0.24, 0.5), (0.76, 0.5))
    return (Part(_ring(0.45, 32), filled=False), Part(level, False, closed=False))


@lru_cache(maxsize=64)
def _operators(attention: Attention, side: float) -> str:
    """Return what draws the shape from its lower left corner."""
    ops = [f"{max(side * 0.075, 0.6):.2f} w 1 j"]
    for part in parts(attention):
        path = " ".join(
            f"{side * px:.2f} {side * py:.2f} {'l' if number else 'm'}"
            for number, (px, py) in enumerate(part.points)
        )
        end = "f" if part.filled else "s" if part.closed else "S"
        ops.append(f"{path} {end}")
    return " ".join(ops)


def draw(
    drawing: Drawing, attention: Attention, x: float, y: float, side: float
) -> None:
    """Draw the shape with its lower left corner at (x, y)."""
    shape = _operators(attention, side)
    drawing.ops.append(f"q 1 0 0 1 {x:.1f} {y:.1f} cm {shape} Q")


def svg(attention: Attention, side: int = 24) -> str:
    """Return the shape as inline SVG; it takes the colour of the text around it."""
    shapes = []
    for part in parts(attention):
        points = " ".join(
            f"{side * x:.1f},{side * (1 - y):.1f}" for x, y in part.points
        )
        kind = "polygon" if part.closed else "polyline"
        paint = (
            'fill="currentColor"'
            if part.filled
            else 'fill="none" stroke="currentColor" stroke-width="2"'
        )
        shapes.append(f'<{kind} points="{points}" {paint}/>')
    return (
        f'<svg class="mark" viewBox="-1 -1 {side + 2} {side + 2}" width="{side}" '
        f'height="{side}" aria-hidden="true">{"".join(shapes)}</svg>'
    )
