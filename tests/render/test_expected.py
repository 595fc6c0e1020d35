import math

import pytest

from fleet.records import Trend
from fleet.render.expected import likely
from tests.render import builders as b


def nitrate(**facts):
    ten = b.read("nitrate", "nitrate-card", 10, -7)
    return b.found("within", b.replace_measured(ten, low=7.0, high=13.0), **facts)


def test_the_next_reading_errs_as_the_last_one_did():
    # Worked by hand: two errors of 3 in quadrature are 3 x sqrt 2 = 4.243.
    low, high = likely(nitrate(), (), b.AS_OF)
    assert (low, high) == pytest.approx((10 - 4.243, 10 + 4.243), abs=1e-3)


def test_a_trend_widens_only_the_side_it_goes_to():
    trend = Trend(2.0, 1.0, 3.0, 6, b.day(-40))
    low, high = likely(nitrate(trend=trend), (), b.day(7))
    # Two weeks since the reading, at 3 a week at most.
    assert (low, high) == pytest.approx((5.757, 14.243 + 6), abs=1e-3)


def test_work_that_is_asked_for_may_show_in_full_or_not_at_all():
    rise = b.action("1", "dose", "x", "y", 0, expected=(("nitrate", 4.0),))
    fall = b.action("2", "water change", "x", "y", 0, expected=(("nitrate", -3.0),))
    low, high = likely(nitrate(), (rise, fall), b.day(1))
    assert (low, high) == pytest.approx((5.757 - 3, 14.243 + 4), abs=1e-3)


def test_work_after_that_day_or_on_something_else_changes_nothing():
    later = b.action("1", "dose", "x", "y", 5, expected=(("nitrate", 4.0),))
    other = b.action("2", "dose", "x", "y", 0, expected=(("phosphate", 0.1),))
    assert likely(nitrate(), (later, other), b.day(1)) == likely(nitrate(), (), b.AS_OF)


def test_zero_stays_what_the_method_may_hide_and_never_below_nothing():
    zero = b.found("under", b.nothing("nitrate", "nitrate-card", -1))
    assert likely(zero, (), b.AS_OF) == (0.0, zero.latest.method.lowest)
    assert likely(nitrate(trend=Trend(-9, -20, -5, 6, b.day(-40))), (), b.AS_OF)[0] == 0


@pytest.mark.parametrize(
    "finding",
    [
        b.found("cannot tell", b.read("nitrate", "nitrate-card", 10, -1,
                                      doubt=b.Doubt("jump", b.text("x")))),
        nitrate(stale=True),
        b.found("over", b.above("nitrate", "nitrate-card", 100, -1)),
    ],
    ids=["doubted", "old", "more than the test can say"],
)  # fmt: skip
def test_nothing_is_expected_from_what_is_not_known(finding):
    assert likely(finding, (), b.AS_OF) is None


def test_more_than_the_top_is_no_number():
    assert math.isinf(b.above("nitrate", "nitrate-card", 100, -1).high)
