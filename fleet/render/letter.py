"""What one member's page says: the same words for paper, mail and plain text.

It holds nothing of any other member: what others did comes only as shares of at
least ``fewest-tanks`` tanks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fleet.records import Finding, Sentence, say
from fleet.records.mentoring import Member, Progress
from fleet.reference import Reference
from fleet.render.letter_chart import StepLine
from fleet.render.letter_do import Step, not_to_buy, steps_to_do, tests_due
from fleet.render.letter_others import others, step_lines
from fleet.render.wording import Wording

_NUTRIENTS = ("nitrate", "phosphate")
_CYCLE = ("ammonia", "nitrite")
_EARLY = ("just cycled", "ugly phase")
# Situations in which a zero is no matter of waiting.
_ZERO_TO_MEND = ("pests", "zero-in-ugly-phase", "stripped", "one-sided")
# Said here in other words, or of the workbook, which a member does not have.
_LEFT_OUT = (
    "meaning.doubted", "meaning.cannot-tell", "meaning.stale", "meaning.experience",
    "meaning.assumed", "doubts.judged-without",
)  # fmt: skip


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
        where=tuple(_where(member, reference)),
        reads=tuple(_reads(member)),
        why=tuple(_why(member)),
        reasons=tuple(_reasons(member)),
        others=tuple(others(member, reference)),
        lines=step_lines(member, wording),
        do=tuple(steps_to_do(member, progress)),
        leave=member.report.plan.leave_alone,
        buy=tuple(not_to_buy(member)),
        test=tuple(tests_due(member)),
        ask=say(
            "letter.ask", organisation=settings.organisation, contact=settings.contact
        ),
        about=say("letter.about", as_of=progress.as_of, made_by=progress.made_by),
    )


# ------------------------------------------------------------ where the tank is


def _where(member: Member, reference: Reference) -> Iterator[Sentence]:
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
    if stage.sure <= reference.stage("sure-one"):
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
        if finding.verdict == "cannot tell" and latest.registers:
            yield say("letter.at-an-edge", parameter=name)
        elif finding.verdict == "cannot tell":
            yield say(
                "letter.cannot-tell", parameter=name, better=finding.better_method
            )
    for doubted in finding.against[-1:]:
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
    lists = member.report.findings.cause_lists
    for listed in lists:
        for number, cause in enumerate(listed.causes):
            first = number == 0 and len(lists) > 1
            yield say(
                "letter.cause",
                of=listed.parameters if first else (),
                side=listed.side,
                cause=cause.cause,
                share=cause.share,
                because=cause.because[0] if cause.because else None,
            )
