"""A result and its method: what the true value may be, and where it may lie.

Two pictures of a result. A colour card or a count of drops names a step: the true
value is anywhere in an interval, each place alike. A meter names a value with a
stated plus-or-minus: the true value is spread around it. Concentrations are never
below zero, and both pictures know it.
"""

import math
from typing import NamedTuple

# A result such as ">50" has no upper end. For a chance, the true value is taken to
# lie anywhere up to this many times the lower end: card steps about double from one
# to the next. Common practice, no source. [1]
OPEN_END = 2.0


class Interval(NamedTuple):
    """Lowest and highest true value a result allows; ``inf`` where it is open."""

    low: float
    high: float


class Chance(NamedTuple):
    """Chance that the true value lies under, within and over a band; sum 1."""

    under: float
    within: float
    over: float


def card_interval(
    value: float, lowest: float, step: float, highest: float = math.inf
) -> Interval:
    """Return what a card or drop test allows: halfway to the neighbouring steps.

    Parameters
    ----------
    value : float
        Step named. [any unit]
    lowest : float
        Smallest amount the test tells from none. [same unit]
    step : float
        Distance between neighbouring steps. [same unit]
    highest : float
        Top step, open above. [same unit]

    Returns
    -------
    Interval
        0 to ``lowest`` for a result below ``lowest``. [same unit]

    References
    ----------
    JCGM 200:2012, 4.14 (resolution); JCGM 100:2008, F.2.2.1 (a reading taken
    to its step lies anywhere within half a step).
    """
    if value < lowest:
        return Interval(0.0, lowest)
    low = max(lowest / 2, value - step / 2)  # below the lowest step stands zero
    return Interval(low, math.inf if value >= highest else value + step / 2)


def meter_interval(
    value: float,
    lowest: float,
    accuracy: float,
    accuracy_share: float = 0.0,
    highest: float = math.inf,
) -> Interval:
    """Return what an instrument with a stated accuracy allows.

    Parameters
    ----------
    value : float
        Reading; a photometer's may be a little below zero. [any unit]
    lowest : float
        Smallest amount the instrument tells from none. [same unit]
    accuracy : float
        Plus-or-minus that holds everywhere. [same unit]
    accuracy_share : float
        Plus-or-minus that grows with the reading; the two add. [1]
    highest : float
        Top of the range, open above. [same unit]

    Returns
    -------
    Interval
        0 to ``lowest`` for a reading below ``lowest``. [same unit]
    """
    if value < lowest:
        return Interval(0.0, lowest)
    half = accuracy + accuracy_share * value
    low = max(0.0, value - half)
    return Interval(low, math.inf if value >= highest else value + half)


def uncertainty_from_limits(half_width: float) -> float:
    """Return the standard uncertainty of a value known only to lie within limits.

    Parameters
    ----------
    half_width : float or array-like
        Plus-or-minus stated as limits, or half a step. [any unit]

    Returns
    -------
    float or array-like
        Standard uncertainty, each place within the limits alike. [same unit]

    References
    ----------
    JCGM 100:2008, 4.3.7.
    """
    return half_width / math.sqrt(3)


def combined_uncertainty(*parts: float) -> float:
    """Return the standard uncertainty of a sum of independent parts.

    Parameters
    ----------
    *parts : float
        Standard uncertainties. [any unit]

    Returns
    -------
    float
        Root of the sum of squares. [same unit]

    References
    ----------
    JCGM 100:2008, 5.1.2.
    """
    return math.hypot(*parts)


def chance_from_normal(
    value: float,
    uncertainty: float,
    band_low: float | None,
    band_high: float | None,
    lowest_possible: float | None = 0.0,
) -> Chance:
    """Return the chance of lying in a band for a value with normal error.

    Parameters
    ----------
    value : float
        Best value. [any unit]
    uncertainty : float
        Standard uncertainty; 0 for a value taken as exact. [same unit]
    band_low, band_high : float or None
        Ends of the band; None where it has none. [same unit]
    lowest_possible : float or None
        Where the normal is cut: 0 for a concentration, None for no cut. [same unit]

    Returns
    -------
    Chance
        Under, within, over. [1]

    Raises
    ------
    ValueError
        If the uncertainty is below zero or the band upside down.

    References
    ----------
    JCGM 106:2012, 7.2 to 7.4; the cut is the prior of 6.
    """
    low, high = _band(band_low, band_high)
    if not uncertainty >= 0:
        raise ValueError(f"an uncertainty of {uncertainty} has no meaning")
    floor = -math.inf if lowest_possible is None else lowest_possible
    left = _above(floor, value, uncertainty) if uncertainty > 0 else 0.0
    if left == 0:  # exact, or so far below the cut that only the cut itself is left
        exact = max(value, floor)
        return _chance(float(exact < low), float(exact > high))
    over = _above(max(high, floor), value, uncertainty) / left
    under = 0.0 if low <= floor else 1 - _above(low, value, uncertainty) / left
    return _chance(under, over)


def chance_from_interval(
    low: float, high: float, band_low: float | None, band_high: float | None
) -> Chance:
    """Return the chance of lying in a band when all of an interval is equally likely.

    Notes
    -----
    An open upper end (``inf``) is taken as ``OPEN_END`` times the lower end.

    Parameters
    ----------
    low, high : float
        Ends of what the result allows; equal for a value taken as exact. [any unit]
    band_low, band_high : float or None
        Ends of the band; None where it has none. [same unit]

    Returns
    -------
    Chance
        Under, within, over. [1]

    Raises
    ------
    ValueError
        If the interval or the band is upside down, or the interval says nothing.

    References
    ----------
    JCGM 106:2012, 7; JCGM 100:2008, 4.3.7.
    """
    bottom, top = _band(band_low, band_high)
    if high == math.inf:
        high = OPEN_END * low
        if not high > low:
            raise ValueError("an interval from 0 with no upper end says nothing")
    if not low <= high:
        raise ValueError(f"an interval from {low} to {high} holds nothing")
    if low == high:
        return _chance(float(low < bottom), float(low > top))
    under = (min(max(bottom, low), high) - low) / (high - low)
    over = (high - max(min(top, high), low)) / (high - low)
    return _chance(under, over)


def _band(low: float | None, high: float | None) -> tuple[float, float]:
    bottom = -math.inf if low is None else low
    top = math.inf if high is None else high
    if not bottom <= top:
        raise ValueError(f"a band from {low} to {high} holds nothing")
    return bottom, top


def _above(x: float, mean: float, uncertainty: float) -> float:
    """Return the chance of a normal value above x, exact far out as well."""
    return 0.5 * math.erfc((x - mean) / (uncertainty * math.sqrt(2)))


def _chance(under: float, over: float) -> Chance:
    return Chance(under, max(0.0, 1 - under - over), over)
