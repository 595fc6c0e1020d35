"""Facts that several judgements share: looks, animals, feed, what filters the water.

The Tanks sheet says how things are set up, the log what was changed and when:
the last logged change wins over the sheet.
"""

from __future__ import annotations

import math
from datetime import date
from typing import NamedTuple

from fleet.records import Measured, Measurement, Reading, Tank, Work
from fleet.reference import Reference

FILM_LOOKS = ("brown film", "green film", "hair algae", "red mats", "brown strings")
CORAL_LOOKS = ("pale coral", "closed polyps")
ANIMAL_LOOKS = (
    *CORAL_LOOKS, "slow growth", "tissue loss", "good colour", "fish gasping",
)  # fmt: skip
FISH_KINDS = ("fish only", "quarantine", "seahorse", "none yet")


# ----------------------------------------------------------------- results


def best(measured: Measurement) -> float:
    """Return the one number that stands for a result; none seen stands for 0."""
    if measured.value is not None:
        return measured.value
    if measured.registers is False or math.isinf(measured.high):
        return measured.low
    return (measured.low + measured.high) / 2


def believed(
    measured: Measured, parameter: str, as_of: date
) -> tuple[Measurement, ...]:
    """Return results that may be used, oldest first; total phosphorus is none."""
    return up_to(as_of, measured.of(parameter).own)


def up_to(day: date, results: tuple[Measurement, ...]) -> tuple[Measurement, ...]:
    """Return the results, oldest first, that are not of a later day."""
    if not results or results[-1].taken_on <= day:
        return results
    return tuple(m for m in results if m.taken_on <= day)


def levels(measured: Measured, parameter: str, as_of: date) -> tuple[Measurement, ...]:
    """Return believed results that are more than an upper limit."""
    results = believed(measured, parameter, as_of)
    return tuple([m for m in results if not m.upper_limit_only])


def difference(
    before: Measurement, after: Measurement
) -> tuple[float, float, float] | None:
    """Return the change between two results: best, lowest and highest.

    Spreads of independent normal errors add as squares; ends that are only
    bounds add outright. None where a result has no upper end.
    """
    if math.isinf(before.high) or math.isinf(after.high):
        return None
    a, b = best(before), best(after)
    fall = max(b - after.low, 0.0), max(before.high - a, 0.0)
    rise = max(after.high - b, 0.0), max(a - before.low, 0.0)
    if before.shape == after.shape == "normal":
        return b - a, b - a - math.hypot(*fall), b - a + math.hypot(*rise)
    return b - a, b - a - sum(fall), b - a + sum(rise)


# ------------------------------------------------------------------- looks


class Look(NamedTuple):
    """What was seen on one day."""

    on: date
    words: tuple[str, ...]


def last_looks(readings: tuple[Reading, ...], as_of: date) -> tuple[Look, ...]:
    """Return the last two days somebody looked, newest first."""
    seen: list[Look] = []
    for reading in reversed(readings):
        if not reading.looks or reading.taken_on > as_of:
            continue
        if seen and seen[-1].on == reading.taken_on:
            words = dict.fromkeys((*reading.looks, *seen[-1].words))
            seen[-1] = Look(reading.taken_on, tuple(words))
        elif len(seen) == 2:
            break
        else:
            seen.append(Look(reading.taken_on, reading.looks))
    return tuple(seen)


# ----------------------------------------------------------------- animals


def animals_in(tank: Tank, work: tuple[Work, ...], as_of: date) -> bool | None:
    """Say whether living animals are in; None where nothing tells."""
    if tank.fish:
        return True
    moved = [
        w.work
        for w in work
        if w.on <= as_of and w.work in ("livestock in", "livestock out")
    ]
    if moved and moved[-1] == "livestock in":
        return True
    if tank.livestock == "none yet":
        return False
    if tank.fish == 0:
        if tank.livestock in FISH_KINDS:
            return False
        if not tank.feed_g_day:
            return None  # corals, or what a tank with nothing in it is meant for
    return True if tank.livestock else None


def animals_shown(tank: Tank, work: tuple[Work, ...], as_of: date) -> bool:
    """Say whether a count or the log shows animals.

    The kind of livestock alone may be what a tank is meant for.
    """
    return bool(tank.fish) or any(
        w.work == "livestock in" and w.on <= as_of for w in work
    )


def corals_in(tank: Tank, looks: tuple[Look, ...]) -> bool | None:
    """Say whether corals are in; None where nothing tells."""
    if "coral" in tank.livestock:
        return True
    if any(word in CORAL_LOOKS for look in looks for word in look.words):
        return True
    if tank.livestock in ("fish only", "quarantine", "none yet"):
        return False
    return None


# -------------------------------------------------------------------- feed


class Feed(NamedTuple):
    """Dry feed a day, and whether it is noted or reckoned from the fish."""

    g_day: float
    noted: bool


def feed_changes(work: tuple[Work, ...], as_of: date) -> tuple[tuple[date, float], ...]:
    """Return logged changes to a known amount of feed a day, oldest first."""
    return tuple(
        (w.on, w.amount)
        for w in work
        if w.work == "feed change"
        and w.on <= as_of
        and w.amount is not None
        and w.amount >= 0
        and w.unit in ("g", "g/day")
    )


def feed_on(
    tank: Tank, work: tuple[Work, ...], reference: Reference, day: date, as_of: date
) -> Feed | None:
    """Return the feed a day on ``day``; None where nothing tells.

    The Tanks sheet carries no date. Where it repeats the last logged amount it
    was brought up to date with it, and says nothing of the time before.
    """
    changes = feed_changes(work, as_of)
    for on, amount in reversed(changes):
        if on <= day:
            return Feed(amount, noted=True)
    sheet = tank.feed_g_day
    if sheet is not None and not (changes and changes[-1][1] == sheet):
        return Feed(sheet, noted=True)
    if tank.fish is not None:
        if tank.fish == 0 and animals_in(tank, work, as_of) is not False:
            return None
        return Feed(tank.fish * reference.limit("fish-feed-assumed"), noted=False)
    if tank.livestock == "none yet" and not animals_in(tank, work, as_of):
        return Feed(0.0, noted=False)
    return None
