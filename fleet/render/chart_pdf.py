"""A chart on a PDF page."""

from __future__ import annotations

from collections.abc import Iterable

from fleet.render.chart_facts import Chart
from fleet.render.charts import Shape, axes, band, inside, path_of, plot_of
from fleet.render.pdf_page import Document, Drawing

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
    plot = plot_of(chart, wide, high)

    def made() -> Drawing:
        kept = document.drawing()
        kept.ops.append(f"q 1 0 0 1 0 {-high:.1f} cm")
        _paint(kept, axes(chart, plot))
        kept.ops.append("Q")
        kept.height = high
        return kept

    drawing.ops.append(f"q 1 0 0 1 {x:.1f} {y:.1f} cm")
    _paint(drawing, band(chart, plot))
    # Most tanks of a report have been read for as long as a chart shows.
    shared = document.standing(("axes", chart.since, chart.until, size), made)
    drawing.inside(shared, high)
    _paint(drawing, inside(chart, plot))
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
            path = path_of(shape.kind, shape.points, "%.1f %.1f m ", "%.1f %.1f l ")
        ops.append(f"{before} {path} {paint} {after}")


def _draw_text(drawing: Drawing, shape: Shape) -> None:
    ((x, y),) = shape.points
    if shape.anchor == "end":
        drawing.text_right(x, y, shape.text, shape.size)
    else:
        drawing.text(x, y, shape.text, shape.size, shape.style == "title")
