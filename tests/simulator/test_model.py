"""The model keeps mass, and runs through the spans that were published."""

from random import Random

import pytest

from tests.simulator import kits, tank
from tests.simulator.tank import (
    PHOSPHATE_PER_P,
    Build,
    State,
    change_water,
    dose,
    live_a_day,
    new_tank,
    running_tank,
)


def lived(build, state, days):
    course = []
    for _ in range(days):
        live_a_day(build, state)
        course.append((state.ammonia, state.nitrite, state.nitrate, state.phosphate))
    return list(zip(*course, strict=True))


def test_nitrification_moves_nitrogen_and_loses_none():
    state = State(ammonia=2.0, nitrite_n=1.0, oxidisers=0.5, nitrite_oxidisers=0.5)
    for _ in range(200):
        tank._nitrify(Build(200), state, 0.25)
    assert state.ammonia + state.nitrite_n + state.nitrate_n == pytest.approx(3.0)
    assert state.nitrate_n == pytest.approx(3.0, abs=0.05)


def test_rock_takes_what_the_water_loses_and_gives_it_back():
    build = Build(200, rock_kg=20)
    state = State(phosphorus=0.1)
    tank._bind(build, state, 0.25)
    gone = (0.1 - state.phosphorus) * build.volume
    held = (state.rock_fast + state.rock_slow) * build.rock_kg
    assert held == pytest.approx(gone, rel=0.002)  # the rest is built in for good
    assert gone > 0
    change_water(build, state, 0.9)
    poor = state.phosphorus
    tank._bind(build, state, 0.25)
    assert state.phosphorus > poor


def test_dose_into_dry_rock_mostly_vanishes():
    # Worked by hand: 10 kg of rock that holds 0.05 umol/g at 0.1 mg/L PO4 takes
    # 500 umol = 47 mg of PO4, which is 0.24 mg/L in 200 L. Of 0.24 mg/L dosed,
    # 1 / (1 + 0.24 / 0.1) = 29 % is left in the water once all of it has settled.
    build = Build(200, rock_kg=10, capacity=0.05, feed=0, denitrifying=0)
    state = new_tank(build)
    for _ in range(8):
        dose(state, phosphate=0.03)
        lived(build, state, 1)
    assert state.phosphate < 0.24 * 0.6
    lived(build, state, 60)
    assert state.phosphate < 0.24 * 0.29


@pytest.mark.parametrize("ammonia", [1.0, 2.0, 3.0])
def test_unseeded_cycle_runs_through_the_spans_of_the_textbook(ammonia):
    # Spotte, Seawater Aquariums (1979), from memory: about 25 degC, unseeded, the
    # ammonia peak by day 7 to 14, the nitrite peak on day 20 to 30, both gone on
    # day 30 to 60.
    build = Build(200, rock_kg=20, feed=0.1)
    state = new_tank(build)
    state.ammonia = ammonia
    ammonias, nitrites, nitrates, _ = lived(build, state, 70)
    assert ammonias.index(max(ammonias)) <= 14
    assert 18 <= nitrites.index(max(nitrites)) <= 32
    both = [a < 0.1 and n < 0.33 for a, n in zip(ammonias, nitrites, strict=True)]
    gone = 1 + max(day for day, clean in enumerate(both) if not clean)
    assert 30 <= gone <= 60
    assert state.cycled_on is not None
    assert max(nitrates) > 1


def test_live_rock_cycles_in_days():
    # Bower & Turner 1981, Aquaculture 24:1-9, from memory: near-instant to 10 days.
    build = Build(200, rock="cured live", rock_kg=20, feed=0.2)
    state = new_tank(build)
    state.ammonia = 1.0
    lived(build, state, 12)
    assert state.cycled_on is not None
    assert state.cycled_on <= 10


def test_feed_raises_nitrate_as_the_sum_says():
    # Worked by hand from 0.092 g of ammonia nitrogen a gram of protein: 1 g a day of
    # 45 % protein in 300 L is 0.138 mg/L N = 0.61 mg/L NO3 a day, of which the part
    # in solids (a fifth) loses two fifths on the way here.
    build = Build(300, rock_kg=0.1, feed=1.0, denitrifying=0, growing=0.0)
    state = running_tank(build, 5, 0.05, 500)
    lived(build, state, 30)
    before = state.nitrate
    lived(build, state, 10)
    assert (state.nitrate - before) / 10 == pytest.approx(
        0.61 * (1 - 0.2 * 0.4), rel=0.05
    )


def test_films_come_within_weeks_and_settled_growth_within_months():
    # Hixon & Brostoff 1996, Ecol. Monogr. 66:67-90, from memory, for the order.
    build = Build(200, rock_kg=20, feed=0.4)
    state = new_tank(build)
    state.ammonia = 2.0
    lived(build, state, 20)
    assert state.film < 0.5
    lived(build, state, 50)
    assert state.film > 0.5
    assert state.cover < 0.1
    lived(build, state, 200)
    assert state.cover > 0.5


def test_eased_equipment_does_half_its_work():
    build = Build(200, equipment={"refugium"})
    assert build.runs("refugium") == 1
    build.eased.add("refugium")
    assert build.runs("refugium") == 0.5
    assert build.runs("skimmer") == 0


def test_units_of_doses():
    state = State()
    dose(state, nitrate=4.427, phosphate=3.066)  # 1 mg/L as N and as P
    assert state.nitrate_n == pytest.approx(1, abs=0.001)
    assert state.phosphorus * PHOSPHATE_PER_P == pytest.approx(3.066)


# --------------------------------------------------------------------------- kits


def test_card_shows_its_colours_and_nothing_between():
    rng = Random(1)
    shown = {kits.NITRATE_CARD.read(7.0, rng) for _ in range(300)}
    assert shown <= set(kits.NITRATE_CARD.steps)
    assert {5, 10} <= shown


def test_colour_card_reads_nothing_where_a_photometer_may_see_it():
    rng = Random(1)
    assert {kits.PHOSPHATE_CARD.read(0.04, rng) for _ in range(200)} == {0.0}
    seen = [kits.PHOSPHATE_METER.read(0.06, rng) for _ in range(400)]
    assert sum(value > 0 for value in seen) > 350
    assert sum(seen) / len(seen) == pytest.approx(0.06, abs=0.005)


def test_nitrite_shows_on_a_colour_nitrate_test():
    rng = Random(1)
    assert kits.NITRATE_CARD.read(0.0, rng, nitrite=5.0) >= 10
    assert kits.NITRATE_METER.read(0.0, rng, nitrite=5.0) < 4
