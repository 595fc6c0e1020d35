"""The mentor's view for a terminal."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence

from fleet.records import Tank, say
from fleet.records.mentoring import GroupProgress, Member, MentorVisit, Progress
from fleet.reference import Reference
from fleet.render.progress_words import (
    eased,
    eased_sentence,
    kind_words,
    next_sentence,
    silent,
    silent_sentence,
    why_words,
)
from fleet.render.safe import for_terminal
from fleet.render.terminal import NARROWEST, WIDEST, fitted, width
from fleet.render.wording import Wording, plain

_GAP = 2
_MOST = (12, 12, 4, 11)  # columns of tank, keeper, week, stage
_LONGEST = 2000  # characters of one text
_LEAST_NEXT = 34  # a narrower column of words is no help


def progress_text(
    progress: Progress,
    wording: Wording,
    reference: Reference,
    columns: int | None = None,
) -> str:
    """Return the groups, the visits and what is usual, as wide as there is room."""
    if columns is None:
        columns = shutil.get_terminal_size((100, 24)).columns
    room = max(min(columns, WIDEST), NARROWEST)
    parts = list(_parts(progress, wording, reference, room))
    return "\n".join(parts).rstrip()


def _parts(
    progress: Progress, wording: Wording, reference: Reference, room: int
) -> Iterator[str]:
    organisation = progress.settings.organisation
    title = say("progress.title", organisation=organisation, as_of=progress.as_of)
    yield from _wrapped(wording.plain(title), room)
    for group in progress.groups:
        yield ""
        yield from _group(group, wording, reference, room)
    yield from _heading("visits", wording)
    for number, visit in enumerate(progress.visits, start=1):
        yield from _visit(number, visit, wording, room)
    if not progress.visits:
        yield from _wrapped(wording.plain(say("progress.none-to-visit")), room, 4)
    yield from _silent_and_eased(progress, wording, room)
    yield from _usual(progress, wording, reference, room)


def _heading(word: str, wording: Wording) -> Iterator[str]:
    yield ""
    yield wording.label(word, "mentor")


def _group(
    group: GroupProgress, wording: Wording, reference: Reference, room: int
) -> Iterator[str]:
    tanks = len(group.members)
    yield from _wrapped(
        wording.plain(say("progress.group", name=group.name, tanks=tanks)), room
    )
    heads = [wording.label(w, "mentor") for w in ("tank", "keeper", "week-short")]
    heads += [wording.label("stage", "mentor"), wording.label("next", "mentor")]
    rows = [heads, *(_row(m, wording, reference) for m in group.members)]
    shown = [n for n in range(4) if n != 1 or any(row[1] for row in rows[1:])]
    wide = {n: min(max(width(row[n]) for row in rows), _MOST[n]) for n in shown}
    left = sum(wide.values()) + _GAP * len(shown)
    for row in rows:
        cells = [fitted(row[n], wide[n], right=n == 2) for n in shown]
        start = (" " * _GAP).join(cells) + " " * _GAP
        if room - left < _LEAST_NEXT:
            yield fitted(start, room).rstrip()
            yield from _wrapped(row[4], room, 4)
            continue
        for number, line in enumerate(_wrapped(row[4], room - left)):
            yield (start if number == 0 else " " * left) + line


def _row(member: Member, wording: Wording, reference: Reference) -> list[str]:
    course, tank = member.course, member.report.tank
    return [
        for_terminal(tank.id),
        for_terminal(tank.keeper),
        "?" if course.week is None else str(course.week),
        wording.label(member.report.findings.stage.name, "stage"),
        wording.plain(next_sentence(member, reference)),
    ]


def _visit(
    number: int, visit: MentorVisit, wording: Wording, room: int
) -> Iterator[str]:
    said = plain(why_words(visit, wording))
    label = wording.label(visit.attention, "attention")
    yield from _wrapped(
        f"{number}. {named(visit.tank)} ({label}): {said}",
        room,
        4,
        0,
    )
    for sentence in visit.bring:
        bring = f"{wording.label('bring', 'mentor')} {wording.plain(sentence)}"
        yield from _wrapped(bring, room, 6, 4)


def named(tank: Tank) -> str:
    """Return a tank with its keeper, where one is noted."""
    return f"{tank.id}, {tank.keeper}" if tank.keeper else tank.id


def _silent_and_eased(progress: Progress, wording: Wording, room: int) -> Iterator[str]:
    yield from _heading("silent", wording)
    said = [
        f"{named(member.report.tank)}: {wording.plain(silent_sentence(member))}"
        for member in silent(progress)
    ]
    yield from _listed(said, wording.plain(say("progress.none-silent")), room)
    yield from _heading("eased", wording)
    said = [
        f"{named(member.report.tank)}: {wording.plain(eased_sentence(member, until))}"
        for member, until in eased(progress)
    ]
    yield from _listed(said, wording.plain(say("progress.none-eased")), room)


def _listed(said: Sequence[str], none: str, room: int) -> Iterator[str]:
    for text in said or (none,):
        yield from _wrapped(text, room, 4, 2)


def _usual(
    progress: Progress, wording: Wording, reference: Reference, room: int
) -> Iterator[str]:
    fewest = int(reference.milestone("fewest-tanks"))
    yield from _heading("usual", wording)
    if not progress.usual:
        few = say("progress.too-few-usual", fewest=fewest)
        yield from _wrapped(wording.plain(few), room, 2, 2)
        return
    how = say("progress.how-counted", tanks=progress.tanks, fewest=fewest)
    yield from _wrapped(wording.plain(how), room, 2, 2)
    words = ("tanks", "usual-half", "usual-most")
    rows = [["", "", *(wording.label(word, "mentor") for word in words)]]
    for usual in progress.usual:
        ranges = (usual.half, usual.most)
        rows.append(
            [
                wording.label(usual.milestone, "milestone"),
                kind_words(usual, wording),
                str(usual.tanks),
                *(wording.plain(say("progress.week-range", range=r)) for r in ranges),
            ]
        )
    yield from _table(rows, room)


def _table(rows: list[list[str]], room: int) -> Iterator[str]:
    """Yield rows side by side, or as sentences where there is no room for that."""
    wide = [max(width(row[n]) for row in rows) for n in range(len(rows[0]))]
    if 2 + _GAP * (len(wide) - 1) + sum(wide) > room:
        head = rows[0]
        for step, kind, tanks, half, most in rows[1:]:
            shares = f"{head[3]} {half}; {head[4]} {most}"
            text = f"{step}, {kind} ({tanks} {head[2]}): {shares}"
            yield from _wrapped(text, room, 4, 2)
        return
    before = ""
    for row in rows:
        first = "" if row[0] == before else row[0]
        before = row[0]
        cells = [
            fitted(text, wide[n], right=n == 2)
            for n, text in enumerate([first, *row[1:]])
        ]
        yield ("  " + (" " * _GAP).join(cells)).rstrip()


def _wrapped(
    text: str, columns: int, indent: int = 0, first: int | None = None
) -> Iterator[str]:
    """Yield ``text`` as lines; ``first`` is the indent of the first one."""
    margin = " " * (indent if first is None else first)
    line = ""
    for word in for_terminal(text, _LONGEST).split():
        longer = f"{line} {word}" if line else word
        if width(margin + longer) > columns and line:
            yield fitted(margin + line, columns).rstrip()
            margin, longer = " " * indent, word
        line = longer
    if line:
        yield fitted(margin + line, columns).rstrip()
