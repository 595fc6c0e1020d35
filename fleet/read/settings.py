"""Rows of the Settings sheet -> settings; what other sheets say of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.grid import Row
from fleet.read.log import Log, Texts, shown
from fleet.read.quantities import Quantity, quantity
from fleet.read.rows import RowReader
from fleet.read.table import Column, Language, Table
from fleet.read.words import nearest
from fleet.records import CellAddress, Method, Settings, SheetCount
from fleet.spelling import fold, tidy

_TEXTS = {"organisation", "contact", "logo"}
_LISTS = {"paper": "paper", "units": "unit-system"}
_PAIRS = {
    "change water": "change_water",
    "default method": "default_methods",
    "largest rise": "largest_rise_day",
}
# Less than an even chance would be no ground for any verdict.
_LEAST_SHARE = {"largest water change": 0.0, "chance needed": 0.5}
_UNIT_WORDS = 2  # a unit without brackets is at most so long: mg/L NO3
_PLAIN_UNITS = ("days", "%", "percent", "per cent")
_DAYS = re.compile(r"\s*(\S+)\s*(days?|d|weeks?|wks?|w)\.?\s*", re.I)
_BELOW = re.compile(r"\s*(<|less|under|below)", re.I)
_REFERENCES = ("25/25", "20/20", "15/15", "20/4", "60/60F")
_ALKALINITY_SHOWN = ("dKH", "meq/L", "mg/L CaCO3")


class Told(NamedTuple):
    """One setting a workbook tells, and where."""

    field: str
    value: Any
    name: str  # as written
    where: CellAddress


def read_settings(
    table: Table, language: Language, log: Log, texts: Texts
) -> tuple[list[Told], SheetCount]:
    """Return the settings of one sheet."""
    rows = RowReader(table, language, log, texts)
    told = []
    for number, row in rows.rows():
        name, value = rows.text(row, "setting"), rows.text(row, "value")
        if name and not value:
            rows.counter.read += 1  # left to the default
            continue
        found = _told(rows, number, row, name)
        rows.counter.read += found is not None
        rows.counter.left_out += found is None
        told += [found] if found else []
    return told, rows.counter.count(table)


def _told(rows: RowReader, number: int, row: Row, name: str) -> Told | None:
    where = rows.at(number, "value")
    setting, parameter, unit = _setting(name, rows.language)
    if not setting:
        known = rows.language.reference.vocabulary["setting"]
        near = nearest(tidy(name), known) or f"Known are: {', '.join(known)}."
        place = rows.at(number, "setting")
        rows.log.at(problems.SETTING_UNKNOWN, place, name, near=near)
        return None
    text, cell = rows.text(row, "value"), rows.cell(row, "value")
    if setting in ("change water", "largest rise"):
        below = setting == "change water"
        value, accepted = _of_parameter(parameter, unit, cell, below, rows.language)
        if value is not None and isinstance(cell, str) and _BELOW.match(cell):
            read = f"{value:g}, the most it can be"
            rows.log.at(problems.NUMBER_READ, where, shown(cell), read=read)
    else:
        value, accepted = _value(setting, cell, text, rows.language)
    if value is None:
        rows.log.at(
            problems.SETTING_UNREADABLE,
            where,
            shown(cell),
            setting=f"'{name}'",
            accepted=accepted,
        )
        return None
    field = _PAIRS.get(setting) or _FIELDS[setting]
    return Told(field, (parameter, value) if setting in _PAIRS else value, name, where)


_FIELDS = {
    "organisation": "organisation",
    "contact": "contact",
    "logo": "logo",
    "paper": "paper",
    "units": "units",
    "round every": "round_days",
    "largest water change": "largest_water_change",
    "chance needed": "chance_needed",
    "ph scale": "ph_scale",
    "sg reference": "sg_reference",
    "alkalinity unit": "alkalinity_unit",
}


class _Named(NamedTuple):
    """What the name of a setting says."""

    setting: str  # "" where it is none
    parameter: str = ""
    unit: str | None = ""  # of the parameter; None where it is not known


def _setting(name: str, language: Language) -> _Named:
    """Return what a name means; its unit may stand in brackets or just behind."""
    outside, bracket, inside = tidy(name).partition("(")
    words = outside.split()
    for end in range(len(words), max(0, len(words) - _UNIT_WORDS - 1), -1):
        unit = " ".join(words[end:])
        found = _named(words[:end], unit or inside.partition(")")[0], language)
        plain = not unit or unit in _PLAIN_UNITS
        if found.setting and (plain or (found.parameter and found.unit)):
            return found
    return _Named("")


def _named(words: Sequence[str], unit: str, language: Language) -> _Named:
    settings = language.words.spellings("setting")
    found = settings.get(fold("".join(words)))
    if found and found not in _PAIRS:
        return _Named(found)
    for index, word in enumerate(words):
        meaning = language.headers.parameter(word)
        if meaning:
            rest = fold("".join([*words[:index], *words[index + 1 :]]))
            found = settings.get(rest) or settings.get(rest.replace("of", "", 1))
            if found in _PAIRS:
                parameter = meaning.parameter
                default = meaning.unit or _default_unit(parameter, language)
                named = language.units.of(parameter, unit, meaning.unit)
                return _Named(found, parameter, named if unit else default)
    return _Named("")


def _default_unit(parameter: str, language: Language) -> str:
    return language.reference.parameters[parameter].default_unit


def _value(setting: str, cell: Any, text: str, language: Language) -> tuple[Any, str]:
    """Return the value of a setting, or None and what is accepted."""
    words = language.words
    if setting in _TEXTS or setting == "default method":
        return text[:500], ""
    if setting in _LISTS:
        chosen = words.word(_LISTS[setting], text)
        return chosen, f"one of: {words.accepted(_LISTS[setting])}"
    if setting == "ph scale":
        scale = {"nbs": "NBS", "total": "total"}.get(fold(text).removesuffix("scale"))
        return scale, "one of: NBS, total"
    if setting == "sg reference":
        return _reference(text), f"one of: {', '.join(_REFERENCES)}"
    if setting == "alkalinity unit":
        unit = language.units.of("alkalinity", text)
        shown_in = unit if unit in _ALKALINITY_SHOWN else None
        return shown_in, f"one of: {', '.join(_ALKALINITY_SHOWN)}"
    kinds = ("share",) if setting in _LEAST_SHARE else ()
    days = _DAYS.fullmatch(text)
    found = quantity(days[1] if days else cell, kinds, "", words)
    if not isinstance(found, Quantity):
        return None, "a number"
    if kinds:
        # A cell that shows 25 % may hold 0.25, and some files do not say that it
        # shows per cent. Nobody wants less than one per cent, so a number below 1
        # is such a fraction; the header asks for per cent, so 1 is one per cent.
        part = found.number if found.number < 1 and not found.unit else None
        part = found.number / 100 if part is None else part
        least = _LEAST_SHARE[setting]
        accepted = f"a share from {least:.0%} to 100%"
        return (part if 0 < part <= 1 and part >= least else None), accepted
    weeks = 7 if days and days[2].startswith("w") else 1
    count = round(found.number * weeks)
    return (count if 1 <= count <= 366 else None), "a number of days, from 1 to 366"


def _of_parameter(
    parameter: str, unit: str | None, cell: Any, below: bool, language: Language
) -> tuple[float | None, str]:
    """Return a number in the kept unit: only units that a factor leads to.

    With ``below`` zero and "<" count too, as what is in the water may.
    """
    from fleet.read.cells import Parsed, ResultColumn

    about = language.reference.parameters[parameter]
    read = ResultColumn(about, unit or "", [cell], language.words, language.units)
    parsed = read.read[cell]
    factors = {u.key: u.factor for u in about.units if u.factor is not None}
    accepted = f"a number in {' or '.join(factors)}"
    if unit is None or not isinstance(parsed, Parsed):
        return None, accepted
    factor = factors.get(parsed.unit)
    above_zero = parsed.number > 0 or below
    forms = ("value", "none seen", "below") if below else ("value", "none seen")
    if factor is None or not above_zero or parsed.form not in forms:
        return None, accepted
    return parsed.number * factor, accepted


def _reference(text: str) -> str | None:
    plain = fold(text).replace("deg", "")
    for known in _REFERENCES:
        if plain.rstrip("cf") == fold(known).rstrip("f") or plain == fold(known):
            return known
    return None


def settings_of(told: Iterable[Told], log: Log) -> Settings:
    """Join what the workbooks tell; the first of two that differ is kept."""
    values: dict[str, Any] = {}
    pairs: dict[str, dict[str, Any]] = {}
    first: dict[tuple[str, str], Told] = {}
    for one in told:
        parameter = one.value[0] if one.field in _PAIRS.values() else ""
        before = first.setdefault((one.field, parameter), one)
        if before is not one:
            if before.value != one.value:
                facts = {"setting": f"'{one.name}'", "file": before.where.file}
                log.at(problems.SETTINGS_DIFFER, one.where, one.value, **facts)
            continue
        if parameter:
            pairs.setdefault(one.field, {})[parameter] = one.value[1]
        else:
            values[one.field] = one.value
    known = {field.name for field in fields(Settings)}
    values |= {field: tuple(found.items()) for field, found in pairs.items()}
    return replace(Settings(), **{k: v for k, v in values.items() if k in known})


def tell_unknown_methods(
    told: Iterable[Told], methods: Iterable[Method], language: Language, log: Log
) -> None:
    """Say which default methods name no test that is known."""
    names: dict[str, dict[str, str]] = {}
    for method in methods:
        names.setdefault(method.measures, {})[fold(method.name)] = method.name
    for one in told:
        if one.field != _PAIRS["default method"]:
            continue
        parameter, written = one.value
        own = names.get(parameter, {})
        if fold(written) in own or language.headers.names_method(parameter, written):
            continue
        listed = ", ".join(f"'{name}'" for name in own.values())
        near = nearest(written, own.values()) or (
            f"Write one of: {listed}." if own else "Add it to a sheet 'Methods'."
        )
        facts = {"parameter": parameter, "near": near}
        log.at(problems.DEFAULT_METHOD_UNKNOWN, one.where, written, **facts)


def told_by_headers(tables: Iterable[Table], told: Iterable[Told]) -> list[Told]:
    """Return the settings that all headers of readings agree on: units and scales.

    A setting in ``told`` is said already, and headers do not speak against it.
    """
    said = {one.field for one in told}
    found: dict[str, list[Told]] = {}
    for table in tables:
        for column in table.all("value"):
            where = table.sheet.at(table.header[-1], column.index)
            for field, value in _by_header(column):
                found.setdefault(field, []).append(
                    Told(field, value, column.header, where)
                )
    return [
        every[0]
        for field, every in found.items()
        if field not in said and len({one.value for one in every}) == 1
    ]


def _by_header(column: Column) -> list[tuple[str, str]]:
    if column.parameter == "alkalinity" and column.unit in _ALKALINITY_SHOWN:
        return [("alkalinity_unit", column.unit)]
    if column.parameter == "ph":
        return [("ph_scale", "total" if column.unit == "pH total" else "NBS")]
    if column.unit == "SG":
        inside = column.header.partition("(")[2].partition(")")[0]
        reference = _reference(inside) if inside else None
        return [("sg_reference", reference)] if reference else []
    return []
