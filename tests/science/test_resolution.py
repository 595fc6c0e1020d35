import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fleet.science import resolution as res

INF = math.inf
VALUE = st.floats(0, 100)
WIDTH = st.floats(0.001, 50)


@pytest.mark.parametrize(
    "value, expected",
    [
        (0, (0, 2)),  # nothing seen: anything up to the lowest step it can tell
        (1, (0, 2)),
        (2, (1, 4.5)),  # halfway to zero, the neighbour below
        (5, (2.5, 7.5)),
        (50, (47.5, INF)),  # top of the card: open above
        (80, (77.5, INF)),
    ],
)
def test_card_allows_half_a_step_to_each_side(value, expected):
    assert res.card_interval(value, lowest=2, step=5, highest=50) == expected


def test_colour_card_cannot_tell_nothing_from_its_lowest_step():
    # Common practice, no source: a phosphate card's 0 means "somewhere in 0 to 0.08".
    assert res.card_interval(0, lowest=0.08, step=0.08) == (0, 0.08)


@pytest.mark.parametrize(
    "value, expected",
    [
        (-0.02, (0, 0.03)),
        (0.02, (0, 0.03)),
        (0.03, (0, 0.0712)),
        (0.10, (0.056, 0.144)),
        (2.5, (2.36, INF)),
    ],
)
def test_meter_allows_its_accuracy_to_each_side(value, expected):
    # Worked by hand: 0.04 and 4 % of the reading, added.
    found = res.meter_interval(value, 0.03, 0.04, 0.04, highest=2.5)
    assert found == pytest.approx(expected)


@given(value=VALUE, lowest=WIDTH, step=WIDTH, highest=st.floats(1, 200))
def test_interval_holds_the_value_and_nothing_below_zero(value, lowest, step, highest):
    for interval in (
        res.card_interval(value, lowest, step, highest),
        res.meter_interval(value, lowest, step, 0.1, highest),
    ):
        assert 0 <= interval.low <= value <= interval.high


def test_uncertainty_of_limits_is_that_of_the_uniform_distribution():
    assert res.uncertainty_from_limits(2) == pytest.approx(stats.uniform(-2, 4).std())


def test_two_readings_differ_by_more_than_one_is_off():
    # JCGM 100:2008, 5.1.2: the difference of two independent readings of standard
    # uncertainty u has root 2 u.
    assert res.combined_uncertainty(0.3, 0.3) == pytest.approx(math.sqrt(2) * 0.3)
    assert res.combined_uncertainty(0.3, 0) == 0.3


BANDS = st.tuples(st.none() | st.floats(0, 50), st.none() | st.floats(50, 120))


@given(value=st.floats(-5, 100), uncertainty=WIDTH, band=BANDS)
def test_normal_chance_is_that_of_the_cut_normal(value, uncertainty, band):
    # scipy's truncated normal, cut at zero. It loses digits far out, hence 1e-6.
    chance = res.chance_from_normal(value, uncertainty, *band)
    assert sum(chance) == pytest.approx(1)
    if value < -5 * uncertainty:
        return  # all but a millionth was cut away: scipy's own digits run out
    cut = stats.truncnorm((0 - value) / uncertainty, INF, value, uncertainty)
    low, high = band
    assert chance.under == pytest.approx(0 if low is None else cut.cdf(low), abs=1e-6)
    assert chance.over == pytest.approx(0 if high is None else cut.sf(high), abs=1e-6)


@given(low=VALUE, width=WIDTH, band=BANDS)
def test_interval_chance_is_that_of_the_uniform_distribution(low, width, band):
    chance = res.chance_from_interval(low, low + width, *band)
    uniform = stats.uniform(low, width)
    bottom, top = band
    assert sum(chance) == pytest.approx(1)
    assert min(chance) >= 0
    expected = 0 if bottom is None else uniform.cdf(bottom)
    assert chance.under == pytest.approx(expected, abs=1e-9)
    expected = 0 if top is None else uniform.sf(top)
    assert chance.over == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    "value, expected",
    [(1, (1, 0, 0)), (2, (0, 1, 0)), (10, (0, 1, 0)), (11, (0, 0, 1))],
)
def test_exact_value_is_in_or_out_and_the_ends_belong_to_the_band(value, expected):
    assert res.chance_from_interval(value, value, 2, 10) == expected
    assert res.chance_from_normal(value, 0, 2, 10) == expected


def test_reading_of_zero_is_never_below_zero():
    # Half of an uncut normal would lie below zero; a concentration cannot.
    chance = res.chance_from_normal(0, 0.02, 0, 0.1)
    assert chance.under == 0
    uncut = res.chance_from_normal(0, 0.02, 0, 0.1, lowest_possible=None)
    assert uncut.under == pytest.approx(0.5)


def test_reading_far_below_zero_counts_as_zero():
    assert res.chance_from_normal(-5, 0.01, 0.03, 0.1) == (1, 0, 0)


def test_open_end_is_taken_up_to_twice_the_lower_end():
    # Worked by hand: ">50" over 50 to 100, band 5 to 60.
    assert res.chance_from_interval(50, INF, 5, 60) == pytest.approx((0, 0.2, 0.8))
    assert res.chance_from_interval(50, INF, 5, 40) == (0, 0, 1)
    with pytest.raises(ValueError, match="says nothing"):
        res.chance_from_interval(0, INF, 5, 40)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: res.chance_from_interval(3, 2, 0, 1),
        lambda: res.chance_from_interval(2, 3, 1, 0),
        lambda: res.chance_from_interval(math.nan, 3, 0, 1),
        lambda: res.chance_from_normal(2, 1, 3, 2),
        lambda: res.chance_from_normal(2, -1, 2, 3),
        lambda: res.chance_from_normal(2, math.nan, 2, 3),
    ],
)
def test_what_is_upside_down_is_refused(ask):
    with pytest.raises(ValueError, match="holds nothing|no meaning"):
        ask()
