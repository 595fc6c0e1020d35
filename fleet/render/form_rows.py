"""What was read, as rows of the form again: for the next round's workbook."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from fleet.records import Book, Method, Reading, Result
from fleet.reference import Reference
from fleet.render.display import LITRES_PER_US_GALLON
from fleet.render.form import Column, Form
from fleet.render.walking import walking

KILOGRAMS_PER_POUND = 0.45359237  # exact by definition


def tank_rows(old: Book) -> Iterator[Mapping[str, object]]:
    """Yield the Tanks rows in walking order."""
    us = old.settings.units == "US"
    litres, kilograms = (
        (LITRES_PER_US_GALLON, KILOGRAMS_PER_POUND) if us else (1.0, 1.0)
    )
    for tank in sorted(old.tanks, key=walking):
        yield {
            "tank": tank.id, "name": tank.name, "displays": ", ".join(tank.displays),
            "place": tank.place, "keeper": tank.keeper, "group": tank.group,
            "round-order": tank.round_order, "volume": _scaled(tank.volume_l, litres),
            "livestock": tank.livestock, "rock": tank.rock,
            "rock-mass": _scaled(tank.rock_kg, kilograms),
            "filled-on": tank.filled_on, "cycled-on": tank.cycled_on,
            "equipment": ", ".join(tank.equipment), "fish": tank.fish,
            "feed": tank.feed_g_day, "protein": percent(tank.protein),
            "in-use": "" if tank.in_use else "no",
            "notes": tank.notes,
        }  # fmt: skip


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else round(value / factor, 1)


def percent(share: float | None) -> float | None:
    """Return a share as per cent, None where it is not known."""
    return None if share is None else round(100 * share, 3)


def method_row(method: Method, reference: Reference) -> Mapping[str, object]:
    """Return one Methods row."""
    return {
        "method": method.name, "measures": method.measures,
        "unit": method.unit or reference.parameters[method.measures].kept,
        "lowest": method.lowest, "step": method.step, "accuracy": method.accuracy,
        "accuracy-share": percent(method.accuracy_share), "highest": method.highest,
        "kind": method.kind,
    }  # fmt: skip


def band_rows(old: Book) -> Iterator[Mapping[str, object]]:
    """Yield the Bands rows."""
    written = {tank.key: tank.id for tank in old.tanks}
    for band in old.bands:
        yield {
            "livestock": band.livestock, "tank": written.get(band.tank, band.tank),
            "parameter": band.parameter, "stage": band.stage, "low": band.low,
            "high": band.high, "unit": band.unit,
            "note": band.basis if band.basis != "workbook" else "",
        }  # fmt: skip


def shelf_rows(old: Book) -> Iterator[Mapping[str, object]]:
    """Yield the Shelf rows."""
    for item in old.shelf:
        yield {
            "substance": item.written, "purity": percent(item.purity),
            "on-hand": item.on_hand_g, "stock": item.stock_g_per_l,
        }  # fmt: skip


def work_rows(old: Book) -> Iterator[Mapping[str, object]]:
    """Yield the Work rows, oldest first."""
    written = {tank.key: tank.id for tank in old.tanks}
    for done in sorted(old.work, key=lambda work: (work.on, work.tank)):
        yield {
            "date": done.on, "tank": written.get(done.tank, done.tank),
            "work": done.work, "substance": done.substance, "amount": done.amount,
            "unit": done.unit, "done-by": done.done_by, "notes": done.notes,
        }  # fmt: skip


def reading_rows(old: Book, reference: Reference) -> Iterator[Mapping[str, object]]:
    """Yield the Readings rows, oldest first."""
    written = {tank.key: tank.id for tank in old.tanks}
    us = old.settings.units == "US"
    for reading in sorted(old.readings, key=lambda read: (read.taken_on, read.tank)):
        row: dict[str, object] = {
            "date": reading.taken_on, "tank": written.get(reading.tank, reading.tank),
            "taken-by": reading.taken_by, "notes": reading.notes,
            "look": reading.look_written or ", ".join(reading.looks),
        }  # fmt: skip
        for result in reading.results:
            unit = _unit(result.parameter, reference, us)
            row[result.parameter] = _cell(result, unit)
            row[f"{result.parameter}-method"] = result.method
        yield row


def _unit(parameter: str, reference: Reference, us: bool) -> str:
    """Return the unit that the form's header names."""
    if us and parameter == "temperature":
        return "°F"
    return reference.parameters[parameter].default_unit


def _cell(result: Result, unit: str) -> object:
    """Return a result as a cell under a header in ``unit``: it must mean the same."""
    if result.form == "value" and result.unit == unit:
        return result.number
    if result.form == "none seen" or _reads_alone(result, unit):
        return result.written
    return _spelt_out(result, unit)


def _reads_alone(result: Result, unit: str) -> bool:
    """Say whether the writer's words mean the same without their old column.

    A comma may have been known for one of thousands by the cells around it.
    """
    numbers = [result.number] if result.upper is None else [result.number, result.upper]
    return result.unit == unit and all(_plain(n) in result.written for n in numbers)


def _spelt_out(result: Result, unit: str) -> str:
    sign = {"below": "<", "above": ">", "about": "~"}.get(result.form, "")
    number = sign + _plain(result.number)
    if result.upper is not None:
        number += f"-{_plain(result.upper)}"
    return number if result.unit == unit else f"{number} {result.unit}"


def _plain(number: float) -> str:
    """Return a number in full, without an exponent."""
    return f"{Decimal(repr(number)):f}".removesuffix(".0")


# ------------------------------------------------------------------- last values


def with_last_values(form: Form, old: Book) -> Form:
    """Return the form with grey columns: the last visit, and each value's past."""
    tested = {r.parameter for reading in old.readings for r in reading.results}
    words = form.words["next"]
    columns: list[Column] = []
    for column in form.sheet("Readings").columns:
        if column.key in tested and column.kind == "result":
            what = column.header.partition(" (")[0]
            what = what if what == "pH" else what.lower()
            header = words["before"].format(what=what)
            columns.append(Column(f"before-{column.key}", header, "before", 11))
        columns.append(column)
        if column.key == "taken-by" and tested:
            columns.append(Column("before-visit", words["before-day"], "before", 12))
    sheets = tuple(
        replace(sheet, columns=tuple(columns)) if sheet.name == "Readings" else sheet
        for sheet in form.sheets
    )
    return replace(form, sheets=sheets)


def empty_rows(old: Book, reference: Reference) -> Iterator[Mapping[str, object]]:
    """Yield one row a tank in walking order, with its methods and last values."""
    us = old.settings.units == "US"
    by_tank: dict[str, list[Reading]] = {}
    for reading in sorted(old.readings, key=lambda read: read.taken_on):
        by_tank.setdefault(reading.tank, []).append(reading)
    for tank in sorted(old.tanks, key=walking):
        if not tank.in_use:
            continue
        row: dict[str, object] = {"tank": tank.id}
        visits = by_tank.get(tank.key, [])
        last = visits[-1].taken_on if visits else None
        row["before-visit"] = last
        for reading in visits:
            since = "" if reading.taken_on == last else f" ({reading.taken_on})"
            for result in reading.results:
                unit = _unit(result.parameter, reference, us)
                same = result.unit == unit or result.form == "none seen"
                told = result.written if same else _spelt_out(result, unit)
                row[f"before-{result.parameter}"] = f"{told}{since}"
                if result.method:
                    row[f"{result.parameter}-method"] = result.method
        yield row
