"""One nutrient that reads too little or too much, with all that may explain it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any, Literal, NamedTuple

from fleet.assess.evidence import Feed, feed_on
from fleet.records import (
    Budget,
    Effect,
    Finding,
    Findings,
    Sentence,
    Settings,
    Stage,
    Tank,
    Work,
)
from fleet.reference import Reference

EARLY = ("cycling", "just cycled", "ugly phase")
BARE_ROCK = ("dry", "man-made")


class Weighed(NamedTuple):
    """How much one cause weighs in one case, and why."""

    weight: float
    because: tuple[Sentence, ...]


class Case(NamedTuple):
    """What the cause functions look at."""

    found: Findings
    finding: Finding
    side: Literal["low", "high"]
    known: bool  # False: the test cannot tell whether it is low at all
    running: Mapping[str, date | None]
    feed: Feed | None
    settings: Settings
    reference: Reference

    @property
    def parameter(self) -> str:
        """The nutrient."""
        return self.finding.parameter

    @property
    def tank(self) -> Tank:
        """The tank."""
        return self.found.tank

    @property
    def stage(self) -> Stage:
        """The tank's stage."""
        return self.found.stage

    @property
    def early(self) -> bool:
        """Whether the tank is in its first stages."""
        return self.stage.name in EARLY

    @property
    def age(self) -> int | None:
        """Days since filling, if known."""
        return self.stage.days_since_filled

    @property
    def other(self) -> Finding | None:
        """The finding of the other nutrient."""
        pair = {"nitrate": "phosphate", "phosphate": "nitrate"}
        return self.found.of(pair[self.parameter])

    @property
    def budget(self) -> Budget | None:
        """The budget of this nutrient, if there is one."""
        for budget in self.found.budgets:
            if budget.parameter == self.parameter:
                return budget
        return None

    @property
    def feed_per_100_l(self) -> float | None:
        """Dry feed a day for each 100 L, where it is noted."""
        volume = self.tank.volume_l
        if self.feed is None or not self.feed.noted or not volume:
            return None
        return self.feed.g_day / volume * 100

    @property
    def corals(self) -> bool:
        """Whether corals are known to be in."""
        return bool(self.found.corals)

    def logged(self, work: str, days: float) -> Work | None:
        """Return the newest row of ``work`` in the last ``days``."""
        since = self.found.as_of - timedelta(days=days)
        for done in reversed(self.found.work):
            if done.work == work and since <= done.on <= self.found.as_of:
                return done
        return None

    def effects(self, work: str) -> tuple[Effect, ...]:
        """Return the effects on this nutrient of one kind of work."""
        return tuple(
            e
            for e in self.found.effects
            if e.parameter == self.parameter and e.work.work == work
        )

    def limit(self, key: str) -> float:
        """Return a number of limits.toml."""
        return self.reference.limit(key)


Rule = Callable[[Case, Mapping[str, Any]], Weighed | None]


def cases_of(
    found: Findings, settings: Settings, reference: Reference
) -> tuple[Case, ...]:
    """Return the nutrients of a tank that want explaining."""
    concerned = [
        (finding, side)
        for finding in (found.of("nitrate"), found.of("phosphate"))
        if finding is not None and (side := side_of(finding)) is not None
    ]
    if not concerned:
        return ()
    runs = dict(found.running)
    feed = feed_on(found.tank, found.work, reference, found.as_of, found.as_of)
    return tuple(
        Case(
            found=found,
            finding=finding,
            side=side,
            known=finding.verdict != "cannot tell" or finding.flat_zero,
            running=runs,
            feed=feed,
            settings=settings,
            reference=reference,
        )
        for finding, side in concerned
    )


def side_of(finding: Finding) -> Literal["low", "high"] | None:
    """Say on which side a nutrient wants explaining, if on any."""
    latest = finding.latest
    if latest is None or finding.stale:
        return None
    if finding.verdict == "over":
        return "high"
    if finding.verdict == "under" or finding.flat_zero:
        return "low"
    top = finding.band.high if finding.band else None
    if latest.upper_limit_only and top is not None and latest.high > top:
        return "high"
    if finding.verdict == "cannot tell" and latest.registers is not True:
        return "low"
    return None
