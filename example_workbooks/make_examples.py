"""Make the example workbooks: ``python -m example_workbooks.make_examples``.

Run from the top folder of the project. The same code gives the same bytes. What a
cell was spoilt with, and why, stands in ``SPOILT`` below and in the README.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from random import Random
from types import ModuleType

from example_workbooks import club, shop
from example_workbooks.story import Cells, tell
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.form import Form, load_form
from fleet.render.form_book import add_read_me, add_rows, new_book, put
from fleet.render.same_bytes import save
from tests.simulator.kits import KITS

HERE = Path(__file__).resolve().parent
Rows = dict[str, list[Cells]]

SHELF: list[Cells] = [
    {"substance": "sodium nitrate", "purity": 99, "on-hand": 450},
    {"substance": "dipotassium phosphate", "purity": 98, "on-hand": 40},
    {"substance": "ammonium bicarbonate", "purity": 99, "on-hand": 100},
]
# (tank, round counted back from the last, column, what a hurried person wrote)
SPOILT: dict[str, list[tuple[str, int, str, object]]] = {
    "shop": [
        ("A1", 3, "phosphate", "0,05"),
        ("A3", 2, "phosphate", "ND"),
        ("A3", 1, "phosphate", "<0.03"),
        ("C3", 0, "phosphate", "<0.03"),
        ("B1", 1, "phosphate", "35 ppb"),
        ("A5", 4, "nitrate", "about forty"),
        ("A7", 2, "date", "2026-02-30"),
        ("D2", 1, "date", date(2062, 3, 23)),
    ],
    "club": [
        ("M08", 0, "nitrate", 77),
        ("M05", 6, "phosphate", "0,12"),
        ("M13", 3, "nitrate", "5-10"),
        ("M06", 1, "nitrate", ">40"),
        ("M01", 12, "nitrate", "trace"),
    ],
}


def rows_of(scenario: ModuleType) -> Rows:
    """Return the Tanks, Readings and Work rows of a scenario."""
    tanks: list[Cells] = []
    readings: list[Cells] = []
    work: list[Cells] = []
    for story in scenario.stories():
        tanks.append({"tank": story.tank, "filled-on": story.filled, **story.cells})
        rng = Random(f"{scenario.SEED}/{story.tank}")
        told, done = tell(story, scenario.DAYS, rng)
        readings += told
        work += done
    for rows in (readings, work):
        rows.sort(key=lambda row: str(row["date"]))
    return {"Tanks": tanks, "Readings": readings, "Work": work}


def spoil(rows: Rows, scenario: ModuleType, name: str) -> None:
    """Write some cells as they come in real workbooks."""
    for tank, back, column, value in SPOILT[name]:
        day = scenario.DAYS[-1 - back]
        (row,) = (
            row for row in rows["Readings"]
            if row["tank"] == tank and row["date"] == day
        )  # fmt: skip
        row[column] = value


def write_book(
    path: Path, form: Form, rows: Rows, settings: Cells, about: list[str], day: date
) -> None:
    """Write one workbook in the form that ``fleet start`` makes."""
    book = new_book(form)
    add_read_me(book, form, extra=about)
    for name, cells in rows.items():
        add_rows(book, form.sheet(name), cells)
    used = {
        row.get(f"{of}-method")
        for row in rows["Readings"]
        for of in ("nitrate", "phosphate", "ammonia")
    }
    add_rows(book, form.sheet("Methods"), (
        {
            "method": kit.name, "measures": kit.measures, "unit": kit.unit,
            "lowest": kit.lowest, "step": kit.step, "accuracy": kit.accuracy or None,
            "accuracy-share": round(100 * kit.share), "highest": kit.highest,
        }
        for kit in KITS if kit.name in used or kit.measures == "nitrite"
    ))  # fmt: skip
    add_rows(book, form.sheet("Shelf"), SHELF)
    for row, setting in enumerate(form.settings, start=2):
        put(book["Settings"].cell(row, 2), settings.get(setting.key))
    save(book, path, day)


def write_folder(folder: Path, form: Form, rows: Rows) -> None:
    """Write the same as a folder of CSV files named after the sheets."""
    folder.mkdir(exist_ok=True)
    for name, cells in rows.items():
        columns = [
            c for c in form.sheet(name).columns if any(c.key in row for row in cells)
        ]
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\r\n")
            writer.writerow([column.header for column in columns])
            writer.writerows([_plain(row.get(c.key)) for c in columns] for row in cells)


def _plain(value: object) -> object:
    return "" if value is None else value


def of_tanks(rows: Rows, tanks: Iterable[str]) -> Rows:
    """Return only the rows of some tanks."""
    kept = set(tanks)
    return {
        name: [row for row in cells if row["tank"] in kept]
        for name, cells in rows.items()
    }


def main(out: Path = HERE) -> None:
    """Write all example workbooks into ``out``."""
    form = load_form(load_reference(), Settings().units)
    usual: Cells = {
        "paper": "A4", "units": "metric", "round_days": 7,
        "default_methods.nitrate": "Nitrate colour card",
        "default_methods.phosphate": "Phosphate colour card",
        "largest_rise_day.nitrate": 2, "largest_rise_day.phosphate": 0.03,
        "largest_water_change": 30,
    }  # fmt: skip
    rows = rows_of(shop)
    spoil(rows, shop, "shop")
    rows["Readings"] += shop.SLIPS
    settings = usual | {
        "organisation": "Quillwater Hall (invented)",
        "change_water.nitrate": 1, "change_water.phosphate": 0,
    }  # fmt: skip
    write_book(out / "shop.xlsx", form, rows, settings, shop.ABOUT, shop.LAST)

    rows = rows_of(club)
    spoil(rows, club, "club")
    settings = usual | {
        "organisation": "Marrowgate Marine Circle (invented)",
        "change_water.nitrate": 0, "change_water.phosphate": 0,
    }  # fmt: skip
    write_book(out / "club.xlsx", form, rows, settings, club.ABOUT, club.LAST)
    write_folder(out / "small-intake", form, of_tanks(rows, ("W1", "W2", "W3")))


if __name__ == "__main__":
    main()
