"""A chart as inline SVG; what its classes look like is in ``report.css``."""

from __future__ import annotations

from html import escape

from fleet.render.chart_facts import Chart
from fleet.render.charts import Shape, path_of, shapes


def svg(chart: Chart, wide: float = 260.0, high: float = 96.0) -> str:
    """Return the chart, its description as its name."""
    drawn, texts = [], []
    for shape in shapes(chart, wide, high):
        if shape.kind == "text":
            texts.append(_text(shape, high))
        else:
            drawn.append(_drawn(shape))
    return (
        f'<svg class="chart" viewBox="0 0 {wide:g} {high:g}" role="img" '
        'font-size="8" fill="currentColor">'
        f"<title>{escape(chart.description)}</title>"
        # Shapes are measured upwards, as on paper.
        f'<g transform="matrix(1 0 0 -1 0 {high:g})" fill="none" '
        f'stroke="currentColor" stroke-width=".7">{"".join(drawn)}</g>'
        f"{''.join(texts)}</svg>"
    )


def _drawn(shape: Shape) -> str:
    if shape.kind == "area":
        (x1, y1), (x2, y2) = shape.points
        return (
            f'<rect class="{shape.style}" x="{x1:.1f}" y="{y1:.1f}" '
            f'width="{x2 - x1:.1f}" height="{y2 - y1:.1f}"/>'
        )
    path = path_of(shape.kind, shape.points, "M%.1f %.1f", "L%.1f %.1f")
    return f'<path class="{shape.style}" d="{path}"/>'


def _text(shape: Shape, high: float) -> str:
    ((x, y),) = shape.points
    style = f' class="{shape.style}"' if shape.style else ""
    anchor = f' text-anchor="{shape.anchor}"' if shape.anchor != "start" else ""
    return (
        f'<text x="{x:.1f}" y="{high - y:.1f}"{style}{anchor}>'
        f"{escape(shape.text)}</text>"
    )
