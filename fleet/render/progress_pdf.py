"""``progress.pdf``: the mentor's round, each group's way so far, what is usual."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fleet.records import STAGE_ORDER, Sentence, Tank, say
from fleet.records.mentoring import GroupProgress, Member, MentorVisit, Progress
from fleet.reference import Reference
from fleet.render import marks
from fleet.render.pdf_page import BOX, WIDTH, Document, Drawing, pages_of
from fleet.render.progress_charts import SMALL, Scale, axis, ring, stage_box, way
from fleet.render.progress_usual import usual_parts
from fleet.render.progress_words import (
    eased,
    eased_sentence,
    next_sentence,
    report_for,
    silent,
    silent_sentence,
    why_words,
)
from fleet.render.sheet_base import FINE, ROOMY, TEXT_X, Desk, fitted
from fleet.render.wording import Wording

_LEFT = 92.0  # where the weeks begin, right of the tank's name
_RIGHT = WIDTH - 4
_SMALL_BOX = 11.0


def write(
    progress: Progress, wording: Wording, reference: Reference, path: Path
) -> None:
    """Write the mentor's pages."""
    document = Document(
        path,
        progress.settings.paper,
        f"{wording.label('title', 'mentor')} {wording.display.day(progress.as_of)}",
        progress.as_of,
        progress.made_by,
        wording.language,
    )
    desk = Desk(document, report_for(progress), wording, reference, ROOMY)
    title = f"{desk.label('title', 'mentor')} ({desk.label('continued')})"
    again = page_head(desk, title)
    flow(desk, _head(desk, progress), _round(desk, progress), again)
    for group in progress.groups:
        weeks = longest(group.members)
        if weeks:
            scale = Scale(_LEFT, _RIGHT, weeks)
            first = _way_head(desk, group, scale, explained=True)
            again = _way_head(desk, group, scale, explained=False)
            parts = (_way(desk, member, scale) for member in group.members)
            flow(desk, first, parts, again)
    title = desk.label("usual", "mentor")
    flow(
        desk,
        page_head(desk, title, mark=title),
        usual_parts(desk, progress),
        page_head(desk, f"{title} ({desk.label('continued')})"),
    )
    document.save()


def flow(
    desk: Desk,
    first: Drawing,
    parts: Iterable[Drawing],
    again: Drawing | None = None,
) -> None:
    """Set one section on pages of its own; ``again`` heads its further pages."""
    document = desk.document
    head: Callable[[], Drawing] = lambda: again or document.drawing()  # noqa: E731
    pages = pages_of(first, parts, head, document.room)
    for number, page in enumerate(pages, start=1):
        y = document.top
        for drawing in page:
            document.place(drawing, y)
            y -= drawing.height
        of = f"{desk.label('page')} {number} {desk.label('of')} {len(pages)}"
        document.end_page(desk.foot(), document.type.raw(of if len(pages) > 1 else ""))


def longest(members: Iterable[Member]) -> int:
    """Return the weeks of the oldest tank; 0 where no day of filling is known."""
    return max((member.course.week or 0 for member in members), default=0)


# --------------------------------------------------------------------- the round


def page_head(desk: Desk, title: str, under: str = "", mark: str = "") -> Drawing:
    """Return a page's title with the day at its right and a line under it."""
    drawing = desk.document.drawing()
    day = desk.raw(desk.display.day(desk.report.as_of), bold=True)
    drawing.right(WIDTH, -20, day, 13)
    room = WIDTH - desk.document.type.width(day) * 13 - 16
    words, size = fitted(desk, title, room, 22, 13)
    drawing.line(0, -20, words, size)
    drawing.height = 30
    if under:
        drawing.line(0, -35, desk.document.type.cut(desk.raw(under), WIDTH, 10), 10)
        drawing.height = 42
    drawing.mark = mark
    return drawing


def _head(desk: Desk, progress: Progress) -> Drawing:
    word = "progress.with-names" if progress.names else "progress.without-names"
    title = desk.label("title", "mentor")
    return page_head(desk, title, desk.wording.plain(say(word)), title)


def _round(desk: Desk, progress: Progress) -> Iterator[Drawing]:
    yield desk.heading(desk.label("visits", "mentor"), strong=True)
    if not progress.visits:
        yield from desk.paragraph(desk.said(say("progress.none-to-visit")))
    for number, visit in enumerate(progress.visits, start=1):
        yield _visit(desk, number, visit)
    yield desk.heading(desk.label("silent", "mentor"))
    quiet = [(m.report.tank, silent_sentence(m)) for m in silent(progress)]
    yield from _listed(desk, quiet, say("progress.none-silent"))
    yield desk.heading(desk.label("eased", "mentor"))
    calm = [(m.report.tank, eased_sentence(m, day)) for m, day in eased(progress)]
    yield from _listed(desk, calm, say("progress.none-eased"))


def _visit(desk: Desk, number: int, visit: MentorVisit) -> Drawing:
    """Return one tank to go to: who, why, and what goes into the bag."""
    drawing = desk.document.drawing()
    size, lead = desk.sizes.body, desk.sizes.body_lead
    drawing.text_right(15, -14, str(number), 12 if number < 10 else 9.5, bold=True)
    drawing.tick_box(19, -2)
    marks.draw(drawing, visit.attention, TEXT_X, -16, 13)
    x = TEXT_X + 18
    _named(desk, drawing, visit.tank, x, -14, WIDTH - x - 150)
    right = [desk.label(visit.attention, "attention")]
    if visit.week is not None:
        right.append(f"{desk.label('tank-week', 'mentor')} {visit.week}")
    drawing.text_right(WIDTH, -14, " · ".join(right), size)
    words = desk.document.type.words(why_words(visit, desk.wording))
    rows = desk.limited(words, WIDTH - TEXT_X, size, 6)
    y = drawing.lines(TEXT_X, -BOX - 2, rows, size, lead)
    for sentence in visit.bring:
        label = desk.raw(desk.label("bring", "mentor"), bold=True)
        rows = desk.limited(
            label + desk.said(sentence), WIDTH - TEXT_X - _SMALL_BOX - 5, size, 3
        )
        drawing.tick_box(TEXT_X, y - 1.5, _SMALL_BOX)
        y = drawing.lines(TEXT_X + _SMALL_BOX + 5, y, rows, size, lead)
    drawing.height = 4 - y
    drawing.rule(0, y - 2, WIDTH, y - 2, 0.3)
    return drawing


def _named(
    desk: Desk, drawing: Drawing, tank: Tank, x: float, y: float, room: float
) -> None:
    """Write a tank's id in bold and its keeper and place after it."""
    words = desk.raw(tank.id, bold=True)
    rest = " · ".join(part for part in (tank.keeper, tank.place, tank.group) if part)
    words = desk.document.type.cut(words, room, 13)
    drawing.line(x, y, words, 13)
    after = x + desk.document.type.width(words) * 13 + 7
    left = x + room - after
    if rest and left > 30:
        drawing.line(after, y, desk.document.type.cut(desk.raw(rest), left, 11), 11)


def _listed(
    desk: Desk, entries: list[tuple[Tank, Sentence]], none: Sentence
) -> Iterator[Drawing]:
    """Yield a line for each tank, or the one that says there is none."""
    if not entries:
        yield from desk.paragraph(desk.said(none))
    for tank, sentence in entries:
        name = " · ".join(part for part in (tank.id, tank.keeper) if part)
        words = desk.raw(f"{name[:80]}:", bold=True) + desk.said(sentence)
        yield from desk.paragraph(words)


# ------------------------------------------------------------------ the way so far


def numbers(members: Iterable[Member]) -> dict[str, int]:
    """Return the number of each step, as the rings show it."""
    for member in members:
        keys = [seen.key for seen in member.course.milestones]
        return {key: number for number, key in enumerate(keys, start=1)}
    return {}


def _way_head(
    desk: Desk, group: GroupProgress, scale: Scale, explained: bool
) -> Drawing:
    """Return the title of a group with the weeks, and what the marks mean."""
    name = group.name or desk.label("no-group", "mentor")
    title = f"{name}: {desk.label('timeline', 'mentor').lower()}"
    drawing = page_head(desk, title, mark=name if explained else "")
    y = -drawing.height - 2
    if explained:
        y = _legend(desk, drawing, group, y)
    axis(drawing, scale, y - 8)
    label = desk.label("weeks-axis", "mentor")
    drawing.text(0, y - 18, label, SMALL)
    drawing.height = 26 - y
    return drawing


def _legend(desk: Desk, drawing: Drawing, group: GroupProgress, y: float) -> float:
    x = 0.0
    for stage in STAGE_ORDER:
        word = desk.label(stage, "stage")
        wide = desk.document.type.label_width(word) * FINE
        stage_box(drawing, stage, x, y - 10, 18, 10)
        drawing.text(x + 22, y - 8, word, FINE)
        x += wide + 36
    y -= 16
    drawing.text(0, y - 9, desk.label("steps", "mentor"), FINE, bold=True)
    y -= 14
    x = 0.0
    for key, number in numbers(group.members).items():
        word = desk.label(key, "milestone")
        wide = desk.document.type.label_width(word) * FINE + 28
        if x and x + wide > WIDTH:
            x, y = 0.0, y - 16
        ring(drawing, desk.document.type, x + 7, y - 7, number)
        drawing.text(x + 17, y - 10, word, FINE)
        x += wide
    y -= 20
    text = desk.wording.plain(say("progress.stage-how"))
    drawing.text(0, y - 7, text, FINE)
    return y - 16


def _way(desk: Desk, member: Member, scale: Scale) -> Drawing:
    """Return one tank's stages and steps, and what is next for it."""
    drawing = desk.document.drawing()
    tank, course = member.report.tank, member.course
    words, size = fitted(desk, tank.id, _LEFT - 8, 12, 8)
    drawing.line(0, -12, words, size)
    rest = [tank.keeper] if tank.keeper else []
    if course.week is None:
        rest.append(desk.label("no-date", "mentor"))
    else:
        rest.append(f"{desk.label('week', 'mentor')} {course.week}")
    cut = desk.document.type.cut(desk.raw(" · ".join(rest)), _LEFT - 8, FINE)
    drawing.line(0, -23, cut, FINE)
    stages = {stage: desk.label(stage, "stage") for stage in STAGE_ORDER}
    y = way(
        drawing,
        desk.document.type,
        course,
        scale,
        -3,
        stages,
        numbers([member]),
    )
    said = desk.said(next_sentence(member, desk.reference))
    rows = desk.limited(said, WIDTH - _LEFT, 9.5, 2)
    y = drawing.lines(_LEFT, min(y, -26.0), rows, 9.5, 11.5)
    drawing.height = 5 - y
    drawing.rule(0, y - 3, WIDTH, y - 3, 0.3)
    return drawing
