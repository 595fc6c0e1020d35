"""How far the tanks of each group have come: joins the parts of the mentor's view."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleet.assess.progress_course import (
    Track,
    band_visits,
    rock_kind,
    run_in_band,
    seeded_early,
    stage_spans,
)
from fleet.assess.progress_donors import givers_of
from fleet.assess.progress_intake import intake_of
from fleet.assess.progress_milestones import milestones_of, next_of
from fleet.assess.progress_normal import all_behind, all_usual, usual_for
from fleet.assess.progress_visits import eased_until, silent_days, visits_of
from fleet.records import Band, Settings, ShelfItem, SourceFile
from fleet.records.mentoring import (
    Behind,
    Course,
    GroupProgress,
    Member,
    Progress,
    TankHistory,
    Usual,
)
from fleet.reference import Reference


def progress_of(
    histories: Sequence[TankHistory],
    bands: tuple[Band, ...],
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    as_of: date,
    *,
    group: str | None = None,
    made_by: str = "",
    sources: tuple[SourceFile, ...] = (),
) -> Progress:
    """Return how far the tanks have come, group by group.

    ``group`` names the one to show (None: all); what is usual always rests on every
    tank given. ``bands`` are the workbook's own.
    """
    tracks = [Track(history, bands, settings, reference) for history in histories]
    courses = [course_of(track) for track in tracks]
    usual = all_usual(courses, reference)
    members = [
        _member(history, track, course, usual, behind)
        for history, track, course, behind in zip(
            histories, tracks, courses, all_behind(courses, reference), strict=True
        )
    ]
    pairs = list(zip(members, tracks, strict=True))
    givers = givers_of(pairs, reference)
    names_shown = [group] if group is not None else _groups(members)
    groups = []
    for name in names_shown:
        own = [pair for pair in pairs if pair[0].report.tank.group == name]
        mine = [member for member, _ in own]
        intake = intake_of(mine, [track for _, track in own], shelf, reference)
        groups.append(GroupProgress(name, tuple(mine), intake))
    shown = [member for found in groups for member in found.members]
    return Progress(
        as_of=as_of,
        made_by=made_by,
        settings=settings,
        sources=sources,
        groups=tuple(groups),
        usual=usual,
        visits=visits_of(shown, givers, reference),
        tanks=len(members),
    )


def course_of(track: Track) -> Course:
    """Return one tank's way since it was filled."""
    visits = band_visits(track)
    milestones = milestones_of(track, visits)
    run = run_in_band(visits, track.reference)
    return Course(
        tank=track.tank,
        week=track.week(track.as_of),
        rock=rock_kind(track.tank),
        seeded=seeded_early(track),
        spans=stage_spans(track),
        milestones=milestones,
        next=next_of(milestones, track.looked_late),
        visits=visits,
        in_band_since=run[0].on if run else None,
    )


def _member(
    history: TankHistory,
    track: Track,
    course: Course,
    usual: tuple[Usual, ...],
    behind: tuple[Behind, ...],
) -> Member:
    silent = silent_days(track)
    until = eased_until(history.report, course.visits, track.reference)
    return Member(
        report=history.report,
        course=course,
        usual=usual_for(course, usual),
        behind=behind,
        eased_until=until if silent is None else None,
        silent_days=silent,
    )


def _groups(members: Sequence[Member]) -> list[str]:
    """Return the groups, the one with the oldest tank first; without a group last."""
    first: dict[str, date] = {}
    for member in members:
        name = member.report.tank.group
        filled = member.report.tank.filled_on or date.max
        first[name] = min(filled, first.get(name, filled))
    return sorted(first, key=lambda name: (name == "", first[name], name))
