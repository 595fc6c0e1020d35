"""Build a situation as a workbook and judge it the way a user would."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from fleet import pipeline
from fleet.reference import load_reference
from fleet.render import renderer
from fleet.render.wording import Wording

AS_OF = date(2026, 3, 30)
REFERENCE = load_reference()

FINE_NITRATE = ("fine nitrate", "nitrate", "mg/L", 0.5, 0.5, 0.5, None, 75)
COLOUR_NITRATE = ("colour nitrate", "nitrate", "mg/L", 1, 1, None, None, 80)
LOW_RANGE = ("low-range photometer", "phosphate", "mg/L", 0.02, 0.01, 0.02, None, 2.5)
COLOUR_PHOSPHATE = ("colour phosphate", "phosphate", "mg/L", 0.08, 0.08, None, None, 3)
METHODS = (FINE_NITRATE, COLOUR_NITRATE, LOW_RANGE, COLOUR_PHOSPHATE)
METHOD_HEAD = (
    "Method", "Measures", "Unit", "Lowest", "Step", "Accuracy (±)", "Accuracy (%)",
    "Highest",
)  # fmt: skip
# Water in the safe range, so that no welfare matter stands in the way.
GOOD_WATER = {
    "Salinity (PSU)": 35, "Temperature (°C)": 25.5, "pH": 8.2, "Alkalinity (dKH)": 8.2,
}  # fmt: skip


def ago(days: int) -> date:
    return AS_OF - timedelta(days=days)


def visit(days_ago: int, nitrate: Any = None, phosphate: Any = None, **more: Any):
    """One row of Readings; ``more`` uses short names for the other columns."""
    names = {
        "ammonia": "Ammonia (mg/L)", "nitrite": "Nitrite (mg/L)", "look": "Look",
        "salinity": "Salinity (PSU)", "temperature": "Temperature (°C)", "ph": "pH",
        "alkalinity": "Alkalinity (dKH)", "notes": "Notes",
        "nitrate_method": "Nitrate method", "phosphate_method": "Phosphate method",
        "tank": "Tank",
    }  # fmt: skip
    row = {"Date": ago(days_ago), "Tank": "T1"}
    if more.pop("water", True):
        row |= GOOD_WATER
    if nitrate is not None:
        row |= {"Nitrate (mg/L)": nitrate, "Nitrate method": "fine nitrate"}
    if phosphate is not None:
        row |= {"Phosphate (mg/L)": phosphate, "Phosphate method": LOW_RANGE[0]}
    return row | {names[name]: value for name, value in more.items()}


def tank(**facts: Any) -> dict[str, Any]:
    """One row of Tanks: 200 L of mixed coral on dry rock unless said otherwise."""
    names = {
        "id": "Tank", "name": "Name", "volume": "Volume (L)", "livestock": "Livestock",
        "rock": "Rock", "rock_kg": "Rock (kg)", "filled": "Filled on",
        "cycled": "Cycled on", "equipment": "Equipment", "fish": "Fish",
        "feed": "Feed (g/day)", "protein": "Protein (%)", "notes": "Notes",
        "displays": "Displays",
    }  # fmt: skip
    row = {
        "Tank": "T1", "Name": "Window tank", "Volume (L)": 200, "Rock": "dry",
        "Rock (kg)": 20, "Livestock": "mixed coral", "Fish": 2, "Feed (g/day)": 0.4,
        "Protein (%)": 45,
    }  # fmt: skip
    return row | {names[name]: value for name, value in facts.items()}


def work(days_ago: int, kind: str, **facts: Any) -> dict[str, Any]:
    """One row of Work."""
    row = {"Date": ago(days_ago), "Tank": "T1", "Work": kind}
    return row | {name.capitalize(): value for name, value in facts.items()}


def write(
    path: Path,
    tanks: list[dict[str, Any]],
    readings: list[dict[str, Any]],
    *,
    works: list[dict[str, Any]] = (),
    shelf: list[dict[str, Any]] = (),
    bands: list[dict[str, Any]] = (),
    settings: dict[str, Any] | None = None,
    methods: tuple[tuple[Any, ...], ...] = METHODS,
) -> Path:
    """Write the workbook of the contract."""
    book = Workbook()
    book.remove(book.active)
    for name, rows in (
        ("Tanks", tanks), ("Readings", readings), ("Work", works), ("Shelf", shelf),
        ("Bands", bands),
    ):  # fmt: skip
        sheet = book.create_sheet(name)
        heads = list(dict.fromkeys(head for row in rows for head in row))
        sheet.append(heads)
        for row in rows:
            sheet.append([row.get(head) for head in heads])
    sheet = book.create_sheet("Methods")
    for row in (METHOD_HEAD, *methods):
        sheet.append(row)
    sheet = book.create_sheet("Settings")
    sheet.append(("Setting", "Value"))
    for row in (settings or {"Round every (days)": 7}).items():
        sheet.append(row)
    book.save(path)
    return path


def judge_book(path: Path, as_of: date = AS_OF) -> dict[str, Any]:
    """Return the report.json of a workbook."""
    book = pipeline.read([path], REFERENCE)
    made = pipeline.report(book, REFERENCE, as_of)
    out = path.with_suffix(".report.json")
    renderer("report.json")(made, Wording(REFERENCE, book.settings), REFERENCE, out)
    return json.loads(out.read_text("utf-8"))


class Sheet:
    """One judged tank, with the questions the tests ask of it."""

    def __init__(self, entry: dict[str, Any], report: dict[str, Any]) -> None:
        self.entry = entry
        self.report = report
        self.actions = entry["actions"]
        self.kinds = [action["kind"] for action in self.actions]
        self.causes = {c["cause"]: c["share"] for c in entry["causes"]}
        self.text = " ".join(
            [entry.get("headline", ""), *entry.get("meaning", [])]
            + [a["what"] + " " + a["why"] for a in self.actions]
            + entry.get("leave_alone", [])
        ).lower()

    def of(self, kind: str) -> list[dict[str, Any]]:
        return [action for action in self.actions if action["kind"] == kind]

    def dose(self, parameter: str) -> dict[str, Any] | None:
        for action in self.of("dose"):
            if parameter in (action["expected"] or {}):
                return action
        return None

    def parameter(self, name: str) -> dict[str, Any]:
        return self.entry["parameters"][name]

    def retest_in(self, parameter: str) -> int:
        return (date.fromisoformat(self.entry["retest"][parameter]) - AS_OF).days


def judge(path: Path, tanks: Any, readings: Any, **more: Any) -> Sheet:
    """Write, read, judge; return the first tank's sheet."""
    report = judge_book(write(path / "book.xlsx", tanks, readings, **more))
    return Sheet(report["tanks"][0], report)
