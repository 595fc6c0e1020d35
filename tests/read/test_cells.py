"""One cell of a value column; expected values worked by hand."""

import datetime as dt

import pytest

from fleet.read.cells import Parsed, ResultColumn
from fleet.read.dates import Fault
from fleet.read.grid import Trouble
from fleet.read.table import language_of
from fleet.reference import load_reference

REFERENCE = load_reference()
LANGUAGE = language_of(REFERENCE)


def column(parameter, cells, unit=""):
    about = REFERENCE.parameters[parameter]
    return ResultColumn(about, unit, cells, LANGUAGE.words, LANGUAGE.units)


def read(cell, parameter="nitrate", unit="", beside=()):
    return column(parameter, [cell, *beside], unit).read[cell]


# cell -> form, number, upper, unit ("" for the default)
VALUES = [
    (8.1, "value", 8.1, None, ""),
    (5, "value", 5, None, ""),
    (0.0, "value", 0, None, ""),
    (-0.2, "value", -0.2, None, ""),
    ("8.1", "value", 8.1, None, ""),
    ("8,1", "value", 8.1, None, ""),
    ("0,05", "value", 0.05, None, ""),
    (".5", "value", 0.5, None, ""),
    ("5.", "value", 5, None, ""),
    ("0", "value", 0, None, ""),
    ("0.0", "value", 0, None, ""),
    ("0 ppm", "value", 0, None, ""),
    ("+5", "value", 5, None, ""),
    ("−5", "value", -5, None, ""),
    ("5e-2", "value", 0.05, None, ""),
    ("５", "value", 5, None, ""),
    (" 5\xa0", "value", 5, None, ""),
    ("1 234,5", "value", 1234.5, None, ""),
    ("1.234,5", "value", 1234.5, None, ""),
    ("1,234.5", "value", 1234.5, None, ""),
    ("1'234.5", "value", 1234.5, None, ""),
    ("1,234,567", "value", 1234567, None, ""),
    ("5 mg/L", "value", 5, None, "mg/L NO3"),
    ("5ppm", "value", 5, None, "mg/L NO3"),
    ("5 (mg/L)", "value", 5, None, "mg/L NO3"),
    ("5 mg/L NO3-N", "value", 5, None, "mg/L NO3-N"),
    ("5 mg/l as N", "value", 5, None, "mg/L NO3-N"),
    ("1.1 NO3-N", "value", 1.1, None, "mg/L NO3-N"),
    ("500 µg/L", "value", 500, None, "ug/L NO3"),
    ("80 umol/L", "value", 80, None, "umol/L NO3"),
    ("NO3 5", "value", 5, None, ""),
    ("Nitrate: 5", "value", 5, None, ""),
    ("nitrate = 5 ppm", "value", 5, None, "mg/L NO3"),
    ("5*", "value", 5, None, ""),
    ("5 (strip)", "value", 5, None, ""),
    ("<0.03", "below", 0.03, None, ""),
    ("< 0,03", "below", 0.03, None, ""),
    ("<= 0.03", "below", 0.03, None, ""),
    ("≤0.03", "below", 0.03, None, ""),
    ("=<5", "below", 5, None, ""),
    ("＜5", "below", 5, None, ""),
    ("less than 5", "below", 5, None, ""),
    ("under 5 ppm", "below", 5, None, "mg/L NO3"),
    ("below 5", "below", 5, None, ""),
    ("max 5", "below", 5, None, ""),
    ("5 or less", "below", 5, None, ""),
    ("nitrate <5", "below", 5, None, ""),
    ("ND (<0.05)", "below", 0.05, None, ""),
    ("<0.05 (ND)", "below", 0.05, None, ""),
    ("0.05 BDL", "below", 0.05, None, ""),
    ("ND 0.05", "below", 0.05, None, ""),
    (">50", "above", 50, None, ""),
    ("≥ 50", "above", 50, None, ""),
    (">=50", "above", 50, None, ""),
    ("more than 50", "above", 50, None, ""),
    ("over 50", "above", 50, None, ""),
    ("50+", "above", 50, None, ""),
    ("50 or more", "above", 50, None, ""),
    ("~5", "about", 5, None, ""),
    ("≈5", "about", 5, None, ""),
    ("ca. 5", "about", 5, None, ""),
    ("about 5 ppm", "about", 5, None, "mg/L NO3"),
    ("5ish", "about", 5, None, ""),
    ("5?", "about", 5, None, ""),
    ("5 ± 1", "about", 5, None, ""),
    ("5 +/- 1", "about", 5, None, ""),
    ("5-10", "range", 5, 10, ""),
    ("5 – 10", "range", 5, 10, ""),
    ("5 to 10", "range", 5, 10, ""),
    ("5..10", "range", 5, 10, ""),
    ("2,5-5", "range", 2.5, 5, ""),
    ("between 5 and 10", "range", 5, 10, ""),
    ("5-10 ppm", "range", 5, 10, "mg/L NO3"),
    ("~5-10", "range", 5, 10, ""),
    ("0-5", "range", 0, 5, ""),
    ("5-5", "value", 5, None, ""),
    ("ND", "none seen", 0, None, ""),
    ("n.d.", "none seen", 0, None, ""),
    ("Not detected", "none seen", 0, None, ""),
    ("BDL", "none seen", 0, None, ""),
    ("<LOD", "none seen", 0, None, ""),
    ("trace", "none seen", 0, None, ""),
    ("Nil", "none seen", 0, None, ""),
    ("none", "none seen", 0, None, ""),
    ("undetectable", "none seen", 0, None, ""),
    ("0 (ND)", "none seen", 0, None, ""),
]


@pytest.mark.parametrize(
    ("cell", "form", "number", "upper", "unit"),
    VALUES,
    ids=[repr(v[0]) for v in VALUES],
)
def test_cell_with_a_result(cell, form, number, upper, unit):
    found = read(cell)
    assert isinstance(found, Parsed)
    assert (found.form, found.upper) == (form, upper)
    assert found.number == pytest.approx(number)
    assert found.unit == (unit or "mg/L NO3")


@pytest.mark.parametrize(
    "cell",
    ["", "  ", None, "n/a", "N/A", "NA", "na", "-", "--", "–", "—", ".", "/", "NaN",
     "not tested", "Not Tested", "nt", "n.t.", "skipped", "no reading", "tbd"],
)  # fmt: skip
def test_cell_that_says_not_tested(cell):
    assert read(cell) is None


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("five", "value-unreadable"),
        ("TRUE", "value-unreadable"),
        ("?", "value-unreadable"),
        ("5 5", "value-unreadable"),
        ("5²", "value-unreadable"),
        ("1.2.3", "value-unreadable"),
        ("12,34,56", "value-unreadable"),
        ("12/5", "value-unreadable"),
        ("10-5", "value-unreadable"),
        ("<0", "value-unreadable"),
        ("<5-10", "value-unreadable"),
        ("<-2>", "value-unreadable"),
        ("J0.0047", "value-unreadable"),
        ("0.3 (0.4)", "value-unreadable"),
        ("5 drops of the blue one", "value-unreadable"),
        ("04.03.2026", "value-unreadable"),
        ("=5", "value"),
        ("5 ppn", "unit-unknown"),
        ("5 mg", "unit-unknown"),
        ("10%", "unit-unknown"),
        ("#DIV/0!", "cell-error"),
        ("Err:502", "cell-error"),
        (Trouble("#N/A"), "cell-error"),
        (Trouble(""), "formula-without-value"),
        (float("nan"), "value-unreadable"),
        (float("inf"), "value-unreadable"),
        (dt.date(2026, 10, 5), "value-is-date"),
        (dt.datetime(2026, 10, 5), "value-is-date"),
        (dt.time(10, 5), "value-unreadable"),
    ],
    ids=repr,
)
def test_cell_that_cannot_be_read(cell, kind):
    found = next(iter(column("nitrate", [cell]).read.values()))
    if kind == "value":
        assert isinstance(found, Parsed)
        return
    assert isinstance(found, Fault)
    assert found.kind.key == kind


@pytest.mark.parametrize(
    ("parameter", "header_unit", "cell", "number", "unit"),
    [
        ("salinity", "", "sg 1.025", 1.025, "SG"),
        ("salinity", "PSU", "1.025 SG", 1.025, "SG"),
        ("salinity", "", "35 ppt", 35, "PSU"),
        ("salinity", "", "53 mS/cm", 53, "mS/cm"),
        ("temperature", "°C", "78 F", 78, "°F"),
        ("temperature", "", "78°F", 78, "°F"),
        ("temperature", "", "25,5 °C", 25.5, "°C"),
        ("ph", "", "pH 8.1", 8.1, "pH"),
        ("ph", "", "pH8.1", 8.1, "pH"),
        ("alkalinity", "", "8 dKH", 8, "dKH"),
        ("alkalinity", "dKH", "2.9 meq/L", 2.9, "meq/L"),
        ("alkalinity", "", "140 ppm", 140, "mg/L CaCO3"),
        ("phosphate", "", "30 ppb P", 30, "ug/L PO4-P"),
        ("phosphate", "", "0.01 PO4-P", 0.01, "mg/L PO4-P"),
        # The cell names the size, the header the basis.
        ("nitrate", "mg/L NO3-N", "5 ppm", 5, "mg/L NO3-N"),
        ("phosphate", "mg/L PO4-P", "30 ppb", 30, "ug/L PO4-P"),
        # The cell wins over the header.
        ("nitrate", "mg/L NO3-N", "5 mg/L NO3", 5, "mg/L NO3"),
        ("ammonia", "", "0.1", 0.1, "mg/L NH3-N"),
        ("ammonia", "", "0.1 mg/L NH4", 0.1, "mg/L NH4"),
    ],
)
def test_unit_in_the_cell(parameter, header_unit, cell, number, unit):
    found = read(cell, parameter, header_unit)
    assert isinstance(found, Parsed)
    assert (found.number, found.unit) == (number, unit)


class TestOneMarkBeforeThreeDigits:
    def test_the_column_decides_for_thousands(self):
        found = read("1,350", "nitrate", beside=["2.5", "1,234.5"])
        assert found.number == 1350

    def test_the_column_decides_for_the_decimal_mark(self):
        found = read("1,350", "magnesium", beside=["0,5", "12,5"])
        assert found.number == pytest.approx(1.35)

    def test_a_leading_zero_decides(self):
        assert read("0,350").number == pytest.approx(0.35)

    def test_what_is_usual_decides_where_the_column_does_not(self):
        assert read("1,350", "magnesium").number == 1350
        assert read("1,025", "salinity", "SG").number == pytest.approx(1.025)

    def test_else_it_is_a_question(self):
        found = read("1,350", "calcium", "mg/L", beside=["5", "3,4,5"])
        assert isinstance(found, Fault)
        assert found.kind.key == "value-ambiguous"
        assert dict(found.facts) == {"one": "1.35", "other": "1350"}

    def test_a_point_is_a_decimal_point(self):
        assert read("1.350", "phosphate").number == pytest.approx(1.35)


class TestColumnWithoutUnit:
    @pytest.mark.parametrize(
        ("parameter", "cells", "unit"),
        [
            ("salinity", [1.025, 1.026, "1,024"], "SG"),
            ("salinity", [35.0, 34.0], "PSU"),
            ("salinity", [1.025, 35.0], "PSU"),  # mixed: not unmistakable
            ("temperature", [77.5, 78.0], "°F"),
            ("temperature", [25.0, 78.0], "°C"),
            ("alkalinity", [140.0, 150.0], "mg/L CaCO3"),
            ("alkalinity", [8.0, 9.0], "dKH"),
            ("alkalinity", [2300.0], "umol/kg"),
            ("temperature", [], "°C"),
        ],
        ids=str,
    )
    def test_takes_the_only_unit_that_makes_sense(self, parameter, cells, unit):
        assert column(parameter, cells).unit == unit

    def test_a_named_unit_stands_whatever_the_numbers(self):
        assert column("temperature", [78.0], "°C").unit == "°C"


def test_remarks_passed_over_are_told():
    found = read("5*")
    assert found.note.kind.key == "mark-read"
    assert dict(found.note.facts) == {"read": "5", "mark": "*"}


def test_written_keeps_the_writers_characters_cut_short():
    assert read("< 0,03").written == "< 0,03"
    assert read(12.0).written == "12"
    assert read("5 " + "x" * 100_000) is not None
