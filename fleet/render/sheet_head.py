"""The top of an action sheet: which tank, how urgent, and the one-line message."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import Attention, TankReport
from fleet.render import marks
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import Desk, fitted

_FRAME: dict[Attention, float] = {
    "today": 0.0, "this week": 2.2, "watch": 1.1, "steady": 0.5,
}  # fmt: skip
_TAG_WIDE, _TAG_HIGH = 152.0, 34.0
_ID, _PLACE, _ABOUT, _ABOUT_LEAD = 30.0, 13.0, 9.5, 11.2
_GAP = 14.0
_SQUEEZED = 1.12  # a message longer than a line by less is set smaller
_LEAST_BESIDE = 150.0  # room beside a name under which the rest stands below it


def head(desk: Desk, tank: TankReport) -> Drawing:
    """Return the tank, its place, how urgent it is, and the one-line message."""
    drawing = desk.document.drawing()
    of, attention = tank.tank, tank.plan.attention
    word = desk.label(attention, "attention").upper()
    drawing.mark = " · ".join(part for part in (of.id, word, of.place) if part)
    words, size = fitted(desk, of.id, WIDTH - _TAG_WIDE - _GAP, _ID, 18)
    drawing.line(0, -25, words, size)
    drawing.ops += _tag(desk, attention).ops
    y = _identity(desk, drawing, tank, desk.document.type.width(words) * size)
    y -= desk.sizes.gap * 0.4 + 2
    drawing.rule(0, y, WIDTH, y, 2.5 if attention == "today" else 1.2)
    words, size = desk.said(tank.plan.headline, bold=True), desk.sizes.action + 2
    wide = desk.document.type.width(words) * size / WIDTH
    if 1 < wide < _SQUEEZED:  # no line of one word
        size *= 0.999 / wide
    lines = desk.wrap(words, WIDTH, size)
    y = drawing.lines(0, y - 2.5, lines, size, size * 1.2)
    y = _stage(desk, drawing, tank, y - 0.5)
    drawing.height = 1 - y
    return drawing


def head_again(desk: Desk, tank: TankReport) -> Drawing:
    """Return the head of a further page: the tank, its place, how urgent."""
    drawing = desk.document.drawing()
    words, size = fitted(desk, tank.tank.id, WIDTH - _TAG_WIDE - _GAP, 28, 18)
    drawing.line(0, -25, words, size)
    drawing.ops += _tag(desk, tank.plan.attention).ops
    text = f"{tank.tank.place} ({desk.label('continued')})".strip()
    words, size = fitted(desk, text, WIDTH, 12, 9)
    drawing.line(0, -_TAG_HIGH - 13, words, size)
    drawing.height = _TAG_HIGH + 22
    return drawing


def _tag(desk: Desk, attention: Attention) -> Drawing:
    """Return the attention word with its shape at the right, framed by its weight."""

    def make() -> Drawing:
        drawing = desk.document.drawing()
        word = desk.label(attention, "attention").upper()
        words, size = fitted(desk, word, _TAG_WIDE - _TAG_HIGH - 12, 21, 13)
        x = WIDTH - _TAG_WIDE
        if attention == "today":
            drawing.fill(x, -_TAG_HIGH, _TAG_WIDE, _TAG_HIGH, 0)
            drawing.ops.append("1 g 1 G")
        else:
            drawing.box(x, -_TAG_HIGH, _TAG_WIDE, _TAG_HIGH, _FRAME[attention])
        marks.draw(drawing, attention, x + 6, 5 - _TAG_HIGH, _TAG_HIGH - 10)
        drawing.line(x + _TAG_HIGH + 3, -_TAG_HIGH / 2 - size * 0.36, words, size)
        drawing.ops.append("0 g 0 G")
        drawing.height = _TAG_HIGH
        return drawing

    return desk.document.standing(("tag", attention), make)


def _identity(desk: Desk, drawing: Drawing, tank: TankReport, taken: float) -> float:
    """Write the place and what the tank is beside its name, or below a long one.

    Return where the next thing may begin.
    """
    x, y = taken + _GAP, 1.0
    free = WIDTH - _TAG_WIDE - _GAP - x
    if free < _LEAST_BESIDE:
        x, y, free = 0.0, -_TAG_HIGH - 1.0, WIDTH
    if tank.tank.place:
        words, size = fitted(desk, tank.tank.place, free, _PLACE, 11)
        drawing.line(x, y - 11.5, words, size)
        y -= _PLACE + 2
    for words in _set_facts(desk, _facts(desk, tank), free):
        about = desk.document.type.cut(words, free, _ABOUT)
        y = drawing.lines(x, y, [about], _ABOUT, _ABOUT_LEAD)
    more = list(_more(desk, tank))
    if len(more) == 1 and y > -_TAG_HIGH + 8:
        words = more[0]
        if desk.document.type.width(words) * _ABOUT <= free:
            y = drawing.lines(x, y, more, _ABOUT, _ABOUT_LEAD)
            more = []
    y = min(y, -_TAG_HIGH)
    for words in more:
        lines = desk.limited(words, WIDTH, _ABOUT, 3)
        y = drawing.lines(0, y - 1, lines, _ABOUT, _ABOUT_LEAD)
    return y


def _facts(desk: Desk, tank: TankReport) -> list[str]:
    of, display = tank.tank, desk.display
    facts = [of.name if of.name != of.id else ""]
    if of.volume_l is not None:
        facts.append(display.litres(of.volume_l))
    facts += [desk.label(of.livestock, "livestock"), of.group]
    if of.keeper:
        facts.append(f"{desk.label('keeper')} {of.keeper}")
    return [fact for fact in facts if fact]


def _set_facts(desk: Desk, facts: list[str], room: float) -> list[Line]:
    """Return short facts as lines that part none of them."""
    lines: list[Line] = []
    for fact in facts:
        words = desk.raw(fact)
        longer = lines[-1] + desk.raw("·") + words if lines else words
        if lines and desk.document.type.width(longer) * _ABOUT <= room:
            lines[-1] = longer
        else:
            lines.append(words)
    return lines


def _more(desk: Desk, tank: TankReport) -> Iterator[Line]:
    """Yield the displays that share the tank's water, and its notes."""
    if tank.tank.displays:
        words = desk.raw(desk.label("shared"), bold=True)
        yield words + desk.raw(", ".join(tank.tank.displays))
    if tank.tank.notes:
        yield desk.raw(tank.tank.notes)


def _stage(desk: Desk, drawing: Drawing, tank: TankReport, top: float) -> float:
    """Write the stage with its sureness, the ages, and how it is since last time."""
    stage, size = tank.findings.stage, max(desk.sizes.body, 9.0)
    parts = []
    if stage.sure < desk.reference.stage("sure-three"):
        parts.append(f"{desk.display.share(stage.sure)} {desk.label('sure')}")
    for days, label in (
        (stage.days_since_filled, "days-filled"),
        (stage.days_since_cycled, "days-cycled"),
    ):
        if days is not None:
            parts.append(f"{desk.display.number(days)} {desk.label(label)}")
    change = desk.changes.get(tank.tank.id)
    if change is not None and desk.report.since is not None:
        day = desk.day(desk.report.since)
        word = desk.label(change.word, "change")
        parts.append(f"{desk.label('since')} {day}: {word}")
    words = desk.raw(desk.label("stage"))
    words += desk.raw(desk.label(stage.name, "stage"), bold=True)
    for part in parts:
        words += desk.raw(f"· {part}")
    lines = desk.wrap(words, WIDTH, size)
    return drawing.lines(0, top, lines, size, size * 1.18)
