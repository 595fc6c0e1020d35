"""Who needs the mentor, what to bring, whose sand may help, and a group in numbers."""

from dataclasses import replace

import pytest
from made_histories import HOUSE, REFERENCE, history, named
from made_tanks import AS_OF, CELL, METHODS, ago, look, make_tank, result, series, work

from fleet.assess.progress import progress_of
from fleet.assess.progress_visits import visits_of
from fleet.records import ShelfItem

CORAL = {"rock": "dry", "livestock": "mixed coral", "fish": 4, "feed_g_day": 1.0}
CLEAN = (*series("ammonia", (7, 0), (1, 0)), *series("nitrite", (7, 0), (1, 0)))


def fine(*days):
    return (
        *series("nitrate", *((d, 8) for d in days), method="fine nitrate"),
        *series("phosphate", *((d, 0.06) for d in days)),
    )


def good_looks(*days):
    return tuple(look(days_ago, "clear", "good colour") for days_ago in days)


def healthy(id_="G1", filled=400, **facts):
    """An old tank in its band, looked at and tested every week."""
    weeks = (36, 29, 22, 15, 8, 1)
    log, looks = facts.pop("log", ()), facts.pop("looks", good_looks(*weeks))
    tank = make_tank(filled, cycled=filled - 40, **(CORAL | facts))
    return history(named(tank, id_), fine(*weeks), looks, log)


def stalled(id_="N1", **facts):
    """A new tank whose ammonia stands."""
    tank = make_tank(63, rock="dry", livestock="none yet", fish=0, **facts)
    tests = series("ammonia", *((days, 2) for days in range(1, 63, 7)))
    return history(named(tank, id_), tests, (look(8, "clear"), look(1, "clear")))


def view(*histories, **more):
    shelf = more.pop("shelf", ())
    return progress_of(histories, (), shelf, HOUSE, REFERENCE, AS_OF, **more)


def visit(progress, id_):
    return next((v for v in progress.visits if v.tank.id == id_), None)


def brought(progress, id_):
    return {s.key.removeprefix("progress."): dict(s.facts)
            for s in visit(progress, id_).bring}  # fmt: skip


# ------------------------------------------------------------------------ visits


def test_the_most_urgent_comes_first_and_the_calm_not_at_all():
    gasping = history(
        named(make_tank(300, cycled=250, **CORAL), "A1"), (*fine(8, 1), *CLEAN),
        (look(1, "fish gasping"),),
    )  # fmt: skip
    made = view(healthy(), stalled(), gasping)
    assert [v.tank.id for v in made.visits] == ["A1", "N1"]
    assert made.visits[0].attention == "today"


def test_a_stalled_cycle_is_brought_rubble_and_a_cup_of_sand():
    bring = brought(view(healthy(), stalled()), "N1")
    assert "bring-rubble" in bring
    assert bring["bring-sand"]["tank"] == "G1"
    assert bring["bring-sand"]["week"] == 58  # day 400


def test_no_living_sand_comes_with_an_ammonia_addition_that_it_would_spoil():
    made = view(healthy(), stalled())
    members = [m for group in made.groups for m in group.members]
    (new,) = [m for m in members if m.report.tank.id == "N1"]
    plan = new.report.plan
    check = replace(plan.actions[0], id="dose-ammonia-check")
    tested = replace(plan, actions=(*plan.actions, check))
    new = replace(new, report=replace(new.report, plan=tested))
    (visit,) = visits_of([new], members, REFERENCE)
    keys = {s.key for s in visit.bring}
    assert not keys & {"progress.bring-rubble", "progress.bring-sand"}


def test_a_colour_test_of_phosphate_is_brought_a_photometer():
    tank = named(make_tank(120, cycled=80, **CORAL), "P1")
    tests = (
        *series("nitrate", (8, 8), (1, 8), method="fine nitrate"),
        *series("phosphate", (8, 0), (1, 0), method="phosphate card"),
    )
    made = view(history(tank, tests, good_looks(8, 1)))
    assert brought(made, "P1")["bring-test"] == {
        "parameter": "phosphate", "method": "phosphate-photometer",
    }  # fmt: skip


def test_who_is_silent_is_listed_by_days_and_not_visited_for_it():
    tank = named(make_tank(120, cycled=80, **CORAL), "S1")
    made = view(history(tank, fine(40, 33), good_looks(40, 33)), healthy())
    (member, other) = made.groups[0].members
    assert member.silent_days == 33
    assert other.silent_days is None
    assert visit(made, "S1") is None


def test_nothing_ever_sent_counts_from_filling():
    tank = named(make_tank(20, rock="dry"), "S2")
    (member,) = view(history(tank)).groups[0].members
    assert member.silent_days == 20


# -------------------------------------------------------------- tests further apart


def test_four_calm_weeks_in_band_are_enough_to_test_less():
    (member,) = view(healthy()).groups[0].members
    assert member.report.plan.attention == "steady"
    assert member.course.in_band_since == ago(36)
    assert member.eased_until == ago(1 - 14)


@pytest.mark.parametrize(
    "facts",
    [{"looks": (look(8, "green film"), look(1, "green film"))}, {"filled": 60}],
    ids=["films", "young"],
)
def test_films_or_youth_keep_the_weekly_test(facts):
    (member,) = view(healthy(**facts)).groups[0].members
    assert member.eased_until is None


# ------------------------------------------------------------------- whose sand


@pytest.mark.parametrize(
    "facts",
    [
        {"looks": (look(60, "red mats"), look(1, "clear"))},
        {"looks": (look(60, "brown strings"), look(1, "clear"))},
        {"looks": (look(30, "tissue loss"), look(1, "clear"))},
        {"looks": ()},
        {"log": (work(30, "livestock out", "a wrasse"),)},
        {"log": (work(20, "livestock in", "two gobies"),)},
        {"log": (work(40, "dose", "copper"),)},
        {"notes": "white spot in spring"},
        {"livestock": "quarantine"},
        {"filled": 100},
    ],
    ids=[
        "red mats", "brown strings", "tissue loss", "nobody looked", "a lost animal",
        "new animals", "treated", "sickness in the notes", "quarantine", "too young",
    ],
)  # fmt: skip
def test_a_tank_with_pests_sick_or_new_animals_gives_no_sand(facts):
    bring = brought(view(healthy(**facts), stalled()), "N1")
    assert "bring-sand" not in bring
    assert "bring-no-sand" in bring


def test_a_note_that_only_sounds_like_it_is_no_hindrance():
    facts = {"notes": "rich light, well illuminated; Richard feeds"}
    assert "bring-sand" in brought(view(healthy(**facts), stalled()), "N1")


def test_sand_comes_from_the_most_alike_tank():
    near = healthy("G2", filled=390, place="Hall")
    far = healthy("G3", filled=150, place="Yard")
    made = view(far, near, stalled(place="Hall"))
    assert brought(made, "N1")["bring-sand"]["tank"] == "G2"
    assert brought(made, "N1")["bring-sand"]["same_place"] is True
    # Without a place in common, the one nearest in age.
    made = view(far, near, stalled(place="Loft"))
    assert brought(made, "N1")["bring-sand"]["tank"] == "G3"


def test_the_same_kind_of_animals_goes_before_the_place():
    young = history(
        named(
            make_tank(50, cycled=10, rock="dry", livestock="seahorse", fish=2,
                      place="Hall"),
            "N2",
        ),
        (*CLEAN, *series("nitrate", (8, 0), (1, 0)), *series("phosphate", (1, 0))),
        (look(8, "clear"), look(1, "clear")),
    )  # fmt: skip
    coral = healthy("G4", place="Hall")
    horses = healthy("G5", place="Yard", livestock="seahorse")
    made = view(coral, horses, young)
    assert brought(made, "N2")["bring-sand"]["tank"] == "G5"


# ------------------------------------------------------------- a group in numbers


def group(count, make):
    return [history_in(make(f"X{number}"), "Spring") for number in range(count)]


def history_in(made, name):
    tank = replace(made.report.tank, group=name)
    findings = replace(made.report.findings, tank=tank)
    report = replace(made.report, tank=tank, findings=findings)
    return replace(made, report=report)


def test_four_tanks_have_no_numbers_and_five_have():
    assert view(*group(4, healthy)).groups[0].intake is None
    intake = view(*group(5, healthy)).groups[0].intake
    assert dict(intake.stages)["mature"] == 5
    assert dict(intake.attention) == {
        "today": 0, "this week": 0, "watch": 0, "steady": 5,
    }  # fmt: skip
    assert all((week.count, week.of) == (5, 5) for week in intake.in_band)
    # Visits 36, 29, 22, 15, 8 and 1 days ago: one in each of the last six weeks.
    assert [(w.count, w.of) for w in intake.received][-7:] == [(0, 5), *[(5, 5)] * 6]


def test_a_small_group_beside_a_large_one_has_none():
    made = view(
        *group(5, healthy), *(history_in(healthy(f"Y{n}"), "Late") for n in range(3))
    )
    numbers = {g.name: g.intake is not None for g in made.groups}
    assert numbers == {"Spring": True, "Late": False}


def test_one_group_is_shown_but_all_tanks_say_what_is_usual():
    made = view(*group(5, healthy), history_in(stalled(), "Late"), group="Late")
    assert [g.name for g in made.groups] == ["Late"]
    assert [v.tank.id for v in made.visits] == ["N1"]
    assert made.tanks == 6


def test_tests_in_use_and_how_many_cannot_tell():
    def with_card(id_):
        tests = (
            *series("nitrate", (1, 8)),
            *series("phosphate", (1, 0.16), method="phosphate card"),
        )
        tank = named(make_tank(400, cycled=360, **CORAL), id_)
        return history_in(history(tank, tests, good_looks(1)), "Spring")

    made = view(*group(4, healthy), with_card("C1"), with_card("C2"))
    uses = {
        (use.parameter, use.method): (use.tanks, use.can_tell)
        for use in made.groups[0].intake.methods
    }
    assert uses["phosphate", METHODS["phosphate"].name] == (4, True)
    assert uses["phosphate", METHODS["phosphate card"].name] == (2, False)


# ------------------------------------------------------------- what doses did

NITRATE_SALT = ShelfItem("sodium-nitrate", "sodium nitrate", 1.0, 500.0, None, CELL)


def dosed(id_, seen):
    """A tank given 4 mg/L of nitrate between two tests that tell 0.1 mg/L.

    Sodium nitrate is 62.004 / 84.994 = 0.7295 nitrate (IUPAC weights): 1.0966 g in
    200 L are 0.8 g of nitrate, 4 mg/L.
    """
    tank = named(make_tank(400, cycled=360, rock="dry", livestock="mixed coral"), id_)
    tests = (
        result("nitrate", 22, 6, "fine nitrate"),
        result("nitrate", 15, 6 + seen, "fine nitrate"),
        result("nitrate", 1, 6 + seen, "fine nitrate"),
    )
    log = (work(20, "dose", "sodium nitrate", 1.0966, "g"),)
    made = history(tank, tests, good_looks(1), log, shelf=(NITRATE_SALT,))
    return history_in(made, "Spring")


def test_doses_are_pooled_one_share_a_tank():
    seen = (0.0, 1.0, 2.0, 3.0, 4.0)
    tanks = [dosed(f"D{n}", rise) for n, rise in enumerate(seen)]
    intake = view(*tanks, shelf=(NITRATE_SALT,)).groups[0].intake
    (effect,) = intake.effects
    assert (effect.parameter, effect.tanks, effect.times) == ("nitrate", 5, 5)
    # Half of 4 mg/L in the middle tank; with five tanks the limits are the outermost.
    assert effect.kept == pytest.approx(0.5, abs=0.001)
    assert (effect.low, effect.high) == pytest.approx((0.0, 1.0), abs=0.001)
    assert (effect.shown, effect.part, effect.nothing, effect.unclear) == (1, 3, 1, 0)


def test_doses_in_four_tanks_are_not_pooled():
    tanks = [dosed(f"D{n}", 2.0) for n in range(4)]
    intake = view(*tanks, history_in(healthy(), "Spring"), shelf=(NITRATE_SALT,))
    assert intake.groups[0].intake.effects == ()
    assert intake.groups[0].intake.doses == 4
