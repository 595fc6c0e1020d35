"""Whose sand may go into another tank: a healthy, older one, as like it as can be."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

from fleet.assess.progress_course import Track
from fleet.records import Tank
from fleet.records.mentoring import Member
from fleet.reference import Reference

_WORD = re.compile(r"[^\W\d_]+(?: spot)?")
_TOO_LIKE_OTHERS = 3  # letters; "ill" must not be found in "illuminated"
_OWN_USE = ("quarantine", "none yet")


def givers_of(
    members: Iterable[tuple[Member, Track]], reference: Reference
) -> tuple[Member, ...]:
    """Return the members whose tank may give sand to another."""
    return tuple(m for m, track in members if _may_give(m, track, reference))


def giver_for(
    member: Member, givers: Iterable[Member], reference: Reference
) -> Member | None:
    """Return the giver most like a tank: by kind, then place, then age."""
    tank, week = member.report.tank, member.course.week or 0

    def unlike(giver: Member) -> tuple[bool, bool, int, int, str]:
        other = giver.report.tank
        kind = tank.livestock not in ("", "none yet", other.livestock)
        place = not tank.place or tank.place.casefold() != other.place.casefold()
        apart = abs((giver.course.week or 0) - week)
        return kind, place, apart, giver.report.plan.score, other.key

    others = [g for g in givers if g.report.tank.key != tank.key]
    return min(others, key=unlike, default=None)


def _may_give(member: Member, track: Track, reference: Reference) -> bool:
    tank, findings, plan = member.report.tank, track.findings, member.report.plan
    if tank.livestock in _OWN_USE or findings.animals is not True:
        return False
    if findings.stage.name not in ("settling", "mature") or findings.stage.incident:
        return False
    if track.filled is None or member.silent_days is not None or not findings.looks:
        return False
    if (track.as_of - track.filled).days < reference.milestone("donor-age"):
        return False
    if plan.attention == "today" or "welfare" in plan.situations:
        return False
    return not _sign_of_harm(tank, track, reference)


def _sign_of_harm(tank: Tank, track: Track, reference: Reference) -> bool:
    """Say whether a pest, a sick or lost animal, or a newcomer was noted of late."""
    clean = _since(track, "donor-clean", reference)
    bad = set(reference.milestones["donor-looks"]["words"])
    recent = [r for r in track.readings if r.taken_on > clean]
    if any(bad.intersection(r.looks) for r in recent):
        return True
    newcomers = _since(track, "donor-quarantine", reference)
    for done in track.work:
        if done.work == "livestock out" and done.on > clean:
            return True
        if done.work == "livestock in" and done.on > newcomers:
            return True
    texts = [tank.notes, *(r.notes for r in recent), *(r.look_written for r in recent)]
    texts += [f"{w.substance} {w.notes}" for w in track.work if w.on > clean]
    words = reference.milestones["donor-notes"]["words"]
    return any(_tells_of(text, words) for text in texts)


def _since(track: Track, key: str, reference: Reference) -> date:
    return track.as_of - timedelta(days=reference.milestone(key))


def _tells_of(text: str, words: Iterable[str]) -> bool:
    """Say whether a note has a word that begins as one of ``words`` does."""
    for written in _WORD.findall(text.casefold()):
        for word in words:
            short = len(word) <= _TOO_LIKE_OTHERS
            if written == word or (not short and written.startswith(word)):
                return True
    return False
