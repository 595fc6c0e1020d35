"""Clock times: for putting two readings of one day in order."""

from __future__ import annotations

import re
from datetime import datetime, time

from fleet.spelling import tidy

CLOCK = re.compile(
    r"(?:^|[t ,])\s*(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*"
    r"(?:([ap])\.?\s?m\.?)?\s*(?:z|utc|gmt|[+-]\d{2}:?\d{2})?$"
)


def seconds_of(clock: re.Match[str]) -> int:
    """Return the seconds of a clock time, or -1 if no clock shows it."""
    hour, minute, second = int(clock[1]), int(clock[2]), int(clock[3] or 0)
    if clock[4]:
        if not 1 <= hour <= 12:
            return -1
        hour = hour % 12 + (12 if clock[4] == "p" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return -1
    return hour * 3600 + minute * 60 + second


def clock_seconds(cell: object) -> int:
    """Return the seconds of a day that a cell of a time column holds, else 0."""
    if isinstance(cell, time | datetime):
        return cell.hour * 3600 + cell.minute * 60 + cell.second
    if isinstance(cell, float) and 0 <= cell < 1:
        return round(cell * 86400)
    if isinstance(cell, str):
        found = CLOCK.search(tidy(cell))
        return max(seconds_of(found), 0) if found else 0
    return 0
