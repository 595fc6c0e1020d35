"""What every part of an action sheet needs: words, sizes, headings and marks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from fleet.records import Report, Sentence
from fleet.reference import Reference
from fleet.render.display import Display
from fleet.render.pdf_page import BOX, WIDTH, Document, Drawing
from fleet.render.pdf_text import Line
from fleet.render.wording import Wording


class Sizes(NamedTuple):
    """Letter sizes and line pitches of one sheet, in points."""

    action: float
    action_lead: float
    body: float
    body_lead: float
    table: float
    row: float
    gap: float
    wide: bool  # the readings take the whole width, the charts stand below


ROOMY = Sizes(13.5, 17.0, 11.0, 13.8, 10.0, 13.6, 9.0, wide=True)
TIGHT = Sizes(12.0, 14.4, 10.5, 12.2, 9.5, 11.6, 4.0, wide=False)


@dataclass(frozen=True, slots=True)
class Desk:
    """One document being set, in one pair of sizes."""

    document: Document
    report: Report
    wording: Wording
    reference: Reference
    sizes: Sizes

    @property
    def display(self) -> Display:
        """How numbers are shown."""
        return self.wording.display

    def label(self, word: str, kind: str = "sheet") -> str:
        """Return the words for ``word``."""
        return self.wording.label(word, kind)

    def said(self, sentence: Sentence) -> Line:
        """Return a sentence as words."""
        return self.document.type.words(self.wording.markup(sentence))

    def raw(self, text: str, bold: bool = False) -> Line:
        """Return foreign text, or a label, as words."""
        return self.document.type.raw(text, bold)

    def wrap(self, words: Line, width: float, size: float) -> list[Line]:
        """Return ``words`` as lines of at most ``width``."""
        return self.document.type.wrap(words, width, size)

    def heading(self, text: str, extra: str = "", strong: bool = False) -> Drawing:
        """Return a section's heading under a line; never last on a page."""
        size = self.sizes.body + (3 if strong else 1)
        drawing = self.document.drawing(joined=True)
        y = -self.sizes.gap
        drawing.rule(0, y, WIDTH, y, 2.4 if strong else 0.8)
        drawing.text(0, y - size - 1, text, size, bold=True)
        if extra:
            drawing.text_right(WIDTH, y - size - 1, extra, FINE)
        drawing.height = self.sizes.gap + size + 5
        return drawing

    def paragraph(
        self, words: Line, width: float = WIDTH, x: float = 0.0, room: int = 10
    ) -> list[Drawing]:
        """Return body text as drawings of at most ``room`` lines each."""
        size, lead = self.sizes.body, self.sizes.body_lead
        lines = self.wrap(words, width, size)
        drawings = []
        for start in range(0, len(lines), room):
            drawing = self.document.drawing()
            end = drawing.lines(x, 0, lines[start : start + room], size, lead)
            drawing.height = -end
            drawings.append(drawing)
        return drawings

    def strength(self, grams_per_litre: float) -> str:
        """Return the strength of a stock solution."""
        return f"{self.display.number(grams_per_litre)} g/L"


FINE = 9.0  # notes to a table; nothing that is acted on
TEXT_X = BOX + 27.0  # where the words of a step begin


def fitted(
    desk: Desk, text: str, width: float, size: float, least: float, bold: bool = True
) -> tuple[Line, float]:
    """Return ``text`` and its size, made smaller and at last cut to fit ``width``."""
    words = desk.raw(text, bold)
    wide = desk.document.type.width(words)
    if wide * size > width:
        size = max(least, width / wide)
    return desk.document.type.cut(words, width, size), size
