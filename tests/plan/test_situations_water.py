"""Animals and water first. Ranges and rates are common practice, no source; the
litres are worked by hand from the mass balance.
"""

from dataclasses import replace

import pytest
from made_findings import REFERENCE, TODAY, Made, action, ahead, ids, kinds, result

from fleet.render.wording import Wording
from fleet.science.dilution import after_changes


def sound(stage="mature", **tank):
    return Made(stage, **tank).enough("nitrate", "phosphate")


# ---------------------------------------------------------------------- salinity


def test_low_salinity_is_raised_by_swaps_at_a_rate_limit():
    plan = sound().reads("salinity", 28.0, "under", second_limit="low").plan()
    assert (plan.situations[0], plan.attention) == ("welfare", "today")
    step = action(plan, "welfare-salinity")
    # New water at 40: 1 / (40 - 28) = 8.33 % of 200 L, 16.7 L, raises by 1 PSU.
    assert step.water_change_share == pytest.approx(1 / 12)
    assert step.water_change_l == pytest.approx(16.67, abs=0.01)
    assert after_changes(28.0, 1 / 12, 40.0) == pytest.approx(29.0)
    # 33 after ln((40 - 33) / (40 - 28)) / ln(1 - 1/12) = 6.2: 7 days
    assert step.days == 7
    assert (step.new_water, step.new_water_salinity) == ("stronger", 40.0)


def test_high_salinity_is_lowered_with_fresh_water_at_a_rate_limit():
    plan = sound().reads("salinity", 40.0, "over", second_limit="high").plan()
    step = action(plan, "welfare-salinity")
    # 1 / 40 = 2.5 % of fresh water lowers by 1 PSU; to 36: 4.2, so 5 days
    assert step.water_change_share == pytest.approx(0.025)
    assert step.water_change_l == pytest.approx(5.0)
    assert step.days == 5
    assert (step.new_water, step.new_water_salinity) == ("purified", None)


def test_salinity_without_a_volume_still_says_the_share():
    tank = sound(volume_l=None).reads("salinity", 28.0, "under")
    step = action(tank.plan(), "welfare-salinity")
    assert step.water_change_l is None
    assert step.water_change_share == pytest.approx(1 / 12)


# ------------------------------------------------- temperature, pH and alkalinity


@pytest.mark.parametrize(
    ("parameter", "value", "verdict", "days"),
    [
        ("temperature", 31.0, "over", 4),  # to 27 at 1 a day
        ("temperature", 20.5, "under", 4),  # to 24
        ("ph", 7.4, "under", 3),  # to 7.9 at 0.2 a day: 2.5
        ("ph", 8.8, "over", 2),  # to 8.4
        ("alkalinity", 5.0, "over", 6),  # to 3.5665 at 0.27 a day: 5.3
    ],
)
def test_correction_takes_the_days_its_rate_asks_for(parameter, value, verdict, days):
    plan = sound().reads(parameter, value, verdict).plan()
    assert plan.attention == "today"
    step = action(plan, f"welfare-{parameter}")
    assert step.kind == "welfare"
    assert step.days == days
    assert step.until == ahead(days - 1)
    assert step.stop_if is not None
    assert "cautions.vet" in [s.key for s in step.cautions]


def test_low_alkalinity_is_raised_with_bicarbonate_by_calculation():
    step = action(
        sound().reads("alkalinity", 1.5, "under").plan(), "welfare-alkalinity"
    )
    # To 2.4965 meq/L: 0.9965 x 200 L x 84.006 mg/meq (IUPAC, NaHCO3) = 16.74 g, over
    # 4 days at 0.27 a day.
    assert step.days == 4
    assert step.amount_g == pytest.approx(16.74, abs=0.01)
    assert step.per_day_g == pytest.approx(4.186, abs=0.002)


def test_diluted_water_gets_its_salinity_back_before_alkalinity():
    tank = sound().reads("salinity", 28.0, "under").reads("alkalinity", 1.5, "under")
    step = action(tank.plan(), "welfare-alkalinity")
    assert step.amount_g is None
    assert step.what.key == "actions.correct-alkalinity-diluted"


def test_the_value_decides_not_the_chance():
    # A wide instrument may leave the verdict open; a false "fine" is the worse one.
    plan = sound().reads("salinity", 29.5, "cannot tell").plan()
    assert "welfare" in plan.situations


# ------------------------------------------------------------- animals in need


def test_water_ready_for_gasping_fish_is_on_record_as_the_sentence_says_it():
    # 25 % as first aid (common practice, no source) of 200 L is 50 L.
    air = action(sound().looks("fish gasping").plan(), "welfare-air")
    said = dict(air.what.facts)
    assert (said["share"], said["volume"]) == (0.25, 50.0)
    assert (air.water_change_share, air.water_change_l) == (0.25, 50.0)
    assert air.new_water == "like the tank"


def test_gasping_beside_ammonia_asks_for_one_water_change():
    tank = sound(livestock="fish only").looks("fish gasping").reads("ph", 8.2)
    tank.reads("temperature", 25.0).reads("salinity", 35.0)
    plan = tank.reads("ammonia", 1.0, "over").plan()
    assert action(plan, "change-water").water_change_share == pytest.approx(0.5)
    air = action(plan, "welfare-air")
    assert dict(air.what.facts)["share"] is None
    assert (air.water_change_share, air.water_change_l, air.new_water) == (None,) * 3


def test_gasping_fish_come_before_everything():
    tank = Made("mature").zero("nitrate", "phosphate").looks("fish gasping")
    tank.without("ammonia")
    plan = tank.plan()
    assert (plan.situations[0], plan.attention) == ("welfare", "today")
    assert plan.actions[0].id == "welfare-air"
    tests = next(a for a in plan.actions if a.kind == "retest")
    assert tests.when == ahead(0)
    now = {name for name, day in plan.retests if day == ahead(0)}
    assert {"ammonia", "temperature", "salinity", "ph"} <= now
    assert not {"dose", "add life"} & set(kinds(plan))


def test_unsafe_water_puts_nutrients_off_and_says_so():
    tank = Made("ugly phase").zero("nitrate", "phosphate")
    plan = tank.reads("temperature", 31.0, "over").plan()
    assert not {"dose", "add life", "feed", "seed"} & set(kinds(plan))
    assert "wait-nutrients" in ids(plan)
    assert plan.leave_alone[0].key == "leave.nutrients-first"


def test_water_of_an_over_tank_is_not_changed_for_nitrate_that_day():
    tank = Made("mature").enough("phosphate").reads("temperature", 31.0, "over")
    plan = tank.reads("nitrate", 60.0, "over", second_limit="high").plan()
    assert "water change" not in kinds(plan)


def test_air_comes_before_a_slow_correction():
    tank = Made("mature").reads("temperature", 31.0, "over", second_limit="high")
    plan = tank.looks("fish gasping").plan()
    assert ids(plan)[:2] == ["welfare-air", "welfare-temperature"]


def test_an_old_look_is_no_alarm_of_today():
    plan = sound().looks("fish gasping", days=14).plan()
    assert "welfare" not in plan.situations


def test_tissue_loss_is_looked_at_today_and_fed_from_tomorrow():
    tank = Made("mature").zero("nitrate", "phosphate").looks("tissue loss")
    plan = tank.plan()
    assert plan.attention == "today"
    assert plan.actions[0].id == "welfare-tissue"
    dose = action(plan, "dose-phosphate")
    assert dose.when == ahead(1)
    assert action(plan, "welfare-tissue").priority < dose.priority


def test_animals_in_need_defer_to_a_veterinarian():
    for look in ("fish gasping", "tissue loss"):
        plan = sound().looks(look).plan()
        cautions = [s.key for s in plan.actions[0].cautions]
        assert "cautions.vet" in cautions
        assert "leave.medicine" in [s.key for s in plan.leave_alone]


def test_nitrite_is_an_alarm_only_from_the_limit_for_fish():
    # 16.4 mg/L NO2 is 5 mg/L N, 16 times under the lowest marine LC50 found (Park,
    # Daniels & Cho 2013, J. World Aquacult. Soc.: 81.6 mg/L NO2-N).
    calm = sound().reads("nitrite", 10.0, "over").plan()
    assert "welfare" not in calm.situations
    plan = sound().reads("nitrite", 20.0, "over").plan()
    assert plan.situations[0] == "welfare"
    # To half of the limit: (20 - 8.2) / 20 = 0.59, held to the urgent 0.5
    assert action(plan, "change-water").water_change_share == pytest.approx(0.5)


# -------------------------------------------------------------------- water-watch


def test_outside_the_usual_range_but_not_far_is_checked_calmly():
    plan = sound().reads("alkalinity", 2.3, "under").plan()
    assert plan.situations == ("water-watch",)
    assert plan.attention == "watch"
    assert kinds(plan) == ["check"]
    items = dict(action(plan, "check-water").what.facts)["items"]
    assert items == (("alkalinity", 2.3, (2.4965, 3.5665)),)


def test_low_calcium_beside_low_salinity_is_called_dilution():
    tank = sound().reads("salinity", 32.0, "under").reads("calcium", 370.0, "under")
    plan = tank.plan()
    assert [s.key for s in plan.meaning] == ["meaning.diluted"]


def test_calcium_far_off_is_for_this_week():
    plan = sound().reads("calcium", 300.0, "under", second_limit="low").plan()
    assert plan.attention == "this week"


def test_unsafe_water_without_animals_is_no_emergency():
    tank = Made("settling", livestock="none yet", fish=0)
    plan = tank.reads("temperature", 35.0, "over", second_limit="high").plan()
    assert "welfare" not in plan.situations
    assert "water-watch" in plan.situations


# ------------------------------------------- what a correction says beside its rate


def plain(tank, sentence):
    return Wording(REFERENCE, tank.house).plain(sentence)


def corrected(tank, name):
    return plain(tank, action(tank.plan(), f"welfare-{name}").what)


def test_a_stuck_heater_is_switched_off():
    text = corrected(sound().reads("temperature", 31.0, "over"), "temperature")
    assert "switch the heater off" in text


@pytest.mark.parametrize(("value", "verdict"), [(28.0, "under"), (40.0, "over")])
def test_each_days_salinity_is_tested_and_the_cause_looked_for(value, verdict):
    text = corrected(sound().reads("salinity", value, verdict), "salinity")
    assert "each day before the next step" in text
    for cause in ("top-up", "standard solution"):
        assert cause in text


def test_bicarbonate_is_said_with_its_water_and_its_daily_test():
    # 4.186 g a day (above) at 20 g/L is 209 mL.
    tank = sound().reads("alkalinity", 1.5, "under")
    step = action(tank.plan(), "welfare-alkalinity")
    assert dict(step.what.facts)["ml"] == pytest.approx(209.3, abs=0.1)
    assert "each day before the next portion" in plain(tank, step.what)


def test_low_ph_beside_usual_alkalinity_is_put_down_to_carbon_dioxide():
    # Common practice: low pH with usual alkalinity is carbon dioxide in the room.
    tank = sound().reads("ph", 7.4, "under").reads("alkalinity", 2.9)
    text = corrected(tank, "ph")
    assert "carbon dioxide" in text
    assert "test alkalinity" not in text
    untested = corrected(sound().reads("ph", 7.4, "under"), "ph")
    assert "test alkalinity" in untested


def test_cold_water_is_what_closed_corals_are_put_down_to():
    tank = sound().reads("temperature", 19.5, "under").looks("closed polyps")
    plan = tank.plan()
    assert "look-elsewhere" not in plan.situations
    assert "meaning.welfare-explains" in [s.key for s in plan.meaning]


def test_a_fast_move_is_said():
    # More than two days' worth of the largest safe change (1 degC) in a round.
    tank = sound().reads("temperature", 31.0, "over")
    for before, said in ((25.0, 25.0), (29.5, None)):
        previous = result("temperature", before, days=7)
        finding = replace(tank.findings["temperature"], previous=previous)
        facts = dict(tank.put(finding).plan().meaning[0].facts)
        assert facts["before"] == said


def test_first_aid_and_nitrite_pass_the_workbooks_limit_too():
    gasping = sound().looks("fish gasping")
    gasping.house = replace(gasping.house, largest_water_change=0.1)
    assert action(gasping.plan(), "welfare-air").water_change_share == 0.25
    tank = sound().reads("nitrite", 20.0, "over")
    tank.house = replace(tank.house, largest_water_change=0.1)
    change = action(tank.plan(), "change-water")
    assert change.water_change_share == pytest.approx(0.5)
    assert dict(change.what.facts)["usual"] == 0.1


def test_a_test_of_today_comes_before_what_rests_on_it():
    tank = Made("mature").reads("salinity", 29.5, "under").looks("fish gasping")
    plan = tank.without("ammonia").plan()
    tests = [a.priority for a in plan.actions if a.kind == "retest" and a.when == TODAY]
    later = [a.priority for a in plan.actions if a.kind in ("feed", "check")]
    assert max(tests) < min(later)
