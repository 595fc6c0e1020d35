"""What one result can mean: a number and its method -> the ends left open.

The rules, in the kept unit, with the method's lowest amount told from none:

- "trace" is something, from nothing up to the lowest: it registers.
- 0, "none seen", "<x" and an instrument's number under the lowest say "less than
  the lowest": 0 to the lowest, or to x where x is above it. A writer's "<x" with x
  under the lowest cannot make the method sharper than it is.
- A card or drop test's number lies halfway to the neighbouring steps, all alike;
  one under the lowest was guessed between none and the first colour.
- An instrument's number lies around itself by its stated plus-or-minus.
- A number at or above the top, and ">x", is open above.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import Literal, NamedTuple

from fleet.records import Method
from fleet.science.resolution import (
    card_interval,
    meter_interval,
    uncertainty_from_limits,
)

Form = Literal["value", "below", "above", "range", "about", "none seen"]


class Meaning(NamedTuple):
    """The part of a Measurement that follows from the number and the method."""

    value: float | None
    low: float
    high: float
    spread: float
    shape: Literal["normal", "even"]
    registers: bool | None


NOTHING_SAID = Meaning(None, 0.0, math.inf, 0.0, "even", None)


def meaning(
    form: Form,
    number: float,
    upper: float | None,
    method: Method,
    widening: float,
    bottom: float = 0.0,
) -> Meaning:
    """Return what a result can mean.

    Parameters
    ----------
    form, number, upper
        As in ``Result``, in the kept unit.
    method
        With its numbers in the kept unit.
    widening
        How much wider a value written as "about" is than a plain one.
    bottom
        Lowest value there can be: 0 for a concentration, ``-inf`` for temperature.
    """
    lowest = method.lowest or 0.0
    if form == "none seen":
        return _less_than(lowest, bottom)
    if form == "below":
        return _less_than(max(number, lowest), bottom)
    if form == "above":
        return Meaning(None, number, math.inf, 0.0, "even", number >= lowest or None)
    if form == "range" and upper is not None:
        return _between(min(number, upper), max(number, upper), method, bottom)
    if method.kind in ("card", "drops"):
        return _step(number, method, widening if form == "about" else 1.0)
    return _shown(number, method, widening if form == "about" else 1.0, bottom)


def seen_as_trace(written: str, traces: Collection[str]) -> bool:
    """Say whether "none seen" was a little that the test cannot put a number to.

    ``traces`` are what a little is called: parameters.toml [vocabulary] trace.
    """
    words = written.casefold().replace(".", " ").split()
    return bool(words) and words[0] in traces


def half_width(number: float, method: Method) -> float:
    """Return the plus-or-minus of a method at a value that registers."""
    accuracy = method.accuracy or 0.0
    share = (method.accuracy_share or 0.0) * abs(number)
    if method.kind in ("card", "drops"):
        return max((method.step or 0.0) / 2, accuracy, share)
    return max(accuracy + share, (method.step or 0.0) / 2)


def _less_than(limit: float, bottom: float) -> Meaning:
    return Meaning(None, min(bottom, limit), limit, 0.0, "even", False)


def _step(number: float, method: Method, widening: float) -> Meaning:
    lowest = method.lowest or 0.0
    if number <= 0 < lowest or number < 0:
        return _less_than(lowest, 0.0)
    half = widening * half_width(number, method)
    if number < lowest:
        # A tint between none and the first colour: neither none nor surely some.
        return Meaning(number, 0.0, max(lowest, number + half), 0.0, "even", None)
    top = math.inf if method.highest is None else method.highest
    low, high = card_interval(number, lowest, 2 * half, top)
    low = min(max(low, lowest / 2), top)
    value = None if math.isinf(high) else number
    return Meaning(value, low, high, 0.0, "even", True)


def _shown(number: float, method: Method, widening: float, bottom: float) -> Meaning:
    lowest = max(method.lowest or 0.0, 0.0) if bottom >= 0 else -math.inf
    if number < lowest:
        return _less_than(lowest, bottom)
    half = widening * half_width(number, method)
    if method.highest is not None and number >= method.highest:
        low = max(method.highest - half, bottom, 0.0)
        return Meaning(None, low, math.inf, 0.0, "even", True)
    if bottom < 0:
        low, high = number - half, number + half
    else:
        low, high = meter_interval(number, lowest, half)
    return Meaning(number, low, high, uncertainty_from_limits(half), "normal", True)


def _between(low: float, high: float, method: Method, bottom: float) -> Meaning:
    """Return a written range, no narrower than its method's own plus-or-minus."""
    lowest = method.lowest or 0.0
    low, high = max(low, bottom), max(high, bottom)
    if high < lowest:
        return _less_than(lowest, bottom)
    middle = (low + high) / 2
    half = max((high - low) / 2, half_width(middle, method))
    if low < lowest:
        return Meaning(middle, bottom, middle + half, 0.0, "even", None)
    return Meaning(middle, max(middle - half, bottom), middle + half, 0.0, "even", True)
