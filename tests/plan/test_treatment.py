"""A noted treatment. Common practice, no source: a water change thins a medicine,
carbon takes it out, and only a veterinarian decides about it.
"""

import pytest
from made_findings import Made, action, ids, work


def poisoned(total, notes="", **tank):
    made = Made("settling", livestock="quarantine", notes=notes, **tank)
    made.reads("ph", 8.2).reads("temperature", 25.0).reads("salinity", 35.0)
    return made.reads("ammonia", total, "over", low=total, high=total)


NOTE = "Copper treatment from 20 May, day 12 of 30"


def test_the_veterinarian_is_asked_before_water_is_changed():
    # 6.5 % free (Bell et al. 2008): 0.4 x 0.065 x 1.216 = 0.032, over 0.0175.
    plan = poisoned(0.4, NOTE).plan()
    asked = ids(plan)
    assert asked.index("check-treatment") < asked.index("change-water")
    said = dict(action(plan, "check-treatment").what.facts)
    assert said["harms_sooner"] is False
    assert "leave.carbon-in-treatment" in [s.key for s in plan.leave_alone]
    assert "meaning.treatment" in [s.key for s in plan.meaning]


def test_ammonia_that_harms_within_the_hour_does_not_wait_for_an_answer():
    # 4 x 0.065 x 1.216 = 0.316, over the 0.233 of EPA 440/5-88-004 (from memory).
    ask = action(poisoned(4.0, NOTE).plan(), "check-treatment")
    assert dict(ask.what.facts)["harms_sooner"] is True


@pytest.mark.parametrize("note", ["", "Untreated wood on the left", "Copperband fish"])
def test_nothing_is_asked_where_no_treatment_is_noted(note):
    plan = poisoned(0.4, note).plan()
    assert "treatment" not in plan.situations
    assert "check-treatment" not in ids(plan)


def test_no_change_no_question_and_the_tank_stays_steady():
    tank = Made("mature", notes="Medication since Monday")
    plan = tank.enough("nitrate", "phosphate").plan()
    assert plan.situations == ("steady", "treatment")
    assert plan.attention == "steady"
    assert "check-treatment" not in ids(plan)
    assert "leave.carbon-in-treatment" in [s.key for s in plan.leave_alone]


def test_a_treatment_in_the_work_log_counts_for_three_weeks():
    for days, found in ((5, True), (40, False)):
        tank = Made("mature").enough("nitrate", "phosphate")
        tank.worked(work("dose", days, "copper", 2.0, "mL"))
        assert ("treatment" in tank.plan().situations) is found
