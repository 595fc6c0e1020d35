"""What a tank has read of late: its own level, and whether a value fits it."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from statistics import median
from typing import NamedTuple

from fleet.intervals import Meaning, half_width
from fleet.normalise.slips import Slip
from fleet.records import Measurement, Method, Result, Sentence


class Understood(NamedTuple):
    """A written number by one method: what it can mean, at whichever visit."""

    meaning: Meaning
    number: float | None  # kept unit; None where no water has such a value
    fault: bool  # further below zero than the method errs
    stands_out: bool  # asks for a second look, whatever the tank has read
    total: bool  # of a total: an upper limit only
    method: Method
    note: Sentence | None  # what had to be assumed to read it


class Entry(NamedTuple):
    """One result on its way: as written, as understood, and as a measurement."""

    result: Result
    known: Understood
    measured: Measurement
    seconded: bool = False  # another result of that day agrees

    @property
    def number(self) -> float | None:
        """The number as written, in the kept unit; None where there is no such."""
        return self.known.number


class Series(NamedTuple):
    """One parameter's results on their way, oldest first, each in three lists.

    An ``Entry`` is made only of the few results that are looked at closely.
    """

    results: list[Result]
    known: list[Understood]
    measured: list[Measurement]
    seconded: Set[int] = frozenset()  # places another result of that day agrees with

    @classmethod
    def of(cls, entries: Sequence[Entry]) -> Series:
        """Return entries as a series."""
        return cls(
            [entry.result for entry in entries],
            [entry.known for entry in entries],
            [entry.measured for entry in entries],
            {place for place, entry in enumerate(entries) if entry.seconded},
        )

    def entry(self, place: int) -> Entry:
        """Return one result."""
        return Entry(
            self.results[place],
            self.known[place],
            self.measured[place],
            place in self.seconded,
        )

    def entries(self) -> list[Entry]:
        """Return all results."""
        return [self.entry(place) for place in range(len(self.results))]


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
    low, high = measured.low, measured.high
    return all(low > m.high for m in recent) or all(high < m.low for m in recent)


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
