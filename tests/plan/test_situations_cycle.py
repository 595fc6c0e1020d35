"""The cycle. Free ammonia by Bell et al. (2008), limits of EPA 440/5-88-004 (1989),
saltwater: 0.035 mg/L NH3 over four days (from memory). The rest is common practice,
no source.
"""

from dataclasses import replace

import pytest
from made_findings import (
    REFERENCE,
    SHELF,
    Made,
    action,
    ahead,
    finding,
    ids,
    kinds,
    result,
)

from fleet.records import ShelfItem

PAIR = "retest-ammonia-nitrite"


def no_animals(stage="cycling", **tank):
    return Made(stage, livestock="none yet", fish=0, feed_g_day=None, **tank)


# ---------------------------------------------------------------------- cycling


def test_cycling_waits_and_tests_every_other_day():
    tank = no_animals().reads("ammonia", 1.0, "over").reads("nitrite", 2.0, "over")
    plan = tank.plan()
    assert plan.situations == ("cycling",)
    assert plan.attention == "watch"
    assert ids(plan) == ["wait-for-cycle", PAIR]
    assert action(plan, PAIR).when == ahead(2)


def test_cycling_never_changes_water_for_nitrite_and_never_doses():
    # Park et al. 2007, J. World Aquacult. Soc.: 96-h LC50 700 mg/L for a sea fish.
    plan = no_animals().reads("nitrite", 5.0, "over").plan()
    assert not {"water change", "dose", "add life", "welfare"} & set(kinds(plan))
    said = [s.key for s in plan.leave_alone]
    assert "leave.change-for-nitrite" in said
    assert "leave.dose-while-cycling" in said


def test_nutrients_are_not_asked_about_while_cycling():
    plan = no_animals().reads("ammonia", 1.0, "over").plan()
    assert {name for name, _ in plan.retests} == {"ammonia", "nitrite"}


# --------------------------------------------------------------- cycle-stalled


def test_stalled_cycle_checks_the_water_against_ranges_and_seeds():
    tank = no_animals().staged(stalled=True).reads("ammonia", 2.0, "over")
    plan = tank.reads("temperature", 19.0, "under").plan()
    assert plan.situations == ("cycle-stalled",)
    assert ids(plan) == ["check-heater", "check-cycle-water", "seed", PAIR]
    ranges = dict(dict(action(plan, "check-cycle-water").what.facts)["ranges"])
    assert set(ranges) == {"temperature", "ph", "salinity", "alkalinity"}
    assert ranges["temperature"] == (23.0, 27.0)
    slow = next(s for s in plan.meaning if s.key == "meaning.slow-water")
    assert dict(slow.facts)["found"] == (("temperature", 19.0),)


def test_stalled_cycle_is_warmed_and_its_alkalinity_brought_back():
    tank = no_animals().staged(stalled=True).reads("ammonia", 2.0, "over")
    tank.reads("temperature", 17.5, "under").reads("alkalinity", 1.5, "under")
    plan = tank.plan()
    heater = dict(action(plan, "check-heater").what.facts)
    assert (heater["now"], heater["goal"]) == (17.5, 25)
    # To the low edge of the usual range: (low - 1.5) x 200 L x 84.006 mg/meq (IUPAC).
    low = tank.findings["alkalinity"].band.low
    added = action(plan, "welfare-alkalinity")
    assert added.amount_g == pytest.approx((low - 1.5) * 200 * 84.006 / 1000)
    assert added.kind == "check"


def test_stalled_cycle_gets_no_more_ammonia():
    tank = no_animals().staged(stalled=True).reads("ammonia", 2.0, "over")
    plan = tank.plan()
    assert "dose" not in kinds(plan)
    assert plan.leave_alone[0].key == "leave.more-ammonia"


# ----------------------------------------------------------------- never-cycled


def never(**tank):
    made = no_animals("just cycled", **tank).staged(never_started=True)
    return made.zero("nitrate", "phosphate", before=False).none_seen("nitrite")


def test_never_cycled_adds_measured_ammonia():
    plan = never().plan()
    assert plan.situations == ("never-cycled",)
    dose = action(plan, "dose-ammonia-check")
    # 1 mg/L N x 200 L / 1000 / 0.2619 / 0.99 = 0.7713 g of ammonium chloride
    assert dose.substance == "ammonium-chloride"
    assert dose.amount_g == pytest.approx(0.7713, abs=0.0002)
    assert dose.days == 1
    assert dict(dose.expected)["ammonia"] == pytest.approx(1.0)


def test_what_the_addition_costs_in_alkalinity_is_said():
    # Wolf-Gladrow et al. (2007): two equivalents a mol of ammonium nitrified,
    # 0.143 meq/L for 1 mg/L N; the bicarbonate salt brings one of them itself.
    expected = dict(action(never().plan(), "dose-ammonia-check").expected)
    assert expected["alkalinity"] == pytest.approx(-0.1428, abs=0.0002)
    tank = never()
    tank.shelf = (ShelfItem("ammonium-bicarbonate", "", 1.0, None, None),)
    expected = dict(action(tank.plan(), "dose-ammonia-check").expected)
    assert expected["alkalinity"] == pytest.approx(-0.0714, abs=0.0002)


def test_what_to_expect_in_one_to_two_days_is_said():
    plan = never().plan()
    said = next(s for s in plan.meaning if s.key == "meaning.never-cycled-expect")
    assert dict(said.facts)["days"] == 2
    assert action(plan, PAIR).when == ahead(1)
    assert kinds(plan).index("dose") < kinds(plan).index("retest")


def test_never_cycled_adds_no_animals_and_does_not_explain_the_zeros_away():
    plan = never().plan()
    assert "add life" not in kinds(plan)
    assert "zero-after-cycle" not in plan.situations
    assert plan.leave_alone[0].key == "leave.animals-yet"


@pytest.mark.parametrize("animals", [True, None])
def test_no_ammonia_is_added_where_animals_are_or_may_be(animals):
    plan = never().noted(animals=animals).plan()
    assert "dose" not in kinds(plan)
    assert PAIR in ids(plan)


def test_ammonia_is_tested_before_any_is_added():
    plan = never().without("ammonia").plan()
    assert "dose" not in kinds(plan)
    assert PAIR in ids(plan)


def test_addition_needs_a_volume():
    plan = never(volume_l=None).plan()
    assert "dose" not in kinds(plan)
    assert "check-volume" in ids(plan)


def test_salt_to_buy_where_the_shelf_has_none():
    tank = never()
    tank.shelf = SHELF[:2]
    dose = action(tank.plan(), "dose-ammonia-check")
    assert REFERENCE.salts[dose.substance].ammonia_bearing


def test_an_old_tank_with_ammonia_and_no_animals_is_an_incident():
    tank = no_animals("mature").staged(incident=True).reads("ammonia", 0.5, "over")
    for name in ("nitrate", "phosphate"):
        tank.put(finding("not judged", result(name, 5.0)))
    plan = tank.plan()
    assert plan.situations == ("incident",)
    assert ids(plan) == ["check-die-off", PAIR]


# ----------------------------------------------------------- nitrite-interferes


def interfered():
    tank = Made("just cycled").enough("phosphate").reads("nitrite", 2.0, "over")
    finding = tank.reads("nitrate", 40.0, "cannot tell").findings["nitrate"]
    measured = result("nitrate", 40.0, low=0.0, high=56.0, upper_limit_only=True)
    return tank.put(replace(finding, latest=measured))


def test_nitrate_beside_nitrite_is_an_upper_limit_and_tested_later():
    plan = interfered().plan()
    assert plan.situations == ("nitrite-interferes",)
    assert {"retest-nitrite", "retest-nitrate"} <= set(ids(plan))
    assert dict(plan.meaning[0].facts)["most"] == 56.0
    assert "water change" not in kinds(plan)
    assert plan.leave_alone[0].key == "leave.change-for-nitrate-beside-nitrite"


def test_ammonia_where_animals_are_not_known_is_no_alarm_but_is_said():
    tank = no_animals().reads("ammonia", 1.0, "over").noted(animals=None)
    plan = tank.plan()
    assert (plan.situations, plan.attention) == (("cycling",), "watch")
    assert "meaning.if-animals" in [s.key for s in plan.meaning]
    known = no_animals().reads("ammonia", 1.0, "over").plan()
    assert "meaning.if-animals" not in [s.key for s in known.meaning]
