"""Readings laid out wide: a column for every tank, every day, or tank and test.

Whatever stands in columns here stands in rows in a long table; what neither a row nor
a column says (the parameter, the tank) is taken from the sheet's name or its title.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date

from fleet.read.dates import DateColumn, Moment
from fleet.read.grid import Sheet, blank
from fleet.read.headers import Meaning
from fleet.read.layout import (
    LONGEST_HEADER,
    ROWS_SEARCHED,
    Header,
    single_header,
    spread,
    text_cells,
)
from fleet.read.table import Column, Language, Table, id_text, known_ids
from fleet.spelling import tank_key, tidy

FEWEST_DAYS = 2  # columns headed by a day, to take a sheet for one of days


def wide_table(
    sheet: Sheet, tank: str, known: Mapping[str, str], language: Language
) -> Table | None:
    """Return a wide sheet of readings, or None if it is none.

    ``tank`` is the tank the whole sheet is of, "" if its name is no tank's;
    ``known`` holds the tanks of the workbooks by key.
    """
    for row in range(min(len(sheet.rows), ROWS_SEARCHED)):
        header = single_header(sheet, row, "readings", language)
        for attempt in (_tests_of_tanks, _days, _tanks, _one_test):
            table = attempt(sheet, row, header, tank, known, language)
            if table and (table.column("value") or table.column("result")):
                return table
    return None


def _start(sheet: Sheet, row: int, header: Header | None, tank: str) -> Table:
    """Return a table with the columns that a long one would have, too.

    A method column is one for all values: none of them stands alone beside it.
    """
    texts = [_shown(cell) for cell in sheet.rows[row]]
    columns = [Column(i, text) for i, text in enumerate(texts)]
    if header:
        for column, meaning in zip(columns, header.meanings, strict=True):
            if meaning and meaning.what not in ("value", "flag", "result"):
                column.what, column.unit = meaning.what, meaning.unit
    return Table(sheet, "readings", columns, (row,), row + 1, tank=tank)


def _shown(cell: object) -> str:
    if isinstance(cell, date):
        return cell.isoformat()[:10]
    return " ".join(id_text(cell)[:LONGEST_HEADER].split())


# ------------------------------------------------- a column for a tank and a test


def _tests_of_tanks(
    sheet: Sheet,
    row: int,
    header: Header | None,
    tank: str,
    known: Mapping[str, str],
    language: Language,
) -> Table | None:
    """Tanks above (merged), tests below; or ``T01 Nitrate`` in one row."""
    if header is None or tank:
        return None
    table = _start(sheet, row, header, "")
    if table.column("tank"):
        return None
    uppers = [""] * len(table.columns)
    own: list[str] = []
    if row > 0:
        own = [_shown(cell) for cell in sheet.rows[row - 1]]
        uppers = spread(sheet, row - 1, own, text_cells(sheet, row))
    repeated = Counter(
        m.parameter for m in header.meanings if m and m.what == "value"
    ).most_common(1)
    for column, upper, meaning in zip(
        table.columns, uppers, header.meanings, strict=True
    ):
        named = tank_key(upper) in known
        if meaning and meaning.what == "value" and upper:
            unknown_tanks = not known and repeated[0][1] > 1
            if named or unknown_tanks:
                _value(column, meaning, tank=upper)
                column.header = f"{upper} {column.header}"
                table.header = (row - 1, row)
        elif not meaning and not column.what and column.header:
            split = _tank_and_test(column.header, known, language)
            if split:
                _value(column, split[1], tank=split[0])
    for column, above in zip(table.columns, own, strict=False):
        if not column.what and not column.header and above:
            found = language.headers.meaning("readings", above)
            if found and found.what != "value":
                column.header, column.what, column.unit = above, found.what, found.unit
    tanks = {tank_key(c.tank) for c in table.columns if c.tank}
    if not tanks or not (table.column("date") or table.column("timestamp")):
        return None
    return table


def _tank_and_test(
    text: str, known: Mapping[str, str], language: Language
) -> tuple[str, Meaning] | None:
    words = tidy(text).split()
    for cut in range(len(words) - 1, 0, -1):
        for tank, test in (
            (words[:cut], words[cut:]),
            (words[-cut:], words[:-cut]),
        ):
            key = " ".join(tank).strip(" -:,/")
            if key in known:
                found = language.headers.parameter(" ".join(test).strip(" -:,/"))
                if found:
                    return known[key], found
    return None


def _value(column: Column, meaning: Meaning, tank: str) -> None:
    column.what, column.parameter = "value", meaning.parameter
    column.unit, column.method, column.tank = meaning.unit, meaning.method, tank


# ---------------------------------------------------------- a column for every day


def _days(
    sheet: Sheet,
    row: int,
    header: Header | None,
    tank: str,
    known: Mapping[str, str],
    language: Language,
) -> Table | None:
    """Days in the header; tanks or tests in the first column."""
    cells = sheet.rows[row]
    columns = DateColumn(cells, language.words, date1904=sheet.date1904)
    days: dict[int, date] = {}
    for index, cell in enumerate(cells):
        if blank(cell) or isinstance(cell, float):
            continue  # a plain number in a header is a tank's id, not a day
        found = columns.read(cell)
        if isinstance(found, Moment):
            days[index] = found.day
    if len(days) < FEWEST_DAYS:
        return None
    table = _start(sheet, row, header, tank)
    table.first = row + 1
    for index, day in days.items():
        column = table.columns[index]
        column.what, column.day = "value", day
    _name_first_column(table, known, language)
    if table.column("tank"):
        table.tank = ""
    whole = _of_sheet(sheet, row, language)
    if not table.column("parameter"):
        if not whole:
            return None
        table.parameter, table.unit = whole.parameter, whole.unit
    return table if table.column("tank") or tank else None


def _name_first_column(
    table: Table, known: Mapping[str, str], language: Language
) -> None:
    """Say whether a column before the days, without a known header, is tank or test."""
    for column in table.columns:
        if column.what == "value" or (column.what and column.what != "parameter"):
            continue
        cells = [c for c in (row[column.index] for row in table.rows) if not blank(c)]
        if not cells:
            continue
        tests = sum(
            isinstance(cell, str) and language.headers.parameter(cell) is not None
            for cell in cells
        )
        if not table.column("parameter") and 2 * tests > len(cells):
            column.what = "parameter"
            continue
        tanks = 2 * known_ids(cells, known) > len(cells) or (not known and not tests)
        if tanks and not table.column("tank") and not table.tank:
            column.what = "tank"


# --------------------------------------------------------- a column for every tank


def _tanks(
    sheet: Sheet,
    row: int,
    header: Header | None,
    tank: str,
    known: Mapping[str, str],
    language: Language,
) -> Table | None:
    """Tanks in the header; a row for every day (and test)."""
    if header is None or tank:
        return None
    table = _start(sheet, row, header, "")
    if table.column("tank") or not (table.column("date") or table.column("timestamp")):
        return None
    whole = _of_sheet(sheet, row, language)
    if not table.column("parameter") and not whole:
        return None
    for column, cell in zip(table.columns, sheet.rows[row], strict=True):
        if blank(cell) or (column.what and tank_key(id_text(cell)) not in known):
            continue
        if tank_key(id_text(cell)) in known or not known:
            column.what, column.tank = "value", _shown(cell)
    if whole and not table.column("parameter"):
        table.parameter, table.unit = whole.parameter, whole.unit
    return table


# ------------------------------------------------------- a sheet for every test


def _one_test(
    sheet: Sheet,
    row: int,
    header: Header | None,
    tank: str,
    known: Mapping[str, str],
    language: Language,
) -> Table | None:
    """Date, tank, result; the sheet's name or a title says of which test."""
    if header is None or not {"date", "result"} <= header.whats:
        return None
    table = _start(sheet, row, header, tank)
    whole = _of_sheet(sheet, row, language)
    if whole is None or table.column("parameter"):
        return None
    for column, meaning in zip(table.columns, header.meanings, strict=True):
        if meaning and meaning.what == "result":
            column.what = "result"
    table.parameter, table.unit = whole.parameter, whole.unit
    if table.column("tank"):
        table.tank = ""
    return table


def _of_sheet(sheet: Sheet, row: int, language: Language) -> Meaning | None:
    """Return the parameter that the sheet's name, or a title above, says."""
    titles = [
        cell
        for cells in sheet.rows[:row]
        for cell in cells
        if isinstance(cell, str) and cell.strip()
    ]
    for text in (sheet.name, *titles[:20]):
        found = language.headers.parameter(text[:LONGEST_HEADER])
        if found and not found.unknown_unit:
            return found
    return None
