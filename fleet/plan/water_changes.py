"""What share of the system volume to exchange, how often, and what it brings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from fleet.plan.case import NUTRIENTS, Case, best
from fleet.records import Action, Finding, Sentence, say
from fleet.science.ammonia import free_share
from fleet.science.concentration import ammonia_from_nitrogen
from fleet.science.dilution import (
    after_changes,
    changes_needed,
    dilution_fraction,
    long_run_level,
)

_NEGLIGIBLE = 1e-9


@dataclass(frozen=True, slots=True)
class Change:
    """One water change: how much, and where it brings the level."""

    share: float
    now: float
    goal: float
    fill: float  # level in the new water
    after: float
    times: int | None  # such changes into the band; None: cannot be said, or never
    rise: float = 0.0  # what comes in between two changes, counted in; 0: not known


class FreeAmmonia(NamedTuple):
    """Free ammonia [mg/L NH3], where to act, and what had to be assumed."""

    value: float
    low: float
    high: float
    act: float
    limit: float
    share: float  # of the total, by nitrogen
    assumed: tuple[str, ...]


def fill_level(case: Case, parameter: str) -> float:
    """Return what the change water holds; none where the workbook is silent."""
    for name, value in case.settings.change_water:
        if name == parameter and math.isfinite(value):
            return max(value, 0.0)
    return 0.0


def fill_noted(case: Case, parameter: str) -> bool:
    """Say whether the workbook notes what the change water holds."""
    return any(
        name == parameter and math.isfinite(value)
        for name, value in case.settings.change_water
    )


def largest_share(case: Case, *, urgent: bool = False) -> float:
    """Return the largest share of one change; no setting goes above the urgent.

    The workbook's own limit is for planned changes: one that cannot wait passes it.
    """
    ceiling = case.reference.limit("water-change-urgent")
    if urgent:
        return ceiling
    own = case.settings.largest_water_change
    if own is not None and own > 0:
        return min(own, ceiling)
    # With no animals in, nobody minds a large step.
    empty = case.findings.animals is False
    return ceiling if empty else case.reference.limit("water-change-planned")


def past_usual(case: Case, share: float) -> float | None:
    """Return the limit of planned changes, where an urgent one passes it."""
    usual = largest_share(case)
    return usual if share > usual * (1 + _NEGLIGIBLE) else None


def nutrient_change(
    case: Case, finding: Finding, *, fill: float | None = None
) -> Change | None:
    """Return the change that brings a nutrient a step towards its band.

    ``fill`` is what the new water holds, the workbook's if not given. None where the
    new water is itself too rich to help, or the step too small to be worth the work.
    """
    band = finding.band
    if band is None or band.high is None or finding.latest is None:
        return None
    now = best(finding)
    fill = fill_level(case, finding.parameter) if fill is None else fill
    goal = _goal(case, finding, fill)
    if not fill < goal < now:
        return None
    whole = dilution_fraction(now, goal, fill)
    fills = {finding.parameter: fill}
    share = min(whole, largest_share(case), gentle_share(case, fills))
    if share < case.reference.limit("water-change-least") * (1 - _NEGLIGIBLE):
        return None
    after, rise = after_changes(now, share, fill), rise_week(case, finding)
    times = _times(now, band.high, fill, share, rise)
    return Change(share, now, goal, fill, after, times, rise)


def gentle_share(case: Case, fills: Mapping[str, float] | None = None) -> float:
    """Return the largest share of one planned change that no nutrient falls too far by.

    ``fills`` is what the new water holds, where that is not what the workbook says.
    """
    share = 1.0
    if case.findings.animals is False:
        return share
    for name in NUTRIENTS:
        finding = case.usable(name)
        if finding is None or finding.latest is None or not finding.latest.registers:
            continue
        now, fill = best(finding), (fills or {}).get(name, fill_level(case, name))
        if now > fill:
            share = min(share, _largest_fall(case, name, now) / (now - fill))
    return share


def _largest_fall(case: Case, parameter: str, now: float) -> float:
    """Return how far one planned change may take a nutrient down [mg/L].

    By a share of its value, or by the largest fall of a day where that is more. Where
    corals may be, which a fast fall costs tissue, also by no more than the days to the
    next change allow; the smallest change that is worth the work always passes.
    """
    limit = case.reference.limit
    fall = limit(f"{parameter}-fall-share") * now
    a_day = case.reference.limits.get(f"{parameter}-fall-day")
    if a_day is None:
        return fall
    fall = max(fall, a_day.value)
    if case.findings.corals is False:
        return fall
    most = a_day.value * limit("week-retest")
    return min(fall, max(most, limit("water-change-least") * now))


def rise_week(case: Case, finding: Finding) -> float:
    """Return what the tank adds a week by its own tests, work taken out; 0: not known.

    With no animals in, changes are not a week apart and nothing is fed.
    """
    trend = finding.trend
    if trend is None or trend.low <= 0 or case.findings.animals is False:
        return 0.0
    return trend.per_week


def same_step(case: Case, finding: Finding, change: Change) -> tuple[str, Change]:
    """Return a nutrient with what a change sized for another one does to it."""
    now, fill = best(finding), fill_level(case, finding.parameter)
    goal = _goal(case, finding, fill)
    after = after_changes(now, change.share, fill)
    rise = rise_week(case, finding)
    edge = finding.band.high if finding.band and finding.band.high else goal
    times = _times(now, edge, fill, change.share, rise) if edge < now else 1
    step = Change(change.share, now, goal, fill, after, times, rise)
    return finding.parameter, step


def _goal(case: Case, finding: Finding, fill: float) -> float:
    """Return where water changes aim: some way inside the band's high edge."""
    band = finding.band
    assert band is not None and band.high is not None  # it is judged over
    inside = band.high - case.reference.limit("band-inside") * (
        band.high - (band.low or 0.0)
    )
    return inside if fill < inside else band.high


def free_ammonia(case: Case) -> FreeAmmonia | None:
    """Return the free ammonia of the latest test at the tank's own water."""
    finding = case.usable("ammonia")
    if finding is None or finding.latest is None:
        return None
    limit = case.reference.limit("free-ammonia-chronic")
    water = {name: case.usable(name) for name in ("ph", "temperature", "salinity")}
    assumed = tuple(name for name, known in water.items() if known is None)
    ph, temperature, salinity = (
        case.reference.limit(f"{name}-assumed") if known is None else best(known)
        for name, known in water.items()
    )
    share = free_share(ph, temperature, salinity)
    worked = case.usable("free_ammonia")
    if worked is not None and worked.latest is not None:
        value, low, high = best(worked), worked.latest.low, worked.latest.high
    else:
        value, low, high = (
            ammonia_from_nitrogen(total * share)
            for total in (best(finding), finding.latest.low, finding.latest.high)
        )
    return FreeAmmonia(
        value=value,
        low=min(low, value),
        high=max(high, value),
        act=case.free_ammonia_act,
        limit=limit,
        share=share,
        assumed=assumed,
    )


def ammonia_change(case: Case, free: FreeAmmonia) -> Change | None:
    """Return the urgent change that brings free ammonia under where to act.

    The best value is brought under where to act, and the highest the test allows
    under the published limit; more than one day may be needed for both.
    """
    wanted = 0.0
    if free.value > free.act:
        wanted = dilution_fraction(free.value, free.act, 0.0)
    if free.high > free.limit:
        far = math.isinf(free.high)
        worst = 1.0 if far else dilution_fraction(free.high, free.limit, 0.0)
        wanted = max(wanted, worst)
    if wanted == 0.0:
        return None
    largest = largest_share(case, urgent=True)
    share = min(max(wanted, case.reference.limit("water-change-least")), largest)
    # How often cannot be said: the filter may catch up, or more may come in.
    after = free.value * (1 - share)
    return Change(share, free.value, free.act, 0.0, after, None)


def salinity_change(case: Case, now: float, goal: float) -> Change | None:
    """Return the share to exchange each day to bring salinity to ``goal``.

    Purified water lowers it, new water mixed strong raises it. The first day moves
    it by the largest change a day, each later day by less.
    """
    fill = 0.0 if goal < now else case.reference.limit("salinity-raise-water")
    if now == goal or not min(now, fill) < goal < max(now, fill):
        return None
    a_day = case.reference.limit("salinity-change-day") / abs(now - fill)
    whole = dilution_fraction(now, goal, fill)
    share = min(a_day, whole, largest_share(case))
    after = after_changes(now, share, fill)
    return Change(share, now, goal, fill, after, _times(now, goal, fill, share))


def _times(
    now: float, goal: float, fill: float, share: float, rise: float = 0.0
) -> int | None:
    """Return how many changes reach the goal, with ``rise`` between two of them."""
    if rise <= 0:
        try:
            return changes_needed(now, goal, fill, share)
        except ValueError:
            return None
    first = after_changes(now, share, fill)
    if first <= goal:
        return 1
    # What comes in each time acts like richer new water.
    settled = long_run_level(rise, share, fill) - rise
    if settled >= goal:
        return None
    return 1 + changes_needed(first, goal, settled, share)


def tank_salinity(case: Case) -> float | None:
    """Return the salinity new water is matched to; None where it is not known."""
    finding = case.usable("salinity")
    return None if finding is None else best(finding)


def change_action(
    case: Case, rule: str, what: Sentence, why: Sentence, change: Change, parameter: str
) -> Action:
    """Return the water change as an action, with what it should bring."""
    fall = change.after - change.now
    volume = case.volume
    return Action(
        id="change-water",
        kind="water change",
        rule=rule,
        what=what,
        why=why,
        when=case.today,
        parameter=parameter,
        expected=((parameter, fall),),
        water_change_l=None if volume is None else change.share * volume,
        water_change_share=change.share,
        new_water="like the tank",
        new_water_salinity=tank_salinity(case),
        cautions=(say("cautions.match-water"), say("cautions.electricity")),
        sources=("share: mass balance, a well-mixed system",),
    )


def too_rich(case: Case, finding: Finding) -> bool:
    """Say whether the change water itself holds too much to be of help."""
    high = finding.band.high if finding.band else None
    fill = fill_level(case, finding.parameter)
    return high is not None and (fill >= high or fill >= best(finding))
