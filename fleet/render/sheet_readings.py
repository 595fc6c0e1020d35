"""The readings on an action sheet: as written, what they can mean, and the verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from fleet.records import Band, Finding, Measurement, TankReport, say
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import FINE, Desk, fitted
from fleet.render.summary import CHARTED, WORKED_OUT, as_written, moved, usual

# Left edges: name, as read, can mean, usual, strip, verdict, change, and the end.
_WIDE = (0.0, 130.0, 178.0, 252.0, 322.0, 370.0, 428.0, WIDTH)
_NARROW = (0.0, 85.0, 117.0, 174.0, 226.0, 226.0, 278.0, 344.0)
NARROW_WIDTH = _NARROW[-1]
_STRIP = 40.0
_MOST_DOUBTED, _MOST_NAMED = 2, 6  # of one parameter: in the table, in the notes
_CYCLE = ("ammonia", WORKED_OUT, "nitrite")


def rows_of(tank: TankReport) -> list[Finding]:
    """Return what the table lists: all that was read, and the two nutrients."""
    return [
        finding
        for finding in tank.findings.findings
        if finding.latest or finding.doubted or finding.parameter in CHARTED
    ]


def gone(finding: Finding) -> bool:
    """Say whether a row only tells that something of the cycle was none long ago."""
    if finding.parameter not in _CYCLE or finding.doubted or finding.latest is None:
        return False
    unseen = finding.latest.registers is False or finding.latest.low == 0
    return unseen and (finding.stale or finding.verdict == "not judged")


class TableRow(NamedTuple):
    """A row of the table: a result, or None where that of the finding is missing."""

    finding: Finding
    measured: Measurement | None


def table_rows(found: list[Finding]) -> list[TableRow]:
    """Return the rows of the table: what counts of each finding, and its doubts."""
    return [
        TableRow(finding, measured)
        for finding in found
        if not gone(finding)
        for measured in _results(finding)
    ]


def _results(finding: Finding) -> list[Measurement | None]:
    doubted = finding.against[-_MOST_DOUBTED:]
    if finding.latest is None and doubted:
        return list(doubted)
    return [finding.latest, *doubted]


def table_end(desk: Desk, rows: list[TableRow]) -> float:
    """Return where the next thing may begin below a table of ``rows``."""
    return -min(desk.sizes.table, FINE) - 6 - desk.sizes.row * len(rows)


def table(
    desk: Desk, drawing: Drawing, rows: list[TableRow], tested: date | None
) -> None:
    """Draw the readings from the top."""
    pitch, small = desk.sizes.row, min(desk.sizes.table, FINE)
    if not desk.sizes.wide and tested:
        day = f"{desk.label('tested')} {desk.day(tested)}"
        words, size = fitted(desk, day, _NARROW[1] - 3, small, 6)
        drawing.line(0, -small - 1, words, size)
    drawing.ops += _ruled(desk, len(rows)).ops
    y = -small - 4
    for row in rows:
        y -= pitch
        _row(desk, drawing, row, y + 0.26 * pitch, tested)


def _ruled(desk: Desk, rows: int) -> Drawing:
    """Return the heads of the columns, and the lines under so many rows."""

    def make() -> Drawing:
        drawing = desk.document.drawing()
        edges = _WIDE if desk.sizes.wide else _NARROW
        pitch, small = desk.sizes.row, min(desk.sizes.table, FINE)
        where = "where" if desk.sizes.wide else ""
        heads = ("", "read", "can-mean", "usual", where, "verdict", "change-since")
        for label, x in zip(heads, edges[:-1], strict=True):
            if label:
                drawing.text(x, -small - 1, desk.label(label), small)
        y = -small - 4
        drawing.rule(0, y, edges[-1], y, 0.6)
        for _ in range(rows):
            y -= pitch
            drawing.rule(0, y, edges[-1], y, 0.25)
        drawing.height = -y
        return drawing

    return desk.standing(("table", rows), make)


def _row(
    desk: Desk, drawing: Drawing, row: TableRow, y: float, tested: date | None
) -> None:
    finding, measured = row
    parameter, unit = finding.parameter, desk.display.unit(finding.parameter)
    name = desk.label(parameter, "parameter")
    edges = _WIDE
    if not desk.sizes.wide:
        edges, name = _NARROW, name.partition(" (")[0]

    def cell(column: int, text: str, bold: bool = False, over: int = 1) -> None:
        room = edges[column + over] - edges[column] - 3
        size = desk.sizes.table
        if desk.document.type.label_width(text, bold) * size <= room:
            drawing.text(edges[column], y, text, size, bold)
            return
        words, size = fitted(desk, text, room, size, 6, bold)
        drawing.line(edges[column], y, words, size)

    cell(0, f"{name} {unit}", bold=parameter in CHARTED)
    if measured is None:
        cell(1, desk.label("not-tested"), over=2)
        return
    read = as_written(measured, desk.wording)
    cell(1, read, bold=parameter in desk.reference.parameters)
    if measured.doubt is not None:
        cell(2, desk.label("not-believed"), over=5)
        return
    cell(2, desk.display.bare_span((measured.low, measured.high), parameter))
    if finding.band is not None:
        cell(3, usual(finding.band, desk.wording))
        if desk.sizes.wide:
            _strip(drawing, finding.band, measured, edges[4], y)
    out = finding.verdict in ("under", "over")
    cell(5, desk.label(finding.verdict, "verdict"), bold=out)
    if finding.stale:
        cell(6, f"{desk.label('old')} {desk.day(measured.taken_on)}")
    elif measured.taken_on != tested:
        cell(6, desk.day(measured.taken_on))
    else:
        cell(6, moved(finding, desk.wording))


def _strip(
    drawing: Drawing, band: Band, measured: Measurement, x: float, y: float
) -> None:
    """Draw where the reading can lie (black) beside the usual band (grey)."""
    if band.high is None:
        return
    low, high = band.low or 0.0, band.high
    start = _STRIP / 3 if low else 0.0
    end = _STRIP * 2 / 3
    wide = (high - low) or 1.0
    under = min(low, wide) or 1.0  # a nutrient ends at zero, other values do not

    def at(value: float) -> float:
        if math.isinf(value):
            return _STRIP
        if value < low:
            return max(start * (1 - (low - value) / under), 0.0)
        return min(start + (end - start) * (value - low) / wide, _STRIP)

    left, right = at(measured.low), at(measured.high)
    left = min(left, _STRIP - 2)
    drawing.fill(x + start, y - 1.5, end - start, 8.5, 0.82)
    drawing.rule(x, y + 2.8, x + _STRIP, y + 2.8, 0.3)
    drawing.fill(x + left, y + 0.9, max(right - left, 2.0), 3.8, 0)


def notes(desk: Desk, tank: TankReport, rows: list[Finding]) -> Iterator[Line]:
    """Yield why a value is not believed or not judged, and what was none."""
    told = " ".join(map(desk.wording.plain, tank.plan.meaning))
    for finding in rows:
        name = desk.label(finding.parameter, "parameter")
        for words in _why(desk, finding, told):
            yield desk.raw(f"{name}:", bold=True) + words
    none = tuple(
        (finding.parameter, finding.latest.taken_on)
        for finding in rows
        if finding.latest is not None and gone(finding)
        and finding.parameter != WORKED_OUT
    )  # fmt: skip
    if none:
        yield desk.said(say("sheet.none-before", tests=none))


def assumed(desk: Desk, rows: list[Finding]) -> list[Line]:
    """Return what is taken for the method of a test that names none."""
    methods = tuple(
        (finding.parameter, finding.latest.method.class_key)
        for finding in rows
        if finding.parameter in desk.reference.parameters
        and finding.latest is not None
        and finding.latest.method.assumed
    )
    if not methods:
        return []
    key = "sheet.assumed-methods" if desk.sizes.wide else "sheet.assumed"
    return [desk.said(say(key, methods=methods))]


def _row_tells(finding: Finding) -> bool:
    """Say whether the row says all: what is meant, what is usual, and no verdict."""
    return (
        finding.verdict == "cannot tell"
        and finding.parameter not in _CYCLE
        and finding.latest is not None
        and finding.latest.registers is True
        and not finding.doubted
    )


def _why(desk: Desk, finding: Finding, told: str) -> Iterator[Line]:
    """Yield why a value is not believed or not judged, if that is not told yet."""
    plain = desk.wording.plain
    doubted = finding.doubted[-_MOST_NAMED:]
    # That a reading is old stands in its row.
    judged = finding.verdict in ("under", "over") or finding.stale
    if finding.why is not None and not judged:
        brief = finding.parameter not in CHARTED and (
            desk.sizes.terse or _row_tells(finding)
        )
        doubts = [plain(m.doubt.why) for m in doubted if m.doubt]
        if not brief and not any(doubt in told for doubt in doubts):
            told = f"{told} {plain(finding.why)}"
            yield desk.said(finding.why)
    for measured in doubted:
        if measured.doubt is None:
            continue
        why = plain(measured.doubt.why)
        if why not in told:
            named = measured.written in why
            written = () if named else desk.raw(measured.written, bold=True)
            yield written + desk.said(measured.doubt.why)
    more = len(finding.doubted) - len(doubted)
    if more:
        yield desk.said(say("sheet.more-doubted", number=more))
