"""What the next reading is likely to be, so that a surprise is noticed at the tank."""

from __future__ import annotations

import math
from datetime import date

from fleet.records import Action, Finding


def likely(
    finding: Finding, actions: tuple[Action, ...], on: date
) -> tuple[float, float] | None:
    """Return the lowest and highest value that would be no surprise on that day.

    From what the last reading can mean, the tank's own trend, and none or all of
    the change that the asked-for work brings. The next reading errs as the last one
    did, so the two errors add in quadrature (JCGM 100:2008, 5.1.2). None where
    nothing believed and recent is known. Kept unit.
    """
    latest = finding.latest
    if latest is None or finding.stale or math.isinf(latest.high):
        return None
    low, high = latest.low, latest.high
    seen = latest.registers is not False
    stray = (math.sqrt(2) - 1) * (high - low) / 2 if seen else 0.0
    weeks = max((on - latest.taken_on).days, 0) / 7
    trend = finding.trend
    if trend is not None and math.isfinite(trend.high - trend.low):
        low += min(trend.low * weeks, 0.0)
        high += max(trend.high * weeks, 0.0)
    for action in actions:
        if action.when > on:
            continue
        for parameter, rise in action.expected:
            if parameter == finding.parameter:
                low += min(rise, 0.0)
                high += max(rise, 0.0)
    return max(low - stray, 0.0), high + stray
