"""Bring what is over down: one water change for all of it, or better water first."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from fleet.plan.case import NUTRIENTS, Case, best
from fleet.plan.raising import log_it
from fleet.plan.water_changes import (
    Change,
    change_action,
    fill_level,
    fill_noted,
    nutrient_change,
    same_step,
    too_rich,
)
from fleet.records import Action, Finding, Sentence, say
from fleet.science.dilution import after_changes


def lowered(case: Case, rule: str, parameters: Iterable[str]) -> tuple[Action, ...]:
    """Return the one water change for all of ``parameters``, or what stands in it.

    A change logged since the last test is waited for: the reading does not know
    of it yet.
    """
    found: dict[str, Change] = {}
    rich: list[Finding] = []
    for name in parameters:
        finding = case.judged(name)
        if finding is None or changed_since(case, name):
            continue
        if too_rich(case, finding):
            rich.append(finding)
        elif change := nutrient_change(case, finding):
            found[name] = change
    off_top = (*(f.parameter for f in rich if _open(f)), *_off_top(case, found))
    thinned = tuple(_thin_the_sample(case, rule, name) for name in off_top)
    if rich:
        return (*thinned, *(_better_water(case, rule, finding) for finding in rich))
    if not found:
        return ()
    name = _smallest(found)
    return (
        *thinned,
        _change(case, rule, name, found[name]),
        log_it(case, rule),
    )


def _smallest(found: dict[str, Change]) -> str:
    """Return which change to make: the smaller keeps phosphate from falling fast."""
    return min(found, key=lambda name: found[name].share)


def changed_since(case: Case, parameter: str) -> bool:
    """Say whether a water change was logged since the last test of ``parameter``."""
    finding = case.of(parameter)
    if finding is None or finding.latest is None:
        return False
    since = finding.latest.taken_on
    return any(
        done.work == "water change" and since <= done.on <= case.today
        for done in case.findings.work
    )


def _off_top(case: Case, names: Iterable[str]) -> tuple[str, ...]:
    return tuple(name for name in names if (f := case.of(name)) and _open(f))


def _open(finding: Finding) -> bool:
    """Say whether the reading ran off the top of its test: only a least is known."""
    latest = finding.latest
    return latest is not None and latest.value is None and math.isinf(latest.high)


def _change(case: Case, rule: str, parameter: str, change: Change) -> Action:
    """Return a water change with what it does to each nutrient."""
    others = tuple(
        same_step(case, finding, change)
        for name in case.over
        if name != parameter
        and not changed_since(case, name)
        and (finding := case.judged(name))
        and not too_rich(case, finding)
    )
    steps = ((parameter, change), *others)
    also = _others_too(case, change, tuple(name for name, _ in steps))
    volume = None if case.volume is None else change.share * case.volume
    parts = volume is not None and volume > case.reference.limit("water-change-parts")
    what = say(
        "actions.change-water",
        share=change.share,
        volume=volume,
        falls=tuple((name, step.now, step.after) for name, step in steps),
        more=_off_top(case, (name for name, _ in steps)),
        also=also,
        fills=tuple((name, step.fill) for name, step in steps if step.fill > 0),
        assumed=tuple(name for name, _ in steps if not fill_noted(case, name)),
        parts=parts,
        **_how_often(case, steps),
    )
    why = say(
        f"actions.change-water-why-{rule}",
        aims=tuple((name, step.goal) for name, step in steps),
    )
    action = change_action(case, rule, what, why, change, parameter)
    expected = tuple((name, step.after - step.now) for name, step in steps)
    expected += tuple((name, after - now) for name, now, after in also)
    return replace(action, expected=expected)


def _how_often(case: Case, steps: tuple[tuple[str, Change], ...]) -> dict[str, object]:
    """Return how many such changes, and whether what comes in meanwhile is counted."""
    weekly = case.findings.animals is not False
    known = all(step.rise > 0 for _, step in steps)
    counted = tuple((name, step.rise) for name, step in steps) if known else ()
    never = tuple((n, step.rise) for n, step in steps if step.times is None)
    times = max((step.times or 0 for _, step in steps), default=0)
    return {"times": times, "weekly": weekly, "counted": counted, "never": never}


def _others_too(
    case: Case, change: Change, over: tuple[str, ...]
) -> tuple[tuple[str, float, float], ...]:
    """Return what is not over and shows: its level now and after the change."""
    found = []
    for name in NUTRIENTS:
        finding = case.usable(name)
        if name in over or finding is None or finding.latest is None:
            continue
        if not finding.latest.registers or finding.latest.upper_limit_only:
            continue
        now, fill = best(finding), fill_level(case, name)
        found.append((name, now, after_changes(now, change.share, fill)))
    return tuple(found)


class TooLow(NamedTuple):
    """A nutrient that is not over, and where the changes asked for would take it."""

    parameter: str
    times: int
    left: float
    low: float
    now: float

    @property
    def words(self) -> Sentence:
        """The warning."""
        key = "thinned-too" if self.now >= self.low else "thinned-low"
        return say(f"meaning.{key}", **self._asdict())


def stripped_too(case: Case, actions: tuple[Action, ...]) -> tuple[TooLow, ...]:
    """Return what the changes asked for take under its band, unseen."""
    found = []
    for action in actions:
        facts = dict(action.what.facts)
        times, share = facts.get("times"), action.water_change_share
        if not isinstance(times, int) or times < 1 or share is None:
            continue
        for name in NUTRIENTS:
            finding = case.judged(name)
            low = finding.band.low if finding and finding.band else None
            # With none coming in beside it: the test in a week tells.
            if (
                finding is None
                or low is None
                or dict(action.expected).get(name) is None
            ):
                continue
            now = best(finding)
            left = after_changes(now, share, fill_level(case, name), times)
            if left < low and name not in case.over:
                found.append(TooLow(name, times, left, low, now))
    return tuple(found)


def _thin_the_sample(case: Case, rule: str, parameter: str) -> Action:
    """Ask for a test of thinned water, where the reading ran off the test's top."""
    return Action(
        id=f"check-thinned-{parameter}",
        kind="check",
        rule=rule,
        what=say("actions.check-thinned", parameter=parameter),
        why=say("actions.check-thinned-why", parameter=parameter),
        when=case.today,
        parameter=parameter,
        sources=("common practice, no source: dilute and test again",),
    )


def _better_water(case: Case, rule: str, finding: Finding) -> Action:
    """Ask for cleaner change water, with what a change of it would do."""
    parameter = finding.parameter
    clean = nutrient_change(case, finding, fill=0.0)
    volume = None
    if clean is not None and case.volume is not None:
        volume = clean.share * case.volume
    return Action(
        id=f"check-change-water-{parameter}",
        kind="check",
        rule=rule,
        what=say(
            "actions.check-change-water",
            parameter=parameter,
            fill=fill_level(case, parameter),
            share=clean.share if clean else None,
            volume=volume,
            now=best(finding),
            more=_open(finding),
            after=clean.after if clean else None,
        ),
        why=say("actions.check-change-water-why", parameter=parameter),
        when=case.today,
        parameter=parameter,
    )
