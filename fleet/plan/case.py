"""One tank as the situations see it, and what a situation gives back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Literal

from fleet.records import (
    Action,
    Finding,
    Findings,
    Measurement,
    Sentence,
    Settings,
    ShelfItem,
)
from fleet.reference import Reference

NUTRIENTS = ("nitrate", "phosphate")
EARLY = ("just cycled", "ugly phase")
SETTLED = ("settling", "mature")

# Looks that are an animal in need before they are a nutrient matter.
GASPING = "fish gasping"
TISSUE = "tissue loss"

Degree = Literal["", "mild", "grave"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one situation says and asks for."""

    id: str  # key in situations.toml
    headline: Sentence
    meaning: tuple[Sentence, ...] = ()
    actions: tuple[Action, ...] = ()
    leave: tuple[Sentence, ...] = ()
    degree: Degree = ""
    puts_off: bool = False  # nutrients are not chased beside it


@dataclass(frozen=True)
class Case:
    """The findings of one tank with what plan needs beside them.

    No slots: the properties below are worked out once and kept.
    """

    findings: Findings
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    reference: Reference
    volumes: tuple[float, ...] = ()  # smallest and largest of the round [L]

    @property
    def today(self) -> date:
        """The day judged."""
        return self.findings.as_of

    def after(self, limit: str) -> date:
        """Return the day that lies ``limit`` (a key of limits.toml) days ahead."""
        return self.today + timedelta(days=int(self.reference.limit(limit)))

    @cached_property
    def by_parameter(self) -> dict[str, Finding]:
        """The findings by parameter."""
        return {finding.parameter: finding for finding in self.findings.findings}

    def of(self, parameter: str) -> Finding | None:
        """Return the finding for ``parameter``, or None."""
        return self.by_parameter.get(parameter)

    @cached_property
    def _usable(self) -> dict[str, Finding]:
        return {
            name: finding
            for name, finding in self.by_parameter.items()
            if finding.latest is not None
            and not finding.stale
            and finding.latest.doubt is None
            and not doubts(finding)
        }

    def usable(self, parameter: str) -> Finding | None:
        """Return the finding if it may be acted on: believed, newest, not old."""
        return self._usable.get(parameter)

    def judged(self, parameter: str) -> Finding | None:
        """Return the usable finding if it has a verdict."""
        finding = self._usable.get(parameter)
        if finding is None or finding.verdict == "not judged":
            return None
        return finding

    @property
    def stage(self) -> str:
        """The name of the stage."""
        return self.findings.stage.name

    @cached_property
    def films(self) -> bool:
        """Whether the films of the ugly phase are growing.

        A film on the glass of a mature tank is no stage.
        """
        stage = self.findings.stage
        young = stage.name in ("just cycled", "settling")
        return stage.name == "ugly phase" or (stage.films and young)

    @cached_property
    def young(self) -> bool:
        """Whether the tank is too young to hold strong export."""
        age = self.findings.stage.days_since_filled
        if self.stage in EARLY:
            return True
        mature = self.reference.stage("mature-from")
        return self.stage == "settling" and (age is None or age < mature)

    @cached_property
    def looks(self) -> tuple[str, ...]:
        """The last looks, if they still say something of today."""
        on = self.findings.looked_on
        if on is None or (self.today - on).days > self.reference.limit("looks-count"):
            return ()
        return self.findings.looks

    def looks_of(self, situation: str) -> tuple[str, ...]:
        """Return which looks of ``situation`` (situations.toml) were seen."""
        asked = self.reference.situations[situation]["looks"]
        return tuple(look for look in self.looks if look in asked)

    @cached_property
    def in_need(self) -> tuple[str, ...]:
        """Looks of an animal in need, seen in the last round."""
        on = self.findings.looked_on
        old = self.reference.old_after(self.settings.round_days)
        if on is None or (self.today - on).days > old:
            return ()
        return tuple(look for look in (GASPING, TISSUE) if look in self.findings.looks)

    @cached_property
    def start(self) -> date:
        """The first day for nutrient work: tissue loss is looked at a day before."""
        wait = 1 if TISSUE in self.in_need else 0
        return self.today + timedelta(days=wait)

    @cached_property
    def running(self) -> dict[str, date | None]:
        """Equipment and media in use, each with the day it went in, if logged."""
        return dict(self.findings.running)

    @cached_property
    def zeros(self) -> tuple[str, ...]:
        """Nutrients that read flat zero by a test that can tell."""
        return tuple(
            name for name in NUTRIENTS if (f := self.judged(name)) and f.flat_zero
        )

    @cached_property
    def blind(self) -> tuple[str, ...]:
        """Nutrients whose test saw nothing and cannot tell that from enough."""
        return tuple(
            name
            for name in NUTRIENTS
            if (f := self.judged(name))
            and f.latest
            and f.verdict == "cannot tell"
            and f.latest.registers is not True
            and not f.latest.upper_limit_only
        )

    @cached_property
    def short(self) -> tuple[str, ...]:
        """Nutrients that are under their band."""
        return tuple(
            name
            for name in NUTRIENTS
            if (f := self.judged(name)) and f.verdict == "under"
        )

    @cached_property
    def over(self) -> tuple[str, ...]:
        """Nutrients that are over their band."""
        return tuple(
            name
            for name in NUTRIENTS
            if (f := self.judged(name))
            and f.latest
            and f.verdict == "over"
            and not f.latest.upper_limit_only
        )

    @cached_property
    def ammonia_seen(self) -> Finding | None:
        """The ammonia finding, where ammonia registers at an amount that counts."""
        finding = self.usable("ammonia")
        if finding is None or finding.latest is None:
            return None
        if finding.verdict == "over":
            return finding
        if finding.latest.registers is not True:
            return None
        look = self.reference.limit("ammonia-look")
        # Never by the total alone: warm, alkaline water frees more of it.
        free = self.usable("free_ammonia")
        counts = free is not None and best(free) >= self.free_ammonia_act
        return finding if best(finding) >= look or counts else None

    @cached_property
    def free_ammonia_act(self) -> float:
        """Where to act on free ammonia [mg/L NH3]; sooner with corals in."""
        limit = self.reference.limit
        act = limit("free-ammonia-chronic") * limit("free-ammonia-act-share")
        corals = self.findings.corals
        return act * limit("free-ammonia-coral-share") if corals else act

    @cached_property
    def ammonia_clear(self) -> bool:
        """Whether a believed, recent test says that there is no ammonia."""
        finding = self.usable("ammonia")
        return (
            finding is not None
            and self.ammonia_seen is None
            and finding.verdict != "over"
        )

    @cached_property
    def volume(self) -> float | None:
        """The water volume [L], if it is one."""
        volume = self.findings.tank.volume_l
        return volume if volume is not None and 0 < volume < float("inf") else None


def doubts(finding: Finding) -> tuple[Measurement, ...]:
    """Return what was doubted since the latest believed result.

    A row dated ahead is left out too, but says nothing against the results of today.
    """
    if not finding.doubted:
        return ()
    return tuple(
        measured
        for measured in finding.doubted
        if measured.doubt is None or measured.doubt.kind != "future date"
    )


def assumed_band(finding: Finding) -> bool:
    """Say whether the band is that of a kind of livestock nobody has noted."""
    return finding.band is not None and finding.band.livestock == "not noted"


def best(finding: Finding) -> float:
    """Return the one number that stands for the latest result."""
    latest = finding.latest
    if latest is None:
        raise ValueError(f"no result for {finding.parameter}")
    return latest.low if latest.value is None else latest.value
