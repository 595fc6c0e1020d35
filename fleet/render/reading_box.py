"""One box to write a reading in, with what was, what is likely and how to test."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleet.records import Finding, TankReport
from fleet.render.expected import likely
from fleet.render.pdf_page import INK, WIDTH, WRITE_HIGH, WRITE_WIDE, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import Desk
from fleet.render.summary import as_written

GUTTER = 14.0  # between two columns of boxes
BOX_WIDE = (WIDTH - GUTTER) / 2
_PITCH, _CLOSE_PITCH = WRITE_HIGH + 8.0, WRITE_HIGH + 3.5
_X = BOX_WIDE - WRITE_WIDE - 27
_NAME, _LIKELY, _HOW = 11.5, 9.5, 9.0
_LEAST = 7.0
_NEXT_TO_NONE = 0.05  # of the last decimal shown


def columns(
    desk: Desk,
    drawing: Drawing,
    tank: TankReport,
    wanted: Sequence[tuple[str, date | None]],
    top: float,
) -> float:
    """Draw boxes for parameters, some with a day, in two columns; return the end."""
    half = -(-len(wanted) // 2)
    pitch = _PITCH if desk.sizes.wide else _CLOSE_PITCH
    for number, (parameter, day) in enumerate(wanted):
        x = (BOX_WIDE + GUTTER) * (number // half)
        at = x, top - pitch * (number % half)
        _box(desk, drawing, tank, parameter, day, at)
    return top - pitch * half


def _box(
    desk: Desk,
    drawing: Drawing,
    tank: TankReport,
    parameter: str,
    day: date | None,
    at: tuple[float, float],
) -> None:
    x, top = at
    finding = tank.findings.of(parameter)
    unit = desk.display.unit(parameter)
    name = desk.raw(desk.label(parameter, "parameter").partition(" (")[0], bold=True)
    if finding is not None and finding.latest is not None:
        written = as_written(finding.latest, desk.wording)
        name += desk.raw(desk.label("last", "slip")) + desk.raw(written)
    rows = (
        (name, _NAME if desk.sizes.wide else _NAME - 1),
        (_when(desk, tank, finding, day), _LIKELY),
        (desk.raw(_how(desk, tank, parameter)), _HOW),
    )
    close = not desk.sizes.wide
    y = top - 9.0 - (0.0 if close else 0.5)
    for words, size in rows:
        drawing.line(x, y, *desk.document.type.fit(words, _X - 4, size, _LEAST))
        y -= 9.2 if close else 10.2
    drawing.box(x + _X, top - WRITE_HIGH, WRITE_WIDE, WRITE_HIGH, INK)
    drawing.text(x + _X + WRITE_WIDE + 3, top - 16, unit, _HOW)


def _when(
    desk: Desk, tank: TankReport, finding: Finding | None, day: date | None
) -> Line:
    """Return the day, if one is set, and what would be no surprise then."""
    words: Line = ()
    if day is not None:
        words = desk.raw(desk.day(day), bold=True)
    on = day or desk.next_round
    ends = likely(finding, tank.plan.actions, on) if finding is not None else None
    if finding is not None and ends is not None:
        low, high = ends
        # What no test of its kind shows is none: not "0.00002 to 0.06".
        if low < _NEXT_TO_NONE * 10 ** -desk.display.decimals(finding.parameter):
            low = 0.0
        span = desk.display.bare_span((low, high), finding.parameter)
        words += desk.raw(f"{desk.label('likely', 'slip')} {span}")
    return words


def _how(desk: Desk, tank: TankReport, parameter: str) -> str:
    """Return with what to test: as asked for, else what can tell, else as before."""
    for action in tank.plan.actions:
        if action.parameter == parameter and action.method_class:
            return desk.label(action.method_class, "method")
    finding = tank.findings.of(parameter)
    method = ""
    if finding is not None:
        method = finding.better_method
        if not method and finding.latest is not None:
            method = finding.latest.method.class_key
    return desk.label(method, "method") if method else ""
