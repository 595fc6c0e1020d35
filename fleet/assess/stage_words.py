"""The sentences that say why a tank is at its stage, and what was missing."""

from __future__ import annotations

from fleet.assess.evidence import best, last_looks
from fleet.assess.stage_facts import Facts
from fleet.records import Reading, Sentence, say


def age(f: Facts) -> tuple[Sentence, ...]:
    """Say how old the tank is, as far as known."""
    if f.days is not None:
        return (say("stages.age", days=f.days),)
    if f.at_least > 0:
        return (say("stages.age-at-least", days=f.at_least),)
    return ()


def present(f: Facts) -> tuple[Sentence, ...]:
    """Say which of ammonia and nitrite stands, and how high."""
    return tuple(
        say(
            "stages.present",
            parameter=m.parameter,
            value=best(m),
            limit=f(f"cycling-{m.parameter}"),
            on=m.taken_on,
        )
        for m in f.cycle.high
    )


def end_of_cycle(f: Facts) -> tuple[Sentence, ...]:
    """Say how the end of the cycle is known."""
    cycle = f.cycle
    said: tuple[Sentence, ...] = ()
    if cycle.ended == "noted":
        said = (say("stages.cycle-noted", on=cycle.ended_on),)
    elif cycle.ended == "seen":
        said = (say("stages.cycle-seen", on=cycle.ended_on),)
    elif cycle.ended == "once":
        said = (say("stages.cycle-seen-once", on=cycle.ended_on),)
    elif cycle.clean_visits and not cycle.high:
        said = (say("stages.clean-now"),)
    if cycle.high and f.tail_of_cycle:
        said += (say("stages.nitrite-tail", value=best(cycle.high[0])),)
    return said


def no_films(f: Facts) -> tuple[Sentence, ...]:
    """Say that the newest look found no films."""
    if not f.looks or f.films:
        return ()
    return (say("stages.no-films", on=f.looks[0].on),)


def pace(f: Facts) -> tuple[Sentence, ...]:
    """Say what makes this tank faster or slower than others."""
    said: tuple[Sentence, ...] = ()
    if f.least_age >= f("mature-by-age"):
        return said
    if f.tank.rock == "cured live":
        said += (say("stages.cured-rock"),)
    cured = f("cured-rock-factor") if said else 1.0
    if f.factor > cured:
        said += (say("stages.cold-water"),)
    return said


def missing(f: Facts, readings: tuple[Reading, ...]) -> tuple[Sentence, ...]:
    """Name the facts that would have made the stage surer."""
    lacking: list[Sentence] = []
    if f.days is None:
        lacking.append(say("stages.no-filled-date"))
    young = f.age is None or f.age < f("mature-from")
    cycle = f.cycle
    if young and cycle.ended != "noted":
        if cycle.tested_on is None:
            lacking.append(say("stages.no-ammonia-test"))
        elif not f.recent:
            lacking.append(say("stages.old-ammonia-test", on=cycle.tested_on))
    if not f.looks:
        older = last_looks(readings, f.as_of)
        lacking.append(
            say("stages.old-look", on=older[0].on) if older else say("stages.no-look")
        )
    if young and not f.tank.rock:
        lacking.append(say("stages.no-rock"))
    return tuple(lacking)
