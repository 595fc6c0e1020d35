"""A chart of readings over the weeks, as shapes to draw.

What a test cannot tell from none is a hollow bar from zero to what it may hide; any
other reading is a dot on the line that it can mean. The band is shaded. Doubted
readings are crosses, joined to nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import chain
from typing import Literal, NamedTuple

from fleet.render.chart_facts import Chart

Point = tuple[float, float]


class Shape(NamedTuple):
    """A rectangle (two corners), a path, strokes (two ends each), or a text.

    y grows upward.
    """

    kind: Literal["area", "path", "strokes", "text"]
    style: str
    points: tuple[Point, ...]
    text: str = ""
    size: float = 0.0
    anchor: Literal["start", "middle", "end"] = "start"


_UNDER = 10.5
_TEXT, _TITLE = 8.0, 9.5
_LOW = 72.0  # a frame under this height has less room above the plot
_BAR = 3.6  # width of a hollow bar
_MARK = 6.0  # width of a mark above the plot


class Plot(NamedTuple):
    """Where the plot stands in its frame, and where a day and a value are in it."""

    left: float
    right: float
    floor: float
    roof: float
    high: float  # of the frame
    at: Callable[[date], float]
    up: Callable[[float], float]


def shapes(
    chart: Chart, wide: float, high: float, label_width: float = 24.0
) -> Iterator[Shape]:
    """Yield what to draw in a frame of ``wide`` by ``high``, from back to front."""
    plot = plot_of(chart, wide, high, label_width)
    yield from band(chart, plot)
    yield from axes(chart, plot)
    yield from inside(chart, plot)


def axes(chart: Chart, plot: Plot) -> Iterator[Shape]:
    """Yield the axes with their days: alike in all charts of the same days."""
    yield from _lines(chart, plot)
    yield from _ends(chart, plot)


def inside(chart: Chart, plot: Plot) -> Iterator[Shape]:
    """Yield what only this chart shows."""
    yield from _values(chart, plot)
    yield from _data(chart, plot)
    yield from _marks(chart, plot)


def plot_of(chart: Chart, wide: float, high: float, label_width: float = 24.0) -> Plot:
    """Return where things stand in a frame of ``wide`` by ``high``."""
    left, right = label_width, wide - 3.0
    floor, roof = _UNDER, high - (20.0 if high > _LOW else 17.5)
    first, days = chart.since.toordinal(), (chart.until - chart.since).days or 1
    across, upward, most = right - left, roof - floor, chart.top

    def at(day: date) -> float:
        return left + across * (day.toordinal() - first) / days

    def up(value: float) -> float:
        share = value / most
        return floor + upward * (0.0 if share < 0.0 else 1.0 if share > 1.0 else share)

    return Plot(left, right, floor, roof, high, at, up)


def band(chart: Chart, plot: Plot) -> Iterator[Shape]:
    """Yield the shaded band, behind all else."""
    if chart.band is None:
        return
    left, right = plot.left, plot.right
    low, top = (plot.up(edge) for edge in chart.band)
    if top > low:
        yield Shape("area", "band", ((left, low), (right, top)))
        for edge, y in zip(chart.band, (low, top), strict=True):
            if 0 < edge <= chart.top:
                yield Shape("path", "edge", ((left, y), (right, y)))


def _lines(chart: Chart, plot: Plot) -> Iterator[Shape]:
    left, right, floor = plot.left, plot.right, plot.floor
    days = (chart.until - chart.since).days or 1
    weeks = [right - (right - left) * day / days for day in range(0, days + 1, 7)]
    ends = [end for x in weeks for end in ((x, floor), (x, floor - 2))]
    yield Shape("strokes", "axis", tuple(ends))
    yield Shape("path", "axis", ((left, plot.roof), (left, floor), (right, floor)))


def _values(chart: Chart, plot: Plot) -> Iterator[Shape]:
    size = _TITLE if plot.high > _LOW else _TITLE - 1
    at = (0.0, plot.high - size + 1.5)
    yield Shape("text", "title", (at,), chart.title, size)
    taken: list[float] = []
    for value, label in chart.ticks:
        y = plot.up(value)
        if all(abs(y - other) >= _TEXT - 0.5 for other in taken):
            taken.append(y)
            yield Shape("text", "", ((plot.left - 3, y - 2.8),), label, _TEXT, "end")


def _ends(chart: Chart, plot: Plot) -> Iterator[Shape]:
    yield Shape("text", "", ((plot.left, 1.0),), chart.since_label, _TEXT)
    yield Shape("text", "", ((plot.right, 1.0),), chart.until_label, _TEXT, "end")


def _data(chart: Chart, plot: Plot) -> Iterator[Shape]:
    at, up = plot.at, plot.up
    strokes: dict[str, list[Point]] = {"link": [], "reach": [], "dot": [], "cross": []}
    half = _BAR / 2
    last: Point | None = None
    for spot in chart.spots:
        x = at(spot.on)
        if spot.doubted:
            y = up(spot.best if spot.best is not None else spot.low)
            for rise in (-2.5, 2.5):
                strokes["cross"] += [(x - 2.5, y - rise), (x + 2.5, y + rise)]
            continue
        if spot.best is None:
            yield Shape("area", "bar", ((x - half, up(0.0)), (x + half, up(spot.high))))
            last = None
            continue
        here = (x, up(spot.best))
        if last is not None:
            strokes["link"] += [last, here]
        last = here
        strokes["reach"] += [(x, up(spot.low)), (x, up(spot.high))]
        if math.isinf(spot.high):
            for side in (-2.2, 2.2):
                strokes["reach"] += [(x + side, plot.roof - 3.5), (x, plot.roof)]
        strokes["dot"] += [here, here]
    for style, ends in strokes.items():
        if ends:
            yield Shape("strokes", style, tuple(ends))


def _marks(chart: Chart, plot: Plot) -> Iterator[Shape]:
    taken = plot.right + _MARK  # where the mark before stands
    for mark in reversed(chart.marks):
        # Two on one day stand side by side.
        taken = min(plot.at(mark.on), taken - _MARK)
        yield _mark_shape(mark.kind, max(taken, plot.left), plot.roof + 2.5)


def _mark_shape(kind: str, x: float, y: float) -> Shape:
    if kind == "dose":
        return Shape("path", "solid", ((x - 2.6, y + 5), (x + 2.6, y + 5), (x, y)))
    drop = ((x, y + 6), (x + 2.4, y + 2.4), (x, y), (x - 2.4, y + 2.4), (x, y + 6))
    return Shape("path", "outline", drop)


# ----------------------------------------------------------------------- written


def path_of(kind: str, points: Sequence[Point], start: str, step: str) -> str:
    """Return a path, or strokes of two points each, as ``start`` and ``step`` say."""
    # One format for all numbers takes half as long as one for each point.
    if kind == "strokes":
        form = (start + step) * (len(points) // 2)
    else:
        form = start + step * (len(points) - 1)
    return form % tuple(chain.from_iterable(points))
