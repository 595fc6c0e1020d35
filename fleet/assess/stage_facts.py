"""What is known of a tank's coming of age: dates, tests, log and looks in one place."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from fleet.assess.cycle import Cycle, cycle_of
from fleet.assess.evidence import (
    FILM_LOOKS,
    Look,
    animals_in,
    believed,
    best,
    last_looks,
)
from fleet.assess.swings import swings_of
from fleet.records import Measured, Reading, Tank, Work
from fleet.reference import Reference


class Facts(NamedTuple):
    """What is known of one tank's coming of age."""

    tank: Tank
    days: int | None  # since filling
    at_least: int  # days it has certainly run
    age: float | None  # days, as if on dry rock and warm
    least_age: float
    factor: float  # how much longer than that everything takes here
    cycle: Cycle
    since_cycle: float | None  # days, as if on dry rock and warm
    looks: tuple[Look, ...]  # recent ones, newest first
    words: frozenset[str]
    swings: str  # "small", "large" or "" (not known)
    new_rock: bool
    animals: bool | None
    reference: Reference
    as_of: date

    def __call__(self, key: str) -> float:
        """Return a number of stages.toml."""
        return self.reference.stage(key)

    @property
    def films(self) -> tuple[str, ...]:
        """Ugly-phase looks seen lately."""
        return tuple(word for word in FILM_LOOKS if word in self.words)

    @property
    def coralline(self) -> bool:
        """Whether coralline was seen lately."""
        return "coralline" in self.words

    @property
    def recent(self) -> bool:
        """Whether ammonia or nitrite was tested lately."""
        tested = self.cycle.tested_on
        return tested is not None and (self.as_of - tested).days <= self(
            "tests-old-after"
        )

    @property
    def tail_of_cycle(self) -> bool:
        """Whether only a little nitrite is left of a cycle noted as over."""
        cycle = self.cycle
        return (
            cycle.ended == "noted"
            and not cycle.ammonia_high
            and all(best(m) <= self("nitrite-trace") for m in cycle.high)
        )


def facts_of(
    tank: Tank,
    readings: tuple[Reading, ...],
    measured: Measured,
    work: tuple[Work, ...],
    reference: Reference,
    as_of: date,
) -> Facts:
    """Gather what is known of one tank as of a day."""
    factor = 1.0
    if tank.rock == "cured live":
        factor *= reference.stage("cured-rock-factor")
    warmth = [best(m) for m in believed(measured, "temperature", as_of)[-3:]]
    if warmth and sum(warmth) / len(warmth) < reference.stage("cold-below"):
        factor *= reference.stage("cold-factor")
    cycle = cycle_of(tank, measured, work, reference, as_of, factor)
    filled = tank.filled_on
    days = (as_of - filled).days if filled is not None and filled <= as_of else None
    at_least = days if days is not None else _shortest_age(tank, readings, work, as_of)
    since = (as_of - cycle.ended_on).days / factor if cycle.ended_on else None
    old = reference.stage("looks-old-after")
    looks = tuple(
        look for look in last_looks(readings, as_of) if (as_of - look.on).days <= old
    )
    new_rock = reference.stage("new-rock")
    return Facts(
        tank=tank,
        days=days,
        at_least=at_least,
        age=None if days is None else days / factor,
        least_age=at_least / factor,
        factor=factor,
        cycle=cycle,
        since_cycle=since,
        looks=looks,
        words=frozenset(word for look in looks for word in look.words),
        swings=swings_of(measured, reference, as_of),
        new_rock=any(
            w.work == "equipment in"
            and "rock" in w.substance.casefold()
            and 0 <= (as_of - w.on).days <= new_rock
            for w in work
        ),
        animals=animals_in(tank, work, as_of),
        reference=reference,
        as_of=as_of,
    )


def _shortest_age(
    tank: Tank, readings: tuple[Reading, ...], work: tuple[Work, ...], as_of: date
) -> int:
    """Return the days since the first sign of the tank, in sheet or log."""
    signs = [reading.taken_on for reading in readings]
    signs += [done.on for done in work]
    signs += [tank.cycled_on] if tank.cycled_on else []
    return max(((as_of - day).days for day in signs if day <= as_of), default=0)
