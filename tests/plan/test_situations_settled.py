"""Settling and mature tanks with too little. Common practice, no source, but for
two points: phosphate shortage beside nitrate harms corals, nitrate shortage beside
phosphate is borne (Rosset et al. 2017, Mar. Pollut. Bull. 118:180-187).
"""

from dataclasses import replace

import pytest
from made_findings import REFERENCE, Made, action, ago, ahead, ids, kinds

from fleet.records import Crossing, Trend
from fleet.render.wording import Wording

ZEROS = ("nitrate", "phosphate")


# -------------------------------------------------------------- mature-and-lean


def lean():
    tank = Made("mature").reads("nitrate", 2.5, "under")
    return tank.reads("phosphate", 0.02, "under").looks("good colour")


def test_lean_and_well_is_left_alone():
    plan = lean().plan()
    assert plan.situations == ("mature-and-lean",)
    assert plan.attention == "steady"
    assert kinds(plan) == ["wait"]  # leave it alone, and the weekly test
    said = [s.key for s in plan.leave_alone]
    assert said == ["leave.dose-when-well", "leave.export-when-lean"]
    assert dict(plan.retests)["nitrate"] == ahead(7)  # the weekly test stays


def test_settling_tank_under_its_band_is_left_alone_too():
    tank = Made("settling").reads("nitrate", 2.5, "under").enough("phosphate")
    assert tank.plan().situations == ("mature-and-lean",)


# -------------------------------------------------- mature-flat-zero-looks-good


def test_flat_zero_with_nothing_bad_to_see_is_watched():
    plan = Made("mature").zero(*ZEROS).looks("good colour", "coralline").plan()
    assert plan.situations == ("mature-flat-zero-looks-good",)
    assert plan.attention == "watch"
    assert ids(plan) == ["feed-more", "retest-nitrate-phosphate"]
    assert action(plan, "retest-nitrate-phosphate").when == ahead(7)


def test_a_fifth_more_feed_is_said_in_grams():
    feed = action(Made("mature").zero(*ZEROS).plan(), "feed-more")
    facts = dict(feed.what.facts)
    assert (facts["now"], facts["to"]) == (0.5, pytest.approx(0.6))  # 0.5 x 1.2


def test_well_fed_tank_gets_life_in_place_of_feed():
    # 2 g a day in 200 L is 1 g/100 L, over the 0.5 of light feeding.
    plan = Made("mature", feed_g_day=2.0).zero(*ZEROS).plan()
    assert ids(plan)[0] == "add-life"


def test_export_of_a_mature_tank_is_eased_not_torn_out():
    tank = Made("mature", equipment=("phosphate media",)).zero("phosphate")
    plan = tank.enough("nitrate").looks("good colour").plan()
    assert "hold-off-phosphate-media" in ids(plan)
    assert not {"take out", "dose", "feed"} & set(kinds(plan))  # one change


def test_fish_only_tank_at_zero_needs_nothing():
    plan = Made("mature", livestock="fish only").zero(*ZEROS).plan()
    assert plan.situations == ("steady",)


# --------------------------------------------------------- mature-and-starving


def starving():
    return Made("mature").zero(*ZEROS).looks("pale coral", "slow growth")


def test_starving_corals_are_raised_slowly_one_nutrient_at_a_time():
    plan = starving().plan()
    assert plan.situations == ("mature-and-starving",)
    assert plan.attention == "this week"
    doses = [a for a in plan.actions if a.kind == "dose"]
    assert [a.parameter for a in doses] == ["phosphate"]
    dose = doses[0]
    # 0 to 0.05 mg/L at half of 0.03 a day: 4 days of 0.0125
    assert dose.days == 4
    assert dose.working.rise_day == pytest.approx(0.0125)
    assert action(plan, "retest-nitrate-phosphate").when == ahead(14)
    said = [s.key for s in plan.leave_alone]
    assert said == ["leave.large-dose", "leave.second-later"]


@pytest.mark.parametrize("grams", [None, 0.2, 1.0, 6.0])
def test_feed_follows_the_slow_raise_as_a_step_of_its_own(grams):
    # By feeding and calculated doses, one change at a time: the dose now, the feed
    # at the look in two weeks, if there is still too little.
    tank = starving()
    tank.tank = replace(tank.tank, feed_g_day=grams)
    plan = tank.plan()
    feed = action(plan, "feed-more")
    assert feed.when == ahead(14) == action(plan, "retest-nitrate-phosphate").when
    dose = action(plan, "dose-phosphate")
    assert dose.when == ahead(0)
    assert dose.until < feed.when
    said = Wording(REFERENCE, tank.house).plain(feed.what)
    assert "if phosphate then still reads too little: Feed a little more" in said
    order = ids(plan)
    assert order.index("dose-phosphate") < order.index("feed-more")
    assert order.index("retest-nitrate-phosphate") < order.index("feed-more")


def test_feed_comes_today_where_nothing_else_is_changed():
    tank = starving()
    tank.tank = replace(tank.tank, volume_l=None)
    plan = tank.plan()
    assert "dose" not in kinds(plan)
    assert action(plan, "feed-more").when == ahead(0)


def test_nitrate_alone_at_zero_is_raised_first():
    tank = Made("mature").zero("nitrate").reads("phosphate", 0.02, "under")
    dose = action(tank.looks("pale coral").plan(), "dose-nitrate")
    # 0 to 6 mg/L (the aim of a mixed tank) at 1 a day, half of the 2 allowed
    assert dose.days == 6
    assert dict(dose.expected)["nitrate"] == pytest.approx(6)


def test_nitrate_is_not_dosed_before_phosphate_is_known():
    # Rosset et al. 2017, Mar. Pollut. Bull. 118:180-187: nitrate beside hardly any
    # phosphate costs corals tissue.
    tank = Made("mature").zero("nitrate").blind("phosphate").looks("pale coral")
    plan = tank.plan()
    assert "mature-and-starving" in plan.situations
    assert not {"dose", "log"} & set(kinds(plan))
    assert dict(plan.retests)["phosphate"] == ahead(1)
    assert "leave.refused-phosphate-first" in [s.key for s in plan.leave_alone]
    untested = Made("mature").zero("nitrate").looks("pale coral").plan()
    assert "dose" not in kinds(untested)
    assert "retest-phosphate" in ids(untested)


@pytest.mark.parametrize("look", ["pale coral", "tissue loss"])
def test_nitrate_is_raised_once_phosphate_is_known_to_be_enough(look):
    tank = Made("mature").zero("nitrate").enough("phosphate").looks(look)
    assert "dose-nitrate" in ids(tank.plan())
    unknown = Made("mature").zero("nitrate").blind("phosphate").looks(look)
    assert "dose-nitrate" not in ids(unknown.plan())


def test_starving_corals_wait_for_the_dose_while_export_runs():
    tank = starving()
    tank.tank = Made("mature", equipment=("phosphate media",)).tank
    plan = tank.plan()
    assert "hold-off-phosphate-media" in ids(plan)
    assert "dose" not in kinds(plan)
    assert dict(plan.retests)["phosphate"] == ahead(7)
    assert action(plan, "retest-nitrate-phosphate").why.key.endswith("why-stripped")
    assert plan.leave_alone[0].key == "leave.dose-beside-export"


def test_a_roller_catches_no_dose_so_it_is_eased_and_the_dose_given():
    tank = starving()
    tank.tank = Made("mature", equipment=("filter roller",)).tank
    plan = tank.plan()
    # Easing the roller is the change that feeding more would be.
    # The first test says whether to go on with the dose, the second how corals do.
    assert kinds(plan) == ["hold off", "dose", "check", "retest", "log"]
    assert dict(plan.retests)["phosphate"] == ahead(14)


def test_poor_corals_with_a_test_that_cannot_tell_are_tested_first():
    tank = Made("mature").enough("nitrate").blind("phosphate").looks("pale coral")
    plan = tank.plan()
    assert plan.situations[0] == "cannot-tell-phosphate"
    assert plan.attention == "this week"
    assert action(plan, "retest-phosphate").when == ahead(1)
    assert "dose" not in kinds(plan)


def test_poor_corals_with_enough_nutrients_have_another_cause():
    plan = Made("mature").enough(*ZEROS).looks("pale coral").plan()
    assert plan.situations == ("look-elsewhere",)
    assert ids(plan) == ["check-corals"]


# ------------------------------------------------------------------- one-sided


def test_no_phosphate_beside_much_nitrate_brings_phosphate_up():
    tank = Made("mature").zero("phosphate")
    plan = tank.reads("nitrate", 40.0, "over", second_limit="high", low=30.0).plan()
    assert plan.situations[0] == "one-sided"
    assert "over" not in plan.situations
    doses = [a.parameter for a in plan.actions if a.kind == "dose"]
    assert doses == ["phosphate"]
    assert not {"water change", "take out"} & set(kinds(plan))
    assert "check-export" not in ids(plan)
    assert "leave.strip-the-high-one" in [s.key for s in plan.leave_alone]


def test_the_ratio_is_said_in_molar_terms_as_a_bound():
    tank = Made("mature").zero("phosphate").reads("nitrate", 40.0, "over", low=30.0)
    said = next(s for s in tank.plan().meaning if s.key == "meaning.ratio-least")
    # (30 / 62.004) / (0.03 / 94.970) = 1531.7: at least, by the ends of both tests
    assert dict(said.facts)["ratio"] == pytest.approx(1531.7, abs=0.5)


def test_no_nitrate_beside_much_phosphate_brings_nitrate_up():
    tank = Made("ugly phase").zero("nitrate").reads("phosphate", 0.3, "over")
    plan = tank.plan()
    assert plan.situations[0] == "one-sided"
    doses = [a for a in plan.actions if a.kind == "dose"]
    assert [a.parameter for a in doses] == ["nitrate"]
    assert dict(doses[0].expected)["nitrate"] == pytest.approx(3)  # films: the floor
    assert action(plan, "retest-nitrate-phosphate").when == ahead(4)


def test_low_phosphate_beside_much_nitrate_counts_where_corals_show_it():
    tank = Made("mature").reads("phosphate", 0.01, "under", high=0.025)
    tank.reads("nitrate", 40.0, "over", second_limit="high", low=30.0)
    well = tank.looks("good colour").plan()
    assert "one-sided" not in well.situations
    plan = tank.looks("pale coral").plan()
    assert plan.situations[0] == "one-sided"
    assert [a.parameter for a in plan.actions if a.kind == "dose"] == ["phosphate"]
    assert "water change" not in kinds(plan)


# ------------------------------------------------------------ falling and rising


def test_falling_says_when_and_eases_the_export_first():
    tank = Made("mature", equipment=("skimmer", "refugium"))
    plan = tank.crossing("nitrate", "low", 5, 6.0).enough("phosphate").plan()
    assert plan.situations == ("falling",)
    assert plan.attention == "watch"
    assert ids(plan)[0] == "hold-off-refugium"
    assert "dose" not in kinds(plan)
    said = dict(plan.meaning[0].facts)
    assert (said["on"], said["earliest"]) == (ahead(5), ahead(4))
    assert said["latest"] == ahead(11)
    assert action(plan, "retest-nitrate").when == ahead(5)
    assert [s.key for s in plan.leave_alone] == ["leave.dose-yet"]


def test_falling_with_nothing_to_ease_feeds_a_little_more():
    plan = Made("mature").crossing("nitrate", "low", 5, 6.0).plan()
    assert "feed-more" in ids(plan)


def test_a_crossing_after_the_next_round_is_no_matter_yet():
    # At the earliest a day before the expected one: 11 days ahead, past the round.
    tank = Made("mature").crossing("nitrate", "low", 12, 7.0).enough("phosphate")
    assert tank.plan().situations == ("steady",)


def test_a_crossing_that_may_come_before_the_next_round_is_watched():
    tank = Made("mature").crossing("nitrate", "low", 8, 7.0).enough("phosphate")
    assert tank.plan().situations == ("falling",)


def test_a_film_on_a_mature_tanks_glass_is_no_ugly_phase():
    tank = Made("mature").staged(films=True).zero("nitrate").enough("phosphate")
    plan = tank.looks("green film").plan()
    assert plan.situations == ("mature-flat-zero-looks-good",)
    assert "dose" not in kinds(plan)


def test_nothing_is_eased_for_one_that_falls_while_the_other_is_over():
    tank = Made("mature", equipment=("skimmer",)).crossing("nitrate", "low", 5, 6.0)
    plan = tank.reads("phosphate", 0.3, "over", second_limit="high").plan()
    assert {"over", "falling"} <= set(plan.situations)
    assert "hold off" not in kinds(plan)
    assert "feed-more" not in ids(plan)


def test_no_less_feed_for_one_that_rises_while_the_other_is_short():
    tank = Made("mature").crossing("nitrate", "high", 5, 14.0).zero("phosphate")
    assert "feed-less" not in ids(tank.plan())


def test_rising_eases_the_feeding_first():
    plan = Made("mature").crossing("phosphate", "high", 5, 0.09).plan()
    assert "rising" in plan.situations
    assert "feed-less" in ids(plan)
    assert not {"water change", "dose"} & set(kinds(plan))


def near_the_top(value, crossing=None):
    """Nitrate too near 15 mg/L for the test to say, rising 1.7 mg/L a week."""
    trend = Trend(1.7, 0.9, 2.5, 6, ago(35))
    tank = Made("mature").enough("phosphate")
    return tank.reads(
        "nitrate", value, "cannot tell", crossing=crossing, heading=trend
    )  # fmt: skip


def test_rising_is_said_though_the_test_cannot_say_on_which_side_it_is():
    on = Crossing("high", ahead(2), ahead(1), ahead(5))
    plan = near_the_top(14.4, on).plan()
    assert plan.situations == ("rising",)
    assert dict(plan.meaning[0].facts)["within"] is False
    assert "feed-less" in ids(plan)


def test_rising_is_said_where_the_value_has_just_passed_the_edge():
    plan = near_the_top(15.3).plan()
    assert plan.situations == ("rising",)
    assert plan.headline.key == "headlines.rising-at-edge"
    assert action(plan, "retest-nitrate").when == ahead(7)


def test_a_value_at_the_edge_that_keeps_still_is_steady_and_says_so():
    plan = Made("mature").enough("phosphate").reads("nitrate", 14.5, "cannot tell")
    plan = plan.plan()
    assert plan.situations == ("steady",)
    assert dict(plan.meaning[0].facts)["near"] == ("nitrate",)


def test_a_zero_that_cannot_be_told_is_not_falling():
    plan = Made("mature").enough("nitrate").blind("phosphate").plan()
    assert plan.situations == ("cannot-tell-phosphate",)
