"""What to add, how much and over how many days."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import NamedTuple

from fleet.plan.case import Case, assumed_band, best
from fleet.plan.last_doses import pending, uptake_day
from fleet.plan.retests import THIRD
from fleet.plan.salts import cautions, choose_salt, sources
from fleet.plan.stocks import choose_stock, doubted_bottle, stock_words
from fleet.records import Action, DoseWorking, Sentence, ShelfItem, say
from fleet.science.alkalinity import AMMONIUM_TO_NITRATE, alkalinity_change
from fleet.science.concentration import NITROGEN
from fleet.science.dosing import grams_for_rise

_NEGLIGIBLE = 1e-9  # days: rounding must not ask for another day


@dataclass(frozen=True, slots=True)
class Rise:
    """A wanted rise, before it is cut into days and a salt is chosen."""

    parameter: str
    aim: float
    days_at_most: int  # until the next test
    pace: float = 1.0  # share of the largest rise a day


class Steps(NamedTuple):
    """A rise cut into equal days."""

    total: float
    days: int


def largest_rise_day(case: Case, parameter: str) -> float:
    """Return the largest rise a day [mg/L]: the workbook's, under the ceiling."""
    limits = case.reference.limits
    largest = limits[f"{parameter}-rise-day"].value
    for name, value in case.settings.largest_rise_day:
        if name == parameter and value > 0:
            largest = value
    ceiling = limits.get(f"{parameter}-rise-day-ceiling")
    return min(largest, ceiling.value) if ceiling else largest


def steps(need: float, largest: float, uptake: float, room: float, most: int) -> Steps:
    """Cut a rise into equal days, none above ``largest``, all within ``room``.

    What the tank takes up meanwhile is added, so that small doses are repeated
    until the next test; ``room`` is counted as if it took up nothing.
    """
    left = largest - uptake
    days = math.ceil(need / left - _NEGLIGIBLE) if left > 0 else most
    days = min(max(days, 1), most)
    total = min(need + uptake * days, largest * days, room)
    return Steps(total, days)


def dose(case: Case, rule: str, wanted: Rise) -> Action | None:
    """Return the dose that raises a nutrient to its aim, or None if none is right."""
    finding = case.judged(wanted.parameter)
    logged = pending(case, wanted.parameter)
    if finding is None or finding.latest is None or logged is None:
        return None
    if finding.verdict != "under" or finding.band is None or case.volume is None:
        return None
    if case.stage == "cycling" or case.ammonia_seen is not None:
        return None
    if assumed_band(finding):
        return None
    ceiling = finding.band.high if finding.band.high is not None else wanted.aim
    now, high = best(finding) + logged, finding.latest.high + logged
    need, room = wanted.aim - now, ceiling - high
    if not (need > 0 and room > 0):
        return None
    largest = largest_rise_day(case, wanted.parameter)
    uptake = uptake_day(case, wanted.parameter)
    total, days = steps(need, largest * wanted.pace, uptake, room, wanted.days_at_most)
    item = choose_salt(case, wanted.parameter, total * case.volume / 1000)
    working = DoseWorking(
        parameter=wanted.parameter,
        volume_l=case.volume,
        from_value=now,
        from_high=high,
        aim=wanted.aim,
        ceiling=ceiling,
        rise_day=total / days,
        largest_rise_day=largest,
        ion_share=case.reference.salts[item.substance].ion_share,
        purity=item.purity,
        uptake_day=uptake,
    )
    return _action(case, rule, item, working, days, _why(rule, working))


def _action(
    case: Case,
    rule: str,
    item: ShelfItem,
    working: DoseWorking,
    days: int,
    why: Sentence,
) -> Action:
    """Return the dose that ``working`` describes, from the best bottle."""
    salt = case.reference.salts[item.substance]
    a_day = grams_for_rise(
        working.rise_day, working.volume_l, salt.ion_share, item.purity
    )
    stock = choose_stock(case, item, a_day, working.largest_rise_day)
    parameter = working.parameter
    until = case.start + timedelta(days=days - 1)
    return Action(
        id=f"dose-{parameter}",
        kind="dose",
        rule=rule,
        what=say(
            _form(working, days),
            parameter=parameter,
            salt=item.substance,
            grams=a_day,
            ml=stock.day_ml,
            strength=stock.strength,
            days=days,
            start=case.start,
            until=until,
            rise=working.rise_day * days,
            displays=case.findings.tank.displays,
        ),
        why=why,
        when=case.start,
        until=until,
        parameter=parameter,
        substance=item.substance,
        amount_g=a_day * days,
        amount_ml=stock.day_ml * days,
        stock_g_per_l=stock.strength,
        days=days,
        per_day_g=a_day,
        per_day_ml=stock.day_ml,
        expected=((parameter, working.rise_day * days),),
        stop_if=_stop(working, days),
        cautions=(*doubted_bottle(case, item), *cautions(salt)),
        sources=sources(case, parameter, salt),
        working=working,
        stock=stock_words(case, item, stock, days),
        thinned_from=stock.thinned_from,
    )


def _stop(working: DoseWorking, days: int) -> Sentence:
    """Return when to stop: by a reading only where a test comes in between."""
    if days < THIRD:
        return say("actions.dose-stop-few", days=days)
    return say("actions.dose-stop", parameter=working.parameter, reading=working.aim)


def _form(working: DoseWorking, days: int) -> str:
    """Return which sentence says the dose."""
    if days == 1:
        return "actions.dose-once"
    return "actions.dose-repeat" if working.uptake_day > 0 else "actions.dose"


def _why(rule: str, working: DoseWorking) -> Sentence:
    """Return the reason for a dose in one sentence."""
    if working.uptake_day > 0 or rule == "dosed-and-nothing-seen":
        return say(
            "actions.dose-why-repeat",
            parameter=working.parameter,
            uptake=working.uptake_day,
        )
    return say(f"actions.dose-why-{rule}", parameter=working.parameter)


def ammonia_check(case: Case, rule: str) -> Action | None:
    """Return the measured ammonia addition that shows whether a filter works.

    None with animals in or perhaps in, where ammonia registers or was not tested
    lately, and where the volume is not known.
    """
    no_animals = case.findings.animals is False
    if not no_animals or not case.ammonia_clear or case.volume is None:
        return None
    rise = case.reference.limit("ammonia-check-addition")
    item = choose_salt(case, "ammonia", rise * case.volume / 1000)
    salt = case.reference.salts[item.substance]
    working = DoseWorking(
        parameter="ammonia",
        volume_l=case.volume,
        from_value=0.0,
        from_high=0.0,
        aim=rise,
        ceiling=rise,
        rise_day=rise,
        largest_rise_day=rise,
        ion_share=salt.ion_share,
        purity=item.purity,
        uptake_day=0.0,
    )
    # On dissolving and on being nitrified taken together.
    cost = alkalinity_change(salt.alkalinity_eq + AMMONIUM_TO_NITRATE, rise, NITROGEN)
    limits = case.reference.limits
    days = int(case.reference.limit("ammonia-works-within"))
    looks = (int(case.reference.limit("urgent-retest")), days)
    why = say("actions.ammonia-check-why", alkalinity=cost, days=days)
    plain = _action(case, rule, item, working, 1, why)
    return replace(
        plain,
        id="dose-ammonia-check",
        what=say(
            "actions.ammonia-check",
            salt=item.substance,
            grams=plain.amount_g,
            ml=plain.amount_ml,
            strength=plain.stock_g_per_l,
            rise=rise,
            displays=case.findings.tank.displays,
            hours=tuple(24 * look for look in looks),
        ),
        expected=(("ammonia", rise), ("alkalinity", cost)),
        stop_if=say("actions.ammonia-check-stop"),
        sources=(
            f"addition: {limits['ammonia-check-addition'].source}",
            "alkalinity: Wolf-Gladrow et al. (2007), Mar. Chem. 106, 287-300",
            f"salt: {salt.source}",
        ),
    )
