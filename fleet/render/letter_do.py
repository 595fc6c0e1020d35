"""What a member is asked to do, to leave, not to buy, and when to test."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from fleet.records import Action, Sentence, say
from fleet.records.mentoring import Member, Progress

_NUTRIENTS = ("nitrate", "phosphate")
_CYCLE = ("ammonia", "nitrite")
_EARLY = ("just cycled", "ugly phase")
# Said in other words: a member has no workbook to write in.
_OTHER_WORDS = {
    "actions.check-volume": say("letter.tell-volume"),
    "actions.check-livestock": say("letter.tell-livestock"),
}
_NOT_FOR_MEMBERS = ("actions.check-date", "actions.log-work")
_PLAIN_RETESTS = ("actions.retest", "actions.retest-doubted")
_MOST_DAYS = 3


class Step(NamedTuple):
    """One thing to do; what goes with it is never printed without it."""

    what: Sentence
    why: Sentence
    cautions: tuple[Sentence, ...]
    with_it: tuple[Sentence, ...]  # how to make the solution, when to stop
    tick: bool


def steps_to_do(member: Member, progress: Progress) -> Iterator[Step]:
    """Yield what is due before the next round, in order; tests stand by themselves."""
    until = progress.as_of + timedelta(days=max(progress.settings.round_days, 1))
    said: set[Sentence] = set()  # no caution comes twice on a page
    for action in member.report.plan.actions:
        if action.kind == "retest" or action.what.key in _NOT_FOR_MEMBERS:
            continue
        if action.when > until:
            continue
        yield Step(
            what=_what(action, progress.as_of),
            why=action.why,
            cautions=tuple(c for c in action.cautions if c not in said),
            with_it=tuple(_with_it(action)),
            tick=action.kind not in ("wait", "hold off"),
        )
        said.update(action.cautions)


def _what(action: Action, as_of: date) -> Sentence:
    what = _OTHER_WORDS.get(action.what.key, action.what)
    if action.when <= as_of:
        return what
    return say("letter.then-on", when=action.when, what=what)


def _with_it(action: Action) -> Iterator[Sentence]:
    if action.stock is not None:
        yield say("letter.stock", stock=action.stock)
    if action.stop_if is not None:
        yield say("letter.stop-if", stop=action.stop_if)


def not_to_buy(member: Member) -> Iterator[Sentence]:
    """Yield what is not worth buying for a tank as it is now."""
    found = member.report.findings
    nutrients = [f for name in _NUTRIENTS if (f := found.of(name)) is not None]
    verdicts = [finding.verdict for finding in nutrients]
    if member.silent_days is not None:
        yield say("letter.buy-untested")
    elif found.stage.name == "cycling":
        yield say("letter.buy-cycling")
    elif "over" in verdicts:
        yield say("letter.buy-high")
    elif found.stage.name in _EARLY:
        yield say("letter.buy-early")
    elif "under" in verdicts:
        yield say("letter.buy-low")
    elif "within" in verdicts:
        yield say("letter.buy-fine")
    else:
        yield say("letter.buy-untested")
    for finding in nutrients:
        if (
            finding.verdict == "cannot tell"
            and finding.better_method
            and not (finding.latest is not None and finding.latest.registers)
        ):
            yield say(
                "letter.buy-test",
                parameter=finding.parameter,
                better=finding.better_method,
            )
            return


# ------------------------------------------------------------------ when to test


def tests_due(member: Member) -> Iterator[Sentence]:
    """Yield what to test again, and by when."""
    plan = member.report.plan
    if member.eased_until is not None:
        yield say("letter.test-eased", when=member.eased_until)
        yield say("letter.send-look")
        return
    days: dict[date, tuple[str, ...]] = {}
    covered: set[str] = set()
    for action in plan.actions:
        if action.kind != "retest":
            continue
        names = _parameters(action)
        covered.update(names)
        if action.what.key in _PLAIN_RETESTS:
            days[action.when] = (*days.get(action.when, ()), *names)
        else:
            yield action.what
    for day, names in _rest(member, covered).items():
        days[day] = (*days.get(day, ()), *names)
    for number, (day, names) in enumerate(sorted(days.items())[:_MOST_DAYS]):
        unique = tuple(dict.fromkeys(names))
        also = "also" if number else "on"
        yield say(f"letter.test-{also}", parameters=unique, when=day)
    if not days and not covered:
        yield say("letter.test-none")
    yield say("letter.send-look")


def _parameters(action: Action) -> tuple[str, ...]:
    facts = dict(action.what.facts)
    names = facts.get("parameters")
    if isinstance(names, tuple):
        return names
    return (action.parameter,) if action.parameter else ()


def _rest(member: Member, covered: Iterable[str]) -> dict[date, tuple[str, ...]]:
    """Return by day what else is tested again, of what a young tank is judged by."""
    names = set(_NUTRIENTS) - set(covered)
    if member.report.findings.stage.name == "cycling":
        names = set(_CYCLE) - set(covered)
    days: dict[date, tuple[str, ...]] = {}
    for parameter, day in member.report.plan.retests:
        if parameter in names:
            days[day] = (*days.get(day, ()), parameter)
    return days
