"""How far the tanks of a club's new-tank programme have come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from fleet.records.reported import TankReport
from fleet.records.words import Attention, Sentence, StageName
from fleet.records.workbook import Reading, Settings, SourceFile, Tank


@dataclass(frozen=True, slots=True)
class TankHistory:
    """One judged tank with all its visits: what its progress is read from."""

    report: TankReport
    readings: tuple[Reading, ...]  # oldest first


@dataclass(frozen=True, slots=True)
class MilestoneSeen:
    """Whether a tank has come to one milestone, and between which visits."""

    key: str  # milestones.toml
    on: date | None = None  # visit that first showed it; None: not seen yet
    week: int | None = None  # 1 is the first after filling; None: when is not known
    after: date | None = None  # last visit that could have shown it, and did not
    watched_from: date | None = None  # first visit that could have shown it
    watched_until: date | None = None  # last such visit
    noted: bool = False  # as the keeper noted it, not as the tests showed it


@dataclass(frozen=True, slots=True)
class StageSpan:
    """A stretch of days in one stage, as judged visit by visit."""

    stage: StageName
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class BandVisit:
    """Whether nitrate and phosphate were both in band at one visit."""

    on: date
    week: int | None  # since filling
    in_band: bool | None  # None: tested, but it cannot be told


@dataclass(frozen=True, slots=True)
class Course:
    """One tank's way since it was filled."""

    tank: Tank
    week: int | None  # this week, since filling; None: the day is not noted
    rock: str  # kind to compare by: "new", "cured live", "mixed", "none", ""
    seeded: bool  # with living rock, sand or the like, in its first weeks
    spans: tuple[StageSpan, ...]
    milestones: tuple[MilestoneSeen, ...]  # in their usual order
    next: str  # key of the next milestone; "" none is left
    visits: tuple[BandVisit, ...]
    in_band_since: date | None = None  # of the run of visits up to now

    def of(self, key: str) -> MilestoneSeen:
        """Return the milestone ``key``."""
        return next(seen for seen in self.milestones if seen.key == key)


class UsualWeek(NamedTuple):
    """Share of tanks that had come to a milestone by the end of a week."""

    week: int
    share: float
    low: float  # 90 % limits
    high: float
    tanks: int  # of which it is known whether they had, by then


class WeekRange(NamedTuple):
    """By which week a share of tanks had come to a milestone, with its range."""

    week: int
    earliest: int
    latest: int | None  # None: the tanks so far cannot say


@dataclass(frozen=True, slots=True)
class Usual:
    """When tanks of one kind came to one milestone."""

    milestone: str
    rock: str  # "" every kind
    seeded: bool | None  # None: either
    tanks: int
    reached: int
    weeks: tuple[UsualWeek, ...]
    half: WeekRange | None  # None: not known from these tanks yet
    most: WeekRange | None


@dataclass(frozen=True, slots=True)
class Behind:
    """A milestone that a tank has not come to, though nearly all like it had."""

    milestone: str
    week: int  # until which it was seen without
    share: float  # of the other tanks that had come there by then
    usual: Usual  # of the other tanks


@dataclass(frozen=True, slots=True)
class Member:
    """One tank of a group: its report, its way, and what is usual for its kind."""

    report: TankReport
    course: Course
    usual: tuple[Usual, ...]  # of the closest kind with tanks enough
    behind: tuple[Behind, ...]
    eased_until: date | None = None  # may skip weekly tests until then
    silent_days: int | None = None  # since the last visit, where that is too long


@dataclass(frozen=True, slots=True)
class MentorVisit:
    """A tank the mentor should go to: why, and what to bring."""

    tank: Tank
    attention: Attention
    week: int | None
    why: tuple[Sentence, ...]
    bring: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class WeekCount:
    """A count out of a number, for one week."""

    week: int  # since filling, or number of the calendar week shown
    starts: date | None
    count: int
    of: int


@dataclass(frozen=True, slots=True)
class MethodUse:
    """How many tanks are tested with one method, and whether it can tell a zero."""

    parameter: str
    method: str  # as the workbook names it; "" none is named
    class_key: str
    tanks: int
    can_tell: bool


@dataclass(frozen=True, slots=True)
class PooledEffect:
    """What doses of one nutrient did over all tanks of a group."""

    parameter: str
    tanks: int  # whose doses could be held against a test before and after
    times: int
    shown: int  # times all of it showed, or more
    part: int
    nothing: int
    unclear: int  # the tests could not tell
    kept: float  # share of what was expected that showed: middle tank
    low: float  # 90 % range of the middle
    high: float


@dataclass(frozen=True, slots=True)
class Intake:
    """A group in numbers, for who answers for it; no tank is named."""

    stages: tuple[tuple[StageName, int], ...]
    attention: tuple[tuple[Attention, int], ...]
    received: tuple[WeekCount, ...]  # tanks that sent readings, by calendar week
    in_band: tuple[WeekCount, ...]  # both nutrients in band, by week since filling
    methods: tuple[MethodUse, ...]
    effects: tuple[PooledEffect, ...]
    doses: int  # noted for these tanks, whatever could be said of them


@dataclass(frozen=True, slots=True)
class GroupProgress:
    """One group: its tanks, and its numbers where it has tanks enough."""

    name: str
    members: tuple[Member, ...]
    intake: Intake | None  # None: too few tanks to count


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the tanks have come: all that the mentor's pages need."""

    as_of: date
    made_by: str
    settings: Settings
    sources: tuple[SourceFile, ...]
    groups: tuple[GroupProgress, ...]
    usual: tuple[Usual, ...]  # of every kind with tanks enough, all tanks read
    visits: tuple[MentorVisit, ...]  # of the groups shown, most needed first
    tanks: int  # that what is usual rests on
    names: bool = True  # False: keepers' names are left out
