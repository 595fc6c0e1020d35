"""What a layout file says: which sheets and columns of a workbook mean what."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from fleet import problems
from fleet.errors import DataTableError
from fleet.read.columns import drop_twins, take_units_row
from fleet.read.grid import Sheet
from fleet.read.headers import KINDS
from fleet.read.layout import (
    ROWS_SEARCHED,
    Header,
    double_header,
    single_header,
)
from fleet.read.table import Column, Language, Table
from fleet.spelling import fold

_KEYS = {
    "name", "holds", "header", "columns", "tank", "parameter", "date_order", "flags",
    "fill_down",
}  # fmt: skip
_KINDS_OF: dict[str, tuple[type, str]] = {
    "columns": (dict, "a table of words"),
    "flags": (dict, "a table of words"),
    "fill_down": (list, "a list in brackets"),
}
_ORDERS = ("day first", "month first", "year first")
_FLAGS = ("below", "above", "missing", "suspect", "passed")


@dataclass(frozen=True, slots=True)
class SheetSpec:
    """What a layout file says of one sheet (of all, where ``name`` is "")."""

    file: str
    holds: str
    name: str = ""
    header: tuple[int, ...] = ()  # rows counted from 1
    columns: dict[str, str] = field(default_factory=dict)  # header -> meaning
    tank: str = ""
    parameter: str = ""
    date_order: str = ""
    flags: dict[str, str] = field(default_factory=dict)
    fill_down: frozenset[str] = frozenset()


def specs_of(name: str, text: str) -> list[SheetSpec]:
    """Return what a layout file says, checked.

    Raises
    ------
    DataTableError
        It is no TOML, or holds a key or word that is not known.
    """
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as err:
        raise DataTableError(f"{name}: {err}") from err
    except RecursionError as err:
        raise DataTableError(f"{name}: its brackets are nested too deep.") from err
    sheets = content.pop("sheet", None)
    if content or not isinstance(sheets, list):
        odd = next(iter(content), "")
        found = f" '{odd}' is not known there." if odd else ""
        raise DataTableError(f"{name}: it must hold [[sheet]] entries.{found}")
    return [_spec(name, number, entry) for number, entry in enumerate(sheets, start=1)]


def _spec(name: str, number: int, entry: dict[str, Any]) -> SheetSpec:
    def refuse(why: str) -> DataTableError:
        return DataTableError(f"{name}: sheet {number}: {why}")

    if not isinstance(entry, dict):
        raise refuse("it must be an entry of its own, headed [[sheet]].")
    unknown = sorted(set(entry) - _KEYS)
    if unknown:
        known = ", ".join(sorted(_KEYS))
        raise refuse(f"'{unknown[0]}' is not known. Known are: {known}.")
    holds = entry.get("holds", "readings")
    if holds not in (*KINDS, "nothing"):
        raise refuse(f"holds = '{holds}' must be one of: {', '.join(KINDS)}, nothing.")
    for key, (kind, said) in _KINDS_OF.items():
        if not isinstance(entry.get(key, kind()), kind):
            raise refuse(f"{key} must be {said}.")
    rows = entry.get("header", [])
    rows = tuple(rows) if isinstance(rows, list) else (rows,)
    if not all(isinstance(row, int) and row > 0 for row in rows) or len(rows) > 2:
        raise refuse("header must be one row number, or two in brackets.")
    order = entry.get("date_order", "")
    if order and order not in _ORDERS:
        raise refuse(f"date_order must be one of: {', '.join(_ORDERS)}.")
    flags = {str(k): str(v) for k, v in entry.get("flags", {}).items()}
    for flag, word in flags.items():
        if word not in _FLAGS:
            raise refuse(f"the flag '{flag}' must mean one of: {', '.join(_FLAGS)}.")
    columns = {str(k): str(v) for k, v in entry.get("columns", {}).items()}
    return SheetSpec(
        file=name,
        holds=holds,
        name=str(entry.get("name", "")),
        header=rows,
        columns=columns,
        tank=str(entry.get("tank", "")),
        parameter=str(entry.get("parameter", "")),
        date_order=order,
        flags=flags,
        fill_down=frozenset(map(str, entry.get("fill_down", ()))),
    )


def spec_for(sheet: Sheet, specs: Iterable[SheetSpec]) -> SheetSpec | None:
    """Return what a layout file says of this sheet, or None."""
    named = unnamed = None
    for spec in specs:
        if spec.name and fold(spec.name) == fold(sheet.name):
            named = named or spec
        elif not spec.name:
            unnamed = unnamed or spec
    return named or unnamed


def table_by_spec(sheet: Sheet, spec: SheetSpec, language: Language) -> Table:
    """Return a sheet as its layout file says; what that leaves open is looked up.

    Raises
    ------
    DataTableError
        The file gives a column a meaning that is not known.
    """
    header = _header(sheet, spec, language)
    first = header.rows[-1] + 1 if header.rows else 0
    texts = header.texts
    table = Table(
        sheet,
        spec.holds,
        [Column(i, text) for i, text in enumerate(texts)],
        header.rows or (0,),
        first,
        tank=spec.tank,
        date_order=spec.date_order,
        flags=spec.flags,
        fill_down=spec.fill_down,
    )
    told = _told(table, spec)
    for column, meaning in zip(table.columns, header.meanings, strict=True):
        if column.index in told:
            _give(column, told[column.index], spec, language)
        elif meaning and not meaning.unknown_unit:
            column.what, column.parameter = meaning.what, meaning.parameter
            column.unit, column.method = meaning.unit, meaning.method
    if spec.parameter:
        named = language.headers.parameter(spec.parameter)
        if named is None:
            raise DataTableError(f"{spec.file}: '{spec.parameter}' is no parameter.")
        table.parameter, table.unit = named.parameter, named.unit
    take_units_row(table, language)
    # What the file says stands; a column found besides must not take its place.
    table.columns.sort(key=lambda column: column.index not in told)
    drop_twins(table, language)
    table.columns.sort(key=lambda column: column.index)
    _attach(table)
    return table


def _header(sheet: Sheet, spec: SheetSpec, language: Language) -> Header:
    """Return the header rows named, or those that hold most of the columns named."""
    kind = spec.holds
    rows = [row - 1 for row in spec.header]
    if rows and max(rows) < len(sheet.rows):
        one = single_header(sheet, rows[-1], kind, language)
        two = double_header(sheet, rows[-1], kind, language) if len(rows) == 2 else None
        if two or one:
            return two or one  # type: ignore[return-value]
    wanted = {fold(text) for text in spec.columns}
    best, most = None, (0, 0)
    for row in range(min(len(sheet.rows), ROWS_SEARCHED)):
        for found in (
            single_header(sheet, row, kind, language),
            double_header(sheet, row, kind, language),
        ):
            if found is None:
                continue
            hits = sum(fold(text) in wanted for text in found.texts)
            if (hits, found.score) > most:
                best, most = found, (hits, found.score)
    if best:
        return best
    width = max(map(len, sheet.rows), default=0)
    return Header((), [""] * width, [None] * width)


def _told(table: Table, spec: SheetSpec) -> dict[int, str]:
    """Return the meaning told for each column, by its index."""
    told: dict[int, str] = {}
    for written, meaning in spec.columns.items():
        letters = re.fullmatch(r"column ([A-Za-z]{1,3})", written)
        found = [c.index for c in table.columns if fold(c.header) == fold(written)]
        if letters and not found:
            index = 0
            for letter in letters[1].upper():
                index = index * 26 + ord(letter) - 64
            found = [index - 1] if index <= len(table.columns) else []
        free = [index for index in found if index not in told]
        if free:
            told[free[0]] = meaning
        else:
            table.problems.append(
                problems.LAYOUT_COLUMN_MISSING.at(table.sheet.whole, written)
            )
    return told


def _give(column: Column, meaning: str, spec: SheetSpec, language: Language) -> None:
    """Give a column the meaning that the file writes, as ``fleet check`` shows it."""
    column.what = column.parameter = column.unit = column.method = ""
    parts = [part.strip() for part in meaning.split(",")]
    if fold(meaning) in ("notused", ""):
        column.set_aside = True
        return
    head, _, role = parts[0].rpartition(" ")
    if role in ("method", "flag") and spec.holds == "readings":
        named = language.headers.parameter(head) if head else None
        column.what, column.parameter = role, named.parameter if named else ""
        return
    columns = language.words.spellings(f"{spec.holds}-column")
    what = "" if spec.holds == "nothing" else columns.get(fold(parts[0]), "")
    if what:
        column.what, column.unit = what, ", ".join(parts[1:])
        return
    parameter = language.words.reference.parameters.get(parts[0].casefold())
    if spec.holds == "readings":
        for part in parts[1:] if parameter else parts:
            if part.startswith("tank "):
                column.tank = part[5:].strip()
            elif re.fullmatch(r"\d{4}-\d{2}-\d{2}", part):
                column.day = _day(part, column.header, spec)
            elif parameter and language.units.of(parameter.key, part):
                column.unit = language.units.of(parameter.key, part) or ""
            elif parameter:
                column.method = part
        if parameter or column.tank or column.day:
            column.what = "value"
            column.parameter = parameter.key if parameter else ""
            return
    known = [*dict.fromkeys(columns.values()), *language.words.reference.parameters]
    raise DataTableError(
        f"{spec.file}: '{column.header}' = '{meaning}' is not known. Known are: "
        f"{', '.join(known)}, not used."
    )


def _day(written: str, header: str, spec: SheetSpec) -> date:
    try:
        return date.fromisoformat(written)
    except ValueError as err:
        raise DataTableError(
            f"{spec.file}: '{header}': there is no day {written}. Write it as in "
            "2026-02-28."
        ) from err


def _attach(table: Table) -> None:
    values = table.all("value")
    for column in table.columns:
        if column.what not in ("method", "flag"):
            continue
        own = [v for v in values if v.parameter == column.parameter]
        if not column.parameter:
            own = [v for v in values if v.index == column.index - 1]
        if own:
            before = [v for v in own if v.index < column.index]
            column.of = (before or own)[-1 if before else 0].index
            column.parameter = own[0].parameter
        elif column.what == "flag" or column.parameter:
            column.what = ""
