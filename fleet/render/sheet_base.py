"""What every part of an action sheet needs: words, sizes, headings and marks."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from fleet.records import Report, Sentence, TankChange
from fleet.reference import Reference
from fleet.render.display import Display
from fleet.render.fonts import FALLBACK
from fleet.render.pdf_page import BOX, WIDTH, Document, Drawing
from fleet.render.pdf_text import Line
from fleet.render.summary import next_round
from fleet.render.wording import Wording


class Sizes(NamedTuple):
    """Letter sizes and line pitches of one page, in points."""

    action: float
    action_lead: float
    body: float
    body_lead: float
    table: float
    row: float
    gap: float
    wide: bool  # each thing on lines of its own, over the whole width
    box: float = BOX  # side of a tick box
    chart: float = 75.0  # height of a chart
    terse: bool = False  # what can be read elsewhere is left out


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
    days: dict[date, str] = field(default_factory=dict)
    changes: dict[str, TankChange] = field(default_factory=dict)
    next_round: date = field(init=False)  # the day everything is tested again

    def __post_init__(self) -> None:
        """Work out once what every box asks for."""
        object.__setattr__(self, "next_round", next_round(self.report))

    @property
    def display(self) -> Display:
        """How numbers are shown."""
        return self.wording.display

    def day(self, on: date) -> str:
        """Return a day without its year; the same few come on every sheet."""
        shown = self.days.get(on)
        if shown is None:
            shown = self.days[on] = self.display.short_day(on)
        return shown

    def label(self, word: str, kind: str = "sheet") -> str:
        """Return the words for ``word``."""
        return self.wording.label(word, kind)

    def said(self, sentence: Sentence, bold: bool = False) -> Line:
        """Return a sentence as words; one of inhuman length is cut, with a mark."""
        markup = self.wording.markup(sentence)
        words = self.document.type.words(f"<b>{markup}</b>" if bold else markup)
        if len(markup) <= _LONGEST:
            return words
        if sum(len(word.text) for word in words) <= _LONGEST:
            return words
        kept, left = [], _LONGEST
        for word in words:
            left -= len(word.text) + 1
            if left < 0:
                break
            kept.append(word)
        if not kept:
            return self.raw(words[0].text[:_LONGEST] + "…", words[0].bold)
        return (*kept, *self.raw("…"))

    def said_together(self, sentences: Iterable[Sentence]) -> Line:
        """Return sentences one after another."""
        return tuple(word for sentence in sentences for word in self.said(sentence))

    def raw(self, text: str, bold: bool = False) -> Line:
        """Return foreign text, or a label, as words."""
        return self.document.type.raw(text, bold)

    def wrap(self, words: Line, width: float, size: float) -> list[Line]:
        """Return ``words`` as lines of at most ``width``."""
        return self.document.type.wrap(words, width, size)

    def limited(self, words: Line, width: float, size: float, most: int) -> list[Line]:
        """Return ``words`` as at most so many lines, the last one cut with a mark."""
        lines = self.wrap(words, width, size)
        if len(lines) <= most:
            return lines
        rest = tuple(word for line in lines[most - 1 :] for word in line)
        return [*lines[: most - 1], self.document.type.cut(rest, width, size)]

    def heading(self, text: str, extra: str = "", strong: bool = False) -> Drawing:
        """Return a section's heading under a line; never last on a page."""
        size = self.sizes.body + (3 if strong else 1)
        drawing = self.document.drawing(joined=True)
        y = -self.sizes.gap
        drawing.rule(0, y, WIDTH, y, 2.4 if strong else 0.8)
        drawing.text(0, y - size - 1, text, size, bold=True)
        if extra:
            drawing.text_right(WIDTH, y - size - 1, extra, FINE)
        drawing.height = self.sizes.gap + size + (5 if self.sizes.wide or strong else 3)
        return drawing

    def section(self, label: str, extra: str = "", strong: bool = False) -> Drawing:
        """Return the heading of a part that most sheets have."""

        def make() -> Drawing:
            beside = self.label(extra) if extra else ""
            return self.heading(self.label(label), beside, strong)

        return self.standing((label, extra, strong), make)

    def standing(self, key: Hashable, make: Callable[[], Drawing]) -> Drawing:
        """Return what many sheets have in this size of letters; it is stored once."""
        return self.document.standing((key, self.sizes), make)

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

    def foot(self) -> Line:
        """Return what a page rests on, and the mark for what could not be drawn."""
        report = self.report
        names = [source.name for source in report.sources if not source.failed]
        files = ", ".join(names[:2])
        if len(names) > 2:
            files += f" + {len(names) - 2}"
        parts = [f"{self.label('as-of')} {self.display.day(report.as_of)}", files]
        if not self.document.has_letterhead:
            parts.append(report.settings.organisation)
        parts.append(report.made_by)
        if self.document.type.fell_back:
            parts.insert(0, f"{FALLBACK} {self.label('fallback')}")
        return self.raw(" · ".join(part for part in parts if part))

    def strength(self, grams_per_litre: float) -> str:
        """Return the strength of a stock solution."""
        return f"{self.display.significant(grams_per_litre)} g/L"


_LONGEST = 600  # letters of one sentence; a page must hold a step of four
FINE = 9.0  # notes to a table; nothing that is acted on
SMALL_BOX = 11.0  # side of a tick box in a list
NOT_TICKED = ("wait", "hold off")  # kinds of action that leave nothing to tick
TEXT_X = BOX + 27.0  # where the words of a step begin


def fitted(
    desk: Desk, text: str, width: float, size: float, least: float, bold: bool = True
) -> tuple[Line, float]:
    """Return ``text`` and its size, made smaller and at last cut to fit ``width``."""
    return desk.document.type.fit(desk.raw(text, bold), width, size, least)
