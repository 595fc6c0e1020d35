"""What a tank has read of late: its own level, and whether a value fits it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median
from typing import NamedTuple

from fleet.intervals import half_width
from fleet.normalise.slips import Slip
from fleet.records import Measurement, Result


class Entry(NamedTuple):
    """One result on its way: as written, in the kept unit, and as a measurement."""

    result: Result
    number: float | None  # kept unit; None where no water has such a value
    measured: Measurement
    stands_out: bool  # asks for a second look, whatever the tank has read
    seconded: bool = False  # another result of that day agrees


def best(measured: Measurement) -> float:
    """Return the one number that stands for a result."""
    if measured.value is not None:
        return measured.value
    if math.isinf(measured.high):
        return measured.low
    return (measured.low + measured.high) / 2


def usual_step(recent: Sequence[Measurement]) -> float:
    """Return the median change from visit to visit: one wild value moves it little."""
    if len(recent) < 2:
        return 0.0
    levels = [best(m) for m in recent]
    return median(abs(b - a) for a, b in zip(levels, levels[1:], strict=False))


def fits(value: float, entry: Entry, recent: Sequence[Measurement]) -> bool:
    """Say whether a value would lie within what the tank has read of late."""
    half = half_width(value, entry.measured.method)
    lowest, highest = min(m.low for m in recent), max(m.high for m in recent)
    return value + half >= lowest and value - half <= highest


def outside_all(measured: Measurement, recent: Sequence[Measurement]) -> bool:
    """Say whether a result shares nothing with what the tank has read of late."""
    above = measured.low > max(m.high for m in recent)
    return above or measured.high < min(m.low for m in recent)


def nearest(slips: Sequence[Slip], recent: Sequence[Measurement]) -> Slip:
    """Return the slip nearest the tank's own level; the likeliest without one."""
    if not recent:
        return slips[0]
    middle = median(best(m) for m in recent)
    return min(slips, key=lambda slip: abs(slip.value - middle))


def inside(value: float, ends: tuple[float, float]) -> bool:
    """Say whether a value lies from one end to the other."""
    return ends[0] <= value <= ends[1]


def middle_half(ends: tuple[float, float]) -> tuple[float, float]:
    """Return the ends without their outer quarters."""
    quarter = (ends[1] - ends[0]) / 4
    return ends[0] + quarter, ends[1] - quarter
