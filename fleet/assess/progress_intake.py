"""A group in numbers: stages, readings sent in, tanks in band, tests, what worked.

Nothing is counted from fewer tanks than ``fewest-tanks``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from fleet.assess.effects import effects_of
from fleet.assess.progress_course import Track
from fleet.records import ATTENTION_ORDER, STAGE_ORDER, Effect, ShelfItem
from fleet.records.mentoring import Intake, Member, MethodUse, PooledEffect, WeekCount
from fleet.reference import Reference
from fleet.science.pooled import median_range

_NUTRIENTS = ("nitrate", "phosphate")


def intake_of(
    members: Sequence[Member],
    tracks: Sequence[Track],
    shelf: tuple[ShelfItem, ...],
    reference: Reference,
) -> Intake | None:
    """Return a group's numbers; None where it has too few tanks."""
    if len(members) < reference.milestone("fewest-tanks"):
        return None
    stages = Counter(m.report.findings.stage.name for m in members)
    attention = Counter(m.report.plan.attention for m in members)
    return Intake(
        stages=tuple((name, stages[name]) for name in STAGE_ORDER),
        attention=tuple((word, attention[word]) for word in ATTENTION_ORDER),
        received=received(tracks),
        in_band=in_band(members, reference),
        methods=methods_in_use(members, reference),
        effects=pooled_effects(tracks, shelf, reference),
        doses=sum(done.work == "dose" for track in tracks for done in track.work),
    )


def received(tracks: Sequence[Track]) -> tuple[WeekCount, ...]:
    """Return, for each seven days up to today, how many tanks sent a reading.

    A tank is asked for readings from the week after it was filled (or first
    tested) on.
    """
    as_of = tracks[0].as_of
    begins = [
        start
        for track in tracks
        if (start := track.filled or min(track.days, default=None)) is not None
    ]
    if not begins:
        return ()
    weeks = max((as_of - min(begins)).days // 7, 1)
    counts = []
    for back in range(weeks - 1, -1, -1):
        until = as_of - timedelta(weeks=back)
        since = until - timedelta(days=6)
        sent = [any(since <= day <= until for day in track.days) for track in tracks]
        asked = [_runs(track, since) for track in tracks]
        counts.append(
            WeekCount(
                week=weeks - back,
                starts=since,
                count=sum(yes for yes, due in zip(sent, asked, strict=True) if due),
                of=sum(asked),
            )
        )
    return tuple(counts)


def _runs(track: Track, day: date) -> bool:
    start = track.filled or min(track.days, default=date.max)
    return start <= day


def in_band(members: Iterable[Member], reference: Reference) -> tuple[WeekCount, ...]:
    """Return, by week since filling, how many tanks had both nutrients in band.

    Out of those whose tests that week could tell; the last visit of a week counts.
    A week with too few of them has no count.
    """
    by_week: dict[int, dict[str, bool]] = {}
    for member in members:
        for visit in member.course.visits:
            if visit.week is not None and visit.in_band is not None:
                of_week = by_week.setdefault(visit.week, {})
                of_week[member.report.tank.key] = visit.in_band
    fewest = reference.milestone("fewest-tanks")
    return tuple(
        WeekCount(week, None, sum(tanks.values()), len(tanks))
        for week, tanks in sorted(by_week.items())
        if len(tanks) >= fewest
    )


def methods_in_use(
    members: Iterable[Member], reference: Reference
) -> tuple[MethodUse, ...]:
    """Return how many tanks were last tested with which method for each nutrient."""
    counts: Counter[tuple[str, str, str, bool]] = Counter()
    for member in members:
        for parameter in _NUTRIENTS:
            finding = member.report.findings.of(parameter)
            tests = [m for m in finding.history if m.doubt is None] if finding else []
            if not tests:
                continue
            method = tests[-1].method
            limit = reference.limit(f"{parameter}-can-tell")
            able = method.lowest is not None and method.lowest <= limit
            name = "" if method.assumed else method.name
            counts[parameter, name, method.class_key, able] += 1

    def order(use: MethodUse) -> tuple[str, int, str]:
        return use.parameter, -use.tanks, use.method

    found = [
        MethodUse(parameter, name, key, tanks, able)
        for (parameter, name, key, able), tanks in counts.items()
    ]
    return tuple(sorted(found, key=order))


# ------------------------------------------------------------------ what worked


def pooled_effects(
    tracks: Iterable[Track], shelf: tuple[ShelfItem, ...], reference: Reference
) -> tuple[PooledEffect, ...]:
    """Return what doses of each nutrient did, where tanks enough were dosed.

    Each tank counts once, by the share of all it was given that showed: one that
    doses often says no more than another.
    """
    tanks = [past_doses(track, shelf) for track in tracks]
    pooled = (_pooled(name, tanks, reference) for name in _NUTRIENTS)
    return tuple(effect for effect in pooled if effect is not None)


def _pooled(
    parameter: str, tanks: Iterable[tuple[Effect, ...]], reference: Reference
) -> PooledEffect | None:
    of_tanks = [
        mine
        for effects in tanks
        if (mine := [e for e in effects if e.parameter == parameter])
    ]
    if len(of_tanks) < reference.milestone("fewest-tanks"):
        return None
    found = Counter(_outcome(e) for effects in of_tanks for e in effects)
    middle = median_range([_kept(effects) for effects in of_tanks])
    return PooledEffect(
        parameter=parameter,
        tanks=len(of_tanks),
        times=found.total(),
        shown=found["shown"],
        part=found["part"],
        nothing=found["nothing"],
        unclear=found["unclear"],
        kept=middle.value,
        low=middle.low,
        high=middle.high,
    )


def past_doses(track: Track, shelf: tuple[ShelfItem, ...]) -> tuple[Effect, ...]:
    """Return every dose of a tank that could be held against a test on each side.

    Each is judged at the test that followed it, as the sheet of that day did.
    """
    dosed = [done.on for done in track.work if done.work == "dose"]
    ends = set()
    for name in _NUTRIENTS:
        tested = [m.taken_on for m in track.tests(name)]
        ends |= {next((day for day in tested if day > on), None) for on in dosed}
    found: list[Effect] = []
    for day in sorted(day for day in ends if day is not None):
        found += (
            effect
            for effect in effects_of(
                track.tank, track.measured, track.work, shelf, track.settings,
                track.reference, day,
            )
            if effect.seen_on == day and _outcome(effect)
        )  # fmt: skip
    return tuple(found)


# What is said of a dose -> the word it is counted under.
OUTCOMES = {
    "effects.dose-shown": "shown", "effects.dose-more": "shown",
    "effects.dose-part": "part", "effects.dose-nothing": "nothing",
    "effects.dose-hardly": "nothing", "effects.cannot-tell": "unclear",
}  # fmt: skip


def _outcome(effect: Effect) -> str:
    """Return what is said of a dose in one word; "" where it could not be judged."""
    if effect.work.work != "dose" or effect.verdict is None or not effect.expected_rise:
        return ""
    return OUTCOMES.get(effect.verdict.key, "")


def _kept(effects: Sequence[Effect]) -> float:
    """Return the share of all that was given that showed; never under none."""
    given = sum(e.expected_rise or 0.0 for e in effects)
    return max(sum(e.seen_rise or 0.0 for e in effects) / given, 0.0)
