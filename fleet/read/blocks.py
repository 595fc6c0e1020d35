"""Headers said again further down a sheet: the same, or those of another table."""

from __future__ import annotations

from dataclasses import replace
from itertools import zip_longest

from fleet import problems
from fleet.read.columns import table_of
from fleet.read.grid import Sheet
from fleet.read.layout import single_header, text_cells
from fleet.read.log import Log, content_rows
from fleet.read.table import Language, Table
from fleet.records import SheetCount
from fleet.spelling import tidy

MOST_BLOCKS = 50  # each is laid out by itself; a sheet with more is no log


def blocks(
    table: Table, language: Language, log: Log, *, by_headers: bool
) -> tuple[list[Table], list[SheetCount]]:
    """Return a long sheet as one table for each set of headers in it.

    Beside them the counts of rows that no table holds.

    Rows below headers that changed are read by those; where the columns are told by a
    layout file and not ``by_headers``, or cannot be read, they are left out and named.
    """
    changed = _changed(table)
    if not changed:
        return [table], []
    sheet = table.sheet
    unread: list[SheetCount] = []
    ends = [*changed[1 : MOST_BLOCKS + 1], len(sheet.rows)]
    found = [replace(table, sheet=replace(sheet, rows=sheet.rows[: changed[0]]))]
    for number, (row, end) in enumerate(zip(changed, ends, strict=False)):
        part = _part(sheet, row, end)
        header = single_header(part, row, "readings", language)
        new = None
        known = header is not None and {"values", "date"} <= header.whats
        if header and known and by_headers and number < MOST_BLOCKS:
            new = table_of(part, "readings", header, language)
            new.tank, new.date_order = table.tank, table.date_order
        where = sheet.at(row, table.columns[0].index)
        names = ", ".join(filter(None, text_cells(sheet, row)))
        if new is not None and (new.tank or new.column("tank")):
            log.at(problems.HEADERS_CHANGE, where, names)
            found.append(new)
        else:
            rows = content_rows(replace(part, rows=part.rows[row + 1 :]))
            log.at(problems.HEADERS_UNREAD, where, names, rows=str(rows))
            unread.append(SheetCount(sheet.file, sheet.name, rows, 0, rows))
    return found, unread


def _changed(table: Table) -> list[int]:
    """Return the rows with headers that are not those of the table.

    Headers said again in part are the same.
    """
    column = table.column("date") or table.column("timestamp")
    wide = any(c.tank or c.day for c in table.columns)
    if column is None or not column.header or len(table.header) > 1 or wide:
        return []
    index, header, sheet = column.index, column.header, table.sheet
    own = [tidy(text) for text in text_cells(sheet, table.header[0])]
    changed, now = [], own
    for row, cells in enumerate(table.rows, start=table.first):
        cell = cells[index]
        if type(cell) is not str or cell.strip() != header:
            continue
        texts = [tidy(text) for text in text_cells(sheet, row)]
        pairs = zip_longest(texts, now, fillvalue="")
        if any(text and text != was for text, was in pairs):
            changed.append(row)
            now = texts
    return changed


def _part(sheet: Sheet, start: int, end: int) -> Sheet:
    """Return some rows where they stand; what opening met is said of the first."""
    rows = [*([""] * len(row) for row in sheet.rows[:start]), *sheet.rows[start:end]]
    return replace(sheet, rows=rows, problems=[], hidden=False, hidden_rows=0)
