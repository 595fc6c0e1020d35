"""The charts of an action sheet, and what their signs mean."""

from __future__ import annotations

from collections.abc import Callable

from fleet.records import TankReport
from fleet.render.chart_facts import chart_of
from fleet.render.chart_pdf import draw as draw_chart
from fleet.render.pdf_page import Drawing
from fleet.render.sheet_base import Desk
from fleet.render.summary import CHARTED

_SIGN = 7.5  # letters of the legend
_SIGNS = ("reading", "unseen", "usual", "dose", "change")


def charted(tank: TankReport) -> list[str]:
    """Return what there is a chart of."""
    return [
        parameter
        for parameter in CHARTED
        if (finding := tank.findings.of(parameter)) is not None and finding.history
    ]


def chart(
    desk: Desk,
    tank: TankReport,
    parameter: str,
    at: tuple[float, float],
    wide: float,
) -> Callable[[Drawing], None]:
    """Return what draws a chart with its lower left corner at a point."""

    def draw(part: Drawing) -> None:
        chart = chart_of(
            tank.findings, parameter, desk.wording, desk.reference, described=False
        )
        if chart is not None:
            draw_chart(desk.document, part, chart, at, (wide, desk.sizes.chart))

    return draw


def legend(desk: Desk, drawing: Drawing, x: float, y: float, wide: float) -> float:
    """Put what the charts' signs mean under them; return the height taken."""

    def make() -> Drawing:
        kept = desk.document.drawing()
        across, down = 0.0, -_SIGN - 1
        for sign in _SIGNS:
            room = _sign_width(desk, sign)
            if across and across + room > wide:
                across, down = 0.0, down - _SIGN - 2
            _sign(desk, kept, sign, across, down)
            across += room + 9
        kept.height = 2 - down
        return kept

    signs = desk.document.standing(("signs", wide), make)
    drawing.inside(signs, y, x)
    return signs.height


def _sign_width(desk: Desk, sign: str) -> float:
    return 8 + desk.document.type.label_width(desk.label(f"sign-{sign}")) * _SIGN


def _sign(desk: Desk, drawing: Drawing, sign: str, x: float, y: float) -> None:
    """Draw one sign of the charts with its meaning."""
    if sign == "unseen":
        drawing.box(x, y - 1, 3.6, 7, 0.7)
    elif sign == "usual":
        drawing.fill(x, y - 0.5, 6, 6.5, 0.86)
    else:
        paths = {
            "reading": "0.9 w 2 -1 m 2 6.5 l S 1 J 3.6 w 2 2.8 m 2 2.8 l S",
            "dose": "0 6 m 5 6 l 2.5 0 l f",
            "change": "0.7 w 2.4 6 m 4.8 3 l 2.4 0 l 0 3 l s",
        }
        drawing.ops.append(f"q 1 0 0 1 {x:.1f} {y:.1f} cm {paths[sign]} Q")
    drawing.text(x + 8, y, desk.label(f"sign-{sign}"), _SIGN)
