"""Make the example workbooks: ``python -m example_workbooks.make_examples``.

Run from the top folder of the project. The same code gives the same bytes.
"""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime
from pathlib import Path
from random import Random
from types import ModuleType

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font, PatternFill
from openpyxl.utils import get_column_letter

from example_workbooks import club, shop
from example_workbooks.story import Cells, tell

HERE = Path(__file__).resolve().parent
MADE = datetime(2026, 3, 30, 9, 0)

TANKS = ["Tank", "Name", "Displays", "Place", "Keeper", "Group", "Round order", "Volume (L)", "Livestock", "Rock", "Rock (kg)", "Filled on", "Cycled on", "Equipment", "Fish", "Feed (g/day)", "Protein (%)", "Notes"]
READINGS = ["Date", "Tank", "Taken by", "Nitrate (mg/L)", "Nitrate method", "Phosphate (mg/L)", "Phosphate method", "Ammonia (mg/L)", "Ammonia method", "Nitrite (mg/L)", "Salinity (PSU)", "Temperature (°C)", "pH", "Alkalinity (dKH)", "Calcium (mg/L)", "Magnesium (mg/L)", "Look", "Notes"]
WORK = ["Date", "Tank", "Work", "Substance", "Amount", "Unit", "Done by", "Notes"]
METHODS = [
    ["Method", "Measures", "Unit", "Lowest", "Step", "Accuracy (±)", "Accuracy (%)", "Highest"],
    ["Nitrate colour card", "nitrate", "mg/L", 2, 5, None, 25, 80],
    ["Nitrate photometer", "nitrate", "mg/L", 1, 0.1, 1, 8, 75],
    ["Phosphate colour card", "phosphate", "mg/L", 0.08, 0.08, None, 30, 3],
    ["Low-range phosphate photometer", "phosphate", "mg/L", 0.03, 0.01, 0.02, 4, 2.5],
    ["Ammonia colour card", "ammonia", "mg/L NH3-N", 0.1, 0.25, None, 30, 8],
]
SHELF = [
    ["Substance", "Purity (%)", "On hand (g)", "Stock strength (g/L)"],
    ["sodium nitrate", 99, 450, None],
    ["dipotassium phosphate", 98, 40, 5],
]


def bare(header: str) -> str:
    return header.split(" (")[0] if header != "Rock (kg)" else header


def rows_of(scenario: ModuleType) -> dict[str, list[list[object]]]:
    tanks, readings, work = [], [], []
    for story in scenario.stories():
        tanks.append({"Tank": story.tank, "Filled on": story.filled, **story.cells})
        rng = Random(f"{scenario.SEED}/{story.tank}")
        told, done = tell(story, scenario.DAYS, rng)
        readings += told
        work += done
    order = {cells["Tank"]: n for n, cells in enumerate(tanks)}
    readings.sort(key=lambda row: (row["Date"], order[row["Tank"]]))
    work.sort(key=lambda row: (row["Date"], order[row["Tank"]]))
    return {
        "Tanks": [TANKS, *([cells.get(bare(h)) for h in TANKS] for cells in tanks)],
        "Readings": [READINGS, *([row.get(bare(h)) for h in READINGS] for row in readings)],
        "Methods": METHODS,
        "Work": [WORK, *([row.get(h) for h in WORK] for row in work)],
        "Bands": [["Livestock", "Tank", "Parameter", "Stage", "Low", "High", "Note"]],
        "Shelf": SHELF,
    }


def settings(organisation: str, water: float) -> list[list[object]]:
    return [["Setting", "Value"], ["Organisation", organisation], ["Paper", "A4"], ["Units", "metric"], ["Round every (days)", 7],
            ["Change water nitrate (mg/L)", water], ["Change water phosphate (mg/L)", 0], ["Default nitrate method", "Nitrate colour card"], ["Default phosphate method", "Phosphate colour card"],
            ["Largest nitrate rise a day (mg/L)", 2], ["Largest phosphate rise a day (mg/L)", 0.03], ["Largest water change (%)", 30]]


def put(sheets: dict[str, list[list[object]]], notes: list[str], path: Path) -> None:
    book = Workbook()
    first = book.active
    first.title = "Read me"
    for line in notes:
        first.append([line])
    first.column_dimensions["A"].width = 110
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([None if value == "" else value for value in row])
        for column, header in enumerate(rows[0], start=1):
            cell = sheet.cell(1, column)
            cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="DCE6E4")
            sheet.column_dimensions[get_column_letter(column)].width = max(12, len(str(header)) + 2)
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                if isinstance(cell.value, date):
                    cell.number_format = "yyyy-mm-dd"
        sheet.freeze_panes = "A2"
    save(book, path)


def save(book: Workbook, path: Path) -> None:
    """Save with fixed times, so that equal content gives equal bytes."""
    book.properties.created = MADE
    raw = io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-03-30T09:00:00Z", data)
            new.writestr(zipfile.ZipInfo(name, (2026, 3, 30, 9, 0, 0)), data, zipfile.ZIP_DEFLATED)


def spoil(rows: list[list[object]], day: date, tank: str, header: str, value: object) -> None:
    """Write one cell as it happens in real workbooks."""
    place = rows[0].index(header)
    for row in rows[1:]:
        if row[0] == day and row[1] == tank:
            row[place] = value
            return
    raise ValueError(f"no visit to {tank} on {day}")


def main() -> None:
    sheets = rows_of(shop)
    sheets["Settings"] = settings("Quillwater Hall (invented)", 1)
    readings, d = sheets["Readings"], shop.DAYS
    spoil(readings, d[12], "A1", "Phosphate (mg/L)", "0,05")
    spoil(readings, d[13], "A3", "Phosphate (mg/L)", "ND")
    spoil(readings, d[14], "A3", "Phosphate (mg/L)", "<0.03")
    spoil(readings, d[15], "C3", "Phosphate (mg/L)", "<0.03")
    spoil(readings, d[14], "B1", "Phosphate (mg/L)", "35 ppb")
    spoil(readings, d[13], "A7", "Date", "2026-02-30")
    spoil(readings, d[14], "D2", "Date", date(2062, 3, 23))
    spoil(readings, d[11], "A5", "Nitrate (mg/L)", "about forty")
    lost = [d[15], "B9", "Tobias", 10, "Nitrate colour card"]
    readings.append(lost + [None] * (len(READINGS) - len(lost)))
    notes = ["INVENTED EXAMPLE. Quillwater Hall, its staff and its tanks do not exist; every number was made by a small model.", "Last round: 2026-03-30."]
    put(sheets, notes, HERE / "shop.xlsx")
    sheets = rows_of(club)
    sheets["Settings"] = settings("Marrowgate Marine Circle (invented)", 0)
    notes = ["INVENTED EXAMPLE. The Marrowgate Marine Circle, its members and their tanks do not exist; every number was made by a small model.", "Last readings: 2026-03-29."]
    spoil(sheets["Readings"], club.DAYS[25], "M08", "Nitrate (mg/L)", 77)
    put(sheets, notes, HERE / "club.xlsx")


if __name__ == "__main__":
    main()
