"""What is usual, from the tanks' own past: how many had come to a step by which week.

A tank that has not got there yet counts as long as it was watched (Kaplan & Meier
1958). Nothing is said from fewer tanks than ``fewest-tanks``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from functools import cache
from typing import NamedTuple

from fleet.assess.progress_course import week_of
from fleet.assess.progress_milestones import MILESTONES
from fleet.records.mentoring import (
    Behind,
    Course,
    MilestoneSeen,
    Usual,
    UsualWeek,
    WeekRange,
)
from fleet.reference import Reference
from fleet.science.survival import Step, kaplan_meier, share_reached

# A tank may be behind in what it should come to; nobody is late for a flat zero.
WAITED_FOR = (
    "ammonia-gone", "nitrite-gone", "nitrate-seen", "films-gone", "coralline",
    "in-band",
)  # fmt: skip


class Kind(NamedTuple):
    """What tanks are compared by."""

    rock: str = ""  # "" every kind
    seeded: bool | None = None  # None: either

    def holds(self, course: Course) -> bool:
        """Say whether ``course`` is of this kind."""
        return self.rock in ("", course.rock) and self.seeded in (None, course.seeded)


class Waited(NamedTuple):
    """One tank and one step: the week it came, or was last seen without it."""

    week: int
    reached: bool


def waited(course: Course, key: str, reference: Reference) -> Waited | None:
    """Return how long one tank waited for a step, in whole weeks.

    None where nobody can say: no day of filling, or nobody looked in the first
    weeks, so that the step could have come and gone unseen.
    """
    filled, seen = course.tank.filled_on, course.of(key)
    if filled is None or course.week is None or not _watched(seen, filled, reference):
        return None
    if seen.on is not None:
        return Waited(week_of(filled, seen.on), True)
    assert seen.watched_until is not None
    # A week counts as waited only when it was over at the last look.
    return Waited((seen.watched_until - filled).days // 7, False)


def _watched(seen: MilestoneSeen, filled: date, reference: Reference) -> bool:
    late = timedelta(days=reference.milestone("late-start"))
    return seen.watched_from is not None and seen.watched_from <= filled + late


def kinds_of(courses: Sequence[Course]) -> tuple[Kind, ...]:
    """Return all kinds that tanks may be compared by, widest first.

    A kind that holds the very tanks of a wider one is left out.
    """
    rocks = sorted({course.rock for course in courses if course.rock})
    kinds = [Kind(), Kind("", True), Kind("", False), *(Kind(rock) for rock in rocks)]
    kinds += [Kind(rock, yes) for rock in rocks for yes in (True, False)]
    found: dict[tuple[bool, ...], Kind] = {}
    for kind in kinds:
        held = tuple(map(kind.holds, courses))
        if any(held):
            found.setdefault(held, kind)
    return tuple(found.values())


def all_usual(courses: Sequence[Course], reference: Reference) -> tuple[Usual, ...]:
    """Return what is usual for every step and every kind with tanks enough."""
    kinds = kinds_of(courses)
    found = [
        usual_of([c for c in courses if kind.holds(c)], key, kind, reference)
        for key in MILESTONES
        for kind in kinds
    ]
    return tuple(usual for usual in found if usual is not None)


def usual_of(
    courses: Iterable[Course], key: str, kind: Kind, reference: Reference
) -> Usual | None:
    """Return when ``courses``, all of one kind, came to a step; None: too few."""
    times = [w for c in courses if (w := waited(c, key, reference)) is not None]
    return _usual(times, key, kind, reference)


def _usual(
    times: Sequence[Waited], key: str, kind: Kind, reference: Reference
) -> Usual | None:
    weeks = weeks_of(times, reference)
    if not weeks:
        return None
    return Usual(
        milestone=key,
        rock=kind.rock,
        seeded=kind.seeded,
        tanks=len(times),
        reached=sum(time.reached for time in times),
        weeks=weeks,
        half=week_range(weeks, reference.milestone("half")),
        most=week_range(weeks, reference.milestone("most")),
    )


def weeks_of(times: Sequence[Waited], reference: Reference) -> tuple[UsualWeek, ...]:
    """Return the share that had come to a step, week by week, while tanks are enough.

    It is known of a tank whether it had come there by a week if it had, or if it
    was watched until then.
    """
    fewest = reference.milestone("fewest-tanks")
    values = [float(time.week) for time in times]
    reached = [time.reached for time in times]
    steps = {step.time: step for step in kaplan_meier(values, reached)}
    stopped = Counter(time.week for time in times if not time.reached)
    weeks: list[UsualWeek] = []
    known, last = len(times), None
    for week in range(1, max((time.week for time in times), default=0) + 1):
        known -= stopped[week - 1]
        if known < fewest:
            break
        last = steps.get(float(week), last)
        share = _share(last) if last else _none_yet(known)
        weeks.append(UsualWeek(week, *share, known))
    return tuple(weeks)


@cache
def _none_yet(watched: int) -> tuple[float, float, float]:
    """Return the share, and its limits, where none of so many has come there yet."""
    return share_reached((0.0,) * watched, (False,) * watched, 0.0)


def _share(step: Step) -> tuple[float, float, float]:
    return 1 - step.waiting, 1 - step.waiting_high, 1 - step.waiting_low


def week_range(weeks: tuple[UsualWeek, ...], share: float) -> WeekRange | None:
    """Return by which week so many had come there; the limits give its range."""
    week = next((w.week for w in weeks if w.share >= share), None)
    if week is None:
        return None
    earliest = next(w.week for w in weeks if w.high >= share)
    latest = next((w.week for w in weeks if w.low >= share), None)
    return WeekRange(week, earliest, latest)


def _closest(course: Course) -> tuple[Kind, ...]:
    """Return the kinds a tank is of, closest first."""
    seeded = course.seeded
    alike = Kind(course.rock, seeded), Kind(course.rock)
    # Rock that is not noted is no kind of its own.
    return (*(alike if course.rock else ()), Kind("", seeded), Kind())


def usual_for(course: Course, usual: Sequence[Usual]) -> tuple[Usual, ...]:
    """Return what is usual for one tank: of each step, the narrowest kind there is."""
    kinds = _closest(course)
    found = []
    for key in MILESTONES:
        mine = [
            u for u in usual if u.milestone == key and Kind(u.rock, u.seeded) in kinds
        ]
        mine.sort(key=lambda u: (u.tanks, kinds.index(Kind(u.rock, u.seeded))))
        found += mine[:1]
    return tuple(found)


def all_behind(
    courses: Sequence[Course], reference: Reference
) -> tuple[tuple[Behind, ...], ...]:
    """Return, for each tank, the steps it lacks though nearly all like it had them.

    A tank is held against the others alone, and only up to its own last look.
    """
    found: list[list[Behind]] = [[] for _ in courses]
    for key in WAITED_FOR:
        waits = [waited(course, key, reference) for course in courses]
        others = _Others(key, courses, waits, reference)
        for course, mine, behind in zip(courses, waits, found, strict=True):
            if mine is None or mine.reached or mine.week < 1:
                continue
            if key == "films-gone" and course.of("films").on is None:
                continue
            late = _behind(course, mine, others, reference)
            if late is not None:
                behind.append(late)
    return tuple(map(tuple, found))


class _Others:
    """What is usual of one step in all tanks of a kind but one.

    Which one it is makes no difference, only how long it has waited: so tanks that
    were last seen without the step in one week share one estimate.
    """

    def __init__(
        self,
        key: str,
        courses: Sequence[Course],
        waits: Sequence[Waited | None],
        reference: Reference,
    ) -> None:
        self.key = key
        self._pairs = [
            (course, time)
            for course, time in zip(courses, waits, strict=True)
            if time is not None
        ]
        self._reference = reference
        self._times: dict[Kind, list[Waited]] = {}
        self._usual: dict[tuple[Kind, Waited], Usual | None] = {}

    def usual(self, kind: Kind, mine: Waited) -> Usual | None:
        """Return what is usual in a kind, without a tank of it that waited so long."""
        if kind not in self._times:
            self._times[kind] = [t for c, t in self._pairs if kind.holds(c)]
        if (kind, mine) not in self._usual:
            times = self._times[kind].copy()
            times.remove(mine)
            found = _usual(times, self.key, kind, self._reference)
            self._usual[kind, mine] = found
        return self._usual[kind, mine]


def _behind(
    course: Course, mine: Waited, others: _Others, reference: Reference
) -> Behind | None:
    for kind in _closest(course):
        usual = others.usual(kind, mine)
        if usual is None:
            continue
        at = usual.weeks[min(mine.week, len(usual.weeks)) - 1]
        far = at.share >= reference.milestone("far-share")
        if far and at.low >= reference.milestone("far-least"):
            return Behind(others.key, mine.week, at.share, usual)
        if usual.weeks[-1].week >= mine.week:
            return None
    return None
