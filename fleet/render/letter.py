"""What one member's page says: the same words for paper, mail and plain text.

It holds nothing of any other member: what others did comes only as shares of at
least ``fewest-tanks`` tanks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from fleet.records import Action, Finding, Member, Progress, Sentence, Usual, say
from fleet.reference import Reference
from fleet.render.progress_charts import StepLine
from fleet.render.progress_words import usual_of
from fleet.render.wording import Wording

_NUTRIENTS = ("nitrate", "phosphate")
_CYCLE = ("ammonia", "nitrite")
_EARLY = ("just cycled", "ugly phase")
_QUARTER = 0.25
_A_GUESS = 0.5  # a stage no surer than this is said to be a guess
_PLAIN_RETESTS = ("actions.retest", "actions.retest-doubted")
_MOST_DAYS = 3
# Situations in which a zero is no matter of waiting.
_ZERO_TO_MEND = ("pests", "zero-in-ugly-phase", "stripped", "one-sided")
# Said here in other words, or of the workbook, which a member does not have.
_LEFT_OUT = ("meaning.doubted", "meaning.experience", "meaning.assumed")
_OTHER_WORDS = {
    "actions.check-volume": say("letter.tell-volume"),
    "actions.check-livestock": say("letter.tell-livestock"),
}
_NOT_FOR_MEMBERS = ("actions.check-date", "actions.log-work")


class Step(NamedTuple):
    """One thing to do; what goes with it is never printed without it."""

    what: Sentence
    why: Sentence
    cautions: tuple[Sentence, ...]
    with_it: tuple[Sentence, ...]  # how to make the solution, when to stop
    tick: bool


@dataclass(frozen=True, slots=True)
class Letter:
    """One member's page, as sentences."""

    member: Member
    where: tuple[Sentence, ...]
    reads: tuple[Sentence, ...]
    why: tuple[Sentence, ...]
    reasons: tuple[Sentence, ...]  # likely causes with their shares
    others: tuple[Sentence, ...]
    lines: tuple[StepLine, ...]
    do: tuple[Step, ...]
    leave: tuple[Sentence, ...]
    buy: tuple[Sentence, ...]
    test: tuple[Sentence, ...]
    ask: Sentence
    about: Sentence


def letter_of(
    member: Member, progress: Progress, wording: Wording, reference: Reference
) -> Letter:
    """Return the page of one member."""
    settings = progress.settings
    return Letter(
        member=member,
        where=tuple(_where(member)),
        reads=tuple(_reads(member)),
        why=tuple(_why(member)),
        reasons=tuple(_reasons(member)),
        others=tuple(_others(member, reference)),
        lines=step_lines(member, wording),
        do=tuple(_do(member, progress)),
        leave=member.report.plan.leave_alone,
        buy=tuple(_buy(member)),
        test=tuple(_test(member)),
        ask=say(
            "letter.ask", organisation=settings.organisation, contact=settings.contact
        ),
        about=say("letter.about", as_of=progress.as_of, made_by=progress.made_by),
    )


# ------------------------------------------------------------ where the tank is


def _where(member: Member) -> Iterator[Sentence]:
    stage, plan = member.report.findings.stage, member.report.plan
    if member.silent_days is not None:
        last = member.report.findings.last_visit
        yield say("letter.silent", last=last, days=member.silent_days)
        yield say("letter.by-age", stage=stage.name)
        return
    if stage.never_started:
        yield say("letter.stage-never-started")
    elif stage.stalled:
        yield say("letter.stage-stalled")
    else:
        yield say(f"letter.stage-{stage.name.replace(' ', '-')}")
    if stage.incident:
        yield say("letter.incident")
    yield say("letter.headline", headline=plan.headline)
    if stage.sure <= _A_GUESS:
        yield say("letter.guess")


# ------------------------------------------------------------- why it reads that


def _reads(member: Member) -> Iterator[Sentence]:
    names: tuple[str, ...] = _NUTRIENTS
    if member.report.findings.stage.name == "cycling":
        names = (*_CYCLE, *_NUTRIENTS)
    for name in names:
        finding = member.report.findings.of(name)
        if finding is None:
            continue
        yield from _read(finding)


def _read(finding: Finding) -> Iterator[Sentence]:
    latest, name = finding.latest, finding.parameter
    if latest is None:
        if not finding.doubted:
            yield say("letter.untested", parameter=name)
    else:
        up_to = latest.low <= 0 and latest.registers is not True
        yield say(
            "letter.reads-up-to" if up_to else "letter.reads",
            parameter=name,
            written=latest.written,
            ends=(latest.low, latest.high),
            on=latest.taken_on,
        )
        if finding.verdict == "cannot tell" and finding.better_method:
            yield say(
                "letter.cannot-tell", parameter=name, better=finding.better_method
            )
    for doubted in finding.doubted[-1:]:
        yield say(
            "letter.doubted",
            parameter=name,
            written=doubted.written,
            on=doubted.taken_on,
        )


def _why(member: Member) -> Iterator[Sentence]:
    found, plan = member.report.findings, member.report.plan
    zeros = [
        finding
        for name in _NUTRIENTS
        if (finding := found.of(name)) and not finding.stale
        if finding.latest and finding.latest.registers is False
    ]
    told = any(s.key == "meaning.zero-after-cycle" for s in plan.meaning)
    worse = plan.attention == "today" or found.stage.incident
    if zeros and found.stage.name in _EARLY and not told and not worse:
        mend = any(name in _ZERO_TO_MEND for name in plan.situations)
        yield say("letter.not-crashed-but" if mend else "letter.not-crashed")
    yield from (s for s in plan.meaning if s.key not in _LEFT_OUT)


def _reasons(member: Member) -> Iterator[Sentence]:
    """Yield the likely causes with their shares, unless the meaning gives them."""
    plan = member.report.plan
    if any(s.key == "meaning.reasons" for s in plan.meaning):
        return
    for cause in member.report.findings.causes:
        yield say(
            "letter.cause",
            cause=cause.cause,
            share=cause.share,
            because=cause.because[0] if cause.because else None,
        )


# ------------------------------------------------------------- what others did


def _others(member: Member, reference: Reference) -> Iterator[Sentence]:
    course = member.course
    if course.week is None:
        yield say("letter.no-week")
        return
    fewest = int(reference.milestone("fewest-tanks"))
    if not member.usual:
        yield say("letter.nothing-to-compare", fewest=fewest)
        return
    tanks = [u.tanks for u in member.usual]
    kinds = {(u.rock, u.seeded) for u in member.usual}
    if len(kinds) == 1:
        rock, seeded = kinds.pop()
        yield say(
            "letter.compared",
            least=min(tanks),
            most=max(tanks),
            rock=rock,
            seeded=seeded,
        )
    else:
        yield say("letter.compared-mixed", least=min(tanks))
    yield say("letter.bars")
    for behind in member.behind[:1]:
        yield say("letter.takes-longer", milestone=behind.milestone, week=behind.week)
    if not member.behind:
        yield say("letter.own-pace")


def step_lines(member: Member, wording: Wording) -> tuple[StepLine, ...]:
    """Return each step: when most tanks came there, and when this one did."""
    course, filled = member.course, member.course.tank.filled_on
    if course.week is None or filled is None:
        return ()
    lines = []
    for seen in course.milestones:
        usual = usual_of(member, seen.key)
        mine = None if seen.on is None else max((seen.on - filled).days / 7, 0.0)
        if usual is None and mine is None:
            continue
        lines.append(_line(seen.key, usual, mine, course.week, wording))
    return tuple(lines)


def _line(
    key: str, usual: Usual | None, mine: float | None, now: int, wording: Wording
) -> StepLine:
    label = wording.label(key, "milestone")
    if usual is None:
        return StepLine(label, None, None, None, None, mine, "")
    weeks = usual.weeks
    at = weeks[min(now, len(weeks)) - 1]
    quarter = next((w.week for w in weeks if w.share >= _QUARTER), None)
    return StepLine(
        label=label,
        quarter=quarter,
        half=usual.half.week if usual.half else None,
        most=usual.most.week if usual.most else None,
        until=weeks[-1].week,
        mine=mine,
        note=wording.plain(
            say("letter.share-there", share=at.share, low=at.low, high=at.high)
        ),
    )


# ------------------------------------------------------------------ what to do


def _do(member: Member, progress: Progress) -> Iterator[Step]:
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


def _buy(member: Member) -> Iterator[Sentence]:
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
        if finding.verdict == "cannot tell" and finding.better_method:
            yield say(
                "letter.buy-test",
                parameter=finding.parameter,
                better=finding.better_method,
            )
            return


# ------------------------------------------------------------------ when to test


def _test(member: Member) -> Iterator[Sentence]:
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
