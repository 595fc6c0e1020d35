"""What may never be asked for, held against random tanks and against bad requests.

The limits are re-derived here from their sources, not read from the code: shares of
the ion by an independent library of atomic weights, rates and shares as written in
limits.toml, free ammonia by Bell et al. (2008) as published.
"""

import math
from dataclasses import replace
from random import Random
from typing import get_args

import periodictable
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_findings import CELL, TODAY, Made, ago, kinds
from random_tanks import REFERENCE, random_tank

from fleet.plan.case import Case
from fleet.plan.guards import hold
from fleet.plan.order import plan_tank
from fleet.records import Action, ActionKind, Effect, Work, say

NUTRIENTS = ("nitrate", "phosphate")
BRACKETS = {
    "today": (75, 100), "this week": (50, 74), "watch": (25, 49), "steady": (0, 24),
}  # fmt: skip


def ion_share(salt):
    """Return g of the ion per g of salt, by periodictable's atomic weights."""
    ion, element = {
        "nitrate": ("NO3", "N"), "phosphate": ("PO4", "P"), "ammonia": ("N", "N"),
    }[salt.raises]  # fmt: skip
    whole = periodictable.formula(salt.formula)
    count = whole.atoms.get(getattr(periodictable, element), 0)
    return count * periodictable.formula(ion).mass / whole.mass


def largest_rise(tank, parameter):
    default, ceiling = {"nitrate": (2.0, 5.0), "phosphate": (0.03, 0.05)}[parameter]
    own = dict(tank.house.largest_rise_day).get(parameter, default)
    return min(own, ceiling)


def check_dose(tank, findings, action, plan):
    salt = REFERENCE.salts[action.substance]
    assert salt.dose
    finding = findings.of(action.parameter)
    assert findings.stage.name != "cycling"
    assert finding.latest is not None
    assert not finding.stale
    assert not finding.doubted
    assert finding.verdict == "under"
    volume = tank.tank.volume_l
    rise = action.amount_g * ion_share(salt) * action.working.purity * 1000 / volume
    assert rise == pytest.approx(dict(action.expected)[action.parameter], rel=1e-3)
    largest = largest_rise(tank, action.parameter)
    assert rise / action.days <= largest * 1.001
    assert finding.latest.high + rise <= finding.band.high * 1.001
    # Never more than half of what the salt dissolves to (mass fraction at 20 degC).
    strongest = 500 * salt.saturated_share / salt.anhydrous_share
    assert action.stock_g_per_l <= strongest * 1.001
    assert action.amount_ml == pytest.approx(
        action.amount_g / action.stock_g_per_l * 1000
    )
    assert not salt.ammonia_bearing
    taken = set(REFERENCE.situations["stripped"][f"takes_{action.parameter}"])
    assert not taken & {a.substance for a in plan.actions if a.kind == "take out"}
    # An older tank's roller is only eased: it catches solids and no dose.
    eased = {a.substance for a in plan.actions if a.kind == "hold off"}
    assert not (taken - {"filter roller"}) & eased
    assert not any(a.id == f"hold-off-dose-{action.parameter}" for a in plan.actions)


def check_addition(tank, findings, action):
    assert findings.animals is False
    assert action.rule == "never-cycled"
    ammonia = findings.of("ammonia")
    assert ammonia.latest is not None
    assert not ammonia.stale
    salt = REFERENCE.salts[action.substance]
    rise = action.amount_g * ion_share(salt) * action.working.purity * 1000
    assert rise / tank.tank.volume_l == pytest.approx(1.0, rel=1e-3)  # mg/L N


def check_amounts(tank, action):
    for amount in (
        action.amount_g, action.amount_ml, action.per_day_g, action.per_day_ml,
        action.stock_g_per_l, action.water_change_l, action.water_change_share,
        action.days,
    ):  # fmt: skip
        assert amount is None or (math.isfinite(amount) and amount > 0)
    assert action.when >= TODAY
    assert action.until is None or action.until >= action.when
    if action.water_change_share is not None:
        assert action.new_water is not None
        # The workbook's limit is for planned changes; urgent ones end at the ceiling.
        urgent = action.rule in ("welfare", "cycle-with-animals")
        own = None if urgent else tank.house.largest_water_change
        assert action.water_change_share <= min(own or 0.5, 0.5) * 1.001
        if action.water_change_l is not None:
            litres = action.water_change_share * tank.tank.volume_l
            assert action.water_change_l == pytest.approx(litres)


def check_plan(plan):
    low, high = BRACKETS[plan.attention]
    assert low <= plan.score <= high
    assert sum(part.points for part in plan.score_parts) == plan.score
    assert [a.priority for a in plan.actions] == list(range(1, len(plan.actions) + 1))
    ids = [a.id for a in plan.actions]
    assert len(set(ids)) == len(ids)
    assert len(plan.leave_alone) <= 3
    assert plan.situations[0] in REFERENCE.situations
    assert not {"feed-more", "feed-less"} <= set(ids)
    if "welfare" in ids or "feed-none" in ids:
        assert "feed-more" not in ids
    assert all(day >= TODAY for _, day in plan.retests)


def check_tank(tank):
    """Check one random tank's plan against every limit; return it."""
    findings = tank.made()
    plan = tank.plan()
    check_plan(plan)
    for action in plan.actions:
        check_amounts(tank, action)
        if action.id == "dose-ammonia-check":
            check_addition(tank, findings, action)
        elif action.kind == "dose":
            check_dose(tank, findings, action, plan)
        elif action.kind == "water change" and action.parameter in NUTRIENTS:
            assert findings.of(action.parameter).verdict == "over"
            assert not findings.of(action.parameter).latest.upper_limit_only
        elif action.kind == "add life":
            assert findings.stage.name != "cycling"
            assert not findings.stage.never_started
    return plan


@settings(max_examples=2000)
@given(rng=st.randoms(use_true_random=True))
def test_no_plan_of_any_tank_passes_a_limit(rng):
    check_tank(random_tank(rng))


@pytest.mark.slow
@settings(max_examples=3000, suppress_health_check=list(HealthCheck))
@given(rng=st.randoms(use_true_random=False))
def test_no_plan_passes_a_limit_with_examples_that_shrink(rng):
    check_tank(random_tank(rng))


def test_random_tanks_reach_every_situation_and_every_kind_of_action():
    # Without this the property above could hold because nothing is ever asked.
    rng = Random(20250303)
    plans = [check_tank(random_tank(rng)) for _ in range(2500)]
    reached = {name for plan in plans for name in plan.situations}
    assert reached == set(REFERENCE.situations)
    asked = {action.kind for plan in plans for action in plan.actions}
    assert asked == set(get_args(ActionKind))
    doses = sum(a.kind == "dose" for plan in plans for a in plan.actions)
    assert doses > 100


# --------------------------------------------------- bad requests, one by one


def case_of(tank):
    return Case(tank.made(), tank.shelf, tank.house, REFERENCE)


def ugly():
    return Made("ugly phase").zero("nitrate", "phosphate")


def a_dose(tank, **changes):
    plan = ugly().plan()
    good = next(a for a in plan.actions if a.id == "dose-nitrate")
    return replace(good, **changes)


def refused(tank, *actions):
    held = hold(case_of(tank), actions)
    assert actions[0] not in held.kept
    return [sentence.key for sentence in held.refused]


def test_a_good_dose_passes():
    tank = ugly()
    assert hold(case_of(tank), [a_dose(tank)]).refused == ()


@pytest.mark.parametrize(
    "amount", [0.0, -1.0, math.nan, math.inf], ids=["zero", "minus", "nan", "endless"]
)
@pytest.mark.parametrize("field", ["amount_g", "amount_ml", "per_day_g"])
def test_no_amount_that_is_not_one(field, amount):
    tank = ugly()
    assert refused(tank, a_dose(tank, **{field: amount})) == ["leave.refused-amount"]


def test_no_day_gone_by():
    tank = ugly()
    assert refused(tank, a_dose(tank, when=ago(1))) == ["leave.refused-amount"]


def test_no_more_than_the_largest_rise_a_day():
    # 2 mg/L a day in 200 L is 0.4 g of NO3, 0.5539 g of 99 % NaNO3; 0.6 g is more.
    tank = ugly()
    bad = a_dose(tank, amount_g=0.6, days=1)
    assert refused(tank, bad) == ["leave.refused-fast"]


def test_no_setting_goes_beyond_the_ceiling():
    tank = ugly()
    tank.house = replace(tank.house, largest_rise_day=(("nitrate", 50.0),))
    # 5 mg/L a day is 1.3847 g; 1.5 g is more than any setting allows.
    bad = a_dose(tank, amount_g=1.5, days=1)
    assert refused(tank, bad) == ["leave.refused-fast"]


def test_never_past_the_top_from_the_upper_end_of_the_reading():
    # Band to 15, the zero may be 2: 13 mg/L is 3.6 g of 99 % NaNO3; 4 g is more.
    tank = ugly()
    bad = a_dose(tank, amount_g=4.0, days=20)
    assert refused(tank, bad) == ["leave.refused-past-top"]


def test_no_stock_stronger_than_half_of_saturation():
    # Sodium nitrate 46.7 % by mass at 20 degC (CRC Handbook, from memory): 233 g/L.
    tank = ugly()
    assert refused(tank, a_dose(tank, stock_g_per_l=240.0)) == ["leave.refused-stock"]


def test_no_dose_on_what_is_not_known():
    for name, change in (
        ("stale", {"stale": True}),
        ("doubted", {"doubted": (ugly().findings["nitrate"].latest,)}),
        ("not judged", {"verdict": "not judged"}),
    ):
        tank = ugly()
        tank.put(replace(tank.findings["nitrate"], **change))
        assert refused(tank, a_dose(tank)) == ["leave.refused-not-known"], name


@pytest.mark.parametrize("verdict", ["within", "over", "cannot tell"])
def test_no_dose_where_it_is_not_known_to_be_short(verdict):
    tank = ugly()
    tank.put(replace(tank.findings["nitrate"], verdict=verdict))
    assert refused(tank, a_dose(tank)) == ["leave.refused-enough"]


def test_nothing_is_added_to_a_cycling_tank():
    tank = Made("cycling").zero("nitrate")
    assert refused(tank, a_dose(tank)) == ["leave.refused-cycling"]
    life = Action("add-life", "add life", "x", say("x.y"), say("x.y"), TODAY)
    assert refused(tank, life) == ["leave.refused-life"]


def test_no_dose_beside_export_coming_off():
    tank = Made("ugly phase", equipment=("filter roller",)).zero("nitrate")
    off = Action(
        "take-out-filter-roller", "take out", "x", say("x.y"), say("x.y"), TODAY,
        substance="filter roller",
    )  # fmt: skip
    assert refused(tank, a_dose(tank), off) == ["leave.refused-export"]


def test_no_dose_of_unknown_size_on_top():
    tank = ugly()
    row = Work(ago(0), "a1", "dose", CELL, "sodium nitrate", None, "")
    unknown = Effect(row, "nitrate", None, None, None, None, None)
    tank.worked(row).noted(effects=(unknown,))
    assert refused(tank, a_dose(tank)) == ["leave.refused-not-known"]


def test_no_caustic_salt():
    tank = ugly()
    bad = a_dose(tank, substance="trisodium-phosphate", parameter="phosphate")
    assert refused(tank, bad) == ["leave.refused-unknown"]


# ----------------------------------------------------------- ammonia on animals


def bell_share(ph, temperature, salinity):
    """Return the free share, Bell et al. (2008), Environ. Chem. 5, 258."""
    pka = 10.0423 - 0.0315536 * temperature + 0.003071 * salinity
    return 1 / (1 + 10 ** (pka - ph))


def ammonium_dose(tank, rise, **changes):
    """Return a dose of ammonium chloride listed as nitrogen for nitrate."""
    salt = REFERENCE.salts["ammonium-chloride"]
    grams = rise * tank.tank.volume_l / 1000 / ion_share(salt)
    base = a_dose(tank, substance="ammonium-chloride", amount_g=grams, days=1)
    working = replace(base.working, purity=1.0)
    return replace(base, working=working, stock_g_per_l=5.0, **changes)


def salted(ph, temperature, salinity, rise):
    """Return whether a dose of an ammonium salt passes the guards in such water."""
    tank = Made("ugly phase", livestock="fish only").zero("nitrate")
    finding = tank.findings["nitrate"]
    tank.put(replace(finding, verdict="under"))
    tank.none_seen("ammonia").reads("ph", ph).reads("temperature", temperature)
    tank.reads("salinity", salinity)
    dose = ammonium_dose(tank, rise)
    return hold(case_of(tank), [dose]).kept == (dose,)


def test_no_ammonia_salt_passes_the_published_limit():
    passed = []

    @settings(max_examples=300)
    @given(
        ph=st.floats(7.4, 8.9),
        temperature=st.floats(15, 33),
        salinity=st.floats(20, 40),
        rise=st.floats(0.001, 0.2) | st.floats(0.001, 0.02),
    )
    def holds(ph, temperature, salinity, rise):
        # The zero of the ammonia test may be 0.1; EPA (1989): 0.035 mg/L NH3.
        worst = (0.1 + rise) * bell_share(ph, temperature, salinity) * 17.031 / 14.007
        if salted(ph, temperature, salinity, rise):
            passed.append(rise)
            assert worst <= 0.035
            assert rise <= 0.02 * 1.001  # largest rise of ammonia a day

    holds()
    # Were all refused, this would hold of a guard that refuses everything.
    assert len(passed) > 10


def test_a_little_ammonia_salt_passes_where_little_of_it_is_free():
    # pH 7.8, 25 degC, salinity 35: 2.7 % free (Bell et al. 2008), so 0.11 mg/L N are
    # 0.0036 mg/L NH3, a fifth of where to act.
    assert salted(7.8, 25.0, 35.0, 0.01)
    assert not salted(8.7, 30.0, 35.0, 0.01)


def test_no_ammonia_salt_where_the_water_is_not_known():
    tank = Made("ugly phase").zero("nitrate")
    assert "leave.refused-ammonia" in refused(tank, ammonium_dose(tank, 0.01))


def test_no_check_addition_with_animals_in():
    tank = Made("just cycled").zero("nitrate")
    bad = ammonium_dose(tank, 1.0, id="dose-ammonia-check", rule="never-cycled")
    assert refused(tank, bad) == ["leave.refused-ammonia"]


# ---------------------------------------------------------------- water changes


def a_change(**changes):
    tank = Made("mature").reads("nitrate", 60.0, "over", second_limit="high")
    plan = tank.enough("phosphate").plan()
    good = next(a for a in plan.actions if a.kind == "water change")
    return tank, replace(good, **changes)


def test_no_change_beyond_the_largest_share():
    tank, bad = a_change(water_change_share=0.4, water_change_l=80.0)
    assert refused(tank, bad) == ["leave.refused-change"]


def test_no_change_whose_litres_do_not_fit():
    tank, bad = a_change(water_change_l=120.0)
    assert refused(tank, bad) == ["leave.refused-unknown"]


def test_no_change_that_takes_phosphate_down_in_one_go():
    tank, bad = a_change()  # 30 %
    tank.reads("phosphate", 0.2, "over", second_limit="high")
    assert refused(tank, bad) == ["leave.refused-fall"]
    gentle = replace(bad, water_change_share=0.25, water_change_l=50.0)
    assert hold(case_of(tank), [gentle]).kept == (gentle,)
    # 30 % of 0.08 mg/L is less than the largest fall of a day, 0.03 mg/L.
    tank.reads("phosphate", 0.08)
    assert hold(case_of(tank), [bad]).kept == (bad,)


def test_no_change_with_water_that_nobody_names():
    tank, bad = a_change(new_water=None)
    assert refused(tank, bad) == ["leave.refused-unknown"]


def test_no_change_for_what_is_not_known_to_be_over():
    tank, good = a_change()
    tank.put(replace(tank.findings["nitrate"], verdict="cannot tell"))
    assert refused(tank, good) == ["leave.refused-not-known"]


def test_every_change_says_to_match_the_water():
    _, good = a_change()
    assert "cautions.match-water" in [s.key for s in good.cautions]


# --------------------------------------------------------------- contradictions


def test_feed_is_never_both_more_and_less():
    tank = Made("mature").zero("nitrate").enough("phosphate")
    asked = [
        Action(f"feed-{way}", "feed", "x", say("x.y"), say("x.y"), TODAY)
        for way in ("more", "less")
    ]
    kept = hold(case_of(tank), asked).kept
    assert [action.id for action in kept] == ["feed-less"]


def test_a_refusal_is_said_on_the_sheet(monkeypatch):
    # A rule gone wrong: the guard stops it, and the sheet says why.
    from fleet.plan import order

    tank = Made("mature").enough("nitrate", "phosphate")
    bad = a_dose(tank)

    def wrong(case):
        from fleet.plan.case import Wanted

        return Wanted("falling", say("headlines.incident"), actions=(bad,))

    monkeypatch.setattr(order, "SITUATIONS", (wrong,))
    plan = plan_tank(tank.made(), tank.shelf, tank.house, REFERENCE)
    assert kinds(plan) == []
    assert plan.leave_alone[0].key == "leave.refused-enough"
