"""All of assess for one tank: what a mentor finds, joined."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_tanks import AS_OF, ago, look, make_tank, measured, result, series, work

from fleet.assess.tanks import find
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.wording import Wording

REFERENCE = load_reference()
HOUSE = Settings()
WORDS = Wording(REFERENCE, HOUSE)


def judge(tank, tests=(), looks=(), log=(), house=HOUSE):
    return find(
        tank, looks, measured(tests), log, (), (), house, REFERENCE, AS_OF
    )  # fmt: skip


CYCLED = (
    *series("ammonia", (30, 2), (23, 0.5), (16, 0), (9, 0)),
    *series("nitrite", (16, 0), (9, 0)),
)


def test_zero_after_cycle():
    tank = make_tank(40, livestock="mixed coral", rock="dry", fish=2, rock_kg=15.0)
    found = judge(
        tank,
        (*CYCLED, *series("nitrate", (9, 0), (1, 0)), *series("phosphate", (1, 0))),
        (look(9, "clear"), look(1, "clear")),
    )
    assert found.stage.name == "just cycled"
    assert found.of("nitrate").verdict == found.of("phosphate").verdict == "under"
    causes = {c.cause for c in found.causes}
    assert causes == {"rock uptake", "living uptake", "light feeding"}
    assert sum(c.share for c in found.causes) == pytest.approx(1)
    assert found.ratio_n_to_p is None
    assert found.animals is True
    assert found.corals is True


def test_zero_on_a_colour_phosphate_test_is_first_of_all_the_test():
    tank = make_tank(40, livestock="mixed coral", rock="dry", fish=2)
    found = judge(
        tank,
        (
            *CYCLED,
            *series("nitrate", (1, 10)),
            *series("phosphate", (1, 0), method="phosphate card"),
        ),
    )
    assert found.of("phosphate").verdict == "cannot tell"
    assert found.causes[0].cause == "test method"
    assert found.causes[0].parameter == "phosphate"


def test_never_cycled():
    tank = make_tank(40, livestock="none yet", rock="dry")
    zeros = [series(p, (8, 0), (1, 0)) for p in ("ammonia", "nitrite", "nitrate")]
    found = judge(tank, [m for group in zeros for m in group])
    assert found.stage.never_started
    assert found.animals is False
    assert found.of("nitrate").verdict == "not judged"
    assert found.causes[0].cause == "cycle not finished"


def test_fine_old_tank_is_left_without_causes():
    tank = make_tank(900, livestock="mixed coral", rock="mixed", fish=8)
    tests = (
        *series("nitrate", (14, 10), (7, 10), (0, 10), method="fine nitrate"),
        *series("phosphate", (14, 0.06), (7, 0.06), (0, 0.06)),
    )
    found = judge(tank, tests, (look(0, "coralline", "good colour"),))
    assert found.stage.name == "mature"
    assert found.causes == ()


def test_ratio_is_molar_and_needs_both_to_register():
    # 10 mg/L NO3 / 62.004 = 0.16128 mmol; 0.1 mg/L PO4 / 94.970 = 0.0010530 mmol;
    # 153.2 by hand, molar masses from IUPAC abridged standard atomic weights (2022).
    tank = make_tank(900, livestock="mixed coral")
    tests = (*series("nitrate", (1, 10)), *series("phosphate", (1, 0.1)))
    assert judge(tank, tests).ratio_n_to_p == pytest.approx(153.2, abs=0.1)
    zero = (*series("nitrate", (1, 10)), *series("phosphate", (1, 0)))
    assert judge(tank, zero).ratio_n_to_p is None
    limit = (
        result("nitrate", 1, 10, upper_limit_only=True),
        *series("phosphate", (1, 0.1)),
    )
    assert judge(tank, limit).ratio_n_to_p is None
    old = (*series("nitrate", (60, 10)), *series("phosphate", (1, 0.1)))
    assert judge(tank, old).ratio_n_to_p is None


def test_last_days_and_looks():
    tests = (*series("nitrate", (9, 10)), *series("ammonia", (4, 0)))
    looks = (
        look(20, "brown film"),
        look(9, "green film", "pale coral"),
        look(2)._replace(looks=()),
    )
    found = judge(make_tank(100), tests, looks)
    assert found.last_visit == ago(2)
    assert found.last_tested == ago(4)
    assert found.nutrients_tested == ago(9)
    assert found.looks == ("green film", "pale coral")
    assert found.looks_before == ("brown film",)
    assert found.looked_on == ago(9)
    assert found.corals is True


def test_nothing_is_known_of_an_empty_row():
    found = judge(make_tank(None, volume_l=None))
    assert (found.animals, found.corals) == (None, None)
    assert (found.last_visit, found.last_tested) == (None, None)
    assert found.nutrients_tested is None
    assert (found.budgets, found.effects, found.causes) == ((), (), ())
    assert {s.key for s in found.missing} == {
        "tanks.no-volume",
        "tanks.no-livestock",
        "tanks.no-feed",
    }
    assert all(WORDS.plain(s).endswith(".") for s in found.missing)


@pytest.mark.parametrize(
    ("tank", "log", "animals"),
    [
        (make_tank(9, fish=3), (), True),
        (make_tank(9, fish=0), (), None),
        # Corals alone, or what the tank is meant for: feed tells.
        (make_tank(9, livestock="mixed coral", fish=0), (), None),
        (make_tank(9, livestock="mixed coral", fish=0, feed_g_day=0.3), (), True),
        (make_tank(9, livestock="mixed coral"), (), True),
        (make_tank(9, livestock="fish only", fish=0), (), False),
        (make_tank(9, livestock="none yet"), (), False),
        (make_tank(9, livestock="none yet"), (work(3, "livestock in"),), True),
        (
            make_tank(9, livestock="none yet"),
            (work(3, "livestock in"), work(1, "livestock out")),
            False,
        ),
        (make_tank(9), (), None),
    ],
)
def test_whether_animals_are_in(tank, log, animals):
    assert judge(tank, log=log).animals is animals


def test_what_lies_ahead_is_not_used():
    tank = make_tank(40, livestock="mixed coral", fish=2)
    log = (work(-3, "dose", "NaNO3", 1, "g"),)
    found = judge(tank, (result("nitrate", -3, 60),), (look(-3, "hair algae"),), log)
    assert found.work == ()
    assert found.last_visit is None
    assert found.looks == ()
    assert found.of("nitrate").latest is None


def test_the_day_decides_and_not_the_clock():
    tank = make_tank(40, livestock="mixed coral", fish=2)
    tests = measured(series("nitrate", (1, 0)))
    first, later = (
        find(tank, (), tests, (), (), (), HOUSE, REFERENCE, day)
        for day in (AS_OF, AS_OF + timedelta(days=60))
    )
    assert first.of("nitrate").age_days == 1
    assert later.of("nitrate").stale
    assert later.causes == ()


@settings(max_examples=50)
@given(
    st.none() | st.integers(0, 900),
    st.sampled_from(["", *REFERENCE.vocabulary["livestock"]]),
    st.sampled_from(["", *REFERENCE.vocabulary["rock"]]),
    st.none() | st.integers(0, 20),
    st.none() | st.floats(0, 5),
    st.none() | st.floats(5, 3000),
    st.lists(
        st.tuples(
            st.sampled_from(["nitrate", "phosphate", "ammonia", "nitrite"]),
            st.integers(0, 60),
            st.floats(0, 50),
        ),
        max_size=8,
    ),
)
def test_any_tank_can_be_judged(filled, livestock, rock, fish, feed, volume, values):
    tank = make_tank(
        filled, livestock=livestock, rock=rock, fish=fish, feed_g_day=feed,
        volume_l=volume,
    )  # fmt: skip
    log = (work(9, "water change", "", 20, "%"), work(5, "dose", "K2HPO4", 0.1, "g"))
    found = judge(tank, [result(*v) for v in values], (look(2, "brown film"),), log)
    assert not found.causes or sum(c.share for c in found.causes) == pytest.approx(1)
    for budget in found.budgets:
        assert budget.weeks > 0
    for effect in found.effects:
        assert effect.verdict is None or WORDS.plain(effect.verdict)
