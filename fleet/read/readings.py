"""Rows of a Readings sheet, one row a visit -> readings."""

from __future__ import annotations

from typing import Any, NamedTuple

from fleet import problems
from fleet.read.cells import Parsed, ResultColumn
from fleet.read.dates import DateColumn, Fault, Moment, clock_seconds, hint_of
from fleet.read.flags import FlagColumn
from fleet.read.grid import Row, blank, blank_row
from fleet.read.log import Log, Texts, shown
from fleet.read.rows import Counter, date_notes
from fleet.read.table import Column, Language, Table, id_text
from fleet.read.tank_ids import TankIds
from fleet.records import CellAddress, Reading, Result, SheetCount


class Visit(NamedTuple):
    """A reading, with the seconds of its day for putting several in order."""

    reading: Reading
    seconds: int


class ValueColumn(NamedTuple):
    """One column of results, with its method and flag columns."""

    column: Column
    read: dict[Any, Parsed | Fault | None]
    method_at: int  # index of the method column, -1 if none
    flags: FlagColumn | None


def result_column(
    table: Table, column: Column, cells: list[Any], language: Language, log: Log
) -> ResultColumn:
    """Return the reader of one column; a unit it had to find out is reported."""
    parameter = language.reference.parameters[column.parameter]
    read = ResultColumn(parameter, column.unit, cells, language.words, language.units)
    if read.inferred:
        header = f"{column.header} ({read.inferred})"
        where = table.sheet.at(table.header[-1], column.index)
        facts = {"unit": read.inferred, "header": header}
        log.add(problems.UNIT_READ.at(where, column.header, **facts))
        column.unit = read.inferred
    return read


def date_columns(
    table: Table, language: Language, log: Log
) -> list[tuple[int, DateColumn]]:
    """Return the columns a row's day is taken from: the date, else a time stamp."""
    found = []
    for what in ("date", "timestamp"):
        column = table.column(what)
        if column:
            dates = DateColumn(
                [row[column.index] for row in table.rows],
                language.words,
                date1904=table.sheet.date1904,
                order=table.date_order or hint_of(column.header),
            )
            date_notes(table, column, dates, log)
            found.append((column.index, dates))
    return found


def read_readings(
    table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
) -> tuple[list[Visit], SheetCount]:
    """Return the visits of a long sheet, and how many of its rows were read."""
    return _Rows(table, tanks, language, log, texts).all()


class _Rows:
    """Reads the rows of one long sheet."""

    def __init__(
        self, table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
    ) -> None:
        self._table, self._tanks, self._words = table, tanks, language.words
        self._log, self._texts = log, texts
        self._rows = table.rows
        self._dates = date_columns(table, language, log)
        self._values = [
            self._value_column(column, language)
            for column in table.all("value")
            if column.parameter
        ]
        self._tank = table.column("tank")
        self._time = table.column("time")
        self._looks = table.all("look")
        self._notes = table.all("notes")
        self._by = table.column("taken by")
        self._seen_looks: dict[str, tuple[str, ...]] = {}
        self._empty: list[int] = []
        self.counter = Counter()

    def _value_column(self, column: Column, language: Language) -> ValueColumn:
        cells = [row[column.index] for row in self._rows]
        read = result_column(self._table, column, cells, language, self._log)
        method_at, flags = -1, None
        for other in self._table.columns:
            if other.what == "method" and other.of in (column.index, -1):
                if method_at < 0 or other.of == column.index:
                    method_at = other.index
            elif other.what == "flag" and other.of == column.index:
                flags = FlagColumn(
                    self._table, other, column.parameter, language.words, self._log
                )
        return ValueColumn(column, read.read, method_at, flags)

    def all(self) -> tuple[list[Visit], SheetCount]:
        visits = []
        seen: dict[tuple[Any, ...], int] = {}
        used = [c.index for c in self._table.columns if c.what]
        content = [
            c.index
            for c in self._table.columns
            if c.what in ("value", "look", "notes", "taken by")
        ]
        for number, row in enumerate(self._rows, start=self._table.first):
            if blank_row(row):
                continue
            if all(blank(row[index]) for index in content):
                self._empty.append(number)
                self.counter.left_out += 1
                continue
            visit = self._visit(number, row)
            if visit is None:
                self.counter.left_out += 1
                continue
            self.counter.read += 1
            visits.append(visit)
            same = tuple([row[index] for index in used])
            first = seen.setdefault(same, number)
            if first != number:
                where = self._table.sheet.at(number, used[0])
                self._log.add(problems.ROW_TWICE.at(where, first + 1))
        self._tell()
        return visits, self.counter.count(self._table)

    def _tell(self) -> None:
        for value in self._values:
            if value.flags:
                value.flags.tell()
        if self._empty:
            first, last = self._empty[0] + 1, self._empty[-1] + 1
            count = len(self._empty)
            rows = "1 row" if count == 1 else f"{count} rows"
            cells = f"row {first}" if count == 1 else f"rows {first} to {last}"
            where = self._table.sheet.at(self._empty[0], 0)
            self._log.add(problems.ROWS_WITHOUT_VALUES.at(where, rows, cells=cells))

    # -- one row

    def _visit(self, number: int, row: Row) -> Visit | None:
        sheet = self._table.sheet
        moment = self._moment(number, row)
        if isinstance(moment, Fault):
            return None
        tank = self._tank_key(number, row)
        if not tank:
            return None
        results = []
        for column, read, method_at, flags in self._values:
            cell = row[column.index]
            parsed = read[cell]
            if flags is not None:
                parsed = flags.applied(number, row, cell, parsed)
            if parsed is None:
                continue
            where = CellAddress(sheet.file, sheet.name, number + 1, column.index + 1)
            if isinstance(parsed, Fault):
                self._fault(parsed, where, cell, column)
                continue
            form, value, upper, unit, written, note = parsed
            if note is not None:
                self._fault(note, where, cell, column)
            method = column.method
            if method_at >= 0 and row[method_at] != "":
                method = self._texts.of(row[method_at], 100) or method
            results.append(
                Result(
                    column.parameter, written, form, value, upper, unit, method, where
                )
            )
        seconds = moment.seconds
        if self._time and not seconds:
            seconds = clock_seconds(row[self._time.index])
        look = "; ".join(self._all(row, self._looks))
        reading = Reading(
            tank,
            moment.day,
            tuple(results),
            CellAddress(sheet.file, sheet.name, number + 1, 0),
            self._texts.of(row[self._by.index], 200) if self._by else "",
            self._words_of(look) if look else (),
            look,
            "; ".join(self._all(row, self._notes)),
        )
        return Visit(reading, seconds)

    def _all(self, row: Row, columns: list[Column]) -> list[str]:
        texts = [self._texts.of(row[column.index]) for column in columns]
        return [text for text in texts if text]

    def _words_of(self, look: str) -> tuple[str, ...]:
        found = self._seen_looks.get(look)
        if found is None:
            found = self._seen_looks[look] = self._words.items("look", look)[0]
        return found

    def _moment(self, number: int, row: Row) -> Moment | Fault:
        fault = None
        for index, dates in self._dates:
            found = dates.read(row[index])
            if isinstance(found, Moment):
                return found
            if fault is None or fault[0].kind is problems.DATE_MISSING:
                fault = found, index
        if fault is None:
            return Fault(problems.DATE_MISSING)
        found, index = fault
        cell = row[index]
        where = self._table.sheet.at(number, index)
        header = self._table.columns[index].header
        kind = found.kind
        if isinstance(cell, str) and cell.strip() == header:
            kind = problems.HEADER_AGAIN
        elif kind.effect == "value left out":
            kind = problems.without_row(kind)
        self._log.add(kind.at(where, shown(cell), **dict(found.facts)))
        return found

    def _tank_key(self, number: int, row: Row) -> str:
        if self._tank is None:
            cell: Any = self._table.tank
            index = 0
        else:
            index = self._tank.index
            cell = row[index]
        found = self._tanks.find(cell)
        where = self._table.sheet.at(number, index)
        written = shown(cell)
        if found:
            if found.by_name:
                read = self._tanks.ids[found.key]
                self._log.add(problems.TANK_BY_NAME.at(where, written, read=read))
            return found.key
        if blank(cell):
            self._log.add(problems.TANK_MISSING.at(where))
        else:
            near = self._tanks.near(id_text(cell))
            self._log.add(problems.TANK_UNKNOWN.at(where, written, near=near))
        return ""

    def _fault(
        self, fault: Fault, where: CellAddress, cell: Any, column: Column
    ) -> None:
        self._log.add(
            fault.kind.at(
                where, shown(cell), parameter=column.parameter, **dict(fault.facts)
            )
        )
