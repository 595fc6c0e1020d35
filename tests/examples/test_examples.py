"""The example workbooks are what the generator makes, and hold what they promise."""

import csv
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from example_workbooks import club, make_examples, shop

FOLDER = Path(make_examples.__file__).parent


def rows(name, sheet):
    book = openpyxl.load_workbook(FOLDER / name, read_only=True)
    head, *rest = book[sheet].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rest]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    out = tmp_path_factory.mktemp("examples")
    make_examples.main(out)
    return out


@pytest.mark.parametrize(
    "name",
    ["shop.xlsx", "club.xlsx", "small-intake/Tanks.csv", "small-intake/Readings.csv",
     "small-intake/Work.csv"],
)  # fmt: skip
def test_generator_makes_the_very_bytes_that_are_kept(made, name):
    assert (made / name).read_bytes() == (FOLDER / name).read_bytes()


@pytest.mark.parametrize(
    ("name", "scenario"), [("shop.xlsx", shop), ("club.xlsx", club)]
)
def test_workbook_says_that_it_is_invented(name, scenario):
    book = openpyxl.load_workbook(FOLDER / name, read_only=True)
    assert str(book["Read me"]["A2"].value).startswith("INVENTED EXAMPLE.")
    settings = {row["Setting"]: row["Value"] for row in rows(name, "Settings")}
    assert settings["Organisation"].endswith("(invented)")


def test_shop_has_24_systems_and_16_rounds_up_to_the_day_it_is_judged():
    tanks = rows("shop.xlsx", "Tanks")
    readings = rows("shop.xlsx", "Readings")
    assert len(tanks) == 24
    days = {r["Date"].date() for r in readings if hasattr(r["Date"], "date")}
    assert len({day for day in days if day <= shop.LAST}) == 16
    assert max(day for day in days if day.year < 2060) == date(2026, 3, 30)
    assert {r["Taken by"] for r in readings} == {"Ines", "Tobias", "Wren"}


def test_club_has_two_intakes_and_members_who_stop():
    tanks = rows("club.xlsx", "Tanks")
    groups = [tank["Group"] for tank in tanks]
    assert groups.count("Autumn intake") == 16
    assert groups.count("New Year intake") == 3
    last = {}
    for reading in rows("club.xlsx", "Readings"):
        last[reading["Tank"]] = reading["Date"].date()
    assert last["M09"] < date(2026, 1, 1)
    assert last["M14"] < date(2026, 2, 15)
    assert sum(day == club.LAST for day in last.values()) == 17


def test_readme_names_every_system_and_every_spoilt_cell():
    told = (FOLDER / "README.md").read_text("utf-8")
    for story in (*shop.stories(), *club.stories()):
        assert story.tank in told
    for spoilt in make_examples.SPOILT.values():
        for tank, _, _, value in spoilt:
            assert tank in told
            shown = str(value.year) if isinstance(value, date) else str(value)
            assert shown in told


def test_csv_folder_holds_the_small_intake_of_the_club():
    with (FOLDER / "small-intake" / "Readings.csv").open(encoding="utf-8") as file:
        readings = list(csv.DictReader(file))
    of_book = [r for r in rows("club.xlsx", "Readings") if r["Tank"][0] == "W"]
    assert len(readings) == len(of_book) > 10
    assert [r["Tank"] for r in readings] == [r["Tank"] for r in of_book]
