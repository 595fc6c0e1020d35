import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.science.survival import kaplan_meier, share_reached

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


def test_nothing_known_gives_nothing():
    assert kaplan_meier([], []) == ()


def test_lists_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="shorter"):
        kaplan_meier([1, 2], [True])
