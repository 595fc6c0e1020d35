"""The action sheets: one page a tank, a second only where it must be.

What to do stands before why. Letters are as large as the page allows; where even
the smallest do not bring all on one page, large ones are taken again, with what is
to be done on the first page and the reasons on the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from functools import partial
from pathlib import Path

from fleet.records import Report, Sentence, TankReport
from fleet.reference import Reference
from fleet.render.letterhead import put_letterhead
from fleet.render.pdf_page import MM, WIDTH, Document, Drawing, height_of
from fleet.render.safe import clean
from fleet.render.sheet_base import Desk, Sizes
from fleet.render.sheet_close import leave_alone, retests, sign_off
from fleet.render.sheet_head import head, head_again
from fleet.render.sheet_reasons import reasons
from fleet.render.sheet_steps import Step, caution_block, steps, with_cautions
from fleet.render.sheet_told import Told
from fleet.render.wording import Wording

LARGE = Sizes(13.5, 16.8, 10.0, 12.2, 9.5, 12.4, 8.0, wide=True)
EASY = Sizes(
    12.0, 14.6, 9.0, 10.8, 8.5, 11.0, 5.0, wide=False, box=5.5 * MM, chart=70.0
)
CLOSE = Sizes(
    11.0, 13.2, 8.5, 10.0, 8.5, 10.2, 4.0, wide=False, box=5.0 * MM, chart=64.0
)
DENSE = Sizes(10.5, 12.4, 8.0, 9.4, 8.0, 9.4, 2.4, wide=False, box=4.5 * MM, chart=60.0)
TERSE = DENSE._replace(terse=True)
LEAST = TERSE._replace(action_lead=12.0, body_lead=9.1, row=9.1, gap=1.8, chart=52.0)
# What is done, and why: tried in this order until both fit on one page. The work
# keeps large letters for as long as smaller reasons make room for it.
_TRIED = (
    (LARGE, LARGE), (LARGE, EASY), (LARGE, CLOSE), (EASY, EASY), (EASY, CLOSE),
    (CLOSE, CLOSE), (CLOSE, DENSE), (DENSE, DENSE), (DENSE, TERSE),
    (LEAST, LEAST),
)  # fmt: skip
_NOTES_FROM = 45.0  # room under which no lines for notes are drawn
_NOTES_PITCH, _MOST_NOTES = 25.5, 6
_ADVICE, _ADVICE_SIZE = 11.0, 8.0  # room above the foot for who to ask

Page = list[Drawing]


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write the sheets of all tanks, in the report's order."""
    settings = report.settings
    document = Document(
        path,
        settings.paper,
        f"{wording.label('title', 'sheet')} {wording.display.day(report.as_of)}",
        report.as_of,
        report.made_by,
        wording.language,
    )
    put_letterhead(document, report)
    press = Press(document, report, wording, reference)
    for tank in report.tanks:
        document.type.fell_back = False
        press.draw(tank, press.pages(tank))
    if not report.tanks:
        document.end_page(document.type.raw(wording.label("no-tanks", "sheet")), ())
    document.save()


class Press:
    """Sets one document's sheets, with a desk for each size of letters."""

    def __init__(
        self, document: Document, report: Report, wording: Wording, of: Reference
    ) -> None:
        days: dict[date, str] = {}
        changes = {change.tank: change for change in report.changes}
        self.desks = {
            sizes: Desk(document, report, wording, of, sizes, days, changes)
            for sizes in (LARGE, EASY, CLOSE, DENSE, TERSE, LEAST)
        }
        self.document = document
        self.room = document.room - _ADVICE

    def pages(self, tank: TankReport) -> list[Page]:
        """Return the drawings of each page of a tank's sheet."""
        work: dict[Sizes, _Work] = {}
        why: dict[Sizes, _Reasons] = {}
        told = Told(self.desks[LARGE], tank)
        for doing, reasoning in _TRIED:
            if doing not in work:
                work[doing] = _Work(self.desks[doing], tank)
            left = self.room - work[doing].height
            if left < 0:
                continue
            if reasoning not in why:
                drawings = reasons(self.desks[reasoning], told)
                why[reasoning] = _Reasons(drawings)
            if why[reasoning].fit(left):
                return [[*work[doing].drawings, *why[reasoning].drawings]]
        pages = _Pages(self.desks[LARGE], tank, self.room)
        for made in work.values():
            if made.height <= self.room:
                pages.pages = [list(made.drawings)]
                pages.turn()
                break
        else:
            work[LARGE].spread(pages)
        pages.add(reasons(self.desks[LARGE], told))
        return pages.pages

    def draw(self, tank: TankReport, pages: list[Page]) -> None:
        """Put the drawings of a tank on their pages."""
        document, desk = self.document, self.desks[LARGE]
        for number, page in enumerate(pages, start=1):
            y = document.top
            for drawing in page:
                document.place(drawing, y)
                y -= drawing.height
            if number == len(pages):
                end = document.bottom + _ADVICE
                if y - end >= _NOTES_FROM:
                    document.place(_notes(desk, y - end), y)
                advice = desk.standing("advice", partial(_advice, desk))
                document.place(advice, document.bottom + 3 + _ADVICE_SIZE)
            of = f"· {desk.label('page')} {number} {desk.label('of')} {len(pages)}"
            right = desk.raw(clean(tank.tank.id, 40)) + desk.raw(of)
            document.end_page(desk.foot(), right)


class _Work:
    """All that is done with the sheet in hand, in one size of letters."""

    def __init__(self, desk: Desk, tank: TankReport) -> None:
        self._desk = desk
        self._steps = steps(desk, tank)
        self._head = head(desk, tank)
        self._heading = desk.section("to-do", "today-unless", strong=True)
        self._rest = [
            *leave_alone(desk, tank), *retests(desk, tank), *sign_off(desk, tank)
        ]  # fmt: skip
        self.drawings = [self._head]
        if self._steps:
            self.drawings.append(self._heading)
        self.drawings += with_cautions(desk, self._steps)
        self.drawings += self._rest
        self.height = height_of(self.drawings)

    def spread(self, pages: _Pages) -> None:
        """Put the work on several pages, each with the cautions of its own steps."""
        pages.pages[0] = [self._head]
        pages.left -= self._head.height
        heading: Page = [self._heading]
        for step in self._steps:
            pages.add_step(heading, step)
            heading = []
        pages.add(self._rest)


class _Reasons:
    """The reasons in one size of letters, set no further than there was room."""

    def __init__(self, drawings: Iterator[Drawing]) -> None:
        self._left = drawings
        self._height = 0.0
        self.drawings: Page = []

    def fit(self, room: float) -> bool:
        """Say whether all of them are at most ``room`` high."""
        while self._height <= room:
            drawing = next(self._left, None)
            if drawing is None:
                return True
            self.drawings.append(drawing)
            self._height += drawing.height
        return False


class _Pages:
    """Pages of one tank's sheet, filled from the top."""

    def __init__(self, desk: Desk, tank: TankReport, room: float) -> None:
        self._desk, self._tank, self._room = desk, tank, room
        self._warned: set[Sentence] = set()  # on this page
        self.pages: list[Page] = [[]]
        self.left = room

    def turn(self) -> None:
        """Begin a further page."""
        again = head_again(self._desk, self._tank)
        self.pages.append([again])
        self.left = self._room - again.height
        self._warned = set()

    def add_step(self, before: Page, step: Step) -> None:
        """Add a step with those of its cautions that this page does not yet have."""
        group = self._grouped(before, step)
        if height_of(group) > self.left and len(self.pages[-1]) > 1:
            self.turn()
            group = self._grouped(before, step)
        self._warned.update(step.cautions)
        self._put(group)

    def _grouped(self, before: Page, step: Step) -> Page:
        new = [said for said in step.cautions if said not in self._warned]
        block = [caution_block(self._desk, new)] if new else []
        return [*before, *block, step.drawing]

    def add(self, drawings: Iterable[Drawing]) -> None:
        """Add drawings; a heading stays with what it heads."""
        waiting: Page = []
        for drawing in drawings:
            waiting.append(drawing)
            if drawing.joined:
                continue
            if height_of(waiting) > self.left and len(self.pages[-1]) > 1:
                self.turn()
            self._put(waiting)
            waiting = []

    def _put(self, group: Page) -> None:
        self.pages[-1] += group
        self.left -= height_of(group)


def _advice(desk: Desk) -> Drawing:
    """Return the line on whom to ask."""
    drawing = desk.document.drawing()
    drawing.text(0, -_ADVICE_SIZE, desk.label("advice"), _ADVICE_SIZE)
    drawing.height = _ADVICE
    return drawing


def _notes(desk: Desk, room: float) -> Drawing:
    """Return lines for notes on what is left of the page, within reason."""
    heading = desk.heading(desk.label("notes"))
    lines = min(int((room + 4 - heading.height) / _NOTES_PITCH), _MOST_NOTES)

    def make() -> Drawing:
        y = 8 - heading.height
        for _ in range(lines):
            y -= _NOTES_PITCH
            heading.rule(0, y, WIDTH, y, 0.4)
        heading.height -= y
        return heading

    return desk.standing(("notes", lines), make)
