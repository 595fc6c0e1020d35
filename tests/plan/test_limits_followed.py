"""Numbers that stand in the tables are taken from there, also in the sentences."""

from dataclasses import replace

import pytest
from made_findings import REFERENCE, Made, action

from fleet.plan.order import plan_tank
from fleet.records import Settings
from fleet.render.wording import Wording

WORDING = Wording(REFERENCE, Settings())


def planned(tank, **changed):
    """Return the plan of a tank where limits of the table are others."""
    limits = dict(REFERENCE.limits)
    for name, value in changed.items():
        key = name.replace("_", "-")
        limits[key] = replace(limits[key], value=value)
    reference = replace(REFERENCE, limits=limits)
    return plan_tank(tank.made(), tank.shelf, tank.house, reference)


def sound():
    return Made("mature").enough("nitrate", "phosphate")


def over():
    tank = Made("mature").enough("phosphate")
    return tank.reads("nitrate", 60.0, "over", second_limit="high")


def empty():
    """A tank with no animals of which nobody knows whether it cycled."""
    tank = Made("just cycled", livestock="none yet").staged(never_started=True)
    return tank.zero("nitrate", "phosphate", before=False)


def stripped():
    tank = Made("just cycled", equipment=("organic carbon dosing",))
    return tank.zero("nitrate", "phosphate")


def words(sentence):
    return WORDING.plain(sentence)


def test_how_far_a_change_takes_nitrite_down():
    # 20 to three quarters of 16.4 mg/L: (20 - 12.3) / 20
    tank = sound().reads("nitrite", 20.0, "over")
    change = action(planned(tank, nitrite_goal_share=0.75), "change-water")
    assert change.water_change_share == pytest.approx(0.385)


def test_from_which_share_a_cause_is_looked_into_and_said():
    tank = over().cause("die-off", 0.2, "high").cause("heavy feeding", 0.8, "high")
    assert action(planned(tank), "check-die-off")
    plan = planned(tank, cause_look_share=0.3, cause_said_share=0.3)
    assert not any(a.id == "check-die-off" for a in plan.actions)
    said = next(s for s in plan.meaning if s.key == "meaning.reasons")
    assert [name for name, _ in dict(said.facts)["causes"]] == ["heavy feeding"]


def test_which_bottles_there_are():
    tank = Made("ugly phase").zero("nitrate").enough("phosphate")
    usual = action(planned(tank), "dose-nitrate")
    assert dict(usual.stock.facts)["ml"] == 250
    small = action(planned(tank, stock_bottle_small=0.2), "dose-nitrate")
    assert dict(small.stock.facts)["ml"] == 200


def test_how_high_a_score_can_be():
    tank = over().cause("heavy feeding", 1.0, "high")
    assert planned(tank).score > planned(tank, score_top_this_week=57).score == 57


def test_how_long_organic_carbon_is_weaned():
    taken = action(planned(stripped()), "take-out-organic-carbon-dosing")
    assert "half as much for 3 days, then none" in words(taken.what)
    plan = planned(stripped(), carbon_wean=5, week_retest=9)
    taken = action(plan, "take-out-organic-carbon-dosing")
    assert "half as much for 5 days, then none" in words(taken.what)
    assert "in the 9 days after it came off" in words(plan.leave_alone[0])


def test_when_an_ammonia_addition_is_looked_at():
    added = action(planned(empty()), "dose-ammonia-check")
    assert "test after 24 and 48 hours" in words(added.what)
    assert "uses this up within 2 days" in words(added.why)
    added = action(planned(empty(), ammonia_works_within=3), "dose-ammonia-check")
    assert "test after 24 and 72 hours" in words(added.what)
    assert "uses this up within 3 days" in words(added.why)


def test_how_slowly_a_tank_is_stocked():
    tank = Made("just cycled").zero("nitrate", "phosphate")
    assert "then wait 7 days before more" in words(
        action(planned(tank), "add-life").what
    )
    rushed = planned(tank, stocking_apart=10)
    assert "then wait 10 days before more" in words(action(rushed, "add-life").what)


def test_how_often_a_cycling_tank_is_tested():
    tank = Made("cycling", livestock="none yet").reads("ammonia", 1.0, "over")
    plan = planned(tank, cycling_retest=3)
    again = next(a for a in plan.actions if a.kind == "retest")
    assert "A test every 3 days is enough" in words(again.why)


NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "ten")


@pytest.mark.parametrize("file", ["actions", "leave", "headlines"])
def test_no_sentence_of_the_plan_counts_days_or_weeks_by_itself(file):
    source, _, _ = WORDING.environment.loader.get_source(
        WORDING.environment, f"{file}.xml.j2"
    )
    for line in source.splitlines():
        for unit in ("days", "weeks", "hours"):
            for number in (*NUMBERS, *map(str, range(1, 100))):
                assert f" {number} {unit}" not in line.lower(), line
