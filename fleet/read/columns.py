"""What each column of a sheet means, once its header row is found."""

from __future__ import annotations

from fleet import problems
from fleet.read.grid import Sheet, blank
from fleet.read.headers import Meaning
from fleet.read.layout import Header
from fleet.read.table import Column, Language, Table
from fleet.read.units import QUANTITIES
from fleet.spelling import fold


def table_of(sheet: Sheet, kind: str, header: Header, language: Language) -> Table:
    """Return the sheet with its columns, duplicates and unknown units reported."""
    table = Table(
        sheet,
        kind,
        columns=[Column(i, text) for i, text in enumerate(header.texts)],
        header=header.rows,
        first=header.rows[-1] + 1,
    )
    for column, meaning in zip(table.columns, header.meanings, strict=True):
        if meaning:
            _give(column, meaning)
    _drop_unknown_units(table, header, language)
    _tell_loose(table, language)
    take_units_row(table, language)
    drop_twins(table, language)
    attach(table, header.meanings)
    return table


def _give(column: Column, meaning: Meaning) -> None:
    column.what, column.parameter = meaning.what, meaning.parameter
    column.unit, column.method = meaning.unit, meaning.method


def _tell_loose(table: Table, language: Language) -> None:
    """Say how a header was read whose unit people mean in more than one way."""
    for column in table.all("value"):
        if language.words.word("loose-header", column.header):
            table.problems.append(
                problems.HEADER_READ.at(
                    table.sheet.at(table.header[-1], column.index),
                    column.header,
                    parameter=column.parameter,
                    unit=column.unit
                    or language.reference.parameters[column.parameter].default_unit,
                )
            )


def _drop_unknown_units(table: Table, header: Header, language: Language) -> None:
    for column, meaning in zip(table.columns, header.meanings, strict=True):
        if meaning and meaning.unknown_unit:
            column.what = ""
            table.problems.append(
                problems.COLUMN_UNIT_UNKNOWN.at(
                    table.sheet.at(header.rows[-1], column.index),
                    column.header,
                    written=meaning.unknown_unit,
                    parameter=meaning.parameter,
                    accepted=language.units.accepted(meaning.parameter),
                )
            )


def take_units_row(table: Table, language: Language) -> None:
    """Take the units from a row of them right under the headers, if there is one."""
    if table.first >= len(table.sheet.rows):
        return
    found: dict[int, str] = {}
    cells = table.sheet.rows[table.first]
    for column in table.columns:
        cell = cells[column.index]
        if blank(cell):
            continue
        if not isinstance(cell, str):
            return
        unit = _unit_below(column, cell.strip("()[] "), language)
        if unit is None:
            return
        found[column.index] = unit
    if not any(found.values()):
        return
    for column in table.columns:
        column.unit = column.unit or found.get(column.index, "")
    table.first += 1


def _unit_below(column: Column, text: str, language: Language) -> str | None:
    """Return the unit under a header, "" for a hint such as ``-``, None for data."""
    if column.what == "value" and column.parameter:
        return language.units.of(column.parameter, text, column.unit)
    for quantity in QUANTITIES:
        unit = language.words.word(QUANTITIES[quantity][0], text)
        if unit:
            return unit
    if column.what in ("date", "time", "timestamp") and not any(map(str.isdigit, text)):
        return "" if fold(text).strip("dmyhstj") == "" else None
    return "" if not column.what and not fold(text) else None


def drop_twins(table: Table, language: Language) -> None:
    """Use only the first of several columns with one meaning; report values."""
    seen: dict[tuple[object, ...], Column] = {}
    for column in table.columns:
        key = (
            column.what, column.parameter, column.method, column.tank, column.day,
        )  # fmt: skip
        if column.what in ("", "notes", "look", "flag", "method"):
            continue
        first = seen.setdefault(key, column)
        if first is column:
            continue
        if column.what == "value":
            table.problems.append(
                problems.COLUMN_TWICE.at(
                    table.sheet.at(table.header[-1], column.index),
                    column.header,
                    meaning=column.parameter,
                    first=f"'{first.header}'",
                )
            )
        column.what = ""


def attach(table: Table, meanings: list[Meaning | None]) -> None:
    """Say which value each method and flag column belongs to."""
    values = table.all("value")
    for column in table.columns:
        if column.what not in ("method", "flag") or table.kind != "readings":
            continue
        meaning = meanings[column.index] if column.index < len(meanings) else None
        if column.parameter:
            own = [v for v in values if v.parameter == column.parameter]
            before = [v for v in own if v.index < column.index]
            chosen = (before or own)[-1:] if before else own[:1]
        elif meaning and meaning.of:
            chosen = [v for v in values if fold(v.header) == meaning.of]
        else:
            chosen = [v for v in values if v.index == column.index - 1]
        if chosen:
            column.of = chosen[0].index
            column.parameter = chosen[0].parameter
        elif column.parameter or column.what == "flag":
            column.what = ""  # a method or flag of a value that is not there
