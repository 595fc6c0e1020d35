"""How many have reached a milestone by a given time, when not all have yet.

``kaplan_meier`` takes a time for each tank and whether it reached the milestone then
or was only last seen without it.
"""

import math
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

_NORMAL_95 = 1.6448536269514722  # standard normal, 95 % below: 90 % between the two
_SMALL = 0.05  # chance left outside at each end


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
