"""Sentences and short words that the mentor's view says in every format."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fleet.records import Report, Sentence, SourceFile, say
from fleet.records.mentoring import Member, MentorVisit, MilestoneSeen, Progress, Usual
from fleet.reference import Reference
from fleet.render.wording import Wording


def report_for(
    progress: Progress, sources: tuple[SourceFile, ...] | None = None
) -> Report:
    """Return a report without tanks: what a page's furniture needs."""
    return Report(
        as_of=progress.as_of,
        made_by=progress.made_by,
        settings=progress.settings,
        sources=progress.sources if sources is None else sources,
        tanks=(),
        shopping=(),
        problems=(),
        counts=(),
    )


def next_sentence(member: Member, reference: Reference) -> Sentence:
    """Say what comes next for a tank, and by when most get there."""
    key = member.course.next
    if member.report.findings.stage.never_started:
        return say("progress.next-start")
    if not key:
        return say("progress.next-none")
    usual = usual_of(member, key)
    if usual is not None and usual.most is None and usual.half is None:
        # What others did in their first weeks says nothing to a far older tank.
        far = 2 * usual.weeks[-1].week < (member.course.week or 0)
        usual = None if far else usual
    if usual is None:
        book = reference.milestones.get(f"book-{key}")
        if book is None or (member.course.week or 0) > book["high"]:
            return say("progress.next", milestone=key)
        return say(
            "progress.next-book", milestone=key, low=book["low"], high=book["high"]
        )
    kind = {"tanks": usual.tanks, "rock": usual.rock, "seeded": usual.seeded}
    if usual.most is not None:
        return say("progress.next-usual", milestone=key, most=usual.most, **kind)
    if usual.half is not None:
        return say("progress.next-half", milestone=key, half=usual.half, **kind)
    last = usual.weeks[-1]
    return say(
        "progress.next-few-yet",
        milestone=key,
        share=last.share,
        week=last.week,
        **kind,
    )


def usual_of(member: Member, key: str) -> Usual | None:
    """Return what is usual of one step for a tank's kind."""
    return next((u for u in member.usual if u.milestone == key), None)


def kind_words(usual: Usual, wording: Wording) -> str:
    """Return the kind of tanks that ``usual`` rests on, in a few words."""
    parts = []
    if usual.rock:
        parts.append(wording.label(usual.rock, "rock-kind"))
    if usual.seeded is not None:
        word = "seeded" if usual.seeded else "not-seeded"
        parts.append(wording.label(word, "mentor"))
    return ", ".join(parts) or wording.label("all-kinds", "mentor")


def silent_sentence(member: Member) -> Sentence:
    """Say when a tank's last reading came."""
    last = member.report.findings.last_visit
    return say("progress.silent", last=last, days=member.silent_days or 0)


def eased_sentence(member: Member, until: date) -> Sentence:
    """Say that weekly tests are no longer needed, and until when."""
    since = member.course.in_band_since or until
    return say("progress.eased", since=since, until=until)


def silent(progress: Progress) -> Iterator[Member]:
    """Yield the members who have not sent readings, the longest first."""
    members = [m for g in progress.groups for m in g.members]
    quiet = [m for m in members if m.silent_days is not None]
    yield from sorted(quiet, key=lambda m: (-(m.silent_days or 0), m.report.tank.key))


def eased(progress: Progress) -> Iterator[tuple[Member, date]]:
    """Yield the members who may skip weekly tests, with the day of the next one."""
    for group in progress.groups:
        for member in group.members:
            if member.eased_until is not None:
                yield member, member.eased_until


def step_words(seen: MilestoneSeen, wording: Wording) -> str:
    """Return when a tank came to a step, as one cell of a table."""
    if seen.on is None:
        known = seen.watched_until is not None
        return wording.label("not-yet" if known else "not-looked", "letter")
    if seen.week is None:
        return wording.display.short_day(seen.on)
    return f"{wording.label('week', 'mentor')} {seen.week}"


def why_words(visit: MentorVisit, wording: Wording) -> str:
    """Return why a tank is to be visited, as markup of whole sentences."""
    said = [wording.markup(sentence).rstrip() for sentence in visit.why]
    return " ".join(text if text[-1:] in ".!?" else f"{text}." for text in said)
