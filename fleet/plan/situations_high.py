"""Too much: in an established tank, and at the end of a cycle."""

from __future__ import annotations

from fleet.plan.case import EARLY, SETTLED, Case, Wanted, best
from fleet.plan.last_doses import went_over
from fleet.plan.life import feed_less
from fleet.plan.lowering import lowered, stripped_too
from fleet.plan.meaning import reasons
from fleet.plan.retests import retests, week
from fleet.records import Action, Finding, say

# Causes of too much that someone can go and look at.
_LOOK_INTO = ("die-off", "source water")
EXPORT_NEXT = "check-export"  # the step for next week, if this week's is not enough


def over(case: Case) -> Wanted | None:
    """Above the band in an established tank."""
    names = _over_by_itself(case)
    if not names or case.stage in ("cycling", "just cycled"):
        return None
    if only_tolerated(case):
        return None
    rule = "over"
    beyond = _beyond(case, names)
    if not beyond and case.looks_of("pests"):
        return None  # what is tolerated is held while such growths are there
    near = tuple(name for name in names if name not in beyond)
    # Tolerated phosphate is no reason to move it; nitrate takes one usual change.
    tolerated = tuple(name for name in names if name == "nitrate")
    change = lowered(case, rule, beyond or tolerated)
    too_low = stripped_too(case, change)
    settled = case.stage in SETTLED and not case.films
    return Wanted(
        rule,
        say("headlines.over", beyond=beyond, near=near),
        meaning=(
            say("meaning.over", beyond=beyond, near=near),
            *(low.words for low in too_low),
            *reasons(case, "high"),
            *((say("meaning.phosphate-slow"),) if "phosphate" in names else ()),
        ),
        actions=(
            *_look_into(case, rule, change),
            *change,
            *feed_less(case, rule),
            *(_export_now(case, rule, beyond) if settled else ()),
            *retests(
                case, rule, (*names, *(low.parameter for low in too_low)), week(case)
            ),
        ),
        leave=(
            say("leave.dose-when-over"),
            *((say("leave.fast-fall"),) if _minds(case, names) else ()),
            *(() if settled else (say("leave.media-in-films"),)),
        ),
        degree="grave" if beyond else "",
    )


def only_tolerated(case: Case) -> bool:
    """Say whether films grow and no more is over than phosphate that is tolerated."""
    young = case.films and case.stage in EARLY
    return young and case.over == ("phosphate",) and not _beyond(case, case.over)


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
        what=say(
            "actions.wait-stocking",
            animals=bool(case.findings.animals),
            parameters=names,
            days=int(case.reference.limit("stocking-apart")),
        ),
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


def _over_by_itself(case: Case) -> tuple[str, ...]:
    """Return what is over without a dose that accounts for it."""
    return tuple(name for name in case.over if not went_over(case, name))


def _beyond(case: Case, names: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is beyond its second limit, or has none to be tolerated under."""
    return tuple(n for n in names if (f := case.of(n)) and _not_tolerated(f))


def _not_tolerated(finding: Finding) -> bool:
    """Say whether it is over what is tolerated; the limit itself still is."""
    tolerated = finding.band.remark_high if finding.band else None
    if not tolerated:
        return True
    return finding.second_limit == "high" and best(finding) > tolerated


def _minds(case: Case, names: tuple[str, ...]) -> bool:
    """Say whether a fast fall of phosphate would harm: corals are in, or may be."""
    return "phosphate" in names and case.findings.corals is not False


def _look_into(case: Case, rule: str, asked: tuple[Action, ...]) -> tuple[Action, ...]:
    """Ask to look at causes that can be seen: something dead, the change water.

    Change water that is known to be too rich needs no second look.
    """
    worth_it = case.reference.limit("cause-look-share")
    known = any(action.id.startswith("check-change-water") for action in asked)
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
        if seen.get(name, 0.0) >= worth_it and not (known and name == "source water")
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
            id=EXPORT_NEXT,
            kind="check",
            rule=rule,
            what=say(key, names=has, a_day=case.reference.limit("phosphate-fall-day")),
            why=say("actions.check-export-why"),
            when=week(case),
            parameter=parameter,
        ),
    )
