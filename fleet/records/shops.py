"""What a chain is told of each of its workbooks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Shop:
    """One of many workbooks, and what came of its report."""

    name: str
    folder: str  # of its report, seen from that of all reports
    failed: str = ""  # the one line that says why there is none
    tanks: int = 0
    attention: tuple[int, ...] = ()  # tanks, in ATTENTION_ORDER
    left_out: int = 0  # rows and values
    newest: date | None = None  # day of the newest test
    has_page: bool = False
    notes: tuple[str, ...] = ()
    rows: bytes = b""  # all assessments, packed; see render/assessments.py
