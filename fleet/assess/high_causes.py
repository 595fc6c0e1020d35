"""Why nitrate or phosphate reads too much: one function a cause.

Each returns its weight and reasons, or None where nothing points to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from fleet.assess.case import BARE_ROCK, Case, Weighed
from fleet.assess.evidence import best, feed_changes
from fleet.assess.supplied import change_water
from fleet.records import Sentence, say


def heavy_feeding(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that more is fed than the tank uses or loses."""
    tank, volume = case.tank, case.tank.volume_l
    fed = case.feed_per_100_l
    weight: float = w["usual"]
    because: tuple[Sentence, ...] = ()
    if fed is not None and case.feed is not None and volume:
        if fed == 0:
            return None
        facts = {"feed": case.feed.g_day, "volume": volume}
        if fed < case.limit("light-feeding"):
            weight *= w["light"]
            because += (say("causes.feed-adds-up", **facts),)
        elif fed >= w["heavy_feed"]:
            weight = w["heavy"]
            because += (say("causes.feed-heavy", **facts),)
        else:
            because += (say("causes.feed-usual", **facts),)
    elif tank.fish and volume and volume / tank.fish < w["litres_a_fish"]:
        weight = w["crowded"]
        because += (say("causes.many-fish", fish=tank.fish, volume=volume),)
    elif case.found.animals is False:
        return None
    else:
        because += (say("causes.feed-unnoted-high"),)
    changes = feed_changes(case.found.work, case.found.as_of)
    since = case.found.as_of - timedelta(days=w["raised_days"])
    if changes and changes[-1][0] >= since:
        before = changes[-2][1] if len(changes) > 1 else tank.feed_g_day
        if before is not None and changes[-1][1] > before:
            weight *= w["raised"]
            because += (say("causes.feed-raised", on=changes[-1][0]),)
    return Weighed(weight, because)


def little_export(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that less is taken out than comes in."""
    weight: float = w["usual"]
    because: tuple[Sentence, ...] = ()
    takes_out = case.reference.causes["over-filtration"][case.parameter]
    strong = any(takes_out.get(word, 0.0) >= 1 for word in case.running)
    if not any(word in takes_out for word in case.running):
        weight += w["nothing_runs"]
        because += (say("causes.no-export-noted"),)
    budget = case.budget
    if budget is not None and budget.input_mg_l_week:
        out = budget.removed_by_change_mg_l_week
        if out < budget.input_mg_l_week:
            weight += w["few_changes"]
            said = say(
                "causes.changes-take-less",
                parameter=case.parameter,
                out=max(out, 0.0),
                fed=budget.input_mg_l_week,
            )
            because += (said,)
    because = because or (say("causes.builds-up"),)
    return Weighed(weight / 2 if strong else weight, because)


def source_water(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh what the new water brings with it."""
    latest = case.finding.latest
    fill = change_water(case.settings, case.parameter)
    level = best(latest) if latest else 0.0
    if level <= 0 or fill < w["least_share"] * level:
        return None
    weight = w["full"] * min(fill / level, 1.0)
    weeks = case.reference.causes["budget"]["weeks"]
    if case.logged("water change", 7 * weeks) is None:
        weight *= w["unlogged"]
    said = say("causes.change-water", parameter=case.parameter, fill=fill)
    return Weighed(weight, (said,))


def rock_leaching(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that rock gives phosphate back when the water is poorer."""
    if case.parameter != "phosphate" or case.tank.rock == "none":
        return None
    weight = 0.0
    because: tuple[Sentence, ...] = ()
    age = case.age
    if (age is not None and age >= w["old_days"]) or case.stage.name == "mature":
        weight = w["old"]
        because += (say("causes.old-rock-gives-back"),)
    elif case.early and case.tank.rock in BARE_ROCK:
        weight = w["new_bare"]
        because += (say("causes.new-rock-gives-off"),)
    if any(
        e.kept_high is not None and e.kept_high < 1
        for e in case.effects("water change")
    ):
        weight = max(weight, w["new_bare"]) * w["rebound"]
        because += (say("causes.came-back"),)
    return Weighed(weight, because) if weight else None


def die_off(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that something died or rots and feeds the water."""
    weight = 0.0
    because: tuple[Sentence, ...] = ()
    gone = case.logged("livestock out", w["days"])
    if gone is not None:
        weight += w["logged"]
        because += (say("causes.animals-out", on=gone.on),)
    if case.stage.incident:
        weight += w["ammonia"]
        because += (say("causes.ammonia-too"),)
    looks = {*case.found.looks, *case.found.looks_before}
    if "tissue loss" in looks:
        weight += w["tissue"]
        because += (say("causes.tissue-loss"),)
    if _algae_gone(case):
        weight += w["films_gone"]
        because += (say("causes.algae-gone"),)
    age = case.age
    if case.tank.rock == "cured live" and age is not None and age <= w["cured_days"]:
        weight += w["cured_new"]
        because += (say("causes.live-rock-sheds"),)
    return Weighed(weight, because) if weight else None


def _algae_gone(case: Case) -> bool:
    algae = {"hair algae", "red mats"}
    return bool(
        algae & set(case.found.looks_before)
        and case.found.looks
        and not algae & set(case.found.looks)
    )


def overdosed(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh how far logged doses account for the excess: as a share of all causes."""
    latest = case.finding.latest
    if latest is None:
        return None
    since = case.found.as_of - timedelta(days=w["days"])
    rises = [
        e.expected_rise
        for e in case.effects("dose")
        if e.expected_rise and e.work.on >= since and e.work.on < latest.taken_on
    ]
    level = best(latest)
    rise = sum(rises)
    if level <= 0 or rise < w["least_share"] * level:
        return None
    top = case.finding.band.high if case.finding.band else None
    excess = level - top if top is not None and level > top else level
    weight = w["full"] * min(rise / excess, 1.0)
    return Weighed(
        weight, (say("causes.doses-given", parameter=case.parameter, rise=rise),)
    )


def end_of_cycle(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that all the ammonia of the cycle ends as nitrate."""
    if case.parameter != "nitrate" or case.stage.name != "just cycled":
        return None
    return Weighed(w["just_cycled"], (say("causes.cycle-leaves-nitrate"),))


def nitrite_in_test(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that a colour nitrate test counts nitrite as nitrate."""
    latest = case.finding.latest
    if latest is None or not latest.upper_limit_only:
        return None
    return Weighed(w["present"], (say("causes.nitrite-counted"),))


def growth_held_back(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that growth leaves this one in the water where the other is missing."""
    other = case.other
    if other is None or not other.flat_zero:
        return None
    said = say("causes.other-missing", missing=other.parameter, left=case.parameter)
    return Weighed(w["other_missing"], (said,))
