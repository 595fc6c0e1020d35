"""All situations, in the order a mentor would think of them."""

from __future__ import annotations

from collections.abc import Callable

from fleet.plan import situations_ammonia as ammonia
from fleet.plan import situations_cycle as cycle
from fleet.plan import situations_dosed as dosed
from fleet.plan import situations_drift as drift
from fleet.plan import situations_early as early
from fleet.plan import situations_high as high
from fleet.plan import situations_settled as settled
from fleet.plan import situations_tests as tests
from fleet.plan import situations_water as water
from fleet.plan.case import EARLY, NUTRIENTS, Case, Wanted
from fleet.plan.treatment import treatment
from fleet.records import say

# Facts to be said beside what leads; a tank with nothing else is steady.
BESIDE = ("treatment", "shared-water")

Situation = Callable[[Case], Wanted | None]


def shared_water(case: Case) -> Wanted | None:
    """Several displays on one sump: one row, one dose."""
    displays = case.findings.tank.displays
    if len(displays) < 2:
        return None
    # It never leads, so what it means is all it has to say.
    means = say("meaning.shared-water", displays=displays)
    return Wanted("shared-water", means, meaning=(means,))


def steady(case: Case) -> Wanted | None:
    """Nothing found that needs anyone; asked only where nothing else speaks."""
    within = tuple(
        name for name in NUTRIENTS if (f := case.judged(name)) and f.verdict == "within"
    )
    near = tuple(
        name
        for name in NUTRIENTS
        if (f := case.judged(name))
        and f.verdict == "cannot tell"
        and f.latest
        and f.latest.registers
    )
    key, headline = "steady", say("headlines.steady", parameters=within)
    if near:
        headline = say("headlines.steady-at-edge", parameters=within, near=near)
    if case.stage in EARLY:
        key = "steady-young"
        headline = say("headlines.steady-young", parameters=(*within, *near))
    return Wanted(
        "steady",
        headline,
        meaning=(say(f"meaning.{key}", parameters=within, near=near),),
        leave=(say("leave.change-nothing"),),
    )


SITUATIONS: tuple[Situation, ...] = (
    water.welfare,
    ammonia.cycle_with_animals,
    ammonia.ammonia_left_untested,
    tests.swapped_or_typo,
    tests.never_tested,
    tests.stale,
    cycle.never_cycled,
    cycle.cycle_stalled,
    cycle.cycling,
    cycle.incident,
    tests.nitrite_interferes,
    early.stripped,
    early.pests,
    early.zero_in_ugly_phase,
    dosed.dosed_and_over,
    dosed.dosed_and_nothing_seen,
    settled.one_sided,
    settled.mature_and_starving,
    high.over,
    high.over_and_young,
    tests.cannot_tell_nitrate,
    tests.cannot_tell_phosphate,
    tests.half_tested,
    early.zero_after_cycle,
    drift.falling,
    drift.rising,
    settled.mature_flat_zero_looks_good,
    settled.look_elsewhere,
    settled.nuisance_algae,
    water.water_watch,
    tests.livestock_unknown,
    early.trace_in_ugly_phase,
    settled.mature_and_lean,
    treatment,
    shared_water,
)
