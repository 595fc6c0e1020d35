"""What to do, in order: a step to tick each, and the cautions before them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from functools import partial
from typing import NamedTuple

from fleet.records import Action, Sentence, TankReport
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import NOT_TICKED, Desk

_WHEN_WIDTH = 74.0
_BOX_X = 19.0
_DAYS_A_ROW, _MOST_NAMED = 5, 15  # of boxes with their day beside them
_BOXES_A_ROW, _WEEK = 14, 7  # more than those stand in rows of two weeks
_BESIDE = 7.0  # between a step and what is said of it on the same line


class Step(NamedTuple):
    """One thing to do, and the cautions that it must not be parted from."""

    drawing: Drawing
    cautions: tuple[Sentence, ...]


def text_x(desk: Desk) -> float:
    """Return where the words of a step begin."""
    return _BOX_X + desk.sizes.box + 8


def steps(desk: Desk, tank: TankReport) -> list[Step]:
    """Return what to do, in order; what is only noted down stands with the signature.

    A recipe that two steps share stands with the first.
    """
    said: set[Sentence] = set()
    change = desk.changes.get(tank.tank.id)
    asked = change.not_done if change else ()
    tasks = [action for action in tank.plan.actions if action.kind != "log"]
    return [
        Step(_step(desk, number, action, said, action.id in asked), action.cautions)
        for number, action in enumerate(tasks, start=1)
    ]


def with_cautions(desk: Desk, tasks: list[Step]) -> list[Drawing]:
    """Return the steps of one page: all cautions in one block, before the first."""
    cautions = dict.fromkeys(said for step in tasks for said in step.cautions)
    drawings: list[Drawing] = []
    for step in tasks:
        if step.cautions and cautions:
            drawings.append(caution_block(desk, cautions))
            cautions = {}
        drawings.append(step.drawing)
    return drawings


def caution_block(desk: Desk, cautions: Iterable[Sentence]) -> Drawing:
    """Return warnings on a grey ground, kept with the step after them."""
    told = tuple(cautions)
    return desk.standing(("cautions", told), partial(_caution_block, desk, told))


def _caution_block(desk: Desk, cautions: tuple[Sentence, ...]) -> Drawing:
    size, lead = max(desk.sizes.body - 0.5, 8.0), desk.sizes.body_lead - 0.4
    left = text_x(desk)
    drawing = desk.document.drawing(joined=True)
    lines: list[Line] = []
    for caution in cautions:
        words = desk.said(caution)
        if not words:
            continue
        signal = words[0].text  # WARNING: or NOTICE:, in the wording itself
        if signal.endswith(":") and signal.isupper():
            words = desk.raw(signal, bold=True) + words[1:]
        lines += desk.wrap(words, WIDTH - left - 12, size)
    if not lines:
        return drawing
    high = lead * len(lines) + 5
    drawing.fill(left, -high, WIDTH - left, high, 0.92)
    drawing.fill(left, -high, 3, high, 0)
    drawing.lines(left + 8, -2.5, lines, size, lead)
    drawing.height = high + desk.sizes.gap * 0.5
    return drawing


def _step(
    desk: Desk, number: int, action: Action, said: set[Sentence], asked: bool
) -> Drawing:
    sizes, left = desk.sizes, text_x(desk)
    drawing = desk.document.drawing()
    size = sizes.action if number < 10 else min(sizes.action, 11.5)
    drawing.text_right(15, -sizes.action - 0.5, str(number), size, bold=True)
    if action.kind in NOT_TICKED:
        for x in (_BOX_X + 3.5, _BOX_X + 10.5):
            drawing.fill(x, -sizes.box, 3.5, sizes.box - 3, 0)
    else:
        drawing.tick_box(_BOX_X, -1, sizes.box)
    whole = WIDTH - left
    free = whole - _when(desk, drawing, action)
    what = desk.wrap(desk.said(action.what), free, sizes.action)
    y = drawing.lines(left, -0.5, what, sizes.action, sizes.action_lead)
    facts = _facts(desk, action, desk.wording.plain(action.what))
    if asked:
        facts = desk.raw(desk.label("asked-before"), bold=True) + facts
    if action.days and action.days > 1 and action.kind not in NOT_TICKED:
        y, facts = _days(desk, drawing, action, y - 1, facts)
        what = []  # nothing more fits beside it
    more = _more(desk, action, facts, said)
    if what and len(more) == 1 and _fits_beside(desk, what[-1], more[0], free):
        x = left + desk.document.type.width(what[-1]) * sizes.action + _BESIDE
        drawing.line(x, y + 0.23 * sizes.action_lead, more[0], sizes.body)
        more = []
    for words in more:
        # Beside the day at the right only as long as it reaches down.
        room = free if y > -2 * sizes.action else whole
        rows = desk.wrap(words, room, sizes.body)
        y = drawing.lines(left, y - 0.3, rows, sizes.body, sizes.body_lead)
    drawing.height = max(-y, sizes.box + 2) + sizes.gap * 0.6
    return drawing


def _more(desk: Desk, action: Action, facts: Line, said: set[Sentence]) -> list[Line]:
    """Return what is said of a step, each on lines of its own where there is room."""
    stop = () if action.stop_if is None else desk.said(action.stop_if, bold=True)
    stock: Line = ()
    if action.stock is not None and action.stock not in said:
        said.add(action.stock)
        stock = desk.said(action.stock)
    why = desk.said(action.why)
    if desk.sizes.wide:
        return [words for words in (facts, why, stop, stock) if words]
    if facts:
        facts += desk.raw("·")
    return [facts + stop + stock + why]


def _fits_beside(desk: Desk, line: Line, words: Line, room: float) -> bool:
    """Say whether ``words`` fit behind the last line of a step."""
    if desk.sizes.wide:
        return False
    type_ = desk.document.type
    taken = type_.width(line) * desk.sizes.action + _BESIDE
    return taken + type_.width(words) * desk.sizes.body <= room


def _when(desk: Desk, drawing: Drawing, action: Action) -> float:
    """Write the day at the right edge, if it is not today; return the room it takes."""
    size, y = desk.sizes.body, -desk.sizes.action
    texts = []
    if action.when != desk.report.as_of:
        texts.append((desk.day(action.when), size + 1, True))
    several = action.days is not None and action.days > 1  # has a box a day
    if action.until is not None and action.until != action.when and not several:
        text = f"{desk.label('until')} {desk.day(action.until)}"
        texts.append((text, size - 1 if size > 9 else 8.0, False))
    for text, letters, bold in texts:
        drawing.text_right(WIDTH, y, text, letters, bold)
        y -= size + 2
    return _WHEN_WIDTH if texts else 0.0


def _facts(desk: Desk, action: Action, said: str) -> Line:
    """Return the amounts of the record, but for those the sentence has said."""
    display = desk.display
    days = action.days or 1
    several = days > 1

    # As each portion is measured, so that what is shown adds up.
    def in_all_ml(day_ml: float) -> str:
        return display.millilitres_of(day_ml, days)

    def in_all_g(day_g: float) -> str:
        return display.grams_of(day_g, days)

    groups = (
        ("each-day", action.per_day_ml if several else None, display.millilitres),
        ("each-day", action.per_day_g if several else None, display.grams),
        ("in-all", action.per_day_ml, in_all_ml),
        ("in-all", action.per_day_g, in_all_g),
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
    days, side = action.days or 0, min(desk.sizes.body + 3, 13.0)
    if days > _MOST_NAMED:
        return _weeks(desk, drawing, action, top), facts
    size, left = desk.sizes.body, text_x(desk)
    wide = side + size * 6.4
    for number in range(days):
        x = left + wide * (number % _DAYS_A_ROW)
        y = top - 1 - (side + 4) * (number // _DAYS_A_ROW)
        drawing.tick_box(x, y, side)
        day = desk.day(action.when + timedelta(days=number))
        drawing.text(x + side + 4, y - side + 3, day, size)
    end = left + wide * days + 6
    if facts and end + desk.document.type.width(facts) * size <= WIDTH:
        drawing.line(end, top - 1 - side + 3, facts, size)
        facts = ()
    rows = -(-days // _DAYS_A_ROW)
    return top - 1 - (side + 4) * rows, facts


def _weeks(desk: Desk, drawing: Drawing, action: Action, top: float) -> float:
    """Draw a box for each day of a long course: two weeks a row, after its first day.

    Return where the next line begins.
    """
    size, left = desk.sizes.body, text_x(desk)
    side = min(size + 3, 13.0)
    for number in range(action.days or 0):
        row, place = divmod(number, _BOXES_A_ROW)
        y = top - 1 - (side + 4) * row
        if place == 0:
            day = desk.day(action.when + timedelta(days=number))
            drawing.text(left, y - side + 3, day, size)
        x = left + size * 6.4 + (side + 5) * place + 6 * (place // _WEEK)
        drawing.tick_box(x, y, side)
    rows = -(-(action.days or 0) // _BOXES_A_ROW)
    return top - 1 - (side + 4) * rows
