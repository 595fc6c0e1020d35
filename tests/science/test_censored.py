import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from fleet.science.censored import (
    Crossing,
    Slope,
    censored_slope,
    crossing,
)

INF = math.inf

DAYS = st.lists(st.integers(0, 400), min_size=4, max_size=26, unique=True)
EXACT = st.one_of(
    st.floats(0.01, 100).map(lambda x: round(x, 3)),
    st.integers(1, 6).map(float),  # many ties
)
# A nondetect, a step of a card, a value over the top, an exact value.
RESULT = st.one_of(
    st.sampled_from([(0.0, 2.0), (0.0, 5.0)]),
    st.sampled_from([(2.5, 7.5), (7.5, 12.5), (12.5, 20.0)]),
    st.just((20.0, INF)),
    EXACT.map(lambda x: (x, x)),
)


def series(results, low=0):
    return st.lists(
        st.tuples(st.integers(low, 400), results),
        min_size=4,
        max_size=20,
        unique_by=lambda visit: visit[0],
    )


def parts(visits):
    days = [float(day) for day, _ in visits]
    return days, [low for _, (low, _) in visits], [high for _, (_, high) in visits]


def balance(slope, days, lows, highs):
    """Count residual intervals that rise in time, less those that fall: the score."""
    total = 0
    for i, day in enumerate(days):
        for j, later in enumerate(days):
            if later <= day:
                continue
            if lows[j] - slope * later > highs[i] - slope * day:
                total += 1
            if highs[j] - slope * later < lows[i] - slope * day:
                total -= 1
    return total


@given(days=DAYS, data=st.data())
def test_with_nothing_censored_it_is_theil_sen(days, data):
    # scipy 1.17, stats.theilslopes, 90 % limits by rank. Where its ranks would fall
    # outside the slopes it takes the outermost; here there is no limit then.
    values = data.draw(st.lists(EXACT, min_size=len(days), max_size=len(days)))
    independent = stats.theilslopes(values, days, alpha=0.90)
    found = censored_slope(days, values, values)
    assert found.per_day == pytest.approx(independent.slope, rel=1e-9, abs=1e-12)
    if found.low > -INF:
        assert found.low == pytest.approx(independent.low_slope, rel=1e-9, abs=1e-12)
    if found.high < INF:
        assert found.high == pytest.approx(independent.high_slope, rel=1e-9, abs=1e-12)
    if len(set(values)) == len(values):
        assert math.isfinite(found.low) and math.isfinite(found.high)


NONDETECT_OR_EXACT = st.one_of(
    st.sampled_from([(0.0, 2.0), (0.0, 5.0)]), EXACT.map(lambda x: (x, x))
)


@given(visits=series(NONDETECT_OR_EXACT))
def test_slope_is_where_the_score_of_residual_intervals_changes_sign(visits):
    # Akritas, Murphy & LaValley (1995), the score counted pair by pair.
    found = censored_slope(*parts(visits))
    assume(found is not None)
    step = 1e-7 * (1 + abs(found.per_day))
    assert balance(found.per_day - step, *parts(visits)) >= 0
    assert balance(found.per_day + step, *parts(visits)) <= 0


@given(visits=series(RESULT))
def test_limits_stand_around_the_slope(visits):
    found = censored_slope(*parts(visits))
    assume(found is not None)
    assert found.low <= found.per_day <= found.high
    assert math.isfinite(found.per_day)


@given(visits=series(RESULT), factor=st.floats(0.01, 100))
def test_another_unit_scales_the_slope(visits, factor):
    days, lows, highs = parts(visits)
    found = censored_slope(days, lows, highs)
    assume(found is not None)
    scaled = censored_slope(
        days, [x * factor for x in lows], [x * factor for x in highs]
    )
    expected = [x * factor for x in found]
    assert list(scaled) == pytest.approx(expected, rel=1e-6, abs=1e-9)


@given(visits=series(RESULT))
def test_backwards_in_time_turns_the_slope_over(visits):
    days, lows, highs = parts(visits)
    found = censored_slope(days, lows, highs)
    assume(found is not None)
    turned = censored_slope([-day for day in days], lows, highs)
    expected = [-found.per_day, -found.high, -found.low]
    assert list(turned) == pytest.approx(expected, rel=1e-9, abs=1e-12)


@given(visits=series(RESULT), data=st.data())
def test_order_of_the_visits_does_not_matter(visits, data):
    shuffled = data.draw(st.permutations(visits))
    assert censored_slope(*parts(visits)) == censored_slope(*parts(shuffled))


def test_what_was_dosed_is_taken_out():
    # Worked by hand: falling 0.1 a day, 2 mg/L dosed on day 10.
    days = [0.0, 5.0, 10.0, 15.0, 20.0]
    added = [0.0, 0.0, 2.0, 2.0, 2.0]
    values = [5 - 0.1 * day + more for day, more in zip(days, added, strict=True)]
    found = censored_slope(days, values, values, added)
    assert found.per_day == pytest.approx(-0.1)
    assert censored_slope(days, values, values).per_day > 0


def test_a_dose_does_not_turn_nondetects_into_readings():
    days, lows, highs = [0.0, 7.0, 14.0], [0.0] * 3, [2.0] * 3
    assert censored_slope(days, lows, highs, added=[0.0, -3.0, -3.0]) is None


@pytest.mark.parametrize(
    "days, lows, highs",
    [
        ([], [], []),
        ([0, 7], [5, 4], [5, 4]),
        ([0, 0, 7, 7], [5, 4, 3, 2], [5, 4, 3, 2]),  # two days only
        ([0, 7, 14, 21], [0, 0, 0, 0], [2, 2, 5, 2]),  # all below their limits
        ([0, 7, 14], [-INF] * 3, [2] * 3),
        ([0, 7, 14, 21], [50] * 4, [INF] * 4),  # all over the top: nothing bounds it
    ],
    ids=["nothing", "two", "two days", "below", "below, unbounded", "over the top"],
)
def test_no_slope_without_three_visits_and_something_seen(days, lows, highs):
    assert censored_slope(days, lows, highs) is None


def test_three_visits_give_a_slope_and_no_limits():
    # Of the six orders of three values two are all up or all down: 33 % by chance.
    values = [5.0, 4.0, 2.0]
    assert censored_slope([0, 7, 14], values, values) == Slope(-1.5 / 7, -INF, INF)


def test_visits_of_one_day_make_no_pair():
    found = censored_slope([0, 7, 7, 14], [1, 5, 0.2, 3], [1, 5, 0.2, 3])
    # Worked by hand: slopes of the five pairs 4/7, -0.8/7, 2/14, -2/7, 2.8/7.
    assert found.per_day == pytest.approx(2 / 14)


def test_value_over_the_top_still_tells_which_way():
    # 40, 45 and then ">50" and ">50": rising at least as fast as 40 to 45 says.
    days, lows = [0.0, 7.0, 14.0, 21.0], [40.0, 45.0, 50.0, 50.0]
    found = censored_slope(days, lows, [40.0, 45.0, INF, INF])
    assert found.per_day >= 5 / 7
    assert found.high == INF


def test_flat_zero_that_wakes_up_is_seen_rising():
    days = [7.0 * week for week in range(10)]
    values = [0, 0, 0, 0, 0, 3, 4, 5, 7, 8]
    lows = [float(value) for value in values]
    highs = [value or 2.0 for value in lows]
    found = censored_slope(days, lows, highs)
    assert found.low > 0


def test_one_slip_of_the_pen_does_not_make_a_trend():
    days = [7.0 * week for week in range(12)]
    values = [5.0, 5.3, 4.8, 5.1, 5.2, 4.9, 5.0, 5.2, 4.9, 5.1, 4.8, 50.0]
    found = censored_slope(days, values, values)
    assert found.low < 0 < found.high
    assert abs(found.per_day) < 0.01


def test_steps_of_a_card_that_share_an_end_leave_room_for_a_slope():
    # Two neighbouring steps in turn: neither zero slope for certain nor none.
    days = [7.0 * week for week in range(12)]
    lows = [2.5, 7.5] * 6
    found = censored_slope(days, lows, [low + 5 for low in lows])
    assert found.low < 0 < found.high


@pytest.mark.parametrize("low, high", [(3, 2), (math.nan, 1), (1, math.nan)])
def test_interval_upside_down_is_refused(low, high):
    with pytest.raises(ValueError, match="holds nothing"):
        censored_slope([0, 7, 14], [1, low, 1], [1, high, 1])


def test_lists_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="shorter|longer"):
        censored_slope([0, 7, 14], [1, 2], [1, 2, 3])


# --- crossing


def test_level_reaches_an_edge():
    # Worked by hand: from 8 to 5 at 0.1, 0.2 and 0.3 a day.
    found = crossing(100, 8, Slope(-0.2, -0.3, -0.1), 5)
    assert found == Crossing(*map(pytest.approx, (115, 110, 130)))
    found = crossing(100, 8, Slope(0.2, 0.1, 0.3), 11)
    assert found == Crossing(*map(pytest.approx, (115, 110, 130)))


def test_slope_without_a_limit_may_get_there_today():
    found = crossing(100, 8, Slope(-0.2, -INF, -0.1), 5)
    assert (found.earliest, found.latest) == (100, pytest.approx(130))


@pytest.mark.parametrize(
    "slope, edge",
    [
        (Slope(-0.2, -0.3, 0.1), 5),  # may be no drift at all
        (Slope(0.0, 0.0, 0.0), 5),
        (Slope(-0.2, -INF, INF), 5),  # three visits
        (Slope(-0.2, -0.3, -0.1), 9),  # drifts away from it
        (Slope(0.2, 0.1, 0.3), 5),
    ],
)
def test_no_day_is_named_where_none_can_be(slope, edge):
    assert crossing(100, 8, slope, edge) is None


# --- mean
