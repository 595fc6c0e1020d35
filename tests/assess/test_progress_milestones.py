"""What a tank has come to, and in which week: built from results and looks.

Weeks are worked by hand: a tank filled 98 days ago and tested 77 days ago was tested
21 days after filling, in week 3.
"""

from datetime import timedelta

import pytest
from made_histories import REFERENCE, course, track
from made_tanks import AS_OF, ago, look, make_tank, result, series, work

from fleet.assess.progress_course import band_visits, run_in_band, week_of
from fleet.assess.progress_milestones import MILESTONES, next_of
from fleet.records.mentoring import MilestoneSeen

DRY = {"rock": "dry", "livestock": "mixed coral", "fish": 2}
CYCLE = (
    *series("ammonia", (91, 2), (84, 1), (77, 0), (70, 0), (63, 0)),
    *series("nitrite", (91, 0), (84, 2), (77, 5), (70, 2), (63, 0), (56, 0)),
)


def seen(tank, *args, **more):
    return {step.key: step for step in course(tank, *args, **more).milestones}


def test_the_usual_course():
    steps = seen(
        make_tank(98, **DRY),
        (
            *CYCLE,
            *series("nitrate", (84, 0), (63, 20), (56, 10), (49, 0), (42, 5)),
        ),
        (
            look(84, "clear"), look(56, "brown film"), look(49, "green film"),
            look(42, "clear"), look(35, "clear"), look(14, "clear", "coralline"),
        ),
    )  # fmt: skip
    weeks = {key: step.week for key, step in steps.items()}
    assert weeks == {
        "ammonia-gone": 3,  # day 21
        "nitrite-gone": 5,  # day 35
        "nitrate-seen": 5,
        "flat-zero": 7,  # day 49
        "films": 6,  # day 42
        "films-gone": 8,  # day 56
        "coralline": 12,  # day 84
        "in-band": None,
    }
    # It came about between two visits, and both are kept.
    assert (steps["films"].after, steps["films"].on) == (ago(84), ago(56))


@pytest.mark.parametrize("days, week", [(0, 1), (1, 1), (7, 1), (8, 2), (14, 2)])
def test_the_first_seven_days_are_week_one(days, week):
    assert week_of(ago(98), ago(98) + timedelta(days)) == week


def test_one_zero_between_two_peaks_is_not_the_end():
    steps = seen(
        make_tank(98, **DRY),
        series("ammonia", (91, 2), (84, 0), (77, 1), (70, 0), (63, 0)),
    )
    assert steps["ammonia-gone"].on == ago(70)


def test_nitrite_that_has_not_risen_yet_is_not_gone():
    steps = seen(
        make_tank(98, **DRY),
        (*series("ammonia", (91, 2), (84, 1)), *series("nitrite", (91, 0), (84, 0))),
    )
    assert steps["nitrite-gone"].on is None
    assert steps["nitrite-gone"].watched_until == ago(84)


def test_all_zeros_where_nothing_was_fed_is_no_finished_cycle():
    steps = seen(
        make_tank(42, rock="dry", livestock="none yet", fish=0),
        (
            *series("ammonia", (35, 0), (14, 0), (7, 0)),
            *series("nitrate", (35, 0), (7, 0)),
        ),
    )
    assert not any(step.on for step in steps.values())
    assert steps["ammonia-gone"].watched_until == ago(7)


def test_an_added_salt_of_ammonia_counts_as_a_beginning():
    steps = seen(
        make_tank(42, rock="dry", livestock="none yet", fish=0),
        series("ammonia", (35, 0), (14, 0), (7, 0)),
        log=(work(20, "dose", "ammonium chloride", 1, "g"),),
    )
    assert steps["ammonia-gone"].on == ago(14)


def test_a_later_accident_does_not_undo_the_cycle():
    steps = seen(make_tank(98, **DRY), (*CYCLE, *series("ammonia", (21, 2), (14, 0))))
    assert steps["ammonia-gone"].on == ago(77)


def test_the_day_the_keeper_noted_counts_where_tests_came_later():
    steps = seen(make_tank(98, cycled=80, **DRY), series("ammonia", (63, 0), (56, 0)))
    step = steps["ammonia-gone"]
    assert (step.on, step.week, step.noted) == (ago(80), 3, True)
    assert steps["nitrite-gone"].noted


def test_nitrate_beside_nitrite_is_not_seen_yet():
    # A colour test of nitrate reads nitrite too: the result is an upper limit.
    doubtful = result("nitrate", 70, 40, upper_limit_only=True)
    steps = seen(make_tank(98, **DRY), (doubtful, *series("nitrate", (56, 10))))
    assert steps["nitrate-seen"].on == ago(56)


def test_a_zero_before_the_end_of_the_cycle_is_no_flat_zero():
    steps = seen(make_tank(98, **DRY), (*CYCLE, *series("nitrate", (91, 0), (84, 0))))
    assert steps["flat-zero"].on is None


def test_a_zero_by_a_test_that_cannot_tell_is_no_flat_zero():
    coarse = result("nitrate", 40, 0)
    coarse = coarse._replace(
        high=12.5, method=coarse.method.__class__(
            "coarse", "nitrate", "card", 12.5, 12.5, None, None, 100.0
        )
    )  # fmt: skip
    steps = seen(make_tank(98, **DRY), (*CYCLE, coarse))
    assert steps["flat-zero"].on is None
    assert steps["flat-zero"].watched_until is None


def test_films_that_come_back_are_not_gone():
    steps = seen(
        make_tank(98, **DRY),
        looks=(
            look(56, "brown film"), look(49, "clear"), look(42, "green film"),
            look(7, "clear"),
        ),
    )  # fmt: skip
    assert steps["films"].on == ago(56)
    assert steps["films-gone"].on is None


def test_a_step_that_was_there_at_a_late_first_look_has_no_week():
    steps = seen(make_tank(98, **DRY), looks=(look(14, "coralline"),))
    assert steps["coralline"].on == ago(14)
    assert steps["coralline"].week is None


def test_no_look_and_no_test_is_neither_there_nor_not():
    steps = seen(make_tank(98, **DRY))
    assert all(step == MilestoneSeen(key) for key, step in steps.items())


def test_without_a_day_of_filling_there_are_no_weeks():
    made = course(make_tank(None, **DRY), CYCLE)
    assert made.week is None
    assert made.of("ammonia-gone").on == ago(77)
    assert made.of("ammonia-gone").week is None


# -------------------------------------------------------------- four weeks in band


def fine(*days, nitrate=8.0, phosphate=0.06):
    """Results of a laboratory and a photometer, in the band of a mixed tank."""
    return (
        *series("nitrate", *((d, nitrate) for d in days), method="fine nitrate"),
        *series("phosphate", *((d, phosphate) for d in days)),
    )


OLD = {"rock": "dry", "livestock": "mixed coral", "fish": 5, "cycled": 300}


def kept(*groups, **more):
    tests = tuple(m for group in groups for m in group)
    made = track(make_tank(400, **OLD), tests, **more)
    visits = band_visits(made)
    return made, [visit.in_band for visit in visits], run_in_band(visits, REFERENCE)


def test_four_weeks_of_visits_in_band_count():
    made, words, run = kept(fine(35, 28, 21, 14, 7))
    assert words == [True] * 5
    assert run[0].on == ago(35)
    steps = {s.key: s for s in course(make_tank(400, **OLD), fine(35, 28, 21, 14, 7))
             .milestones}  # fmt: skip
    assert steps["in-band"].on == ago(7)  # 28 days after the first
    assert steps["in-band"].after == ago(14)


@pytest.mark.parametrize(
    "tests, why",
    [
        (fine(28, 21, 14, 7), "three weeks"),
        (fine(35, 28, 7), "a gap of three weeks"),
        ((*fine(35, 28, 14, 7), *fine(21, nitrate=40)), "one visit over the band"),
        ((*fine(35, 28, 14, 7), *fine(21, phosphate=0)), "one visit at zero"),
        (fine(35, 28, 21, 14, 7)[:5], "phosphate was never tested"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_less_than_that_does_not(tests, why):
    made = course(make_tank(400, **OLD), tests)
    assert made.of("in-band").on is None, why


def test_a_test_that_cannot_tell_is_neither_in_nor_out():
    tests = (
        *series("nitrate", (14, 8), (7, 8), method="fine nitrate"),
        *series("phosphate", (14, 0), (7, 0), method="phosphate card"),
    )
    made = course(make_tank(400, **OLD), tests)
    assert [visit.in_band for visit in made.visits] == [None, None]
    assert made.of("in-band").watched_until is None


def test_a_trace_is_enough_in_the_ugly_phase():
    looks = tuple(look(days, "brown film") for days in (40, 35, 28, 21, 14, 7))
    young = {"rock": "dry", "livestock": "mixed coral", "fish": 2, "cycled": 60}
    made = course(
        make_tank(98, **young),
        fine(35, 28, 21, 14, 7, nitrate=1, phosphate=0.04),
        looks,
    )
    assert {span.stage for span in made.spans} >= {"ugly phase"}
    assert made.of("in-band").on == ago(7)
    assert made.in_band_since == ago(35)


# ----------------------------------------------------------- what the tank is like


@pytest.mark.parametrize(
    "facts, log, kind, seeded",
    [
        ({"rock": "dry"}, (), "new", False),
        ({"rock": "man-made"}, (), "new", False),
        ({"rock": "cured live"}, (), "cured live", True),
        ({"rock": "mixed"}, (), "mixed", True),
        ({}, (), "", False),
        ({"rock": "dry"}, (work(97, "seeding", "a cup of sand"),), "new", True),
        ({"rock": "dry"}, (work(97, "seeding", "bottle"),), "new", False),
        ({"rock": "dry"}, (work(20, "seeding", "a cup of sand"),), "new", False),
    ],
)
def test_kind_of_rock_and_living_seed(facts, log, kind, seeded):
    made = course(make_tank(98, **facts), log=log)
    assert (made.rock, made.seeded) == (kind, seeded)


def test_stages_follow_one_another_and_end_where_nobody_looked():
    made = course(
        make_tank(98, **DRY),
        CYCLE,
        (look(63, "clear"), look(49, "brown film"), look(42, "brown film")),
    )
    assert [span.stage for span in made.spans] == [
        "cycling", "just cycled", "ugly phase",
    ]  # fmt: skip
    assert made.spans[0].since == ago(98)
    assert made.spans[-1].until == ago(42 - 21)  # looks and tests are old after 21 d
    for before, after in zip(made.spans, made.spans[1:], strict=False):
        assert before.until == after.since


def steps_with(*there, unseen=()):
    return tuple(
        MilestoneSeen(key, on=AS_OF, watched_until=AS_OF)
        if key in there
        else MilestoneSeen(key, watched_until=None if key in unseen else AS_OF)
        for key in MILESTONES
    )


@pytest.mark.parametrize(
    "there, unseen, following",
    [
        ((), (), "ammonia-gone"),
        (("ammonia-gone",), (), "nitrite-gone"),
        (("ammonia-gone", "nitrite-gone", "nitrate-seen"), (), "films"),
        (("nitrate-seen",), ("ammonia-gone", "nitrite-gone"), "films"),
        (("ammonia-gone", "nitrite-gone", "nitrate-seen", "films"), (), "films-gone"),
        # A tank may never have films, and nobody waits for a flat zero.
        (("ammonia-gone", "nitrite-gone", "nitrate-seen", "coralline"), (), "in-band"),
        (set(MILESTONES) - {"flat-zero"}, (), ""),
    ],
)
def test_what_comes_next(there, unseen, following):
    assert next_of(steps_with(*there, unseen=unseen)) == following


def test_an_old_tank_is_not_told_to_wait_for_what_came_before_its_first_visit():
    made = course(make_tank(400, **OLD), fine(14, 7, nitrate=0), (look(7, "clear"),))
    assert made.of("nitrate-seen").on is None
    assert made.next == "coralline"
