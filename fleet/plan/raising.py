"""Bring a missing nutrient up: export off first, a second look, then a dose."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from fleet.plan.case import EARLY, SETTLED, Case
from fleet.plan.doses import Rise, dose
from fleet.plan.export import ease, take_out, takes_doses, taking
from fleet.plan.last_doses import pending
from fleet.plan.retests import retest, retests, week
from fleet.plan.sudden import unexpected_zero
from fleet.records import Action, Sentence, say


def floor(case: Case, parameter: str) -> float:
    """Return the modest floor that a dose aims at while films grow [mg/L]."""
    finding = case.of(parameter)
    band = finding.band if finding else None
    if band is not None and band.aim is not None and case.stage in EARLY:
        return band.aim
    return case.reference.limit(f"{parameter}-floor")


def band_aim(case: Case, parameter: str) -> float:
    """Return where a settled tank is brought to, inside its band [mg/L]."""
    finding = case.of(parameter)
    band = finding.band if finding else None
    if band is None:
        return floor(case, parameter)
    return next((edge for edge in (band.aim, band.low) if edge), floor(case, parameter))


def nitrate_waits(case: Case) -> Sentence | None:
    """Return why nitrate is not dosed now, where corals could come to harm by it.

    Plenty of nitrate beside scarce phosphate costs corals tissue (Wiedenmann et al.
    2013, Rosset et al. 2017). The little that films in a young tank get stays.
    """
    grown = case.stage in SETTLED and not case.films
    hungry = bool(case.looks_of("mature-and-starving"))
    if case.findings.corals is False or not (grown or hungry):
        return None
    known = case.judged("phosphate") is not None and "phosphate" not in case.blind
    return None if known else say("leave.refused-phosphate-first", parameter="nitrate")


def raised(case: Case, rule: str, wanted: Iterable[Rise]) -> tuple[Action, ...]:
    """Return what brings each nutrient up.

    Export that takes it comes off, instead of a dose where it would take that too; a
    dose logged since the last test is waited for; without a volume, it is asked for.
    """
    rises = tuple(wanted)
    if nitrate_waits(case):
        rises = tuple(rise for rise in rises if rise.parameter != "nitrate")
    parameters = tuple(rise.parameter for rise in rises)
    names = taking(case, parameters)
    off = take_out if case.young else ease
    if takes_doses(case, parameters):
        why = say("actions.retest-why-stripped", parameter=parameters[0])
        tests = retests(case, rule, parameters, week(case), why)
        return (*off(case, rule, names), *tests)
    if rises and case.volume is None:
        return (check_volume(case, rule),)
    actions: list[Action] = [*off(case, rule, names)]
    for rise in rises:
        made = dose(case, rule, rise)
        if made is not None:
            actions += _second_look(case, rule, rise.parameter)
            actions.append(_without_echo(made, actions))
        elif pending(case, rise.parameter) != 0.0:
            actions.append(_test_before_more(case, rule, rise.parameter))
    if any(action.kind == "dose" for action in actions):
        actions.append(log_it(case, rule))
    return tuple(actions)


def _without_echo(made: Action, before: Iterable[Action]) -> Action:
    """Return a dose that does not give its reason again after one that has."""
    said = {action.why.key for action in before if action.kind == "dose"}
    if made.why.key not in said or made.why.key == "actions.dose-why-repeat":
        return made
    return replace(made, why=say("actions.dose-why-too", parameter=made.parameter))


def _second_look(case: Case, rule: str, parameter: str) -> tuple[Action, ...]:
    """Ask for one more test before the dose, where the zero comes out of nowhere."""
    finding = case.of(parameter)
    why = unexpected_zero(case, finding) if finding else None
    if why is None or rule == "dosed-and-nothing-seen":  # it asks for its own check
        return ()
    check = Action(
        id=f"check-zero-{parameter}",
        kind="check",
        rule=rule,
        what=say("actions.check-zero", parameter=parameter),
        why=why,
        when=case.today,
        parameter=parameter,
        sources=("house choice: one test in many is wrong, a second one seldom",),
    )
    return (check,)


def check_volume(case: Case, rule: str) -> Action:
    """Ask for the volume, without which no dose can be worked out."""
    return Action(
        id="check-volume",
        kind="check",
        rule=rule,
        what=say("actions.check-volume"),
        why=say("actions.check-volume-why"),
        when=case.today,
    )


def log_it(case: Case, rule: str) -> Action:
    """Ask for the work to be written down, so that its effect can be seen."""
    return Action(
        id="log-work",
        kind="log",
        rule=rule,
        what=say("actions.log-work"),
        why=say("actions.log-work-why"),
        when=case.today,
    )


def _test_before_more(case: Case, rule: str, parameter: str) -> Action:
    when = case.after("urgent-retest")
    return retest(
        case,
        rule,
        parameter,
        when,
        what=say("actions.retest-after-dose", parameter=parameter, when=when),
        why=say("actions.retest-after-dose-why", parameter=parameter),
    )
