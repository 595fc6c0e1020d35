"""What goes in, out and missing, with values worked by hand.

Feed: Timmons & Ebeling, Recirculating Aquaculture (from memory), total ammonia
nitrogen = feed x protein x 0.092; nitrate is 4.4268 times the nitrogen, phosphate
3.0661 times the phosphorus (IUPAC abridged standard atomic weights, 2022).
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_tanks import AS_OF, ago, make_tank, measured, result, series, work

from fleet.assess.budget import budgets_of
from fleet.assess.equipment import running, taken_off
from fleet.assess.evidence import Feed, difference, feed_on
from fleet.assess.supplied import feed_over
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.wording import Wording

REFERENCE = load_reference()
HOUSE = Settings()
WORDS = Wording(REFERENCE, HOUSE)


def budgets(tank, tests=(), log=(), shelf=(), house=HOUSE):
    found = budgets_of(tank, measured(tests), log, shelf, house, REFERENCE, AS_OF)
    return {budget.parameter: budget for budget in found}


# ---------------------------------------------------------------------- feed


def test_a_gram_of_feed_in_300_litres():
    # 1 g x 0.45 x 0.092 = 0.0414 g N; / 300 L = 0.138 mg/L N; x 4.4268 = 0.611 mg/L
    # NO3 a day, 4.276 a week. 1 g x 0.012 x 0.5 = 6 mg P; / 300 L x 3.0661 = 0.0613
    # mg/L PO4 a day, 0.429 a week.
    tank = make_tank(100, volume_l=300.0, feed_g_day=1.0, protein=0.45)
    found = budgets(tank)
    assert found["nitrate"].input_mg_l_week == pytest.approx(4.276, abs=0.001)
    assert found["phosphate"].input_mg_l_week == pytest.approx(0.429, abs=0.001)


def test_without_volume_there_is_no_budget():
    assert budgets(make_tank(100, volume_l=None, feed_g_day=1.0)) == {}


def test_unknown_feed_leaves_the_uptake_open():
    tests = series("nitrate", (21, 10), (0, 10))
    found = budgets(make_tank(100), tests)["nitrate"]
    assert found.input_mg_l_week is None
    assert (found.taken_up_mg_l_week, found.low, found.high) == (None, None, None)
    assert found.measured_mg_l_week == 0
    assert found.note.key == "budget.feed-unknown"


def test_feed_reckoned_from_fish_is_wide_and_says_so():
    # Two fish at 0.25 g a day each: 0.5 g in 200 L, 45 % protein assumed:
    # 0.5 x 0.45 x 0.092 / 200 x 1000 x 4.4268 x 7 = 3.207 mg/L a week.
    tests = series("nitrate", (21, 20), (0, 20), method="fine nitrate")
    found = budgets(make_tank(100, fish=2), tests)["nitrate"]
    assert found.input_mg_l_week == pytest.approx(3.207, abs=0.001)
    assert found.high - found.low > 2 * found.input_mg_l_week
    assert "reckoned from the number of fish" in WORDS.plain(found.note)


def test_logged_feed_change_splits_the_span():
    # 28 days: 1 g for 14, then 3 g for 14: 2 g a day on average.
    tank = make_tank(100, feed_g_day=1.0)
    log = (work(14, "feed change", "", 3.0, "g/day"),)
    assert feed_over(tank, log, REFERENCE, ago(28), AS_OF) == Feed(2.0, noted=True)


def test_sheet_brought_up_to_date_says_nothing_of_before():
    tank = make_tank(100, feed_g_day=3.0)
    log = (work(14, "feed change", "", 3.0, "g/day"),)
    assert feed_on(tank, log, REFERENCE, ago(20), AS_OF) is None
    assert feed_on(tank, log, REFERENCE, ago(3), AS_OF) == Feed(3.0, noted=True)


def test_change_of_feed_in_per_cent_is_not_a_rate():
    tank = make_tank(100, feed_g_day=1.0)
    log = (work(14, "feed change", "", 50.0, "%"),)
    assert feed_on(tank, log, REFERENCE, AS_OF, AS_OF) == Feed(1.0, noted=True)


# -------------------------------------------------------------------- uptake


def test_fed_tank_that_stays_level_takes_up_what_it_is_fed():
    # In 4.276 a week (above), nothing out, level 10 to 10 by a laboratory +/- 0.1:
    # taken up 4.276, feed +/- 50 % and sqrt(2) x 0.1 over 3 weeks on either side.
    tank = make_tank(400, volume_l=300.0, feed_g_day=1.0, protein=0.45)
    tests = series("nitrate", (21, 10), (14, 10), (0, 10), method="fine nitrate")
    found = budgets(tank, tests)["nitrate"]
    assert found.weeks == pytest.approx(3.0)
    assert found.taken_up_mg_l_week == pytest.approx(4.276, abs=0.001)
    assert found.low == pytest.approx(4.276 / 2 - 0.1414 / 3, abs=0.001)
    assert found.high == pytest.approx(4.276 * 1.5 + 0.1414 / 3, abs=0.001)
    assert found.note.key == "budget.taken-up"


def test_two_zeros_by_a_colour_test_leave_room():
    # Anything in 0..2 twice: the change over 3 weeks lies within +/- 2.
    tank = make_tank(60, volume_l=300.0, feed_g_day=1.0, protein=0.45)
    tests = series("nitrate", (21, 0), (0, 0))
    found = budgets(tank, tests)["nitrate"]
    assert found.measured_mg_l_week == 0
    assert found.low == pytest.approx(4.276 / 2 - 2 / 3, abs=0.001)
    assert found.high == pytest.approx(4.276 * 1.5 + 2 / 3, abs=0.001)


def test_water_changes_take_out_their_share():
    # 20 % at 10 mg/L with change water of 1 mg/L: 0.2 x 9 = 1.8, twice in 3 weeks.
    house = Settings(change_water=(("nitrate", 1.0),))
    tank = make_tank(400, feed_g_day=0.0, livestock="none yet")
    tests = series("nitrate", (21, 10), (14, 10), (7, 10), (0, 10))
    log = (
        work(14, "water change", "", 20, "%"),
        work(7, "water change", "", 40, "L"),  # of 200 L
        work(0, "water change", "", 50, "%"),  # after the last test: not seen yet
    )
    found = budgets(tank, tests, log, house=house)["nitrate"]
    assert found.removed_by_change_mg_l_week == pytest.approx(2 * 1.8 / 3)
    # Nothing came in, the level held, and changes took 1.2 a week: 1.2 came from
    # somewhere, so uptake is -1.2.
    assert found.taken_up_mg_l_week == pytest.approx(-1.2)


def test_doses_count_by_their_salt():
    # 1 g of sodium nitrate, 62.004/84.994 = 72.95 % NO3, in 200 L: 3.6475 mg/L.
    # 1 g of ammonium chloride ends as nitrate: 0.2619 g N in 200 L = 1.3095 mg/L N,
    # x 4.4268 = 5.797 mg/L NO3.
    log = (
        work(14, "dose", "Sodium nitrate", 1, "g"),
        work(13, "dose", "NH4Cl", 1, "g"),
    )
    found = budgets(make_tank(60, feed_g_day=0.0), (), log)["nitrate"]
    assert found.added_mg_l_week == pytest.approx((3.6475 + 5.797) / 4, abs=0.001)


def test_upper_limits_and_total_phosphorus_are_no_levels():
    tests = (
        *series("nitrate", (21, 10)),
        result("nitrate", 0, 40, upper_limit_only=True),
    )
    assert budgets(make_tank(60), tests)["nitrate"].measured_mg_l_week is None


def test_readings_too_close_make_no_rate():
    tests = series("nitrate", (2, 0), (0, 5))
    found = budgets(make_tank(60, feed_g_day=1.0), tests)["nitrate"]
    assert found.measured_mg_l_week is None
    assert found.taken_up_mg_l_week is None


def test_feed_that_cannot_show_is_named_with_its_number():
    # 0.1 g a day of 45 % in 200 L: 0.6415 mg/L a week, at most half as much again,
    # 0.96: less than the 2 mg/L a colour test tells from none.
    tank = make_tank(60, feed_g_day=0.1, protein=0.45)
    note = budgets(tank, series("nitrate", (7, 0), (0, 0)))["nitrate"].note
    assert note.key == "budget.feed-too-little"
    assert dict(note.facts)["most"] == pytest.approx(0.962, abs=0.001)
    assert "feed alone cannot raise the reading" in WORDS.plain(note)


# --------------------------------------------------------------- log and shelf


def test_the_log_beats_the_sheet_for_what_runs():
    tank = make_tank(60, equipment=("filter roller", "skimmer"))
    log = (
        work(40, "media in", "GFO 200 g"),
        work(30, "equipment out", "fleece roller"),
        work(10, "dose", "vodka", 2, "mL"),
        work(-2, "equipment out", "skimmer"),
    )
    assert running(tank, log, REFERENCE, AS_OF) == {
        "skimmer": None,
        "phosphate media": ago(40),
        "organic carbon dosing": ago(10),
    }
    out = (*log, work(5, "media out"))
    assert "phosphate media" not in running(tank, out, REFERENCE, AS_OF)
    assert taken_off(out, AS_OF) == {
        "filter roller": ago(30),
        "phosphate media": ago(5),
    }


@pytest.mark.parametrize("written", ["GFO", "GFO 200 g", "200 g GFO", "new gfo, 200 g"])
def test_media_are_known_however_the_amount_is_written(written):
    log = (work(4, "media in", written),)
    found = running(make_tank(60), log, REFERENCE, AS_OF)
    assert found == {"phosphate media": ago(4)}


def test_difference_of_two_normal_results_adds_as_squares():
    before = result("nitrate", 7, 10, "fine nitrate")
    after = result("nitrate", 0, 13, "fine nitrate")
    best, low, high = difference(before, after)
    assert (best, low, high) == pytest.approx((3, 3 - 0.1 * 2**0.5, 3 + 0.1 * 2**0.5))


@settings(max_examples=60)
@given(
    st.floats(0, 8),
    st.floats(10, 2000),
    st.lists(st.floats(0, 90), min_size=2, max_size=5),
    st.lists(st.floats(0.01, 10), max_size=3),
)
def test_budget_closes(feed, volume, values, doses):
    # In + added - removed - measured - taken up is nothing, whatever went on.
    tank = make_tank(400, volume_l=volume, feed_g_day=feed)
    tests = series("nitrate", *[(7 * i, v) for i, v in enumerate(values)])
    log = tuple(work(5, "dose", "NaNO3", grams, "g") for grams in doses)
    found = budgets(tank, tests, log)["nitrate"]
    rest = (
        found.input_mg_l_week
        + found.added_mg_l_week
        - found.removed_by_change_mg_l_week
        - found.measured_mg_l_week
    )
    assert found.taken_up_mg_l_week == pytest.approx(rest, abs=1e-9)
    assert found.low <= found.taken_up_mg_l_week <= found.high
