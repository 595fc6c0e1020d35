"""The cycle: running, stalled or never begun; ammonia in an older tank."""

from __future__ import annotations

from dataclasses import replace

from fleet.plan.case import Case, Degree, Wanted, best
from fleet.plan.corrections import correction
from fleet.plan.doses import ammonia_check
from fleet.plan.life import seed
from fleet.plan.raising import check_volume, log_it
from fleet.plan.retests import retest, retests
from fleet.records import Action, say

PAIR = ("ammonia", "nitrite")
# What the bacteria of the cycle ask of the water.
_WATER = ("temperature", "ph", "salinity", "alkalinity")


def cycling(case: Case) -> Wanted | None:
    """Ammonia or nitrite is there, as it should be: wait and test."""
    if case.stage != "cycling" or case.findings.stage.never_started:
        return None
    rule = "cycling"
    # With animals in, nobody waits on ammonia that was not tested.
    blind = case.findings.animals is True and not case.ammonia_clear
    when = case.today if blind else case.after("cycling-retest")
    days = int(case.reference.limit("cycling-retest"))
    why = say("actions.retest-why-cycling", days=days)
    age = case.findings.stage.days_since_filled
    long_ = age is not None and age > case.reference.stage("usual-cycle")
    more = "more-" if case.findings.animals else ""
    wait = Action(
        id="wait-for-cycle",
        kind="wait",
        rule=rule,
        what=say("actions.wait-for-cycle"),
        why=say("actions.wait-for-cycle-why"),
        when=case.today,
    )
    return Wanted(
        rule,
        say(f"headlines.cycling{'-long' if long_ else ''}", days=age),
        meaning=(
            say("meaning.cycling-long", days=age) if long_ else say("meaning.cycling"),
            say("meaning.nitrite-no-alarm"),
            *((say("meaning.if-animals"),) if _perhaps_animals(case) else ()),
        ),
        actions=(*(() if blind else (wait,)), *retests(case, rule, PAIR, when, why)),
        leave=(
            say(f"leave.{more}animals-while-cycling"),
            say("leave.change-for-nitrite"),
            say("leave.dose-while-cycling"),
        ),
    )


def _perhaps_animals(case: Case) -> bool:
    return case.findings.animals is None and case.ammonia_seen is not None


def incident(case: Case) -> Wanted | None:
    """Ammonia or nitrite in an older tank: no cycle, but something to look for."""
    stage = case.findings.stage
    if not stage.incident or stage.name == "cycling":
        return None
    if case.ammonia_seen is not None and case.findings.animals is not False:
        return None
    rule = "incident"
    when = case.after("cycling-retest")
    return Wanted(
        rule,
        say("headlines.incident"),
        meaning=(say("meaning.incident"), say("meaning.nitrite-no-alarm")),
        actions=(look_for_dead(case, rule), *retests(case, rule, PAIR, when)),
        leave=(say("leave.more-animals"), say("leave.change-for-nitrite")),
    )


def look_for_dead(case: Case, rule: str) -> Action:
    """Ask to look for what died."""
    return Action(
        id="check-die-off",
        kind="check",
        rule=rule,
        what=say("actions.check-die-off"),
        why=say("actions.check-die-off-why"),
        when=case.today,
    )


def cycle_stalled(case: Case) -> Wanted | None:
    """Ammonia has not fallen for longer than usual: look at what slows it."""
    stage = case.findings.stage
    if stage.name != "cycling" or not stage.stalled:
        return None
    rule = "cycle-stalled"
    when = case.after("cycling-retest")
    check = Action(
        id="check-cycle-water",
        kind="check",
        rule=rule,
        what=say("actions.check-cycle-water", ranges=_ranges(case)),
        why=say("actions.check-cycle-water-why"),
        when=case.today,
        sources=("ranges: common practice, no source",),
    )
    return Wanted(
        rule,
        say("headlines.cycle-stalled"),
        meaning=(
            say("meaning.cycle-stalled"),
            *((say("meaning.slow-water", found=off),) if (off := _off(case)) else ()),
        ),
        actions=(
            *_put_right(case, rule),
            check,
            *seed(case, rule),
            *retests(case, rule, PAIR, when),
        ),
        leave=(say("leave.more-ammonia"), say("leave.restart")),
    )


def _put_right(case: Case, rule: str) -> tuple[Action, ...]:
    """Return what mends cold or sour water; with animals in, welfare asks for it."""
    if case.findings.animals is not False:
        return ()
    actions: list[Action] = []
    cold = case.judged("temperature")
    if cold is not None and cold.verdict == "under":
        goal = case.reference.limit("cycle-temperature")
        actions.append(
            Action(
                id="check-heater",
                kind="check",
                rule=rule,
                what=say("actions.check-heater", now=best(cold), goal=goal),
                why=say("actions.check-heater-why"),
                when=case.today,
                cautions=(say("cautions.electricity"),),
                sources=("common practice, no source: each 10 degC less halves it",),
            )
        )
    sour = case.judged("alkalinity")
    if sour is not None and sour.verdict == "under":
        raised = correction(case, rule, sour, "low")
        why = say("actions.correct-why-alkalinity-cycle")
        actions.append(replace(raised, kind="check", why=why, stop_if=None))
    return tuple(actions)


def _ranges(case: Case) -> tuple[tuple[str, tuple[float, float]], ...]:
    """Return the usual range of each part of the water, of this tank's animals."""
    ranges = []
    for name in _WATER:
        finding = case.of(name)
        band = finding.band if finding else None
        if band is None:
            band = next(
                b
                for b in case.reference.bands
                if b.parameter == name and not b.livestock and not b.stage
            )
        if band.low is not None and band.high is not None:
            ranges.append((name, (band.low, band.high)))
    return tuple(ranges)


def _off(case: Case) -> tuple[tuple[str, float], ...]:
    """Return what is off its usual range, with its value."""
    return tuple(
        (name, best(f))
        for name in _WATER
        if (f := case.judged(name)) and f.verdict in ("under", "over")
    )


def _uncounted(case: Case) -> bool:
    """Say whether animals may be in that nobody has counted or fed, on paper."""
    tank = case.findings.tank
    unknown = tank.fish is None and tank.feed_g_day is None
    return unknown and case.findings.animals is not False


def _second_test(
    case: Case, rule: str, steps: tuple[Action, ...]
) -> tuple[Action, ...]:
    """Ask for the second test after a measured addition: a filter may take days."""
    if not any(step.kind == "dose" for step in steps):
        return ()
    days = int(case.reference.limit("ammonia-works-within"))
    when = case.after("ammonia-works-within")
    again = retest(
        case,
        rule,
        "ammonia",
        when,
        what=say("actions.retest-ammonia-again", when=when),
        why=say("actions.retest-ammonia-again-why", days=days),
    )
    return (replace(again, id="retest-ammonia-again"),)


def never_cycled(case: Case) -> Wanted | None:
    """Nothing shows that a cycle ever ran: all zeros can mean either."""
    if not case.findings.stage.never_started or case.ammonia_seen is not None:
        return None
    if case.stage == "mature":
        return None
    rule = "never-cycled"
    when = case.after("urgent-retest")
    tests = retests(case, rule, PAIR, when)
    degree: Degree = ""
    steps: tuple[Action, ...]
    if case.findings.animals is not False:
        degree, steps = "grave", ()
    elif case.volume is None:
        steps = (check_volume(case, rule),)
    else:
        addition = ammonia_check(case, rule)
        # Without a fresh test that reads no ammonia, the test comes first.
        steps = (addition, log_it(case, rule)) if addition else ()
    days = int(case.reference.limit("ammonia-works-within"))
    return Wanted(
        rule,
        say("headlines.never-cycled", animals=case.findings.animals is not False),
        meaning=(
            say("meaning.never-cycled"),
            *((say("meaning.never-cycled-note"),) if _uncounted(case) else ()),
            *(
                (say("meaning.never-cycled-expect", days=days),)
                if any(step.kind == "dose" for step in steps)
                else ()
            ),
            *(
                (say("meaning.never-cycled-next"),)
                if not steps and case.findings.animals is False
                else ()
            ),
        ),
        actions=(*steps, *tests, *_second_test(case, rule, steps)),
        leave=(say("leave.animals-yet"), say("leave.call-it-done")),
        degree=degree,
    )
