"""The part of an action sheet that is done: steps, what to leave, what to retest."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from fleet.records import Action, TankReport
from fleet.render.expected import likely
from fleet.render.pdf_page import BOX, WIDTH, WRITE_HIGH, WRITE_WIDE, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import FINE, TEXT_X, Desk

_WHEN_WIDTH = 84.0
_STEP_WIDTH = WIDTH - TEXT_X - _WHEN_WIDTH
_DAY_WIDTH, _DAYS_A_ROW, _MOST_DAYS = 78.0, 6, 18
_NOT_TICKED = ("wait", "hold off")


def steps(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what to do, in order; a caution stands before the step it concerns."""
    if not tank.plan.actions:
        return
    yield desk.heading(desk.label("to-do"))
    warned: set[str] = set()
    for number, action in enumerate(tank.plan.actions, start=1):
        cautions = [
            caution
            for caution in action.cautions
            if desk.wording.markup(caution) not in warned
        ]
        warned.update(desk.wording.markup(caution) for caution in cautions)
        if cautions:
            words = [word for caution in cautions for word in desk.said(caution)]
            yield _caution(desk, words)
        yield _step(desk, number, action)


def _caution(desk: Desk, words: Line) -> Drawing:
    """Return a framed warning, kept with the step after it."""
    size, lead = desk.sizes.body, desk.sizes.body_lead
    drawing = desk.document.drawing(joined=True)
    label = desk.raw(desk.label("take-care"), bold=True)
    lines = desk.wrap(label + words, WIDTH - TEXT_X - 14, size)
    high = lead * len(lines) + 7
    drawing.fill(TEXT_X, -high - 2, WIDTH - TEXT_X, high, 0.92)
    drawing.fill(TEXT_X, -high - 2, 3, high, 0)
    drawing.lines(TEXT_X + 9, -5, lines, size, lead)
    drawing.height = high + 5
    return drawing


def _step(desk: Desk, number: int, action: Action) -> Drawing:
    sizes = desk.sizes
    drawing = desk.document.drawing()
    drawing.text(0, -sizes.action - 1, str(number), sizes.action, bold=True)
    if action.kind in _NOT_TICKED:
        for x in (21.0, 28.0):
            drawing.fill(x, -BOX, 3.5, BOX - 3, 0)
    else:
        drawing.tick_box(17, -1)
    _when(desk, drawing, action)
    what = desk.said(action.what)
    lines = desk.wrap(what, _STEP_WIDTH, sizes.action)
    y = drawing.lines(TEXT_X, -0.5, lines, sizes.action, sizes.action_lead)
    facts = _facts(desk, action, desk.wording.plain(action.what))
    if facts:
        rows = desk.wrap(facts, WIDTH - TEXT_X, sizes.body + 0.5)
        y = drawing.lines(TEXT_X, y - 1, rows, sizes.body + 0.5, sizes.body_lead)
    if action.kind == "dose" and action.days and action.days > 1:
        y = _days(desk, drawing, action, y - 2)
    for label, sentence in (
        ("", action.why),
        ("stop-if", action.stop_if),
        ("stock", action.stock),
    ):
        if sentence is not None:
            head = desk.raw(desk.label(label), bold=True) if label else []
            words = head + desk.said(sentence)
            rows = desk.wrap(words, WIDTH - TEXT_X, sizes.body)
            y = drawing.lines(TEXT_X, y - 0.5, rows, sizes.body, sizes.body_lead)
    drawing.height = max(-y, BOX + 3) + sizes.gap * 0.7
    return drawing


def _when(desk: Desk, drawing: Drawing, action: Action) -> None:
    """Write the day at the right edge, and until when it holds."""
    size = desk.sizes.body
    words = desk.raw(desk.when(action.when), bold=True)
    drawing.right(WIDTH, -desk.sizes.action, words, size)
    if action.until is not None:
        text = f"{desk.label('until')} {desk.display.short_day(action.until)}"
        drawing.right(WIDTH, -desk.sizes.action - size - 2, desk.raw(text), size)


def _facts(desk: Desk, action: Action, said: str) -> Line:
    """Return the amounts of the record that the sentence has not said already."""
    display = desk.display
    wanted: list[tuple[str, str]] = []
    for label, value, shown in (
        ("each-day", action.per_day_ml, display.millilitres),
        ("each-day", action.per_day_g, display.grams),
        ("in-all", action.amount_ml, display.millilitres),
        ("in-all", action.amount_g, display.grams),
        ("of-stock", action.stock_g_per_l, _strength(desk)),
        ("change", action.water_change_l, display.litres),
        ("of-water", action.water_change_share, display.share),
    ):
        if value is not None and shown(value) not in said:
            wanted.append((label, shown(value)))
    for parameter, rise in action.expected:
        name = desk.label(parameter, "parameter")
        wanted.append(("expect", f"{name} {display.change(rise, parameter)}"))
    words: Line = []
    before = ""
    for label, text in wanted:
        if label == before:
            words += desk.raw(f"= {text}", bold=True)
        else:
            words += desk.raw(("· " if words else "") + desk.label(label))
            words += desk.raw(text, bold=True)
        before = label
    return words


def _strength(desk: Desk):  # type: ignore[no-untyped-def]
    return lambda strength: f"{desk.display.significant(strength)} g/L"


def _days(desk: Desk, drawing: Drawing, action: Action, top: float) -> float:
    """Draw one small box a day of a dose; return where the next line begins."""
    days = action.days or 0
    side, size = 13.0, desk.sizes.body
    for number in range(min(days, _MOST_DAYS)):
        x = TEXT_X + _DAY_WIDTH * (number % _DAYS_A_ROW)
        y = top - 2 - (side + 5) * (number // _DAYS_A_ROW)
        drawing.tick_box(x, y, side)
        day = desk.display.short_day(action.when + timedelta(days=number))
        drawing.text(x + side + 4, y - side + 3, day, size)
    rows = -(-min(days, _MOST_DAYS) // _DAYS_A_ROW)
    return top - 2 - (side + 5) * rows


def leave_alone(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what not to do."""
    if not tank.plan.leave_alone:
        return
    yield desk.heading(desk.label("leave-alone"))
    size = desk.sizes.body + 0.5
    for sentence in tank.plan.leave_alone:
        drawing = desk.document.drawing()
        lines = desk.wrap(desk.said(sentence), WIDTH - TEXT_X, size)
        drawing.ops.append("1.8 w 21 -11 m 29 -3 l 21 -3 m 29 -11 l S")
        end = drawing.lines(TEXT_X, 0, lines, size, desk.sizes.body_lead)
        drawing.height = 1 - end
        yield drawing


def retests(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield the boxes to write the next readings in."""
    if not tank.plan.retests:
        return
    yield desk.heading(desk.label("again"), desk.label("again-note"))
    size = desk.sizes.body
    methods = {
        action.parameter: action.method_class
        for action in tank.plan.actions
        if action.method_class
    }
    for parameter, day in tank.plan.retests:
        drawing = desk.document.drawing()
        y = -WRITE_HIGH / 2 - size * 0.35
        cut = desk.document.type.cut
        name = desk.raw(desk.label(parameter, "parameter"), bold=True)
        drawing.line(0, y, cut(name, 88, size), size)
        drawing.line(92, y, desk.raw(desk.when(day)), size)
        finding = tank.findings.of(parameter)
        method = methods.get(parameter, "")
        if not method and finding is not None:
            method = finding.better_method or (
                finding.latest.method.class_key if finding.latest else ""
            )
        rows = desk.wrap(desk.raw(desk.label(method, "method")), 126, size)[:2]
        drawing.lines(182, y + 0.77 * 12 + 6 * (len(rows) - 1), rows, size, 12)
        ends = likely(finding, tank.plan.actions, day) if finding is not None else None
        if ends is not None:
            text = desk.display.span(ends, parameter)
            rows = desk.wrap(
                desk.raw(desk.label("likely")) + desk.raw(text), 92, size - 0.5
            )
            drawing.lines(
                312, y + 0.77 * 12 + 6 * (len(rows) - 1), rows, size - 0.5, 12
            )
        drawing.box(WIDTH - 30 - WRITE_WIDE, -WRITE_HIGH, WRITE_WIDE, WRITE_HIGH, 1)
        drawing.text(WIDTH - 27, y, desk.display.unit(parameter), size)
        drawing.height = WRITE_HIGH + 2.5
        yield drawing


def sign_off(desk: Desk) -> Drawing:
    """Return the line to sign, and who to ask."""
    drawing = desk.document.drawing()
    size = desk.sizes.body
    x = 0.0
    for label, wide in (("done-by", 130.0), ("on", 90.0), ("checked-by", 120.0)):
        text = desk.label(label)
        start = x + desk.document.type.label_width(text) * size + 4
        drawing.text(x, -18, text, size)
        drawing.rule(start, -20, x + wide + 40, -20, 0.7)
        x += wide + 50
    drawing.text(0, -33, desk.label("advice"), FINE)
    drawing.height = 38
    return drawing
