"""Cut the open data sets down to what the tests need.

    python tests/data/make_real_data.py FOLDER

FOLDER holds the three data sets as published, each in a folder named as here;
the SOURCE.md beside each result says where they come from and what was cut.
"""

from __future__ import annotations

import csv
import shutil
import sys
import warnings
from pathlib import Path

import openpyxl
from openpyxl.packaging.core import DocumentProperties

HERE = Path(__file__).parent


def eelgrass(source: Path, target: Path) -> None:
    """Keep the daily sheet, without the sheet and columns that name people."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a drawing on the other sheet is dropped
        book = openpyxl.load_workbook(source / "Daily_TankSpotChecks_2023.xlsx")
    del book["META"]
    sheet = book["Daily_Tank_SpotChecks"]
    for name in ("Notes", "Initials"):
        (column,) = (cell.column for cell in sheet[1] if cell.value == name)
        sheet.delete_cols(column)
    book.properties = DocumentProperties(creator="")
    book.save(target / "daily-tank-checks.xlsx")


def estuary(source: Path, target: Path) -> None:
    """Keep one year of the two, byte for byte."""
    shutil.copyfile(source / "gndblnut2020.csv", target / "gndblnut2020.csv")


def shelf(source: Path, target: Path) -> None:
    """Keep one cruise in eight, every column and every character."""
    with (source / "nes-lter-nutrient-transect.csv").open(newline="") as file:
        header, *rows = csv.reader(file)
    cruises = sorted({row[0] for row in rows})[::8]
    with (target / "shelf-nutrients.csv").open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerows([header, *(row for row in rows if row[0] in cruises)])


def main(folder: Path) -> None:
    """Make all three."""
    for cut, name in (
        (eelgrass, "eelgrass-tank-checks"),
        (estuary, "estuary-nutrient-flags"),
        (shelf, "shelf-nutrients"),
    ):
        target = HERE / name
        target.mkdir(exist_ok=True)
        cut(folder / name, target)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
