"""Water changes: a well-mixed system, and new water of its own content.

All levels share one unit, usually mg/L; shares are of the system volume. [1]
"""

import math

_NEGLIGIBLE = 1e-9  # of one change: rounding must not ask for another whole change


def dilution_fraction(now: float, goal: float, fill: float) -> float:
    """Return the share of the system volume to exchange in one batch.

    Parameters
    ----------
    now, goal : float
        Level before and after. [mg/L]
    fill : float
        Level in the new water. [mg/L]

    Returns
    -------
    float
        Share of the system volume, 0 to 1. [1]

    Raises
    ------
    ValueError
        If the goal does not lie between the level now and that of the new water.
    """
    if now == goal:
        return 0.0
    if not min(now, fill) <= goal <= max(now, fill):
        raise ValueError(f"new water at {fill} cannot bring {now} to {goal}")
    return (now - goal) / (now - fill)


def after_changes(now: float, share: float, fill: float, times: int = 1) -> float:
    """Return the level after equal changes one after the other.

    Parameters
    ----------
    now : float or array-like
        Level before. [mg/L]
    share : float or array-like
        Share of the system volume exchanged each time. [1]
    fill : float or array-like
        Level in the new water. [mg/L]
    times : int
        Number of changes. [1]

    Returns
    -------
    float or array-like
        Level after the last change. [mg/L]
    """
    return fill + (now - fill) * (1 - share) ** times


def changes_needed(now: float, goal: float, fill: float, share: float) -> int:
    """Return how many equal changes bring the level to the goal or past it.

    Parameters
    ----------
    now, goal, fill : float
        Level before, level wanted, level in the new water. [mg/L]
    share : float
        Share of the system volume exchanged each time, above 0 and up to 1. [1]

    Returns
    -------
    int
        Number of changes. [1]

    Raises
    ------
    ValueError
        If no number of such changes reaches the goal.
    """
    whole = dilution_fraction(now, goal, fill)
    if not 0 < share <= 1:
        raise ValueError(f"a share of {share} changes nothing or more than all")
    if whole <= share:
        return 1 if whole > 0 else 0
    if whole == 1:
        raise ValueError(f"changes of {share:.0%} never quite reach the new water")
    return math.ceil(math.log1p(-whole) / math.log1p(-share) - _NEGLIGIBLE)


def after_continuous_exchange(now: float, exchanged: float, fill: float) -> float:
    """Return the level after new water was run in while old water ran out.

    Parameters
    ----------
    now, fill : float
        Level before, level in the new water. [mg/L]
    exchanged : float
        Volume run through, over the system volume. [1]

    Returns
    -------
    float
        Level after. [mg/L]
    """
    return fill + (now - fill) * math.exp(-exchanged)


def continuous_exchange(now: float, goal: float, fill: float) -> float:
    """Return the volume to run through, over the system volume, to reach the goal.

    Parameters
    ----------
    now, goal, fill : float
        Level before, level wanted, level in the new water. [mg/L]

    Returns
    -------
    float
        Volume run through, over the system volume. [1]

    Raises
    ------
    ValueError
        If the goal cannot be reached.
    """
    whole = dilution_fraction(now, goal, fill)
    if whole == 1:
        raise ValueError("running water through never quite reaches the new water")
    return -math.log1p(-whole)


def long_run_level(rise: float, share: float, fill: float) -> float:
    """Return the level just before each change, once regular changes have settled it.

    Parameters
    ----------
    rise : float or array-like
        What the tank gains between two changes. [mg/L]
    share : float or array-like
        Share of the system volume exchanged each time, above 0. [1]
    fill : float or array-like
        Level in the new water. [mg/L]

    Returns
    -------
    float or array-like
        Level just before a change; just after it is lower by ``rise``. [mg/L]
    """
    return fill + rise / share
