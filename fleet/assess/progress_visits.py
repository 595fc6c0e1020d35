"""Who needs the mentor first, why, and what to bring."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from fleet.assess.progress_course import Track, long_enough, run_in_band
from fleet.assess.progress_donors import giver_for
from fleet.records import ATTENTION_ORDER, Action, Sentence, Tank, TankReport, say
from fleet.records.mentoring import BandVisit, Behind, Member, MentorVisit
from fleet.reference import Reference

# Situations that only say that nobody has tested: those tanks are written to first.
_UNSEEN = ("stale", "never-tested")
# What slows a start, and what living sand or rubble helps.
_START = ("ammonia-gone", "nitrite-gone")


def silent_days(track: Track) -> int | None:
    """Return for how long nothing was sent, where that is longer than it should be."""
    last = track.findings.last_visit
    if last is None:
        return (track.as_of - track.filled).days if track.filled else 0
    days = (track.as_of - last).days
    old = track.reference.old_after(track.settings.round_days)
    return days if days > old else None


def eased_until(
    report: TankReport, visits: tuple[BandVisit, ...], reference: Reference
) -> date | None:
    """Return until when a tank may go untested; None: weekly tests go on.

    Both nutrients have kept their band, the films are over, and nothing is asked for.
    """
    findings, plan = report.findings, report.plan
    run = run_in_band(visits, reference)
    if not long_enough(run, reference) or run[-1].on != findings.nutrients_tested:
        return None
    if plan.attention != "steady" or findings.stage.films:
        return None
    if findings.stage.name not in ("settling", "mature"):
        return None
    return run[-1].on + timedelta(days=reference.milestone("eased-days"))


def visits_of(
    members: Sequence[Member], givers: Sequence[Member], reference: Reference
) -> tuple[MentorVisit, ...]:
    """Return who to go to: the most urgent first, then who is far behind."""
    wanted = [m for m in members if _wanted(m)]
    wanted.sort(key=_order)
    return tuple(
        MentorVisit(
            tank=m.report.tank,
            attention=m.report.plan.attention,
            week=m.course.week,
            why=tuple(_why(m)),
            bring=tuple(_bring(m, givers, reference)),
        )
        for m in wanted
    )


def _wanted(member: Member) -> bool:
    plan = member.report.plan
    if member.behind or plan.attention == "today":
        return True
    if plan.attention == "this week":
        return not (member.silent_days is not None and plan.situations[0] in _UNSEEN)
    if plan.attention == "watch" and member.silent_days is None:
        return any(a.method_class or a.kind == "seed" for a in plan.actions)
    return False


def _order(member: Member) -> tuple[int, int, int, str]:
    plan = member.report.plan
    rank = ATTENTION_ORDER.index(plan.attention)
    if member.behind:
        rank = min(rank, ATTENTION_ORDER.index("this week"))
    return rank, -plan.score, -len(member.behind), member.report.tank.key


def _why(member: Member) -> Iterator[Sentence]:
    yield member.report.plan.headline
    for behind in member.behind:
        yield behind_sentence(behind)


def behind_sentence(behind: Behind) -> Sentence:
    """Return, kindly, how a tank stands beside the others."""
    usual = behind.usual
    return say(
        "progress.behind",
        milestone=behind.milestone,
        week=behind.week,
        share=behind.share,
        tanks=usual.tanks,
        rock=usual.rock,
        seeded=usual.seeded,
    )


# ------------------------------------------------------------------- what to bring


def _bring(
    member: Member, givers: Sequence[Member], reference: Reference
) -> Iterator[Sentence]:
    plan = member.report.plan
    methods = dict.fromkeys(
        (a.parameter, a.method_class) for a in plan.actions if a.method_class
    )
    for parameter, method in methods:
        yield say("progress.bring-test", parameter=parameter, method=method)
    if "welfare" in plan.situations:
        yield say("progress.bring-instruments")
    if "pests" in plan.situations:
        yield say("progress.bring-sample-jar")
    for action in plan.actions:
        if (salt := _salt(action, reference)) is not None:
            yield salt
    if _wants_seed(member):
        giver = giver_for(member, givers, reference)
        yield say("progress.bring-rubble")
        yield _sand(member.report.tank, giver)


def _salt(action: Action, reference: Reference) -> Sentence | None:
    """Return what is dosed as something to carry: a solution, or a weighed salt."""
    salt = action.substance
    if salt not in reference.salts:
        return None
    if action.amount_ml and action.stock_g_per_l:
        return say(
            "progress.bring-solution",
            salt=salt,
            ml=action.amount_ml,
            strength=action.stock_g_per_l,
        )
    if not action.amount_g:
        return None
    return say("progress.bring-salt", salt=salt, grams=action.amount_g)


def _wants_seed(member: Member) -> bool:
    # Living sand would eat the ammonia that is to show whether this filter works.
    if any(a.id == "dose-ammonia-check" for a in member.report.plan.actions):
        return False
    if any(action.kind == "seed" for action in member.report.plan.actions):
        return True
    return any(behind.milestone in _START for behind in member.behind)


def _sand(tank: Tank, giver: Member | None) -> Sentence:
    if giver is None:
        return say("progress.bring-no-sand")
    other = giver.report.tank
    return say(
        "progress.bring-sand",
        tank=other.id,
        keeper=other.keeper,
        place=other.place,
        week=giver.course.week,
        same_kind=bool(tank.livestock) and tank.livestock == other.livestock,
        same_place=bool(tank.place) and tank.place == other.place,
    )
