"""All sheets of one file -> tables; what is not recognised is said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from fleet import problems
from fleet.read.columns import table_of
from fleet.read.grid import Sheet, blank, blank_row
from fleet.read.layout import Header, best_header, missing, recognise
from fleet.read.layout_spec import SheetSpec, spec_for, table_by_spec
from fleet.read.log import Log, content_rows, hidden_notes, shown
from fleet.read.table import Column, Language, Table
from fleet.read.tank_ids import TankIds
from fleet.read.wide import wide_table
from fleet.spelling import fold, tidy

LONGEST_ID = 40  # characters of what may be a tank's id or name
_DECIMAL = re.compile(r"[<>~]?[-+]?\d*[.,]\d+")
_NUMBER = re.compile(r"\s*[<>~]?\s*[-+]?\d+([.,]\d+)?\s*([^\W\d_/%]{1,4}(/[lL])?)?\s*$")
_UNIT = re.compile(r"\b(mg/l|ppm|ppb|dkh)\b", re.I)
_LOOKED_AT = 50  # rows and columns of a sheet that was not recognised
_FEW_NUMBERS = 3  # fewer are a remark
_WITH_RESULTS = ("readings", "tanks")
EARLIER = "shown from an earlier visit"  # the meaning of a column that is not read
_SAY_SOMETHING = ("value", "result", "look", "notes")
_GENERIC = re.compile(
    r"(sheet|tabelle|feuil|feuille|hoja|foglio|blad|data|page|untitled)\d*"
)


@dataclass(slots=True)
class Draft:
    """A sheet after the first look, before the tanks are known."""

    sheet: Sheet
    kind: str  # "" not recognised, "nothing" not to be read
    header: Header | None = None
    table: Table | None = None

    @property
    def names_tanks(self) -> bool:
        """Whether a column of the header names tanks."""
        return self.header is not None and "tank" in self.header.whats


class Alone(NamedTuple):
    """The tank of a sheet that names none by a column or by its own name."""

    tank: str  # as written; "" for none
    guessed: bool  # only for want of anything else


def first_look(
    sheets: Sequence[Sheet], specs: Sequence[SheetSpec], language: Language
) -> list[Draft]:
    """Return the kind of each sheet; those that hold no readings as tables already."""
    drafts = []
    for sheet in sheets:
        spec = spec_for(sheet, specs)
        if spec:
            table = None
            if spec.holds != "nothing":
                table = table_by_spec(sheet, spec, language)
            drafts.append(Draft(sheet, spec.holds, table=table))
            continue
        kind, header = recognise(sheet, language)
        above = _above(sheet, header, language) if header else None
        if above is not None:
            drafts.append(above)
            end = len(above.sheet.rows)
            blanks = [[""] * len(row) for row in sheet.rows[:end]]
            sheet = replace(sheet, rows=[*blanks, *sheet.rows[end:]])
        drafts.append(_draft(sheet, kind, header, language))
    return drafts


def _draft(sheet: Sheet, kind: str, header: Header | None, language: Language) -> Draft:
    draft = Draft(sheet, kind, header)
    if header and kind not in ("readings", "nothing"):
        draft.table = table_of(sheet, kind, header, language)
    elif kind == "settings":
        draft.table = _settings_without_header(sheet)
    return draft


def _above(sheet: Sheet, header: Header, language: Language) -> Draft | None:
    """Return a smaller table that stands above the one found, or None."""
    end = header.rows[0]
    while end and sum(not blank(cell) for cell in sheet.rows[end - 1]) < 2:
        end -= 1  # blank rows, and the title of the table below
    if end < 2:
        return None
    part = Sheet(
        sheet.file, sheet.name, sheet.rows[:end], merged=sheet.merged,
        date1904=sheet.date1904,
    )  # fmt: skip
    kind, found = recognise(part, language)
    if not kind or found is None or found.rows[-1] >= end - 1:
        return None
    return _draft(part, kind, found, language)


def _settings_without_header(sheet: Sheet) -> Table | None:
    if not sheet.rows or len(sheet.rows[0]) < 2:
        return None
    columns = [Column(0, "", "setting"), Column(1, "", "value")]
    columns += [Column(i, "") for i in range(2, len(sheet.rows[0]))]
    return Table(sheet, "settings", columns, (0,), 0)


def readings_table(
    draft: Draft, tanks: TankIds, alone: Alone, language: Language, log: Log
) -> Table | None:
    """Return a sheet of readings as a table, or None if it is none."""
    sheet, header = draft.sheet, draft.header
    if draft.table:
        if not draft.table.tank and not draft.table.column("tank"):
            _name_tank(draft.table, tanks, alone, log)
        return draft.table
    own = tanks.find(sheet.name)
    name = tanks.ids[own.key] if own else ""
    table = None
    if header and "values" in header.whats:
        repeated = Counter(
            m.parameter for m in header.meanings if m and m.what == "value"
        )
        if max(repeated.values(), default=0) > 1 and not name:
            table = _with_tanks_above(sheet, header, tanks.ids, language)
        table = table or table_of(sheet, "readings", header, language)
    else:
        own_name = name or _own_name(sheet, tanks, language)
        table = wide_table(sheet, own_name, tanks.ids, language)
        table = table or wide_table(sheet, "", tanks.ids, language)
        if table is None and header and draft.kind == "readings":
            table = table_of(sheet, "readings", header, language)
    if table is None or not any(table.column(what) for what in _SAY_SOMETHING):
        return None
    names_tank = table.column("tank") or any(c.tank for c in table.columns)
    if not names_tank:
        _name_tank(table, tanks, alone, log)
    return table


def _with_tanks_above(
    sheet: Sheet, header: Header, known: Mapping[str, str], language: Language
) -> Table | None:
    found = wide_table(sheet, "", known, language)
    if found and any(c.tank for c in found.columns):
        return found
    return None


def _own_name(sheet: Sheet, tanks: TankIds, language: Language) -> str:
    """Return the name of a sheet where it can be a tank's, no tank being known."""
    if tanks.ids or generic(sheet.name) or language.headers.parameter(sheet.name):
        return ""
    return sheet.name


def generic(name: str) -> bool:
    """Say whether a sheet's name is one that a program gave it."""
    return bool(_GENERIC.fullmatch(fold(name)))


def _tank_column_by_ids(table: Table, tanks: TankIds, log: Log) -> bool:
    """Take a column without a meaning for the tanks' if it holds ids of them."""
    for column in table.unused() if tanks.ids else ():
        cells = [row[column.index] for row in table.rows]
        cells = [cell for cell in cells if not blank(cell)]
        if 2 * sum(tanks.find(cell) is not None for cell in cells) > len(cells):
            column.what = "tank"
            where = table.sheet.at(table.header[-1], column.index)
            log.at(problems.TANK_COLUMN_READ, where, column.header)
            return True
    return False


def may_name_tanks(table: Table) -> Column | None:
    """Return a column without a use that can be of tanks: filled, and short."""
    rows = sum(not blank_row(row) for row in table.rows)
    people = [c for c in table.all("taken by") if fold(c.header) == "name"]
    for column in (*table.unused(), *people):
        cells = [row[column.index] for row in table.rows]
        cells = [cell for cell in cells if not blank(cell)]
        if 2 * len(cells) > rows and all(map(_like_an_id, cells)):
            return column
    return None


def _like_an_id(cell: object) -> bool:
    if isinstance(cell, str):
        return len(cell) <= LONGEST_ID and not _DECIMAL.fullmatch(cell.strip())
    return isinstance(cell, float) and cell.is_integer()


def _name_tank(table: Table, tanks: TankIds, alone: Alone, log: Log) -> None:
    """Take the tank of a sheet without a column of tanks from its name."""
    sheet = table.sheet
    own = tanks.find(sheet.name)
    if own:
        table.tank = tanks.ids[own.key]
        return
    if _tank_column_by_ids(table, tanks, log):
        return
    if alone.tank and not (alone.guessed and may_name_tanks(table)):
        table.tank = alone.tank
        log.at(problems.TANK_FROM_SHEET, sheet.whole, alone.tank)


def tell_unused(draft: Draft, language: Language, log: Log) -> int:
    """Say that a sheet was not used, and why; return the rows that are left out."""
    sheet = draft.sheet
    rows = content_rows(sheet)
    if draft.kind == "nothing" or rows == 0:
        return 0
    looks = best_header(sheet, "readings", language)
    dated = looks is not None and "date" in looks.whats
    if dated and (draft.kind == "readings" or "tank" in looks.whats):  # type: ignore[union-attr]
        facts = {"kind": "readings", "missing": "with a test, such as 'Nitrate (mg/L)'"}
        log.at(problems.SHEET_WITHOUT_COLUMN, sheet.whole, **facts)
        return rows
    if draft.kind:
        facts = {"kind": draft.kind, "missing": missing(draft.kind)}
        log.at(problems.SHEET_WITHOUT_COLUMN, sheet.whole, **facts)
        return rows
    count = "1 row" if rows == 1 else f"{rows} rows"
    if _may_hold_results(sheet, language):
        log.at(problems.SHEET_OF_RESULTS_NOT_USED, sheet.whole, count)
        return rows
    log.at(problems.SHEET_NOT_USED, sheet.whole, count)
    return 0


def _may_hold_results(sheet: Sheet, language: Language) -> bool:
    """Say whether a sheet nobody understands has numbers, and a day or a test."""
    cells = [cell for row in sheet.rows[:_LOOKED_AT] for cell in row[:_LOOKED_AT]]
    return sum(map(_is_number, cells)) >= _FEW_NUMBERS and any(
        isinstance(cell, date)
        or (
            isinstance(cell, str)
            and 0 < len(cell) <= LONGEST_ID
            and (_UNIT.search(cell) or language.headers.parameter(cell) is not None)
        )
        for cell in cells
    )


def tell_not_used(table: Table, language: Language, log: Log) -> None:
    """Name the columns that hold something of which no meaning was found."""
    _set_earlier_aside(table, language)
    results: list[Column] = []
    others: list[Column] = []
    for column in table.unused():
        held = table.kind in _WITH_RESULTS and _holds_numbers(table, column)
        (results if held else others).append(column)
    for kind, unused in (
        (problems.RESULTS_NOT_USED, results),
        (problems.COLUMNS_NOT_USED, others),
    ):
        if unused:
            where = table.sheet.at(table.header[-1], unused[0].index)
            log.add(kind.at(where, _headers(table.sheet, unused)))


def _headers(sheet: Sheet, columns: Sequence[Column]) -> str:
    named = [
        f"'{shown(c.header)[:30]}'"
        if c.header
        else f"column {sheet.at(-1, c.index).cell}"
        for c in columns
    ]
    more = f" and {len(named) - 3} more" if len(named) > 3 else ""
    return ", ".join(named[:3]) + more


def _set_earlier_aside(table: Table, language: Language) -> None:
    """Know the columns that show an earlier visit beside this one, as Fleet's own do.

    What stands in them was read where it was written first.
    """
    here = {column.parameter for column in table.all("value")}
    for column in table.columns:
        if not column.header or column.what or table.kind != "readings":
            continue
        if language.words.word("earlier", column.header) == "day":
            column.what = EARLIER if table.column("date") else ""
            continue
        first, _, rest = tidy(column.header).partition(" ")
        if language.words.word("earlier", first) == "before":
            about = language.headers.parameter(rest)
            column.what = EARLIER if about and about.parameter in here else ""


def _holds_numbers(table: Table, column: Column) -> bool:
    """Say whether most of a column are numbers, or a mark and a number."""
    cells = [row[column.index] for row in table.rows]
    cells = [cell for cell in cells if not blank(cell)]
    numbers = sum(map(_is_number, cells))
    # A number alone, and without a header, is a scribble.
    return 2 * numbers > len(cells) and (column.header != "" or numbers > 1)


def _is_number(cell: object) -> bool:
    if isinstance(cell, str):
        return _NUMBER.match(cell) is not None
    return isinstance(cell, float | int)


def tell_opened(sheet: Sheet, log: Log) -> None:
    """Pass on what was met while a sheet was opened."""
    log.extend(sheet.problems)
    log.extend(hidden_notes(sheet))
