"""The workbook to fill in: blank, for the next round, or as questions for a form."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from fleet.records import Book, Method, Settings
from fleet.reference import Reference
from fleet.render.form import Form, load_form
from fleet.render.form_rows import (
    band_rows,
    empty_rows,
    method_row,
    percent,
    reading_rows,
    shelf_rows,
    tank_rows,
    with_last_values,
    work_rows,
)

if TYPE_CHECKING:
    from openpyxl import Workbook

LISTED = 20  # cells named on the first sheet; `fleet check` names them all

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
        method_row(Method(
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
    form = with_last_values(form, old)
    book = new_book(form)
    add_read_me(
        book, form, extra=[form.words["next"]["intro"], *_left_behind(old, form)]
    )
    add_rows(book, form.sheet("Tanks"), tank_rows(old))
    add_rows(
        book, form.sheet("Methods"), (method_row(m, reference) for m in old.methods)
    )
    add_rows(book, form.sheet("Bands"), band_rows(old))
    add_rows(book, form.sheet("Shelf"), shelf_rows(old))
    if keep_history:
        add_rows(book, form.sheet("Work"), work_rows(old))
        add_rows(book, form.sheet("Readings"), reading_rows(old, reference))
    readings = form.sheet("Readings")
    first = book["Readings"].max_row + 1
    add_rows(book, readings, empty_rows(old, reference))
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


def _fill_settings(book: Workbook, form: Form, settings: Settings) -> None:
    from fleet.render.form_book import put

    for row, setting in enumerate(form.settings, start=2):
        field, _, inside = setting.key.partition(".")
        value = getattr(settings, field)
        if inside:
            value = dict(value).get(inside)
        if field in ("largest_water_change", "chance_needed"):
            value = percent(value)
        put(book["Settings"].cell(row, 2), value)
