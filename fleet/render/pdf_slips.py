"""Slips to cut off and take along: boxes for the next round's readings, per tank."""

from __future__ import annotations

import math
from pathlib import Path

from fleet.records import Report, TankReport
from fleet.reference import Reference
from fleet.render.letterhead import put_letterhead
from fleet.render.pdf_page import WIDTH, Document, Drawing, height_of, pages_of
from fleet.render.reading_box import columns
from fleet.render.round_needs import walking_order
from fleet.render.sheet_base import ROOMY, Desk, fitted
from fleet.render.wording import Wording

_NAME, _SMALL = 11.0, 8.5
_TICK, _LOOKS_A_ROW, _LOOK_PITCH = 8.0, 7, 13.0
_END = 34.0  # height of a slip's foot: one line of notes, and where it is cut
_NOTE_PITCH, _MOST_NOTES = 20.0, 3
_EARLY = ("ammonia", "nitrite")


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write the slips of all tanks in walking order, several a page."""
    title = f"{wording.label('title', 'slip')} {wording.display.day(report.as_of)}"
    document = Document(
        path, report.settings.paper, title, report.as_of, report.made_by,
        wording.language,
    )  # fmt: skip
    put_letterhead(document, report)
    desk = Desk(document, report, wording, reference, ROOMY)
    slips = (_slip(desk, tank) for tank in walking_order(report.tanks))
    pages = pages_of(document.drawing(), slips, document.drawing, document.room)
    for number, page in enumerate(pages, start=1):
        y = document.top
        cut = [slip for slip in page if slip.height]
        free = (document.room - height_of(cut)) / max(len(cut), 1)
        lines = min(int(free / _NOTE_PITCH), _MOST_NOTES)
        for slip in cut:
            document.place(slip, y)
            y -= slip.height - _END
            end = _end(desk, lines)
            document.place(end, y)
            y -= end.height
        of = f"{desk.label('page')} {number} {desk.label('of')} {len(pages)}"
        document.end_page(desk.foot(), document.type.raw(of))
    document.save()


def due(tank: TankReport, reference: Reference) -> list[str]:
    """Return what is to be tested at a tank next round, in the table's order.

    What was asked to be retested, the nutrients always, and whatever else is being
    tested there; ammonia and nitrite only while they matter.
    """
    asked = {parameter for parameter, _ in tank.plan.retests}
    early = tank.findings.stage.name in ("cycling", "just cycled")

    def wanted(parameter: str) -> bool:
        if parameter in asked or reference.parameters[parameter].nutrient:
            return True
        finding = tank.findings.of(parameter)
        if finding is None or finding.latest is None:
            return False
        return early if parameter in _EARLY else not finding.stale

    return [parameter for parameter in reference.parameters if wanted(parameter)]


def _slip(desk: Desk, tank: TankReport) -> Drawing:
    drawing = desk.document.drawing()
    drawing.mark = tank.tank.id
    words, size = fitted(desk, tank.tank.id, 150, 20, 10)
    drawing.line(0, -18, words, size)
    after = desk.document.type.width(words) * size + 8
    place = desk.document.type.cut(
        desk.raw(tank.tank.place or tank.tank.name), 262 - after, _NAME
    )
    drawing.line(after, -18, place, _NAME)
    _blank(desk, drawing, "on", 270, 382, -18)
    _blank(desk, drawing, "by", 390, WIDTH, -18)
    # A day is written where it is not that of the round.
    own = {name: day for name, day in tank.plan.retests if day != desk.next_round}
    wanted = [(name, own.get(name)) for name in due(tank, desk.reference)]
    y = columns(desk, drawing, tank, wanted, -27)
    drawing.height = _END - y + _looks(desk, drawing, y)
    return drawing


def _end(desk: Desk, lines: int) -> Drawing:
    """Return the foot of a slip: notes, with more lines where the page has room."""
    drawing = desk.document.drawing()
    y = -14.0
    _blank(desk, drawing, "notes", 0, WIDTH - 190, y)
    drawing.text_right(WIDTH, y, desk.label("surprise", "slip"), _SMALL)
    for _ in range(lines):
        y -= _NOTE_PITCH
        drawing.rule(0, y - 2, WIDTH, y - 2, 0.4)
    drawing.rule(0, y - 12, WIDTH, y - 12, 0.5, dash="4 3")
    drawing.height = _END + lines * _NOTE_PITCH
    return drawing


def _blank(
    desk: Desk, drawing: Drawing, label: str, x: float, end: float, y: float
) -> None:
    """Write a label and a line to write on after it."""
    text = desk.label(label, "slip")
    drawing.text(x, y, text, _NAME)
    start = x + desk.document.type.label_width(text) * _NAME + 4
    drawing.rule(start, y - 2, end, y - 2, 0.7)


def _looks(desk: Desk, drawing: Drawing, top: float) -> float:
    """Show a box for each word that the Look column knows; return the height taken.

    A long word takes the room of several columns.
    """

    def make() -> Drawing:
        kept, size = desk.document.drawing(), _SMALL + 0.5
        kept.text(0, -10, desk.label("look", "slip"), _NAME, bold=True)
        column, place, row = WIDTH / _LOOKS_A_ROW, 1, 0
        for word in desk.reference.vocabulary["look"]:
            label = desk.label(word, "look")
            room = _TICK + 3 + desk.document.type.label_width(label) * size
            columns = min(math.ceil(room / column), _LOOKS_A_ROW)
            if place + columns > _LOOKS_A_ROW:
                place, row = 0, row + 1
            x, y = place * column, -_LOOK_PITCH * row
            kept.tick_box(x, y - 2, _TICK)
            kept.text(x + _TICK + 3, y - 9.5, label, size)
            place += columns
        kept.height = _LOOK_PITCH * (row + 1)
        return kept

    looks = desk.document.standing("looks", make)
    drawing.inside(looks, top)
    return looks.height
