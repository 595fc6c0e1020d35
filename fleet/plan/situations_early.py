"""Just cycled or in the ugly phase: zeros, traces, films and pests."""

from __future__ import annotations

from datetime import timedelta

from fleet.plan.case import EARLY, Case, Wanted
from fleet.plan.doses import Rise
from fleet.plan.export import beside_export, take_out, taken_off_lately, taking
from fleet.plan.life import add_life, feed_more, seed
from fleet.plan.meaning import reasons, rock_and_phosphate
from fleet.plan.raising import floor, raised
from fleet.plan.retests import leave_it, retests, week
from fleet.plan.situations_high import only_tolerated
from fleet.records import Action, Sentence, say


def zero_after_cycle(case: Case) -> Wanted | None:
    """Just cycled, zeros, no films yet: merely young."""
    lacking = (*case.zeros, *case.blind)
    if case.stage != "just cycled" or case.films or case.over:
        return None
    if not case.zeros and "nitrate" not in lacking:
        return None
    rule = "zero-after-cycle"
    first: tuple[Action, ...] = ()
    if not case.ammonia_clear:
        soon = case.after("urgent-retest")
        first = retests(case, rule, ("ammonia", "nitrite"), soon)
    fresh = case.findings.tank.rock != "cured live"
    return Wanted(
        rule,
        say("headlines.zero-after-cycle", parameters=lacking),
        meaning=(
            say("meaning.zero-after-cycle"),
            *reasons(case, "low"),
            *rock_and_phosphate(case),
        ),
        actions=(
            *first,
            *add_life(case, rule),
            *(seed(case, rule) if fresh else ()),
            *retests(case, rule, lacking, week(case)),
        ),
        leave=(
            say("leave.restart"),
            say("leave.dose-for-zero"),
            say("leave.export-yet"),
        ),
    )


def stripped(case: Case) -> Wanted | None:
    """Young, at zero, with strong export running or just taken off."""
    zeros = case.zeros if case.stage in EARLY else _both(case.zeros, case.short)
    if not zeros or not case.young:
        return None
    rule = "stripped"
    lacking = tuple(dict.fromkeys((*zeros, *case.blind)))
    names = taking(case, lacking)
    off = taken_off_lately(case, lacking)
    if not names and off is None:
        return None
    when = week(case)
    if not names and off is not None:
        ready = off + timedelta(days=int(case.reference.limit("week-retest")))
        when = max(ready, case.after("urgent-retest"))
    hold = Action(
        id="wait-for-baseline",
        kind="wait",
        rule=rule,
        what=say("actions.wait-for-baseline", when=when),
        why=say("actions.wait-for-baseline-why"),
        when=case.today,
        until=when,
    )
    return Wanted(
        rule,
        say("headlines.stripped", names=names, parameters=lacking),
        meaning=(
            say(
                "meaning.stripped",
                names=names,
                days=int(case.reference.limit("week-retest")),
            ),
            say("meaning.stripped-next", when=when),
        ),
        actions=(
            *take_out(case, rule, names),
            hold,
            *retests(case, rule, lacking, when),
        ),
        leave=(beside_export(case), say("leave.more-filtration")),
    )


def zero_in_ugly_phase(case: Case) -> Wanted | None:
    """Films come while a nutrient reads flat zero: feed the wanted microbes now."""
    if not case.films or case.stage not in (*EARLY, "settling") or not case.zeros:
        return None
    rule = "zero-in-ugly-phase"
    wanted = _both(case.zeros, case.short)
    when = case.after("ugly-retest")
    before = any(f.registered_before for p in case.zeros if (f := case.of(p)))
    raising = raised(case, rule, floor_rises(case, wanted))
    dosed = any(action.kind == "dose" for action in raising)
    # Where nothing lives yet, the first animals come when the doses are over.
    wait = dosed and case.findings.animals is False
    return Wanted(
        rule,
        say("headlines.zero-in-ugly-phase", parameters=case.zeros),
        meaning=(
            say("meaning.zero-in-ugly-phase", registered_before=before),
            say("meaning.experience"),
            *rock_and_phosphate(case),
        ),
        actions=(
            *feed_more(case, rule),
            *(() if wait else add_life(case, rule)),
            *raising,
            *retests(case, rule, _seen_too(case), when),
        ),
        leave=(
            *((say("leave.animals-with-doses"),) if wait else ()),
            say("leave.clean-all"),
            *((say("leave.one-go"),) if wanted else ()),
            say("leave.export-yet"),
        ),
        degree="" if wanted else "mild",
    )


def trace_in_ugly_phase(case: Case) -> Wanted | None:
    """Films, and what was tested registers: leave it alone."""
    seen = tuple(
        f.parameter
        for name in ("nitrate", "phosphate")
        if (f := case.judged(name)) and f.latest and f.latest.registers is True
    )
    if not case.films or not seen or case.zeros or case.blind:
        return None
    if case.over and not only_tolerated(case):
        return None
    if case.stage not in EARLY:
        return None
    rule = "trace-in-ugly-phase"
    rest = leave_it(case, rule, say("actions.wait-ugly-phase-why"))
    return Wanted(
        rule,
        say("headlines.trace-in-ugly-phase", parameters=seen),
        meaning=(say("meaning.trace-in-ugly-phase"),),
        actions=(rest,),
        leave=(say("leave.dose-when-it-registers"), say("leave.clean-all")),
    )


def pests(case: Case) -> Wanted | None:
    """Brown strings or red mats, with flat zero or without."""
    looks = case.looks_of("pests")
    if not looks or case.stage == "cycling":
        return None
    rule = "pests"
    wanted = _both(case.zeros, case.short)
    when = case.after("ugly-retest")
    why = None if case.zeros else say("actions.retest-why-pests-fed")
    words: list[Sentence] = [say("meaning.pests", looks=looks)]
    if case.zeros:
        words += [say("meaning.pests-zero"), say("meaning.experience")]
    else:
        words.append(say("meaning.pests-fed"))
    return Wanted(
        rule,
        say("headlines.pests", looks=looks, zeros=case.zeros),
        meaning=tuple(words),
        actions=(
            _microscope(case, looks),
            _gentle(case, looks),
            *(feed_more(case, rule) if case.zeros else ()),
            *raised(case, rule, floor_rises(case, wanted)),
            *(() if case.zeros else (_hold_both(case),)),
            *retests(case, rule, _seen_too(case), when, why),
        ),
        leave=(say("leave.strip-nutrients"), say("leave.stir-pests")),
        degree="" if case.zeros else "mild",
    )


def floor_rises(case: Case, parameters: tuple[str, ...]) -> tuple[Rise, ...]:
    """Return the rises to the modest floor, none going on past the next test."""
    most = int(case.reference.limit("ugly-retest"))
    return tuple(Rise(name, floor(case, name), most) for name in parameters)


def _seen_too(case: Case) -> tuple[str, ...]:
    """Return the nutrients to test again together: those not asked for sooner."""
    return tuple(
        name
        for name in ("nitrate", "phosphate")
        if case.judged(name) and name not in case.blind
    )


def _both(names: tuple[str, ...], others: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if name in others)


def _hold_both(case: Case) -> Action:
    """Ask to leave what registers where it is: starving these growths does not help."""
    return Action(
        id="wait-pests",
        kind="wait",
        rule="pests",
        what=say("actions.wait-pests"),
        why=say("actions.wait-pests-why"),
        when=case.today,
    )


def _microscope(case: Case, looks: tuple[str, ...]) -> Action:
    return Action(
        id="check-pests",
        kind="check",
        rule="pests",
        what=say("actions.check-pests", looks=looks),
        why=say("actions.check-pests-why"),
        when=case.today,
        cautions=(say("cautions.pests"),),
        sources=("Tubaro et al. 2011, Toxicon 57:478-495 (from memory), for poisons",),
    )


def _gentle(case: Case, looks: tuple[str, ...]) -> Action:
    return Action(
        id="hold-off-scrubbing",
        kind="hold off",
        rule="pests",
        what=say("actions.hold-off-scrubbing"),
        why=say("actions.hold-off-scrubbing-why"),
        when=case.today,
        cautions=(say("cautions.pests"), say("cautions.electricity")),
    )
