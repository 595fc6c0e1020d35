"""Too much, and doses that did not show or went over. Common practice, no source;
water changes by mass balance, worked by hand beside each test.
"""

from dataclasses import replace

import pytest
from made_findings import REFERENCE, Made, action, ago, ahead, ids, kinds, result, work

from fleet.records import Settings, Trend
from fleet.render.wording import Wording
from fleet.science.dilution import after_changes


def over(nitrate=60.0, **tank):
    made = Made("mature", **tank)
    return made.reads("nitrate", nitrate, "over", second_limit="high").enough(
        "phosphate"
    )


# ------------------------------------------------------------------------- over


def test_over_asks_for_a_calculated_change_less_feed_and_a_look_at_export():
    plan = over().plan()
    assert plan.situations == ("over",)
    assert plan.attention == "this week"
    # Five changes of 30 % would take phosphate from 0.06 to 0.06 x 0.7^5 = 0.01, under
    # its band, so both are tested.
    test = "retest-nitrate-phosphate"
    asked = ["change-water", "feed-less", "check-export", test, "log-work"]
    assert sorted(ids(plan)) == sorted(asked)
    assert "dose" not in kinds(plan)


def test_change_is_held_to_the_largest_planned_share():
    # 60 to 12.5 mg/L needs (60 - 12.5) / 60 = 79 %; the largest planned is 30 %.
    change = action(over().plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.30)
    assert change.water_change_l == pytest.approx(60.0)  # of 200 L
    assert dict(change.expected)["nitrate"] == pytest.approx(-18.0)  # 0.3 x 60


def test_change_is_sized_by_dilution_with_the_change_waters_own_content():
    tank = over(16.0)
    tank.house = Settings(change_water=(("nitrate", 2.0),))
    change = action(tank.plan(), "change-water")
    # Aim 12.5 (a quarter inside 5 to 15): (16 - 12.5) / (16 - 2) = 0.25
    assert change.water_change_share == pytest.approx(0.25)
    assert after_changes(16.0, 0.25, 2.0) == pytest.approx(12.5)


def test_new_water_is_like_the_tanks_own():
    tank = over().reads("salinity", 33.0)
    change = action(tank.plan(), "change-water")
    assert (change.new_water, change.new_water_salinity) == ("like the tank", 33.0)
    change = action(over().plan(), "change-water")  # nobody measured it
    assert (change.new_water, change.new_water_salinity) == ("like the tank", None)


def test_the_number_of_further_changes_is_said():
    said = dict(action(over().plan(), "change-water").what.facts)
    # Into the band, whose edge is 15: ln(15 / 60) / ln(0.7) = 3.9, four of 30 %.
    assert said["times"] == 4


@pytest.mark.parametrize(
    ("now", "most", "times"),
    [
        (40.0, None, 3),  # 40 x 0.7^3 = 13.7, under 15
        (20.0, 0.25, 1),  # 20 x 0.75 = 15, the edge itself
    ],
)
def test_changes_are_counted_to_the_edge_of_the_band(now, most, times):
    tank = over(now)
    tank.house = Settings(largest_water_change=most)
    assert dict(action(tank.plan(), "change-water").what.facts)["times"] == times


def test_new_water_that_nobody_noted_is_said_to_be_taken_as_free():
    _, text = said_of(over())
    assert "if the new water holds no nitrate: Settings does not say" in text
    tank = over()
    tank.house = Settings(change_water=(("nitrate", 0.0),))
    assert "Settings does not say" not in said_of(tank)[1]


def test_stocking_waits_for_what_is_over():
    tank = Made("just cycled", livestock="none yet", fish=0).enough("nitrate")
    plan = tank.reads("phosphate", 0.9, "over", second_limit="high").plan()
    said = Wording(REFERENCE, tank.house).plain(action(plan, "wait-stocking").what)
    assert "until phosphate has come down" in said


def test_the_workbooks_own_largest_change_is_kept():
    tank = over()
    tank.house = Settings(largest_water_change=0.15)
    change = action(tank.plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.15)


def test_no_setting_allows_more_than_the_urgent_share():
    tank = over(livestock="fish only")
    tank.house = Settings(largest_water_change=0.9)
    assert action(tank.plan(), "change-water").water_change_share <= 0.5


def test_change_water_that_is_too_rich_is_said_and_not_used():
    tank = over()
    tank.house = Settings(change_water=(("nitrate", 20.0),))
    plan = tank.plan()
    assert "water change" not in kinds(plan)
    check = action(plan, "check-change-water-nitrate")
    assert dict(check.what.facts)["fill"] == 20.0


def test_phosphate_falls_by_a_quarter_of_its_value_at_most():
    tank = Made("mature").enough("nitrate")
    plan = tank.reads("phosphate", 0.4, "over", second_limit="high").plan()
    change = action(plan, "change-water")
    assert dict(change.expected)["phosphate"] == pytest.approx(-0.1)  # 0.25 x 0.4
    assert "leave.fast-fall" in [s.key for s in plan.leave_alone]
    assert "meaning.phosphate-slow" in [s.key for s in plan.meaning]


@pytest.mark.parametrize(
    ("phosphate", "fall"),
    [
        # A quarter of the value, but no more than 0.03 mg/L a day on the seven days to
        # the next change: 0.21 (both common practice, no source).
        (0.8, 0.2), (1.5, 0.21),
        # 10 % is the smallest change that is worth the work.
        (3.0, 0.3),
    ],
)  # fmt: skip
def test_much_phosphate_falls_no_faster_than_its_limit_a_day(phosphate, fall):
    tank = Made("mature").enough("nitrate")
    plan = tank.reads("phosphate", phosphate, "over", second_limit="high").plan()
    change = action(plan, "change-water")
    assert dict(change.expected)["phosphate"] == pytest.approx(-fall)


def test_without_corals_a_quarter_of_much_phosphate_is_fine():
    # It is corals that a fast fall harms (Rosset et al. 2017, for the mechanism).
    tank = Made("mature", livestock="fish only").enough("nitrate")
    plan = tank.reads("phosphate", 2.0, "over", second_limit="high").plan()
    change = action(plan, "change-water")
    assert dict(change.expected)["phosphate"] == pytest.approx(-0.5)


def test_a_change_for_nitrate_takes_no_more_phosphate_than_it_should():
    # 0.12 mg/L is over and tolerated: a quarter of it is 0.03, so 25 %, not 30 %.
    tank = over().reads("phosphate", 0.12, "over")
    change = action(tank.plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.25)
    assert dict(change.expected)["phosphate"] == pytest.approx(-0.03)
    # In the band, 30 % of 0.06 is less than the largest fall of one day.
    change = action(over().plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.3)


def test_media_are_held_to_the_same_fall():
    tank = Made("mature").enough("nitrate")
    plan = tank.reads("phosphate", 0.4, "over", second_limit="high").plan()
    assert dict(action(plan, "check-export").what.facts)["a_day"] == 0.03


def test_tolerated_phosphate_is_not_moved():
    # 0.10 to 0.15 mg/L is tolerated (common practice, no source).
    plan = Made("mature").enough("nitrate").reads("phosphate", 0.12, "over").plan()
    assert plan.attention == "watch"
    assert not {"water change", "dose", "take out"} & set(kinds(plan))


def test_both_over_take_the_smaller_step():
    tank = over().reads("phosphate", 0.4, "over", second_limit="high")
    change = action(tank.plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.25)


def test_what_a_change_does_to_both_is_said():
    # 20 % by phosphate (0.25 x 0.2 = 0.05 a step is 25 %), with none in the new water:
    # nitrate 40 to 30, phosphate 0.2 to 0.15.
    tank = over(40.0).reads("phosphate", 0.2, "over", second_limit="high")
    change = action(tank.plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.25)
    assert dict(change.expected) == pytest.approx({"nitrate": -10, "phosphate": -0.05})
    said = dict(change.what.facts)
    assert {name for name, *_ in said["falls"]} == {"nitrate", "phosphate"}
    # ln(15 / 40) / ln(0.75) = 3.4, ln(0.1 / 0.2) / ln(0.75) = 2.4: four do both.
    assert said["times"] == 4
    assert said["fills"] == ()


def test_well_above_and_a_little_above_are_told_apart():
    tank = over(17.0).reads("phosphate", 0.25, "over", second_limit="high")
    tank.put(replace(tank.findings["nitrate"], second_limit=""))
    said = dict(tank.plan().headline.facts)
    assert (said["beyond"], said["near"]) == (("phosphate",), ("nitrate",))


def test_a_change_logged_since_the_test_is_waited_for():
    tank = over().worked(work("water change", 0, amount=20, unit="%"))
    plan = tank.plan()
    assert "water change" not in kinds(plan)
    assert "retest-nitrate" in ids(plan)


def test_causes_that_can_be_seen_are_looked_for_first():
    tank = over().cause("die-off", 0.4, "high").cause("source water", 0.3, "high")
    plan = tank.plan()
    assert ids(plan)[:2] == ["check-die-off", "check-source-water"]
    assert "meaning.reasons" in [s.key for s in plan.meaning]


def test_media_waits_while_films_grow():
    tank = Made("ugly phase").enough("phosphate")
    plan = tank.reads("nitrate", 30.0, "over", second_limit="high").plan()
    assert "check-export" not in ids(plan)
    assert "leave.media-in-films" in [s.key for s in plan.leave_alone]


# --------------------------------------------------------------- over-and-young


def test_high_nitrate_after_the_cycle_is_changed_once_before_animals():
    tank = Made("just cycled", livestock="none yet", fish=0).zero("phosphate")
    plan = tank.reads("nitrate", 60.0, "over", second_limit="high").plan()
    assert plan.situations[0] == "over-and-young"
    change = action(plan, "change-water")
    # (60 - 30.0625) / 60 = 0.499, within the 50 % of a tank with no animals
    assert change.water_change_share == pytest.approx(0.499, abs=0.001)
    assert "wait-stocking" in ids(plan)
    assert "check-export" not in ids(plan)
    assert not {"dose", "take out"} & set(kinds(plan))
    assert "leave.export-yet" in [s.key for s in plan.leave_alone]


# ------------------------------------------------------- dosed-and-nothing-seen


def vanished(kept=0.1, kept_high=0.4, stage="ugly phase"):
    tank = Made(stage).zero("phosphate").enough("nitrate")
    return tank.dosed("phosphate", 0.06, kept, days=4, kept_high=kept_high)


def test_a_vanished_dose_is_said_in_numbers():
    plan = vanished().plan()
    assert "dosed-and-nothing-seen" in plan.situations
    said = next(s for s in plan.meaning if s.key == "meaning.dosed-and-nothing-seen")
    facts = dict(said.facts)
    assert facts["expected"] == 0.06
    assert facts["seen"] == pytest.approx(0.006)
    assert facts["kept"] == pytest.approx(0.1)


def test_a_vanished_dose_is_repeated_small_by_the_measured_need():
    dose = action(vanished().plan(), "dose-phosphate")
    # Lost: 0.06 x 0.9 in 4 days = 0.0135 a day. Wanted: 0.04, in d days with
    # (0.04 + 0.0135 d) / d at most 0.03: d = 3. Total 0.0805, held to 0.07, what the
    # band's top (0.1) leaves above the upper end of the reading (0.03).
    assert dose.working.uptake_day == pytest.approx(0.0135)
    assert dose.days == 3
    assert dict(dose.expected)["phosphate"] == pytest.approx(0.07)
    assert dose.what.key == "actions.dose-repeat"


def test_a_vanished_dose_is_never_answered_with_a_bigger_one():
    plan = vanished().plan()
    dose = action(plan, "dose-phosphate")
    assert dose.working.rise_day <= 0.03
    assert "leave.bigger-dose" in [s.key for s in plan.leave_alone]


def test_method_volume_and_salt_are_checked_before_the_next_dose():
    order = ids(vanished().plan())
    assert order.index("check-dose") < order.index("dose-phosphate")


def test_rock_explains_phosphate_but_not_nitrate():
    # Millero et al. 2001, Aquat. Geochem. 7:33-56 (from memory), for phosphate.
    assert "meaning.gone-phosphate" in [s.key for s in vanished().plan().meaning]
    tank = Made("ugly phase").zero("nitrate").enough("phosphate")
    plan = tank.dosed("nitrate", 4.0, 0.0, kept_high=0.5).plan()
    assert "meaning.gone-nitrate" in [s.key for s in plan.meaning]


def test_a_test_too_coarse_to_rule_the_rise_out_is_no_vanished_dose():
    plan = vanished(kept=0.1, kept_high=1.5).plan()
    assert "dosed-and-nothing-seen" not in plan.situations


def test_a_dose_that_was_kept_is_no_vanished_dose():
    assert "dosed-and-nothing-seen" not in vanished(0.8, 0.9).plan().situations


# --------------------------------------------------------------- dosed-and-over


def overdosed(value=18.0, expected=6.0, **more):
    tank = Made("mature").enough("phosphate").reads("nitrate", value, "over", **more)
    return tank.dosed("nitrate", expected, 1.0)


def test_a_dose_that_went_over_is_stopped_and_waited_out():
    plan = overdosed().plan()
    assert plan.situations == ("dosed-and-over",)
    assert ids(plan)[0] == "hold-off-dose-nitrate"
    assert "wait-after-dose" in ids(plan)
    assert not {"dose", "water change"} & set(kinds(plan))
    assert action(plan, "retest-nitrate").when == ahead(4)


def test_a_dose_far_over_is_changed_out():
    plan = overdosed(30.0, 20.0, second_limit="high").plan()
    assert {"hold-off-dose-nitrate", "change-water"} <= set(ids(plan))
    assert "check-export" not in ids(plan)


def test_the_other_nutrient_is_judged_by_itself():
    tank = overdosed(30.0, 20.0, second_limit="high")
    plan = tank.reads("phosphate", 0.4, "over", second_limit="high").plan()
    assert plan.situations == ("dosed-and-over", "over")
    # One change for both: the smaller step, a quarter of the phosphate.
    assert action(plan, "change-water").water_change_share == pytest.approx(0.25)


def test_a_tank_over_before_the_dose_is_plainly_over():
    # 60 less the 6 of the dose is still over: the dose is not what did it.
    assert overdosed(60.0, second_limit="high").plan().situations == ("over",)


def test_upper_limit_alone_never_asks_for_a_change():
    tank = Made("mature").enough("phosphate")
    measured = result("nitrate", 60.0, upper_limit_only=True)
    finding = tank.reads("nitrate", 60.0, "over").findings["nitrate"]
    tank.put(replace(finding, latest=measured))
    assert "water change" not in kinds(tank.plan())


# --------------------------------------- what is not promised, and what is counted


def said_of(tank):
    change = action(tank.plan(), "change-water")
    return change, Wording(REFERENCE, tank.house).plain(change.what)


def gaining(value, low, per_week):
    """60 mg/L of nitrate in a tank that gains ``per_week``, at least ``low``."""
    trend = Trend(per_week, low, per_week + 1, 5, ago(28), corrected_for_work=True)
    tank = over()
    finding = tank.findings["nitrate"]
    return tank.put(replace(finding, trend=trend))


def test_without_the_input_the_number_of_changes_is_a_least():
    change, text = said_of(gaining(60.0, -1.0, 4.0))
    assert dict(change.what.facts)["counted"] == ()
    assert "at least 4 such changes" in text


def test_with_the_tanks_own_input_the_number_is_counted():
    # 30 % of 60 leaves 42; then (42 + 2) x 0.7 = 30.8, 22.96, 17.47, 13.63:
    # five changes until it is under 15 (by hand, mass balance).
    change, text = said_of(gaining(60.0, 1.0, 2.0))
    assert dict(change.what.facts)["times"] == 5
    assert "with about nitrate 2 mg/L coming in each week, about 5 such changes" in text


def test_more_coming_in_than_is_taken_out_is_said():
    # 10 a week at 30 %: 10 x 0.7 / 0.3 = 23.3 just after a change, over 15.
    change, text = said_of(gaining(60.0, 8.0, 10.0))
    assert dict(change.what.facts)["never"] == (("nitrate", 10.0),)
    assert "will not bring it into the band" in text
    assert "such changes, a week apart" not in text


def test_the_other_nutrient_is_thinned_and_said():
    # 25 % of 6 mg/L is 1.5; ln(0.1 / 0.45) / ln(0.75) = 5.2: six changes leave
    # 6 x 0.75^6 = 1.07 of nitrate, under 5.
    tank = Made("mature").reads("nitrate", 6.0)
    tank.reads("phosphate", 0.45, "over", second_limit="high")
    change, text = said_of(tank)
    assert dict(change.expected)["nitrate"] == pytest.approx(-1.5)
    assert "thins nitrate from 6 mg/L to about 4.5 mg/L" in text
    plan = tank.plan()
    warned = next(s for s in plan.meaning if s.key == "meaning.thinned-too")
    assert dict(warned.facts)["times"] == 6
    assert dict(warned.facts)["left"] == pytest.approx(1.07, abs=0.005)
    assert "retest-nitrate-phosphate" in ids(plan)


def test_a_reading_off_the_top_is_a_least_and_tested_thinned():
    tank = over(80.0, livestock="fish only")
    measured = result("nitrate", 80.0, low=80.0, high=float("inf"))
    finding = tank.findings["nitrate"]
    tank.put(replace(finding, latest=measured._replace(value=None)))
    change, text = said_of(tank)
    assert "from 80 mg/L or more to about 56 mg/L or more" in text  # 30 % of 80 is 24
    order = ids(tank.plan())
    assert order.index("check-thinned-nitrate") < order.index("change-water")


def test_clean_water_is_said_in_litres_where_the_own_is_too_rich():
    # 30 % of 60 is 18: 60 L of 200 L take 60 to 42. Nobody has to ask whether it
    # comes in with the water: the workbook says so.
    tank = over().cause("source water", 0.5, "high")
    tank.house = Settings(change_water=(("nitrate", 20.0),))
    plan = tank.plan()
    said = dict(action(plan, "check-change-water-nitrate").what.facts)
    assert said["volume"] == pytest.approx(60.0)
    assert said["after"] == pytest.approx(42.0)
    assert "check-source-water" not in ids(plan)


def test_a_large_change_may_be_made_in_parts():
    assert dict(said_of(over(volume_l=20000.0))[0].what.facts)["parts"] is True
    assert dict(said_of(over())[0].what.facts)["parts"] is False


def test_fish_alone_are_not_told_of_corals():
    tank = Made("mature", livestock="fish only").enough("nitrate")
    plan = tank.reads("phosphate", 2.0, "over", second_limit="high").plan()
    assert "leave.fast-fall" not in [s.key for s in plan.leave_alone]


def test_a_nutrient_that_is_low_already_is_watched_while_it_is_thinned():
    tank = Made("mature").reads("nitrate", 1.5, "under")
    tank.reads("phosphate", 2.0, "over", second_limit="high")
    plan = tank.plan()
    assert "meaning.thinned-low" in [s.key for s in plan.meaning]
    assert "retest-nitrate-phosphate" in ids(plan)


def test_next_weeks_export_is_not_spoken_of_while_the_water_is_unsafe():
    tank = over().reads("temperature", 31.0, "over", second_limit="high")
    plan = tank.plan()
    assert "wait-nutrients" in ids(plan)
    assert "check-export" not in ids(plan)
