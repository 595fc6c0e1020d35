"""The steps of a new tank: which it has come to, and at which visit that was seen.

A step came about between two visits; it is counted from the one that first showed
it. A tank that was never looked at or tested for a step has neither come to it nor
been seen without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from fleet.assess.evidence import FILM_LOOKS, best
from fleet.assess.progress_course import Track, long_enough, run_in_band
from fleet.records import Measurement
from fleet.records.mentoring import BandVisit, MilestoneSeen


class Check(NamedTuple):
    """A visit that could show a step, and whether it did."""

    on: date
    there: bool


def milestones_of(
    track: Track, visits: tuple[BandVisit, ...]
) -> tuple[MilestoneSeen, ...]:
    """Return every step of one tank, in their usual order."""
    seen: dict[str, MilestoneSeen] = {}
    for key, checks_of in CHECKS.items():
        checks = list(checks_of(track, visits, seen))
        seen[key] = _noted(track, _seen(track, key, checks))
    return tuple(seen.values())


def _seen(track: Track, key: str, checks: list[Check]) -> MilestoneSeen:
    if not checks:
        return MilestoneSeen(key)
    first, last = checks[0].on, checks[-1].on
    place = next((n for n, check in enumerate(checks) if check.there), None)
    if place is None:
        return MilestoneSeen(key, watched_from=first, watched_until=last)
    on = checks[place].on
    after = checks[place - 1].on if place else None
    week = track.week(on)
    late = track.reference.milestone("late-start")
    if after is None and track.filled and (on - track.filled).days > late:
        week = None  # it was there before anybody looked
    return MilestoneSeen(key, on, week, after, first, on)


def _noted(track: Track, seen: MilestoneSeen) -> MilestoneSeen:
    """Return a step of the cycle as the keeper noted it, where that was earlier."""
    noted = track.tank.cycled_on
    if seen.key not in ("ammonia-gone", "nitrite-gone") or noted is None:
        return seen
    if noted > track.as_of or (track.filled and noted < track.filled):
        return seen
    if seen.on is not None and seen.on <= noted:
        return seen
    return replace(
        seen, on=noted, week=track.week(noted), after=None, noted=True,
        watched_from=track.filled or noted, watched_until=noted,
    )  # fmt: skip


# ------------------------------------------------------------------- the cycle


def _is_high(track: Track, m: Measurement) -> bool:
    limit = track.reference.stage(f"cycling-{m.parameter}")
    return m.registers is not False and best(m) >= limit


def _began(track: Track) -> date:
    """Return the first day that something shows a cycle at work."""
    signs = [
        m.taken_on
        for name in ("ammonia", "nitrite")
        for m in track.tests(name)
        if _is_high(track, m)
    ]
    signs += [m.taken_on for m in track.tests("nitrate") if m.registers]
    salts = track.reference.salts
    for done in track.work:
        if done.work == "dose":
            bears = done.salt and salts[done.salt].ammonia_bearing
            signs += [done.on] if bears else []
        elif done.work == "livestock in":
            # What animals give off shows within days where no filter uses it up.
            within = track.reference.stage("ammonia-used-within")
            signs.append(done.on + timedelta(days=within))
    return min(signs, default=date.max)


def _gone(track: Track, parameter: str, since: Callable[[date], bool]) -> list[Check]:
    """Return each test of a parameter; it is gone where the next test agrees."""
    tests = track.tests(parameter)
    within = track.reference.milestone("confirm-within")
    checks = []
    for place, m in enumerate(tests):
        following = tests[place + 1 : place + 2]
        agreed = not any(
            _is_high(track, after) and (after.taken_on - m.taken_on).days <= within
            for after in following
        )
        gone = not _is_high(track, m) and agreed and since(m.taken_on)
        checks.append(Check(m.taken_on, gone))
    return checks


Seen = dict[str, MilestoneSeen]


def _ammonia_gone(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    began = _began(track)
    return _gone(track, "ammonia", lambda day: day >= began)


def _nitrite_gone(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    """Nitrite rises only after ammonia: its first zeros say nothing."""
    highs = [m.taken_on for m in track.tests("nitrite") if _is_high(track, m)]
    ammonia = seen["ammonia-gone"].on
    since = min((*highs, *([ammonia] if ammonia else ())), default=date.max)
    return _gone(track, "nitrite", lambda day: day >= since)


def _nitrate_seen(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    return [Check(m.taken_on, bool(m.registers)) for m in track.tests("nitrate")]


def _flat_zero(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    """Nitrate reads none after the cycle, by a test that can tell."""
    limit = track.reference.limit("nitrate-can-tell")
    cycle = [seen[key].on for key in ("ammonia-gone", "nitrite-gone")]
    over = max((day for day in cycle if day), default=date.max)
    over = over if all(cycle) else date.max
    nitrate = seen["nitrate-seen"].on or date.max
    return [
        Check(
            m.taken_on,
            m.registers is False
            and m.high <= limit
            and (m.taken_on > nitrate or m.taken_on >= over),
        )
        for m in track.tests("nitrate")
        if m.method.lowest is not None and m.method.lowest <= limit
    ]


# ----------------------------------------------------------- looks and the band


def _looks(track: Track) -> list[tuple[date, frozenset[str]]]:
    first = track.filled or date.min
    return [
        (reading.taken_on, frozenset(reading.looks))
        for reading in track.readings
        if reading.looks and reading.taken_on >= first
    ]


def _films(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    return [
        Check(day, not words.isdisjoint(FILM_LOOKS)) for day, words in _looks(track)
    ]


def _films_gone(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    """Films come and go: two looks in a row must find none."""
    looks = _looks(track)
    came = seen["films"].on or date.max
    clear = [words.isdisjoint(FILM_LOOKS) for _, words in looks]
    twice = [*map(all, zip(clear, clear[1:], strict=False)), False]
    return [
        Check(day, there and day > came)
        for (day, _), there in zip(looks, twice[: len(looks)], strict=True)
    ]


def _coralline(track: Track, _: object, seen: Seen) -> Iterable[Check]:
    return [Check(day, "coralline" in words) for day, words in _looks(track)]


def _in_band(
    track: Track, visits: tuple[BandVisit, ...], seen: Seen
) -> Iterable[Check]:
    """Both nutrients in band at every visit of four weeks."""
    reference = track.reference
    runs = [run_in_band(visits[: n + 1], reference) for n in range(len(visits))]
    return [
        Check(visit.on, long_enough(run, reference))
        for visit, run in zip(visits, runs, strict=True)
        if visit.in_band is not None
    ]


CHECKS: dict[str, Callable[[Track, tuple[BandVisit, ...], Seen], Iterable[Check]]] = {
    "ammonia-gone": _ammonia_gone,
    "nitrite-gone": _nitrite_gone,
    "nitrate-seen": _nitrate_seen,
    "flat-zero": _flat_zero,
    "films": _films,
    "films-gone": _films_gone,
    "coralline": _coralline,
    "in-band": _in_band,
}
MILESTONES = tuple(CHECKS)

# A flat zero is met on the way and nothing to wait for; films are, since most have
# them and ask about them.
_AHEAD = tuple(key for key in MILESTONES if key != "flat-zero")
_EARLY = ("ammonia-gone", "nitrite-gone", "nitrate-seen", "films")


def next_of(milestones: tuple[MilestoneSeen, ...], looked_late: bool = False) -> str:
    """Return the next step to wait for; "" where none is left.

    ``looked_late``: the tank was old at its first visit, and its early steps came
    and went before anybody looked.
    """
    seen = {step.key: step for step in milestones}
    for place, key in enumerate(_AHEAD):
        if seen[key].on is not None:
            continue
        passed = any(seen[later].on is not None for later in _AHEAD[place + 1 :])
        if passed and (key == "films" or seen[key].watched_until is None):
            continue  # a tank may never have films, or nobody tested
        if looked_late and key in _EARLY:
            continue
        if key == "films-gone" and seen["films"].on is None:
            continue
        return key
    return ""
