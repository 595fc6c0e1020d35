"""The domain tables: every entry has a source and means something."""

import re
import shutil
import tomllib
from pathlib import Path

import pytest

from fleet import reference
from fleet.errors import DataTableError
from fleet.records import Band
from fleet.reference import load_reference

DATA = Path(__file__).resolve().parents[1] / "fleet" / "data"


# form.toml holds which columns the blank workbook has, no facts of the trade.
TABLES = [path for path in sorted(DATA.glob("*.toml")) if path.name != "form.toml"]


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.name)
def test_every_entry_names_its_source(path):
    table = tomllib.loads(path.read_text("utf-8"))
    entries = table.get("band") or [
        entry for key, entry in table.items() if key != "vocabulary"
    ]
    assert entries
    for entry in entries:
        assert entry.get("source") or entry.get("basis"), entry


@pytest.fixture
def tables(tmp_path, monkeypatch):
    """Let the tables be read from a copy that a test may change."""
    shutil.copytree(DATA, tmp_path / "data")
    monkeypatch.setattr(reference, "files", lambda _package: tmp_path)
    return tmp_path / "data"


def read_anew():
    return load_reference.__wrapped__()  # not the ones this process has kept


def test_a_copy_of_the_tables_says_the_same(tables):
    assert read_anew() == load_reference()


@pytest.mark.parametrize(
    ("table", "before", "after", "line"),
    [
        ("salts", "[sodium-nitrate]", '[sodium-nitrate]\ncolour = "white"',
         r"data/salts\.toml \[sodium-nitrate\]: unknown field colour"),
        ("limits", 'source = "', 'origin = "', "limits.toml .*: unknown field origin"),
        ("causes", "source = ", "origin = ", "causes.toml .*: no source"),
        ("bands", "basis = ", "note = ", "bands.toml, row 1: no basis"),
        ("methods", "[", "[[", "methods.toml: "),
    ],
    ids=["unknown field", "misspelt source", "no source of a cause", "no basis",
         "no TOML"],
)  # fmt: skip
def test_an_entry_that_is_not_as_it_must_be_is_refused(
    tables, table, before, after, line
):
    path = tables / f"{table}.toml"
    path.write_text(path.read_text("utf-8").replace(before, after), "utf-8")
    with pytest.raises(DataTableError, match=line):
        read_anew()


def test_an_entry_without_a_source_is_refused(tables):
    path = tables / "limits.toml"
    text = re.sub(r"(?m)^source = .*\n", "", path.read_text("utf-8"), count=1)
    path.write_text(text, "utf-8")
    with pytest.raises(DataTableError, match="limits.toml .*: no source"):
        read_anew()


def test_bands_are_in_order():
    for band in load_reference().bands:
        limits = [
            band.act_low, band.remark_low, band.low,
            band.high, band.remark_high, band.act_high,
        ]  # fmt: skip
        known = [limit for limit in limits if limit is not None]
        assert known == sorted(known), band
        if band.aim is not None:
            assert band.low <= band.aim <= band.high, band


def test_what_is_usual_is_possible():
    for known in load_reference().parameters.values():
        (least, most), (low, high) = known.possible, known.usual
        assert least <= low < high <= most, known.key


def test_mixed_coral_band_is_the_rule_of_thumb():
    # Common practice, no source: nitrate 5 to 15, phosphate 0.03 to 0.10 mg/L,
    # to 0.15 tolerated, in a settled mixed tank.
    bands = {
        b.parameter: b
        for b in load_reference().bands
        if b.livestock == "mixed coral" and not b.stage
    }
    assert (bands["nitrate"].low, bands["nitrate"].high) == (5, 15)
    assert (bands["phosphate"].low, bands["phosphate"].high) == (0.03, 0.10)
    assert bands["phosphate"].remark_high == 0.15


def test_band_record_is_frozen():
    with pytest.raises(AttributeError):
        Band("nitrate", 1, 2).low = 3
