"""The part of an action sheet that is done: steps, what to leave, what to retest."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from fleet.records import Action, Sentence, TankReport
from fleet.render.pdf_page import BOX, WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.reading_box import columns
from fleet.render.sheet_base import NOT_TICKED, TEXT_X, Desk

_WHEN_WIDTH = 74.0
_STEP_WIDTH = WIDTH - TEXT_X - _WHEN_WIDTH
_BOX_X = 19.0
_DAY_WIDTH, _DAYS_A_ROW, _MOST_DAYS = 77.0, 6, 18


def steps(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what to do, in order; a caution stands before the step it concerns."""
    actions = tank.plan.actions
    if not actions:
        return
    yield desk.heading(desk.label("to-do"), strong=True)
    said: set[str] = set()  # no caution and no recipe comes twice on a sheet
    asked = _not_done(desk, tank)
    for number, action in enumerate(actions, start=1):
        cautions = [
            words
            for caution in _cautions(actions[number - 1 :])
            if (words := _once(desk, caution, said))
        ]
        if cautions:
            yield _caution(desk, cautions)
        yield _step(desk, number, action, said, action.id in asked)


def _cautions(actions: tuple[Action, ...]) -> Iterator[Sentence]:
    """Yield the cautions of the first action and of those like it just after."""
    for action in actions:
        if action.kind != actions[0].kind:
            return
        yield from action.cautions


def _once(desk: Desk, sentence: Sentence, said: set[str]) -> Line:
    markup = desk.wording.markup(sentence)
    if markup in said:
        return ()
    said.add(markup)
    return desk.said(sentence)


def _not_done(desk: Desk, tank: TankReport) -> tuple[str, ...]:
    for change in desk.report.changes:
        if change.tank == tank.tank.id:
            return change.not_done
    return ()


def _caution(desk: Desk, cautions: list[Line]) -> Drawing:
    """Return warnings on a grey ground, kept with the step after them."""
    size, lead = desk.sizes.body, desk.sizes.body_lead
    drawing = desk.document.drawing(joined=True)
    lines: list[Line] = []
    for words in cautions:
        signal = words[0].text  # WARNING: or NOTICE:, in the wording itself
        if signal.endswith(":") and signal.isupper():
            words = desk.raw(signal, bold=True) + words[1:]
        lines += desk.wrap(words, WIDTH - TEXT_X - 14, size)
    high = lead * len(lines) + 6
    drawing.fill(TEXT_X, -high - 1, WIDTH - TEXT_X, high, 0.92)
    drawing.fill(TEXT_X, -high - 1, 3, high, 0)
    drawing.lines(TEXT_X + 9, -4, lines, size, lead)
    drawing.height = high + 4
    return drawing


def _step(
    desk: Desk, number: int, action: Action, said: set[str], asked: bool
) -> Drawing:
    sizes = desk.sizes
    drawing = desk.document.drawing()
    size = sizes.action if number < 10 else 11.5
    drawing.text_right(15, -sizes.action - 1, str(number), size, bold=True)
    if action.kind in NOT_TICKED:
        for x in (_BOX_X + 3.5, _BOX_X + 10.5):
            drawing.fill(x, -BOX, 3.5, BOX - 3, 0)
    else:
        drawing.tick_box(_BOX_X, -1)
    until = _when(desk, drawing, action)
    what = desk.wrap(desk.said(action.what), _STEP_WIDTH, sizes.action)
    y = drawing.lines(TEXT_X, -0.5, what, sizes.action, sizes.action_lead)
    facts = _facts(desk, action, desk.wording.plain(action.what))
    if asked:
        facts = desk.raw(desk.label("asked-before"), bold=True) + facts
    why = desk.said(action.why)
    if facts and not sizes.wide:
        facts, why = facts + desk.raw("·") + why, ()
    # The day until which it holds stands at the right of the second line.
    free = WIDTH - TEXT_X - (_WHEN_WIDTH if until and len(what) == 1 else 0)
    for words in (facts, why):
        rows = desk.wrap(words, free, sizes.body)
        y = drawing.lines(TEXT_X, y - 0.5, rows, sizes.body, sizes.body_lead)
    if action.days and action.days > 1 and action.kind not in NOT_TICKED:
        y = _days(desk, drawing, action, y - 2)
    stop = () if action.stop_if is None else desk.said(action.stop_if, bold=True)
    stock = () if action.stock is None else _once(desk, action.stock, said)
    for words in (stop, stock):
        rows = desk.wrap(words, WIDTH - TEXT_X, sizes.body)
        y = drawing.lines(TEXT_X, y - 0.5, rows, sizes.body, sizes.body_lead)
    drawing.height = max(-y, BOX + 3) + sizes.gap * 0.6
    return drawing


def _when(desk: Desk, drawing: Drawing, action: Action) -> bool:
    """Write the day at the right edge; say whether it holds until another."""
    size, y = desk.sizes.body, -desk.sizes.action
    shown = desk.display.short_day(action.when)
    today = action.when == desk.report.as_of
    first = desk.label("today") if today else shown
    drawing.text_right(WIDTH, y, first, size + 1, bold=True)
    several = action.days is not None and action.days > 1  # has a box a day
    if action.until is None or action.until == action.when or several:
        return False
    text = f"{desk.label('until')} {desk.display.short_day(action.until)}"
    drawing.text_right(WIDTH, y - size - 2, text, size - 1)
    return True


def _facts(desk: Desk, action: Action, said: str) -> Line:
    """Return the amounts of the record, but for those the sentence has said."""
    display = desk.display
    several = bool(action.days and action.days > 1)
    groups = (
        ("each-day", action.per_day_ml if several else None, display.millilitres),
        ("each-day", action.per_day_g if several else None, display.grams),
        ("in-all", action.amount_ml, display.millilitres),
        ("in-all", action.amount_g, display.grams),
        ("of-stock", action.stock_g_per_l, desk.strength),
        ("change", action.water_change_l, display.litres),
        ("of-water", action.water_change_share, display.share),
    )
    # A volume of stock and the salt in it are one amount: always side by side.
    facts: dict[str, list[str]] = {}
    for label, value, shown in groups:
        if value is not None:
            facts.setdefault(label, []).append(shown(value))
    words: Line = ()
    for label, amounts in facts.items():
        if all(amount in said for amount in amounts):
            continue
        words += desk.raw(("· " if words else "") + desk.label(label))
        words += desk.raw(" = ".join(amounts), bold=True)
    for parameter, rise in action.expected:
        if display.value(abs(rise), parameter) in said:
            continue
        if action.kind == "water change" and desk.label(parameter, "in-text") in said:
            continue
        name = desk.label(parameter, "parameter")
        words += desk.raw(("· " if words else "") + desk.label("expect"))
        words += desk.raw(f"{name} {display.change(rise, parameter)}", bold=True)
    return words


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
    """Yield the boxes to write the next readings in, and the line to sign."""
    if tank.plan.retests:
        yield desk.heading(desk.label("again"), desk.label("again-note"))
        drawing = desk.document.drawing()
        wanted: list[tuple[str, date | None]] = list(tank.plan.retests)
        drawing.height = -columns(desk, drawing, tank, wanted, -1)
        yield drawing
    yield _sign_off(desk)


def _sign_off(desk: Desk) -> Drawing:
    """Return the line to sign on."""
    if not desk.document.shares("sign-off"):
        kept = desk.document.drawing()
        x, size = 0.0, 11.0
        for label, end in (("done-by", 200.0), ("on", 310.0), ("checked-by", WIDTH)):
            text = desk.label(label)
            kept.text(x, -20, text, size)
            start = x + desk.document.type.label_width(text) * size + 4
            kept.rule(start, -22, end, -22, 0.7)
            x = end + 10
        kept.height = 26
        desk.document.share("sign-off", kept)
    drawing = desk.document.drawing()
    drawing.shared.append(("sign-off", 0.0, 0.0))
    drawing.height = 26
    return drawing
