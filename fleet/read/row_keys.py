"""What is said of rows that name no day or tank, or hold no value."""

from __future__ import annotations

from typing import Any

from fleet import problems
from fleet.problems import Kind
from fleet.read.dates import DateColumn, Fault, Moment
from fleet.read.grid import Row, Trouble, blank
from fleet.read.log import Log, shown
from fleet.read.table import Table, id_text
from fleet.read.tank_ids import TankIds


def day_of(
    table: Table, dates: list[tuple[int, DateColumn]], number: int, row: Row, log: Log
) -> Moment | None:
    """Return the day of a row from the first column that has one; report if none."""
    fault: tuple[Fault, int] | None = None
    for index, column in dates:
        read = column.read(row[index])
        if isinstance(read, Moment):
            return read
        fault = fault or (read, index)
    if fault:
        tell_day(table, number, fault[1], fault[0], log)
    return None


def tell_day(table: Table, number: int, index: int, fault: Fault, log: Log) -> None:
    """Report why the cell at ``index`` is no day; its row is left out."""
    cell = table.sheet.rows[number][index]
    kind = problems.without_row(fault.kind)
    if isinstance(cell, str) and cell.strip() == table.columns[index].header != "":
        kind = problems.HEADER_AGAIN
    log.at(kind, table.sheet.at(number, index), shown(cell), **dict(fault.facts))


def trouble_of(cell: Trouble) -> Kind:
    """Return the kind of problem a cell without a value is."""
    return problems.CELL_ERROR if cell.text else problems.FORMULA_WITHOUT_VALUE


def tell_tank(
    table: Table, number: int, index: int, cell: Any, tanks: TankIds, log: Log
) -> None:
    """Report that ``cell`` names no tank there is; its row is left out."""
    where = table.sheet.at(number, index)
    if isinstance(cell, Trouble):
        log.at(problems.without_row(trouble_of(cell)), where, cell.text)
        return
    if blank(cell):
        log.at(problems.TANK_MISSING, where)
        return
    near = tanks.near(id_text(cell))
    log.at(problems.TANK_UNKNOWN, where, shown(cell), near=near)


def tell_empty(table: Table, empty: list[int], log: Log) -> None:
    """Report the rows made ready and not filled in, in one line."""
    if not empty:
        return
    first, last = empty[0] + 1, empty[-1] + 1
    alone = len(empty) == 1
    rows = "1 row" if alone else f"{len(empty)} rows"
    cells = f"row {first}" if alone else f"from row {first} to row {last}"
    where = table.sheet.at(empty[0], 0)
    log.at(problems.ROWS_WITHOUT_VALUES, where, rows, cells=cells)
