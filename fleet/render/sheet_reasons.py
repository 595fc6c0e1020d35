"""The part of an action sheet that shows why: readings, charts, meaning, causes.

Set in two ways: wide, with everything below each other, or close, with the charts in
a column at the right and the text flowing round them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import FINE, Desk
from fleet.render.sheet_charts import chart, charted, legend
from fleet.render.sheet_readings import NARROW_WIDTH, table, table_end
from fleet.render.sheet_told import Causes, Told

_GAP = 10.0
_BESIDE = WIDTH - NARROW_WIDTH - _GAP  # width of the column of charts
_TOUCHING = 0.1  # of a line, that may be wanting under the charts
_BAR_X, _BAR_WIDE, _CAUSE_X = 36.0, 40.0, 82.0


def reasons(desk: Desk, told: Told) -> Iterator[Drawing]:
    """Yield why: what was read, what it means, and the likely causes."""
    if desk.sizes.wide:
        yield from _readings(desk, told)
        yield from _meaning(desk, told)
    else:
        yield from _close(desk, told)
        yield from _causes(desk, told)


# ----------------------------------------------------------------------- wide


def _readings(desk: Desk, told: Told) -> Iterator[Drawing]:
    """Yield the readings, notes to them, and the charts side by side."""
    if not told.found:
        return
    tested = told.tank.findings.last_tested
    day = desk.display.day(tested) if tested else desk.label("never")
    heading = desk.section("readings")
    base = 4 - heading.height  # of its letters
    heading.text_right(WIDTH, base, f"{desk.label('last-read')} {day}", FINE)
    yield heading
    drawing = desk.document.drawing()
    drawing.later(lambda part: table(desk, part, told.rows, tested))
    drawing.height = -table_end(desk, told.rows)
    yield drawing
    for words in told.notes(desk):
        yield from desk.paragraph(words)
    shown = charted(told.tank)
    if shown:
        drawing = desk.document.drawing()
        wide, high = (WIDTH - _GAP) / 2, desk.sizes.chart
        for number, parameter in enumerate(shown):
            at = number * (wide + _GAP), -high - 3
            drawing.later(chart(desk, told.tank, parameter, at, wide))
        drawing.height = high + 3 + legend(desk, drawing, 0, -high - 3, WIDTH)
        yield drawing


def _meaning(desk: Desk, told: Told) -> Iterator[Drawing]:
    """Yield what the readings mean, causes, and whether the last work showed."""
    more = told.more(desk)
    if not told.meaning and not more and not told.causes:
        return
    yield desk.section("meaning")
    yield from desk.paragraph(told.meaning)
    yield from _causes(desk, told)
    for words in more:
        yield from desk.paragraph(words)


# ---------------------------------------------------------------------- close


def _close(desk: Desk, told: Told) -> Iterator[Drawing]:
    """Yield one block: the table with the text under it, the charts at the right."""
    drawing = desk.document.drawing()
    start = -desk.sizes.gap
    drawing.rule(0, start, WIDTH, start, 0.8)
    start -= 1
    body = desk.document.drawing()
    left = right = 0.0
    if told.found:
        tested = told.tank.findings.last_tested
        body.later(lambda part: table(desk, part, told.rows, tested))
        left = table_end(desk, told.rows)
    shown = charted(told.tank)
    if shown:
        x, high = NARROW_WIDTH + _GAP, desk.sizes.chart
        right = -1.0
        for parameter in shown:
            at = x, right - high
            body.later(chart(desk, told.tank, parameter, at, _BESIDE))
            right -= high + 2
        right -= legend(desk, body, x, right, _BESIDE)
    paragraphs = told.notes(desk)
    if told.meaning:
        head = desk.raw(desk.label("it-means"), bold=True)
        paragraphs.append(head + told.meaning)
    paragraphs += told.more(desk)
    low = flow(desk, body, paragraphs, left, right)
    drawing.inside(body, start)
    drawing.height = -start - min(low, right)
    if body.ops:
        yield drawing


def flow(
    desk: Desk, drawing: Drawing, paragraphs: list[Line], top: float, beside: float
) -> float:
    """Set text under the table, and over the whole width below the charts.

    Return where it ends. ``beside`` is how far the charts reach down.
    """
    size, lead = desk.sizes.body, desk.sizes.body_lead
    y = top
    for words in paragraphs:
        rest = words
        # Lines that stand beside the charts; the last may reach below them, so that no
        # gap cuts a sentence in two.
        free = math.ceil((y - beside) / lead - _TOUCHING)
        if free > 0:
            lines = desk.wrap(words, NARROW_WIDTH, size)
            y = drawing.lines(0, y, lines[:free], size, lead)
            rest = tuple(word for line in lines[free:] for word in line)
        if rest:
            y = min(y, beside)
            y = drawing.lines(0, y, desk.wrap(rest, WIDTH, size), size, lead)
    return y


# --------------------------------------------------------------------- both


def _causes(desk: Desk, told: Told) -> Iterator[Drawing]:
    """Yield each likely cause with its share as a bar and what speaks for it."""
    for causes in told.causes:
        if desk.sizes.terse:
            yield from _causes_named(desk, causes)
        else:
            yield from _causes_drawn(desk, causes)


def _causes_drawn(desk: Desk, causes: Causes) -> Iterator[Drawing]:
    size, lead = desk.sizes.body, desk.sizes.body_lead
    most = causes.rows[0].share
    for number, (share, name, because) in enumerate(causes.rows):
        drawing = desk.document.drawing()
        top = 0.0
        if number == 0:
            drawing.text(0, -size - 1, causes.heading, size, bold=True)
            top = -lead - 1
        y = top - 0.77 * lead
        drawing.text_right(_BAR_X - 5, y, desk.display.share(share), size, bold=True)
        wide = _BAR_WIDE * min(share / most, 1.0) if most else 0.0
        drawing.fill(_BAR_X, y - 0.5, wide, size - 2, 0.45)
        words = desk.raw(name, bold=True)
        if because:
            words += desk.raw("·") + because
        lines = desk.wrap(words, WIDTH - _CAUSE_X, size)
        drawing.height = -drawing.lines(_CAUSE_X, top, lines, size, lead)
        yield drawing


def _causes_named(desk: Desk, causes: Causes) -> Iterator[Drawing]:
    """Yield the causes with their shares, one behind the other."""
    words = desk.raw(f"{causes.heading}:", bold=True)
    for number, (share, name, _) in enumerate(causes.rows, start=1):
        end = "," if number < len(causes.rows) else "."
        words += desk.raw(name) + desk.raw(desk.display.share(share) + end, bold=True)
    yield from desk.paragraph(words)
