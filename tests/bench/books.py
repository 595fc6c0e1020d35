"""Make workbooks of any size, the same ones for the same seed.

    python -m tests.bench.books OUT.xlsx --tanks 1000 --weeks 26
    python -m tests.bench.books FOLDER --books 200 --tanks 20

Everything in them is invented. A tank follows one of six histories, with noise,
results under what the test can tell, blanks, looks, logged work and late visits.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import click
import xlsxwriter

LAST_DAY = datetime(2025, 9, 29)

TANKS = (
    "Tank", "Name", "Place", "Keeper", "Group", "Volume (L)", "Livestock", "Rock",
    "Rock (kg)", "Filled on", "Equipment", "Fish", "Feed (g/day)", "Protein (%)",
    "Notes",
)  # fmt: skip
READINGS = (
    "Date", "Tank", "Taken by", "Nitrate (mg/L)", "Nitrate method", "Phosphate (mg/L)",
    "Phosphate method", "Ammonia (mg/L)", "Nitrite (mg/L)", "Salinity (PSU)",
    "Temperature (°C)", "pH", "Alkalinity (dKH)", "Look", "Notes",
)  # fmt: skip
METHODS = (
    ("Method", "Measures", "Unit", "Lowest", "Step", "Accuracy (±)", "Accuracy (%)"),
    ("drops", "nitrate", "mg/L", 0.5, 0.5, 0.5, 15),
    ("colour card", "nitrate", "mg/L", 5, 5, 5, 30),
    ("meter", "nitrate", "mg/L", 0.5, 0.1, 0.5, 8),
    ("colour card", "phosphate", "mg/L", 0.08, 0.08, None, None),
    ("meter", "phosphate", "mg/L", 0.02, 0.01, 0.02, 4),
)
WORK = ("Date", "Tank", "Work", "Substance", "Amount", "Unit", "Done by")
SHELF = (
    ("Substance", "Purity (%)", "On hand (g)"),
    ("sodium nitrate", 99, 500),
    ("KH2PO4", 98, 250),
)

_KINDS = {
    "cycling": 6, "young": 14, "steady": 45, "rising": 20, "stripped": 10, "loss": 5,
}  # fmt: skip
_PLACES = (
    "Front wall", "Back room", "Coral shelf", "Quarantine", "Aisle 1", "Aisle 2",
    "Aisle 3", "Café", "Member home",
)  # fmt: skip
_KEEPERS = (
    "A. Ruiz", "B. Okafor", "C. Lindqvist", "D. Tanaka", "E. Moreau", "F. Nowak",
    "G. Hale", "H. Ørsted",
)  # fmt: skip
_STOCK = ("fish only", "soft coral", "mixed coral", "stony coral", "seahorse")
_LOOKS = ("clear", "coralline", "good colour", "brown film", "green film, hair algae")
_NOTES = ("floss changed", "read twice", "lights up a little", "new fish in")


class Test(NamedTuple):
    """A class of test: below ``lowest`` it only says so, above it reads in steps."""

    name: str
    lowest: float
    step: float


_NITRATE = (Test("drops", 0.5, 0.5), Test("colour card", 5, 5), Test("meter", 0.5, 0.1))
_PHOSPHATE = (Test("colour card", 0.08, 0.08), Test("meter", 0.02, 0.01))
_OTHER = Test("", 0.05, 0.05)  # ammonia and nitrite

Row = list[Any]


def tank_row(number: int, kind: str, chance: random.Random) -> Row:
    """Return one row of the sheet Tanks."""
    volume = chance.choice((54, 110, 180, 240, 300, 450, 600, 900, 1500))
    age = chance.randint(300, 3000)
    if kind == "cycling":
        age = chance.randint(10, 40)
    elif kind == "young":
        age = chance.randint(60, 200)
    place = chance.choice(_PLACES)
    gallons = f"{round(volume / 3.785)} US gal"
    return [
        f"T{number:05d}",
        f"{place} {number}",
        place,
        chance.choice(_KEEPERS),
        f"Intake {1 + number // 40}",
        gallons if chance.random() < 0.3 else volume,
        chance.choice(_STOCK),
        chance.choice(("dry", "man-made", "cured live", "mixed", None)),
        chance.choice((None, 5, 10, 20, 35, 60)),
        LAST_DAY - timedelta(days=age),
        chance.choice(("skimmer", "skimmer, phosphate media", "filter sock", None)),
        chance.choice((None, 2, 4, 8)),
        chance.choice((None, 0.4, 1, 2.5)),
        chance.choice((None, 42, 48)),
        "see log" if chance.random() < 0.2 else None,
    ]


def reading_rows(
    tank: str, kind: str, weeks: int, chance: random.Random
) -> Iterator[Row]:
    """Yield the rows of the sheet Readings of one tank, oldest first."""
    nitrate, phosphate = chance.uniform(3, 25), chance.uniform(0.02, 0.15)
    usual = [chance.gauss(*of) for of in ((34.8, 0.5), (25.3, 0.4), (8.1, 0.08))]
    alkalinity = chance.gauss(8.3, 0.7)
    tests = chance.choice(_NITRATE), chance.choice(_PHOSPHATE)
    first = LAST_DAY - timedelta(days=7 * (weeks - 1) + chance.randint(0, 6))
    for week in range(weeks):
        n, p, a, i = _nutrients(kind, week / max(1, weeks - 1), nitrate, phosphate)
        n *= chance.lognormvariate(0, 0.12)
        p *= chance.lognormvariate(0, 0.18)
        late = chance.randint(-1, 1) if chance.random() < 0.2 else 0
        shown = chance.random

        def often(value: Any, share: float, shown: Any = shown) -> Any:
            return value if shown() < share else None

        yield [
            first + timedelta(days=7 * week + late),
            tank,
            often(chance.choice(_KEEPERS), 0.5),
            often(_result(n, tests[0]), 0.96),
            often(tests[0].name, 0.95),
            often(_result(p, tests[1]), 0.95),
            often(tests[1].name, 0.95),
            often(_result(a, _OTHER), 1.0 if a else 0.7),
            often(_result(i, _OTHER), 1.0 if i else 0.7),
            often(round(usual[0] + chance.gauss(0, 0.3), 1), 0.95),
            often(round(usual[1] + chance.gauss(0, 0.25), 1), 0.98),
            often(round(usual[2] + chance.gauss(0, 0.05), 2), 0.9),
            often(round(alkalinity + chance.gauss(0, 0.25), 1), 0.85),
            often(chance.choice(_LOOKS), 0.4),
            often(chance.choice(_NOTES), 0.3),
        ]


def _nutrients(
    kind: str, t: float, nitrate: float, phosphate: float
) -> tuple[float, float, float, float]:
    """Return nitrate, phosphate, ammonia and nitrite, ``t`` from 0 to 1 on the way."""
    if kind == "cycling":
        ammonia, nitrite = max(0.0, 3 - 6.6 * t), max(0.0, 8 * t * (1 - t) - 0.3)
        return 40 * t, phosphate, ammonia, nitrite
    if kind == "young":
        return nitrate + 8 * t, phosphate + 0.06 * t, 0.0, 0.0
    if kind == "rising":
        return nitrate + 30 * t, phosphate + 0.12 * t, 0.0, 0.0
    if kind == "stripped":
        return nitrate * (1 - t) * 0.3, phosphate * (1 - t) * 0.3, 0.0, 0.0
    if kind == "loss" and t > 0.85:
        return nitrate + 15, phosphate + 0.2, 0.4, 0.2
    return nitrate, phosphate, 0.0, 0.0


def _result(value: float, test: Test) -> str | float:
    if value < test.lowest:
        return f"<{test.lowest:g}"
    return round(round(value / test.step) * test.step, 2)


def work_rows(tank: str, weeks: int, chance: random.Random) -> Iterator[Row]:
    """Yield the rows of the sheet Work of one tank: a water change now and then."""
    for week in range(weeks):
        if chance.random() < 0.25:
            day = LAST_DAY - timedelta(days=7 * (weeks - week) - 2)
            share = chance.choice((5, 10, 10, 15, 20))
            keeper = chance.choice(_KEEPERS)
            yield [day, tank, "water change", None, share, "%", keeper]


def write(
    path: Path, tanks: int, weeks: int, seed: int, first: int = 1, plain: bool = False
) -> int:
    """Write one workbook; return how many readings it holds.

    A ``plain`` one has the sheets Tanks and Readings alone.
    """
    chance = random.Random(seed)
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"created": LAST_DAY})  # not the clock's
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    names = ["Tanks", "Readings"] + ([] if plain else ["Methods", "Work", "Shelf"])
    sheets = {name: book.add_worksheet(name) for name in names}
    places = dict.fromkeys(names, 0)

    def add(name: str, row: Row | tuple[Any, ...]) -> None:
        if name not in sheets:
            return
        for column, value in enumerate(row):
            if isinstance(value, datetime):
                sheets[name].write_datetime(places[name], column, value, day)
            elif value is not None:
                sheets[name].write(places[name], column, value)
        places[name] += 1

    for name, head in (("Tanks", TANKS), ("Readings", READINGS), ("Work", WORK)):
        add(name, head)
    for name, table in (("Methods", METHODS), ("Shelf", SHELF)):
        for row in table:
            add(name, row)
    for number in range(first, first + tanks):
        (kind,) = chance.choices(list(_KINDS), list(_KINDS.values()))
        described = tank_row(number, kind, chance)
        add("Tanks", described)
        for row in reading_rows(described[0], kind, weeks, chance):
            add("Readings", row)
        for row in work_rows(described[0], weeks, chance):
            add("Work", row)
    book.close()
    return places["Readings"] - 1


@click.command()
@click.argument("out", type=click.Path(path_type=Path))
@click.option("--tanks", default=100, show_default=True)
@click.option("--weeks", default=26, show_default=True, help="Visits to a tank.")
@click.option("--seed", default=1, show_default=True)
@click.option("--books", default=0, help="This many workbooks, in the folder OUT.")
def main(out: Path, tanks: int, weeks: int, seed: int, books: int) -> None:
    """Write the workbook OUT, or a folder of them."""
    if not books:
        rows = write(out, tanks, weeks, seed)
        click.echo(f"{out.name}: {tanks} tanks, {rows} readings")
        return
    out.mkdir(parents=True, exist_ok=True)
    for number in range(books):
        name = f"shop-{number + 1:04d}.xlsx"
        write(out / name, tanks, weeks, seed + number, 1 + number * tanks)
    click.echo(f"{out.name}: {books} workbooks of {tanks} tanks")


if __name__ == "__main__":
    main()
