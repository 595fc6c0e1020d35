"""What the next reading is likely to be, so that a surprise is noticed at the tank."""

from __future__ import annotations

import math
from datetime import date

from fleet.records import Action, Finding

# How far a second reading by the same method may stray from the first, in widths of
# what one reading can mean. House choice; no published value found.
STRAY = 1.0


def likely(
    finding: Finding, actions: tuple[Action, ...], on: date
) -> tuple[float, float] | None:
    """Return the lowest and highest value that would be no surprise on that day.

    From what the last reading can mean, the tank's own trend, and none or all of
    the change that the asked-for work brings; then what the method itself may
    stray. None where nothing believed and recent is known. Kept unit.
    """
    latest = finding.latest
    if latest is None or finding.stale or math.isinf(latest.high):
        return None
    low, high = latest.low, latest.high
    stray = STRAY * (high - low) if latest.registers is not False else 0.0
    weeks = max((on - latest.taken_on).days, 0) / 7
    if finding.trend is not None:
        low += min(finding.trend.low * weeks, 0.0)
        high += max(finding.trend.high * weeks, 0.0)
    for action in actions:
        if action.when > on:
            continue
        for parameter, rise in action.expected:
            if parameter == finding.parameter:
                low += min(rise, 0.0)
                high += max(rise, 0.0)
    return max(low - stray, 0.0), high + stray
