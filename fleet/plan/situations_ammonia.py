"""Ammonia with animals in: how bad the free part is, and what to do today."""

from __future__ import annotations

from dataclasses import replace

from fleet.plan.case import Case, Degree, Wanted, best, doubts
from fleet.plan.life import feed_none, running_media
from fleet.plan.retests import retests
from fleet.plan.situations_cycle import PAIR, look_for_dead
from fleet.plan.water_changes import (
    Change,
    FreeAmmonia,
    ammonia_change,
    change_action,
    free_ammonia,
    past_usual,
)
from fleet.records import Action, Measurement, Sentence, say
from fleet.science.concentration import ammonia_from_nitrogen

_RULE = "cycle-with-animals"
_LIMITS = "EPA 440/5-88-004 (1989), saltwater (from memory)"


def cycle_with_animals(case: Case) -> Wanted | None:
    """Ammonia registers with animals in: judge the free part, act today."""
    animals = case.findings.animals
    if case.ammonia_seen is None or animals is False:
        return None
    if animals is None and case.stage == "cycling":
        return None
    free = free_ammonia(case)
    if free is None:
        return None
    change = ammonia_change(case, free)
    trace = change is not None and _may_be_none(case, free)
    degree: Degree = "mild"
    if change is not None and not trace:
        degree = "grave" if free.value >= free.limit else ""
    old = case.findings.stage.incident and case.stage != "cycling"
    total = best(case.ammonia_seen)
    headline = "ammonia-trace" if trace else _RULE
    return Wanted(
        _RULE,
        say(f"headlines.{headline}", total=total),
        meaning=(
            _free_words(free, degree != "mild"),
            *((say("meaning.ammonia-trace"),) if trace else ()),
            *_acute_words(case, free),
            *((say("meaning.assumed", names=free.assumed),) if free.assumed else ()),
            *((say("meaning.incident"),) if old else ()),
        ),
        actions=(
            *((_once_more(case, total),) if trace else ()),
            *_out_of_it(case, free),
            *_air(case, degree),
            *((look_for_dead(case, _RULE),) if old else ()),
            *(_changes(case, free, change, trace) if change else ()),
            _no_feed(case, trace),
            *(() if old or degree == "mild" else _filter(case, free)),
            *retests(case, _RULE, PAIR, case.after("urgent-retest")),
        ),
        leave=(say("leave.more-animals"), say("leave.bind-ammonia")),
        degree=degree,
        puts_off=True,
    )


def ammonia_left_untested(case: Case) -> Wanted | None:
    """Ammonia stood there with animals in, and nobody has tested it since."""
    animals, stage = case.findings.animals, case.findings.stage
    if animals is False or (animals is None and stage.name == "cycling"):
        return None
    left = _left(case)
    if left is None:
        return None
    rule = "ammonia-left-untested"
    on = left.taken_on
    facts = {"value": left.low if left.value is None else left.value, "on": on}
    why = say("actions.retest-why-ammonia-left-untested", **facts)
    feed = replace(
        feed_none(case, rule),
        what=say("actions.feed-none-untested"),
        why=say("actions.feed-none-why"),
    )
    old = stage.incident and stage.name != "cycling"
    return Wanted(
        rule,
        say(f"headlines.{rule}", days=(case.today - on).days, **facts),
        meaning=(
            say(f"meaning.{rule}"),
            *((say("meaning.incident"),) if old else ()),
        ),
        actions=(
            *retests(case, rule, PAIR, case.today, why),
            *((look_for_dead(case, rule),) if old else ()),
            feed,
        ),
        leave=(say("leave.more-animals"), say("leave.bind-ammonia")),
        puts_off=True,
    )


def _left(case: Case) -> Measurement | None:
    """Return the last ammonia, where it counted, is old and still bears on today."""
    finding, free = case.of("ammonia"), case.of("free_ammonia")
    if finding is None or finding.latest is None or doubts(finding):
        return None
    left = finding.latest
    if not finding.stale or left.registers is not True:
        return None
    age = (case.today - left.taken_on).days
    if case.stage != "cycling" and age > case.reference.stage("tests-old-after"):
        return None
    counts = best(finding) >= case.reference.limit("ammonia-look")
    if free is not None and free.latest is not None:
        counts = counts or best(free) >= case.free_ammonia_act
    return left if counts else None


def acute(case: Case, free: float) -> bool:
    """Say whether free ammonia is at or above the published limit for one hour."""
    return free >= case.reference.limit("free-ammonia-acute")


def _may_be_none(case: Case, free: FreeAmmonia) -> bool:
    """Say whether a trace may be less than where to act, with time for a second test.

    Not where the upper end would harm within the hour, the value itself is over the
    published limit, or an animal shows distress.
    """
    distress = case.looks_of(_RULE) or case.in_need
    undecided = free.low < free.act and free.value < free.limit
    return undecided and not acute(case, free.high) and not distress


# ------------------------------------------------------------------------- words


def _free_words(free: FreeAmmonia, acting: bool) -> Sentence:
    return say(
        "meaning.free-ammonia",
        free=free.value,
        high=free.high,
        limit=free.limit,
        act=free.act,
        acting=acting,
    )


def _acute_words(case: Case, free: FreeAmmonia) -> tuple[Sentence, ...]:
    limit = case.reference.limit("free-ammonia-acute")
    if acute(case, free.value):
        return (say("meaning.ammonia-acute", limit=limit),)
    if acute(case, free.high):
        return (say("meaning.ammonia-perhaps-acute", limit=limit),)
    return ()


# ------------------------------------------------------------------------- steps


def _once_more(case: Case, total: float) -> Action:
    """Ask for a second test before any water is changed."""
    return Action(
        id="check-ammonia-again",
        kind="check",
        rule=_RULE,
        what=say("actions.check-ammonia-again"),
        why=say("actions.check-ammonia-again-why", total=total),
        when=case.today,
        parameter="ammonia",
        sources=("common practice, no source: look into a trace and test again",),
    )


def _changes(
    case: Case, free: FreeAmmonia, change: Change, trace: bool
) -> tuple[Action, ...]:
    """Return the change, twice on one day above the limit for one hour."""
    twice = acute(case, free.value)
    volume = None if case.volume is None else change.share * case.volume
    size = {"share": change.share, "volume": volume}
    if trace:
        what = say("actions.change-water-trace", **size)
    else:
        what = say(
            "actions.change-water-ammonia",
            **size,
            usual=past_usual(case, change.share),
            twice=twice,
            reads=_reads(case, free, change),
        )
    key = "acute" if twice else "ammonia"
    goal = case.reference.limit("free-ammonia-acute") if twice else free.act
    why = say(f"actions.change-water-{key}-why", free=free.value, act=goal)
    first = change_action(case, _RULE, what, why, change, "free_ammonia")
    if not twice:
        return (first,)
    left = change.after * (1 - change.share)
    again = replace(
        first,
        id="change-water-again",
        what=say("actions.change-water-again", **size),
        why=say("actions.change-water-again-why", left=change.after),
        expected=(("free_ammonia", left - change.after),),
    )
    return first, again


def _reads(case: Case, free: FreeAmmonia, change: Change) -> float | None:
    """Return the total from which the change is repeated; None: wherever it shows."""
    finding = case.usable("ammonia")
    total = change.goal / ammonia_from_nitrogen(free.share)
    lowest = finding.latest.method.lowest if finding and finding.latest else None
    return total if lowest is not None and total >= lowest else None


def _no_feed(case: Case, trace: bool) -> Action:
    action = feed_none(case, _RULE)
    return replace(action, what=say("actions.feed-none-yet")) if trace else action


def _out_of_it(case: Case, free: FreeAmmonia) -> tuple[Action, ...]:
    """Ask to move the animals out of water that harms within the hour."""
    if not acute(case, free.value):
        return ()
    action = Action(
        id="welfare-move",
        kind="welfare",
        rule=_RULE,
        what=say("actions.welfare-move"),
        why=say("actions.welfare-move-why"),
        when=case.today,
        cautions=(say("cautions.vet"), say("cautions.electricity")),
        sources=(_LIMITS, "common practice, no source: move what can be moved"),
    )
    return (action,)


def _filter(case: Case, free: FreeAmmonia) -> tuple[Action, ...]:
    """Ask for a filter that works, and for fewer animals over the published limit."""
    return running_media(case, _RULE, fewer=free.limit <= free.value)


def _air(case: Case, degree: Degree) -> tuple[Action, ...]:
    """Ask for air and a closer look where free ammonia is high."""
    if degree == "mild":
        return ()
    return (
        Action(
            id="welfare-ammonia",
            kind="welfare",
            rule=_RULE,
            what=say("actions.welfare-ammonia"),
            why=say("actions.welfare-ammonia-why"),
            when=case.today,
            cautions=(say("cautions.vet"),),
            sources=(_LIMITS,),
        ),
    )
