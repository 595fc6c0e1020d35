"""Within the band or near its edge, but perhaps no longer at the next round."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal, NamedTuple

from fleet.plan.case import NUTRIENTS, Case, Wanted, best
from fleet.plan.export import ease, easing
from fleet.plan.life import feed_less, feed_more
from fleet.plan.meaning import reasons
from fleet.plan.retests import next_round, retest
from fleet.records import Action, Crossing, Finding, Sentence, say


class Drift(NamedTuple):
    """One nutrient on its way to an edge of its band, or at it."""

    finding: Finding
    crossing: Crossing | None  # None: it lies at the edge, on a side no test tells

    @property
    def parameter(self) -> str:
        """The nutrient."""
        return self.finding.parameter


def falling(case: Case) -> Wanted | None:
    """Will cross the low edge: ease the export first, or feed a little more."""
    drift = _drift(case, "low")
    if drift is None:
        return None
    rule = "falling"
    # Easing export or feeding more would raise the other one too.
    step = (
        ()
        if case.over
        else ease(case, rule, easing(case, drift.parameter)) or feed_more(case, rule)
    )
    headline, meaning = _words(drift, rule)
    return Wanted(
        rule,
        headline,
        meaning=(meaning, *reasons(case, "low")),
        actions=(
            *step,
            _retest(case, rule, drift),
        ),
        leave=(say("leave.dose-yet"),),
    )


def rising(case: Case) -> Wanted | None:
    """Will cross the high edge: ease the feeding first."""
    drift = _drift(case, "high")
    if drift is None:
        return None
    rule = "rising"
    held = bool(case.looks_of("pests"))  # both are held where they are
    headline, meaning = _words(drift, rule)
    return Wanted(
        rule,
        headline,
        meaning=(meaning, *reasons(case, "high")),
        actions=(
            # Less feed would take from the other one too.
            *(() if case.short or held else feed_less(case, rule)),
            _retest(case, rule, drift),
        ),
        leave=(say("leave.media-yet"),),
    )


def _words(drift: Drift, rule: str) -> tuple[Sentence, Sentence]:
    """Return headline and meaning: when it crosses, or that it is at the edge."""
    name, crossing = drift.parameter, drift.crossing
    if crossing is None:
        at = say(f"headlines.{rule}-at-edge", parameter=name)
        value = best(drift.finding)
        return at, say(f"meaning.{rule}-at-edge", parameter=name, value=value)
    return (
        say(f"headlines.{rule}", parameter=name, on=crossing.on),
        say(
            "meaning.drifting",
            parameter=name,
            within=drift.finding.verdict == "within",
            on=crossing.on,
            earliest=crossing.earliest,
            latest=crossing.latest,
        ),
    )


def _drift(case: Case, bound: Literal["low", "high"]) -> Drift | None:
    """Return the nutrient that may reach that edge before the next round."""
    found = [
        drift
        for name in NUTRIENTS
        if (drift := _drift_of(case, name, bound)) is not None
    ]
    return min(
        found, key=lambda d: d.crossing.on if d.crossing else case.today, default=None
    )


def _drift_of(
    case: Case, parameter: str, bound: Literal["low", "high"]
) -> Drift | None:
    finding = case.judged(parameter)
    if finding is None or finding.latest is None:
        return None
    unsure = finding.verdict == "cannot tell"
    if finding.verdict != "within" and not unsure:
        return None
    if unsure and not finding.latest.registers:
        return None  # it is not known to be near any edge
    crossing = finding.crossing
    if crossing is not None and crossing.bound == bound:
        soon = crossing.earliest <= next_round(case)
        return Drift(finding, crossing) if soon else None
    if unsure and _at_edge(finding, bound):
        return Drift(finding, None)
    return None


def _at_edge(finding: Finding, bound: Literal["low", "high"]) -> bool:
    """Say whether it drifts out and its value lies at or past that edge."""
    band, heading = finding.band, finding.heading
    if band is None or heading is None:
        return False
    if bound == "high":
        return heading.low > 0 and band.high is not None and best(finding) >= band.high
    return heading.high < 0 and band.low is not None and best(finding) <= band.low


def _retest(case: Case, rule: str, drift: Drift) -> Action:
    at_edge = drift.crossing is None
    why = say("actions.retest-why-at-edge") if at_edge else None
    return retest(case, rule, drift.parameter, _test_day(case, drift.crossing), why=why)


def _test_day(case: Case, crossing: Crossing | None) -> date:
    """Return the day it crosses, not sooner than a test can show a difference."""
    if crossing is None:
        return next_round(case)
    days = int(case.reference.limit("few-retests-apart"))
    soonest = case.today + timedelta(days=days)
    return min(max(crossing.on, soonest), next_round(case))
