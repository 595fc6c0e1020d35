"""One tank's results: kept units, methods, doubts, and free ammonia worked out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence, Set
from datetime import date
from operator import attrgetter

from fleet import problems
from fleet.intervals import seen_as_trace
from fleet.normalise import doubted
from fleet.normalise.doubts import examine
from fleet.normalise.explained import Happenings
from fleet.normalise.free_ammonia import free_ammonia
from fleet.normalise.levels import Series, Understood, best
from fleet.normalise.methods import MethodLookup
from fleet.normalise.same_day import READ_BY_COLOUR, examine_days
from fleet.normalise.swapped import doubt_swapped
from fleet.records import (
    Measured,
    Measurement,
    Problem,
    Reading,
    Result,
    Settings,
    ShelfItem,
    Tank,
    Work,
)
from fleet.reference import Parameter, Reference

_Lists = tuple[list[Result], list[Understood], list[Measurement]]

_DAY = attrgetter("taken_on")
_IS_TOTAL = attrgetter("total")

# Doubts of ammonia and nitrite are settled first: nitrate's lean on them.
_FIRST = ("ammonia", "nitrite")


def measure_tank(
    tank: Tank,
    readings: Sequence[Reading],
    work: Sequence[Work],
    lookup: MethodLookup,
    shelf: Sequence[ShelfItem],
    settings: Settings,
    reference: Reference,
    as_of: date,
) -> Measured:
    """Return what one tank's results can mean; readings and work oldest first.

    What is dated after ``as_of`` is kept, doubted and named as a problem.
    """
    met: list[Problem] = []
    series = _series(readings, lookup, as_of, met)
    done = _done(work, as_of, met)
    happened = Happenings(tank, done, (), tuple(shelf), settings, reference)
    measured: dict[str, list[Measurement]] = {}
    for key in _FIRST:
        if key in series:
            measured[key] = _examined(key, series[key], happened, frozenset(), met)
    nitrogen = [m for key in measured for m in measured[key] if m.doubt is None]
    happened = happened._replace(nitrogen=tuple(nitrogen))
    nitrite_on = _nitrite_days(measured.get("nitrite", ()), reference)
    for key in series:
        if key not in _FIRST:
            days = nitrite_on if key == "nitrate" else frozenset()
            measured[key] = _examined(key, series[key], happened, days, met)
    if "nitrate" in measured and "phosphate" in measured:
        measured = doubt_swapped(measured, series, reference, met)
    if "nitrate" in measured and nitrite_on:
        measured["nitrate"] = _beside_nitrite(measured["nitrate"], nitrite_on)
    ordered: list[Measurement] = []
    for key in reference.parameters:
        ordered += measured.get(key, ())
        if key == "ammonia" and key in measured:
            ordered += free_ammonia(measured[key], measured, settings, reference)
    return Measured(tuple(ordered), tuple(met))


def _done(work: Sequence[Work], as_of: date, met: list[Problem]) -> tuple[Work, ...]:
    for row in work:
        if row.on > as_of:
            met.append(
                problems.WORK_IN_FUTURE.at(
                    row.source,
                    row.on.isoformat(),
                    on=row.on.isoformat(),
                    as_of=as_of.isoformat(),
                )
            )
    return tuple(row for row in work if row.on <= as_of)


# ------------------------------------------------------------------ one by one


def _series(
    readings: Sequence[Reading],
    lookup: MethodLookup,
    as_of: date,
    met: list[Problem],
) -> dict[str, Series]:
    """Return each parameter's results, oldest first, before any is weighed."""
    lists: defaultdict[str, _Lists] = defaultdict(lambda: ([], [], []))
    traces = lookup.reference.vocabulary["trace"]["any"]
    for reading in readings:
        day = reading.taken_on
        future = None
        if day > as_of:
            future = doubted.in_future(day, as_of)
            met.append(
                problems.READING_IN_FUTURE.at(
                    reading.source,
                    day.isoformat(),
                    on=day.isoformat(),
                    as_of=as_of.isoformat(),
                )
            )
        for result in reading.results:
            known = lookup.understand(result, reading)
            if known is None:
                continue
            parameter, written, form, _, _, unit, _, source = result
            meant, _, at_fault, _, total, method, note = known
            if form == "none seen" and seen_as_trace(written, traces):
                meant = meant._replace(registers=True)
            doubt = future
            if at_fault:
                fault = doubted.below_zero(parameter, result)
                doubt = doubt or fault.doubt
                met.append(fault.problem)
            results, understood, measured = lists[parameter]
            results.append(result)
            understood.append(known)
            facts = (
                parameter,
                day,
                *meant,
                written,
                method,
                source,
                total,
                doubt,
                note,
                unit,
            )
            # Takes two thirds of the time of a call with so many arguments.
            measured.append(Measurement._make(facts))
    return {parameter: Series(*three) for parameter, three in lists.items()}


# ---------------------------------------------------------------- one beside another


def _examined(
    key: str,
    series: Series,
    happened: Happenings,
    nitrite_on: Set[date],
    met: list[Problem],
) -> list[Measurement]:
    """Return a parameter's results with doubts set; total phosphorus on its own."""
    parameter = happened.reference.parameters[key]
    if not any(map(_IS_TOTAL, series.known)):
        return _of_a_kind(parameter, series, happened, nitrite_on, met)
    entries = series.entries()
    apart: list[Measurement] = []
    for total in (False, True):
        chosen = [entry for entry in entries if entry.known.total is total]
        apart += _of_a_kind(parameter, Series.of(chosen), happened, nitrite_on, met)
    return sorted(apart, key=_DAY)


def _of_a_kind(
    parameter: Parameter,
    series: Series,
    happened: Happenings,
    nitrite_on: Set[date],
    met: list[Problem],
) -> list[Measurement]:
    if len(set(map(_DAY, series.measured))) == len(series.measured):
        examined, found = examine(parameter, series, happened)
    else:
        examined, found = examine_days(parameter, series, happened, nitrite_on)
    met += found
    return examined


def _nitrite_days(
    nitrite: Sequence[Measurement], reference: Reference
) -> frozenset[date]:
    """Return the days on which nitrite stood high enough to be read as nitrate."""
    limit = reference.limit("nitrite-interferes")
    return frozenset(
        m.taken_on
        for m in nitrite
        if m.registers is not False and m.doubt is None and best(m) >= limit
    )


def _beside_nitrite(
    nitrate: list[Measurement], nitrite_on: Set[date]
) -> list[Measurement]:
    """Return nitrate, read by colour beside nitrite, as an upper limit only."""
    return [
        m._replace(
            low=0.0,
            spread=0.0,
            shape="even",
            upper_limit_only=True,
            registers=False if m.registers is False else None,
        )
        if m.taken_on in nitrite_on and m.method.kind in READ_BY_COLOUR
        else m
        for m in nitrate
    ]
