"""Merging, order, urgency and the shopping list."""

from dataclasses import replace
from random import Random

import pytest
from made_findings import (
    REFERENCE,
    SHELF,
    Made,
    action,
    ago,
    ahead,
    ids,
    kinds,
    result,
)
from random_tanks import random_tank

from fleet.plan.order import plan_tank
from fleet.plan.shopping import shopping
from fleet.plan.situations import SITUATIONS
from fleet.plan.urgency import top
from fleet.records import ATTENTION_ORDER, Doubt, Settings, say
from fleet.render.wording import Wording

KINDS = (
    "welfare", "check", "take out", "hold off", "water change", "add life", "seed",
    "feed", "dose", "retest", "log", "wait",
)  # fmt: skip


# ------------------------------------------------------------------- today first


def test_todays_water_change_comes_before_tomorrows_test_of_something_else():
    tank = Made("settling", livestock="fish only").enough("nitrate", "phosphate")
    tank.reads("ammonia", 1.0, "over", low=1.0, high=1.0)
    plan = tank.doubted("alkalinity", 80.0).plan()
    days = [a.when for a in plan.actions if a.kind in ("water change", "retest")]
    assert len(days) > 2
    assert days == sorted(days)


def test_a_test_of_tomorrow_comes_before_the_animals_that_wait_for_it():
    tank = Made("just cycled", livestock="none yet", fish=0).without("ammonia")
    plan = tank.zero("nitrate", "phosphate").plan()
    kinds = [(a.kind, a.when) for a in plan.actions]
    test, life = ("retest", ahead(1)), ("add life", ahead(1))
    assert kinds.index(test) < kinds.index(life)


# ------------------------------------------------------------- the table of rules


def degrees(entry):
    return [entry] + [entry[d] for d in ("mild", "grave") if d in entry]


def test_every_situation_has_a_rule_and_every_rule_a_situation():
    named = {rule.__name__.replace("_", "-") for rule in SITUATIONS}
    assert named | {"steady"} == set(REFERENCE.situations)


def test_every_row_of_the_job_is_known():
    rows = (
        "zero-after-cycle", "zero-in-ugly-phase", "trace-in-ugly-phase",
        "cannot-tell-phosphate", "stripped", "mature-and-lean",
        "mature-flat-zero-looks-good", "mature-and-starving", "never-cycled",
        "cycling", "cycle-with-animals", "cycle-stalled", "nitrite-interferes",
        "one-sided", "over", "over-and-young", "falling", "rising",
        "dosed-and-nothing-seen", "dosed-and-over", "pests", "swapped-or-typo",
        "stale", "half-tested", "welfare", "shared-water", "treatment",
    )  # fmt: skip
    assert set(rows) <= set(REFERENCE.situations)


@pytest.mark.parametrize("name", REFERENCE.situations)
def test_points_lie_within_their_attention(name):
    for degree in degrees(REFERENCE.situations[name]):
        highest = top(degree["attention"], REFERENCE)
        assert highest - 25 < degree["points"] <= highest


@pytest.mark.parametrize("name", REFERENCE.situations)
def test_overruled_situations_exist_and_do_not_overrule_back(name):
    for other in REFERENCE.situations[name].get("overrules", ()):
        assert other in REFERENCE.situations
        assert name not in REFERENCE.situations[other].get("overrules", ())


# ------------------------------------------------------------------------- order


def test_checks_stand_before_removals_before_additions_before_looking_again():
    tank = Made("ugly phase").zero("nitrate").blind("phosphate")
    tank.looks("brown film").dosed("nitrate", 3.0, 0.1, days=5, kept_high=0.5)
    plan = tank.plan()
    later = ("retest", "check-course")  # looked at again after the work
    order = [KINDS.index(a.kind) for a in plan.actions if not a.id.startswith(later)]
    assert order == sorted(order)
    first = plan.actions[0]
    assert first.kind in ("check", "retest")
    assert [a.priority for a in plan.actions] == list(range(1, len(ids(plan)) + 1))


def test_a_test_due_before_work_stands_before_it_and_its_follow_up_behind():
    tank = Made("ugly phase").zero("nitrate").blind("phosphate")
    order = ids(tank.plan())
    place = order.index
    assert place("retest-phosphate") < place("dose-nitrate") < place("retest-nitrate")


def test_the_same_thing_asked_twice_is_asked_once():
    tank = Made("ugly phase").zero("phosphate").enough("nitrate")
    tank.dosed("phosphate", 0.06, 0.1, days=4, kept_high=0.4)
    plan = tank.plan()
    assert {"zero-in-ugly-phase", "dosed-and-nothing-seen"} <= set(plan.situations)
    assert ids(plan).count("dose-phosphate") == 1
    assert action(plan, "dose-phosphate").rule == "zero-in-ugly-phase"


def test_nutrients_are_read_at_one_visit_where_their_days_lie_close():
    # Nitrate over by a dose: again in 4 days; phosphate over by itself: in 7.
    tank = Made("mature").reads("nitrate", 20.0, "over").dosed("nitrate", 9.0, kept=1.0)
    tank.reads("phosphate", 0.3, "over", second_limit="high")
    plan = tank.plan()
    assert ids(plan).count("retest-nitrate-phosphate") == 1
    days = dict(plan.retests)
    assert days["nitrate"] == days["phosphate"] == ahead(4)


def test_a_missing_test_before_a_dose_does_not_hurry_the_look_after_it():
    plan = Made("ugly phase").zero("nitrate").plan()
    days = dict(plan.retests)
    assert (days["phosphate"], days["nitrate"]) == (ahead(1), ahead(4))


def test_a_wrong_date_is_put_right_after_the_work_for_the_tank():
    tank = Made("mature").reads("nitrate", 60.0, "over", second_limit="high")
    doubt = Doubt("future date", say("x.y"))
    late = result("phosphate", 0.05, days=-300, doubt=doubt)
    tank.enough("phosphate")
    tank.put(replace(tank.findings["phosphate"], doubted=(late,)))
    assert ids(tank.plan())[-1].startswith("check-date-")


def test_the_sooner_test_by_the_better_method_stands():
    tank = Made("mature").enough("nitrate").blind("phosphate")
    tank.dosed("phosphate", 0.06, 0.1, days=4, kept_high=0.4)
    again = action(tank.plan(), "retest-phosphate")
    assert again.when == ahead(4)  # the dose's, sooner than the week of the other
    assert again.method_class == "phosphate-photometer"
    assert dict(again.what.facts)["when"] == again.when


def test_what_not_to_do_is_at_most_three_and_never_against_what_is_asked():
    tank = Made("mature").zero("phosphate").looks("pale coral")
    plan = tank.crossing("nitrate", "low", 4, 6.0).plan()
    assert "dose-phosphate" in ids(plan)
    assert "leave.dose-yet" not in [s.key for s in plan.leave_alone]
    assert len(plan.leave_alone) <= 3


def test_a_tank_is_not_left_alone_beside_a_step():
    alone = Made("ugly phase").reads("nitrate", 3.0).reads("phosphate", 0.05).plan()
    assert kinds(alone) == ["wait"]
    rising = Made("ugly phase").reads("nitrate", 3.0)
    rising.crossing("phosphate", "high", 4, 0.09)
    plan = rising.plan()
    assert plan.situations == ("rising", "trace-in-ugly-phase")
    assert kinds(plan) == ["feed", "retest"]


def test_log_is_asked_for_only_where_there_is_work():
    assert "log" in kinds(Made("ugly phase").zero("nitrate").plan())
    assert "log" not in kinds(Made("mature").zero("nitrate").plan())


# ------------------------------------------------------------------------- score


def test_parts_are_named_and_sum_to_the_score():
    tank = Made("ugly phase").zero("nitrate", visits=4).blind("phosphate")
    plan = tank.plan()
    assert sum(part.points for part in plan.score_parts) == plan.score
    assert [part.what for part in plan.score_parts] == [
        "zero-in-ugly-phase",
        "further situations",
        "flat zero again",
    ]


def test_more_visits_at_zero_weigh_more():
    def score(visits):
        return Made("ugly phase").zero("nitrate", visits=visits).plan().score

    assert score(1) < score(2) < score(4)


def test_a_score_never_leaves_its_attention():
    tank = Made("mature").zero("nitrate", "phosphate", visits=9).looks("tissue loss")
    for name, value in (("salinity", 20.0), ("temperature", 33.0), ("ph", 7.0)):
        tank.reads(name, value, "under")
    plan = tank.reads("ammonia", 4.0, "over").plan()
    assert plan.attention == "today"
    assert plan.score <= 100


def test_worse_attention_always_means_a_higher_score():
    made = [
        Made("mature").enough("nitrate", "phosphate"),
        Made("mature").zero("nitrate", "phosphate"),
        Made("ugly phase").zero("nitrate", "phosphate"),
        Made("mature").enough("nitrate").reads("temperature", 31.0, "over"),
    ]
    plans = [tank.plan() for tank in made]
    scores = [plan.score for plan in plans]
    ranks = [ATTENTION_ORDER.index(plan.attention) for plan in plans]
    assert scores == sorted(scores)
    assert ranks == sorted(ranks, reverse=True)


# ----------------------------------------------------------------------- shopping


def test_shopping_adds_up_over_tanks():
    tanks = [
        Made("ugly phase", id="A1", key="a1").zero("nitrate"),
        Made("ugly phase", id="B2", key="b2", volume_l=400.0).zero("nitrate"),
        Made("mature", id="C3", key="c3").enough("nitrate", "phosphate"),
    ]
    lines = shopping([(tank.tank, tank.plan()) for tank in tanks], SHELF, REFERENCE)
    assert [line.substance for line in lines] == ["sodium-nitrate"]
    line = lines[0]
    # 0.8308 g for 200 L (see the ugly phase) and twice that for 400 L
    assert dict(line.per_tank) == {
        "A1": pytest.approx(0.8308, abs=1e-4),
        "B2": pytest.approx(1.6616, abs=2e-4),
    }
    assert line.total_g == pytest.approx(2.4924, abs=3e-4)
    assert line.on_hand_g == 400.0


def test_salt_that_is_not_at_hand_is_on_the_list():
    tank = Made("ugly phase").zero("nitrate")
    tank.shelf = ()
    lines = shopping([(tank.tank, tank.plan())], (), REFERENCE)
    assert (lines[0].substance, lines[0].on_hand_g) == ("sodium-nitrate", None)


def test_two_packets_of_one_salt_add_up():
    tank = Made("ugly phase").zero("nitrate")
    packets = (SHELF[0], replace(SHELF[0], on_hand_g=100.0))
    lines = shopping([(tank.tank, tank.plan())], packets, REFERENCE)
    assert lines[0].on_hand_g == 500.0


# ----------------------------------------------------------------------- the rest


def test_every_action_names_a_source():
    rng = Random(3)
    for _ in range(300):
        assert all(a.sources for a in random_tank(rng).plan().actions)


def test_a_rate_of_the_workbook_is_named_as_such():
    tank = Made("ugly phase").zero("nitrate")
    tank.house = Settings(largest_rise_day=(("nitrate", 1.0),))
    sources = action(tank.plan(), "dose-nitrate").sources
    assert "largest rise a day: workbook" in sources


def test_a_plan_is_the_same_each_time():
    tank = Made("ugly phase").zero("nitrate", "phosphate").looks("brown film")
    assert tank.plan() == tank.plan()


def test_rounds_of_a_day_do_not_ask_for_tests_in_the_past():
    tank = Made("ugly phase").zero("nitrate", "phosphate")
    tank.house = Settings(round_days=1)
    plan = tank.plan()
    assert all(day > ago(0) for _, day in plan.retests)


def test_entry_takes_what_the_pipeline_gives():
    tank = Made("mature").enough("nitrate", "phosphate")
    plan = plan_tank(tank.made(), (), Settings(), REFERENCE)
    assert plan.attention == "steady"


def test_a_sheet_without_a_dose_does_not_speak_of_the_dose():
    tank = Made("ugly phase", volume_l=None).zero("nitrate", "phosphate")
    plan = tank.plan()
    assert "dose" not in kinds(plan)
    assert "leave.one-go" not in [s.key for s in plan.leave_alone]
    with_volume = Made("ugly phase").zero("nitrate", "phosphate").plan()
    assert "leave.one-go" in [s.key for s in with_volume.leave_alone]
    words = Wording(REFERENCE, Settings())
    how = words.plain(action(plan, "check-volume").what)
    # 1,000 cm3 are a litre; a US gallon is 231 cubic inches, both by definition.
    assert "divided by 1,000" in how and "divided by 231" in how
    assert not any("dose stays" in words.plain(a.why) for a in plan.actions)
