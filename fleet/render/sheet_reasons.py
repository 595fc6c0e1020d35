"""The part of an action sheet that shows why: readings, charts, meaning, causes."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import Effect, Sentence, TankReport
from fleet.render import charts
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import CHARTED, Desk
from fleet.render.sheet_readings import NARROW_WIDTH, notes, rows_of, table

_GAP = 10.0
_SMALL, _LARGE = (WIDTH - NARROW_WIDTH - _GAP, 63.0), ((WIDTH - _GAP) / 2, 92.0)
_SIGN = 8.0  # letters of the charts' legend
_SURE = 0.9  # from here a stage needs no reasons on paper
_MOST_CAUSES, _MOST_BECAUSE = 4, 2


def readings(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield the readings with their charts, beside or below, and notes to them."""
    rows = rows_of(tank)
    if not rows:
        return
    tested = tank.findings.last_tested
    day = desk.display.day(tested) if tested else desk.label("never")
    yield desk.heading(desk.label("readings"), f"{desk.label('last-read')} {day}")
    drawing = desk.document.drawing()
    low = table(desk, drawing, rows)
    shown = [
        chart
        for parameter in CHARTED
        if (
            chart := charts.chart_of(
                tank.findings, parameter, desk.wording, desk.reference
            )
        )
    ]
    if desk.sizes.wide:
        drawing.height = -low
        yield drawing
        yield from notes(desk, rows, tested)
        if shown:
            yield _side_by_side(desk, shown)
        return
    low = min(low, _stacked(drawing, shown))
    drawing.height = _legend(desk, drawing, low) - low if shown else -low
    yield drawing
    yield from notes(desk, rows, tested)


def _side_by_side(desk: Desk, shown: list[charts.Chart]) -> Drawing:
    drawing = desk.document.drawing()
    wide, high = _LARGE
    for number, chart in enumerate(shown):
        charts.draw(drawing, chart, number * (wide + _GAP), -high - 4, wide, high)
    drawing.height = high + 4 + _legend(desk, drawing, -high - 4)
    return drawing


def _stacked(drawing: Drawing, shown: list[charts.Chart]) -> float:
    """Draw the charts at the right of the table; return the lower end."""
    x, y = NARROW_WIDTH + _GAP, -2.0
    wide, high = _SMALL
    for chart in shown:
        charts.draw(drawing, chart, x, y - high, wide, high)
        y -= high + 3
    return y


def _legend(desk: Desk, drawing: Drawing, y: float) -> float:
    """Put what the charts' signs mean under them; return the height taken."""
    high = _SIGN + 3
    if not desk.document.shares("signs"):
        kept = desk.document.drawing()
        across = 0.0
        for sign in _SIGNS:
            across += _sign(desk, kept, sign, across, -_SIGN - 1) + 14
        kept.height = high
        desk.document.share("signs", kept)
    drawing.shared.append(("signs", 0.0, y))
    return high


_SIGNS = ("reading", "unseen", "usual", "dose", "change")


def _sign(desk: Desk, drawing: Drawing, sign: str, x: float, y: float) -> float:
    """Draw one sign of the charts with its meaning; return the width taken."""
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
    text = desk.label(f"sign-{sign}")
    drawing.text(x + 8, y, text, _SIGN)
    return 8 + desk.document.type.label_width(text) * _SIGN


def meaning(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what the readings mean, whether the last work showed, and causes."""
    found, stage = tank.findings, tank.findings.stage
    paragraphs = [
        ("", tank.plan.meaning),
        ("last-work", _last_work(found.effects)),
        ("why-stage", stage.because[:_MOST_BECAUSE] if stage.sure < _SURE else ()),
        ("unknown", (*found.missing, *stage.missing)),
    ]
    said = [_together(desk, label, sentences) for label, sentences in paragraphs]
    if not any(said) and not found.causes:
        return
    yield desk.heading(desk.label("meaning"))
    for words in said[:1]:
        yield from desk.paragraph(words)
    yield from _causes(desk, tank)
    for words in said[1:]:
        yield from desk.paragraph(words)


def _last_work(effects: tuple[Effect, ...]) -> tuple[Sentence, ...]:
    """Return what is said of the newest work that was looked at, each thing once."""
    newest = max((effect.work.on for effect in effects), default=None)
    said = [e.verdict for e in effects if e.work.on == newest and e.verdict]
    return tuple(dict.fromkeys(said))


def _together(desk: Desk, label: str, sentences: tuple[Sentence, ...]) -> Line:
    if not sentences:
        return ()
    head = desk.raw(desk.label(label), bold=True) if label else ()
    return sum(map(desk.said, sentences), head)


def _causes(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield each likely cause with its share as a bar and what speaks for it."""
    causes = tank.findings.causes[:_MOST_CAUSES]
    if not causes:
        return
    size, lead = desk.sizes.body, desk.sizes.body_lead
    most = max(cause.share for cause in causes)
    for number, cause in enumerate(causes):
        drawing = desk.document.drawing()
        top = 0.0
        if number == 0:
            drawing.text(0, -size - 1, desk.label("causes"), size, bold=True)
            top = -lead - 1
        share = desk.display.share(cause.share)
        drawing.text_right(30, top - size, share, size, bold=True)
        wide = 46 * cause.share / most if most else 0.0
        drawing.fill(35, top - size, wide, size - 2, 0.45)
        words = desk.raw(desk.label(cause.cause, "cause"), bold=True)
        for sentence in cause.because[:1]:
            words = words + desk.raw("·") + desk.said(sentence)
        lines = desk.wrap(words, WIDTH - 88, size)
        end = drawing.lines(88, top - 0.5, lines, size, lead)
        drawing.height = -end
        yield drawing
