"""Slow, calculated corrections of salinity, temperature, pH and alkalinity."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

from fleet.plan.case import Case, best
from fleet.plan.water_changes import salinity_change
from fleet.records import Action, Finding, Sentence, say

_NEGLIGIBLE = 1e-9  # days: rounding must not ask for another day


def outside(finding: Finding) -> str:
    """Return ``low`` or ``high`` where a value is beyond where to act, else ``""``.

    The value itself decides, not the chance: a false "safe" is the worse mistake.
    """
    band = finding.band
    if band is None or finding.latest is None:
        return ""
    value = best(finding)
    if band.act_low is not None and value < band.act_low:
        return "low"
    if band.act_high is not None and value > band.act_high:
        return "high"
    # No act limit of its own: the second limit counts on the side it lies on.
    under = band.low is not None and value < band.low
    above = band.high is not None and value > band.high
    beyond = {"low": under, "high": above}.get(finding.second_limit, False)
    return finding.second_limit if beyond else ""


def correction(case: Case, rule: str, finding: Finding, side: str) -> Action:
    """Return the correction of one part of the water, with its rate limit."""
    makers = {"salinity": _salinity, "alkalinity": _alkalinity}
    maker = makers.get(finding.parameter, _by_equipment)
    return maker(case, rule, finding, side)


def _edge(finding: Finding, side: str) -> float:
    """Return the near edge of the usual band, which a correction aims at."""
    band = finding.band
    assert band is not None  # nothing is outside without a band
    edges = (band.low, band.act_low) if side == "low" else (band.high, band.act_high)
    return next(edge for edge in edges if edge is not None)


def _rate(case: Case, parameter: str) -> float:
    return case.reference.limit(f"{parameter}-change-day")


def days_for(distance: float, rate: float) -> int:
    """Return the days a change takes when held to a rate a day."""
    return max(math.ceil(abs(distance) / rate - _NEGLIGIBLE), 1)


def _by_equipment(case: Case, rule: str, finding: Finding, side: str) -> Action:
    """Temperature and pH: found and put right at the equipment, not dosed."""
    parameter, now = finding.parameter, best(finding)
    goal, rate = _edge(finding, side), _rate(case, finding.parameter)
    days = days_for(goal - now, rate)
    key = f"actions.correct-{parameter}-{side}"
    if key == "actions.correct-ph-low" and _alkalinity_is_usual(case):
        key = "actions.correct-ph-low-air"
    what = say(key, now=now, goal=goal, rate=rate, days=days)
    return _action(case, rule, finding, what, days, ((parameter, goal - now),))


def _alkalinity_is_usual(case: Case) -> bool:
    """Say whether today's alkalinity leaves carbon dioxide as the cause of a low pH."""
    finding = case.judged("alkalinity")
    return finding is not None and finding.age_days == 0 and finding.verdict == "within"


def _salinity(case: Case, rule: str, finding: Finding, side: str) -> Action:
    now, goal = best(finding), _edge(finding, side)
    change = salinity_change(case, now, goal)
    rate = _rate(case, "salinity")
    if change is None or change.times is None:
        days = days_for(goal - now, rate)
        what = say("actions.correct-salinity", now=now, goal=goal, rate=rate, days=days)
        return _action(case, rule, finding, what, days, (("salinity", goal - now),))
    volume = None if case.volume is None else change.share * case.volume
    what = say(
        f"actions.correct-salinity-{side}",
        now=now,
        goal=goal,
        rate=rate,
        days=change.times,
        share=change.share,
        volume=volume,
        fill=change.fill,
    )
    expected = (("salinity", goal - now),)
    swap = _action(case, rule, finding, what, change.times, expected)
    return replace(
        swap,
        water_change_l=volume,
        water_change_share=change.share,
        new_water="stronger" if change.fill > 0 else "purified",
        new_water_salinity=change.fill if change.fill > 0 else None,
    )


def _alkalinity(case: Case, rule: str, finding: Finding, side: str) -> Action:
    now, goal = best(finding), _edge(finding, side)
    rate = _rate(case, "alkalinity")
    days = days_for(goal - now, rate)
    expected = (("alkalinity", goal - now),)
    facts = {"now": now, "goal": goal, "rate": rate, "days": days}
    if side == "high":
        what = say("actions.correct-alkalinity-high", **facts)
        return _action(case, rule, finding, what, days, expected)
    salinity = case.judged("salinity")
    diluted = salinity is not None and outside(salinity) == "low"
    if diluted or case.volume is None:
        # Diluted water is low in everything: salinity brings alkalinity along.
        key = "diluted" if diluted else "volume"
        what = say(f"actions.correct-alkalinity-{key}", **facts)
        return _action(case, rule, finding, what, days, expected)
    per_meq = case.reference.limit("bicarbonate-mass")
    a_day = (goal - now) / days * case.volume * per_meq / 1000
    ml = a_day / case.reference.limit("bicarbonate-strength") * 1000
    what = say("actions.correct-alkalinity-low", grams=a_day, ml=ml, **facts)
    plain = _action(case, rule, finding, what, days, expected)
    return replace(
        plain,
        substance="sodium bicarbonate",
        amount_g=a_day * days,
        per_day_g=a_day,
        cautions=(*plain.cautions, say("cautions.salts")),
    )


def _action(
    case: Case,
    rule: str,
    finding: Finding,
    what: Sentence,
    days: int,
    expected: tuple[tuple[str, float], ...],
) -> Action:
    parameter = finding.parameter
    basis = finding.band.basis if finding.band else ""
    rate = case.reference.limits[f"{parameter}-change-day"].source
    return Action(
        id=f"welfare-{parameter}",
        kind="welfare",
        rule=rule,
        what=what,
        why=say(f"actions.correct-why-{parameter}"),
        when=case.today,
        until=case.today + timedelta(days=days - 1),
        parameter=parameter,
        days=days,
        expected=expected,
        stop_if=say("actions.correct-stop"),
        cautions=(say("cautions.electricity"), say("cautions.vet")),
        sources=(f"usual range: {basis}", f"largest change a day: {rate}"),
    )
