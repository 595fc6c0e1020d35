"""The middle of a few values, and how far it may lie from the middle of all."""

import math
from collections.abc import Sequence
from typing import NamedTuple

_CHANCE = 0.05  # left outside at each end


class Middle(NamedTuple):
    """A median with its 90 % limits."""

    value: float
    low: float
    high: float


def median_range(values: Sequence[float]) -> Middle:
    """Return the median and limits that hold whatever the shape of the spread.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Independent values, one a tank. [any unit]

    Returns
    -------
    Middle
        The limits are two of the values. With fewer than five the outermost are
        given, though they hold the median in less than 90 of 100 samples.

    Raises
    ------
    ValueError
        Without values.

    References
    ----------
    David & Nagaraja, Order Statistics, 3rd ed. (2003), 7.1: the r-th value from
    each end, r the largest for which fewer than r of n fair coins fall heads up with
    a chance of 5 % or less.
    """
    if not values:
        raise ValueError("no values, no middle")
    ordered = sorted(values)
    count = len(ordered)
    half = count // 2
    value = ordered[half] if count % 2 else (ordered[half - 1] + ordered[half]) / 2
    place = 0
    below = 0.0
    for heads in range(half):
        below += math.comb(count, heads) / 2**count
        if below > _CHANCE:
            break
        place = heads
    return Middle(value, ordered[place], ordered[count - 1 - place])
