"""Whether logged work, or a cycle under way, may account for a jump."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

from fleet.logged import change_share, dose_of, nutrient_rises
from fleet.normalise.levels import best
from fleet.records import Measurement, Settings, ShelfItem, Tank, Work
from fleet.reference import Reference
from fleet.science.concentration import (
    nitrate_from_nitrogen,
    nitrogen_from_nitrite,
)
from fleet.science.dilution import after_changes

# Work of no stated size that can move a nutrient a long way in one visit: a death,
# living rock, or an adsorber put in or taken out. One more fish does not.
_RAISES = frozenset({"livestock out", "seeding", "media out"})
_LOWERS = frozenset({"media in", "equipment in"})


class Happenings(NamedTuple):
    """What is known to have been done to one tank, and its signs of a cycle."""

    tank: Tank
    work: tuple[Work, ...]
    nitrogen: tuple[Measurement, ...]  # believed ammonia and nitrite results
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    reference: Reference


def explains(
    happened: Happenings, parameter: str, before: Measurement, after: Measurement
) -> bool:
    """Say whether what happened from one result to the next may account for it."""
    since, until = before.taken_on, after.taken_on
    rise = after.low - before.high
    if rise > 0 and parameter == "nitrate" and _from_cycle(happened, until) >= rise:
        return True
    between = [w for w in happened.work if since <= w.on <= until]
    if rise > 0:
        return _raised(happened, between, parameter, rise)
    return _lowered(happened, between, parameter, before, after)


def _from_cycle(happened: Happenings, until: date) -> float:
    """Return how much nitrate the ammonia and nitrite of late may have become."""
    weeks = happened.reference.limit("jump-cycle-weeks")
    since = until - timedelta(weeks=weeks)
    most: dict[str, float] = {}
    for seen in happened.nitrogen:
        if seen.registers and since <= seen.taken_on <= until:
            most[seen.parameter] = max(most.get(seen.parameter, 0.0), best(seen))
    nitrogen = most.get("ammonia", 0.0) + nitrogen_from_nitrite(most.get("nitrite", 0))
    turns = happened.reference.limit("jump-cycle-turns")
    return turns * nitrate_from_nitrogen(nitrogen)


def _raised(
    happened: Happenings, between: Iterable[Work], parameter: str, rise: float
) -> bool:
    added = 0.0
    for done in between:
        if done.work in _RAISES:
            return True
        if done.work != "dose":
            continue
        given = _dosed(happened, done, parameter)
        if given is None:
            return True  # something of unknown size was added
        added += given
    return added >= rise * happened.reference.limit("jump-explained-share")


def _dosed(happened: Happenings, done: Work, parameter: str) -> float | None:
    """Return the rise a logged dose gave; None where that cannot be told."""
    dose = dose_of(done, happened.tank, happened.shelf, happened.reference)
    if dose.salt is None:
        return None
    # Ammonia becomes nitrate; taking it whole errs on the side of believing.
    raises = dose.salt.raises
    if parameter != raises and (raises, parameter) != ("ammonia", "nitrate"):
        return 0.0
    if dose.rise is None:
        return None
    return dose.rise if parameter == raises else dict(nutrient_rises(dose))[parameter]


def _lowered(
    happened: Happenings,
    between: Iterable[Work],
    parameter: str,
    before: Measurement,
    after: Measurement,
) -> bool:
    fill = dict(happened.settings.change_water).get(parameter, 0.0)
    level = before.low
    for done in between:
        if done.work in _LOWERS:
            return True
        if done.work == "dose" and not done.salt:
            return True  # organic carbon, a remover: nothing the tables know
        if done.work != "water change":
            continue
        share = change_share(done, happened.tank)
        if share is None:
            return True
        level = after_changes(level, share, fill)
    fall = before.low - after.high
    told = happened.reference.limit("jump-explained-share")
    return before.low - level >= fall * told
