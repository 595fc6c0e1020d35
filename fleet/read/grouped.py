"""Readings from wide sheets and from one row a result: cells gathered into visits."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.cells import Parsed, ResultColumn
from fleet.read.clock import clock_seconds
from fleet.read.dates import Fault, Moment
from fleet.read.grid import Row, blank, blank_row
from fleet.read.log import Log, Texts, shown
from fleet.read.readings import Visit, date_columns, tell_unit
from fleet.read.row_keys import day_of, tell_empty, tell_tank
from fleet.read.rows import Counter
from fleet.read.table import Column, Language, Table
from fleet.read.tank_ids import TankIds
from fleet.records import CellAddress, Reading, Result, SheetCount

_OF_COLUMNS = Moment(date.min)  # the day of a row whose columns each name one


class Found(NamedTuple):
    """One result with the visit it belongs to."""

    tank: str
    moment: Moment
    result: Result
    taken_by: str
    look: str
    notes: str


class _Cell(NamedTuple):
    """A cell with a value in it, before it is parsed."""

    number: int
    column: Column
    cell: Any
    tank: str
    moment: Moment
    parameter: str
    unit: str
    method: str


def is_grouped(table: Table) -> bool:
    """Say whether the cells of a table must be gathered into visits."""
    return bool(
        table.parameter
        or table.column("parameter")
        or any(c.tank or c.day for c in table.all("value"))
    )


def read_grouped(
    table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
) -> tuple[list[Found], SheetCount]:
    """Return the results of a wide sheet, or of one with a row for each result."""
    return _Rows(table, tanks, language, log, texts).all()


class _Rows:
    """Reads the rows of one sheet."""

    def __init__(
        self, table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
    ) -> None:
        self._table, self._tanks, self._language = table, tanks, language
        self._log, self._texts = log, texts
        self._rows = table.rows
        self._dates = date_columns(table, language, log)
        self._values = table.all("value") or table.all("result")
        self._columns = {c.what: c for c in reversed(table.columns)}
        self._reported: set[tuple[int, int]] = set()
        self.counter = Counter()

    def all(self) -> tuple[list[Found], SheetCount]:
        cells: list[_Cell] = []
        empty: list[int] = []
        for number, row in enumerate(self._rows, start=self._table.first):
            if blank_row(row):
                continue
            if all(blank(row[c.index]) for c in self._values):
                empty.append(number)
                self.counter.left_out += 1
                continue
            found = self._row(number, row)
            if found is None:
                self.counter.left_out += 1
                continue
            self.counter.read += 1
            cells.extend(found)
        tell_empty(self._table, empty, self._log)
        return self._parsed(cells), self.counter.count(self._table)

    def _at(self, number: int, column: int) -> CellAddress:
        return self._table.sheet.at(number, column)

    def _text(self, row: Row, what: str) -> str:
        column = self._columns.get(what)
        return self._texts.of(row[column.index]) if column else ""

    def _row(self, number: int, row: Row) -> list[_Cell] | None:
        """Return the cells of a row and what they are of; None if it is left out."""
        moment = self._moment(number, row)
        tank = self._tank(number, row)
        test = self._test(number, row)
        if moment is None or tank is None or test is None:
            return None
        parameter, unit = test
        found = []
        for column in self._values:
            cell = row[column.index]
            if blank(cell):
                continue
            of_tank = tank or self._column_tank(column)
            of_day = Moment(column.day) if column.day else moment
            if not of_tank:
                continue
            seconds = of_day.seconds
            if "time" in self._columns and not seconds:
                seconds = clock_seconds(row[self._columns["time"].index])
            found.append(
                _Cell(
                    number,
                    column,
                    cell,
                    of_tank,
                    Moment(of_day.day, seconds),
                    column.parameter or parameter,
                    column.unit or unit,
                    column.method or self._text(row, "method"),
                )
            )
        return found

    def _moment(self, number: int, row: Row) -> Moment | None:
        if all(column.day for column in self._values):
            return _OF_COLUMNS
        return day_of(self._table, self._dates, number, row, self._log)

    def _tank(self, number: int, row: Row) -> str | None:
        """Return the tank of a row; "" where the columns say it."""
        if all(column.tank for column in self._values):
            return ""
        column = self._columns.get("tank")
        cell = row[column.index] if column else self._table.tank
        found = self._tanks.find(cell)
        if found:
            return found.key
        index = column.index if column else 0
        tell_tank(self._table, number, index, cell, self._tanks, self._log)
        return None

    def _column_tank(self, column: Column) -> str:
        found = self._tanks.find(column.tank)
        if found:
            return found.key
        place = (self._table.header[0], column.index)
        if place not in self._reported:
            self._reported.add(place)
            near = self._tanks.near(column.tank)
            kind = problems.without_value(problems.TANK_UNKNOWN)
            self._log.at(kind, self._at(*place), column.tank, near=near)
        return ""

    def _test(self, number: int, row: Row) -> tuple[str, str] | None:
        """Return the parameter and unit of a row; "" where the columns say it."""
        column = self._columns.get("parameter")
        if column is None:
            return self._table.parameter, self._table.unit
        text = self._texts.of(row[column.index], 160)
        meaning = self._language.headers.parameter(text) if text else None
        reference = self._language.reference
        if meaning is None or meaning.unknown_unit:
            kind = problems.MEASURES_UNKNOWN
            known = ", ".join(reference.parameters)
            self._log.at(kind, self._at(number, column.index), text, accepted=known)
            return None
        unit = meaning.unit
        written = self._text(row, "unit")
        if written:
            named = self._language.units.of(meaning.parameter, written, unit)
            if named is None:
                where = self._at(number, self._columns["unit"].index)
                self._log.at(
                    problems.ROW_UNIT_UNKNOWN,
                    where,
                    written,
                    written=written,
                    parameter=meaning.parameter,
                    accepted=self._language.units.accepted(meaning.parameter),
                )
                return None
            unit = named
        return meaning.parameter, unit

    # -- all cells of one parameter and unit are read as one column

    def _parsed(self, cells: list[_Cell]) -> list[Found]:
        groups: dict[tuple[str, str], list[_Cell]] = {}
        for cell in cells:
            groups.setdefault((cell.parameter, cell.unit), []).append(cell)
        found = []
        for (parameter, unit), group in groups.items():
            read = ResultColumn(
                self._language.reference.parameters[parameter],
                unit,
                [cell.cell for cell in group],
                self._language.words,
                self._language.units,
            )
            where = self._at(self._table.header[-1], group[0].column.index)
            tell_unit(read, where, parameter, self._log)
            for cell in group:
                result = self._result(cell, read.read[cell.cell])
                if result:
                    found.append(result)
        found.sort(key=lambda f: (f.result.source.row, f.result.source.column))
        return found

    def _result(self, cell: _Cell, parsed: Parsed | Fault | None) -> Found | None:
        if parsed is None:
            return None
        where = self._at(cell.number, cell.column.index)
        for fault in (parsed, getattr(parsed, "note", None)):
            if isinstance(fault, Fault):
                facts = {"parameter": cell.parameter, **dict(fault.facts)}
                self._log.at(fault.kind, where, shown(cell.cell), **facts)
        if isinstance(parsed, Fault):
            return None
        result = Result(
            cell.parameter,
            parsed.written,
            parsed.form,
            parsed.number,
            parsed.upper,
            parsed.unit,
            cell.method,
            where,
        )
        row = self._table.sheet.rows[cell.number]
        by, look, notes = (
            self._text(row, what) for what in ("taken by", "look", "notes")
        )
        return Found(cell.tank, cell.moment, result, by, look, notes)


def visits_of(found: Iterable[Found], language: Language) -> list[Visit]:
    """Gather results into visits: one for each tank, day and clock time.

    A second result of the same parameter and method opens a second visit.
    """
    groups: dict[tuple[Any, ...], list[Found]] = {}
    for one in found:
        count = 0
        while True:
            key = (one.tank, one.moment, count)
            group = groups.setdefault(key, [])
            taken = {(f.result.parameter, f.result.method) for f in group}
            if (one.result.parameter, one.result.method) not in taken:
                group.append(one)
                break
            count += 1
    return [_visit(key, group, language) for key, group in groups.items()]


def _visit(key: tuple[Any, ...], group: list[Found], language: Language) -> Visit:
    tank, moment, _ = key
    look = "; ".join(dict.fromkeys(f.look for f in group if f.look))
    first = group[0].result.source
    return Visit(
        Reading(
            tank,
            moment.day,
            tuple(f.result for f in group),
            CellAddress(first.file, first.sheet, first.row, first.column),
            next((f.taken_by for f in group if f.taken_by), ""),
            language.words.items("look", look)[0] if look else (),
            look,
            "; ".join(dict.fromkeys(f.notes for f in group if f.notes)),
        ),
        moment.seconds,
    )
