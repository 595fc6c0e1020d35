"""What is usual, held against a published survival example and another library."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_histories import REFERENCE, waiting_course

from fleet.assess import progress_normal
from fleet.assess.progress_normal import (
    Kind,
    all_behind,
    all_usual,
    kinds_of,
    usual_for,
    usual_of,
    week_range,
)
from fleet.records.mentoring import UsualWeek
from fleet.science.survival import kaplan_meier

SOME = settings(max_examples=40)

# Freireich et al. (1963), Blood 21, 699: weeks in remission of 21 patients under
# 6-mercaptopurine, the data set of survival textbooks (from memory); here each
# patient is a tank, a relapse its first coralline.
RELAPSED = [6, 6, 6, 7, 10, 13, 16, 22, 23]
LAST_SEEN = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]


def courses(*pairs, **facts):
    return [
        waiting_course(number, week, reached, **facts)
        for number, (week, reached) in enumerate(pairs)
    ]


def published():
    return courses(
        *((week, True) for week in RELAPSED), *((week, False) for week in LAST_SEEN)
    )


def test_shares_by_week_are_those_the_textbook_prints():
    # Kleinbaum & Klein, Survival Analysis, 3rd ed. (2012), table 2.4 (from memory):
    # share still in remission, four decimals.
    printed = {
        6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482
    }  # fmt: skip
    usual = usual_of(published(), "coralline", Kind(), REFERENCE)
    assert (usual.tanks, usual.reached) == (21, 9)
    share = {week.week: week.share for week in usual.weeks}
    for week, waiting in printed.items():
        assert 1 - share[week] == pytest.approx(waiting, abs=0.00005)
    assert share[5] == 0
    assert share[12] == share[10]


def test_middle_week_is_the_one_the_textbook_prints():
    # The same book: median remission of this group 23 weeks (from memory).
    usual = usual_of(published(), "coralline", Kind(), REFERENCE)
    assert usual.half.week == 23
    assert usual.half.earliest < 23
    assert usual.most is None  # three in four had not relapsed by the end


@SOME
@given(
    pairs=st.lists(
        st.tuples(st.integers(1, 30), st.booleans()), min_size=5, max_size=25
    )
)
def test_every_week_agrees_with_an_independent_library(pairs):
    # lifelines 0.30, log-log limits at 90 %. Tolerance 1e-6.
    from lifelines import KaplanMeierFitter  # slow to load: only here

    usual = usual_of(courses(*pairs), "coralline", Kind(), REFERENCE)
    if not any(reached for _, reached in pairs):
        assert all(week.share == 0 for week in usual.weeks)
        return
    fit = KaplanMeierFitter(alpha=0.10).fit(
        [week for week, _ in pairs], [reached for _, reached in pairs]
    )
    first = min(week for week, reached in pairs if reached)
    limits = fit.confidence_interval_survival_function_
    for week in usual.weeks:
        waiting = float(fit.survival_function_at_times(week.week).iloc[0])
        assert 1 - week.share == pytest.approx(waiting, abs=1e-6)
        if week.week >= first and waiting > 0:
            low, high = limits[limits.index <= week.week].iloc[-1]
            assert week.low == pytest.approx(1 - high, abs=1e-6)
            assert week.high == pytest.approx(1 - low, abs=1e-6)


def test_nothing_is_shown_from_four_tanks():
    assert usual_of(courses(*[(5, True)] * 4), "coralline", Kind(), REFERENCE) is None
    assert all_usual(courses(*[(5, True)] * 4), REFERENCE) == ()
    assert (
        usual_of(courses(*[(5, True)] * 5), "coralline", Kind(), REFERENCE).tanks == 5
    )


def test_nothing_is_shown_of_weeks_that_too_few_were_watched():
    # Five to week 4, then one there and three watched on: of four it is known.
    made = courses((3, True), (4, False), (9, False), (9, False), (9, False))
    usual = usual_of(made, "coralline", Kind(), REFERENCE)
    assert [week.week for week in usual.weeks] == [1, 2, 3, 4]
    assert [week.tanks for week in usual.weeks] == [5, 5, 5, 5]


def test_tanks_nobody_watched_are_not_counted():
    made = courses(*[(5, True)] * 6)
    assert usual_of(made, "films", Kind(), REFERENCE) is None


def test_range_of_a_week_comes_from_the_limits():
    weeks = (
        UsualWeek(1, 0.2, 0.1, 0.5, 9), UsualWeek(2, 0.5, 0.3, 0.7, 9),
        UsualWeek(3, 0.6, 0.5, 0.8, 9),
    )  # fmt: skip
    assert week_range(weeks, 0.5) == (2, 1, 3)
    assert week_range(weeks, 0.6) == (3, 2, None)
    assert week_range(weeks, 0.7) is None


# ------------------------------------------------------------------------- kinds


def two_kinds():
    return [
        *courses(*[(4, True)] * 6, rock="new", seeded=False),
        *[waiting_course(20 + n, 2, True, rock="mixed", seeded=True) for n in range(5)],
        *[waiting_course(30 + n, 3, True, rock="none") for n in range(2)],
    ]


def test_kinds_that_hold_the_same_tanks_are_one():
    kinds = kinds_of(two_kinds())
    assert kinds == (
        Kind(), Kind("", True), Kind("", False), Kind("new"), Kind("none"),
    )  # fmt: skip


def test_a_tank_is_held_beside_its_narrowest_kind_with_tanks_enough():
    made = two_kinds()
    usual = all_usual(made, REFERENCE)
    assert {(u.rock, u.seeded, u.tanks) for u in usual} == {
        ("", None, 13), ("", True, 5), ("", False, 8), ("new", None, 6),
    }  # fmt: skip
    (mine,) = usual_for(made[0], usual)
    assert (mine.rock, mine.half.week) == ("new", 4)
    (bare,) = usual_for(made[-1], usual)  # two tanks without rock are too few
    assert (bare.rock, bare.seeded) == ("", False)


# ------------------------------------------------------------------------ behind


def test_a_tank_without_what_nearly_all_had_is_behind():
    made = courses(*[(10, True)] * 12, (20, False))
    *others, (behind,) = all_behind(made, REFERENCE)
    assert (behind.milestone, behind.week) == ("coralline", 20)
    assert behind.share == 1
    assert behind.usual.tanks == 12  # the others alone
    assert others == [()] * 12


@pytest.mark.parametrize(
    "pairs, why",
    [
        ([(10, True)] * 4 + [(20, False)], "four others are too few"),
        ([(10, True)] * 7 + [(30, False)] * 3 + [(20, False)], "three more wait"),
        ([(10, True)] * 12 + [(9, False)], "it was last looked at before"),
        ([(week, True) for week in (5, 10, 15, 19, 20)] + [(20, False)], "not sure"),
    ],
)
def test_nobody_is_called_behind_without_grounds(pairs, why):
    made = courses(*pairs)
    assert all_behind(made, REFERENCE)[-1] == (), why


KINDS = st.tuples(st.sampled_from(["new", "mixed", ""]), st.booleans())


@SOME
@given(
    there=st.lists(st.tuples(st.integers(1, 12), KINDS), min_size=20, max_size=40),
    waiting=st.lists(st.tuples(st.integers(8, 24), KINDS), min_size=1, max_size=4),
)
def test_each_is_held_against_the_others_alone(there, waiting):
    """Against an estimate made for each tank anew, from the tanks but itself."""
    tanks = [(True, *tank) for tank in there] + [(False, *tank) for tank in waiting]
    made = [
        waiting_course(number, week, reached, rock=rock, seeded=seeded)
        for number, (reached, week, (rock, seeded)) in enumerate(tanks)
    ]
    for course, behind in zip(made, all_behind(made, REFERENCE), strict=True):
        for late in behind:
            kind = Kind(late.usual.rock, late.usual.seeded)
            others = [o for o in made if o is not course and kind.holds(o)]
            assert late.usual == usual_of(others, "coralline", kind, REFERENCE)


def test_tanks_that_wait_alike_share_one_estimate(monkeypatch):
    estimates = []

    def counted(times, reached):
        estimates.append(len(times))
        return kaplan_meier(times, reached)

    monkeypatch.setattr(progress_normal, "kaplan_meier", counted)
    made = courses(*[(10, True)] * 300, *[(12, False)] * 9, *[(20, False)] * 6)
    behind = all_behind(made, REFERENCE)
    assert sum(map(len, behind)) == 15
    # Two weeks of the last look, at most four kinds that a tank is of.
    assert len(estimates) <= 2 * 4
    assert set(estimates) == {314}


def test_nobody_is_behind_in_a_flat_zero():
    made = courses(*[(10, True)] * 12, (20, False), key="flat-zero")
    assert all_behind(made, REFERENCE)[-1] == ()
