"""A day or tank written once, with blanks below it for the rows it stands for."""

from __future__ import annotations

from fleet import problems
from fleet.read.grid import Row, blank
from fleet.read.log import Log
from fleet.read.table import Column, Language, Table

LEAST_SHARE = 0.4  # of the rows with values: fewer blanks are forgotten cells
LEAST_BLANKS = 2


def fill_written_once(table: Table, language: Language, log: Log) -> None:
    """Fill blanks of the date or the tank down where a sheet writes each only once.

    One of the two must stand in every row, and no day and tank come twice that way:
    else a blank is a cell that somebody forgot, and is asked about.
    """
    date, tank = table.column("date"), table.column("tank")
    if date is None or tank is None:
        return
    for column, other in ((date, tank), (tank, date)):
        filled = _filled(table, column, other, language)
        if not filled:
            continue
        index = column.index
        for row, value in filled.items():
            table.sheet.rows[row][index] = value
        first, last = min(filled), max(filled)
        where = table.sheet.at(first, index)
        to = table.sheet.at(last, index).cell
        count = f"{len(filled)} blank cells"
        log.at(problems.WRITTEN_ONCE, where, count, to=to, what=column.what)
        return


def _filled(
    table: Table, column: Column, other: Column, language: Language
) -> dict[int, object]:
    """Return the rows to fill with what, {} where the blanks are no habit."""
    index, beside = column.index, other.index
    if not any(row[index] == "" for row in table.rows):
        return {}
    values = [c.index for c in table.all("value") + table.all("result")]
    found: dict[int, object] = {}
    pairs: set[tuple[object, object]] = set()
    above: object = ""
    counted = 0
    for number, row in enumerate(table.rows, start=table.first):
        if not _holds_something(row, (index, beside, *values)):
            above = ""  # a blank row or a title: what stands above it is done with
            continue
        if not any(not blank(row[place]) for place in values):
            continue
        if row[index] == column.header or _summary(row[beside], language):
            above = ""
            continue
        counted += 1
        if not blank(row[index]):
            above = row[index]
        elif blank(above):
            continue
        elif blank(row[beside]):
            return {}
        else:
            found[number] = above
        pair = (above, row[beside])
        if number in found and pair in pairs:
            return {}
        pairs.add(pair)
    enough = len(found) >= LEAST_BLANKS and len(found) >= LEAST_SHARE * counted
    return found if enough else {}


def _summary(cell: object, language: Language) -> bool:
    """Say whether a row is one of averages or totals, and no visit."""
    return isinstance(cell, str) and bool(language.words.word("summary-row", cell))


def _holds_something(row: Row, places: tuple[int, ...]) -> bool:
    return sum(not blank(row[place]) for place in places) > 1
