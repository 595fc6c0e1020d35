"""Rows of a Readings sheet, one row a visit -> readings.

Columns are read whole, one after the other, and put together row by row at the end:
a column holds few different cells, so each is parsed once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.cells import Parsed, ResultColumn
from fleet.read.clock import clock_seconds
from fleet.read.date_order import hint_of
from fleet.read.dates import DateColumn, Fault, Moment
from fleet.read.flags import FlagColumn
from fleet.read.grid import blank, blank_row
from fleet.read.log import Log, Texts, shown
from fleet.read.row_keys import tell_day, tell_empty, tell_tank
from fleet.read.rows import Counter, date_notes
from fleet.read.table import Column, Language, Table
from fleet.read.tank_ids import Match, TankIds
from fleet.records import CellAddress, Reading, Result, SheetCount

# A report holds hundreds of thousands of these: made without going through the
# constructor in Python, twice as fast.
_new = tuple.__new__


class Visit(NamedTuple):
    """A reading, with the seconds of its day for putting several in order."""

    reading: Reading
    seconds: int


def result_column(
    table: Table, column: Column, cells: list[Any], language: Language, log: Log
) -> ResultColumn:
    """Return the reader of one column; a unit it had to find out is reported."""
    parameter = language.reference.parameters[column.parameter]
    read = ResultColumn(parameter, column.unit, cells, language.words, language.units)
    where = table.sheet.at(table.header[-1], column.index)
    tell_unit(read, where, column.header, log)
    column.unit = column.unit or read.inferred
    return read


def tell_unit(read: ResultColumn, where: CellAddress, header: str, log: Log) -> None:
    """Say which unit a column without one was read in, or that nothing tells."""
    told = read.told
    units = told.either or (read.inferred,)
    shown_as = f"{header} ({units[0]})"
    facts = {"unit": units[0], "header": shown_as, "units": " or ".join(units)}
    if told.only:
        log.at(problems.UNIT_READ, where, header, **facts)
    elif told.likelier:
        default = read.parameter.default_unit
        log.at(problems.UNIT_LIKELIER, where, header, default=default, **facts)
    elif told.either:
        log.at(problems.COLUMN_UNIT_OPEN, where, header, **facts)


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
    return _Sheet(table, tanks, language, log, texts).visits()


class _Sheet:
    """Reads one long sheet."""

    def __init__(
        self, table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
    ) -> None:
        self._table, self._tanks, self._language = table, tanks, language
        self._log, self._texts = log, texts
        self._rows = table.rows
        self._again = self._repeated_headers()

    def visits(self) -> tuple[list[Visit], SheetCount]:
        table, counter = self._table, Counter()
        results = self._results()
        moments, date_at = self._moments()
        found = self._tank_column()
        clocks = self._clocks()
        by, notes = self._joined("taken by"), self._joined("notes")
        looks = self._joined("look")
        look_words = {
            look: self._language.words.items("look", look)[0] if look else ()
            for look in set(looks)
        }
        self._tell_looks(looks)
        visits: list[Visit] = []
        empty: list[int] = []
        seen: dict[tuple[Any, ...], int] = {}
        file, name = table.sheet.file, table.sheet.name
        columns = zip(
            self._rows, results, moments, found, clocks, by, looks, notes, strict=True
        )
        for number, entry in enumerate(columns, start=table.first):
            row, tested, moment, tank, seconds, person, look, note = entry
            if not (tested or look or note or person):
                if blank_row(row):
                    continue
                if number not in self._again and not self._written(row):
                    empty.append(number)
                    counter.left_out += 1
                    continue
            if number in self._again:
                counter.left_out += 1
                where = table.sheet.at(number, date_at)
                self._log.at(problems.HEADER_AGAIN, where, shown(row[date_at]))
                continue
            if not isinstance(moment, Moment) or tank is None:
                counter.left_out += 1
                self._refuse(number, moment, tank, date_at)
                continue
            counter.read += 1
            source = _new(CellAddress, (file, name, number + 1, date_at + 1))
            reading = Reading(
                tank.key, moment.day, tested, source, person, look_words[look], look,
                note,
            )  # fmt: skip
            visits.append(Visit(reading, moment.seconds or seconds))
            first = seen.setdefault(tuple(row), number)
            if first != number:
                where = table.sheet.at(number, date_at)
                self._log.at(problems.ROW_TWICE, where, first + 1)
        tell_empty(table, empty, self._log)
        return visits, counter.count(table)

    def _tell_looks(self, looks: Sequence[str]) -> None:
        """Name, in one line, the words of a look column that no rule knows."""
        column = self._table.column("look")
        if column is None:
            return
        words = self._language.words
        different = dict.fromkeys(looks)
        strange = dict.fromkeys(
            entry
            for look in different
            if look and look != column.header
            for entry in words.strange("look", look)
        )
        if not strange:
            return
        named = ", ".join(f"'{entry[:40]}'" for entry in list(strange)[:4])
        more = f" and {len(strange) - 4} more" if len(strange) > 4 else ""
        where = self._table.sheet.at(self._table.header[-1], column.index)
        accepted = words.accepted("look")
        self._log.at(problems.LOOKS_UNKNOWN, where, named + more, accepted=accepted)

    def _cells(self, column: Column) -> list[Any]:
        index = column.index
        return [row[index] for row in self._rows]

    def _written(self, row: Sequence[Any]) -> bool:
        """Say whether a row holds anything where values stand, readable or not."""
        return any(not blank(row[column.index]) for column in self._table.all("value"))

    def _repeated_headers(self) -> frozenset[int]:
        """Return the rows that repeat the header, as printed on every page."""
        column = self._table.column("date") or self._table.column("timestamp")
        if column is None or not column.header:
            return frozenset()
        return frozenset(
            number
            for number, row in enumerate(self._rows, start=self._table.first)
            if isinstance(row[column.index], str)
            and row[column.index].strip() == column.header
        )

    # -- whole columns

    def _results(self) -> list[tuple[Result, ...]]:
        """Return the results of each row."""
        columns = [
            self._of_column(column)
            for column in self._table.all("value")
            if column.parameter
        ]
        if not columns:
            return [()] * len(self._rows)
        # A result is never empty, so filter() drops just what was not tested.
        return [tuple(filter(None, row)) for row in zip(*columns, strict=True)]

    def _of_column(self, column: Column) -> list[Result | None]:
        cells = self._cells(column)
        read = result_column(self._table, column, cells, self._language, self._log).read
        parsed: Iterable[Parsed | Fault | None] = [read[cell] for cell in cells]
        flags = self._flags_of(column)
        if flags:
            first = self._table.first
            parsed = [
                flags.applied(number, row, one)
                for number, (row, one) in enumerate(
                    zip(self._rows, parsed, strict=True), start=first
                )
            ]
            flags.tell()
        parameter, file = column.parameter, self._table.sheet.file
        name, place = self._table.sheet.name, column.index + 1
        methods = self._methods_of(column)
        results: list[Result | None] = []
        troubled = []
        number = self._table.first
        for one, method in zip(parsed, methods, strict=True):
            number += 1
            if one is None:
                results.append(None)
            elif isinstance(one, Fault):
                results.append(None)
                troubled.append((number, one))
            else:
                form, value, upper, unit, written, note = one
                where = _new(CellAddress, (file, name, number, place))
                results.append(
                    _new(
                        Result,
                        (parameter, written, form, value, upper, unit, method, where),
                    )
                )
                if note is not None:
                    troubled.append((number, note))
        for row, fault in troubled:
            if row - 1 not in self._again:
                where = CellAddress(file, name, row, place)
                cell = self._table.sheet.rows[row - 1][column.index]
                facts = {"parameter": parameter, **dict(fault.facts)}
                self._log.at(fault.kind, where, shown(cell), **facts)
        return results

    def _flags_of(self, column: Column) -> FlagColumn | None:
        for other in self._table.all("flag"):
            if other.of == column.index:
                words = self._language.words
                return FlagColumn(
                    self._table, other, column.parameter, words, self._log
                )
        return None

    def _methods_of(self, column: Column) -> Sequence[str]:
        """Return the method of each row: its own column's, else that of the header."""
        own = [m for m in self._table.all("method") if m.of == column.index]
        common = [m for m in self._table.all("method") if m.of == -1]
        for method in (own + common)[:1]:
            written = self._texts.column(self._cells(method), 100)
            return [text or column.method for text in written]
        return [column.method] * len(self._rows)

    def _joined(self, what: str) -> list[str]:
        """Return the texts of each row; of several columns, one after the other."""
        columns = [self._texts.column(self._cells(c)) for c in self._table.all(what)]
        if not columns:
            return [""] * len(self._rows)
        if len(columns) == 1:
            return columns[0]
        return ["; ".join(filter(None, row)) for row in zip(*columns, strict=True)]

    def _moments(self) -> tuple[list[Moment | Fault], int]:
        """Return the day of each row, and the column it is looked for in first."""
        read = date_columns(self._table, self._language, self._log)
        if not read:
            return [Fault(problems.DATE_MISSING)] * len(self._rows), 0
        index, dates = read[0]
        moments = dates.all([row[index] for row in self._rows])
        for other, stamps in read[1:]:
            moments = [
                stamps.read(row[other])
                if type(one) is Fault and one.kind is problems.DATE_MISSING
                else one
                for one, row in zip(moments, self._rows, strict=True)
            ]
        return moments, index

    def _clocks(self) -> list[int]:
        column = self._table.column("time")
        if column is None:
            return [0] * len(self._rows)
        return [clock_seconds(cell) for cell in self._cells(column)]

    def _tank_column(self) -> list[Match | None]:
        column = self._table.column("tank")
        if column is None:
            return [self._tanks.find(self._table.tank)] * len(self._rows)
        cells = self._cells(column)
        found = {cell: self._tanks.find(cell) for cell in set(cells)}
        for cell, match in found.items():
            if match and match.by_name:
                row = cells.index(cell) + self._table.first
                where = self._table.sheet.at(row, column.index)
                read = self._tanks.ids[match.key]
                self._log.at(problems.TANK_BY_NAME, where, shown(cell), read=read)
        return [found[cell] for cell in cells]

    # -- rows left out

    def _refuse(
        self, number: int, moment: Moment | Fault, tank: Match | None, date_at: int
    ) -> None:
        table, log = self._table, self._log
        if isinstance(moment, Fault):
            tell_day(table, number, date_at, moment, log)
        if tank is None:
            column = table.column("tank")
            index = column.index if column else 0
            cell = table.sheet.rows[number][index] if column else table.tank
            tell_tank(table, number, index, cell, self._tanks, log)
