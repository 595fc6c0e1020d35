"""A dose's stop rule names a reading only where a test comes in time to apply it."""

from datetime import timedelta
from random import Random

import pytest
from made_findings import HOUSE, REFERENCE, Made, action, ahead
from random_tanks import random_tank

from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)


def asked_of(plan, parameter):
    """The days on which a nutrient is tested, and what is said of it."""
    return [
        (a.when, WORDS.plain(a.what))
        for a in plan.actions
        if a.kind in ("retest", "check") and parameter in WORDS.plain(a.what)
    ]


def test_a_course_is_looked_at_before_its_third_portion():
    # 0 to 0.05 mg/L at half of 0.03 a day: portions on days 0, 1, 2 and 3.
    plan = Made("mature").zero("nitrate", "phosphate").looks("pale coral").plan()
    dose = action(plan, "dose-phosphate")
    assert (dose.when, dose.until) == (ahead(0), ahead(3))
    assert WORDS.plain(dose.stop_if) == (
        "Stop when phosphate reads 0.05 mg/L or more, or if any animal looks worse."
    )
    first, second = asked_of(plan, "phosphate")
    assert first == (ahead(2), "Test phosphate on Wed 5 Mar, before the third portion.")
    assert second[0] == ahead(14)  # corals answer slowly: look again in two weeks
    assert dict(plan.retests)["phosphate"] == ahead(14)
    places = {a.id: a.priority for a in plan.actions}
    assert places["dose-phosphate"] < places["check-course-phosphate"]


def test_a_test_the_day_after_the_last_portion_is_enough():
    # 3 mg/L, and what it takes: 2 mg/L a day for four days, the test on the fourth.
    tank = Made("ugly phase").zero("nitrate").enough("phosphate")
    plan = tank.dosed("nitrate", 8.0, kept=0.0, days=4).plan()
    assert action(plan, "dose-nitrate").until == ahead(3)
    assert dict(plan.retests)["nitrate"] == ahead(4)
    assert not [a for a in plan.actions if a.id.startswith("check-course")]


def test_two_portions_are_given_and_then_tested():
    # 0 to 0.04 mg/L in two days; the test after three to four days is the first.
    plan = Made("ugly phase").zero("phosphate").enough("nitrate").plan()
    dose = action(plan, "dose-phosphate")
    assert dose.days == 2
    assert WORDS.plain(dose.stop_if) == (
        "Give no more than these 2 portions before the next test, and stop if any "
        "animal looks worse."
    )
    assert [when for when, _ in asked_of(plan, "phosphate")] == [ahead(4)]


@pytest.mark.parametrize("seed", range(4))
def test_no_stop_at_a_reading_without_a_test_in_time(seed):
    rng, seen = Random(seed), 0
    for _ in range(250):
        plan = random_tank(rng).plan()
        for dose in plan.actions:
            if dose.stop_if is None or dose.stop_if.key != "actions.dose-stop":
                continue
            seen += 1
            third = dose.when + timedelta(days=2)
            after = dose.until + timedelta(days=1)
            days = [when for when, _ in asked_of(plan, dose.parameter)]
            assert any(third <= when <= after for when in days)
    assert seen
