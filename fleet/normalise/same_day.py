"""Two or more results of one parameter on one day: never decided by their order.

Where what they can mean overlaps, they are one result, told by the finest method
among them; results of equally fine methods are averaged. Where it does not overlap,
none of them is believed, unless a third settles it. What harms animals is not put
off: of ammonia and nitrite the higher counts, and of temperature and pH, which truly
move within a day, the one farther from the usual.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence, Set
from datetime import date
from itertools import groupby
from typing import NamedTuple

from fleet import problems
from fleet.intervals import half_width
from fleet.normalise.doubts import NEVER_A_SLIP, examine
from fleet.normalise.explained import Happenings
from fleet.normalise.levels import Entry, Series, best
from fleet.normalise.plausible import stands_out
from fleet.records import CellAddress, Doubt, Measurement, Problem, Sentence, say
from fleet.reference import Parameter, Reference

MOVES_IN_A_DAY = frozenset({"temperature", "ph"})
READ_BY_COLOUR = ("card", "drops", "meter")  # nitrite beside it is read as nitrate
_AS_FINE = 1.01  # times the finest: one method's results differ by rounding only
_OWN_WIDTH = 2.0  # times the method's own: a written range, an open end
_NAMED = 4  # cells named in a sentence


class _Day(NamedTuple):
    """The results of one day as one, and what to say to whoever keeps the workbook."""

    entries: list[Entry]
    problems: list[Problem]


def examine_days(
    parameter: Parameter,
    series: Series,
    happened: Happenings,
    nitrite_on: Set[date],
) -> tuple[list[Measurement], list[Problem]]:
    """Return what ``examine`` does, with at most one believed result a day.

    ``nitrite_on`` are the days on which a colour test of nitrate is an upper limit.
    """
    ordered = sorted(series.entries(), key=_order)
    alone, found = examine(parameter, Series.of(ordered), happened)
    limit = happened.reference.limits.get(f"{parameter.key}-same-day")
    slack = limit.value if limit is not None else 0.0
    faults = iter(found)  # one for each result doubted here, in order
    settled: list[Entry] = []
    met: list[Problem] = []
    pairs = zip(ordered, alone, strict=True)
    for day, group in groupby(pairs, key=lambda pair: pair[0].measured.taken_on):
        rows = [
            (entry, seen, next(faults) if _found(entry, seen) else None)
            for entry, seen in group
        ]
        if len(rows) == 1:
            settled.append(rows[0][0])
            continue
        for entry, seen, fault in rows:
            if not _may_be_right(seen):  # faulty by itself: the others replace it
                settled.append(entry._replace(measured=seen))
                met += [fault] if fault else []
        fit = [entry for entry, seen, _ in rows if _may_be_right(seen)]
        if len(fit) < 2:
            settled += fit
            continue
        one = _settled(parameter, fit, day in nitrite_on, slack, happened.reference)
        settled += one.entries
        met += one.problems
    measured, more = examine(parameter, Series.of(settled), happened)
    return measured, [*met, *more]


def _order(entry: Entry) -> tuple[date, float, float, str, str, CellAddress]:
    m = entry.measured
    return m.taken_on, m.low, m.high, m.written, m.method.name, m.source


def _found(entry: Entry, seen: Measurement) -> bool:
    return entry.measured.doubt is None and seen.doubt is not None


def _may_be_right(seen: Measurement) -> bool:
    """Say whether nothing speaks against a result but that it moved a long way."""
    return seen.doubt is None or seen.doubt.kind == "jump"


# ------------------------------------------------------------------------- one day


def _settled(
    parameter: Parameter,
    rows: list[Entry],
    beside_nitrite: bool,
    slack: float,
    reference: Reference,
) -> _Day:
    ends = [_ends(entry.measured, beside_nitrite, slack) for entry in rows]
    fine = _finest(rows)
    together = _largest_overlap(ends)
    if not fine.isdisjoint(together):
        chosen = [rows[place] for place in sorted(fine & together)]
        one = _as_one(parameter, chosen, rows, reference)._replace(seconded=True)
        others = [e for place, e in enumerate(rows) if place not in together]
        if not others:
            return _Day([one], [_named(problems.SAME_DAY_AGREES, rows, rows[0])])
        left = _doubted(parameter, others, rows)
        return _Day([*left, one], _each(problems.SAME_DAY_OUTVOTED, rows, others))
    if parameter.key in NEVER_A_SLIP or parameter.key in MOVES_IN_A_DAY:
        worst = _worst(parameter, rows)
        others = [entry for entry in rows if entry is not worst]
        left = _doubted(parameter, others, rows)
        one = _as_one(parameter, [worst], rows, reference)
        return _Day([*left, one], _each(problems.SAME_DAY_WORST, rows, others))
    left = _doubted(parameter, rows, rows)
    return _Day(left, _each(problems.SAME_DAY_DIFFERS, rows, rows))


def _ends(
    measured: Measurement, beside_nitrite: bool, slack: float
) -> tuple[float, float]:
    """Return the ends of a result, wider by half of what no decision rests on."""
    if beside_nitrite and measured.method.kind in READ_BY_COLOUR:
        return 0.0, measured.high
    return measured.low - slack / 2, measured.high + slack / 2


def _largest_overlap(ends: Sequence[tuple[float, float]]) -> frozenset[int]:
    """Return the places of the most results that share a value; none if not one set."""
    lows, highs = sorted(low for low, _ in ends), sorted(high for _, high in ends)
    found: list[float] = []
    most = 1
    for point in sorted(set(lows)):
        count = bisect_right(lows, point) - bisect_left(highs, point)
        if count > most:
            most, found = count, [point]
        elif count == most and most > 1:
            found.append(point)
    if len(found) != 1:
        return frozenset()
    (point,) = found
    return frozenset(n for n, (low, high) in enumerate(ends) if low <= point <= high)


def _finest(rows: Sequence[Entry]) -> frozenset[int]:
    """Return the places of the results by the finest method, at these amounts."""
    at = math.fsum(best(entry.measured) for entry in rows) / len(rows)
    widths = [_width(entry.measured, at) for entry in rows]
    limit = _AS_FINE * min(widths)
    return frozenset(n for n, width in enumerate(widths) if width <= limit)


def _width(measured: Measurement, at: float) -> float:
    """Return how far a result leaves the value open: its method's way, or its own."""
    method = measured.method
    width = half_width(at, method)
    if method.lowest is not None and at < method.lowest:
        width = max(width, method.lowest / 2)
    own = (measured.high - measured.low) / 2
    return own if own > _OWN_WIDTH * width else width


def _worst(parameter: Parameter, rows: Sequence[Entry]) -> Entry:
    if parameter.key in NEVER_A_SLIP:
        return max(rows, key=lambda entry: best(entry.measured))
    middle = sum(parameter.usual) / 2
    return max(rows, key=lambda entry: abs(best(entry.measured) - middle))


def _as_one(
    parameter: Parameter,
    chosen: Sequence[Entry],
    rows: Sequence[Entry],
    reference: Reference,
) -> Entry:
    """Return the chosen results as one: the mean of what they say, all named."""
    first = chosen[0]
    measured, picked = first.measured, set(map(id, chosen))
    others = [entry for entry in rows if id(entry) not in picked]
    written = [entry.measured.written for entry in (*chosen, *others)]
    note = _said("doubts.same-day", parameter, rows)
    if measured.note is not None:
        note = say("verdicts.both", first=measured.note, second=note)
    measured = measured._replace(
        written="; ".join(dict.fromkeys(written[:_NAMED])), note=note
    )
    if len(chosen) == 1:
        return first._replace(measured=measured)
    mean = _mean(measured, [entry.measured for entry in chosen])
    number = first.number if mean.value is None else mean.value
    odd = stands_out(
        parameter, first.result, number, mean.registers, mean.method, reference
    )
    known = first.known._replace(number=number, stands_out=odd)
    return first._replace(measured=mean, known=known)


def _mean(first: Measurement, results: Sequence[Measurement]) -> Measurement:
    """Return the mean of results alike; their method's error is mostly shared."""
    values = [m.value for m in results if m.value is not None]
    seen = {m.registers for m in results}
    normal = all(m.shape == "normal" for m in results)
    return first._replace(
        value=_average(values) if len(values) == len(results) else None,
        low=_average([m.low for m in results]),
        high=_average([m.high for m in results]),
        spread=_average([m.spread for m in results]) if normal else 0.0,
        shape="normal" if normal else "even",
        registers=seen.pop() if len(seen) == 1 else None,
    )


def _average(numbers: Sequence[float]) -> float:
    return math.fsum(numbers) / len(numbers)


# ------------------------------------------------------------------------ in words


def _said(key: str, parameter: Parameter, rows: Sequence[Entry]) -> Sentence:
    sources = [entry.measured.source for entry in rows]
    named = tuple(
        (entry.measured.written, entry.measured.source.cell)
        for entry in rows[:_NAMED]
    )  # fmt: skip
    return say(
        key,
        parameter=parameter.key,
        sheet=sources[0].sheet,
        results=named,
        more=len(rows) - len(named),
    )


def _doubted(
    parameter: Parameter, left: Sequence[Entry], rows: Sequence[Entry]
) -> list[Entry]:
    doubt = Doubt("differing", _said("doubts.differing", parameter, rows))
    return [e._replace(measured=e.measured._replace(doubt=doubt)) for e in left]


def _each(
    kind: problems.Kind, rows: Sequence[Entry], left: Sequence[Entry]
) -> list[Problem]:
    return [_named(kind, rows, entry) for entry in left]


def _named(kind: problems.Kind, rows: Sequence[Entry], at: Entry) -> Problem:
    named = ", ".join(
        f"'{e.measured.written}' in {e.measured.source.cell}" for e in rows[:_NAMED]
    )
    return kind.at(
        at.measured.source,
        at.measured.written,
        parameter=at.measured.parameter,
        on=at.measured.taken_on.isoformat(),
        results=named,
    )
