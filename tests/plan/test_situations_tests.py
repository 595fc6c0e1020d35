"""What has to be known first. Common practice, no source."""

from dataclasses import replace

import pytest
from made_findings import Made, action, ahead, band_of, finding, ids, kinds, result

from fleet.records import Doubt, Settings, say


def facts(sentence):
    return dict(sentence.facts)


# ---------------------------------------------------------- cannot-tell-phosphate


def test_phosphate_zero_by_a_coarse_test_is_tested_by_one_that_can_tell():
    plan = Made("mature").enough("nitrate").blind("phosphate").plan()
    assert plan.situations == ("cannot-tell-phosphate",)
    again = action(plan, "retest-phosphate")
    assert again.method_class == "phosphate-photometer"
    assert kinds(plan) == ["retest"]
    said = facts(plan.meaning[0])
    assert said["ends"] == (0.0, 0.08)
    assert plan.leave_alone[0].key == "leave.act-on-cannot-tell"


def test_it_is_pressing_where_the_other_one_is_gone_while_films_grow():
    calm = Made("mature").enough("nitrate").blind("phosphate").plan()
    films = Made("ugly phase").reads("nitrate", 3.0).blind("phosphate").plan()
    gone = Made("ugly phase").zero("nitrate").blind("phosphate").plan()
    assert (calm.attention, films.attention) == ("watch", "watch")
    assert gone.attention == "this week"
    days = [dict(plan.retests)["phosphate"] for plan in (calm, films, gone)]
    assert days == [ahead(7), ahead(4), ahead(1)]


def test_films_are_not_called_fed_where_phosphate_cannot_be_told():
    plan = Made("ugly phase").reads("nitrate", 3.0).blind("phosphate").plan()
    assert plan.situations == ("cannot-tell-phosphate",)
    assert "leave.clean-all" in [s.key for s in plan.leave_alone]


def test_nitrate_by_a_coarse_test_is_treated_the_same():
    plan = Made("mature").enough("phosphate").blind("nitrate").plan()
    assert plan.situations == ("cannot-tell-nitrate",)
    assert action(plan, "retest-nitrate").method_class == "nitrate-photometer"
    assert "dose" not in kinds(plan)


def test_a_value_near_an_edge_that_registers_is_no_matter():
    tank = Made("mature").enough("phosphate").reads("nitrate", 14.5, "cannot tell")
    assert tank.plan().situations == ("steady",)


def test_the_class_of_method_is_found_where_assess_names_none():
    tank = Made("mature").enough("nitrate").blind("phosphate", better_method="")
    assert action(tank.plan(), "retest-phosphate").method_class in (
        "phosphate-photometer",
        "phosphate-photometer-fine",
    )


# --------------------------------------------------------------- swapped-or-typo


def test_a_slip_is_named_by_cell_and_not_acted_on():
    plan = Made("mature").enough("nitrate").doubted("phosphate", 30.0, 0.03).plan()
    assert plan.situations == ("swapped-or-typo",)
    assert kinds(plan) == ["retest"]
    assert action(plan, "retest-phosphate").when == ahead(1)
    said = facts(plan.meaning[0])
    assert (said["sheet"], said["cell"]) == ("Readings", "D14")
    assert said["written"] == "30.0"


def test_a_doubted_nutrient_is_neither_dosed_nor_changed_for():
    tank = Made("ugly phase").zero("nitrate").doubted("phosphate", 30.0, 0.03)
    plan = tank.plan()
    assert [a.parameter for a in plan.actions if a.kind == "dose"] == ["nitrate"]
    tank = Made("mature").enough("phosphate").doubted("nitrate", 50.0, kind="jump")
    assert kinds(tank.plan()) == ["retest"]


def test_a_slip_in_temperature_is_no_emergency():
    # 78 written for degF: 25.6 degC, in the usual range.
    tank = Made("mature").enough("nitrate", "phosphate")
    plan = tank.doubted("temperature", 78.0, 25.6, "impossible").plan()
    assert plan.attention == "this week"
    assert "welfare" not in plan.situations


def test_a_jump_that_would_harm_is_checked_today():
    tank = Made("mature").enough("nitrate", "phosphate")
    plan = tank.doubted("salinity", 25.0, None, "jump").plan()
    assert plan.attention == "today"
    assert action(plan, "retest-salinity").when == ahead(0)


def test_a_date_ahead_is_corrected_not_tested():
    tank = Made("mature").enough("nitrate")
    plan = tank.doubted("phosphate", 0.05, None, "future date").plan()
    assert "check-date-14" in ids(plan)
    assert "retest-phosphate" not in ids(plan)
    assert plan.attention == "watch"


def test_a_date_ahead_says_nothing_against_the_results_of_today():
    tank = Made("ugly phase").zero("nitrate").enough("phosphate")
    late = tank.findings["nitrate"].latest._replace(
        doubt=Doubt("future date", say("score.zero-again", visits=2))
    )
    tank.put(replace(tank.findings["nitrate"], doubted=(late,)))
    assert "dose-nitrate" in ids(tank.plan())


def test_one_row_dated_ahead_is_named_once():
    tank = Made("mature").enough("nitrate", "phosphate")
    for name in ("nitrate", "phosphate"):
        late = tank.findings[name].latest._replace(
            doubt=Doubt("future date", say("score.zero-again", visits=2))
        )
        tank.put(replace(tank.findings[name], doubted=(late,)))
    assert ids(tank.plan()) == ["check-date-14"]


# ------------------------------------------------------------------------- stale


def stale(stage="mature"):
    tank = Made(stage)
    for name, value in (("nitrate", 0.5), ("phosphate", 0.01)):
        tank.reads(name, value, "not judged", days=30, stale=True)
    return tank


def test_old_values_are_tested_first_and_never_dosed_on():
    plan = stale().plan()
    assert plan.situations == ("stale",)
    assert ids(plan) == ["retest-nitrate-phosphate"]
    assert action(plan, "retest-nitrate-phosphate").when == ahead(0)
    assert plan.leave_alone[0].key == "leave.act-on-old"


def test_old_flat_zeros_are_not_dosed_even_if_they_are_called_under():
    tank = Made("ugly phase")
    tank.zero("nitrate", "phosphate", days=30, stale=True)
    plan = tank.plan()
    assert "dose" not in kinds(plan)
    assert "stale" in plan.situations


def test_rounds_without_a_test_weigh_in_the_score():
    assert stale().plan().score > 52


# ------------------------------------------------------------------- half-tested


@pytest.mark.parametrize("there", ["nitrate", "phosphate"])
def test_the_other_one_is_asked_for(there):
    plan = Made("mature").enough(there).plan()
    missing = "phosphate" if there == "nitrate" else "nitrate"
    assert plan.situations == ("half-tested",)
    assert ids(plan) == [f"retest-{missing}"]
    assert plan.leave_alone[0].key == "leave.guess"


def test_what_is_there_is_judged_all_the_same():
    plan = Made("ugly phase").zero("nitrate").plan()
    assert plan.situations[:2] == ("zero-in-ugly-phase", "half-tested")
    assert action(plan, "retest-phosphate").when == ahead(1)  # before the dose is done
    assert [a.parameter for a in plan.actions if a.kind == "dose"] == ["nitrate"]


# ------------------------------------------------------------------ never-tested


def test_a_tank_without_a_test_is_asked_for_a_first_one():
    plan = Made("settling").without("ammonia").plan()
    assert plan.situations == ("never-tested",)
    assert kinds(plan) == ["retest"]
    asked = {name for name, day in plan.retests if day == ahead(0)}
    assert {"nitrate", "phosphate", "salinity", "temperature", "ph"} <= asked


def test_a_cycling_tank_without_a_test_is_asked_for_the_cycle_tests():
    plan = Made("cycling", livestock="none yet").without("ammonia").plan()
    assert plan.situations[0] == "never-tested"
    asked = {name for name, _ in plan.retests}
    assert {"ammonia", "nitrite"} <= asked
    assert "nitrate" not in asked


# ------------------------------------------------------- livestock, shared, steady


def test_unknown_livestock_is_asked_for():
    tank = Made("mature", livestock="", fish=None)
    for name in ("nitrate", "phosphate"):
        tank.put(finding("not judged", result(name, 5.0)))
    plan = tank.plan()
    assert plan.situations == ("livestock-unknown",)
    assert ids(plan) == ["check-livestock"]


def test_nothing_is_dosed_into_a_settled_tank_of_unnoted_livestock():
    tank = Made("mature", livestock="", fish=None).looks("pale coral")
    for name in ("nitrate", "phosphate"):
        band = band_of(name, "not noted", "mature")
        tank.put(finding("under", result(name), band, flat_zero=True))
    plan = tank.plan()
    assert "livestock-unknown" in plan.situations
    assert "dose" not in kinds(plan)
    assert ids(plan)[-1] == "check-livestock"  # after what helps the tank now
    # Known, the same tank is dosed.
    tank.tank = replace(tank.tank, livestock="mixed coral")
    for name in ("nitrate", "phosphate"):
        tank.put(replace(tank.findings[name], band=tank.band(name)))
    assert "dose" in kinds(tank.plan())


def test_shared_water_is_one_dose_with_all_displays_named():
    displays = ("Bay 1", "Bay 2", "Bay <3>")
    tank = Made("ugly phase", displays=displays).zero("nitrate", "phosphate")
    plan = tank.plan()
    assert "shared-water" in plan.situations
    doses = [a for a in plan.actions if a.kind == "dose"]
    assert [a.parameter for a in doses] == ["nitrate", "phosphate"]
    for dose in doses:
        assert facts(dose.what)["displays"] == displays
        assert dose.working.volume_l == 200.0  # the whole volume, once
    assert plan.meaning[-1].key == "meaning.shared-water"


def test_steady_tank_is_left_alone():
    plan = Made("mature").enough("nitrate", "phosphate").plan()
    assert plan.situations == ("steady",)
    assert (plan.attention, plan.actions) == ("steady", ())
    assert plan.score < 25


def test_next_round_follows_the_setting():
    tank = Made("mature").enough("nitrate", "phosphate")
    tank.house = Settings(round_days=14)
    assert dict(tank.plan().retests)["nitrate"] == ahead(14)


def test_newer_doubted_result_holds_the_dose_of_an_older_flat_zero():
    # 0 a week ago by a test that can tell, then 30 in a mg/L column: nobody doses on
    # the zero, and nobody counts it as today's.
    tank = Made("ugly phase").enough("nitrate").zero("phosphate", days=7)
    sure = ids(tank.plan())
    assert "dose-phosphate" in sure
    newer = result("phosphate", 30.0, doubt=Doubt("unit slip", say("x.y"), 0.03))
    tank.put(replace(tank.findings["phosphate"], doubted=(newer,)))
    plan = tank.plan()
    assert "dose-phosphate" not in ids(plan)
    assert "swapped-or-typo" in plan.situations
    assert "zero-in-ugly-phase" not in plan.situations
