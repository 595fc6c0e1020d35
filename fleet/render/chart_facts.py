"""What a chart shows: readings over the weeks, the band, doses and water changes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Literal, NamedTuple

from fleet.records import Findings, Measurement, Work
from fleet.reference import Reference
from fleet.render.wording import Wording

WEEKS = 13  # shown at most
DESCRIBED = 6  # readings also told in words
_LEAST_DAYS = 28
_NICE = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


class Spot(NamedTuple):
    """One reading, in the shown unit."""

    on: date
    low: float
    high: float  # math.inf: more than the method can say
    best: float | None  # None: not told from none
    doubted: bool


class Mark(NamedTuple):
    """A piece of work shown above the plot."""

    on: date
    kind: Literal["dose", "water change"]


@dataclass(frozen=True, slots=True)
class Chart:
    """What one chart shows; nothing is worked out after this."""

    title: str
    since: date
    until: date
    since_label: str
    until_label: str
    top: float
    ticks: tuple[tuple[float, str], ...]  # value, label; most wanted first
    band: tuple[float, float] | None
    spots: tuple[Spot, ...]
    marks: tuple[Mark, ...]
    description: str  # the same in words


def chart_of(
    findings: Findings,
    parameter: str,
    wording: Wording,
    reference: Reference,
    weeks: int = WEEKS,
    described: bool = True,
) -> Chart | None:
    """Return the chart of one parameter of a tank; None if never measured.

    On paper nobody reads what it shows in words: ``described`` can leave that out.
    """
    finding = findings.of(parameter)
    if finding is None or not finding.history:
        return None
    display = wording.display
    until = findings.as_of
    first = finding.history[0].taken_on - timedelta(days=3)
    since = max(first, until - timedelta(days=7 * weeks))
    since = min(since, until - timedelta(days=_LEAST_DAYS))

    shown = partial(display.shown, parameter)
    spots = tuple(
        [
            _spot(measured, shown)
            for measured in finding.history
            if since <= measured.taken_on <= until
        ]
    )
    band = None
    if finding.band is not None and (
        finding.band.low is not None or finding.band.high is not None
    ):
        low, high = finding.band.low, finding.band.high
        band = (shown(low) if low else 0.0, math.inf if high is None else shown(high))
    top = _top(spots, band)
    wanted = [0.0, *(band or ()), top]
    ticks = tuple(
        (value, display.number(value, 3))
        for value in dict.fromkeys(wanted)
        if value <= top
    )
    title = f"{wording.label(parameter, 'parameter')}, {display.unit(parameter)}"
    title = title.removesuffix(", ")
    return Chart(
        title=title,
        since=since,
        until=until,
        since_label=display.short_day(since),
        until_label=display.short_day(until),
        top=top,
        ticks=ticks,
        band=band,
        spots=spots,
        marks=_marks(findings.work, parameter, since, until, reference),
        description=_description(finding.history, wording, title) if described else "",
    )


def _spot(measured: Measurement, shown: Callable[[float], float]) -> Spot:
    value = measured.value
    if measured.registers is False or measured.upper_limit_only:
        value = None
    elif value is None and math.isinf(measured.high):
        value = measured.low
    best = None if value is None else shown(value)
    return Spot(
        measured.taken_on,
        shown(measured.low),
        shown(measured.high),
        best,
        measured.doubt is not None,
    )


def _top(spots: tuple[Spot, ...], band: tuple[float, float] | None) -> float:
    """Return the end of the scale: readings first, the band as far as it helps."""
    ends = [
        end
        for spot in spots
        if not spot.doubted
        for end in (spot.high, spot.low, spot.best or 0.0)
        if math.isfinite(end)
    ]
    most = max(ends, default=0.0)
    if band is not None:
        low, high = band
        high = high if math.isfinite(high) else low
        helpful = min(1.15 * high, 1.5 * most if most else high)
        most = max(most * 1.05, 1.6 * low, helpful)
    if most <= 0:
        return 1.0
    power: float = 10.0 ** math.floor(math.log10(most))
    return next(step * power for step in _NICE if step * power >= most * 0.999)


def _marks(
    work: tuple[Work, ...], parameter: str, since: date, until: date, ref: Reference
) -> tuple[Mark, ...]:
    marks = []
    for done in work:
        if not since <= done.on <= until:
            continue
        if done.work == "water change":
            marks.append(Mark(done.on, "water change"))
        elif done.work == "dose" and _raises(done.salt, parameter, ref):
            marks.append(Mark(done.on, "dose"))
    return tuple(marks)


def _raises(salt: str, parameter: str, reference: Reference) -> bool:
    """Say whether a dose shows on the chart; one of an unknown substance does."""
    if not salt:
        return True
    known = reference.salts[salt]
    return known.raises == parameter or (
        parameter == "nitrate" and known.nitrogen_share > 0
    )


def _description(history: tuple[Measurement, ...], wording: Wording, title: str) -> str:
    """Return the readings in words, for who cannot see the picture."""
    said = "; ".join(
        f"{wording.display.short_day(measured.taken_on)}: "
        f"{measured.written} ({wording.display.can_mean(measured)})"
        for measured in history[-DESCRIBED:]
    )
    return f"{title}. {said}"
