from statistics import median

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from fleet.science.pooled import median_range

SOME = settings(max_examples=60)


@pytest.mark.parametrize(
    "count, place",
    [(5, 1), (7, 1), (8, 2), (10, 2), (11, 3), (13, 4), (20, 6)],
)
def test_places_of_the_limits_are_those_of_the_sign_test_tables(count, place):
    # Sign test, two-sided at 10 %: largest r with P(X < r) <= 0.05, X of n fair
    # coins, as in Dixon & Massey, Introduction to Statistical Analysis, 3rd ed.
    # (1969), table A-10a (from memory).
    found = median_range(list(range(1, count + 1)))
    assert (found.low, found.high) == (place, count + 1 - place)


@SOME
@given(st.lists(st.floats(-5, 5), min_size=5, max_size=30, unique=True))
def test_limits_agree_with_an_independent_library(values):
    # scipy 1.13 or later, quantile_test: two-sided limits for the median.
    found = median_range(values)
    expected = stats.quantile_test(values, q=0, p=0.5).confidence_interval(0.90)
    assert (found.low, found.high) == (expected.low, expected.high)
    assert found.value == median(values)


def test_middle_of_an_even_number_lies_between_two():
    assert median_range([4, 1, 3, 2]) == (2.5, 1, 4)


def test_no_values_have_no_middle():
    with pytest.raises(ValueError, match="no middle"):
        median_range([])
