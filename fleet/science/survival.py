"""How many have reached a milestone by a given time, when not all have yet.

``kaplan_meier`` takes a time for each tank and whether it reached the milestone then
or was only last seen without it. ``turnbull`` takes the two visits between which it
must have happened; it serves as well for readings known only as intervals.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

_NORMAL_95 = 1.6448536269514722  # standard normal, 95 % below: 90 % between the two
_SMALL = 0.05  # chance left outside at each end
_SETTLED = 1e-11  # largest change of a share in the last round of the estimate
_MOST_ROUNDS = 300

# A left and a right end, each a value and whether it is open: see ``_ends``.
Ends = tuple[tuple[float, int], tuple[float, int]]


class Step(NamedTuple):
    """State just after a time at which some reached the milestone."""

    time: float
    at_risk: int  # had not reached it, and were still watched, just before
    reached: int  # reached it at this time
    waiting: float  # estimated share that has not reached it yet [1]
    waiting_low: float  # 90 % limits of that share [1]
    waiting_high: float


class Reached(NamedTuple):
    """Share that has reached the milestone, with 90 % limits. [1]."""

    share: float
    low: float
    high: float


class Mass(NamedTuple):
    """Share that lies between two ends; a single value where they are equal."""

    low: float
    high: float
    share: float


def kaplan_meier(times: Sequence[float], reached: Sequence[bool]) -> tuple[Step, ...]:
    """Return the product-limit estimate of the share still waiting.

    Parameters
    ----------
    times : sequence of float, shape (n,)
        When each reached the milestone, or was last seen without it. [any unit]
    reached : sequence of bool, shape (n,)
        Whether it reached the milestone at that time.

    Returns
    -------
    tuple of Step
        One for each time at which some reached it, in order of time. Limits are
        log(-log), by Greenwood's variance; once none is waiting the upper limit is
        that of the step before.

    Raises
    ------
    ValueError
        If the two sequences differ in length.

    References
    ----------
    Kaplan & Meier (1958), J. Am. Stat. Assoc. 53, 457-481. Limits: Kalbfleisch &
    Prentice, The Statistical Analysis of Failure Time Data, 2nd ed. (2002), 1.4.
    """
    at_risk = len(times)
    events: Counter[float] = Counter()
    leaving: Counter[float] = Counter(times)
    for time, yes in zip(times, reached, strict=True):
        events[time] += bool(yes)
    waiting, greenwood = 1.0, 0.0
    steps: list[Step] = []
    for time in sorted(leaving):
        count = events[time]
        if count:
            waiting *= 1 - count / at_risk
            if count < at_risk:
                greenwood += count / (at_risk * (at_risk - count))
                low, high = _log_log_limits(waiting, greenwood)
            else:  # none is left waiting, and Greenwood's variance has no value
                waiting, low = 0.0, 0.0
                high = steps[-1].waiting_high if steps else _none_of(at_risk)
            steps.append(Step(time, at_risk, count, waiting, low, high))
        at_risk -= leaving[time]
    return tuple(steps)


def _log_log_limits(share: float, greenwood: float) -> tuple[float, float]:
    spread = math.exp(_NORMAL_95 * math.sqrt(greenwood) / abs(math.log(share)))
    return share**spread, share ** (1 / spread)


def _none_of(number: int) -> float:
    """Return the largest share of which seeing none in ``number`` is no surprise.

    Clopper & Pearson (1934), Biometrika 26, 404-413, upper limit for none seen.
    """
    return float(1 - _SMALL ** (1 / number))


def share_reached(
    times: Sequence[float], reached: Sequence[bool], by: float
) -> Reached:
    """Return the share estimated to have reached the milestone by a given time.

    Parameters
    ----------
    times, reached : sequence, shape (n,)
        As in ``kaplan_meier``.
    by : float
        The time asked for, itself included. [unit of ``times``]

    Returns
    -------
    Reached
        Share and its 90 % limits. [1]

    Raises
    ------
    ValueError
        If nobody was watched until then, or the sequences differ in length.
    """
    steps = [step for step in kaplan_meier(times, reached) if step.time <= by]
    if steps:
        last = steps[-1]
        return Reached(1 - last.waiting, 1 - last.waiting_high, 1 - last.waiting_low)
    watched = sum(time >= by for time in times)
    if not watched:
        raise ValueError(f"nobody was watched until {by}")
    return Reached(0.0, 0.0, _none_of(watched))


def turnbull(lows: Sequence[float], highs: Sequence[float]) -> tuple[Mass, ...]:
    """Return where the values lie, each known only to lie between two ends.

    Notes
    -----
    The ends of an interval do not belong to it, and equal ends are an exact value:
    a result of 10 lies above "<10", and 2 to 5 does not touch 5 to 10. How a share
    is spread within its ends cannot be told. Without exact values this is the
    estimate for intervals open below and closed above.

    Parameters
    ----------
    lows, highs : sequence of float, shape (n,)
        Ends of each interval; ``inf`` where it is open above. [any unit]

    Returns
    -------
    tuple of Mass
        In rising order; the shares sum to 1. Empty without values.

    Raises
    ------
    ValueError
        If an interval is upside down or the sequences differ in length.

    References
    ----------
    Turnbull (1976), J. R. Stat. Soc. B 38, 290-295, self-consistency.
    """
    intervals: Counter[Ends] = Counter()
    for low, high in zip(lows, highs, strict=True):
        if not low <= high:
            raise ValueError(f"an interval from {low} to {high} holds nothing")
        intervals[_ends(low, high)] += 1
    cells = _innermost(intervals)
    spans: Counter[tuple[int, int]] = Counter()
    for interval, count in intervals.items():
        spans[_span(interval, cells)] += count
    shares = _self_consistent(spans, len(cells), len(lows))
    return tuple(
        Mass(left[0], right[0], share)
        for (left, right), share in zip(cells, shares, strict=True)
    )


def _ends(low: float, high: float) -> Ends:
    """Return both ends so that they sort as they lie.

    At one place an open right end comes first (-1), then exact (0), then an open
    left end (1).
    """
    if low == high:
        return (low, 0), (high, 0)
    return (low, 1), (high, -1)


def _innermost(intervals: Iterable[Ends]) -> list[Ends]:
    """Return the cells: a left end that is followed at once by a right end."""
    lefts = {(left, 0) for left, _ in intervals}
    rights = {(right, 1) for _, right in intervals}
    return [
        (first, second)
        for (first, is_right), (second, next_right) in pairwise(sorted(lefts | rights))
        if next_right and not is_right
    ]


def _span(interval: Ends, cells: list[Ends]) -> tuple[int, int]:
    """Return which cells, from and up to, an interval holds."""
    left, right = interval
    start = sum(first < left for first, _ in cells)
    return start, sum(second <= right for _, second in cells)


def _self_consistent(
    spans: Counter[tuple[int, int]], cells: int, values: int
) -> list[float]:
    """Return the shares that hand every value out over its cells and get it back."""
    shares = [1 / cells] * cells if cells else []
    for _ in range(_MOST_ROUNDS if cells > 1 else 0):
        new = [0.0] * cells
        for (start, stop), count in spans.items():
            held = shares[start:stop]
            weight = count / (values * sum(held))
            for place, share in enumerate(held, start):
                new[place] += weight * share
        change = max(map(abs, map(float.__sub__, new, shares)))
        shares = new
        if change < _SETTLED:
            break
    return shares
