"""Merge what the situations want, hold it to the guards, put the urgent first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from fleet.plan.case import Case, Wanted
from fleet.plan.guards import hold
from fleet.plan.retests import (
    LEAVE_IT,
    days_of,
    gathered,
    together,
    with_stop_tests,
)
from fleet.plan.situations import BESIDE, SITUATIONS, steady
from fleet.plan.situations_high import EXPORT_NEXT
from fleet.plan.situations_tests import PAPERWORK
from fleet.plan.treatment import only_before_a_change
from fleet.plan.urgency import ranked, score
from fleet.records import Action, Findings, Plan, Sentence, Settings, ShelfItem, say
from fleet.reference import Reference

MOST_LEAVE = 3
MOST_MEANING = 6

# Situations of the water and the animals: what they ask for is never put off.
_FIRST = ("welfare", "cycle-with-animals", "ammonia-left-untested")
# What chases nutrients, and waits while the water or an animal is in need.
_CHASES = ("dose", "water change", "add life", "seed", "feed", "take out", "hold off")
# Work whose own retest follows it; any other retest of the day comes before work.
_WORKED_ON = ("dose", "water change", "feed")

# The order on the sheet: stop and check, take away, then add, then look again.
_KINDS = {
    "welfare": 0, "check": 1, "take out": 3, "hold off": 4, "water change": 5,
    "feed": 6, "add life": 7, "seed": 8, "dose": 9, "wait": 10, "retest": 11,
    "log": 12,
}  # fmt: skip
_TEST_FIRST = 2

# Sentences that say not to dose: dropped where another nutrient is dosed.
_NO_DOSE = (
    "leave.dose-for-zero", "leave.dose-when-well", "leave.dose-when-it-registers",
    "leave.dose-yet", "leave.dose-when-over",
)  # fmt: skip
# What speaks of the dose on the sheet: dropped where there is none.
_OF_THE_DOSE = ("leave.one-go",)


def plan_tank(
    findings: Findings,
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    volumes: tuple[float, ...] = (),
) -> Plan:
    """Return what is wanted at one tank, most urgent first.

    ``volumes`` are the smallest and the largest of the round [L], which one stock of
    each salt is to serve; the tank's own where they are not given.
    """
    case = Case(findings, shelf, settings, reference, volumes)
    situations = situations_of(case)
    attention, points, parts = score(case, situations)
    wanted, put_off = _water_first(case, situations)
    held = hold(case, _merged(wanted))
    asked = _without_idle(only_before_a_change(held.kept))
    actions = with_stop_tests(case, together(case, asked))
    return Plan(
        attention=attention,
        score=points,
        score_parts=parts,
        situations=tuple(w.id for w in situations),
        headline=situations[0].headline,
        meaning=_meaning(situations),
        actions=_numbered(case, gathered(case, _sorted(case, (*actions, *put_off)))),
        leave_alone=_leave(situations, held.refused, actions),
        retests=days_of(case, actions),
    )


def situations_of(case: Case) -> tuple[Wanted, ...]:
    """Return the situations a tank is in, the leading one first."""
    found = ranked((w for s in SITUATIONS if (w := s(case))), case.reference)
    if any(w.id not in BESIDE for w in found):
        return found
    calm = steady(case)
    return (calm, *found) if calm else found


def _water_first(
    case: Case, situations: tuple[Wanted, ...]
) -> tuple[tuple[Action, ...], tuple[Action, ...]]:
    """Return the actions to ask for, and the one that puts the others off.

    While the water is unsafe or an animal in need, nutrients are not chased.
    """
    actions = tuple(action for wanted in situations for action in wanted.actions)
    before_all = next((wanted.id for wanted in situations if wanted.puts_off), "")
    if not before_all:
        return actions, ()
    chased = {a.rule for a in actions if a.rule not in _FIRST and a.kind in _CHASES}
    if not chased:
        return actions, ()
    kept = tuple(
        action
        for action in actions
        if action.kind not in _CHASES
        and not (action.rule in chased and _follows_up(action))
        or action.rule in _FIRST
    )
    wait = Action(
        id="wait-nutrients",
        kind="wait",
        rule=before_all,
        what=say("actions.wait-nutrients"),
        why=say("actions.wait-nutrients-why"),
        when=case.today,
    )
    return kept, (wait,)


def _follows_up(action: Action) -> bool:
    """Say whether an action only looks after work that is put off."""
    later = action.kind in ("wait", "log") or action.id == EXPORT_NEXT
    return later or (action.kind == "retest" and not action.method_class)


def _merged(actions: Iterable[Action]) -> tuple[Action, ...]:
    """Return each thing asked for once: the leading situation's, bounded by others."""
    kept: dict[str, Action] = {}
    for action in actions:
        before = kept.get(action.id)
        kept[action.id] = action if before is None else _one_of(before, action)
    return tuple(kept.values())


def _one_of(first: Action, second: Action) -> Action:
    """Return which of two equal requests stands."""
    if first.kind == "retest":
        # The sooner day, and the method that can tell if either asks for one.
        sooner = min(first, second, key=lambda a: (a.when, not a.method_class))
        other = second if sooner is first else first
        if other.method_class and not sooner.method_class:
            return _same_day(other, sooner)
        return sooner
    if first.kind == "water change":
        # Animals in need: the larger; nutrients: the smaller step.
        urgent = first.rule in _FIRST and second.rule in _FIRST
        if urgent or first.rule not in _FIRST:
            choose = max if urgent else min
            return choose(first, second, key=lambda a: a.water_change_share or 0.0)
    return first


def _same_day(told: Action, sooner: Action) -> Action:
    """Return the retest by a better method, moved to the sooner day."""
    what = say(
        "actions.retest-with",
        parameter=told.parameter,
        method=told.method_class,
        when=sooner.when,
    )
    return replace(told, when=sooner.when, what=what)


def _without_idle(actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Ask to write work down only where there is work, to leave alone where none."""
    kinds = {action.kind for action in actions}
    if kinds.isdisjoint(("dose", "water change")):
        actions = tuple(a for a in actions if a.kind != "log")
    if kinds <= {"wait", "retest", "log"}:
        return actions
    return tuple(a for a in actions if a.what.key != LEAVE_IT)


def _sorted(case: Case, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    soon = case.after("urgent-retest")
    work = [a for a in actions if a.kind in _WORKED_ON]
    at_work = {a.rule for a in work}
    today = [a for a in work if a.when <= case.today]
    after_work = max((_KINDS[a.kind] for a in today), default=0)
    # A test by tomorrow may tell before a dose; it never holds up an animal in need.
    needed = (_KINDS[a.kind] for a in today if a.rule in _FIRST)
    after_need = max(needed, default=_TEST_FIRST)

    def order(action: Action) -> tuple[int, int, bool]:
        place = _KINDS[action.kind]
        if action.kind == "retest" and action.when <= case.today:
            place = _TEST_FIRST
        elif action.kind == "retest" and action.when <= soon:
            place = place if action.rule in at_work else after_need
        if action.kind == "add life" and action.when > case.today:
            place = max(place, after_work)
        if action.id == "feed-more":
            place = _KINDS["seed"]  # life first, then feed, then a dose
        if action.kind in ("check", "feed") and action.when > soon:
            place = _KINDS["retest"]
        if action.id.startswith(PAPERWORK):
            place = _KINDS["log"]
        return place, action.when.toordinal(), action.kind != "retest"

    return tuple(sorted(actions, key=order))


def _numbered(case: Case, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Return the actions with their place, each with a source: at least its rule's."""
    rules = case.reference.situations
    return tuple(
        replace(
            action,
            priority=place,
            sources=action.sources or (f"rule: {rules[action.rule]['source']}",),
        )
        for place, action in enumerate(actions, start=1)
    )


def _meaning(situations: tuple[Wanted, ...]) -> tuple[Sentence, ...]:
    """Return what it means, each thing said once; what stands beside is always said."""
    said = dict.fromkeys(s for w in situations for s in w.meaning)
    beside = [s for w in situations if w.id in BESIDE for s in w.meaning]
    rest = [s for s in said if s not in beside][: MOST_MEANING - len(beside)]
    return (*rest, *beside)


def _leave(
    situations: tuple[Wanted, ...],
    refused: tuple[Sentence, ...],
    actions: tuple[Action, ...],
) -> tuple[Sentence, ...]:
    """Return what not to do: at most three, none against what is asked."""
    dosed = any(action.kind == "dose" for action in actions)
    leading = situations[0].leave
    # What stands beside is true whatever else is asked, so it is not crowded out.
    later = sorted(situations[1:], key=lambda wanted: wanted.id not in BESIDE)
    others = [wanted.leave for wanted in later]
    first = (leave[0] for leave in others if leave)
    rest = (sentence for leave in others for sentence in leave[1:])
    said = dict.fromkeys((*refused, *leading[:2], *first, *leading[2:], *rest))
    wrong = _NO_DOSE if dosed else _OF_THE_DOSE
    return tuple(s for s in said if s.key not in wrong)[:MOST_LEAVE]
