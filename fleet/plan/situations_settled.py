"""Settling or mature: lean, at zero, starving, one-sided, or ill for other reasons."""

from __future__ import annotations

from datetime import date

from fleet.plan.case import NUTRIENTS, SETTLED, Case, Wanted
from fleet.plan.doses import Rise
from fleet.plan.export import beside_export, ease, takes_doses, taking
from fleet.plan.life import add_grazers, add_life, feed_more, feed_then
from fleet.plan.meaning import ratio_words, reasons, rock_and_phosphate
from fleet.plan.raising import band_aim, floor, nitrate_waits, raised
from fleet.plan.retests import leave_it, retests, week
from fleet.plan.situations_water import unsafe_water
from fleet.records import Action, say


def mature_and_lean(case: Case) -> Wanted | None:
    """Barely registering while the animals look well: leave it alone."""
    if case.stage not in SETTLED or case.zeros or case.over or not case.short:
        return None
    if case.looks_of("mature-and-starving"):
        return None
    rule = "mature-and-lean"
    return Wanted(
        rule,
        say("headlines.mature-and-lean", parameters=case.short),
        meaning=(say("meaning.mature-and-lean", looked=bool(case.looks)),),
        actions=(leave_it(case, rule, say("actions.wait-lean-why")),),
        leave=(say("leave.dose-when-well"), say("leave.export-when-lean")),
    )


def mature_flat_zero_looks_good(case: Case) -> Wanted | None:
    """Flat zero by a test that can tell, and nothing bad to see: watch."""
    zeros = tuple(name for name in case.zeros if name in case.short)
    if case.stage not in SETTLED or not zeros or case.over:
        return None
    if case.looks_of("mature-and-starving") or case.films:
        return None
    rule = "mature-flat-zero-looks-good"
    one_step = (
        ease(case, rule, taking(case, zeros))
        or feed_more(case, rule)
        or add_life(case, rule)
        or feed_more(case, rule, even_if_well_fed=True)
    )
    return Wanted(
        rule,
        say("headlines.mature-flat-zero-looks-good", parameters=zeros),
        meaning=(
            say(
                "meaning.mature-flat-zero-looks-good",
                parameters=zeros,
                looked=bool(case.looks),
                films=case.findings.stage.films,
            ),
            *reasons(case, "low"),
        ),
        actions=(*one_step, *retests(case, rule, zeros, week(case))),
        leave=(say("leave.dose-when-well"), say("leave.export-when-lean")),
    )


def mature_and_starving(case: Case) -> Wanted | None:
    """Too little, and corals that show it: raise slowly, one thing at a time."""
    looks = case.looks_of("mature-and-starving")
    if case.stage not in SETTLED or not looks or not case.short:
        return None
    if case.findings.corals is False:
        return None
    rule = "mature-and-starving"
    first = _first(case)
    later = tuple(name for name in case.short if name != first)
    days = int(case.reference.limit("slow-retest"))
    pace = case.reference.limit("slow-pace")
    eased = taking(case, (first,))
    instead = takes_doses(case, (first,))  # nothing is dosed beside it
    when = week(case) if instead else case.after("slow-retest")
    why = say("actions.retest-why-stripped", parameter=first) if instead else None
    waits = nitrate_waits(case) if first == "nitrate" else None
    raising = raised(case, rule, (Rise(first, band_aim(case, first), days, pace),))
    return Wanted(
        rule,
        say("headlines.mature-and-starving", parameters=case.short, looks=looks),
        meaning=(
            say("meaning.mature-and-starving", looks=looks),
            *((say("meaning.phosphate-short"),) if first == "phosphate" else ()),
            *rock_and_phosphate(case),
        ),
        actions=(
            *raising,
            *(() if eased and not instead else _feed_too(case, raising, first, when)),
            *retests(case, rule, case.short, when, why),
        ),
        leave=(
            waits or (beside_export(case) if instead else say("leave.large-dose")),
            *(
                (say("leave.second-later", parameters=later),)
                if later and not instead
                else ()
            ),
        ),
    )


def _feed_too(
    case: Case, raising: tuple[Action, ...], parameter: str, when: date
) -> tuple[Action, ...]:
    """Return a step more feed, on the day of the next look where a change is asked for.

    The dose goes first: corals without phosphate come to harm (Rosset et al. 2017),
    and a step of feed is slow to show. It is what keeps the level when doses are over.
    """
    rule = "mature-and-starving"
    if any(a.kind in ("dose", "hold off", "take out", "retest") for a in raising):
        return feed_then(case, rule, parameter, when)
    return feed_more(case, rule, even_if_well_fed=True)


def _first(case: Case) -> str:
    """Return the nutrient to raise first.

    Corals short of phosphate beside nitrate come to harm, the other way round
    they mostly bear it (Rosset et al. 2017), so phosphate goes first unless only
    nitrate is at nothing.
    """
    if "phosphate" in case.short:
        only_nitrate_gone = "nitrate" in case.zeros and "phosphate" not in case.zeros
        return "nitrate" if only_nitrate_gone else "phosphate"
    return "nitrate"


def one_sided(case: Case) -> Wanted | None:
    """One nutrient at nothing, the other high: bring up the missing one."""
    gone = [name for name in case.short if name in case.zeros]
    # Short is enough where the corals show it.
    hungry = case.short if case.looks_of("mature-and-starving") else ()
    missing = next((name for name in (*gone, *hungry)), None)
    if missing is None or not case.over or case.stage == "cycling":
        return None
    if case.stage == "just cycled" and not case.films:
        return None
    rule = "one-sided"
    high = case.over[0]
    if case.films:
        when = case.after("ugly-retest")
        rise = Rise(missing, floor(case, missing), (when - case.today).days)
    else:
        when = week(case)
        pace = case.reference.limit("slow-pace")
        aim = band_aim(case, missing)
        rise = Rise(missing, aim, (when - case.today).days, pace)
    return Wanted(
        rule,
        say("headlines.one-sided", missing=missing, zero=missing in gone, high=high),
        meaning=(
            say(f"meaning.one-sided-{missing}"),
            *ratio_words(case, missing),
            *rock_and_phosphate(case),
        ),
        actions=(
            *raised(case, rule, (rise,)),
            *retests(case, rule, NUTRIENTS, when),
        ),
        leave=(say("leave.strip-the-high-one", high=high), say("leave.ratio-target")),
    )


def look_elsewhere(case: Case) -> Wanted | None:
    """Corals look poor though the nutrients are in their band."""
    looks = case.looks_of("look-elsewhere")
    if unsafe_water(case):
        return None  # the water is the reason
    within = [n for n in NUTRIENTS if (f := case.judged(n)) and f.verdict == "within"]
    if not looks or not within or case.stage not in SETTLED:
        return None
    if case.zeros or case.short or case.blind or case.over:
        return None
    rule = "look-elsewhere"
    check = Action(
        id="check-corals",
        kind="check",
        rule=rule,
        what=say("actions.check-corals"),
        why=say("actions.check-corals-why"),
        when=case.today,
    )
    return Wanted(
        rule,
        say("headlines.look-elsewhere", looks=looks),
        meaning=(say("meaning.look-elsewhere", looks=looks),),
        actions=(check,),
        leave=(say("leave.dose-when-it-registers"),),
    )


def nuisance_algae(case: Case) -> Wanted | None:
    """Hair algae at several looks in a mature tank: a growth to keep down, no stage.

    Green film alone is wiped off the glass every week and asks for nothing.
    """
    rule = "nuisance-algae"
    now = case.looks_of(rule)
    asked = case.reference.situations[rule]["looks"]
    before = tuple(look for look in case.findings.looks_before if look in asked)
    if case.stage != "mature" or not now or not before:
        return None
    if asked[0] not in (*now, *before) or case.looks_of("pests"):
        return None
    pull = Action(
        id="check-algae",
        kind="check",
        rule=rule,
        what=say("actions.pull-algae"),
        why=say("actions.pull-algae-why"),
        when=case.today,
    )
    source = Action(
        id="check-algae-source",
        kind="check",
        rule=rule,
        what=say("actions.check-algae-source"),
        why=say("actions.check-algae-source-why"),
        when=case.today,
    )
    registers = not (case.zeros or case.short or case.over)
    return Wanted(
        rule,
        say("headlines.nuisance-algae", looks=now),
        meaning=(say("meaning.nuisance-algae", within=registers),),
        actions=(pull, source, *add_grazers(case, rule)),
        leave=(
            *((say("leave.dose-when-it-registers"),) if registers else ()),
            *(() if case.over else (say("leave.strip-nutrients"),)),
        ),
    )
