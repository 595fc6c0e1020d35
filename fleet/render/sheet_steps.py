"""The part of an action sheet that is done: steps, what to leave, what to retest."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from fleet.records import Action, Sentence, TankReport, say
from fleet.render.pdf_page import BOX, WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.reading_box import columns
from fleet.render.sheet_base import CHARTED, NOT_TICKED, TEXT_X, Desk

_WHEN_WIDTH = 74.0
_BOX_X = 19.0
_DAY_WIDTH, _DAYS_A_ROW, _MOST_DAYS = 83.0, 5, 15


def steps(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what to do, in order; a caution stands before the step it concerns."""
    actions = tank.plan.actions
    if not actions:
        return
    yield desk.heading(desk.label("to-do"), desk.label("today-unless"), strong=True)
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
    size, lead = desk.sizes.body - 0.5, desk.sizes.body_lead - 0.5
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
    whole = WIDTH - TEXT_X
    free = whole - _when(desk, drawing, action)
    what = desk.wrap(desk.said(action.what), free, sizes.action)
    y = drawing.lines(TEXT_X, -0.5, what, sizes.action, sizes.action_lead)
    facts = _facts(desk, action, desk.wording.plain(action.what))
    if asked:
        facts = desk.raw(desk.label("asked-before"), bold=True) + facts
    if action.days and action.days > 1 and action.kind not in NOT_TICKED:
        y, facts = _days(desk, drawing, action, y - 2, facts)
    why = desk.said(action.why)
    if facts and not sizes.wide:
        facts, why = facts + desk.raw("·") + why, ()
    stop = () if action.stop_if is None else desk.said(action.stop_if, bold=True)
    stock = () if action.stock is None else _once(desk, action.stock, said)
    for words in (facts, why, stop, stock):
        # Beside the day at the right only as long as it reaches down.
        room = free if y > -2 * sizes.action else whole
        rows = desk.wrap(words, room, sizes.body)
        y = drawing.lines(TEXT_X, y - 0.5, rows, sizes.body, sizes.body_lead)
    drawing.height = max(-y, BOX + 3) + sizes.gap * 0.6
    return drawing


def _when(desk: Desk, drawing: Drawing, action: Action) -> float:
    """Write the day at the right edge, if it is not today; return the room it takes."""
    size, y = desk.sizes.body, -desk.sizes.action
    texts = []
    if action.when != desk.report.as_of:
        texts.append((desk.day(action.when), size + 1, True))
    several = action.days is not None and action.days > 1  # has a box a day
    if action.until is not None and action.until != action.when and not several:
        text = f"{desk.label('until')} {desk.day(action.until)}"
        texts.append((text, size - 1, False))
    for text, letters, bold in texts:
        drawing.text_right(WIDTH, y, text, letters, bold)
        y -= size + 2
    return _WHEN_WIDTH if texts else 0.0


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


def _days(
    desk: Desk, drawing: Drawing, action: Action, top: float, facts: Line
) -> tuple[float, Line]:
    """Draw one small box a day, and the facts beside them where there is room.

    Return where the next line begins, and the facts that are still to be said.
    """
    days = min(action.days or 0, _MOST_DAYS)
    side, size = 13.0, desk.sizes.body
    for number in range(days):
        x = TEXT_X + _DAY_WIDTH * (number % _DAYS_A_ROW)
        y = top - 2 - (side + 5) * (number // _DAYS_A_ROW)
        drawing.tick_box(x, y, side)
        day = desk.day(action.when + timedelta(days=number))
        drawing.text(x + side + 4, y - side + 3, day, size)
    end = TEXT_X + _DAY_WIDTH * days + 6
    if facts and end + desk.document.type.width(facts) * size <= WIDTH:
        drawing.line(end, top - 2 - side + 3, facts, size)
        facts = ()
    rows = -(-days // _DAYS_A_ROW)
    return top - 2 - (side + 4) * rows, facts


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
    """Yield the boxes to write the next readings in, and the line to sign.

    What is only due with the next round has its box on the reading slip.
    """
    asked = dict(tank.plan.retests)
    wanted = {
        parameter: day
        for parameter, day in asked.items()
        if day < desk.next_round or parameter in CHARTED
    }
    rest = tuple(parameter for parameter in asked if parameter not in wanted)
    if wanted:
        yield desk.heading(desk.label("again"), desk.label("again-note"))
        drawing = desk.document.drawing(joined=bool(rest))
        drawing.height = -columns(desk, drawing, tank, list(wanted.items()), -1)
        yield drawing
    if rest:
        later = say("sheet.with-the-round", parameters=rest, on=desk.next_round)
        yield from desk.paragraph(desk.said(later))
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
