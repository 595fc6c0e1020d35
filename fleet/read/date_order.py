"""What a header says of the order of day and month, and signs that it was swapped."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from fleet.spelling import fold, tidy

NUMBERS = re.compile(r"(\d{1,2})\s?([-/.])\s?(\d{1,2})\s?\2\s?'?(\d{4}|\d{2})$")
ENOUGH = 3  # dates of both kinds that may show a swap
_HINT = re.compile(r"[(\[]([^)\]]*)[)\]]")


def hint_of(header: str) -> str:
    """Return the order a header names, as in ``Date (DD/MM/YYYY)``, or ""."""
    for inside in _HINT.findall(header):
        for pattern, order in (
            (r"[dt]+m+[yja]*|daymonth(year)?|dayfirst", "day first"),
            (r"m+[dt]+[yja]*|monthday(year)?|monthfirst", "month first"),
            (r"[yja]+m+[dt]+", "year first"),
        ):
            if re.fullmatch(pattern, fold(inside)):
                return order
    return ""


def swapped_suspects(cells: Iterable[object]) -> tuple[int, str]:
    """Count texts whose day is over 12 beside date cells that never have one.

    A program set to month-first turns ``03/04/2026`` into a date cell (4 March) and
    leaves ``25/04/2026`` as text: the two kinds then disagree silently.
    """
    texts, days = [], []
    for cell in cells:
        if isinstance(cell, date):
            days.append(cell.day)
        elif isinstance(cell, str):
            found = NUMBERS.match(tidy(cell))
            if found:
                texts.append((cell, int(found[1]), int(found[3])))
    over = [text for text, first, second in texts if max(first, second) > 12]
    enough = bool(days and over) and len(days) + len(over) >= ENOUGH
    if enough and len(over) == len(texts) and max(days) <= 12:
        return len(over), over[0]
    return 0, ""
