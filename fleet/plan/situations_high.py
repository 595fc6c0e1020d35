"""Too much: in an established tank, and at the end of a cycle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from fleet.plan.case import SETTLED, Case, Wanted
from fleet.plan.last_doses import went_over
from fleet.plan.life import feed_less
from fleet.plan.meaning import reasons
from fleet.plan.raising import log_it
from fleet.plan.retests import retests, week
from fleet.plan.water_changes import (
    Change,
    change_action,
    fill_level,
    nutrient_change,
    same_step,
    too_rich,
)
from fleet.records import Action, say

# Causes of too much that someone can go and look at. Under this share they are
# not worth the walk.
_LOOK_INTO = ("die-off", "source water")
_WORTH_A_LOOK = 0.15


def over(case: Case) -> Wanted | None:
    """Above the band in an established tank."""
    names = _over_by_itself(case)
    if not names or case.stage in ("cycling", "just cycled"):
        return None
    rule = "over"
    beyond = _beyond(case, names)
    near = tuple(name for name in names if name not in beyond)
    # Tolerated phosphate is no reason to move it; nitrate takes one usual change.
    tolerated = tuple(name for name in names if name == "nitrate")
    change = lowered(case, rule, beyond or tolerated)
    settled = case.stage in SETTLED and not case.films
    return Wanted(
        rule,
        say("headlines.over", beyond=beyond, near=near),
        meaning=(
            say("meaning.over", beyond=beyond, near=near),
            *reasons(case, "high"),
            *((say("meaning.phosphate-slow"),) if "phosphate" in names else ()),
        ),
        actions=(
            *_look_into(case, rule),
            *change,
            *feed_less(case, rule),
            *(_export_now(case, rule, beyond) if settled else ()),
            *retests(case, rule, names, week(case)),
        ),
        leave=(
            say("leave.dose-when-over"),
            *((say("leave.fast-fall"),) if "phosphate" in names else ()),
            *(() if settled else (say("leave.media-in-films"),)),
        ),
        degree="grave" if beyond else "",
    )


def over_and_young(case: Case) -> Wanted | None:
    """High at the end of a cycle: one change before animals, then slow stocking."""
    names = _over_by_itself(case)
    if not names or case.stage != "just cycled":
        return None
    rule = "over-and-young"
    stock = Action(
        id="wait-stocking",
        kind="wait",
        rule=rule,
        what=say("actions.wait-stocking", animals=bool(case.findings.animals)),
        why=say("actions.wait-stocking-why"),
        when=case.today,
        until=week(case),
    )
    when = case.after("few-retests-apart")
    return Wanted(
        rule,
        say("headlines.over-and-young", parameters=names),
        meaning=(say("meaning.over-and-young"), *reasons(case, "high")),
        actions=(
            *lowered(case, rule, names),
            stock,
            *retests(case, rule, names, when),
        ),
        leave=(say("leave.export-yet"), say("leave.restart")),
    )


def lowered(case: Case, rule: str, parameters: Iterable[str]) -> tuple[Action, ...]:
    """Return the one water change for all of ``parameters``, or what stands in it.

    A change logged since the last test is waited for: the reading does not know
    of it yet.
    """
    found: dict[str, Change] = {}
    rich: list[str] = []
    for name in parameters:
        finding = case.judged(name)
        if finding is None or changed_since(case, name):
            continue
        if too_rich(case, finding):
            rich.append(name)
        elif change := nutrient_change(case, finding):
            found[name] = change
    actions: list[Action] = [_better_water(case, rule, name) for name in rich]
    if found and not rich:
        # Both at once: the smaller of two steps keeps phosphate from falling fast.
        name = min(found, key=lambda key: found[key].share)
        actions.append(_change(case, rule, name, found[name]))
        actions.append(log_it(case, rule))
    return tuple(actions)


def _change(case: Case, rule: str, parameter: str, change: Change) -> Action:
    """Return a water change with what it does to each nutrient that is over."""
    others = tuple(
        same_step(case, finding, change)
        for name in case.over
        if name != parameter
        and not changed_since(case, name)
        and (finding := case.judged(name))
        and not too_rich(case, finding)
    )
    steps = ((parameter, change), *others)
    times = [step.times for _, step in steps]
    what = say(
        "actions.change-water",
        share=change.share,
        volume=None if case.volume is None else change.share * case.volume,
        falls=tuple((name, step.now, step.after) for name, step in steps),
        fills=tuple((name, step.fill) for name, step in steps if step.fill > 0),
        times=None if None in times else max(t for t in times if t is not None),
        weekly=case.findings.animals is not False,
    )
    why = say(
        f"actions.change-water-why-{rule}",
        aims=tuple((name, step.goal) for name, step in steps),
    )
    action = change_action(case, rule, what, why, change, parameter)
    expected = tuple((name, step.after - step.now) for name, step in steps)
    return replace(action, expected=expected)


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


def _over_by_itself(case: Case) -> tuple[str, ...]:
    """Return what is over without a dose that accounts for it."""
    return tuple(name for name in case.over if not went_over(case, name))


def _beyond(case: Case, names: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is beyond its second limit, or has none to be tolerated under."""
    return tuple(
        name
        for name in names
        if (f := case.of(name))
        and (f.second_limit == "high" or not (f.band and f.band.remark_high))
    )


def _better_water(case: Case, rule: str, parameter: str) -> Action:
    return Action(
        id=f"check-change-water-{parameter}",
        kind="check",
        rule=rule,
        what=say(
            "actions.check-change-water",
            parameter=parameter,
            fill=fill_level(case, parameter),
        ),
        why=say("actions.check-change-water-why", parameter=parameter),
        when=case.today,
        parameter=parameter,
    )


def _look_into(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask to look at causes that can be seen: something dead, the change water."""
    seen = {cause.cause: cause.share for cause in case.findings.causes}
    return tuple(
        Action(
            id=f"check-{name.replace(' ', '-')}",
            kind="check",
            rule=rule,
            what=say(f"actions.check-{name.replace(' ', '-')}"),
            why=say(f"actions.check-{name.replace(' ', '-')}-why"),
            when=case.today,
        )
        for name in _LOOK_INTO
        if seen.get(name, 0.0) >= _WORTH_A_LOOK
    )


def _export_now(case: Case, rule: str, names: tuple[str, ...]) -> tuple[Action, ...]:
    """Say that strong export has its place now, starting small."""
    if not names:
        return ()
    parameter = "phosphate" if "phosphate" in names else "nitrate"
    listed = case.reference.situations["stripped"][f"takes_{parameter}"]
    has = tuple(name for name in listed if name in case.running)
    key = "actions.check-export-there" if has else f"actions.check-export-{parameter}"
    return (
        Action(
            id="check-export",
            kind="check",
            rule=rule,
            what=say(key, names=has),
            why=say("actions.check-export-why"),
            when=week(case),
            parameter=parameter,
        ),
    )
