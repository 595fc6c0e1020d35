"""One tank as one line: what every summary shows, whatever its format."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import NamedTuple

from fleet.records import (
    Action,
    Band,
    Finding,
    Measurement,
    Report,
    Tank,
    TankChange,
    TankReport,
)
from fleet.render.display import Display
from fleet.render.wording import Wording

WORKED_OUT = "free_ammonia"  # from total ammonia, pH, temperature and salinity
# A unit beside a number in a narrow column; its row says of which ion.
_SHORTER = (("ug/", "µg/"), ("PO4-P", "P"), ("NO3-N", "N"), ("NO2-N", "N"))
CHARTED = ("nitrate", "phosphate")  # each sheet has a box for these


class Line(NamedTuple):
    """What is worth knowing of a tank at a glance."""

    entry: TankReport
    headline: str
    first: Action | None
    first_what: str
    next_retest: date | None
    change: TankChange | None

    @property
    def tank(self) -> Tank:
        """The tank itself."""
        return self.entry.tank


def lines(report: Report, wording: Wording) -> list[Line]:
    """Return a line for each tank of ``report``, in its order: worst first."""
    changes = {change.tank: change for change in report.changes}
    following = next_round(report)

    def line(entry: TankReport) -> Line:
        first = first_action(entry)
        return Line(
            entry=entry,
            headline=wording.plain(entry.plan.headline),
            first=first,
            first_what=wording.plain(first.what) if first else "",
            next_retest=next_test(entry, following),
            change=changes.get(entry.tank.id),
        )

    return [line(entry) for entry in report.tanks]


def next_round(report: Report) -> date:
    """Return the day everything is tested again."""
    return report.as_of + timedelta(days=report.settings.round_days)


def first_action(entry: TankReport) -> Action | None:
    """Return what to do first: the first step of the tank's action sheet."""
    actions = sorted(entry.plan.actions, key=lambda action: action.priority)
    steps = (action for action in actions if action.kind != "log")
    return next(steps, actions[0] if actions else None)


def boxed(entry: TankReport, following: date) -> dict[str, date]:
    """Return what has a box on the tank's sheet, with the day to test it.

    What is only due with the next round, on ``following``, has its box on the
    reading slip; nitrate and phosphate have one on both.
    """
    return {
        parameter: day
        for parameter, day in entry.plan.retests
        if day < following or parameter in CHARTED
    }


def next_test(entry: TankReport, following: date) -> date | None:
    """Return the one day that every output gives as the next test of a tank."""
    asked = boxed(entry, following) or dict(entry.plan.retests)
    return min(asked.values(), default=None)


def best_value(measured: Measurement) -> float | None:
    """Return the value, or None where the result only says "less (or more) than"."""
    if measured.registers is False or measured.upper_limit_only:
        return None
    return measured.value


def as_read(measured: Measurement, display: Display) -> str:
    """Return a result in the shown unit as a table shows it: ``0.05``, ``<2``."""
    name = measured.parameter
    value = best_value(measured)
    if value is not None:
        return display.bare(value, name)
    if math.isinf(measured.high):
        return f">{display.bare(measured.low, name)}"
    return f"<{display.bare(measured.high, name)}"


def as_written(measured: Measurement, wording: Wording) -> str:
    """Return the writer's own characters; what is worked out was never written.

    A number in another unit than its row or column is headed with has that beside it.
    """
    if measured.parameter == WORKED_OUT:
        return wording.label("worked-out", "sheet")
    written, own = measured.written, wording.display.unit(measured.parameter)
    if not written[-1:].isdigit() or wording.display.heads(measured):
        return written.removesuffix(own).rstrip() if own else written
    unit = measured.unit
    for long_, short in _SHORTER:
        unit = unit.replace(long_, short)
    return f"{written} {unit}"


def can_mean(measured: Measurement, display: Display) -> str:
    """Return the ends a result leaves open, without the unit."""
    return display.bare_span((measured.low, measured.high), measured.parameter)


def usual(band: Band, wording: Wording) -> str:
    """Return where such a tank usually lies, without the unit."""
    display, name = wording.display, band.parameter
    if band.high is None:
        if band.low is None:
            return ""
        return f"{wording.label('from', 'sheet')} {display.bare(band.low, name)}"
    if not band.low:
        return f"{wording.label('up-to', 'sheet')} {display.bare(band.high, name)}"
    return display.bare_span((band.low, band.high), name)


def moved(finding: Finding, wording: Wording) -> str:
    """Return how a reading moved, if by more than its method may stray."""
    now, before = finding.latest, finding.previous
    if now is None or before is None:
        return ""
    if now.low <= before.high and before.low <= now.high:
        return wording.label("no-change", "sheet")
    way = wording.label("up" if now.low > before.high else "down", "sheet")
    if now.value is None or before.value is None:
        return way
    difference = abs(now.value - before.value)
    return f"{way} {wording.display.bare(difference, finding.parameter, change=True)}"
