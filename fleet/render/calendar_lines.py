"""The lines of a calendar file (RFC 5545): values escaped, long lines folded."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from fleet.render.safe import for_calendar

_LONGEST = 74  # octets of a line without its end; section 3.1 allows 75
_ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})


def text(*lines: str) -> str:
    """Return lines of foreign text as one TEXT value (section 3.3.11)."""
    return "\n".join(map(for_calendar, lines)).translate(_ESCAPES)


def day(on: date) -> str:
    """Return a DATE value (section 3.3.4)."""
    return f"{on:%Y%m%d}"


def component(name: str, properties: Iterable[str]) -> bytes:
    """Return a component with its ``NAME:value`` properties (section 3.6)."""
    lines = (f"BEGIN:{name}", *map(folded, properties), f"END:{name}")
    return "".join([f"{line}\r\n" for line in lines]).encode()


def folded(line: str) -> str:
    """Return a line cut into lines of at most 75 octets (section 3.1).

    Never inside a character, and never between the two signs of an escape, which some
    readers do not put together again.
    """
    if len(line) <= _LONGEST and line.isascii():
        return line
    data = line.encode()
    pieces, start = [], 0
    while len(data) - start > _LONGEST:
        end = start + _LONGEST
        while data[end] & 0xC0 == 0x80:  # a further octet of one character
            end -= 1
        signs = data[start:end]
        if (len(signs) - len(signs.rstrip(b"\\"))) % 2:
            end -= 1
        pieces.append(data[start:end].decode())
        start = end
    pieces.append(data[start:].decode())
    return "\r\n ".join(pieces)
