"""Did the last work show: what it should have done, and what the tests saw."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from datetime import date, timedelta

from fleet.assess.effect_words import Seen, effect_verdict
from fleet.assess.evidence import best, difference, levels
from fleet.assess.log_steps import (
    NUTRIENTS,
    Context,
    Step,
    pooled,
    steps_of,
)
from fleet.records import (
    Effect,
    Measured,
    Measurement,
    Settings,
    ShelfItem,
    Tank,
    Work,
    say,
)
from fleet.reference import Reference
from fleet.science.uptake import uptake_a_day
from fleet.spelling import fold


def effects_of(
    tank: Tank,
    measured: Measured,
    work: tuple[Work, ...],
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    as_of: date,
) -> tuple[Effect, ...]:
    """Return what the work of the last weeks did, oldest first."""
    weeks = reference.causes["effect"]["weeks"]
    since = as_of - timedelta(weeks=weeks)
    context = Context(tank, work, shelf, settings, reference, as_of)
    steps: list[Step] = []
    unknown: dict[str, list[Work]] = {}
    for done in work:
        if not since <= done.on <= as_of:
            continue
        found = list(steps_of(done, context))
        steps += found
        if done.work == "dose" and not found and not done.equipment:
            unknown.setdefault(fold(done.substance), []).append(done)
    effects = [_unknown(rows) for rows in unknown.values()]
    for parameter in dict.fromkeys(step.parameter for step in steps):
        tests = levels(measured, parameter, as_of)
        mine = [step for step in steps if step.parameter == parameter]
        effects += _of_parameter(parameter, mine, tests, context)
    return tuple(sorted(effects, key=lambda e: (e.work.on, e.parameter, e.work.work)))


def uptake_of(
    effects: tuple[Effect, ...], reference: Reference
) -> tuple[tuple[str, float, float, float], ...]:
    """Return each nutrient with its best, lowest and highest uptake, mg/L a day.

    It is what the last dose lost by the test that looked at it, capped at the largest
    rise a day that limits.toml allows. A nutrient whose doses no test could tell of
    is left out.
    """
    found = ((name, _uptake(effects, name, reference)) for name in NUTRIENTS)
    return tuple((name, *taken) for name, taken in found if taken is not None)


def _uptake(
    effects: tuple[Effect, ...], parameter: str, reference: Reference
) -> tuple[float, float, float] | None:
    most = reference.limit(f"{parameter}-rise-day")
    for effect in reversed(effects):
        if effect.parameter != parameter or effect.work.work != "dose":
            continue
        if effect.expected_rise is None or effect.kept_share is None:
            continue
        seen, low, high = effect.seen_rise, effect.seen_low, effect.seen_high
        if seen is None or low is None or high is None or effect.seen_on is None:
            continue
        days = max((effect.seen_on - effect.work.on).days, 1)
        return uptake_a_day(effect.expected_rise, seen, low, high, days, most)
    return None


# ----------------------------------------------------------- between two tests


def _of_parameter(
    parameter: str,
    steps: list[Step],
    tests: tuple[Measurement, ...],
    c: Context,
) -> list[Effect]:
    """Return the effects on one parameter, pooled between its tests."""
    days = [m.taken_on for m in tests]
    spans: dict[int, list[Step]] = {}
    for step in steps:
        # On one day the test comes first, then the work.
        spans.setdefault(bisect_right(days, step.work.on), []).append(step)
    effects: list[Effect] = []
    for place, inside in spans.items():
        before = tests[place - 1] if place > 0 else None
        after = tests[place] if place < len(tests) else None
        expected = _expected(inside, before, after)
        for kind in dict.fromkeys(step.kind for step in inside):
            if kind == "ammonium":
                continue
            effect = _effect(parameter, kind, inside, expected, before, after, c)
            if effect and kind == "dose" and after is None:
                effects += _each(effect, inside)
            elif effect:
                effects.append(effect)
    return effects


def _each(effect: Effect, inside: list[Step]) -> list[Effect]:
    """Return doses no test has looked at yet one by one, with one verdict for all."""
    steps = [step for step in inside if step.kind == "dose"]
    last = len(steps) - 1
    return [
        replace(
            effect,
            work=step.work,
            expected_rise=step.rise,
            verdict=effect.verdict if place == last else None,
        )
        for place, step in enumerate(steps)
    ]


def _expected(
    inside: list[Step], before: Measurement | None, after: Measurement | None
) -> dict[str, float | None]:
    """Return what each kind of work should have done, taken in order of days."""
    level = best(before) if before else None
    totals: dict[str, float | None] = {}
    for step in inside:
        change: float | None = step.rise
        if step.kind == "water change":
            known = level is not None and not step.lacking
            change = -step.share * (level - step.fill) if known else None  # type: ignore[operator]
        elif step.a_day:
            change = (
                step.a_day * (after.taken_on - step.work.on).days if after else None
            )
        if level is not None and change is not None:
            level = max(level + change, 0.0)
        so_far = totals.get(step.kind, 0.0)
        totals[step.kind] = None if None in (so_far, change) else so_far + change  # type: ignore[operator]
    return totals


def _effect(
    parameter: str,
    kind: str,
    inside: list[Step],
    expected: dict[str, float | None],
    before: Measurement | None,
    after: Measurement | None,
    c: Context,
) -> Effect | None:
    rows = [step.work for step in inside if step.kind == kind]
    mine = expected[kind]
    rules = c.reference.causes["effect"]
    if kind == "water change" and _too_small(mine, before, rules["near_share"]):
        return None
    others = {k: v for k, v in expected.items() if k != kind}
    change = difference(before, after) if before and after else None
    seen = _without(change, others) if change else None
    alone = not any(v is None for v in others.values())
    apart = (
        before is not None
        and after is not None
        and (
            (rows[0].on - before.taken_on).days > rules["before_days"]
            or (after.taken_on - rows[-1].on).days > rules["after_days"]
        )
    )
    judged = kind in ("dose", "water change") and alone and not apart
    kept = _kept(mine, seen) if seen and judged else None
    facts = Seen(
        parameter=parameter,
        kind=kind,
        rows=tuple(rows),
        expected=mine,
        lacking=next((s.lacking for s in inside if s.kind == kind and s.lacking), ""),
        before=before,
        after=after,
        seen=seen,
        alone=alone,
        apart=apart,
        other=change[0] - seen[0] if change and seen else 0.0,
    )
    return Effect(
        work=pooled(rows),
        parameter=parameter,
        expected_rise=mine if kind in ("dose", "water change", "feed change") else None,
        seen_rise=seen[0] if seen else None,
        seen_low=seen[1] if seen else None,
        seen_high=seen[2] if seen else None,
        kept_share=kept[0] if kept else None,
        kept_low=kept[1] if kept else None,
        kept_high=kept[2] if kept else None,
        verdict=effect_verdict(facts, c.reference),
        seen_on=after.taken_on if after else None,
    )


def _too_small(
    expected: float | None, before: Measurement | None, share: float
) -> bool:
    """Say whether a water change had nothing to change that a test could see."""
    if expected is None:
        return before is None
    lowest = before.method.lowest if before else None
    return abs(expected) <= share * (lowest or 0.0)


def _without(
    change: tuple[float, float, float], others: dict[str, float | None]
) -> tuple[float, float, float]:
    """Return a change with other logged work taken out.

    What feed and ammonium bring may be eaten before it shows, so it takes out
    anything from nothing to all of it.
    """
    seen, low, high = change
    for kind, value in others.items():
        if value is None:
            continue
        if kind in ("feed change", "ammonium"):
            low -= max(value, 0.0)
            high -= min(value, 0.0)
        else:
            seen, low, high = seen - value, low - value, high - value
    return seen, low, high


def _kept(
    expected: float | None, seen: tuple[float, float, float]
) -> tuple[float, float, float] | None:
    """Return the share of the expected change that showed, never below none."""
    if not expected:
        return None
    low, high = sorted(max(0.0, value / expected) for value in seen[1:])
    if low <= 0 and high >= 1:
        return None  # nothing and all of it both fit: the tests cannot tell
    return max(0.0, seen[0] / expected), low, high


def _unknown(rows: list[Work]) -> Effect:
    return Effect(
        work=pooled(rows),
        parameter="",
        expected_rise=None,
        seen_rise=None,
        seen_low=None,
        seen_high=None,
        kept_share=None,
        verdict=say("effects.unknown-substance", substance=rows[0].substance),
    )
