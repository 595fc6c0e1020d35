"""The domain tables: every entry has a source and means something."""

import tomllib
from pathlib import Path

import pytest

from fleet.errors import DataTableError
from fleet.records import Band
from fleet.reference import Salt, _make, load_reference

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


def test_unknown_field_is_refused():
    with pytest.raises(DataTableError, match="unknown field colour"):
        _make(Salt, "salts.toml", "x", {"source": "s", "colour": "white"})


def test_missing_source_is_refused():
    with pytest.raises(DataTableError, match="no source"):
        _make(Salt, "salts.toml", "x", {"formula": "NaNO3"})


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
