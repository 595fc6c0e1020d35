import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import dilution

LEVEL = st.floats(0, 200)
SHARE = st.floats(0.01, 0.99)


@given(now=LEVEL, fill=LEVEL, share=SHARE)
def test_fraction_undoes_one_change(now, fill, share):
    if abs(now - fill) < 1e-3:
        return
    goal = dilution.after_changes(now, share, fill)
    found = dilution.dilution_fraction(now, goal, fill)
    assert found == pytest.approx(share, abs=1e-9)


@given(now=LEVEL, fill=LEVEL, share=SHARE, volume=st.floats(10, 5000))
def test_mass_is_kept(now, fill, share, volume):
    # What leaves with the old water and comes with the new makes the difference.
    after = dilution.after_changes(now, share, fill)
    moved = share * volume * (fill - now)
    assert volume * after == pytest.approx(volume * now + moved, abs=1e-6)


@given(now=st.floats(20, 200), fill=st.floats(0, 5), share=SHARE, goal=st.floats(6, 19))
def test_number_of_changes_is_just_enough(now, fill, share, goal):
    times = dilution.changes_needed(now, goal, fill, share)
    assert dilution.after_changes(now, share, fill, times) <= goal * (1 + 1e-6)
    assert dilution.after_changes(now, share, fill, times - 1) > goal


@given(now=st.floats(20, 200), fill=st.floats(0, 5))
def test_continuous_exchange_is_the_limit_of_many_small_changes(now, fill):
    exchanged = dilution.continuous_exchange(now, 12, fill)
    assert dilution.after_continuous_exchange(now, exchanged, fill) == pytest.approx(12)
    many = dilution.after_changes(now, exchanged / 1e6, fill, 1_000_000)
    assert many == pytest.approx(12, rel=1e-4)


def test_half_twice_is_a_quarter_not_three_changes():
    # Worked by hand: 80 to 40 to 20.
    assert dilution.changes_needed(80, 20, 0, 0.5) == 2
    assert dilution.changes_needed(80, 80, 0, 0.5) == 0
    assert dilution.changes_needed(80, 0, 0, 1) == 1


def test_regular_changes_settle_where_they_take_out_what_comes_in():
    level = 0.0
    for _ in range(400):
        level = dilution.after_changes(level, 0.1, 2) + 5
    assert level == pytest.approx(dilution.long_run_level(5, 0.1, 2))


def test_richer_new_water_raises():
    # Worked by hand: 2 mg/L and a quarter of 10 mg/L water.
    assert dilution.dilution_fraction(2, 4, 10) == 0.25


@pytest.mark.parametrize(
    "ask",
    [
        lambda: dilution.dilution_fraction(40, 5, 10),
        lambda: dilution.dilution_fraction(10, 12, 0),
        lambda: dilution.dilution_fraction(20, 10, 20),
        lambda: dilution.dilution_fraction(20, float("nan"), 0),
        lambda: dilution.changes_needed(40, 5, 10, 0.2),
        lambda: dilution.changes_needed(40, 0, 0, 0.2),
        lambda: dilution.changes_needed(40, 20, 0, 0),
        lambda: dilution.changes_needed(40, 20, 0, 1.2),
        lambda: dilution.continuous_exchange(40, 0, 0),
        lambda: dilution.continuous_exchange(40, 5, 10),
    ],
)
def test_the_impossible_is_refused(ask):
    with pytest.raises(ValueError, match="cannot bring|never quite|changes nothing"):
        ask()


def test_new_water_equal_to_the_goal_needs_all_of_it():
    assert dilution.dilution_fraction(40, 10, 10) == 1
    assert dilution.dilution_fraction(20, 20, 20) == 0
