"""Bottles: one strength of a salt for all tanks of a round, measurable in each.

Shares of the ion: NaNO3 0.7295 (62.004 / 84.994), K2HPO4 0.5452 (94.969 / 174.18), from
the IUPAC abridged standard atomic weights.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_findings import HOUSE, REFERENCE, Made, action

from fleet.plan.case import Case
from fleet.plan.order import plan_tank
from fleet.plan.shopping import shopping
from fleet.plan.stocks import choose_stock, stock_words
from fleet.records import ShelfItem
from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)
RISE = {"sodium-nitrate": 2.0, "dipotassium-phosphate": 0.03}  # mg/L a day at most


def bottle(salt, day_grams, *volumes, ready=None):
    made = Made("ugly phase", volume_l=volumes[0]).zero("nitrate")
    ends = min(volumes), max(volumes)
    case = Case(made.made(), (), HOUSE, REFERENCE, ends)
    item = ShelfItem(salt, salt, 1.0, None, ready)
    return case, item, choose_stock(case, item, day_grams, RISE[salt])


@pytest.mark.parametrize(
    ("salt", "volumes", "strength"),
    [
        # 2 mg/L in 100 L: 0.2 g / 0.7295 = 0.274 g in 5 mL is 54.8 g/L
        ("sodium-nitrate", (100.0, 400.0), 50.0),
        # 0.03 mg/L in 200 L: 6 mg / 0.5452 = 11.0 mg in 5 mL is 2.2 g/L
        ("dipotassium-phosphate", (200.0, 600.0), 2.0),
        # in 15 L: 0.83 mg; weaker than 0.5 g a litre cannot be weighed for
        ("dipotassium-phosphate", (15.0, 15.0), 0.5),
        # in 15 and 30,000 L: 1.65 g a day in at most 1,000 mL
        ("dipotassium-phosphate", (15.0, 30000.0), 2.0),
        # 30,000 L: 82.2 g in 5 mL would not dissolve; half of saturation is 233 g/L
        ("sodium-nitrate", (30000.0, 30000.0), 200.0),
    ],
)
def test_strength_suits_the_smallest_and_the_largest_tank(salt, volumes, strength):
    assert bottle(salt, 0.01, *volumes)[2].thinned_from in (None, strength)
    assert bottle(salt, 10.0, *volumes)[2].strength == pytest.approx(strength)


def test_every_tank_of_a_round_gets_one_strength():
    # The two tanks alone would ask for 5 mL of 5 and of 50 g/L.
    plans = {}
    for volume in (20.0, 200.0, 2000.0):
        tank = Made("ugly phase", volume_l=volume).zero("nitrate", "phosphate")
        plans[volume] = plan_tank(
            tank.made(), tank.shelf, tank.house, REFERENCE, (20.0, 2000.0)
        )
    for kind in ("dose-nitrate", "dose-phosphate"):
        doses = [action(plan, kind) for plan in plans.values()]
        assert len({dose.stock_g_per_l for dose in doses}) == 1
        for dose in doses:
            assert 0.5 <= dose.per_day_ml <= 1000
            grams = dose.per_day_ml / 1000 * dose.stock_g_per_l
            assert grams == pytest.approx(dose.per_day_g)


def test_a_small_tank_is_dosed_from_a_bottle_one_can_weigh_for():
    # 15 L, 0.02 mg/L a day: 0.3 mg / 0.5452 = 0.55 mg, 1.1 mL of 0.5 g/L.
    case, item, made = bottle("dipotassium-phosphate", 0.00055, 15.0)
    assert (made.strength, made.day_ml) == (0.5, pytest.approx(1.1))
    assert WORDS.plain(stock_words(case, item, made, 2)) == (
        "To make the solution: dissolve 0.5 g of dipotassium phosphate (K2HPO4) in "
        "purified (RO/DI) water, fill up to 1,000 mL (0.5 g/L), and label the bottle."
    )


def test_what_is_too_little_to_measure_is_thinned_from_the_rounds_bottle():
    # 0.1 mg is 0.2 mL of 0.5 g/L, less than a syringe can measure: 2 mL of 0.05 g/L,
    # which 10 mL of the bottle and 90 mL of water make.
    case, item, made = bottle("dipotassium-phosphate", 0.0001, 15.0)
    assert (made.strength, made.thinned_from) == (pytest.approx(0.05), 0.5)
    assert made.day_ml == pytest.approx(2.0)
    said = WORDS.plain(stock_words(case, item, made, 2))
    assert "dissolve 0.5 g of" in said
    assert "10 mL of the 0.5 g/L solution" in said
    assert "and 90 mL of purified (RO/DI) water make 0.05 g/L" in said


def test_bottle_on_the_shelf_is_used():
    # 0.4 g from 40 g/L is 10 mL.
    case, item, made = bottle("sodium-nitrate", 0.4, 200.0, ready=40.0)
    assert (made.strength, made.ready) == (40.0, True)
    assert made.day_ml == pytest.approx(10.0)
    assert stock_words(case, item, made, 4) is None


def test_a_shelf_bottle_too_strong_to_measure_from_is_thinned():
    # 0.01 g from 200 g/L is 0.05 mL: less than a syringe can measure.
    case, item, made = bottle("sodium-nitrate", 0.01, 200.0, ready=200.0)
    assert (made.strength, made.thinned_from) == (pytest.approx(20.0), 200.0)
    assert made.day_ml == pytest.approx(0.5)
    said = WORDS.plain(stock_words(case, item, made, 4))
    assert "10 mL of the 200 g/L solution" in said
    assert "dissolve" not in said


def test_bottle_stronger_than_the_salt_stays_dissolved_in_is_not_used():
    # Sodium nitrate: half of saturation is 233 g/L (CRC Handbook, from memory).
    assert bottle("sodium-nitrate", 4.0, 200.0, ready=400.0)[2].ready is False


@given(
    day_share=st.floats(1e-4, 1),
    small=st.floats(1, 5000),
    more=st.floats(1, 1000),
    key=st.sampled_from(sorted(k for k, s in REFERENCE.salts.items() if s.dose)),
    ready=st.one_of(st.none(), st.floats(0.01, 500)),
)
def test_any_dose_is_measurable_and_its_bottle_stays_clear(
    day_share, small, more, key, ready
):
    salt = REFERENCE.salts[key]
    tank = Made("ugly phase", volume_l=small).zero("nitrate")
    case = Case(tank.made(), (), HOUSE, REFERENCE, (small, small * more))
    day_grams = day_share * 2.0 * small / 1000 / salt.ion_share
    made = choose_stock(case, ShelfItem(key, key, 1.0, None, ready), day_grams, 2.0)
    strongest = 500 * salt.saturated_share / salt.anhydrous_share
    assert 0 < made.strength <= strongest * (1 + 1e-9)
    assert made.day_ml == pytest.approx(day_grams / made.strength * 1000)
    assert made.day_ml >= 0.5 * (1 - 1e-6)
    if not made.ready:
        assert f"{made.strength:e}"[0] in "125"  # a strength one can weigh for
        for volume in (small, small * more):
            whole = 2.0 * volume / salt.ion_share / (made.thinned_from or made.strength)
            kept_down = whole <= 1000 * (1 + 1e-9)
            assert kept_down or 2.6 * (made.thinned_from or made.strength) > strongest


@pytest.mark.parametrize(("strength", "checks"), [(900.0, 1), (20.0, 0)])
def test_bottle_that_cannot_be_is_checked_before_a_dose(strength, checks):
    tank = Made("ugly phase").zero("nitrate")
    tank.shelf = (ShelfItem("sodium-nitrate", "", 0.99, 100.0, strength),)
    made = action(tank.plan(), "dose-nitrate")
    assert [c.key for c in made.cautions].count("cautions.bottle") == checks
    assert made.cautions[0].key == "cautions.bottle" or not checks


def test_ready_stock_needs_no_making():
    tank = Made("ugly phase").zero("nitrate")
    tank.shelf = (ShelfItem("sodium-nitrate", "", 0.99, 100.0, 20.0),)
    made = action(tank.plan(), "dose-nitrate")
    assert made.stock is None
    # 1.5 mg/L x 200 L / 1000 / 0.7295 / 0.99 = 0.4154 g a day: 20.77 mL of 20 g/L
    assert made.per_day_ml == pytest.approx(20.77, abs=0.01)


# --------------------------------------------------------------- the round's bottles


def lines_of(*volumes, shelf=None):
    pairs = []
    for number, volume in enumerate(volumes):
        tank = Made("ugly phase", id=f"T{number}", volume_l=volume).zero("phosphate")
        used = tank.shelf if shelf is None else shelf
        ends = min(volumes), max(volumes)
        pairs.append((tank.tank, plan_tank(tank.made(), used, HOUSE, REFERENCE, ends)))
    return shopping(pairs, pairs and tank.shelf, REFERENCE)


def test_the_round_makes_one_bottle_that_holds_enough_for_all():
    (line,) = lines_of(100.0, 400.0)
    (made,) = line.bottles
    # 98 %: 0.03 mg/L x 100 L is 3 mg / 0.5452 / 0.98 = 5.6 mg in 5 mL: 1 g/L.
    assert made.strength == 1.0
    # 0.04 mg/L in two days: 0.02 x 100 / 0.5452 / 0.98 = 3.74 mg, 3.74 mL a day.
    first, second = made.portions
    assert (first.tank, first.days) == ("T0", 2)
    assert first.day_ml == pytest.approx(3.74, abs=0.01)
    assert second.day_ml == pytest.approx(14.97, abs=0.02)
    assert made.weigh_g == pytest.approx(0.5)  # the least a scale can weigh well
    assert dict(made.make.facts)["ml"] == 500
    assert line.weighed_g == pytest.approx(0.5)
    assert line.total_g == pytest.approx(2 * (0.00374 + 0.01497), rel=0.01)


def test_a_bottle_on_the_shelf_is_not_made_again():
    shelf = (ShelfItem("dipotassium-phosphate", "K2HPO4", 0.98, 100.0, 2.0),)
    (line,) = lines_of(100.0, 400.0, shelf=shelf)
    (made,) = line.bottles
    assert (made.strength, made.weigh_g, made.make) == (2.0, 0.0, None)
    assert line.weighed_g == line.total_g


def test_tanks_that_need_no_dose_need_no_bottle():
    tank = Made("mature").enough("nitrate", "phosphate")
    assert shopping([(tank.tank, tank.plan())], (), REFERENCE) == ()
