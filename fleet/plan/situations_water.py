"""The animals and the rest of the water: welfare, and what to keep an eye on."""

from __future__ import annotations

import math

from fleet.plan.case import GASPING, TISSUE, Case, Wanted, best
from fleet.plan.corrections import correction, outside
from fleet.plan.life import feed_none
from fleet.plan.retests import retests
from fleet.plan.situations_ammonia import cycle_with_animals
from fleet.plan.water_changes import (
    Change,
    change_action,
    largest_share,
    past_usual,
    tank_salinity,
)
from fleet.records import Action, Finding, Sentence, say
from fleet.science.dilution import dilution_fraction

# What may explain an animal in need, and is tested at once.
_TEST_NOW = ("ammonia", "temperature", "salinity", "ph")
_MINERALS = ("calcium", "magnesium")


def welfare(case: Case) -> Wanted | None:
    """Water out of the safe range, or an animal in need: today, before all else."""
    if case.findings.animals is False:
        return None
    # Air is the one thing that helps within minutes.
    parts = (*_gasping(case), *_unsafe(case), *_nitrite(case), *_tissue(case))
    if not parts:
        return None
    rule = "welfare"
    off = tuple(finding.parameter for finding, _ in unsafe_water(case))
    seen = case.in_need
    tests = _tests_now(case, rule) if seen else ()
    # Tissue loss alone puts nutrients off by a day: see ``Case.start``.
    a_day = seen == (TISSUE,) and len(parts) == 1
    showing = case.looks_of("look-elsewhere") if off else ()
    return Wanted(
        rule,
        say("headlines.welfare", parameters=off, looks=seen),
        meaning=(
            *(words for words, _ in parts),
            *((say("meaning.welfare-explains", looks=showing),) if showing else ()),
        ),
        actions=(
            *(action for _, actions in parts for action in actions),
            *tests,
            *retests(case, rule, off, case.after("urgent-retest")),
        ),
        leave=(
            say("leave.nutrients-today" if a_day else "leave.nutrients-first"),
            say("leave.fast-correction" if off else "leave.medicine"),
        ),
        puts_off=not a_day,
    )


Part = tuple[Sentence, tuple[Action, ...]]


def unsafe_water(case: Case) -> tuple[tuple[Finding, str], ...]:
    """Return each part of the water beyond where to act, and to which side."""
    found = []
    for name, parameter in case.reference.parameters.items():
        finding = case.judged(name) if parameter.water else None
        if finding is not None and (side := outside(finding)):
            found.append((finding, side))
    return tuple(found)


def _unsafe(case: Case) -> tuple[Part, ...]:
    return tuple(
        (
            say(
                "meaning.welfare-water",
                parameter=finding.parameter,
                value=best(finding),
                low=side == "low",
                **_moved(case, finding),
            ),
            (correction(case, "welfare", finding, side),),
        )
        for finding, side in unsafe_water(case)
    )


def _moved(case: Case, finding: Finding) -> dict[str, object]:
    """Return what it read before, where it moved further than is safe since."""
    previous = finding.previous
    if previous is None or previous.value is None:
        return {"before": None, "on": None}
    recent = (case.today - previous.taken_on).days <= case.settings.round_days
    safe = case.reference.limit(f"{finding.parameter}-change-day")
    safe *= case.reference.limit("moved-fast-days")
    if not recent or abs(best(finding) - previous.value) <= safe:
        return {"before": None, "on": None}
    return {"before": previous.value, "on": previous.taken_on}


def _nitrite(case: Case) -> tuple[Part, ...]:
    """Nitrite harms in the sea only far above what a cycle shows."""
    finding = case.usable("nitrite")
    limit = case.reference.limit("nitrite-fish")
    if finding is None or finding.latest is None or best(finding) < limit:
        return ()
    now = best(finding)
    goal = limit * case.reference.limit("nitrite-goal-share")
    whole = dilution_fraction(now, goal, 0.0)
    share = min(whole, largest_share(case, urgent=True))
    change = Change(share, now, goal, 0.0, now * (1 - share), None)
    volume = None if case.volume is None else share * case.volume
    usual = past_usual(case, share)
    what = say("actions.change-water-nitrite", share=share, volume=volume, usual=usual)
    why = say("actions.change-water-nitrite-why", value=now, limit=limit)
    action = change_action(case, "welfare", what, why, change, "nitrite")
    tests = retests(case, "welfare", ("nitrite",), case.after("urgent-retest"))
    return ((say("meaning.welfare-nitrite", value=now), (action, *tests)),)


def _gasping(case: Case) -> tuple[Part, ...]:
    if GASPING not in case.in_need:
        return ()
    share, volume = _first_aid(case)
    air = Action(
        id="welfare-air",
        kind="welfare",
        rule="welfare",
        what=say("actions.welfare-air", share=share, volume=volume),
        why=say("actions.welfare-air-why"),
        when=case.today,
        water_change_l=volume,
        water_change_share=share,
        new_water=None if share is None else "like the tank",
        new_water_salinity=None if share is None else tank_salinity(case),
        cautions=(
            say("cautions.vet"),
            say("cautions.electricity"),
            *(() if share is None else (say("cautions.match-water"),)),
        ),
        sources=("common practice, no source: first aid by water and air",),
    )
    return ((say("meaning.welfare-gasping"), (air, feed_none(case, "welfare"))),)


def _first_aid(case: Case) -> tuple[float | None, float | None]:
    """Return share and litres of a change to have ready; none where one is asked."""
    ammonia = cycle_with_animals(case)
    if ammonia and any(action.kind == "water change" for action in ammonia.actions):
        return None, None
    share = case.reference.limit("first-aid-change")
    return share, None if case.volume is None else share * case.volume


def _tissue(case: Case) -> tuple[Part, ...]:
    if TISSUE not in case.in_need:
        return ()
    look = Action(
        id="welfare-tissue",
        kind="welfare",
        rule="welfare",
        what=say("actions.welfare-tissue"),
        why=say("actions.welfare-tissue-why"),
        when=case.today,
        cautions=(say("cautions.vet"), say("cautions.pests")),
    )
    return ((say("meaning.welfare-tissue"), (look,)),)


def _tests_now(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask for what may explain it and was not tested today."""
    asked = (*_TEST_NOW, "alkalinity") if TISSUE in case.in_need else _TEST_NOW
    missing = tuple(
        name for name in asked if not (f := case.usable(name)) or f.age_days != 0
    )
    return retests(case, rule, missing, case.today)


def water_watch(case: Case) -> Wanted | None:
    """Outside the usual range but not unsafe: check it, calmly."""
    no_animals = case.findings.animals is False
    unsafe = {finding.parameter for finding, _ in unsafe_water(case)}
    found = [
        f
        for name, parameter in case.reference.parameters.items()
        if (parameter.water or name in _MINERALS)
        and (f := case.judged(name))
        and f.verdict in ("under", "over")
        and (no_animals or name not in unsafe)
    ]
    if not found:
        return None
    far = any(outside(finding) for finding in found)
    salinity = case.judged("salinity")
    low = {finding.parameter for finding in found if finding.verdict == "under"}
    fresh = salinity is not None and salinity.verdict == "under"
    diluted = fresh and not low.isdisjoint(_MINERALS)
    rule = "water-watch"
    items = tuple((f.parameter, best(f), _ends(f)) for f in found)
    check = Action(
        id="check-water",
        kind="check",
        rule=rule,
        what=say(
            "actions.check-water",
            items=items,
            salinity=any(f.parameter == "salinity" for f in found),
        ),
        why=say("actions.check-water-why"),
        when=case.today,
        sources=tuple(dict.fromkeys(f.band.basis for f in found if f.band)),
    )
    return Wanted(
        rule,
        say("headlines.water-watch", parameters=tuple(f.parameter for f in found)),
        meaning=(say("meaning.diluted") if diluted else _how_far(found, case),),
        actions=(check,),
        leave=(say("leave.fast-correction"),),
        degree="grave" if far else "",
    )


def _how_far(found: list[Finding], case: Case) -> Sentence:
    names = tuple(finding.parameter for finding in found)
    return say("meaning.water-watch", parameters=names, also=bool(unsafe_water(case)))


def _ends(finding: Finding) -> tuple[float, float]:
    """Return the usual range; an end that a workbook left out is open."""
    low = finding.band.low if finding.band else None
    high = finding.band.high if finding.band else None
    return (0.0 if low is None else low, math.inf if high is None else high)
