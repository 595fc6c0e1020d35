"""summary.csv against its Table Schema, read by csv and by pandas."""

import csv
import json
from datetime import date
from importlib.resources import files

import pandas
import pytest
from hostile import HOSTILE, STEERING
from small_reports import REFERENCE, report, wording

from fleet.render import renderer

SCHEMA = json.loads(
    (files("fleet") / "data" / "summary.schema.json").read_text("utf-8")
)
# Frictionless Table Schema: how each type is written by default.
READ = {
    "string": str,
    "number": float,
    "integer": int,
    "date": date.fromisoformat,
}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "summary.csv"


def rows(made, path):
    renderer("summary.csv")(made, wording(), REFERENCE, path)
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def test_columns_are_those_of_the_schema(path):
    first = rows(report(), path)[0]
    assert list(first) == [field["name"] for field in SCHEMA["fields"]]


def test_every_value_is_of_the_type_and_in_the_list_that_the_schema_names(path):
    for row in rows(report(), path):
        for field in SCHEMA["fields"]:
            value = row[field["name"]]
            bounds = field.get("constraints", {})
            if value in SCHEMA["missingValues"]:
                assert not bounds.get("required")
                continue
            READ[field["type"]](value)
            assert value in bounds.get("enum", [value])


def test_file_is_as_rfc_4180_and_office_programs_want_it(path):
    rows(report(), path)
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbftank,")
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n") == 5


def test_numbers_and_days_are_raw(path):
    row = rows(report(), path)[1]
    assert row["tank"] == "A-1"
    assert row["nitrate_mg_l"] == ""
    assert (row["nitrate_low_mg_l"], row["nitrate_high_mg_l"]) == ("0.0", "1.0")
    assert row["nitrate_per_week_mg_l"] == "-1.23457"
    assert row["nitrate_on"] == "2026-03-30"
    assert row["alkalinity_meq_l"] == "2.9"
    assert row["next_retest_on"] == "2026-03-31"


def test_first_thing_to_do_is_the_first_step_of_the_sheet(path):
    by_tank = {row["tank"]: row for row in rows(report(), path)}
    assert by_tank["A-1"]["first_kind"] == "hold off"
    assert by_tank["A-1"]["first_what"] == "Leave media out."
    assert by_tank["C-3"]["first_kind"] == ""


def test_untested_tank_is_listed_as_not_judged(path):
    row = rows(report(), path)[2]
    assert row["tank"] == "D-4"
    assert (row["nitrate_verdict"], row["phosphate_verdict"]) == ("not judged",) * 2
    assert row["ammonia_verdict"] == ""


def test_pandas_reads_the_same_table(path):
    rows(report(), path)
    table = pandas.read_csv(path, encoding="utf-8-sig")
    assert list(table["tank"]) == ["B 2", "A-1", "D-4", "C-3"]
    assert table["nitrate_mg_l"].dropna().tolist() == [8.0]


def test_foreign_text_is_one_cell_and_no_formula(path):
    row = rows(report(HOSTILE), path)[1]
    assert row["place"].startswith("'=HYPERLINK(")
    assert row["place"].endswith("Front hall")
    raw = path.read_bytes()
    assert not set(raw.decode("utf-8-sig")) & set(STEERING)
    assert raw.count(b"\r\n") == raw.count(b"\n") == raw.count(b"\r") == 5
    for delimiter in ",;":
        with path.open(encoding="utf-8-sig", newline="") as file:
            for cells in csv.reader(file, delimiter=delimiter):
                for cell in cells:
                    assert not cell.lstrip(' "').startswith(("=", "+", "@"))
