"""What a run of the reader collects on the way: problems, and texts within bounds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from fleet import problems
from fleet.problems import Kind
from fleet.read.grid import Sheet, Trouble, blank
from fleet.read.shared_strings import CUT_MARK, LONGEST_TEXT
from fleet.read.table import id_text
from fleet.records import CellAddress, Problem
from fleet.spelling import visible

MOST_ALIKE = 1_000  # of one kind in one column of a sheet, before they are summed up
MOST_TEXT_KEPT = 20_000_000  # characters of notes and names of one run


class Log:
    """Collects problems; sums up what is the same all down a column."""

    def __init__(self) -> None:
        self._kept: list[Problem] = []
        self._counts: dict[tuple[str, str, str, int], int] = {}
        self._more: dict[tuple[str, str, str, int], Problem] = {}
        self._last: dict[tuple[str, str, str, int], CellAddress] = {}

    def add(self, problem: Problem) -> None:
        """Keep a problem."""
        where = problem.where
        key = (problem.kind, where.file, where.sheet, where.column)
        count = self._counts.get(key, 0) + 1
        self._counts[key] = count
        if count <= MOST_ALIKE:
            self._kept.append(problem)
        else:
            self._more[key] = problem

    def at(
        self, kind: Kind, where: CellAddress, value: object = "", /, **facts: object
    ) -> None:
        """Make a problem and keep it; after a thousand alike, only count them."""
        key = (kind.key, where.file, where.sheet, where.column)
        count = self._counts.get(key, 0)
        if count > MOST_ALIKE:
            self._counts[key] = count + 1
            self._last[key] = where
            return
        self.add(kind.at(where, value, **facts))

    def extend(self, found: Iterable[Problem]) -> None:
        """Keep several problems."""
        for problem in found:
            self.add(problem)

    def all(self) -> tuple[Problem, ...]:
        """Return all problems, with one line for each long run of the same."""
        summed = []
        for key, last in self._more.items():
            more = str(self._counts[key] - MOST_ALIKE)
            where = self._last.get(key, last.where)
            line = problems.MORE_OF_THIS.at(where, more, row=where.row)
            summed.append(
                replace(
                    line, kind=last.kind, effect=last.effect, severity=last.severity
                )
            )
        return (*self._kept, *summed)


class Texts:
    """Makes foreign text safe to carry on: cut first, then cleaned."""

    def __init__(self, log: Log) -> None:
        self._log = log
        self._clean: dict[tuple[str, int], str] = {}
        self._room = MOST_TEXT_KEPT

    def of(self, cell: Any, longest: int = LONGEST_TEXT) -> str:
        """Return the text of a cell; numbers as written, blanks as ""."""
        if not isinstance(cell, str):
            return shown(cell)
        if not cell:
            return ""
        text = self._clean.get((cell, longest)) if len(cell) < 1000 else None
        if text is None:
            text = self._cleaned(cell, longest)
            if len(cell) < 1000:
                self._clean[cell, longest] = text
        self._room -= len(text)
        # A short text is not worth cutting, whatever the room.
        return text if self._room > 0 or len(text) < 200 else text[:200] + CUT_MARK

    def column(self, cells: Sequence[Any], longest: int = LONGEST_TEXT) -> list[str]:
        """Return the texts of a column; equal cells share one text."""
        different = {cell: self.of(cell, longest) for cell in set(cells)}
        texts = [different[cell] for cell in cells]
        self._room -= sum(map(len, texts))
        if self._room < 0:
            return [t if len(t) < 200 else t[:200] + CUT_MARK for t in texts]
        return texts

    def _cleaned(self, cell: str, longest: int) -> str:
        # A text that was cut on opening carries the mark already.
        marked = cell.endswith(CUT_MARK) and len(cell) <= longest + len(CUT_MARK)
        kept = cell if marked else cell[:longest]
        text = "\n".join(
            " ".join(line.split()) for line in visible(kept).splitlines()
        ).strip()
        return text + CUT_MARK if len(kept) < len(cell) else text


def shown(cell: Any) -> str:
    """Return a cell as it is shown in a message."""
    if isinstance(cell, Trouble):
        return cell.text
    if isinstance(cell, datetime) and not (cell.hour or cell.minute or cell.second):
        return cell.date().isoformat()
    if isinstance(cell, date | time):
        return cell.isoformat()
    return id_text(cell)


def hidden_notes(sheet: Sheet) -> list[Problem]:
    """Return the notes on a hidden sheet and hidden rows."""
    notes = []
    if sheet.hidden:
        notes.append(problems.SHEET_HIDDEN.at(sheet.whole))
    if sheet.hidden_rows:
        rows = "1 row" if sheet.hidden_rows == 1 else f"{sheet.hidden_rows} rows"
        notes.append(problems.ROWS_HIDDEN.at(sheet.whole, rows))
    return notes


def content_rows(sheet: Sheet) -> int:
    """Return how many rows of a sheet hold anything."""
    return sum(not all(blank(cell) for cell in row) for row in sheet.rows)
