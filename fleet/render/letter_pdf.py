"""A member's letter on paper: one page, unless not even the least fits on one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

from fleet.records import Sentence, say
from fleet.records.mentoring import Progress
from fleet.reference import Reference
from fleet.render.letter import Letter
from fleet.render.letter_chart import StepLine, steps
from fleet.render.letter_do import Step
from fleet.render.pdf_page import BOX, WIDTH, Document, Drawing, pages_of
from fleet.render.pdf_text import Line
from fleet.render.progress_charts import Scale
from fleet.render.progress_words import report_for
from fleet.render.safe import clean
from fleet.render.sheet_base import ROOMY, TIGHT, Desk, Sizes, fitted
from fleet.render.wording import Wording

_STEP_X = BOX + 24.0
_CHART_LEFT, _CHART_RIGHT = 134.0, WIDTH - 114.0


class Room(NamedTuple):
    """How much of a letter is printed; less where it would not fit on a page."""

    sizes: Sizes
    why: int
    reasons: int
    because: bool  # why each step is asked for
    chart: int  # steps in the picture
    do: int = 20


DENSE = Sizes(11.0, 12.6, 9.5, 11.2, 9.0, 11.0, 3.0, wide=False)

# What matters least gives way first. A step is never printed without its cautions.
_ROOMS = (
    Room(ROOMY, 6, 4, True, 8),
    Room(TIGHT, 6, 4, True, 8),
    Room(TIGHT, 4, 2, True, 8),
    Room(TIGHT, 3, 0, False, 8),
    Room(TIGHT, 3, 0, False, 4),
    Room(DENSE, 4, 2, False, 4),
    Room(DENSE, 3, 0, False, 3),
    Room(TIGHT, 2, 0, False, 0),
    Room(DENSE, 2, 0, False, 0),
    Room(DENSE, 2, 0, False, 2, do=4),
    Room(DENSE, 2, 0, False, 2, do=3),
    Room(DENSE, 1, 0, False, 0, do=2),
    Room(DENSE, 1, 0, False, 0, do=1),
    Room(DENSE, 0, 0, False, 0, do=0),
)


_SEVERAL_PAGES = Room(TIGHT, 6, 4, True, 8, do=1000)


def write(
    letter: Letter,
    progress: Progress,
    wording: Wording,
    reference: Reference,
    path: Path,
) -> None:
    """Write one member's page."""
    tank = letter.member.report.tank
    title = clean(wording.plain(say("letter.title", tank=tank.id)))
    document = Document(
        path,
        progress.settings.paper,
        title,
        progress.as_of,
        progress.made_by,
        wording.language,
    )
    # The foot of other pages names the files; a letter is about one tank alone.
    report = report_for(progress, sources=())
    # Where the last one takes further pages too, nothing is left out for its sake.
    for room in (*_ROOMS, _SEVERAL_PAGES):
        desk = Desk(document, report, wording, reference, room.sizes)
        pages = pages_of(
            _head(desk, letter),
            _parts(desk, letter, room),
            partial(_head_again, desk, letter),
            document.room,
        )
        if len(pages) == 1:
            break
    for number, page in enumerate(pages, start=1):
        y = document.top
        for drawing in page:
            document.place(drawing, y)
            y -= drawing.height
        of = f"{desk.label('page')} {number} {desk.label('of')} {len(pages)}"
        right = document.type.raw(of) if len(pages) > 1 else ()
        document.end_page(desk.said(letter.about), right)
    document.save()


def _head_again(desk: Desk, letter: Letter) -> Drawing:
    """Return the top of a further page."""
    drawing = desk.document.drawing()
    title = desk.wording.plain(say("letter.title", tank=letter.member.report.tank.id))
    words, size = fitted(desk, f"{title} ({desk.label('continued')})", WIDTH, 13, 9)
    drawing.line(0, -12, words, size)
    drawing.height = 22
    return drawing


def _head(desk: Desk, letter: Letter) -> Drawing:
    """Return the tank, its week, and to whom the page is written."""
    drawing = desk.document.drawing()
    member = letter.member
    tank, week = member.report.tank, member.course.week
    right = ""
    if week is not None:
        right = f"{desk.label('week', 'letter')} {week}"
        drawing.text_right(WIDTH, -20, right, 17, bold=True)
        drawing.text_right(WIDTH, -33, desk.label("since-filled", "letter"), 10)
    title = desk.wording.plain(say("letter.title", tank=tank.id))
    words, size = fitted(desk, title, WIDTH - 120, 24, 14)
    drawing.line(0, -21, words, size)
    about = [tank.keeper, desk.report.settings.organisation]
    about.append(desk.display.day(desk.report.as_of))
    text = desk.raw(" · ".join(part for part in about if part))
    drawing.line(0, -36, desk.document.type.cut(text, WIDTH - 120, 11), 11)
    drawing.height = 42
    return drawing


def _parts(desk: Desk, letter: Letter, room: Room) -> Iterator[Drawing]:
    yield from _section(desk, "where", letter.where)
    yield desk.heading(desk.label("why", "letter"))
    for sentence in letter.reads:
        yield from desk.paragraph(desk.said(sentence))
    yield from _joined(desk, letter.why[: room.why])
    reasons = letter.reasons[: room.reasons]
    if reasons:
        words = desk.raw(desk.label("reasons", "letter"), bold=True)
        for number, sentence in enumerate(reasons):
            words += desk.raw("·") if number else ()
            words += desk.said(sentence)
        yield from desk.paragraph(words)
    yield from _others(desk, letter, room)
    yield from _do(desk, letter, room)
    yield from _section(desk, "buy", letter.buy)
    yield from _section(desk, "test", letter.test)
    gap = desk.document.drawing()
    gap.height = 4.0
    yield gap
    yield from desk.paragraph(desk.said(letter.ask))


def _section(
    desk: Desk, label: str, sentences: tuple[Sentence, ...]
) -> Iterator[Drawing]:
    if sentences:
        yield desk.heading(desk.label(label, "letter"))
        yield from _joined(desk, sentences)


def _joined(desk: Desk, sentences: tuple[Sentence, ...]) -> Iterator[Drawing]:
    """Yield sentences as one paragraph."""
    words = tuple(word for sentence in sentences for word in desk.said(sentence))
    if words:
        yield from desk.paragraph(words)


def _others(desk: Desk, letter: Letter, room: Room) -> Iterator[Drawing]:
    if not letter.others and not letter.lines:
        return
    yield desk.heading(desk.label("others", "letter"))
    week = letter.member.course.week
    lines = nearest(letter.lines, room.chart)
    drawn = bool(lines) and week is not None
    said = (s for s in letter.others if drawn or s.key != "letter.bars")
    yield from _joined(desk, tuple(said))
    if not drawn or week is None:
        return
    drawing = desk.document.drawing()
    ends = [week, *(line.until or 0 for line in lines)]
    scale = Scale(_CHART_LEFT, _CHART_RIGHT, max(*ends, 4))
    filled = letter.member.course.tank.filled_on
    assert filled is not None
    now = (desk.report.as_of - filled).days / 7
    label = desk.label("weeks-axis", "mentor")
    steps(drawing, lines, scale, now, desk.label("you", "letter"), label)
    yield drawing


def nearest(lines: tuple[StepLine, ...], most: int) -> tuple[StepLine, ...]:
    """Return at most so many steps: those still ahead, after the newest one there."""
    if len(lines) <= most:
        return lines
    reached = [line for line in lines if line.mine is not None]
    reached.sort(key=lambda line: line.mine or 0.0)
    ahead = [line for line in lines if line.mine is None]
    newest = reached[-max(most - len(ahead), 1) :] if most else []
    chosen = [*newest, *ahead][:most]
    return tuple(line for line in lines if line in chosen)


def _do(desk: Desk, letter: Letter, room: Room) -> Iterator[Drawing]:
    yield desk.heading(desk.label("do", "letter"), strong=True)
    if not letter.do:
        key = "test-first" if letter.member.silent_days is not None else "nothing-to-do"
        yield from desk.paragraph(desk.said(say(f"letter.{key}")))
    for number, step in enumerate(letter.do[: room.do], start=1):
        yield _step(desk, number, step, room.because)
    left = len(letter.do) - room.do
    if left > 0:
        yield from desk.paragraph(desk.said(say("letter.more-steps", number=left)))
    if letter.leave:
        words = desk.raw(f"{desk.label('leave', 'letter')}:", bold=True)
        for sentence in letter.leave:
            words += desk.said(sentence)
        yield from desk.paragraph(words)


def _step(desk: Desk, number: int, step: Step, because: bool) -> Drawing:
    """Return one step with a box to tick, and what must stand with it."""
    drawing = desk.document.drawing()
    size, lead = desk.sizes.body, desk.sizes.body_lead
    drawing.text_right(14, -size - 1, str(number), size + 1, bold=True)
    if step.tick:
        drawing.tick_box(19, -1.5, size + 1)
    words = desk.said(step.what)
    if because:
        words += desk.said(step.why)
    rows = desk.wrap(words, WIDTH - _STEP_X, size)
    y = drawing.lines(_STEP_X, 0, rows, size, lead)
    for words in _beside(desk, step):
        rows = desk.wrap(words, WIDTH - _STEP_X - 10, size - 0.5)
        drawing.fill(_STEP_X, y - lead * len(rows), 2, lead * len(rows) - 2, 0.2)
        y = drawing.lines(_STEP_X + 8, y, rows, size - 0.5, lead)
    drawing.height = 3 - y
    return drawing


def _beside(desk: Desk, step: Step) -> Iterator[Line]:
    """Yield the cautions of a step, then what goes with it."""
    if step.cautions:
        label = desk.raw(desk.label("take-care", "letter"), bold=True)
        said = (word for caution in step.cautions for word in desk.said(caution))
        yield (*label, *said)
    yield from map(desk.said, step.with_it)
