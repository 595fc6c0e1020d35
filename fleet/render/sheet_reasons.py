"""The part of an action sheet that shows why: readings, charts, meaning, causes.

Set in two ways: wide, with everything below each other, or close, with the charts in
a column at the right and the text flowing round them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from fleet.records import Cause, CauseList, Sentence, TankReport, say
from fleet.render import charts
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import Desk
from fleet.render.sheet_readings import (
    NARROW_WIDTH,
    gone,
    notes,
    rows_of,
    table,
    table_end,
)
from fleet.render.summary import CHARTED

_GAP = 10.0
_BESIDE = WIDTH - NARROW_WIDTH - _GAP  # width of the column of charts
_TOUCHING = 0.1  # of a line, that may be wanting under the charts
_SIGN = 7.5  # letters of the charts' legend
_MOST_CAUSES, _FEW_CAUSES, _MOST_BECAUSE = 4, 3, 2  # few: of each of two lists
_BAR_X, _BAR_WIDE, _CAUSE_X = 36.0, 40.0, 82.0


def reasons(desk: Desk, tank: TankReport) -> list[Drawing]:
    """Return why: what was read, what it means, and the likely causes."""
    if desk.sizes.wide:
        return [*_readings(desk, tank), *_meaning(desk, tank)]
    return [*_close(desk, tank), *_causes(desk, tank)]


def _charts(desk: Desk, tank: TankReport) -> list[str]:
    """Return what there is a chart of."""
    return [
        parameter
        for parameter in CHARTED
        if (finding := tank.findings.of(parameter)) is not None and finding.history
    ]


def _chart(
    desk: Desk,
    tank: TankReport,
    parameter: str,
    at: tuple[float, float],
    wide: float,
) -> Callable[[Drawing], None]:
    """Return what draws a chart with its lower left corner at a point."""

    def draw(part: Drawing) -> None:
        chart = charts.chart_of(
            tank.findings, parameter, desk.wording, desk.reference, described=False
        )
        if chart is not None:
            charts.draw(part, chart, *at, wide, desk.sizes.chart)

    return draw


# ----------------------------------------------------------------------- wide


def _readings(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield the readings, notes to them, and the charts side by side."""
    rows = rows_of(tank)
    if not rows:
        return
    tested = tank.findings.last_tested
    day = desk.display.day(tested) if tested else desk.label("never")
    yield desk.heading(desk.label("readings"), f"{desk.label('last-read')} {day}")
    drawing = desk.document.drawing()
    listed = [finding for finding in rows if not gone(finding)]
    drawing.later(lambda part: table(desk, part, listed, tested))
    drawing.height = -table_end(desk, listed)
    yield drawing
    for words in notes(desk, tank, rows):
        yield from desk.paragraph(words)
    shown = _charts(desk, tank)
    if shown:
        drawing = desk.document.drawing()
        wide, high = (WIDTH - _GAP) / 2, desk.sizes.chart
        for number, parameter in enumerate(shown):
            at = number * (wide + _GAP), -high - 3
            drawing.later(_chart(desk, tank, parameter, at, wide))
        drawing.height = high + 3 + _legend(desk, drawing, 0, -high - 3, WIDTH)
        yield drawing


def _meaning(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what the readings mean, causes, and whether the last work showed."""
    first, rest = desk.said_together(_meant(tank)), list(_more(desk, tank))
    if not first and not rest and not tank.findings.causes:
        return
    yield desk.heading(desk.label("meaning"))
    yield from desk.paragraph(first)
    yield from _causes(desk, tank)
    for words in rest:
        yield from desk.paragraph(words)


def _meant(tank: TankReport) -> list[Sentence]:
    """Return what it means, but for the causes that are listed below."""
    listed = bool(tank.findings.causes)
    return [
        sentence
        for sentence in tank.plan.meaning
        if not (listed and sentence.key == "meaning.reasons")
    ]


def _more(desk: Desk, tank: TankReport) -> Iterator[Line]:
    """Yield whether the last work showed, why this stage, and what is not known."""
    found, stage = tank.findings, tank.findings.stage
    # Where age, tests and look agree, a stage needs no reasons on paper.
    sure = stage.sure >= desk.reference.stage("sure-three") or desk.sizes.terse
    for label, sentences in (
        ("last-work", _telling(found.last_work)),
        ("why-stage", () if sure else stage.because[:_MOST_BECAUSE]),
        ("unknown", (*found.missing, *stage.missing)),
    ):
        if sentences:
            head = desk.raw(desk.label(label), bold=True)
            yield head + desk.said_together(sentences)


def _telling(last_work: tuple[Sentence, ...]) -> tuple[Sentence, ...]:
    """Return what the tests show of the last work; a usual change seldom shows."""
    return tuple(
        said
        for said in last_work
        if said.key != "effects.nothing-to-tell"
        or dict(said.facts).get("work") != "water change"
    )


# ---------------------------------------------------------------------- close


def _close(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield one block: the table with the text under it, the charts at the right."""
    rows = rows_of(tank)
    drawing = desk.document.drawing()
    start = -desk.sizes.gap
    drawing.rule(0, start, WIDTH, start, 0.8)
    start -= 1
    body = desk.document.drawing()
    left = right = 0.0
    if rows:
        listed = [finding for finding in rows if not gone(finding)]
        tested = tank.findings.last_tested
        body.later(lambda part: table(desk, part, listed, tested))
        left = table_end(desk, listed)
    shown = _charts(desk, tank)
    if shown:
        x, high = NARROW_WIDTH + _GAP, desk.sizes.chart
        right = -1.0
        for parameter in shown:
            at = x, right - high
            body.later(_chart(desk, tank, parameter, at, _BESIDE))
            right -= high + 2
        right -= _legend(desk, body, x, right, _BESIDE)
    paragraphs = list(notes(desk, tank, rows))
    if _meant(tank):
        head = desk.raw(desk.label("it-means"), bold=True)
        paragraphs.append(head + desk.said_together(_meant(tank)))
    paragraphs += _more(desk, tank)
    low = flow(desk, body, paragraphs, left, right)
    drawing.inside(body, start)
    drawing.height = -start - min(low, right)
    if len(body.ops) or body.shared:
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


def _legend(desk: Desk, drawing: Drawing, x: float, y: float, wide: float) -> float:
    """Put what the charts' signs mean under them; return the height taken."""
    name = f"signs-{wide:.0f}"
    if not desk.document.shares(name):
        kept = desk.document.drawing()
        across, down = 0.0, -_SIGN - 1
        for sign in _SIGNS:
            room = _sign_width(desk, sign)
            if across and across + room > wide:
                across, down = 0.0, down - _SIGN - 2
            _sign(desk, kept, sign, across, down)
            across += room + 9
        kept.height = 2 - down
        desk.document.share(name, kept)
    drawing.shared.append((name, x, y))
    return desk.document.height_of(name)


_SIGNS = ("reading", "unseen", "usual", "dose", "change")


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


def _causes(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield each likely cause with its share as a bar and what speaks for it."""
    lists = tank.findings.cause_lists
    for listed in lists:
        shown = listed.causes[: _MOST_CAUSES if len(lists) == 1 else _FEW_CAUSES]
        if desk.sizes.terse:
            yield from _causes_named(desk, listed, shown)
        else:
            yield from _causes_drawn(desk, listed, shown)


def _causes_drawn(
    desk: Desk, listed: CauseList, shown: tuple[Cause, ...]
) -> Iterator[Drawing]:
    size, lead = desk.sizes.body, desk.sizes.body_lead
    most = shown[0].share
    rows = [
        (cause.share, _named(desk, listed, cause), cause.because[:1]) for cause in shown
    ]
    if shown != listed.causes:
        rows.append((_rest(shown), desk.wording.plain(say("causes.others")), ()))
    for number, (share, name, because) in enumerate(rows):
        drawing = desk.document.drawing()
        top = 0.0
        if number == 0:
            drawing.text(0, -size - 1, _heading(desk, listed), size, bold=True)
            top = -lead - 1
        y = top - 0.77 * lead
        drawing.text_right(_BAR_X - 5, y, desk.display.share(share), size, bold=True)
        wide = _BAR_WIDE * min(share / most, 1.0) if most else 0.0
        drawing.fill(_BAR_X, y - 0.5, wide, size - 2, 0.45)
        words = desk.raw(name, bold=True)
        for sentence in because:
            words = words + desk.raw("·") + desk.said(sentence)
        lines = desk.wrap(words, WIDTH - _CAUSE_X, size)
        drawing.height = -drawing.lines(_CAUSE_X, top, lines, size, lead)
        yield drawing


def _heading(desk: Desk, listed: CauseList) -> str:
    of = desk.wording.plain(say("causes.of-side", side=listed.side,
                                parameters=listed.parameters))  # fmt: skip
    return f"{desk.label('causes')} ({of})"


def _named(desk: Desk, listed: CauseList, cause: Cause) -> str:
    """Return the words of a cause, and of which nutrient where the list is of two."""
    of = cause.parameter if listed.parameters[1:] else ""
    return desk.wording.plain(say("causes.named", cause=cause.cause, parameter=of))


def _rest(shown: tuple[Cause, ...]) -> float:
    return max(1 - sum(cause.share for cause in shown), 0.0)


def _causes_named(
    desk: Desk, listed: CauseList, shown: tuple[Cause, ...]
) -> Iterator[Drawing]:
    """Yield the causes with their shares, one behind the other."""
    words = desk.raw(f"{_heading(desk, listed)}:", bold=True)
    rows = [(_named(desk, listed, cause), cause.share) for cause in shown]
    if shown != listed.causes:
        rows.append((desk.wording.plain(say("causes.others")), _rest(shown)))
    for number, (name, share) in enumerate(rows, start=1):
        end = "," if number < len(rows) else "."
        words += desk.raw(name) + desk.raw(desk.display.share(share) + end, bold=True)
    yield from desk.paragraph(words)
