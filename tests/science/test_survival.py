import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.science.survival import kaplan_meier, share_reached, turnbull

SOME = settings(max_examples=60)
INF = math.inf

# Freireich et al. (1963), Blood 21, 699: weeks in remission of 21 patients under
# 6-mercaptopurine; the second list was still in remission when last seen. The data
# set of survival textbooks (from memory).
RELAPSED = [6, 6, 6, 7, 10, 13, 16, 22, 23]
LAST_SEEN = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
WEEKS = RELAPSED + LAST_SEEN
EVENT = [True] * len(RELAPSED) + [False] * len(LAST_SEEN)


def test_remission_data_as_textbooks_print_them():
    # Kleinbaum & Klein, Survival Analysis, 3rd ed. (2012), table 2.4 (from memory),
    # four decimals.
    printed = {
        6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482
    }  # fmt: skip
    steps = {step.time: step.waiting for step in kaplan_meier(WEEKS, EVENT)}
    assert steps.keys() == printed.keys()
    for week, share in printed.items():
        assert steps[week] == pytest.approx(share, abs=0.00005)


@SOME
@given(
    watched=st.lists(
        st.tuples(st.integers(1, 30), st.booleans()), min_size=2, max_size=30
    )
)
def test_estimate_and_limits_agree_with_an_independent_library(watched):
    # lifelines 0.30, log-log limits at 90 %. Tolerance 1e-6.
    from lifelines import KaplanMeierFitter  # slow to load: only here

    times = [float(time) for time, _ in watched]
    reached = [yes for _, yes in watched]
    if not any(reached):
        assert kaplan_meier(times, reached) == ()
        return
    fit = KaplanMeierFitter(alpha=0.10).fit(times, reached)
    limits = fit.confidence_interval_survival_function_
    for step in kaplan_meier(times, reached):
        expected = float(fit.survival_function_.loc[step.time].iloc[0])
        assert step.waiting == pytest.approx(expected, abs=1e-6)
        if expected > 0:  # where none is left waiting the variance has no value
            low, high = limits.loc[step.time]
            assert step.waiting_low == pytest.approx(low, abs=1e-6)
            assert step.waiting_high == pytest.approx(high, abs=1e-6)
        assert 0 <= step.waiting_low <= step.waiting <= step.waiting_high <= 1


def test_share_reached_is_what_no_longer_waits():
    found = share_reached(WEEKS, EVENT, 12)
    assert found.share == pytest.approx(1 - 0.7529, abs=0.00005)
    assert found.low < found.share < found.high


def test_none_of_ten_yet_is_not_none_for_sure():
    # Clopper & Pearson (1934): with 0 of 10 seen, 1 - 0.05^(1/10) = 0.2589, by hand.
    found = share_reached([8] * 10, [False] * 10, 4)
    assert found == pytest.approx((0, 0, 0.2589), abs=0.00005)
    assert share_reached([8] * 10, [True] * 10, 4) == found


def test_all_of_ten_at_once_is_not_all_for_sure():
    found = share_reached([4] * 10, [True] * 10, 4)
    assert found == pytest.approx((1, 1 - 0.2589, 1), abs=0.00005)


def test_nobody_watched_so_long():
    with pytest.raises(ValueError, match="nobody was watched until 9"):
        share_reached([4, 5], [False, False], 9)


def test_exact_values_are_their_own_distribution():
    masses = turnbull([3, 1, 3, 2], [3, 1, 3, 2])
    assert masses == ((1, 1, 0.25), (2, 2, 0.25), (3, 3, 0.5))


def test_result_at_the_limit_lies_above_less_than_the_limit():
    assert turnbull([0, 10], [10, 10]) == ((0, 10, 0.5), (10, 10, 0.5))


def test_neighbouring_steps_do_not_touch():
    assert turnbull([0, 2, 5], [2, 5, 10]) == (
        (0, 2, pytest.approx(1 / 3)),
        (2, 5, pytest.approx(1 / 3)),
        (5, 10, pytest.approx(1 / 3)),
    )


@SOME
@given(
    results=st.lists(
        st.tuples(st.integers(1, 12), st.booleans()), min_size=1, max_size=25
    )
)
def test_limits_below_only_are_kaplan_meier_upside_down(results):
    # lifelines 0.30, left-censored fit: chance of lying at or below a value.
    from lifelines import KaplanMeierFitter

    values = [float(value) for value, _ in results]
    detected = [yes for _, yes in results]
    if not any(detected):
        return
    lows = [v if yes else 0.0 for v, yes in zip(values, detected, strict=True)]
    masses = turnbull(lows, values)
    assert sum(mass.share for mass in masses) == pytest.approx(1)
    # Flipped by hand, as Helsel (2012) does: 100 minus the value is right-censored,
    # and lifelines takes a right-censored time as later than an equal event.
    flipped = [100 - value for value in values]
    fit = KaplanMeierFitter().fit(flipped, detected)
    for value in {v for v, yes in zip(values, detected, strict=True) if yes}:
        below = sum(mass.share for mass in masses if mass.low < value)
        expected = float(fit.survival_function_at_times(100 - value).iloc[0])
        assert below == pytest.approx(expected, abs=1e-6)


@SOME
@given(
    draws=st.lists(
        st.tuples(st.floats(0, 10), st.floats(0, 5)), min_size=1, max_size=12
    )
)
def test_no_other_spread_of_the_shares_is_likelier(draws):
    # Gentleman & Geyer (1994), Biometrika 81, 618: at the maximum, no cell has a
    # reduced gradient above 1 (per value); 300 rounds leave at most a hundredth.
    lows = [low for low, _ in draws]
    highs = [low + width for low, width in draws]
    masses = turnbull(lows, highs)

    def holds(low, high, mass):
        if (mass.low, mass.high) == (low, high):
            return True
        if mass.low == mass.high:
            return low < mass.low < high
        return low <= mass.low and mass.high <= high

    inside = np.array(
        [
            [holds(low, high, mass) for mass in masses]
            for low, high in zip(lows, highs, strict=True)
        ]
    )
    shares = np.array([mass.share for mass in masses])
    assert shares.sum() == pytest.approx(1)
    gradient = (inside / (inside @ shares)[:, None]).mean(axis=0)
    assert gradient.max() <= 1.01


def test_nothing_known_gives_nothing():
    assert turnbull([], []) == ()
    assert kaplan_meier([], []) == ()


@pytest.mark.parametrize("low, high", [(3, 2), (math.nan, 1), (1, math.nan)])
def test_interval_upside_down_is_refused(low, high):
    with pytest.raises(ValueError, match="holds nothing"):
        turnbull([low], [high])


def test_lists_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="shorter"):
        kaplan_meier([1, 2], [True])
    with pytest.raises(ValueError, match="shorter"):
        turnbull([1, 2], [3])
