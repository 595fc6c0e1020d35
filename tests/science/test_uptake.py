"""Uptake by mass balance, worked by hand."""

import pytest

from fleet.science.uptake import uptake_a_day


def test_what_is_missing_over_the_days():
    # 4 expected, 1 seen (0.5 to 2), 3 days: 1 a day, from 2/3 to 7/6.
    assert uptake_a_day(4, 1, 0.5, 2, 3, 5.0) == pytest.approx((1, 2 / 3, 3.5 / 3))


def test_it_is_held_between_none_and_the_most():
    # 12 expected, none seen after 2 days is 6 a day, held to 2.
    assert uptake_a_day(12, 0, 0, 1, 2, 2.0) == (2.0, 2.0, 2.0)
    # More seen than expected is no uptake below none.
    assert uptake_a_day(1, 2, 1.5, 2.5, 2, 2.0) == (0.0, 0.0, 0.0)


def test_no_rate_without_time():
    with pytest.raises(ValueError, match="no rate over 0 days"):
        uptake_a_day(1, 0, 0, 0, 0, 2.0)
