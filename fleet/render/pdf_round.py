"""The round on paper: all tanks worst first, the walking order, what to bring."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from fleet.problems import left_out
from fleet.records import (
    ATTENTION_ORDER,
    Action,
    Report,
    Tank,
    TankReport,
    say,
)
from fleet.reference import Reference
from fleet.render import marks
from fleet.render.letterhead import put_letterhead
from fleet.render.pdf_page import BOX, WIDTH, Document, Drawing, pages_of
from fleet.render.round_needs import section, walking_order, water
from fleet.render.round_stocks import weigh
from fleet.render.sheet_base import (
    FINE,
    NOT_TICKED,
    ROOMY,
    SMALL_BOX,
    TEXT_X,
    Desk,
    fitted,
)
from fleet.render.summary import next_test
from fleet.render.wording import Wording

_TANK_X, _SAY_X, _LAST_X = 86.0, 196.0, 448.0


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write the round sheet of ``report``."""
    document = Document(
        path,
        report.settings.paper,
        f"{wording.label('title', 'round')} {wording.display.day(report.as_of)}",
        report.as_of,
        report.made_by,
        wording.language,
    )
    put_letterhead(document, report)
    desk = Desk(document, report, wording, reference, ROOMY)
    pages = pages_of(
        _head(desk), _parts(desk), lambda: _head_again(desk), document.room
    )
    for number, page in enumerate(pages, start=1):
        y = document.top
        for drawing in page:
            document.place(drawing, y)
            y -= drawing.height
        of = f"{desk.label('page')} {number} {desk.label('of')} {len(pages)}"
        document.end_page(desk.foot(), document.type.raw(of))
    document.save()


def _parts(desk: Desk) -> Iterator[Drawing]:
    yield from _summary(desk)
    yield from _walk(desk)
    yield from weigh(desk)
    yield from water(desk)
    yield from _untested(desk)
    yield from _problems(desk)


def _head(desk: Desk) -> Drawing:
    """Return the title, and how many tanks want what."""
    drawing = desk.document.drawing()
    report = desk.report
    words = desk.raw(desk.label("title", "round"), bold=True)
    drawing.line(0, -24, words, 26)
    day = desk.raw(desk.display.day(report.as_of), bold=True)
    drawing.right(WIDTH, -22, day, 15)
    x, y = 0.0, -50.0
    for attention in ATTENTION_ORDER:
        count = sum(entry.plan.attention == attention for entry in report.tanks)
        marks.draw(drawing, attention, x, y - 4, 18)
        text = f"{count} {desk.label(attention, 'attention')}"
        drawing.text(x + 24, y, text, 13, bold=count > 0)
        x += WIDTH / 4
    drawing.text(0, y - 20, desk.label("sheets", "round"), desk.sizes.body)
    drawing.height = 74
    return drawing


def _head_again(desk: Desk) -> Drawing:
    drawing = desk.document.drawing()
    title = f"{desk.label('title', 'round')} ({desk.label('continued')})"
    drawing.text(0, -12, title, 13, bold=True)
    drawing.text_right(WIDTH, -12, desk.display.day(desk.report.as_of), 11)
    drawing.height = 22
    return drawing


def _summary(desk: Desk) -> Iterator[Drawing]:
    """Yield one row a tank: how urgent, which tank, what is the matter."""
    yield section(desk, "all-tanks", "test-by")
    changes = {change.tank: change.word for change in desk.report.changes}
    for entry in desk.report.tanks:
        drawing = desk.document.drawing()
        attention = entry.plan.attention
        marks.draw(drawing, attention, 0, -15, 13)
        word = desk.label(attention, "attention").upper()
        drawing.text(18, -12.5, word, 10, bold=True)
        _tank_name(desk, drawing, entry.tank)
        words = desk.said(entry.plan.headline)
        lines = desk.wrap(words, _LAST_X - _SAY_X - 8, 10.5)
        end = drawing.lines(_SAY_X, -2, lines, 10.5, 12.6)
        following = next_test(entry, desk.next_round)
        if following:
            drawing.text_right(WIDTH, -12, desk.day(following), 10.5)
        if entry.tank.id in changes:
            word = desk.label(changes[entry.tank.id], "change")
            drawing.text(18, -23.5, word, FINE)
        drawing.height = max(-end, 27) + 4
        drawing.rule(0, -drawing.height, WIDTH, -drawing.height, 0.3)
        yield drawing


def _tank_name(desk: Desk, drawing: Drawing, tank: Tank) -> None:
    """Write the tank's id with its place under it."""
    words, size = fitted(desk, tank.id, _SAY_X - _TANK_X - 6, 12, 8)
    drawing.line(_TANK_X, -12.5, words, size)
    words = desk.document.type.cut(
        desk.raw(tank.place or tank.name), _SAY_X - _TANK_X - 6, FINE
    )
    drawing.line(_TANK_X, -23.5, words, FINE)


def _walk(desk: Desk) -> Iterator[Drawing]:
    """Yield each tank in walking order, what is due there, and each test asked for."""
    yield section(desk, "walk")
    for entry in walking_order(desk.report.tanks):
        due = [
            action
            for action in entry.plan.actions
            if action.when <= desk.next_round or action.kind == "retest"
        ]
        drawings = [_met(desk, entry), *(_due(desk, action) for action in due)]
        if not due:
            drawing = desk.document.drawing()
            text = desk.label("nothing-due", "round")
            drawing.text(TEXT_X, -desk.sizes.body, text, desk.sizes.body)
            drawing.height = desk.sizes.body_lead + 2
            drawings.append(drawing)
        last = drawings[-1]
        last.rule(0, -last.height, WIDTH, -last.height, 0.3)
        yield from drawings


def _met(desk: Desk, entry: TankReport) -> Drawing:
    """Return the line of one tank, never parted from what is due there first."""
    drawing = desk.document.drawing(joined=True)
    drawing.tick_box(0, -3)
    marks.draw(drawing, entry.plan.attention, 24, -17, 13)
    name, size = fitted(desk, entry.tank.id, 190, 13, 9)
    drawing.line(44, -15, name, size)
    after = 44 + desk.document.type.width(name) * size + 10
    place = desk.raw(entry.tank.place or entry.tank.name)
    place = desk.document.type.cut(place, WIDTH - after, desk.sizes.body)
    drawing.line(after, -15, place, desk.sizes.body)
    drawing.height = BOX + 5
    return drawing


def _due(desk: Desk, action: Action) -> Drawing:
    drawing = desk.document.drawing()
    size, lead = desk.sizes.body, desk.sizes.body_lead
    words = desk.said(action.what)
    day = desk.day(action.when)
    if action.when != desk.report.as_of and day not in desk.wording.plain(action.what):
        words = desk.raw(f"{day}:", bold=True) + words
    if action.kind in NOT_TICKED:
        for x in (TEXT_X + 1, TEXT_X + 6):
            drawing.fill(x, -SMALL_BOX, 2.5, SMALL_BOX - 2, 0)
    else:
        drawing.tick_box(TEXT_X - 1, -1.5, SMALL_BOX)
    lines = desk.wrap(words, WIDTH - TEXT_X - SMALL_BOX - 4, size)
    end = drawing.lines(TEXT_X + SMALL_BOX + 4, 0, lines, size, lead)
    drawing.height = 3 - end
    return drawing


def _untested(desk: Desk) -> Iterator[Drawing]:
    """Yield the tanks that nobody has tested for longer than a round allows."""
    report = desk.report
    old = desk.reference.old_after(report.settings.round_days)
    oldest = report.as_of - timedelta(days=int(old))
    texts = []
    for entry in report.tanks:
        tested = entry.findings.last_tested
        if tested is None:
            texts.append(f"{entry.tank.id} ({desk.label('never', 'round')})")
        elif tested < oldest:
            day = desk.display.day(tested)
            texts.append(f"{entry.tank.id} ({desk.label('last', 'round')} {day})")
    if texts:
        yield section(desk, "untested")
        yield from desk.paragraph(desk.raw(", ".join(texts)))


def _problems(desk: Desk) -> Iterator[Drawing]:
    """Yield the files not read, and how many cells were left out or read as else."""
    effects = [problem.effect for problem in desk.report.problems]
    lost = left_out(desk.report.problems)
    read_as = effects.count("read as")
    unread = [source.failed for source in desk.report.sources if source.failed]
    if lost or read_as or unread:
        yield section(desk, "problems")
    for why in unread:
        yield from desk.paragraph(desk.raw(why, bold=True))
    if lost or read_as:
        count = say("sheet.problem_count", left_out=lost, read_as=read_as)
        yield from desk.paragraph(desk.said(count))
