"""A parameter's own drift: logged work taken out, and when it reaches a band's edge."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date, timedelta
from operator import attrgetter

from fleet.assess.evidence import best
from fleet.assess.log_steps import NUTRIENTS
from fleet.assess.supplied import change_water
from fleet.logged import change_share, dose_of, nutrient_rises
from fleet.records import (
    Band,
    Crossing,
    Measurement,
    Settings,
    ShelfItem,
    Tank,
    Trend,
    Work,
)
from fleet.reference import Reference
from fleet.science import censored
from fleet.science.dilution import after_changes

FEWEST = 3  # visits that make a slope
_DAY = attrgetter("taken_on")


def drift_of(
    results: Sequence[Measurement],
    tank: Tank,
    work: Sequence[Work],
    settings: Settings,
    reference: Reference,
    as_of: date,
    shelf: tuple[ShelfItem, ...] = (),
    left_in: str = "",
) -> Trend | None:
    """Return the slope of one parameter's believed results, oldest first.

    None for fewer than three visits, or where none of them registers. With three
    visits there is a slope but no limit to it: its low and high are infinite.
    Logged work is taken out, save the kind named as ``left_in``.
    """
    since = as_of - timedelta(weeks=reference.limit("trend-weeks"))
    most = int(reference.limit("trend-visits"))
    end = bisect_right(results, as_of, key=_DAY)
    seen = results[max(bisect_left(results, since, key=_DAY), end - most) : end]
    if len(seen) < FEWEST or all(m.registers is False for m in seen):
        return None
    added = None
    work = [w for w in work if w.work != left_in]
    if seen[0].parameter in NUTRIENTS and work:
        added = _added(seen, tank, work, settings, reference, shelf)
    start = seen[0].taken_on.toordinal()
    days = [m.taken_on.toordinal() - start for m in seen]
    lows, highs = zip(*map(_ends, seen), strict=True)
    slope = censored.censored_slope(days, lows, highs, added)
    if slope is None:
        return None
    return Trend(
        per_week=7 * slope.per_day,
        low=7 * slope.low,
        high=7 * slope.high,
        visits=len(set(days)),
        since=seen[0].taken_on,
        corrected_for_work=added is not None and any(added),
    )


def course_of(
    trend: Trend | None,
    results: Sequence[Measurement],
    tank: Tank,
    work: Sequence[Work],
    settings: Settings,
    reference: Reference,
    as_of: date,
    shelf: tuple[ShelfItem, ...] = (),
) -> Trend | None:
    """Return where the readings are heading if habits go on.

    Water changed more than once since the trend began is a habit: the next reading
    will have had its change too, so that part of the course is left in. A dose is
    none: it is taken out, as in the tank's own drift.
    """
    if trend is None or not trend.corrected_for_work:
        return trend
    changes = [
        w for w in work if w.work == "water change" and trend.since <= w.on <= as_of
    ]
    if len(changes) < 2:
        return trend
    return drift_of(
        results, tank, work, settings, reference, as_of, shelf, "water change"
    )


def heading_of(
    trend: Trend | None,
    results: Sequence[Measurement],
    tank: Tank,
    work: Sequence[Work],
    settings: Settings,
    reference: Reference,
    as_of: date,
    shelf: tuple[ShelfItem, ...] = (),
) -> Trend | None:
    """Return the course of a parameter whose readings surely rise or fall.

    None where they may as well stand still: what the tank adds and the changes take
    out is its drift, but nobody who looks at level readings would call them rising.
    """
    log = tank, work, settings, reference, as_of, shelf
    course = course_of(trend, results, *log)
    way = direction(course)
    if not way or trend is None or not trend.corrected_for_work:
        return course if way else None
    as_read = drift_of(results, tank, (), settings, reference, as_of)
    return course if direction(as_read) == way else None


def direction(trend: Trend | None) -> int:
    """Return 1 for a sure rise, -1 for a sure fall, 0 where it may be neither."""
    if trend is None:
        return 0
    return (trend.low > 0) - (trend.high < 0)


def _ends(measured: Measurement) -> tuple[float, float]:
    """Return what a slope may take a result for.

    Its method's error is mostly the same from visit to visit, so an instrument's
    result is as wide as its smallest step, not as its plus-or-minus.
    """
    if measured.shape == "normal" and measured.value is not None:
        half = (measured.method.step or 0.0) / 2
        return measured.value - half, measured.value + half
    return measured.low, measured.high


def _added(
    seen: Sequence[Measurement],
    tank: Tank,
    work: Sequence[Work],
    settings: Settings,
    reference: Reference,
    shelf: tuple[ShelfItem, ...],
) -> list[float]:
    """Return what logged doses and water changes had added by each visit.

    A visit tests before it acts: work of its day counts from the next visit on. What
    a change took out depends on the level then, taken from the last result.
    """
    parameter = seen[0].parameter
    fill = change_water(settings, parameter)
    first, last = seen[0].taken_on, seen[-1].taken_on
    rows = [w for w in work if first <= w.on < last]
    added: list[float] = []
    total, place, level = 0.0, 0, best(seen[0])
    for visit in seen:
        while place < len(rows) and rows[place].on < visit.taken_on:
            step = _step(rows[place], parameter, level, fill, tank, reference, shelf)
            total += step
            level += step
            place += 1
        added.append(total)
        level = best(visit)
    return added


def _step(
    done: Work,
    parameter: str,
    level: float,
    fill: float,
    tank: Tank,
    reference: Reference,
    shelf: tuple[ShelfItem, ...],
) -> float:
    if done.work == "water change":
        share = change_share(done, tank)
        return 0.0 if share is None else after_changes(level, share, fill) - level
    if done.work == "dose":
        rises = dict(nutrient_rises(dose_of(done, tank, shelf, reference)))
        return rises.get(parameter, 0.0)
    return 0.0


def crossing_of(
    latest: Measurement,
    trend: Trend | None,
    band: Band | None,
    reference: Reference,
    as_of: date,
) -> Crossing | None:
    """Return when a drift reaches the edge it heads for; None where it may not.

    Only a slope whose 90 % interval leaves out zero is carried on, and no further
    than a quarter of a year.
    """
    if trend is None or band is None or latest.value is None:
        return None
    falling = trend.high < 0
    if not falling and trend.low <= 0:
        return None
    edge, behind = (band.low, band.high) if falling else (band.high, band.low)
    if edge is None or (falling and edge <= 0):
        return None
    if behind is not None:
        outside = latest.value > behind if falling else latest.value < behind
        if outside:
            return None  # it comes back into the band first
    slope = censored.Slope(trend.per_week / 7, trend.low / 7, trend.high / 7)
    reached = censored.crossing(0.0, latest.value, slope, edge)
    if reached is None:
        return None
    today = (as_of - latest.taken_on).days
    horizon = today + 7 * reference.limit("trend-horizon-weeks")
    if reached.expected > horizon:
        return None
    return Crossing(
        bound="low" if falling else "high",
        on=_day(latest.taken_on, max(reached.expected, today)),
        earliest=_day(latest.taken_on, max(reached.earliest, today)),
        latest=None
        if reached.latest > horizon
        else _day(latest.taken_on, max(reached.latest, today)),
    )


def _day(start: date, days: float) -> date:
    return start + timedelta(days=math.floor(days))
