"""What the tests, the log and the Tanks sheet say of the nitrogen cycle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from itertools import takewhile
from typing import NamedTuple

from fleet.assess.evidence import animals_shown, believed, best, feed_changes
from fleet.records import Measured, Measurement, Tank, Work
from fleet.reference import Reference

SEEDED_ROCK = ("cured live", "mixed")


class Cycle(NamedTuple):
    """Signs of the nitrogen cycle in one tank."""

    high: tuple[Measurement, ...]  # newest ammonia and nitrite at or above the limits
    tested_on: date | None  # newest ammonia or nitrite test
    ended_on: date | None
    ended: str  # "noted", "seen" (fell and stayed down), "once" (one clean visit), ""
    clean_visits: int  # in a row, up to now
    clean_twice: bool  # two of them far enough apart
    cleaned: bool  # was clean at some visit after the start
    nitrate_tested: bool
    nitrate_seen: bool
    began: bool  # ammonia or nitrite was once at or above the limits, or added
    fed: bool  # animals counted or logged, feed or ammonia: something to cycle on
    seeded: bool
    stalled_days: int | None  # ammonia has stood this long without falling

    @property
    def ammonia_high(self) -> bool:
        """Whether the newest ammonia is at or above the limit."""
        return any(m.parameter == "ammonia" for m in self.high)


def cycle_of(
    tank: Tank,
    measured: Measured,
    work: tuple[Work, ...],
    reference: Reference,
    as_of: date,
    factor: float,
) -> Cycle:
    """Return the signs of the cycle; ``factor`` stretches the usual times."""
    ammonia = believed(measured, "ammonia", as_of)
    nitrite = believed(measured, "nitrite", as_of)
    limits = {
        "ammonia": reference.stage("cycling-ammonia"),
        "nitrite": reference.stage("cycling-nitrite"),
    }
    high = tuple(m[-1] for m in (ammonia, nitrite) if m and _is_high(m[-1], limits))
    visits = _visits(ammonia, nitrite, limits)
    gap = reference.stage("clean-gap")
    added = _ammonia_added(work, reference, as_of)
    used = _addition_used(added, ammonia, limits, reference)
    cleans = _clean_run(reversed(visits))[::-1]
    ended_on: date | None
    if tank.cycled_on is not None and tank.cycled_on <= as_of:
        ended_on, ended = tank.cycled_on, "noted"
    else:
        grown = _grown_on(tank, reference, factor)
        ended_on, ended = _seen_to_end(visits, grown, gap)
        if used is not None and ended != "seen":
            ended_on, ended = used, "seen"
    nitrate = believed(measured, "nitrate", as_of)
    living = animals_shown(tank, work, as_of)
    fed_ever = bool(tank.feed_g_day) or any(g > 0 for _, g in feed_changes(work, as_of))
    return Cycle(
        high=high,
        tested_on=visits[-1][0] if visits else None,
        ended_on=ended_on,
        ended=ended,
        clean_visits=len(cleans),
        clean_twice=bool(cleans) and (cleans[-1] - cleans[0]).days >= gap,
        cleaned=_was_clean(visits, tank, reference, factor),
        nitrate_tested=bool(nitrate),
        nitrate_seen=any(m.registers for m in nitrate),
        began=bool(added) or any(up for _, up in visits),
        fed=living or fed_ever or bool(added),
        seeded=_seeded(tank, work, reference, as_of),
        stalled_days=_stalled(ammonia, added, limits, reference, factor),
    )


def _is_high(m: Measurement, limits: Mapping[str, float]) -> bool:
    return m.registers is not False and best(m) >= limits[m.parameter]


def _visits(
    ammonia: tuple[Measurement, ...],
    nitrite: tuple[Measurement, ...],
    limits: Mapping[str, float],
) -> list[tuple[date, bool]]:
    """Return each visit that tested, and whether either stood at its limit.

    A visit that tested nitrite alone says nothing clean: ammonia comes first.
    """
    up = {m.taken_on for m in (*ammonia, *nitrite) if _is_high(m, limits)}
    days = up.union([m.taken_on for m in ammonia])
    return [(day, day in up) for day in sorted(days)]


def _clean_run(visits: Iterable[tuple[date, bool]]) -> list[date]:
    return [day for day, _ in takewhile(lambda visit: not visit[1], visits)]


def _grown_on(tank: Tank, reference: Reference, factor: float) -> date:
    """Return the day after which a peak is an incident and no cycle."""
    if tank.filled_on is None:
        return date.max
    return tank.filled_on + timedelta(days=reference.stage("cycling-age") * factor)


def _seen_to_end(
    visits: list[tuple[date, bool]], grown: date, gap: float
) -> tuple[date | None, str]:
    """Return when the tests showed ammonia and nitrite down, and how surely."""
    peaks = [day for day, up in visits if up and day <= grown]
    if not peaks:
        return None, ""
    run = _clean_run(visit for visit in visits if visit[0] > peaks[-1])
    if not run:
        return None, ""
    return run[0], "seen" if (run[-1] - run[0]).days >= gap else "once"


def _was_clean(
    visits: list[tuple[date, bool]], tank: Tank, reference: Reference, factor: float
) -> bool:
    """Say whether a clean visit followed a peak, or the first weeks."""
    start = timedelta(days=reference.stage("cycling-untested-age") * factor)
    peaked = False
    for day, up in visits:
        if not up and (peaked or (tank.filled_on and day >= tank.filled_on + start)):
            return True
        peaked = peaked or up
    return False


def _ammonia_added(
    work: tuple[Work, ...], reference: Reference, as_of: date
) -> list[date]:
    return [
        w.on
        for w in work
        if w.work == "dose"
        and w.on <= as_of
        and w.salt
        and reference.salts[w.salt].ammonia_bearing
    ]


def _addition_used(
    added: list[date],
    ammonia: tuple[Measurement, ...],
    limits: Mapping[str, float],
    reference: Reference,
) -> date | None:
    """Return the first day an ammonia addition was found used up."""
    within = reference.stage("ammonia-used-within")
    for day in added:
        later = [m for m in ammonia if 0 < (m.taken_on - day).days <= within]
        if later and not _is_high(later[0], limits):
            return later[0].taken_on
    return None


def _seeded(
    tank: Tank, work: tuple[Work, ...], reference: Reference, as_of: date
) -> bool:
    if tank.rock in SEEDED_ROCK:
        return True
    return any(w.on <= as_of and brings_seed(w, reference) for w in work)


def brings_seed(done: Work, reference: Reference) -> bool:
    """Say whether a row of the log brought something that filters live on."""
    if done.work != "seeding":
        return False
    written = done.substance.casefold()
    return any(word in written for word in reference.vocabulary["seed"]["any"])


def _stalled(
    ammonia: tuple[Measurement, ...],
    added: list[date],
    limits: Mapping[str, float],
    reference: Reference,
    factor: float,
) -> int | None:
    """Return for how many days ammonia has stood without falling, if too long."""
    run: list[Measurement] = []
    for m in reversed(ammonia):
        if not _is_high(m, limits):
            break
        run.append(m)
    if len(run) < 2:
        return None
    newest = run[0]
    usual = timedelta(days=reference.stage("stalled-after") * factor)
    start = newest.taken_on - usual
    if run[-1].taken_on > start or any(day > start for day in added):
        return None
    # The last result before the span opens it, so that the span is a full one.
    before = max(m.taken_on for m in run if m.taken_on <= start)
    span = [m for m in run if m.taken_on >= before]
    if best(newest) < reference.stage("fallen-share") * max(best(m) for m in span):
        return None
    return (newest.taken_on - run[-1].taken_on).days
