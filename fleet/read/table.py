"""A sheet that is understood: which rows and columns mean what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from fleet.read.grid import Row, Sheet, Trouble, blank
from fleet.read.headers import Headers
from fleet.read.units import Units
from fleet.read.words import Words
from fleet.records import ColumnUse, Problem
from fleet.reference import Reference
from fleet.spelling import tank_key
from fleet.substances import SaltNames

MOST_FILLED = 1_000_000  # cells of merged areas written out


@dataclass(frozen=True, slots=True)
class Language:
    """Everything that looks words up; made once for a run."""

    reference: Reference
    words: Words
    units: Units
    headers: Headers
    salts: SaltNames


def language_of(reference: Reference) -> Language:
    """Return the lookups for ``reference``."""
    words, units = Words(reference), Units(reference)
    headers = Headers(words, units)
    return Language(reference, words, units, headers, SaltNames(reference))


@dataclass(slots=True)
class Column:
    """One column and what it means; ``what`` is "" where it is not used."""

    index: int
    header: str
    what: str = ""
    parameter: str = ""
    unit: str = ""  # "" where neither header nor units row names one
    method: str = ""  # named in the header of a value
    tank: str = ""  # all values of this column are of this tank, as written
    day: date | None = None  # all values of this column are of this day
    set_aside: bool = False  # a layout file says that it is not to be used
    of: int = -1  # the value column that a method or flag belongs to; -1: all

    def meaning(self, reference: Reference) -> str:
        """Return the meaning as ``fleet check`` and layout files write it."""
        if not self.what:
            return "not used"
        if self.what in ("method", "flag"):
            return f"{self.parameter} {self.what}".strip()
        # A whole column of one tank or day: its parameter stands elsewhere.
        wide = self.what == "value" and not self.parameter
        parts = [] if wide else [self.parameter or self.what]
        unit = self.unit
        if self.what == "value" and self.parameter and not unit:
            unit = reference.parameters[self.parameter].default_unit
        parts += [unit] if unit and self.what != "date" else []
        parts += [self.method] if self.method else []
        parts += [f"tank {self.tank}"] if self.tank else []
        parts += [self.day.isoformat()] if self.day else []
        return ", ".join(parts)


@dataclass(slots=True)
class Table:
    """One sheet with its kind, header rows and columns."""

    sheet: Sheet
    kind: str
    columns: list[Column]
    header: tuple[int, ...]  # rows of the headers, from 0
    first: int  # first row of data, from 0
    tank: str = ""  # all rows are of this tank, as written
    parameter: str = ""  # all values are of this parameter
    unit: str = ""
    date_order: str = ""
    flags: Mapping[str, str] = field(default_factory=dict)
    fill_down: frozenset[str] = frozenset()
    problems: list[Problem] = field(default_factory=list)

    @property
    def rows(self) -> list[Row]:
        """The rows of data."""
        return self.sheet.rows[self.first :]

    def column(self, what: str) -> Column | None:
        """Return the first column of this meaning, or None."""
        return next((c for c in self.columns if c.what == what), None)

    def all(self, what: str) -> list[Column]:
        """Return all columns of this meaning."""
        return [c for c in self.columns if c.what == what]

    def unused(self) -> list[Column]:
        """Return the columns that hold something, but nobody knows what.

        Those that a layout file sets aside, or that a problem names, are not among
        them.
        """
        named = {p.where.column - 1 for p in self.problems}
        return [
            column
            for column in self.columns
            if not column.what
            and not column.set_aside
            and column.index not in named
            and any(not blank(row[column.index]) for row in self.rows)
        ]

    def uses(self, reference: Reference) -> list[ColumnUse]:
        """Return how each column with a header or a value was understood."""
        return [
            ColumnUse(
                self.sheet.file,
                self.sheet.name,
                column.index + 1,
                column.header,
                column.meaning(reference),
            )
            for column in self.columns
            if column.header or column.what
        ]

    def fill_merged(self) -> None:
        """Write merged cells out downwards where they say whose or where a row is."""
        keys = {c.index for c in self.columns if c.what in _KEY_COLUMNS}
        rows, room = self.sheet.rows, MOST_FILLED
        for top, left, bottom, right in self.sheet.merged:
            if top < self.first or bottom == top or room <= 0:
                continue
            for column in keys & set(range(left, min(right, left + 50) + 1)):
                value = rows[top][left] if top < len(rows) else ""
                for row in range(top + 1, min(bottom + 1, len(rows))):
                    room -= 1
                    if blank(rows[row][column]):
                        rows[row][column] = value
        for column in {c.index for c in self.columns if c.what in self.fill_down}:
            value = ""
            for cells in self.rows:
                if blank(cells[column]):
                    cells[column] = value
                value = cells[column]


# Not the volume, the fish or the feed: one number over several tanks may be their sum.
_KEY_COLUMNS = (
    "date", "tank", "parameter", "taken by", "method", "measures", "place", "keeper",
    "group", "livestock", "rock", "filled on", "cycled on",
)  # fmt: skip


def id_text(cell: Any) -> str:
    """Return a tank id as written: 7 for the number 7, 007 for the text."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, float):
        return f"{cell:.0f}" if cell.is_integer() else f"{cell:.10g}"
    return "" if cell is None or isinstance(cell, Trouble) else str(cell)


def known_ids(cells: Iterable[Any], known: Mapping[str, str]) -> int:
    """Return how many cells hold the id of a known tank."""
    return sum(tank_key(id_text(cell)) in known for cell in cells if not blank(cell))
