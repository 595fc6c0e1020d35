"""What most tanks of a member's kind did, for the member's letter.

Other tanks come in only as shares of at least ``fewest-tanks`` of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import Sentence, say
from fleet.records.mentoring import Member, Usual
from fleet.reference import Reference
from fleet.render.letter_chart import StepLine
from fleet.render.progress_words import usual_of
from fleet.render.wording import Wording

_QUARTER = 0.25


def others(member: Member, reference: Reference) -> Iterator[Sentence]:
    """Yield which tanks a member's is held beside, and how it stands there."""
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
