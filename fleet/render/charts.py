"""A chart of readings over the weeks, drawn on a PDF page or as inline SVG.

What a test cannot tell from none is a hollow bar from zero to what it may hide; any
other reading is a dot on the line that it can mean. The band is shaded. Doubted
readings are crosses, joined to nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from html import escape
from itertools import chain
from typing import Literal, NamedTuple

from fleet.render.chart_facts import Chart, Mark, Spot, chart_of
from fleet.render.pdf_page import Document, Drawing

__all__ = ["Chart", "Mark", "Spot", "chart_of", "draw", "shapes", "svg"]


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


class _Plot(NamedTuple):
    """Where the plot stands in its frame, and where a day and a value are in it."""

    left: float
    right: float
    floor: float
    roof: float
    at: Callable[[date], float]
    up: Callable[[float], float]


def shapes(
    chart: Chart, wide: float, high: float, label_width: float = 24.0
) -> Iterator[Shape]:
    """Yield what to draw in a frame of ``wide`` by ``high``, from back to front."""
    plot = _plot(chart, wide, high, label_width)
    yield from _band(chart, plot)
    yield from _axes(chart, plot)
    yield from _values(chart, plot, high)
    yield from _ends(chart, plot)
    yield from _data(chart, plot)
    yield from _marks(chart, plot)


def _plot(chart: Chart, wide: float, high: float, label_width: float = 24.0) -> _Plot:
    left, right = label_width, wide - 3.0
    floor, roof = _UNDER, high - (20.0 if high > _LOW else 17.5)
    first, days = chart.since.toordinal(), (chart.until - chart.since).days or 1
    across, upward, most = right - left, roof - floor, chart.top

    def at(day: date) -> float:
        return left + across * (day.toordinal() - first) / days

    def up(value: float) -> float:
        share = value / most
        return floor + upward * (0.0 if share < 0.0 else 1.0 if share > 1.0 else share)

    return _Plot(left, right, floor, roof, at, up)


def _band(chart: Chart, plot: _Plot) -> Iterator[Shape]:
    if chart.band is None:
        return
    left, right = plot.left, plot.right
    low, top = (plot.up(edge) for edge in chart.band)
    if top > low:
        yield Shape("area", "band", ((left, low), (right, top)))
        for edge, y in zip(chart.band, (low, top), strict=True):
            if 0 < edge <= chart.top:
                yield Shape("path", "edge", ((left, y), (right, y)))


def _axes(chart: Chart, plot: _Plot) -> Iterator[Shape]:
    left, right, floor = plot.left, plot.right, plot.floor
    days = (chart.until - chart.since).days or 1
    weeks = [right - (right - left) * day / days for day in range(0, days + 1, 7)]
    ends = [end for x in weeks for end in ((x, floor), (x, floor - 2))]
    yield Shape("strokes", "axis", tuple(ends))
    yield Shape("path", "axis", ((left, plot.roof), (left, floor), (right, floor)))


def _values(chart: Chart, plot: _Plot, high: float) -> Iterator[Shape]:
    size = _TITLE if high > _LOW else _TITLE - 1
    yield Shape("text", "title", ((0.0, high - size + 1.5),), chart.title, size)
    taken: list[float] = []
    for value, label in chart.ticks:
        y = plot.up(value)
        if all(abs(y - other) >= _TEXT - 0.5 for other in taken):
            taken.append(y)
            yield Shape("text", "", ((plot.left - 3, y - 2.8),), label, _TEXT, "end")


def _ends(chart: Chart, plot: _Plot) -> Iterator[Shape]:
    yield Shape("text", "", ((plot.left, 1.0),), chart.since_label, _TEXT)
    yield Shape("text", "", ((plot.right, 1.0),), chart.until_label, _TEXT, "end")


def _data(chart: Chart, plot: _Plot) -> Iterator[Shape]:
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


def _marks(chart: Chart, plot: _Plot) -> Iterator[Shape]:
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


# ----------------------------------------------------------------- as PDF or SVG

_PDF = {  # style -> operators before, how to paint, operators after
    "band": ("0.86 g", "f", "0 g"),
    "edge": ("0.4 w 0.45 G", "S", "0 G"),
    "axis": ("0.5 w", "S", ""),
    "bar": ("1 g 0.7 w", "B", "0 g"),
    "reach": ("0.9 w", "S", ""),
    "link": ("0.5 w 0.35 G", "S", "0 G"),
    "dot": ("1 J 3.6 w", "S", "0 J"),  # no length and round ends
    "cross": ("0.9 w", "S", ""),
    "solid": ("", "f", ""),
    "outline": ("0.7 w", "S", ""),
}


def draw(
    document: Document,
    drawing: Drawing,
    chart: Chart,
    at: tuple[float, float],
    size: tuple[float, float],
) -> None:
    """Draw the chart with its lower left corner at a point of ``drawing``."""
    (x, y), (wide, high) = at, size
    plot = _plot(chart, wide, high)

    def axes() -> Drawing:
        kept = document.drawing()
        kept.ops.append(f"q 1 0 0 1 0 {-high:.1f} cm")
        _paint(kept, _axes(chart, plot))
        _paint(kept, _ends(chart, plot))
        kept.ops.append("Q")
        kept.height = high
        return kept

    drawing.ops.append(f"q 1 0 0 1 {x:.1f} {y:.1f} cm")
    _paint(drawing, _band(chart, plot))
    # Most tanks of a report have been read for as long as a chart shows.
    shared = document.standing(("axes", chart.since, chart.until, size), axes)
    drawing.inside(shared, high)
    _paint(drawing, _values(chart, plot, high))
    _paint(drawing, _data(chart, plot))
    _paint(drawing, _marks(chart, plot))
    drawing.ops.append("Q")


def _paint(drawing: Drawing, shapes: Iterable[Shape]) -> None:
    ops = drawing.ops
    for shape in shapes:
        if shape.kind == "text":
            _draw_text(drawing, shape)
            continue
        before, paint, after = _PDF[shape.style]
        if shape.kind == "area":
            (x1, y1), (x2, y2) = shape.points
            path = f"{x1:.1f} {y1:.1f} {x2 - x1:.1f} {y2 - y1:.1f} re"
        else:
            path = _path(shape.kind, shape.points, "%.1f %.1f m ", "%.1f %.1f l ")
        ops.append(f"{before} {path} {paint} {after}")


def _path(kind: str, points: Sequence[Point], start: str, step: str) -> str:
    """Return a path, or strokes of two points each, as ``start`` and ``step`` say."""
    # One format for all numbers takes half as long as one for each point.
    if kind == "strokes":
        form = (start + step) * (len(points) // 2)
    else:
        form = start + step * (len(points) - 1)
    return form % tuple(chain.from_iterable(points))


def _draw_text(drawing: Drawing, shape: Shape) -> None:
    ((x, y),) = shape.points
    if shape.anchor == "end":
        drawing.text_right(x, y, shape.text, shape.size)
    else:
        drawing.text(x, y, shape.text, shape.size, shape.style == "title")


_SVG = {
    "band": 'fill="currentColor" fill-opacity=".13"',
    "edge": 'fill="none" stroke="currentColor" stroke-opacity=".55" stroke-width=".6"',
    "axis": 'fill="none" stroke="currentColor" stroke-width=".7"',
    "bar": 'fill="var(--paper, #fff)" stroke="currentColor" stroke-width=".9"',
    "reach": 'fill="none" stroke="currentColor" stroke-width="1.1"',
    "link": 'fill="none" stroke="currentColor" stroke-opacity=".65" stroke-width=".7"',
    "dot": 'fill="none" stroke="currentColor" stroke-width="4" stroke-linecap="round"',
    "cross": 'fill="none" stroke="currentColor" stroke-width="1.1"',
    "solid": 'fill="currentColor"',
    "outline": 'fill="none" stroke="currentColor" stroke-width=".9"',
}


def svg(chart: Chart, wide: float = 260.0, high: float = 96.0) -> str:
    """Return the chart as inline SVG in the colour of the text around it.

    A page with a dark ground sets ``--paper`` to the colour of its ground.
    """
    said = escape(chart.description)
    parts = [
        f'<svg class="chart" viewBox="0 0 {wide:g} {high:g}" role="img" '
        f'aria-label="{said}"><title>{said}</title>'
    ]
    for shape in shapes(chart, wide, high):
        if shape.kind == "text":
            ((x, y),) = shape.points
            weight = ' font-weight="bold"' if shape.style == "title" else ""
            parts.append(
                f'<text x="{x:.1f}" y="{high - y:.1f}" font-size="{shape.size:g}" '
                f'text-anchor="{shape.anchor}" fill="currentColor"{weight}>'
                f"{escape(shape.text)}</text>"
            )
        elif shape.kind == "area":
            (x1, y1), (x2, y2) = shape.points
            parts.append(
                f'<rect x="{x1:.1f}" y="{high - y2:.1f}" width="{x2 - x1:.1f}" '
                f'height="{y2 - y1:.1f}" {_SVG[shape.style]}/>'
            )
        else:
            points = [(x, high - y) for x, y in shape.points]
            path = _path(shape.kind, points, "M%.1f %.1f", "L%.1f %.1f")
            parts.append(f'<path d="{path}" {_SVG[shape.style]}/>')
    return "".join((*parts, "</svg>"))
