"""Did the last dose show: too little of it, or too much."""

from __future__ import annotations

from fleet.plan.case import EARLY, NUTRIENTS, Case, Wanted
from fleet.plan.doses import Rise
from fleet.plan.last_doses import unseen, went_over
from fleet.plan.lowering import lowered, stripped_too
from fleet.plan.raising import band_aim, floor, raised
from fleet.plan.retests import retests
from fleet.records import Action, Sentence, say


def dosed_and_nothing_seen(case: Case) -> Wanted | None:
    """Dosed, but the rise did not show: small repeats, never a big one."""
    young = case.stage in EARLY or case.films
    gone = tuple(
        name
        for name in NUTRIENTS
        # A settled tank in its band may well live on what it is dosed.
        if unseen(case, name) and (name in _lacking(case) or young)
    )
    if not gone:
        return None
    rule = "dosed-and-nothing-seen"
    return Wanted(
        rule,
        say("headlines.dosed-and-nothing-seen", parameters=gone),
        meaning=tuple(words for name in gone for words in _where_it_went(case, name)),
        actions=(
            _check(case, rule),
            *raised(case, rule, _repeats(case, gone)),
            *retests(case, rule, gone, case.after("ugly-retest")),
        ),
        leave=(say("leave.bigger-dose"),),
        degree="" if set(gone) & set(_lacking(case)) else "mild",
    )


def _lacking(case: Case) -> tuple[str, ...]:
    return (*case.short, *case.blind)


def _repeats(case: Case, gone: tuple[str, ...]) -> tuple[Rise, ...]:
    days = int(case.reference.limit("ugly-retest"))
    modest = case.stage in EARLY or case.films
    slow = case.reference.limit("slow-pace")
    return tuple(
        Rise(name, floor(case, name), days)
        if modest
        else Rise(name, band_aim(case, name), days, slow)
        for name in gone
        if name in case.short
    )


def _where_it_went(case: Case, parameter: str) -> tuple[Sentence, ...]:
    effect = unseen(case, parameter)
    if effect is None:
        return ()
    return (
        say(
            "meaning.dosed-and-nothing-seen",
            parameter=parameter,
            on=effect.work.on,
            expected=effect.expected_rise,
            seen=effect.seen_rise,
            kept=max(effect.kept_share or 0.0, 0.0),
        ),
        say(f"meaning.gone-{parameter}"),
    )


def _check(case: Case, rule: str) -> Action:
    return Action(
        id="check-dose",
        kind="check",
        rule=rule,
        what=say("actions.check-dose", volume=case.volume),
        why=say("actions.check-dose-why"),
        when=case.today,
    )


def dosed_and_over(case: Case) -> Wanted | None:
    """Taken over the band by a logged dose: stop, and wait or change water."""
    overdosed = tuple(name for name in case.over if went_over(case, name))
    if not overdosed:
        return None
    rule = "dosed-and-over"
    beyond = tuple(
        name for name in overdosed if (f := case.of(name)) and f.second_limit == "high"
    )
    stop = tuple(
        Action(
            id=f"hold-off-dose-{name}",
            kind="hold off",
            rule=rule,
            what=say("actions.hold-off-dose", parameter=name),
            why=say("actions.hold-off-dose-why", parameter=name),
            when=case.today,
            parameter=name,
        )
        for name in overdosed
    )
    when = case.after("ugly-retest")
    wait = Action(
        id="wait-after-dose",
        kind="wait",
        rule=rule,
        what=say("actions.wait-after-dose", when=when),
        why=say("actions.wait-after-dose-why"),
        when=case.today,
        until=when,
    )
    change = lowered(case, rule, beyond)
    too_low = stripped_too(case, change)
    return Wanted(
        rule,
        say("headlines.dosed-and-over", parameters=overdosed),
        meaning=(
            say("meaning.dosed-and-over", parameters=overdosed),
            *(low.words for low in too_low),
        ),
        actions=(
            *stop,
            *(change or (wait,)),
            *retests(
                case, rule, (*overdosed, *(low.parameter for low in too_low)), when
            ),
        ),
        leave=(say("leave.dose-when-over"), say("leave.media-for-a-dose")),
    )
