"""The workbook to fill in: blank, for the next round, or as questions for a form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from fleet.records import Book, Method, Reading, Result, Settings, Tank
from fleet.reference import Reference
from fleet.render.form import Column, Form, load_form

if TYPE_CHECKING:
    from openpyxl import Workbook

LITRES_PER_US_GALLON = 3.785411784  # exact by definition
LISTED = 20  # cells named on the first sheet; `fleet check` names them all
KILOGRAMS_PER_POUND = 0.45359237  # exact by definition

# Invented, for the first sheet only: no other sheet holds an example, so that none
# can be sent in as a reading.
EXAMPLES: dict[str, dict[str, object]] = {
    "Tanks": {
        "tank": "A1", "name": "Corner reef", "place": "Front", "keeper": "Sam",
        "volume": 300, "livestock": "mixed coral", "rock": "dry", "rock-mass": 25,
        "filled-on": date(2026, 1, 12), "equipment": "skimmer, filter sock",
        "fish": 3, "feed": 0.6,
    },
    "Readings": {
        "date": date(2026, 3, 2), "tank": "A1", "taken-by": "Sam", "nitrate": 0,
        "nitrate-method": "Nitrate colour card", "phosphate": "<0.03",
        "phosphate-method": "Low-range phosphate photometer", "salinity": 34.8,
        "temperature": 25.4, "look": "brown film, green film",
        "notes": "snails doing well",
    },
    "Work": {
        "date": date(2026, 3, 3), "tank": "A1", "work": "dose",
        "substance": "sodium nitrate", "amount": 0.8, "unit": "g", "done-by": "Sam",
    },
}  # fmt: skip


def write_blank(
    path: Path, reference: Reference, settings: Settings | None = None,
    own: Path | None = None,
) -> None:  # fmt: skip
    """Write a blank workbook to fill in; ``own`` is a folder of own wording."""
    from fleet.render.form_book import add_read_me, add_rows, new_book
    from fleet.render.same_bytes import save

    settings = settings or Settings()
    form = load_form(reference, settings.units, own)
    book = new_book(form)
    examples = dict(EXAMPLES)
    if settings.units == "US":
        us = {"volume": 80, "rock-mass": 55}
        examples["Tanks"] = examples["Tanks"] | us
        examples["Readings"] = examples["Readings"] | {"temperature": 77.7}
    add_read_me(book, form, examples)
    names = form.words["methods"]
    classes = ((reference.methods[key], name) for key, name in names.items())
    add_rows(book, form.sheet("Methods"), (
        _method_row(Method(
            name, kind.measures, kind.kind, kind.lowest, kind.step, kind.accuracy,
            kind.accuracy_share, kind.highest,
        ), reference)
        for kind, name in classes
    ))  # fmt: skip
    _fill_settings(book, form, settings)
    save(book, path)


def write_next(
    path: Path, old: Book, reference: Reference, keep_history: bool = False,
    own: Path | None = None,
) -> None:  # fmt: skip
    """Write next round's workbook: same tanks and methods, last values beside.

    With ``keep_history`` the readings and the work so far stand above the new
    rows, so that the one workbook goes on for years; without, they stay behind.
    """
    from fleet.render.form_book import GREY, PALE, add_read_me, add_rows, new_book
    from fleet.render.same_bytes import NO_DAY, save

    form = load_form(reference, old.settings.units, own)
    form = _with_last_values(form, old)
    book = new_book(form)
    add_read_me(
        book, form, extra=[form.words["next"]["intro"], *_left_behind(old, form)]
    )
    add_rows(book, form.sheet("Tanks"), _tank_rows(old))
    add_rows(
        book, form.sheet("Methods"), (_method_row(m, reference) for m in old.methods)
    )
    add_rows(book, form.sheet("Bands"), _band_rows(old))
    add_rows(book, form.sheet("Shelf"), _shelf_rows(old))
    if keep_history:
        add_rows(book, form.sheet("Work"), _work_rows(old))
        add_rows(book, form.sheet("Readings"), _reading_rows(old, reference))
    readings = form.sheet("Readings")
    first = book["Readings"].max_row + 1
    add_rows(book, readings, _empty_rows(old, readings.columns))
    last = book["Readings"].max_row
    for place, column in enumerate(readings.columns, start=1):
        if column.kind == "before":
            for row in range(first, last + 1):
                cell = book["Readings"].cell(row, place)
                cell.fill, cell.font = GREY, PALE
    _fill_settings(book, form, old.settings)
    newest = max((reading.taken_on for reading in old.readings), default=NO_DAY)
    save(book, path, newest)


def form_questions(reference: Reference, own: Path | None = None) -> str:
    """Return the questions for a form of one's own, whose answers can be read."""
    form = load_form(reference, own=own)
    words = form.words["questions"]
    lines = [words["title"], "", words["intro"]]
    for number, column in enumerate(form.sheet("Readings").columns, start=1):
        asked = words["answer"][column.kind]
        if column.required:
            asked += f", {words['required']}"
        lines += ["", f"{number}. {column.header}  ({asked})"]
        lines.append(f"   {form.note('Readings', column.key)}")
        offered = form.lists.get(column.list, ())
        if column.list == "methods":
            # Nitrate method: only the tests that measure nitrate.
            measures = column.key.removesuffix("-method")
            offered = tuple(
                name for key, name in form.words["methods"].items()
                if reference.methods[key].measures == measures
            )  # fmt: skip
        lines += [f"   - {word}" for word in offered]
    return "\n".join(lines) + "\n"


def _left_behind(old: Book, form: Form) -> list[str]:
    """Say what of the old workbook could not be read, and so is not in this one."""
    places = [
        f"{problem.where.sheet} {problem.where.cell}".strip()
        for problem in old.problems
        if problem.effect.endswith("left out") and problem.value
    ]
    if not places:
        return []
    listed = ", ".join(places[:LISTED]) + (" …" if len(places) > LISTED else "")
    return [form.words["next"]["left-behind"].format(count=len(places), places=listed)]


# ------------------------------------------------------------- rows of the sheets


def _walking_order(tank: Tank) -> tuple[float, str, str]:
    order = float("inf") if tank.round_order is None else tank.round_order
    return order, tank.place.casefold(), tank.key


def _tank_rows(old: Book) -> Iterator[Mapping[str, object]]:
    us = old.settings.units == "US"
    litres, kilograms = (
        (LITRES_PER_US_GALLON, KILOGRAMS_PER_POUND) if us else (1.0, 1.0)
    )
    for tank in sorted(old.tanks, key=_walking_order):
        yield {
            "tank": tank.id, "name": tank.name, "displays": ", ".join(tank.displays),
            "place": tank.place, "keeper": tank.keeper, "group": tank.group,
            "round-order": tank.round_order, "volume": _scaled(tank.volume_l, litres),
            "livestock": tank.livestock, "rock": tank.rock,
            "rock-mass": _scaled(tank.rock_kg, kilograms),
            "filled-on": tank.filled_on, "cycled-on": tank.cycled_on,
            "equipment": ", ".join(tank.equipment), "fish": tank.fish,
            "feed": tank.feed_g_day, "protein": _percent(tank.protein),
            "in-use": "" if tank.in_use else "no",
            "notes": tank.notes,
        }  # fmt: skip


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else round(value / factor, 1)


def _percent(share: float | None) -> float | None:
    return None if share is None else round(100 * share, 3)


def _method_row(method: Method, reference: Reference) -> Mapping[str, object]:
    return {
        "method": method.name, "measures": method.measures,
        "unit": method.unit or reference.parameters[method.measures].kept,
        "lowest": method.lowest, "step": method.step, "accuracy": method.accuracy,
        "accuracy-share": _percent(method.accuracy_share), "highest": method.highest,
        "kind": method.kind,
    }  # fmt: skip


def _band_rows(old: Book) -> Iterator[Mapping[str, object]]:
    written = {tank.key: tank.id for tank in old.tanks}
    for band in old.bands:
        yield {
            "livestock": band.livestock, "tank": written.get(band.tank, band.tank),
            "parameter": band.parameter, "stage": band.stage, "low": band.low,
            "high": band.high, "unit": band.unit,
            "note": band.basis if band.basis != "workbook" else "",
        }  # fmt: skip


def _shelf_rows(old: Book) -> Iterator[Mapping[str, object]]:
    for item in old.shelf:
        yield {
            "substance": item.written, "purity": _percent(item.purity),
            "on-hand": item.on_hand_g, "stock": item.stock_g_per_l,
        }  # fmt: skip


def _work_rows(old: Book) -> Iterator[Mapping[str, object]]:
    written = {tank.key: tank.id for tank in old.tanks}
    for done in sorted(old.work, key=lambda work: (work.on, work.tank)):
        yield {
            "date": done.on, "tank": written.get(done.tank, done.tank),
            "work": done.work, "substance": done.substance, "amount": done.amount,
            "unit": done.unit, "done-by": done.done_by, "notes": done.notes,
        }  # fmt: skip


def _reading_rows(old: Book, reference: Reference) -> Iterator[Mapping[str, object]]:
    written = {tank.key: tank.id for tank in old.tanks}
    us = old.settings.units == "US"
    for reading in sorted(old.readings, key=lambda read: (read.taken_on, read.tank)):
        row: dict[str, object] = {
            "date": reading.taken_on, "tank": written.get(reading.tank, reading.tank),
            "taken-by": reading.taken_by, "notes": reading.notes,
            "look": reading.look_written or ", ".join(reading.looks),
        }  # fmt: skip
        for result in reading.results:
            row[result.parameter] = _cell(result, reference, us)
            row[f"{result.parameter}-method"] = result.method
        yield row


def _cell(result: Result, reference: Reference, us: bool) -> object:
    """Return a result as the form's cell: a number in its unit, else the words."""
    unit = reference.parameters[result.parameter].default_unit
    if us and result.parameter == "temperature":
        unit = "°F"
    if result.unit == unit:
        try:
            return float(result.written)
        except ValueError:
            return result.written
    if any(letter.isalpha() for letter in result.written):
        return result.written
    return f"{result.written} {result.unit}"


# ------------------------------------------------------------------- last values


def _with_last_values(form: Form, old: Book) -> Form:
    """Return the form with a grey column before each value that has a past."""
    tested = {r.parameter for reading in old.readings for r in reading.results}
    before = form.words["next"]["before"]
    columns: list[Column] = []
    for column in form.sheet("Readings").columns:
        if column.key in tested and column.kind == "result":
            what = column.header.partition(" (")[0]
            what = what if what == "pH" else what.lower()
            columns.append(Column(
                f"before-{column.key}", before.format(what=what), "before", 17
            ))  # fmt: skip
        columns.append(column)
    sheets = tuple(
        replace(sheet, columns=tuple(columns)) if sheet.name == "Readings" else sheet
        for sheet in form.sheets
    )
    return replace(form, sheets=sheets)


def _empty_rows(
    old: Book, columns: tuple[Column, ...]
) -> Iterator[Mapping[str, object]]:
    """Yield one row a tank in walking order, with its methods and last values."""
    by_tank: dict[str, list[Reading]] = {}
    for reading in sorted(old.readings, key=lambda read: read.taken_on):
        by_tank.setdefault(reading.tank, []).append(reading)
    keys = {column.key for column in columns}
    for tank in sorted(old.tanks, key=_walking_order):
        if not tank.in_use:
            continue
        row: dict[str, object] = {"tank": tank.id}
        for reading in by_tank.get(tank.key, []):
            for result in reading.results:
                if f"before-{result.parameter}" in keys:
                    shown = f"{result.written} ({reading.taken_on})"
                    row[f"before-{result.parameter}"] = shown
                if result.method:
                    row[f"{result.parameter}-method"] = result.method
        yield row


def _fill_settings(book: Workbook, form: Form, settings: Settings) -> None:
    from fleet.render.form_book import put

    for row, setting in enumerate(form.settings, start=2):
        field, _, inside = setting.key.partition(".")
        value = getattr(settings, field)
        if inside:
            value = dict(value).get(inside)
        if field in ("largest_water_change", "chance_needed"):
            value = _percent(value)
        put(book["Settings"].cell(row, 2), value)
