"""What can be said about a tank: levels, trends, stage, causes, what work did."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, NamedTuple

from fleet.records.measured import Measurement
from fleet.records.words import Sentence, StageName, VerdictWord
from fleet.records.workbook import Band, Tank, Work


@dataclass(frozen=True, slots=True)
class Crossing:
    """When a trend reaches a band's edge."""

    bound: Literal["low", "high"]
    on: date
    earliest: date
    latest: date | None  # None: it may never


@dataclass(frozen=True, slots=True)
class Trend:
    """The tank's own drift of one parameter, logged work taken out."""

    per_week: float
    low: float  # 90 % interval
    high: float
    visits: int
    since: date
    corrected_for_work: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """What can be said about one parameter of one tank."""

    parameter: str
    verdict: VerdictWord
    why: Sentence | None  # for "cannot tell", "not judged", a doubted or old value
    latest: Measurement | None  # newest believed result
    band: Band | None
    under: float  # chance
    within: float
    over: float
    age_days: int | None = None
    stale: bool = False
    previous: Measurement | None = None  # the believed result before
    trend: Trend | None = None
    crossing: Crossing | None = None
    better_method: str = ""  # class key in methods.toml that could tell
    doubted: tuple[Measurement, ...] = ()  # doubted results since the last believed
    flat_zero: bool = False  # reads nothing, by a method able to tell
    flat_zero_visits: int = 0  # in a row, up to now
    registered_before: bool = False  # an earlier visit saw something
    second_limit: Literal["", "low", "high"] = ""  # beyond the band's second limit
    heading: Trend | None = None  # its course, where the readings surely move
    # Believed and doubted, oldest first. Last: `render.needed` puts fewer in its place.
    history: tuple[Measurement, ...] = ()

    @property
    def against(self) -> tuple[Measurement, ...]:
        """Doubted results that count against the latest; one dated ahead does not."""
        return tuple(
            m for m in self.doubted if m.doubt and m.doubt.kind != "future date"
        )


@dataclass(frozen=True, slots=True)
class Stage:
    """How far a tank has come, how sure that is and why."""

    name: StageName
    sure: float
    because: tuple[Sentence, ...]
    missing: tuple[Sentence, ...] = ()
    days_since_filled: int | None = None
    days_since_cycled: int | None = None
    incident: bool = False  # ammonia or nitrite in an old tank: not a stage
    never_started: bool = False  # nothing shows that a cycle ever ran
    stalled: bool = False  # ammonia has not fallen for longer than usual
    films: bool = False  # ugly-phase looks in the last looks


@dataclass(frozen=True, slots=True)
class Cause:
    """One likely cause of low or high nutrients and its share."""

    cause: str  # contract.md word, such as "rock uptake"
    share: float
    because: tuple[Sentence, ...]
    side: Literal["low", "high"] = "low"
    parameter: str = ""  # "nitrate", "phosphate" or "" for both


class CauseList(NamedTuple):
    """The likely causes of what is too low, or too high, with their shares of it."""

    side: Literal["low", "high"]
    parameters: tuple[str, ...]
    causes: tuple[Cause, ...]  # largest first; shares sum to 1


@dataclass(frozen=True, slots=True)
class Budget:
    """What went in, out and missing for one nutrient, mg/L of the ion a week."""

    parameter: str  # "nitrate" or "phosphate"
    weeks: float
    input_mg_l_week: float | None  # from feed
    added_mg_l_week: float  # from doses
    removed_by_change_mg_l_week: float
    measured_mg_l_week: float | None  # change of the reading
    taken_up_mg_l_week: float | None  # the rest: uptake (+) or release (-)
    low: float | None
    high: float | None
    note: Sentence | None = None  # e.g. feed alone cannot raise the reading


@dataclass(frozen=True, slots=True)
class Effect:
    """What a piece of logged work was expected to do, and what was seen."""

    work: Work
    parameter: str
    expected_rise: float | None
    seen_rise: float | None
    seen_low: float | None
    seen_high: float | None
    kept_share: float | None
    kept_low: float | None = None
    kept_high: float | None = None
    verdict: Sentence | None = None
    seen_on: date | None = None


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything assess says of one tank; all that plan may know."""

    tank: Tank
    as_of: date
    stage: Stage
    findings: tuple[Finding, ...]  # one a parameter, in parameters.toml order
    causes: tuple[Cause, ...]
    budgets: tuple[Budget, ...]
    effects: tuple[Effect, ...]
    ratio_n_to_p: float | None
    looks: tuple[str, ...]  # of the last visit that looked
    looks_before: tuple[str, ...]  # of the visit before that
    looked_on: date | None
    animals: bool | None  # any living animals; None: not known
    corals: bool | None
    last_visit: date | None
    last_tested: date | None
    nutrients_tested: date | None  # last day nitrate or phosphate was tested
    work: tuple[Work, ...]  # of this tank, oldest first
    missing: tuple[Sentence, ...] = ()  # facts that would have helped
    running: tuple[tuple[str, date | None], ...] = ()  # filters in use, since when
    taken_off: tuple[tuple[str, date], ...] = ()  # filters, last day logged as out
    uptake: tuple[tuple[str, float, float, float], ...] = ()  # parameter; best,
    # lowest and highest mg/L a day, by the last dose that a test looked at
    last_work: tuple[Sentence, ...] = ()  # whether it showed: few words, newest first

    def of(self, parameter: str) -> Finding | None:
        """Return the finding for ``parameter``, or None if there is none."""
        for finding in self.findings:
            if finding.parameter == parameter:
                return finding
        return None

    @property
    def cause_lists(self) -> tuple[CauseList, ...]:
        """The causes apart by side, as they are shown: no list holds opposites."""
        lists: list[CauseList] = []
        for side in dict.fromkeys(cause.side for cause in self.causes):
            mine = [cause for cause in self.causes if cause.side == side]
            whole = sum(cause.share for cause in mine)
            if whole <= 0:
                continue
            named = {cause.parameter for cause in mine}
            concerned = tuple(
                name for name in ("nitrate", "phosphate") if named & {name, ""}
            )
            shared = (replace(c, share=c.share / whole) for c in mine)
            causes = tuple(sorted(shared, key=lambda cause: -cause.share))
            lists.append(CauseList(side, concerned, causes))
        return tuple(lists)
