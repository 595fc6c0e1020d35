"""What reading the rows of any sheet needs: cells by meaning, counts, notes."""

from __future__ import annotations

from typing import Any

from fleet import problems
from fleet.read.date_order import swapped_suspects
from fleet.read.dates import DateColumn, Fault
from fleet.read.grid import Row, blank_row
from fleet.read.headers import Meaning
from fleet.read.log import Log, Texts, shown
from fleet.read.quantities import Quantity, accepted, quantity
from fleet.read.table import Column, Language, Table
from fleet.records import CellAddress, SheetCount


class Counter:
    """Counts the rows of one sheet: each that is not blank is read or left out."""

    def __init__(self) -> None:
        self.read = 0
        self.left_out = 0

    def count(self, table: Table) -> SheetCount:
        """Return the counts as a record."""
        sheet = table.sheet
        rows = self.read + self.left_out
        return SheetCount(sheet.file, sheet.name, rows, self.read, self.left_out)


def date_notes(table: Table, column: Column, dates: DateColumn, log: Log) -> None:
    """Say how the order of day and month was found, and where it may be wrong."""
    where = table.sheet.at(table.header[-1], column.index)
    if dates.why:
        facts = {"order": dates.order, "why": dates.why}
        log.at(problems.DATE_ORDER_READ, where, dates.sample, **facts)
    count, sample = swapped_suspects(row[column.index] for row in table.rows)
    if count:
        texts = f"'{sample}' and {count - 1} more" if count > 1 else f"'{sample}'"
        log.at(problems.DATES_SWAPPED, where, texts)


class RowReader:
    """Reads the rows of a small sheet by the meaning of its columns."""

    def __init__(
        self, table: Table, language: Language, log: Log, texts: Texts
    ) -> None:
        self.table, self.language = table, language
        self.log, self.texts = log, texts
        self.columns = {c.what: c for c in reversed(table.columns)}
        self.counter = Counter()

    def rows(self) -> list[tuple[int, Row]]:
        """Return the rows that hold anything, with their numbers from 0."""
        return [
            (number, row)
            for number, row in enumerate(self.table.rows, start=self.table.first)
            if not blank_row(row)
        ]

    def cell(self, row: Row, what: str) -> Any:
        """Return the cell of a meaning, "" where no column has it."""
        column = self.columns.get(what)
        return row[column.index] if column else ""

    def text(self, row: Row, what: str) -> str:
        """Return the same as text."""
        return self.texts.of(self.cell(row, what))

    def at(self, number: int, what: str) -> CellAddress:
        """Return the address of that cell, of the row where there is none."""
        column = self.columns.get(what)
        return self.table.sheet.at(number, column.index if column else -1)

    def number(
        self, number: int, row: Row, what: str, kinds: tuple[str, ...] = ()
    ) -> Quantity | None:
        """Return a number of 0 or more, or None; what cannot be read is reported."""
        column = self.columns.get(what)
        cell = self.cell(row, what)
        unit = column.unit if column and kinds else ""
        found = quantity(cell, kinds, unit, self.language.words)
        if isinstance(found, Fault):
            where = self.at(number, what)
            units = accepted(kinds)
            self.log.at(found.kind, where, shown(cell), what=what, accepted=units)
            return None
        if found and found.number < 0:
            where = self.at(number, what)
            must = "0 or more"
            self.log.at(
                problems.NUMBER_IMPOSSIBLE, where, shown(cell), what=what, must=must
            )
            return None
        return found

    def measured(self, number: int, row: Row, what: str) -> tuple[Meaning, str] | None:
        """Return the parameter a row is about, and the unit key of its numbers."""
        text = self.text(row, what)
        meaning = self.language.headers.parameter(text) if text else None
        parameters = self.language.reference.parameters
        if meaning is None:
            known = ", ".join(parameters)
            where = self.at(number, what)
            self.log.at(problems.MEASURES_UNKNOWN, where, text, accepted=known)
            return None
        parameter = parameters[meaning.parameter]
        written = self.text(row, "unit") or meaning.unknown_unit
        column = self.columns.get("lowest") or self.columns.get("low")
        header_unit = column.unit if column else ""
        unit: str | None = meaning.unit or parameter.default_unit
        if written or (header_unit and not meaning.unit):
            written = written or header_unit
            unit = self.language.units.of(meaning.parameter, written, meaning.unit)
        if unit is None:
            where = self.at(number, "unit" if self.text(row, "unit") else what)
            self.log.at(
                problems.ROW_UNIT_UNKNOWN,
                where,
                written,
                written=written,
                parameter=meaning.parameter,
                accepted=self.language.units.accepted(meaning.parameter),
            )
            return None
        return meaning, unit
