"""The summary table for a terminal: worst first, as wide as there is room."""

from __future__ import annotations

import os
import shutil
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import accumulate, takewhile
from typing import NamedTuple

from fleet.problems import left_out
from fleet.records import ATTENTION_ORDER, Report, say
from fleet.render.safe import for_terminal
from fleet.render.summary import Line, as_read, lines
from fleet.render.wording import Wording

WIDEST = 160  # a longer line is hard to follow
NARROWEST = 28  # a narrower table says nothing
GAP = 2
_BOLD, _PLAIN = "\x1b[1m", "\x1b[22m"


class Column(NamedTuple):
    """One column of the table."""

    head: str
    cells: list[str]
    widest: int  # of the head and all cells
    most: int  # characters it may take
    right: bool = False

    @property
    def width(self) -> int:
        """Characters it takes."""
        return min(self.widest, self.most)


def summary(
    report: Report,
    wording: Wording,
    columns: int | None = None,
    bold: bool | None = None,
) -> str:
    """Return the table and a few lines around it.

    Parameters
    ----------
    columns
        Width of the terminal; asked of the system where it is not given.
    bold
        Whether the head and the urgent tanks stand out; where it is not given, on
        a terminal that has not been asked to be plain (``NO_COLOR``).
    """
    if columns is None:
        columns = shutil.get_terminal_size((80, 24)).columns
    if bold is None:
        bold = _wants_bold()
    room = max(min(columns, WIDEST), NARROWEST)
    said = [for_terminal(line, 1000) for line in _above(report, wording)]
    parts = [part for line in said for part in _wrapped(line, room)]
    if report.tanks:
        table = list(_table(lines(report, wording), wording, room))
        marked = [True] + [t.plan.attention == "today" for t in report.tanks]
        parts += ["", *_marked(table, marked, bold)]
    below = [for_terminal(line, 1000) for line in _below(report, wording)]
    if below:
        parts += ["", *(part for line in below for part in _wrapped(line, room))]
    return "\n".join(parts)


def _wants_bold() -> bool:
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return not plain and sys.stdout.isatty()


def _above(report: Report, wording: Wording) -> Iterator[str]:
    yield wording.plain(
        say(
            "terminal.title",
            organisation=report.settings.organisation,
            as_of=report.as_of,
        )
    )
    if not report.tanks:
        yield wording.plain(say("terminal.no-tanks"))
        return
    count: Counter[str] = Counter(entry.plan.attention for entry in report.tanks)
    of = tuple((word, count[word]) for word in ATTENTION_ORDER if count[word])
    yield wording.plain(say("terminal.counts", tanks=len(report.tanks), of=of))


def _below(report: Report, wording: Wording) -> Iterator[str]:
    if report.since and report.changes:
        count: Counter[str] = Counter(change.word for change in report.changes)
        words = ("worse", "better", "same", "new", "gone")
        of = tuple((word, count[word]) for word in words if count[word])
        not_done = sum(len(change.not_done) for change in report.changes)
        said = say("terminal.since", day=report.since, of=of, not_done=not_done)
        yield wording.plain(said)
    lost = left_out(report.problems)
    if lost:
        yield wording.plain(say("terminal.left-out", number=lost))


# ---------------------------------------------------------------------- the table


def _table(made: Sequence[Line], wording: Wording, room: int) -> Iterator[str]:
    def column(word: str, cells: list[str], most: int, right: bool = False) -> Column:
        head = for_terminal(wording.label(word, "terminal"))
        widest = max(map(width, (head, *cells)))
        return Column(head, cells, widest, most, right)

    chosen = [
        column("attention", [_attention(line, wording) for line in made], 12),
        column("tank", [for_terminal(line.tank.id) for line in made], 14),
        column("place", [for_terminal(line.tank.place) for line in made], 16),
        column("stage", [_stage(line, wording) for line in made], 12),
        column("nitrate", _values(made, "nitrate", wording), 8, right=True),
        column("phosphate", _values(made, "phosphate", wording), 8, right=True),
    ]
    last = column("first", [_kind(line, wording) for line in made], 20)
    # The narrower the terminal, the more gives way: first the place is shortened,
    # then it goes, then the stage; what to do never goes.
    for place in (16, 12, 8):
        chosen[2] = chosen[2]._replace(most=place)
        if _taken(chosen) + last.width <= room:
            break
    while _taken(chosen) + last.width > room and len(chosen) > 4:
        del chosen[2]
    while _taken(chosen) + last.width > room and len(chosen) > 2:
        del chosen[-1]
    if _taken(chosen) + last.width > room:
        chosen[1] = chosen[1]._replace(most=6)
    left = room - _taken(chosen)
    if left >= 30:
        last = column("first", [for_terminal(_first(line)) for line in made], left)
    chosen.append(last._replace(most=left))
    forms = [(shown.width, shown.right) for shown in chosen]
    yield _row([shown.head for shown in chosen], forms)
    for texts in zip(*(shown.cells for shown in chosen), strict=True):
        yield _row(texts, forms)


def _taken(columns: Sequence[Column]) -> int:
    return sum(column.width + GAP for column in columns)


def _row(texts: Sequence[str], forms: Sequence[tuple[int, bool]]) -> str:
    gap = " " * GAP
    cells = [fitted(text, *form) for text, form in zip(texts, forms, strict=True)]
    return gap.join(cells).rstrip()


def _attention(line: Line, wording: Wording) -> str:
    return for_terminal(wording.label(line.entry.plan.attention, "attention"))


def _stage(line: Line, wording: Wording) -> str:
    return for_terminal(wording.label(line.entry.findings.stage.name, "stage"))


def _values(made: Sequence[Line], parameter: str, wording: Wording) -> list[str]:
    values = []
    for line in made:
        finding = line.entry.findings.of(parameter)
        latest = finding.latest if finding else None
        values.append(as_read(latest, wording.display) if latest else "-")
    return values


def _first(line: Line) -> str:
    return line.first_what or line.headline


def _kind(line: Line, wording: Wording) -> str:
    return for_terminal(wording.label(line.first.kind, "kind")) if line.first else "-"


def _marked(table: list[str], marked: list[bool], bold: bool) -> Iterator[str]:
    for row, mark in zip(table, marked, strict=True):
        yield f"{_BOLD}{row}{_PLAIN}" if bold and mark else row


# -------------------------------------------------------------- width on a terminal


def width(text: str) -> int:
    """Return how many columns of a terminal ``text`` takes (Unicode, UAX 11)."""
    if text.isascii():
        return len(text)
    return sum(map(_width, text))


@lru_cache(maxsize=1024)
def _width(character: str) -> int:
    if unicodedata.east_asian_width(character) in "WF":
        return 2
    return 0 if unicodedata.category(character) in ("Mn", "Me", "Cf") else 1


def fitted(text: str, columns: int, right: bool = False) -> str:
    """Return ``text`` cut or padded to exactly ``columns`` of a terminal."""
    taken = width(text)
    if taken > columns:
        ends = accumulate(map(width, text))
        kept = list(takewhile(lambda end: end < columns, ends))
        text, taken = f"{text[: len(kept)]}…", max(kept, default=0) + 1
    padding = " " * (columns - taken)
    return padding + text if right else text + padding


def _wrapped(text: str, columns: int) -> Iterator[str]:
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer) > columns and line:
            yield line
            longer = word
        line = longer
    yield fitted(line, columns).rstrip()
