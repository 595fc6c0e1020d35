"""A PDF of printed sheets: the document, its pages, and drawings placed on them.

A ``Drawing`` is built once from its top left corner down, so that its height is
known before it is placed. It collects PDF operators as text, several times faster
than one call of the PDF library a line; a page is in the file once it is closed.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import NamedTuple

from fleet.render.pdf_file import About, PdfFile
from fleet.render.pdf_text import Line, Typesetter
from fleet.render.pdf_word import shown
from fleet.render.safe import clean

MM = 72 / 25.4
PAPERS = {  # ISO 216 and ANSI/ASME Y14.1, in points
    "A4": (210 * MM, 297 * MM),
    "Letter": (612.0, 792.0),
}
WIDTH = 180 * MM  # live area; fits both papers
TOP = 20 * MM  # room for the clip
BOTTOM = 10 * MM  # the foot stands in the margin, as low as printers reach
BOX = 6 * MM  # side of a tick box
WRITE_HIGH, WRITE_WIDE = 9 * MM, 25 * MM  # box to write a number in
INK = 1.0  # thickness of a line to tick or write on
FOOT_SIZE = 8.5
_MOST_STANDING = 500  # parts stored once; a year of sheets needs some sixty
_ABOVE = 6.0  # between the letterhead and the live area
_FOOT_HIGH = 5 * MM  # so that the live area ends 15 mm above the edge


class Drawing:
    """Operators drawn from the top left corner (0, 0) down: y is negative."""

    __slots__ = ("_type", "height", "joined", "mark", "ops")

    def __init__(self, typesetter: Typesetter, joined: bool = False) -> None:
        self._type = typesetter
        # Much is measured and never placed, so what costs time waits until then.
        self.ops: list[str | tuple[float, float, Line, float] | _Later] = []
        self.height = 0.0
        self.mark = ""  # title of a bookmark that leads here
        self.joined = joined  # never the last on a page: a heading

    def text(
        self, x: float, y: float, text: str, size: float, bold: bool = False
    ) -> None:
        """Show a text that comes again on many pages."""
        operators = self._type.label(text, size, bold)
        if operators:
            self.ops.append(f"BT {x:.1f} {y:.1f} Td {operators} ET")

    def text_right(
        self, x: float, y: float, text: str, size: float, bold: bool = False
    ) -> None:
        """Show such a text so that it ends at ``x``."""
        self.text(x - self._type.label_width(text, bold) * size, y, text, size, bold)

    def line(self, x: float, y: float, line: Line, size: float) -> None:
        """Show one line of words."""
        if line:
            self.ops.append((x, y, line, size))

    def later(self, draw: Callable[[Drawing], object]) -> None:
        """Leave a part to be drawn, from the same corner, once this is placed."""
        self.ops.append(_Later(draw))

    def operators(self) -> str:
        """Return all that is drawn, as PDF operators."""
        return "\n".join(
            [op if isinstance(op, str) else self._shown(op) for op in self.ops]
        )

    def _shown(self, op: tuple[float, float, Line, float] | _Later) -> str:
        if isinstance(op, _Later):
            part = Drawing(self._type)
            op.draw(part)
            return part.operators()
        x, y, line, size = op
        return f"BT {x:.1f} {y:.1f} Td {shown(line, size)} ET"

    def right(self, x: float, y: float, line: Line, size: float) -> None:
        """Show one line of words that ends at ``x``."""
        self.line(x - self._type.width(line) * size, y, line, size)

    def inside(self, other: Drawing, y: float, x: float = 0.0) -> None:
        """Put ``other`` into this drawing with its top left corner at a point."""
        self.ops += (f"q 1 0 0 1 {x:.1f} {y:.1f} cm", *other.ops, "Q")

    def lines(
        self, x: float, top: float, lines: list[Line], size: float, leading: float
    ) -> float:
        """Show ``lines`` below ``top``; return where the next thing may begin."""
        y = top - 0.77 * leading
        for line in lines:
            self.line(x, y, line, size)
            y -= leading
        return top - leading * len(lines)

    def rule(
        self, x1: float, y1: float, x2: float, y2: float, thick: float, dash: str = ""
    ) -> None:
        """Draw a straight line; ``dash`` such as ``3 2``."""
        stroke = f"{thick:g} w {x1:.1f} {y1:.1f} m {x2:.1f} {y2:.1f} l S"
        self.ops.append(f"[{dash}] 0 d {stroke} [] 0 d" if dash else stroke)

    def box(self, x: float, y: float, wide: float, high: float, thick: float) -> None:
        """Draw the outline of a box; ``y`` is its lower edge."""
        self.ops.append(f"{thick:g} w {x:.1f} {y:.1f} {wide:.1f} {high:.1f} re S")

    def fill(self, x: float, y: float, wide: float, high: float, gray: float) -> None:
        """Fill a box with a grey; 0 is black."""
        self.ops.append(f"{gray:g} g {x:.1f} {y:.1f} {wide:.1f} {high:.1f} re f 0 g")

    def tick_box(self, x: float, top: float, side: float = BOX) -> None:
        """Draw an empty box to tick; ``top`` is its upper edge."""
        self.box(x, top - side, side, side, INK)


class Pixels(NamedTuple):
    """A picture as rows of grey or RGB bytes."""

    size: tuple[int, int]
    rows: bytes


class _Later(NamedTuple):
    draw: Callable[[Drawing], object]


class _Standing(NamedTuple):
    """What shows a part that is stored already."""

    operators: str
    height: float
    joined: bool


class Document:
    """One PDF, written page by page; equal content gives equal bytes."""

    def __init__(
        self, path: Path, paper: str, title: str, as_of: date, made_by: str, lang: str
    ) -> None:
        self.paper = PAPERS[paper if paper in PAPERS else "A4"]
        about = About(title, made_by, as_of, clean(lang, 20))
        self._file = PdfFile(path, self.paper, about)
        self.type = Typesetter(self._file.fonts)
        self._page: list[str] = []
        self._marks: list[str] = []
        self._standing: dict[Hashable, _Standing] = {}
        self._letterhead = ""
        self.left = (self.paper[0] - WIDTH) / 2

    @property
    def top(self) -> float:
        """Where the live area begins."""
        return self.paper[1] - TOP

    @property
    def bottom(self) -> float:
        """Where the live area ends, above the foot."""
        return BOTTOM + _FOOT_HIGH

    @property
    def room(self) -> float:
        """How high the live area of one page is."""
        return self.top - self.bottom

    def drawing(self, joined: bool = False) -> Drawing:
        """Return an empty drawing."""
        return Drawing(self.type, joined)

    def standing(self, key: Hashable, make: Callable[[], Drawing]) -> Drawing:
        """Return a drawing that comes again on many pages; it is stored once.

        Not one with a mark for what could not be drawn, so that each is noticed.
        """
        kept = self._standing.get(key)
        if kept is None:
            marked, self.type.fell_back = self.type.fell_back, False
            made = make()
            once = self.type.fell_back or len(self._standing) >= _MOST_STANDING
            self.type.fell_back |= marked
            if once:
                return made
            assert not made.mark  # it would be lost
            name = f"part-{len(self._standing)}"
            self._store(name, made)
            kept = self._standing[key] = _Standing(
                f"q 1 0 0 1 0 0 cm /{name} Do Q", made.height, made.joined
            )
        again = self.drawing(kept.joined)
        again.ops.append(kept.operators)
        again.height = kept.height
        return again

    def _store(self, name: str, drawing: Drawing) -> None:
        """Put a drawing into the file, to be shown by its name."""
        box = (-2.0, -drawing.height - 2, WIDTH + 2, 2.0)
        self._file.form(name, box, drawing.operators())

    def letterhead(self, drawing: Drawing, pictures: Mapping[str, Pixels]) -> None:
        """Show ``drawing`` above the live area of every page from now on."""
        for name, pixels in pictures.items():
            self._file.picture(name, pixels.size, pixels.rows)
        self._store("letterhead", drawing)
        y = self.top + _ABOVE + drawing.height
        self._letterhead = f"q 1 0 0 1 {self.left:.1f} {y:.1f} cm /letterhead Do Q"

    @property
    def has_letterhead(self) -> bool:
        """Whether pages say whose they are."""
        return bool(self._letterhead)

    def place(self, drawing: Drawing, y: float, x: float = 0.0) -> None:
        """Put ``drawing`` with its top at ``y``, ``x`` from the left margin."""
        if drawing.mark:
            self._marks.append(clean(drawing.mark, 120))
        if drawing.ops:
            where = f"{self.left + x:.1f} {y:.1f}"
            self._page.append(f"q 1 0 0 1 {where} cm\n{drawing.operators()}\nQ")

    def end_page(self, left: Line, right: Line) -> None:
        """Draw the foot and close the page."""
        foot = self.drawing()
        y = 4.5 - _FOOT_HIGH
        foot.rule(0, 0, WIDTH, 0, 0.4)
        right = self.type.cut(right, WIDTH * 0.55, FOOT_SIZE)
        foot.right(WIDTH, y, right, FOOT_SIZE)
        taken = self.type.width(right) * FOOT_SIZE + 12
        foot.line(0, y, self.type.cut(left, WIDTH - taken, FOOT_SIZE), FOOT_SIZE)
        self.place(foot, self.bottom - 2)
        if self._letterhead:
            self._page.append(self._letterhead)
        self._file.page("\n".join(self._page), self._marks)
        self._page, self._marks = [], []

    def save(self) -> None:
        """Write what is left of the file."""
        self._file.save()


def height_of(drawings: Iterable[Drawing]) -> float:
    """Return how high ``drawings`` are below each other."""
    return sum([drawing.height for drawing in drawings])


def pages_of(
    first: Drawing,
    parts: Iterable[Drawing],
    again: Callable[[], Drawing],
    room: float,
) -> list[list[Drawing]]:
    """Return the drawings of each page; a heading stays with what it heads.

    ``first`` is the head of the first page, ``again`` gives that of each other one.
    """
    pages = [[first]]
    left = room - first.height
    waiting: list[Drawing] = []
    for drawing in parts:
        waiting.append(drawing)
        if drawing.joined:
            continue
        need = height_of(waiting)
        if need > left and (len(pages) == 1 or len(pages[-1]) > 1):
            pages.append([again()])
            left = room - pages[-1][0].height
        pages[-1] += waiting
        left -= need
        waiting = []
    return pages
