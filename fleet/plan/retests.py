"""What to measure again, by when, and with which class of method."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from fleet.plan.case import NUTRIENTS, Case
from fleet.records import Action, Sentence, say

LEAVE_IT = "actions.leave-until"
THIRD = 3  # from this many portions on, a test says whether to go on


def retest(
    case: Case,
    rule: str,
    parameter: str,
    when: date,
    *,
    method_class: str = "",
    what: Sentence | None = None,
    why: Sentence | None = None,
) -> Action:
    """Return the retest of one parameter; ``why`` defaults to the rule's own."""
    plain = say("actions.retest", parameters=(parameter,), when=when)
    if method_class:
        plain = say(
            "actions.retest-with", parameter=parameter, method=method_class, when=when
        )
    return Action(
        id=f"retest-{parameter}",
        kind="retest",
        rule=rule,
        what=what or plain,
        why=why or say(f"actions.retest-why-{rule}", parameter=parameter),
        when=max(when, case.today),
        parameter=parameter,
        method_class=method_class,
    )


def retests(
    case: Case,
    rule: str,
    parameters: Iterable[str],
    when: date,
    why: Sentence | None = None,
) -> tuple[Action, ...]:
    """Return one plain retest for each of ``parameters``.

    A nutrient whose test cannot tell is asked for with one that can.
    """
    return tuple(
        retest(case, rule, name, when, method_class=better_method(case, name), why=why)
        for name in parameters
    )


def leave_it(case: Case, rule: str, why: Sentence) -> Action:
    """Ask for nothing but the weekly test."""
    when = next_round(case)
    return Action(
        id=f"wait-{rule}",
        kind="wait",
        rule=rule,
        what=say(LEAVE_IT, when=when),
        why=why,
        when=case.today,
        until=when,
    )


def better_method(case: Case, parameter: str) -> str:
    """Return the class of method that could tell, where the one used cannot."""
    if parameter not in case.blind:
        return ""
    finding = case.of(parameter)
    if finding is not None and finding.better_method:
        return finding.better_method
    limit = case.reference.limit(f"{parameter}-can-tell")
    for key, method in case.reference.methods.items():
        if (
            method.measures == parameter
            and method.kind == "meter"
            and method.lowest is not None
            and method.lowest <= limit
        ):
            return key
    return ""


def week(case: Case) -> date:
    """Return the day a week ahead, or the next round if that is sooner."""
    days = int(case.reference.limit("week-retest"))
    return case.today + timedelta(days=min(days, case.settings.round_days))


def next_round(case: Case) -> date:
    """Return the day of the next round."""
    return case.today + timedelta(days=max(case.settings.round_days, 1))


def days_of(case: Case, actions: Iterable[Action]) -> tuple[tuple[str, date], ...]:
    """Return the day each parameter is tested again: as asked, else next round."""
    days: dict[str, date] = {}
    routine = next_round(case)
    for finding in case.findings.findings:
        if finding.latest is not None and finding.parameter != "free_ammonia":
            days[finding.parameter] = routine
    for name in NUTRIENTS:
        if case.stage != "cycling":
            days.setdefault(name, routine)
    asked: dict[str, date] = {}
    for action in actions:
        if action.kind == "retest" and action.parameter:
            before = asked.get(action.parameter, action.when)
            asked[action.parameter] = min(action.when, before)
    days.update(asked)
    order = list(case.reference.parameters)
    return tuple(sorted(days.items(), key=lambda pair: order.index(pair[0])))


def together(case: Case, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Let nitrate and phosphate be read at one visit where their days lie close."""
    days = {
        a.parameter: a.when
        for a in actions
        if _is_plain(a) and a.parameter in NUTRIENTS
    }
    if len(days) < len(NUTRIENTS):
        return actions
    sooner, later = min(days.values()), max(days.values())
    few = case.reference.limit("few-retests-apart")
    # What was dosed needs these days to show, so a sooner test is left by itself.
    if (later - sooner).days > few or (sooner - case.today).days < few:
        return actions
    return tuple(
        replace(
            a,
            when=sooner,
            what=say("actions.retest", parameters=(a.parameter,), when=sooner),
        )
        if _is_plain(a) and a.parameter in NUTRIENTS
        else a
        for a in actions
    )


def with_stop_tests(case: Case, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Ask for the test that a dose's stop rule needs, where none comes in time.

    It belongs to the dose: the retest that a situation asks for keeps its day.
    """
    days: dict[date, list[Action]] = {}
    for dose in actions:
        third = dose.when + timedelta(days=THIRD - 1)
        long_ = dose.kind == "dose" and (dose.days or 0) >= THIRD
        if long_ and dose.parameter in NUTRIENTS and not _tested(dose, third, actions):
            days.setdefault(third, []).append(dose)
    return (*actions, *(_stop_test(day, doses) for day, doses in days.items()))


def _tested(dose: Action, third: date, actions: tuple[Action, ...]) -> bool:
    """Say whether a test comes between the third portion and the day after the last."""
    after = (dose.until or third) + timedelta(days=1)
    return any(
        action.kind == "retest"
        and action.parameter == dose.parameter
        and third <= action.when <= after
        for action in actions
    )


def _stop_test(when: date, doses: list[Action]) -> Action:
    names = tuple(dose.parameter for dose in doses)
    return Action(
        id=f"check-course-{'-'.join(names)}",
        kind="check",
        rule=doses[0].rule,
        what=say("actions.check-course", parameters=names, when=when),
        why=say("actions.check-course-why"),
        when=when,
        parameter=names[0] if len(names) == 1 else "",
        sources=("house choice: a rule to stop needs a test that can apply it",),
    )


def gathered(case: Case, actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Put plain retests of one day on one line, where they have one reason.

    Nitrate and phosphate are on one line for whatever reasons.
    """
    groups: dict[tuple[str, date], list[str]] = {}
    for action in actions:
        if _is_plain(action):
            names = groups.setdefault((action.rule, action.when), [])
            names.append(action.parameter)
    for when in dict.fromkeys(day for _, day in groups):
        alike = [
            key
            for key, names in groups.items()
            if key[1] == when and set(names) <= set(NUTRIENTS)
        ]
        for key in alike[1:]:
            groups[alike[0]] += groups.pop(key)
    order = list(case.reference.parameters)
    kept: list[Action] = []
    for action in actions:
        if not _is_plain(action):
            kept.append(action)
        elif names := groups.pop((action.rule, action.when), []):
            kept.append(_joint(action, sorted(names, key=order.index)))
    return tuple(kept)


def _is_plain(action: Action) -> bool:
    return action.kind == "retest" and action.what.key == "actions.retest"


def _joint(first: Action, names: list[str]) -> Action:
    if len(names) == 1:
        return first
    return replace(
        first,
        # A long list is named by its reason, so that the id stays short.
        id=f"retest-{'-'.join(names) if len(names) < 4 else first.rule}",
        parameter="",
        what=say("actions.retest", parameters=tuple(names), when=first.when),
    )
