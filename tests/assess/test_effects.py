"""Did the work show: expected rises worked by hand, and verdicts no test can exceed.

1 g of sodium nitrate (62.004 / 84.994 is NO3, by IUPAC atomic weights) in 200 L is
3.64755 mg/L; 0.1 g of dipotassium phosphate (94.970 / 174.174 is PO4) is 0.27263 mg/L.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_tanks import AS_OF, ago, make_tank, measured, result, series, work

from fleet.assess.effect_words import last_work
from fleet.assess.effects import effects_of, uptake_of
from fleet.records import Settings, ShelfItem
from fleet.reference import load_reference
from fleet.render.wording import Wording

REFERENCE = load_reference()
HOUSE = Settings()
WORDS = Wording(REFERENCE, HOUSE)
TANK = make_tank(60, cycled=30)
FINE = "fine nitrate"
SODIUM_NITRATE = 1000 / 200 * 62.004 / 84.994  # mg/L NO3 of 1 g in 200 L


def effects(log, tests=(), tank=TANK, shelf=(), house=HOUSE):
    log = tuple(sorted(log, key=lambda done: done.on))
    return effects_of(tank, measured(tests), log, shelf, house, REFERENCE, AS_OF)


def one(log, tests=(), **facts):
    found = effects(log, tests, **facts)
    assert len(found) == 1, found
    return found[0]


DOSE = work(6, "dose", "sodium nitrate", 1, "g")


@pytest.mark.parametrize(
    ("after", "word"),
    [
        (3.6, "dose-shown"),
        (2.0, "dose-part"),
        (0.0, "dose-nothing"),
        (9.0, "dose-more"),
    ],
)
def test_dose_beside_what_was_expected(after, word):
    tests = series("nitrate", (7, 0), (2, after), method=FINE)
    effect = one([DOSE], tests)
    assert effect.expected_rise == pytest.approx(SODIUM_NITRATE)
    assert effect.verdict.key == f"effects.{word}"
    assert effect.seen_on == ago(2)
    assert effect.kept_low <= effect.kept_share <= effect.kept_high
    assert effect.kept_share == pytest.approx(after / 3.6475, abs=0.05)


def test_coarse_test_cannot_tell_a_small_dose():
    # 0.02 g of K2HPO4 in 200 L: 0.0545 mg/L, under the 0.08 a colour test tells.
    log = [work(6, "dose", "K2HPO4", 0.02, "g")]
    tests = series("phosphate", (7, 0), (2, 0), method="phosphate card")
    effect = one(log, tests)
    assert effect.expected_rise == pytest.approx(0.02 * 1000 / 200 * 94.970 / 174.174)
    assert effect.verdict.key == "effects.cannot-tell"
    assert effect.kept_share is None
    assert uptake_of((effect,), REFERENCE) == ()


def test_dose_not_tested_since_is_too_early_to_judge():
    effect = one([DOSE], series("nitrate", (7, 0)))
    assert effect.verdict.key == "effects.too-early"
    assert effect.seen_rise is None
    assert effect.kept_share is None


def test_test_of_the_same_day_came_before_the_dose():
    effect = one([DOSE], series("nitrate", (6, 0), (1, 3.6), method=FINE))
    assert effect.verdict.key == "effects.dose-shown"


def test_dose_without_a_test_before():
    effect = one([DOSE], series("nitrate", (2, 3.6), method=FINE))
    assert effect.verdict.key == "effects.no-test-before"
    assert effect.kept_share is None


def test_tests_far_from_the_work_prove_nothing():
    effect = one([DOSE], series("nitrate", (40, 0), (2, 3.6), method=FINE))
    assert effect.verdict.key == "effects.too-far-apart"
    assert effect.kept_share is None


def test_doses_between_two_tests_are_one():
    log = [work(d, "dose", "NaNO3", 0.5, "g") for d in (6, 5, 4, 3)]
    effect = one(log, series("nitrate", (7, 0), (2, 7.2), method=FINE))
    assert effect.expected_rise == pytest.approx(4 * 0.5 * SODIUM_NITRATE)
    assert effect.work.on == ago(6)
    assert (effect.work.amount, effect.work.unit) == (2.0, "g")
    text = WORDS.plain(effect.verdict)
    assert "from Tue 25 Mar to Fri 28 Mar" in text


def test_doses_no_test_has_seen_yet_are_listed_one_by_one():
    log = [work(d, "dose", "NaNO3", 0.5, "g") for d in (3, 2, 1)]
    found = effects(log, series("nitrate", (7, 0)))
    assert [e.work.on for e in found] == [ago(3), ago(2), ago(1)]
    assert [e.expected_rise for e in found] == pytest.approx([0.5 * SODIUM_NITRATE] * 3)
    assert [e.verdict is None for e in found] == [True, True, False]
    assert "since Sun 30 Mar" in WORDS.plain(found[-1].verdict)


def test_doses_parted_by_a_test_are_two():
    log = [work(d, "dose", "NaNO3", 1, "g") for d in (6, 3)]
    tests = series("nitrate", (7, 0), (4, 3.6), (1, 7.2), method=FINE)
    found = effects(log, tests)
    assert [e.verdict.key for e in found] == ["effects.dose-shown"] * 2


def test_unlike_salts_of_one_nutrient_are_pooled_without_an_amount():
    log = [work(6, "dose", "NaNO3", 1, "g"), work(5, "dose", "KNO3", 1, "g")]
    effect = one(log, series("nitrate", (7, 0), (2, 6.7), method=FINE))
    # KNO3 is 62.004 / 101.102 NO3: 3.06641 mg/L in 200 L.
    assert effect.expected_rise == pytest.approx(SODIUM_NITRATE + 3.06641, abs=5e-5)
    assert effect.work.substance == "NaNO3 + KNO3"
    assert effect.work.amount is None


@pytest.mark.parametrize(
    ("done", "tank", "word"),
    [
        (work(6, "dose", "NaNO3", 20, "mL"), TANK, "no-strength"),
        (work(6, "dose", "NaNO3", 2, "drops"), TANK, "no-amount"),
        (DOSE, make_tank(60, volume_l=None), "no-volume"),
        (work(6, "dose", "wonder drops", 2, "mL"), TANK, "unknown-substance"),
    ],
)
def test_what_is_lacking_to_know_what_to_expect_is_said(done, tank, word):
    tests = series("nitrate", (7, 0), (2, 3.6), method=FINE)
    effect = one([done], tests, tank=tank)
    assert effect.verdict.key == f"effects.{word}"
    assert effect.expected_rise is None
    assert effect.kept_share is None
    assert WORDS.plain(effect.verdict)


def test_strength_from_the_shelf():
    shelf = (ShelfItem("sodium-nitrate", "NaNO3", 1.0, 100.0, 50.0),)
    effect = one([work(6, "dose", "NaNO3", 20, "mL")], shelf=shelf)
    assert effect.expected_rise == pytest.approx(SODIUM_NITRATE)


def test_water_change_by_its_share():
    # 25 % at 40 mg/L with change water of 4 mg/L: 0.25 x 36 = 9 mg/L less.
    house = Settings(change_water=(("nitrate", 4.0),))
    log = [work(6, "water change", "", 25, "%")]
    tests = series("nitrate", (7, 40), (2, 31), method=FINE)
    effect = one(log, tests, house=house)
    assert effect.expected_rise == pytest.approx(-9)
    assert effect.seen_rise == pytest.approx(-9)
    assert effect.kept_share == pytest.approx(1)
    assert effect.verdict.key == "effects.change-shown"


def test_water_change_that_came_back():
    log = [work(6, "water change", "", 25, "%")]
    tests = series("phosphate", (7, 0.4), (2, 0.4))
    effect = one(log, tests)
    assert effect.verdict.key == "effects.change-nothing"
    assert effect.kept_share == 0


def test_water_change_at_zero_has_nothing_to_show():
    log = [work(6, "water change", "", 25, "%")]
    assert effects(log, series("nitrate", (7, 0), (2, 0))) == ()


def test_dose_and_water_change_are_taken_apart():
    # 10 mg/L, 1 g dosed: 13.6475; then 20 % changed: 2.7295 less; 10.918 left.
    log = [DOSE, work(5, "water change", "", 20, "%")]
    tests = series("nitrate", (7, 10), (2, 10.918), method=FINE)
    found = {e.work.work: e for e in effects(log, tests)}
    assert found["dose"].seen_rise == pytest.approx(3.6475, abs=0.001)
    assert found["water change"].expected_rise == pytest.approx(-2.7295, abs=0.001)
    assert found["water change"].seen_rise == pytest.approx(-2.7295, abs=0.001)


def test_dose_beside_media_cannot_be_told_apart():
    log = [work(6, "dose", "K2HPO4", 0.1, "g"), work(5, "media in", "GFO")]
    tests = series("phosphate", (7, 0.0), (2, 0.1))
    found = {e.work.work: e for e in effects(log, tests)}
    assert found["dose"].verdict.key == "effects.not-alone"
    assert found["dose"].kept_share is None


def test_media_that_moved_the_reading():
    log = [work(6, "media in", "GFO")]
    effect = one(log, series("phosphate", (7, 0.4), (2, 0.1)))
    assert effect.verdict.key == "effects.moved"
    assert effect.expected_rise is None
    assert effect.seen_rise == pytest.approx(-0.3)
    assert "the media went in (GFO)" in WORDS.plain(effect.verdict)


def test_carbon_is_no_effect_on_nutrients():
    assert effects([work(6, "media in", "activated carbon")]) == ()


def test_feed_change_is_expected_to_bring_its_share():
    # From 1 to 2 g a day of 45 % in 200 L: 0.9163 mg/L NO3 a day more; 4 days.
    tank = make_tank(60, feed_g_day=1.0, protein=0.45)
    log = [work(6, "feed change", "", 2.0, "g/day")]
    tests = series("nitrate", (7, 5), (2, 5), method=FINE)
    effect = next(e for e in effects(log, tests, tank=tank) if e.parameter == "nitrate")
    assert effect.expected_rise == pytest.approx(4 * 0.9163, abs=0.001)
    assert effect.verdict.key == "effects.no-move-to-tell"


def test_added_ammonia_should_be_gone():
    log = [work(3, "dose", "ammonium chloride", 0.76, "g")]
    gone = one(log, series("ammonia", (4, 0), (1, 0)))
    assert gone.verdict.key == "effects.ammonia-used"
    assert gone.parameter == "ammonia"
    # 0.76 g x 26.19 % N in 200 L: 0.995 mg/L N.
    assert gone.expected_rise == pytest.approx(0.995, abs=0.001)
    left = one(log, series("ammonia", (4, 0), (1, 1.0)))
    assert left.verdict.key == "effects.ammonia-left"


def test_work_longer_ago_or_still_to_come_is_left_out():
    log = [work(50, "dose", "NaNO3", 1, "g"), work(-1, "dose", "NaNO3", 1, "g")]
    assert effects(log) == ()


def test_result_off_the_scale_is_not_compared():
    top = result("nitrate", 2, 100)._replace(high=float("inf"), value=None)
    effect = one([DOSE], (*series("nitrate", (7, 0)), top))
    assert effect.verdict.key == "effects.off-the-scale"


# ------------------------------------------------------ few words for the sheet


def said(log, tests, **more):
    found = last_work(effects(log, tests, **more), REFERENCE, AS_OF)
    return [s.key.removeprefix("effects.") for s in found]


def test_changes_too_small_to_show_are_said_once():
    log = [work(d, "water change", "", 10, "%") for d in (20, 13, 6)]
    tests = (
        *series("nitrate", (21, 8), (14, 8), (7, 8), (1, 8)),
        *series("phosphate", (21, 0.05), (14, 0.05), (7, 0.05), (1, 0.05)),
    )
    assert said(log, tests) == ["nothing-to-tell"]


def test_what_a_dose_did_is_said_before_what_no_test_can_tell():
    log = [work(13, "dose", "NaNO3", 1, "g"), work(6, "water change", "", 10, "%")]
    tests = series("nitrate", (14, 0), (7, 3.6), (1, 3.3), method=FINE)
    assert said(log, tests)[-1] == "dose-shown"
    coarse = series("nitrate", (14, 0), (7, 5), (1, 5))
    assert "nothing-to-tell" not in said(log, coarse)


def test_no_more_than_three_things_are_said_of_the_last_work():
    log = [work(d, "dose", "NaNO3", 1, "g") for d in (19, 15, 11, 7, 3)]
    tests = series(
        "nitrate", (20, 0), (16, 3.6), (12, 7.3), (8, 11), (4, 14.6), (1, 18.2),
        method=FINE,
    )  # fmt: skip
    assert said(log, tests) == ["dose-shown"] * 3


def test_work_of_long_ago_is_not_the_last_work():
    log = [work(30, "dose", "NaNO3", 1, "g")]
    assert said(log, series("nitrate", (31, 0), (28, 3.6), method=FINE)) == []


def test_a_change_smaller_than_the_tests_are_off_proves_nothing():
    # 0.01 mg/L should come off; two results of +/- 0.02 mg/L say nothing of that.
    log = [work(6, "water change", "", 10, "%")]
    effect = one(log, series("phosphate", (7, 0.1), (2, 0.14)))
    assert effect.verdict.key == "effects.cannot-tell"


# -------------------------------------------------------------------- uptake


def test_uptake_is_what_vanished_a_day():
    # 2 of the 3.64755 mg/L expected were gone 4 days after: 0.5 mg/L a day.
    tests = series("nitrate", (7, 0), (2, SODIUM_NITRATE - 2), method=FINE)
    ((name, best, low, high),) = uptake_of(effects([DOSE], tests), REFERENCE)
    assert name == "nitrate"
    assert best == pytest.approx(0.5)
    assert low < best < high


def test_uptake_is_capped():
    # 5 g dosed, 18.2 expected, none seen 4 days after: more than the 2 a day allowed.
    log = [work(6, "dose", "NaNO3", 5, "g")]
    tests = series("nitrate", (7, 0), (2, 0))
    found = uptake_of(effects(log, tests), REFERENCE)
    assert found == (("nitrate", 2.0, 2.0, 2.0),)


def test_no_dose_no_uptake():
    assert uptake_of((), REFERENCE) == ()


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.integers(0, 45),
            st.sampled_from(list(REFERENCE.vocabulary["work"])),
            st.sampled_from(["", "NaNO3", "K2HPO4", "NH4Cl", "GFO", "roller", "x"]),
            st.none() | st.floats(0, 50),
            st.sampled_from(["", "g", "mL", "%", "L", "g/day"]),
        ),
        max_size=6,
    ),
    st.lists(st.tuples(st.integers(0, 60), st.floats(0, 60)), max_size=6),
    st.none() | st.floats(1, 3000),
)
def test_any_log_is_put_into_words(rows, values, volume):
    log = [work(days, *rest) for days, *rest in rows]
    tests = (*series("nitrate", *values), *series("phosphate", *values))
    for effect in effects(log, tests, tank=replace(TANK, volume_l=volume)):
        assert effect.verdict or effect.seen_on is None
        assert not effect.verdict or WORDS.plain(effect.verdict).endswith(".")
        if effect.kept_share is not None:
            assert 0 <= effect.kept_low <= effect.kept_high
            assert effect.expected_rise is not None
        if effect.seen_rise is not None:
            assert effect.seen_low <= effect.seen_high
