"""The action sheets: one page a tank, a second where it must be.

What to do stands before why, so that a page that overflows takes the reasons with
it and not the work. See ``sheet_steps`` and ``sheet_evidence`` for the parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from pathlib import Path

from fleet.records import Attention, Report, TankReport
from fleet.reference import Reference
from fleet.render import marks
from fleet.render.pdf_page import WIDTH, Document, Drawing, height_of, pages_of
from fleet.render.pdf_text import Line
from fleet.render.safe import clean
from fleet.render.sheet_base import FINE, ROOMY, TIGHT, Desk, fitted
from fleet.render.sheet_reasons import meaning, readings
from fleet.render.sheet_steps import leave_alone, retests, steps
from fleet.render.wording import Wording

_FRAME: dict[Attention, float] = {
    "today": 0.0, "this week": 2.2, "watch": 1.1, "steady": 0.5,
}  # fmt: skip
_TAG_WIDE, _TAG_HIGH = 168.0, 38.0
_NOTES_FROM = 45.0  # room under which no lines for notes are drawn
_NOTES_PITCH, _MOST_NOTES = 25.5, 6
_SHRUNK = 0.5  # tight reasons are never lower than this share of roomy ones
_ADVICE = 13.0  # room above the foot for who to ask


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write the sheets of all tanks, in the report's order."""
    settings = report.settings
    document = Document(
        path,
        settings.paper,
        f"{wording.label('title', 'sheet')} {wording.display.day(report.as_of)}",
        report.as_of,
        report.made_by,
        settings.language,
    )
    roomy = Desk(document, report, wording, reference, ROOMY)
    tight = Desk(document, report, wording, reference, TIGHT)
    for tank in report.tanks:
        document.type.fell_back = False
        _draw(roomy, tank, _pages(roomy, tight, tank))
    if not report.tanks:
        document.end_page(document.type.raw(wording.label("no-tanks", "sheet")), ())
    document.save()


def _doing(desk: Desk, tank: TankReport) -> list[Drawing]:
    """Return the head and what is done with the sheet in hand."""
    parts = (steps(desk, tank), leave_alone(desk, tank), retests(desk, tank))
    return [_head(desk, tank), *chain.from_iterable(parts)]


def _reasons(desk: Desk, tank: TankReport) -> list[Drawing]:
    return [*readings(desk, tank), *meaning(desk, tank)]


def _pages(roomy: Desk, tight: Desk, tank: TankReport) -> list[list[Drawing]]:
    """Return the drawings of each page: one if it can be, and all work on the first.

    Large letters are kept as long as smaller ones would not save a page, or bring
    the whole of the work, down to the line to sign, on to the first page.
    """
    room = roomy.document.room - _ADVICE

    def set_out(doing: list[Drawing], reasons: list[Drawing]) -> list[list[Drawing]]:
        rest = (*doing[1:], *reasons)
        return pages_of(doing[0], rest, lambda: _head_again(roomy, tank), room)

    doing, reasons = _doing(roomy, tank), _reasons(roomy, tank)
    large = set_out(doing, reasons)
    if len(large) == 1:
        return large
    less = _doing(tight, tank)
    mixed = set_out(less, reasons)
    saves = len(mixed) < len(large) or height_of(doing) > room >= height_of(less)
    best = mixed if saves else large
    could_be_one = height_of(less) + _SHRUNK * height_of(reasons) <= room
    if could_be_one or len(best) > 2:
        small = set_out(less, _reasons(tight, tank))
        if len(small) < len(best):
            return small
    return best


def _draw(desk: Desk, tank: TankReport, pages: list[list[Drawing]]) -> None:
    document = desk.document
    for number, page in enumerate(pages, start=1):
        y = document.top
        for drawing in page:
            document.place(drawing, y)
            y -= drawing.height
        if number == len(pages):
            end = document.bottom + _ADVICE
            _notes(desk, y - end, y)
            advice = document.drawing()
            advice.text(0, 0, desk.label("advice"), FINE)
            document.place(advice, document.bottom + 3)
        of = f"{desk.label('page')} {number} {desk.label('of')} {len(pages)}"
        right = f"{clean(tank.tank.id, 40)} · {of}"
        document.end_page(desk.foot(), document.type.raw(right))


def _notes(desk: Desk, room: float, top: float) -> None:
    """Give what is left of the page to notes, within reason."""
    if room < _NOTES_FROM:
        return
    heading = desk.heading(desk.label("notes"))
    y = -heading.height - _NOTES_PITCH + 8
    for _ in range(_MOST_NOTES):
        if -y > room - 4:
            break
        heading.rule(0, y, WIDTH, y, 0.4)
        y -= _NOTES_PITCH
    desk.document.place(heading, top)


def _tag(desk: Desk, drawing: Drawing, attention: Attention, top: float) -> None:
    """Draw the attention word with its shape at the right, framed by its weight."""
    word = desk.label(attention, "attention").upper()
    words, size = fitted(desk, word, _TAG_WIDE - _TAG_HIGH - 12, 23, 14)
    x, y = WIDTH - _TAG_WIDE, top - _TAG_HIGH
    if attention == "today":
        drawing.fill(x, y, _TAG_WIDE, _TAG_HIGH, 0)
        drawing.ops.append("1 g 1 G")
    else:
        drawing.box(x, y, _TAG_WIDE, _TAG_HIGH, _FRAME[attention])
    marks.draw(drawing, attention, x + 6, y + 5, _TAG_HIGH - 10)
    drawing.line(x + _TAG_HIGH + 4, y + _TAG_HIGH / 2 - size * 0.36, words, size)
    drawing.ops.append("0 g 0 G")


def _head(desk: Desk, tank: TankReport) -> Drawing:
    """Return the tank, its place, how urgent it is, and the one-line message."""
    drawing = desk.document.drawing()
    of, sizes = tank.tank, desk.sizes
    word = desk.label(tank.plan.attention, "attention").upper()
    drawing.mark = " · ".join(part for part in (of.id, word, of.place) if part)
    words, size = fitted(desk, of.id, WIDTH - _TAG_WIDE - 12, 32, 18)
    drawing.line(0, -30, words, size)
    _tag(desk, drawing, tank.plan.attention, 0)
    y = -_TAG_HIGH - 4
    if of.place:
        words, size = fitted(desk, of.place, WIDTH, 16 if sizes.wide else 14, 12)
        y -= size - 1
        drawing.line(0, y, words, size)
        y -= 3
    for line in _about(desk, tank):
        y = drawing.lines(0, y - 1, [line], sizes.body, sizes.body_lead)
    y -= 5
    drawing.rule(0, y, WIDTH, y, 2.5 if tank.plan.attention == "today" else 1.2)
    size = sizes.action + 2
    lines = desk.wrap(desk.said(tank.plan.headline, bold=True), WIDTH, size)
    y = drawing.lines(0, y - 4, lines, size, size * 1.22)
    y = _stage(desk, drawing, tank, y - 1)
    drawing.height = 2 - y
    return drawing


def _about(desk: Desk, tank: TankReport) -> Iterator[Line]:
    """Yield what the tank is, the displays that share its water, and its notes."""
    of, display, size = tank.tank, desk.display, desk.sizes.body
    facts = [of.name if of.name != of.id else ""]
    if of.volume_l is not None:
        facts.append(display.litres(of.volume_l))
    facts += [desk.label(of.livestock, "livestock"), of.group]
    if of.keeper:
        facts.append(f"{desk.label('keeper')} {of.keeper}")
    text = " · ".join(fact for fact in facts if fact)
    yield from desk.limited(desk.raw(text), WIDTH, size, 2)
    if of.displays:
        words = desk.raw(desk.label("shared"), bold=True)
        words += desk.raw(", ".join(of.displays))
        yield from desk.limited(words, WIDTH, size, 4)
    yield from desk.limited(desk.raw(of.notes), WIDTH, size, 2)


def _stage(desk: Desk, drawing: Drawing, tank: TankReport, top: float) -> float:
    """Write the stage with its sureness, the ages, and how it is since last time."""
    stage, size = tank.findings.stage, desk.sizes.body
    parts = [f"{desk.display.share(stage.sure)} {desk.label('sure')}"]
    for days, label in (
        (stage.days_since_filled, "days-filled"),
        (stage.days_since_cycled, "days-cycled"),
    ):
        if days is not None:
            parts.append(f"{desk.display.number(days)} {desk.label(label)}")
    for change in desk.report.changes:
        if change.tank == tank.tank.id and desk.report.since is not None:
            day = desk.day(desk.report.since)
            word = desk.label(change.word, "change")
            parts.append(f"{desk.label('since')} {day}: {word}")
    words = desk.raw(desk.label("stage"))
    words += desk.raw(desk.label(stage.name, "stage"), bold=True)
    words += desk.raw("· " + " · ".join(parts))
    lines = desk.wrap(words, WIDTH, size)
    return drawing.lines(0, top, lines, size, desk.sizes.body_lead)


def _head_again(desk: Desk, tank: TankReport) -> Drawing:
    """Return the head of a further page: the tank, its place, how urgent."""
    drawing = desk.document.drawing()
    words, size = fitted(desk, tank.tank.id, WIDTH - _TAG_WIDE - 12, 28, 18)
    drawing.line(0, -26, words, size)
    _tag(desk, drawing, tank.plan.attention, 0)
    text = f"{tank.tank.place} ({desk.label('continued')})".strip()
    words, size = fitted(desk, text, WIDTH, 12, 9)
    drawing.line(0, -_TAG_HIGH - 14, words, size)
    drawing.height = _TAG_HIGH + 26
    return drawing
