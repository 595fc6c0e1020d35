"""Judged tanks with their visits, made by hand for the tests of progress."""

from dataclasses import replace
from datetime import timedelta

from made_tanks import AS_OF, CELL, measured

from fleet.assess.progress import course_of
from fleet.assess.progress_course import Track
from fleet.assess.progress_milestones import MILESTONES
from fleet.assess.tanks import find
from fleet.plan.order import plan_tank
from fleet.records import Reading, Settings, Tank, TankReport
from fleet.records.mentoring import Course, MilestoneSeen, TankHistory
from fleet.reference import load_reference

REFERENCE = load_reference()
HOUSE = Settings()


def history(tank, tests=(), looks=(), log=(), bands=(), house=HOUSE, shelf=()):
    """Judge and plan a tank; every test day is a visit, looked at or not."""
    seen = {reading.taken_on: reading for reading in looks}
    for result in tests:
        empty = Reading(tank.key, result.taken_on, (), CELL)
        seen.setdefault(result.taken_on, empty)
    readings = tuple(
        reading._replace(tank=tank.key) for _, reading in sorted(seen.items())
    )
    log = tuple(sorted(log, key=lambda done: done.on))
    findings = find(
        tank, readings, measured(tests), log, bands, shelf, house, REFERENCE, AS_OF
    )
    plan = plan_tank(findings, shelf, house, REFERENCE)
    return TankHistory(TankReport(tank, findings, plan), readings)


def track(tank, *args, bands=(), house=HOUSE, **more):
    made = history(tank, *args, bands=bands, house=house, **more)
    return Track(made, bands, house, REFERENCE)


def course(tank, *args, **more) -> Course:
    return course_of(track(tank, *args, **more))


def named(tank: Tank, id_: str, **facts) -> Tank:
    return replace(tank, id=id_, key=id_.casefold(), **facts)


def waiting_course(
    number: int,
    weeks: int,
    reached: bool,
    key: str = "coralline",
    rock: str = "new",
    seeded: bool = False,
) -> Course:
    """A tank filled long ago: the week it came to one step, or was last looked at."""
    filled = AS_OF - timedelta(weeks=60)
    tank = Tank(f"K{number}", f"k{number}", CELL, filled_on=filled)
    last = filled + timedelta(weeks=weeks)
    step = MilestoneSeen(
        key,
        on=last if reached else None,
        week=weeks if reached else None,
        watched_from=filled,
        watched_until=last,
    )
    steps = tuple(step if name == key else MilestoneSeen(name) for name in MILESTONES)
    return Course(tank, 60, rock, seeded, (), steps, "", ())
