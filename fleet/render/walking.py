"""The order in which the tanks of a round are met."""

from __future__ import annotations

import re

from fleet.records import Tank

_DIGITS = re.compile(r"([0-9]+)")

Natural = tuple[tuple[int, int, str], ...]


def walking(tank: Tank) -> tuple[float, bool, Natural, Natural]:
    """Return what to sort by: round order, then place, then tank; blanks come last."""
    order = float("inf") if tank.round_order is None else tank.round_order
    place = tank.place.casefold().strip()
    return order, not place, natural(place), natural(tank.key)


def natural(text: str) -> Natural:
    """Return what to sort text by as people count: T4 before T10."""
    parts = (part for part in _DIGITS.split(text) if part)
    return tuple(
        (0, int(part), "") if part[0] in "0123456789" else (1, 0, part)
        for part in parts
    )
