"""Nitrogen and phosphorus in, out and taken up over the last weeks."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import NamedTuple

from fleet.assess.evidence import Feed, best, difference, levels
from fleet.assess.supplied import change_water, feed_over, given_by_feed
from fleet.logged import change_share, dose_of, nutrient_rises
from fleet.records import (
    Budget,
    Measured,
    Measurement,
    Sentence,
    Settings,
    ShelfItem,
    Tank,
    Work,
    say,
)
from fleet.reference import Reference

NUTRIENTS = ("nitrate", "phosphate")


class Span(NamedTuple):
    """Best, lowest and highest of one amount."""

    best: float
    low: float
    high: float


def budgets_of(
    tank: Tank,
    measured: Measured,
    work: tuple[Work, ...],
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    as_of: date,
) -> tuple[Budget, ...]:
    """Return a budget for each nutrient; none for a tank of unknown volume."""
    if not tank.volume_l or tank.volume_l <= 0:
        return ()
    return tuple(
        _budget(parameter, tank, measured, work, shelf, settings, reference, as_of)
        for parameter in NUTRIENTS
    )


def _budget(
    parameter: str,
    tank: Tank,
    measured: Measured,
    work: tuple[Work, ...],
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    as_of: date,
) -> Budget:
    rules = reference.causes["budget"]
    first = as_of - timedelta(days=7 * rules["weeks"] + rules["slack_days"])
    recent = [
        m
        for m in levels(measured, parameter, as_of)
        if m.taken_on >= first and math.isfinite(m.high)
    ]
    seen: Span | None = None
    since, until = as_of - timedelta(days=7 * rules["weeks"]), as_of
    if len(recent) > 1 and _days(recent) >= rules["least_days"]:
        change = difference(recent[0], recent[-1])
        if change is not None:
            since, until = recent[0].taken_on, recent[-1].taken_on
            seen = Span(*change)
    weeks = (until - since).days / 7
    # A test comes before the day's work: what was done on the last day shows later.
    done = [w for w in work if since <= w.on < until]
    added = sum(
        rise
        for w in done
        if w.work == "dose"
        for name, rise in nutrient_rises(dose_of(w, tank, shelf, reference))
        if name == parameter
    )
    removed = _removed(parameter, done, recent, tank, settings)
    feed = feed_over(tank, work, reference, since, until)
    fed = _fed(parameter, feed, tank, reference)
    taken = _taken_up(fed, added / weeks, removed, seen, weeks)
    return Budget(
        parameter=parameter,
        weeks=weeks,
        input_mg_l_week=fed.best if fed else None,
        added_mg_l_week=added / weeks,
        removed_by_change_mg_l_week=removed.best / weeks,
        measured_mg_l_week=seen.best / weeks if seen else None,
        taken_up_mg_l_week=taken.best if taken else None,
        low=taken.low if taken else None,
        high=taken.high if taken else None,
        note=_note(parameter, feed, fed, added, taken, recent),
    )


def _days(recent: list[Measurement]) -> int:
    return (recent[-1].taken_on - recent[0].taken_on).days


def _removed(
    parameter: str,
    done: list[Work],
    recent: list[Measurement],
    tank: Tank,
    settings: Settings,
) -> Span:
    """Return what water changes took out over the span; below zero: brought in."""
    fill = change_water(settings, parameter)
    total = Span(0.0, 0.0, 0.0)
    for w in done:
        share = change_share(w, tank) if w.work == "water change" else None
        before = [m for m in recent if m.taken_on <= w.on] or recent[:1]
        if share is None or not before:
            continue
        level = before[-1]
        total = Span(
            total.best + share * (best(level) - fill),
            total.low + share * (level.low - fill),
            total.high + share * (level.high - fill),
        )
    return total


def _fed(
    parameter: str, feed: Feed | None, tank: Tank, reference: Reference
) -> Span | None:
    """Return what the feed brings a week, with how far that may be off."""
    if feed is None:
        return None
    week = 7 * given_by_feed(parameter, feed.g_day, tank, reference)
    if feed.noted:
        half = reference.limit("feed-uncertainty")
        return Span(week, week * (1 - half), week * (1 + half))
    rules = reference.causes["budget"]
    return Span(week, week * rules["guess_low"], week * rules["guess_high"])


def _taken_up(
    fed: Span | None, added: float, removed: Span, seen: Span | None, weeks: float
) -> Span | None:
    """Return what is left over a week, at the outermost ends of each part."""
    if fed is None or seen is None:
        return None
    return Span(
        fed.best + added - (removed.best + seen.best) / weeks,
        fed.low + added - (removed.high + seen.high) / weeks,
        fed.high + added - (removed.low + seen.low) / weeks,
    )


def _note(
    parameter: str,
    feed: Feed | None,
    fed: Span | None,
    added: float,
    taken: Span | None,
    recent: list[Measurement],
) -> Sentence | None:
    """Return the one thing most worth saying about the budget."""
    if feed is None or fed is None:
        return say("budget.feed-unknown")
    if fed.best == 0:
        return say("budget.no-feed")
    lowest = recent[-1].method.lowest if recent else None
    if lowest is not None and fed.high < lowest and not added:
        return say(
            "budget.feed-too-little",
            parameter=parameter,
            most=fed.high,
            lowest=lowest,
            guessed=not feed.noted,
        )
    if taken is not None and taken.low > 0:
        return say(
            "budget.taken-up",
            parameter=parameter,
            fed=fed.best,
            low=taken.low,
            guessed=not feed.noted,
        )
    if taken is not None and taken.high < 0:
        return say("budget.given-off", parameter=parameter, low=-taken.high)
    return say("budget.feed-guessed", feed=feed.g_day) if not feed.noted else None
