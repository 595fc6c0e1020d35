"""A tank's own drift, logged work taken out, and when it reaches an edge."""

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_tanks import AS_OF, METHODS, ago, make_tank, result, series, work

from fleet.assess.trends import course_of, crossing_of, drift_of, heading_of
from fleet.records import Band, Settings, Trend
from fleet.reference import load_reference

REFERENCE = load_reference()
HOUSE = Settings(change_water=(("nitrate", 2.0),))
TANK = make_tank(400)
FINE = "fine nitrate"


def drift(tests, log=(), tank=TANK, house=HOUSE, shelf=()):
    log = tuple(sorted(log, key=lambda done: done.on))
    return drift_of(tests, tank, log, house, REFERENCE, AS_OF, shelf)


def nitrate(*pairs, method=FINE):
    return series("nitrate", *pairs, method=method)


FALLING = nitrate((28, 12), (21, 11), (14, 10), (7, 9), (0, 8))


# --------------------------------------------------------------------------- the slope


def test_a_steady_fall_is_its_own_slope():
    trend = drift(FALLING)
    assert trend.per_week == pytest.approx(-1)
    assert trend.low <= -1 <= trend.high < 0
    assert (trend.visits, trend.since) == (5, ago(28))
    assert not trend.corrected_for_work


def test_the_slope_is_that_of_theil_and_sen():
    # scipy.stats.theilslopes: uneven visits, one wild value that moves it little.
    stats = pytest.importorskip("scipy.stats")
    days, values = [40, 33, 20, 11, 6, 0], [5.0, 5.4, 5.9, 30.0, 6.9, 7.2]
    trend = drift(nitrate(*zip(days, values, strict=True)))
    expected = stats.theilslopes(values, [-d for d in days], alpha=0.9)
    assert trend.per_week / 7 == pytest.approx(expected.slope, abs=0.01)


@pytest.mark.parametrize("pairs", [(), ((7, 5),), ((7, 5), (0, 6)), ((0, 5), (0, 6))])
def test_no_slope_from_fewer_than_three_visits(pairs):
    assert drift(nitrate(*pairs)) is None


def test_no_slope_where_nothing_registers():
    zeros = [(n * 7, 0) for n in range(5, -1, -1)]
    assert drift(nitrate(*zeros, method="nitrate")) is None


def test_three_visits_give_a_slope_without_limits():
    trend = drift(nitrate((14, 10), (7, 9), (0, 8)))
    assert trend.per_week == pytest.approx(-1)
    assert (trend.low, trend.high) == (-math.inf, math.inf)


def test_a_fall_to_below_the_limit_is_seen_as_a_fall():
    trend = drift(
        nitrate((28, 20), (21, 15), (14, 10), (7, 0), (0, 0), method="nitrate")
    )
    assert trend.per_week < 0


def test_readings_that_a_card_cannot_tell_apart_show_no_drift():
    trend = drift(nitrate((28, 5), (21, 5), (14, 5), (7, 5), (0, 5), method="nitrate"))
    assert trend.low <= 0 <= trend.high


def test_only_the_last_weeks_count():
    # Eight weeks are looked back, by limits.toml: the steep fall before is not in it.
    before = [(112, 90), (105, 70), (98, 50), (91, 30)]
    trend = drift(nitrate(*before, *((d, 8) for d in (56, 42, 28, 14, 0))))
    assert trend.since == ago(56)
    assert trend.per_week == pytest.approx(0)


def test_only_the_newest_ten_visits_count():
    trend = drift(nitrate(*((day, 8) for day in range(30, -1, -2))))
    assert trend.visits == 10


# ---------------------------------------------------------------------- logged work


def test_a_logged_dose_is_taken_out():
    # 1 g of sodium nitrate (72.95 % NO3) in 200 L is 3.6475 mg/L: without it the tank
    # would have read 10, 9, 8, 7, 6.
    seen = nitrate((28, 10), (21, 9), (14, 8), (7, 7 + 3.6475), (0, 6 + 3.6475))
    trend = drift(seen, [work(10, "dose", "sodium nitrate", 1, "g")])
    assert trend.per_week == pytest.approx(-1, abs=0.01)
    assert trend.corrected_for_work


def test_a_logged_water_change_is_put_back():
    # Half at 2 mg/L: 10 would be 6 (10 - 0.5 x 8), and the tank gains 1 a week.
    seen = nitrate((28, 8), (21, 9), (14, 10), (7, 7), (0, 8))
    trend = drift(seen, [work(14, "water change", amount=50, unit="%")])
    assert trend.per_week == pytest.approx(1, abs=0.01)
    assert trend.corrected_for_work


def test_a_water_change_in_litres_is_a_share_of_the_tank():
    seen = nitrate((28, 8), (21, 9), (14, 10), (7, 7), (0, 8))
    trend = drift(seen, [work(14, "water change", amount=100, unit="L")])
    assert trend.per_week == pytest.approx(1, abs=0.01)


def test_a_visit_tests_before_it_acts():
    # The dose of the last day cannot have been in its own test.
    trend = drift(FALLING, [work(0, "dose", "sodium nitrate", 1, "g")])
    assert not trend.corrected_for_work
    first_day = drift(FALLING, [work(28, "dose", "sodium nitrate", 1, "g")])
    assert first_day.corrected_for_work


@pytest.mark.parametrize(
    "done",
    [
        work(10, "dose", "dipotassium phosphate", 1, "g"),
        work(10, "dose", "some powder", 1, "g"),
        work(10, "water change"),
        work(40, "dose", "sodium nitrate", 1, "g"),
    ],
    ids=["other", "unknown", "no size", "before"],
)
def test_work_of_no_known_size_or_to_something_else_takes_nothing_out(done):
    assert drift(FALLING, [done]) == drift(FALLING)


def test_work_does_not_touch_what_is_no_nutrient():
    seen = series("temperature", (21, 25.0), (14, 25.2), (7, 25.1), (0, 25.3))
    log = [work(10, "water change", amount=50, unit="%")]
    assert drift(seen, log) == drift(seen)


# ------------------------------------------------------------------------------ habits


def course(tests, log):
    log = tuple(sorted(log, key=lambda done: done.on))
    return course_of(drift(tests, log), tests, TANK, log, HOUSE, REFERENCE, AS_OF)


def changes(*days):
    return [work(day, "water change", amount=20, unit="%") for day in days]


LEVEL = nitrate((28, 10), (21, 10), (14, 10), (7, 10), (0, 10))


def test_readings_held_level_by_weekly_changes_head_nowhere():
    # A fifth at 2 mg/L takes 1.6 of 10 a week: the tank itself gains that much.
    weekly = changes(28, 21, 14, 7)
    assert drift(LEVEL, weekly).per_week == pytest.approx(1.6, abs=0.01)
    assert course(LEVEL, weekly).per_week == pytest.approx(0)
    assert crossing(LEVEL, trend=course(LEVEL, weekly)) is None


def test_one_change_is_no_habit():
    assert course(FALLING, changes(14)) == drift(FALLING, changes(14))


def test_doses_are_no_habit():
    # 0.2742 g of sodium nitrate in 200 L are 1 mg/L: without them it falls 1 a week.
    doses = [work(d, "dose", "sodium nitrate", 0.2742, "g") for d in (28, 21, 14, 7)]
    assert course(LEVEL, doses).per_week == pytest.approx(-1, abs=0.01)
    assert crossing(LEVEL, trend=course(LEVEL, doses)).bound == "low"


def test_no_trend_has_no_course():
    assert course(nitrate((7, 10), (0, 10)), changes(7, 3)) is None


# --------------------------------------------- what the readings themselves are doing


def heading(tests, log=()):
    log = tuple(sorted(log, key=lambda done: done.on))
    return heading_of(drift(tests, log), tests, TANK, log, HOUSE, REFERENCE, AS_OF)


def test_level_readings_head_nowhere_whatever_the_tank_itself_does():
    doses = [work(d, "dose", "sodium nitrate", 0.2742, "g") for d in (28, 21, 14, 7)]
    for log in (changes(28, 21, 14, 7), doses, changes(14)):
        assert drift(LEVEL, log).per_week != pytest.approx(0, abs=0.1)
        assert heading(LEVEL, log) is None


def test_a_card_that_swings_between_two_steps_heads_nowhere():
    days = range(98, -1, -7)
    swings = nitrate(*((d, 20 if d % 14 else 40) for d in days), method="nitrate")
    weekly = [work(d, "water change", amount=15, unit="%") for d in days]
    assert drift(swings, weekly).low > 0  # the tank adds what the changes take out
    assert heading(swings, weekly) is None


def test_readings_that_fall_or_rise_keep_their_course():
    assert heading(FALLING) == drift(FALLING)
    weekly = changes(28, 21, 14, 7)
    assert heading(FALLING, weekly) == course(FALLING, weekly)


# -------------------------------------------------------------------------- crossings

BAND = Band("nitrate", 5, 15)


def crossing(tests, band=BAND, trend=None):
    trend = trend or drift(tests)
    return crossing_of(tests[-1], trend, band, REFERENCE, AS_OF)


def test_a_fall_reaches_the_low_edge():
    # 8 now and 1 a week less: 5 in three weeks.
    found = crossing(FALLING)
    assert (found.bound, found.on) == ("low", date(2025, 4, 21))
    assert found.earliest <= found.on <= found.latest


def test_a_rise_reaches_the_high_edge():
    rising = nitrate((28, 8), (21, 9), (14, 10), (7, 11), (0, 12))
    found = crossing(rising)
    assert (found.bound, found.on) == ("high", date(2025, 4, 21))


def test_the_range_is_that_of_the_slope():
    # 3 mg/L to go: at most 1.5 a week, at least 0.5 a week.
    trend = Trend(-1.0, -1.5, -0.5, 5, ago(28))
    found = crossing(FALLING, trend=trend)
    assert (found.earliest, found.latest) == (date(2025, 4, 14), date(2025, 5, 12))


def test_a_slow_end_beyond_the_horizon_has_no_latest_day():
    trend = Trend(-1.0, -1.5, -0.05, 5, ago(28))
    assert crossing(FALLING, trend=trend).latest is None


def test_a_crossing_too_far_off_is_not_spoken_of():
    assert crossing(FALLING, trend=Trend(-0.1, -0.15, -0.05, 5, ago(28))) is None


@pytest.mark.parametrize(
    "trend",
    [
        Trend(-1.0, -2.0, 0.1, 5, ago(28)),  # may be no fall at all
        Trend(-1.0, -math.inf, math.inf, 3, ago(14)),
        Trend(0.0, 0.0, 0.0, 5, ago(28)),
    ],
    ids=["zero inside", "no limits", "level"],
)
def test_a_slope_that_may_be_none_crosses_nothing(trend):
    assert crossing(FALLING, trend=trend) is None


@pytest.mark.parametrize(
    "band",
    [Band("nitrate", None, 15), Band("nitrate", 0, 15), Band("nitrate", 9, 15), None],
    ids=["no edge", "edge at none", "already past", "no band"],
)
def test_there_must_be_an_edge_ahead(band):
    trend = drift(FALLING)
    assert crossing_of(FALLING[-1], trend, band, REFERENCE, AS_OF) is None


def test_from_beyond_the_other_edge_the_way_back_in_is_no_crossing():
    assert crossing(FALLING, band=Band("nitrate", 5, 7)) is None
    rising = nitrate((28, 8), (21, 9), (14, 10), (7, 11), (0, 12))
    assert crossing(rising, band=Band("nitrate", 13, 15)) is None
    assert crossing(rising, band=Band("nitrate", 12, 15)) is not None


def test_a_result_without_a_value_starts_no_line():
    zero = result("nitrate", 0, 0)
    assert crossing_of(zero, drift(FALLING), BAND, REFERENCE, AS_OF) is None


def test_an_overdue_crossing_is_today():
    old = nitrate((49, 11), (42, 10), (35, 9), (28, 8), (21, 7))
    found = crossing(old, band=Band("nitrate", 6, 15))
    assert found.on == found.earliest == AS_OF


# -------------------------------------------------------------------------- properties


@given(
    st.lists(
        st.tuples(st.integers(0, 80), st.floats(0, 80).map(lambda v: round(v, 1))),
        max_size=12,
    )
)
def test_the_slope_lies_between_its_limits(pairs):
    ordered = sorted(pairs, key=lambda pair: -pair[0])
    trend = drift(nitrate(*ordered, method="nitrate"))
    if trend is not None:
        assert trend.low <= trend.per_week <= trend.high
        assert trend.visits >= 3


@given(st.floats(0.1, 5), st.integers(1, 27))
def test_a_dose_moves_no_drift_whenever_it_was_given(grams, days):
    rise = grams * 1000 * 0.7295 / 200
    plain = [(28, 12.0), (21, 11.0), (14, 10.0), (7, 9.0), (0, 8.0)]
    dosed = [(d, v + (rise if d < days else 0)) for d, v in plain]
    log = [work(days, "dose", "sodium nitrate", grams, "g")]
    assert drift(nitrate(*dosed), log).per_week == pytest.approx(-1, abs=0.02)


def test_methods_of_these_tests_are_typical():
    assert METHODS[FINE].accuracy == 0.1
