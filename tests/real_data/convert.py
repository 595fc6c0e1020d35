"""Turn two open data sets into workbooks as a user would: a folder of CSV files.

The steps are short on purpose, and nothing of the program is used for them, so that
the tests can count on the source by themselves.
"""

from __future__ import annotations

import csv
from pathlib import Path

import openpyxl

DATA = Path(__file__).resolve().parents[1] / "data"


def write(path: Path, rows: list[list[object]]) -> None:
    """Write one sheet as CSV."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)


def eelgrass_rows() -> list[tuple[object, ...]]:
    """Return date, id, temperature, salinity, pH (at the bottom) of every row."""
    file = DATA / "eelgrass-tank-checks" / "daily-tank-checks.xlsx"
    sheet = openpyxl.load_workbook(file)["Daily_Tank_SpotChecks"]
    return [
        (row[0], row[1], row[3], row[5], row[7])
        for row in sheet.iter_rows(min_row=3, values_only=True)
        if row[1] is not None
    ]


def eelgrass(folder: Path) -> Path:
    """Write eight tanks and all rows, the inlet and the empty ones included.

    The volume is not published and left out. The limits are made for this test,
    for a cold sea-grass tank: they are nobody's advice.
    """
    folder.mkdir()
    tanks = [str(number) for number in range(1, 9)]
    write(
        folder / "Tanks.csv",
        [["Tank", "Volume (L)", "Filled on"], *([t, "", "2023-05-01"] for t in tanks)],
    )
    limits = (("temperature", 8, 18), ("salinity", 28, 33), ("pH", 7.5, 8.6))
    write(
        folder / "Bands.csv",
        [["Tank", "Parameter", "Low", "High"]]
        + [[tank, *limit] for tank in tanks for limit in limits],
    )
    head = ["Date", "Tank", "Temperature (°C)", "Salinity (ppt)", "pH"]
    body = [
        [day.date() if day else "", tank, *("" if v is None else v for v in rest)]
        for day, tank, *rest in eelgrass_rows()
    ]
    write(folder / "Readings.csv", [head, *body])
    return folder


def estuary_rows() -> list[dict[str, str]]:
    """Return every row of the station's year, keys and values stripped."""
    file = DATA / "estuary-nutrient-flags" / "gndblnut2020.csv"
    with file.open(encoding="utf-8", newline="") as opened:
        rows = csv.DictReader(opened)
        return [
            {(k or "").strip(): (v or "").strip() for k, v in r.items()} for r in rows
        ]


def estuary_value(row: dict[str, str], name: str) -> str:
    """Return a value as one writes it by hand: below detection is ``<limit``."""
    value = row[name]
    return f"<{value}" if value and "[SBL]" in row[f"F_{name}"] else value


def estuary(folder: Path) -> Path:
    """Write the station as one tank; the numbers stay as N and as P."""
    folder.mkdir()
    write(
        folder / "Tanks.csv",
        [["Tank", "Volume (L)", "Livestock", "Filled on"],
         ["gndblnut", "", "mixed coral", "2010-01-01"]],
    )  # fmt: skip
    head = [
        "Date", "Tank", "Phosphate (mg/L PO4-P)", "Phosphate method",
        "Ammonia (mg/L NH4-N)", "Ammonia method", "Nitrate (mg/L NO3-N)",
        "Nitrate method",
    ]  # fmt: skip
    body: list[list[object]] = []
    for row in estuary_rows():
        month, day, year = row["DateTimeStamp"].split()[0].split("/")
        values = [estuary_value(row, name) for name in ("PO4F", "NH4F", "NO23F")]
        cells = [
            cell for value in values for cell in (value, "laboratory" if value else "")
        ]
        body.append([f"{year}-{month}-{day}", row["StationCode"], *cells])
    write(folder / "Readings.csv", [head, *body])
    return folder
