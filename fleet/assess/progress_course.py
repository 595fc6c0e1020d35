"""One tank's way since it was filled: its stages, and its visits in band."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from functools import cached_property
from itertools import pairwise

from fleet.assess.bands import as_read_by, bands_for
from fleet.assess.cycle import SEEDED_ROCK, brings_seed
from fleet.assess.evidence import best, levels
from fleet.assess.judging import chance_of, verdict_of
from fleet.assess.maturity import stage_of
from fleet.records import Band, Measured, Measurement, Settings, StageName, Tank, Work
from fleet.records.mentoring import BandVisit, StageSpan, TankHistory
from fleet.reference import Reference

# Rock that was never alive starts alike, whatever it is made of.
ROCK_KINDS = {"dry": "new", "man-made": "new"}
_NUTRIENTS = ("nitrate", "phosphate")


class Track:
    """What one tank's visits, tests and log say, asked day by day."""

    def __init__(
        self,
        history: TankHistory,
        bands: tuple[Band, ...],
        settings: Settings,
        reference: Reference,
    ) -> None:
        findings = history.report.findings
        self.tank: Tank = history.report.tank
        self.findings = findings
        self.as_of: date = findings.as_of
        self.readings = tuple(
            r for r in history.readings if r.taken_on <= findings.as_of
        )
        self.work: tuple[Work, ...] = findings.work
        self.settings = settings
        self.reference = reference
        self._bands = bands
        self._stages: dict[date, StageName] = {}
        self.measured = Measured(
            tuple(m for finding in findings.findings for m in finding.history), ()
        )

    @property
    def filled(self) -> date | None:
        """The day of filling, if it is noted and not ahead."""
        filled = self.tank.filled_on
        return filled if filled is not None and filled <= self.as_of else None

    @cached_property
    def days(self) -> tuple[date, ...]:
        """The days of all visits since filling, oldest first."""
        first = self.filled or date.min
        return tuple(sorted({r.taken_on for r in self.readings if r.taken_on >= first}))

    @property
    def looked_late(self) -> bool:
        """Whether the tank was past its first weeks when it was first visited."""
        if self.filled is None or not self.days:
            return False
        late = self.reference.milestone("late-start")
        return (self.days[0] - self.filled).days > late

    def week(self, day: date) -> int | None:
        """Return the week since filling that ``day`` lies in; the first is 1."""
        return None if self.filled is None else week_of(self.filled, day)

    def stage_on(self, day: date) -> StageName:
        """Return the stage as it was to be judged on ``day``."""
        if day not in self._stages:
            stage = stage_of(
                self.tank, self.readings, self.measured, self.work, self.reference, day
            )
            self._stages[day] = stage.name
        return self._stages[day]

    def tests(self, parameter: str) -> tuple[Measurement, ...]:
        """Return believed results since filling that are more than an upper limit."""
        first = self.filled or date.min
        return tuple(
            m
            for m in levels(self.measured, parameter, self.as_of)
            if m.taken_on >= first
        )

    def in_band(self, result: Measurement) -> bool | None:
        """Say whether a result lay in the band of its day's stage, if it can be told.

        A result that registers and whose best value lies in the band counts: over
        four weeks of visits a reading near an edge would else break every run.
        """
        stage = self.stage_on(result.taken_on)
        if stage == "cycling":
            return False
        chosen = bands_for(self.tank, stage, self._bands, self.reference)
        band = chosen.get(result.parameter)
        if band is None:
            return None
        band = as_read_by(band, result.method, self.reference)
        needed = self.settings.chance_needed
        if needed is None:
            needed = self.reference.limit("chance-needed")
        verdict = verdict_of(chance_of(result, band, self.reference), needed, False)
        if verdict != "cannot tell":
            return verdict == "within"
        value = best(result)
        inside = (band.low is None or value >= band.low) and (
            band.high is None or value <= band.high
        )
        return True if inside and result.registers else None


def week_of(filled: date, day: date) -> int:
    """Return the week since filling that ``day`` lies in; days 0 to 7 are week 1."""
    return max(-(-(day - filled).days // 7), 1)


def rock_kind(tank: Tank) -> str:
    """Return the kind of rock that tanks are compared by; "" not noted."""
    return ROCK_KINDS.get(tank.rock, tank.rock)


def seeded_early(track: Track) -> bool:
    """Say whether living rock, sand or the like helped the start."""
    if track.tank.rock in SEEDED_ROCK:
        return True
    if track.filled is None:
        return False
    within = timedelta(days=track.reference.milestone("seeded-within"))
    return any(
        done.on <= track.filled + within and brings_seed(done, track.reference)
        for done in track.work
    )


def stage_spans(track: Track) -> tuple[StageSpan, ...]:
    """Return the stretches of each stage, as judged at each visit.

    A visit speaks for the days up to the next one, but not for longer than tests
    and looks stay fresh: what nobody looked at stays blank.
    """
    fresh = timedelta(days=track.reference.stage("tests-old-after"))
    days = list(track.days)
    if not days:
        return ()
    filled = track.filled
    if filled is not None and filled < days[0] <= filled + fresh:
        days.insert(0, filled)
    spans: list[StageSpan] = []
    for day, following in pairwise((*days, track.as_of)):
        until = min(following, day + fresh)
        stage = track.stage_on(day)
        last = spans[-1] if spans else None
        if last is not None and last.stage == stage and last.until == day:
            spans[-1] = StageSpan(stage, last.since, until)
        else:
            spans.append(StageSpan(stage, day, until))
    return tuple(spans)


def band_visits(track: Track) -> tuple[BandVisit, ...]:
    """Return each visit that tested both nutrients, and whether both were in band."""
    by_day: dict[date, dict[str, Measurement]] = {}
    for parameter in _NUTRIENTS:
        for result in track.tests(parameter):
            by_day.setdefault(result.taken_on, {})[parameter] = result
    return tuple(
        BandVisit(day, track.week(day), _both(track, results.values()))
        for day, results in sorted(by_day.items())
        if len(results) == len(_NUTRIENTS)
    )


def _both(track: Track, results: Iterable[Measurement]) -> bool | None:
    words = [track.in_band(result) for result in results]
    if False in words:
        return False
    return None if None in words else True


def run_in_band(
    visits: tuple[BandVisit, ...], reference: Reference
) -> tuple[BandVisit, ...]:
    """Return the visits in band up to the last one, without a long gap or a doubt."""
    gap = reference.milestone("band-gap")
    run: list[BandVisit] = []
    for visit in reversed(visits):
        apart = bool(run) and (run[-1].on - visit.on).days > gap
        if visit.in_band is not True or apart:
            break
        run.append(visit)
    return tuple(reversed(run))


def long_enough(run: tuple[BandVisit, ...], reference: Reference) -> bool:
    """Say whether a run of visits in band counts as having kept the band."""
    if len(run) < reference.milestone("band-visits"):
        return False
    return (run[-1].on - run[0].on).days >= reference.milestone("band-days")
