"""Values that could be misread without a word: found by the column, or asked about.

Each case goes the whole way from a workbook to what its results can mean.
"""

import datetime as dt

import pytest

from fleet.normalise.measurements import measure_tank
from fleet.normalise.methods import MethodLookup
from fleet.pipeline import inputs_of

from .builders import REFERENCE, TANKS, lines, read_sheets

DAY = dt.date(2026, 3, 4)
AS_OF = dt.date(2026, 3, 30)


def measured(book):
    """Return every measurement, and the kinds of problem met in measuring."""
    lookup = MethodLookup(book.methods, book.settings, REFERENCE)
    found, met = [], []
    for one in inputs_of(book):
        result = measure_tank(
            one.tank,
            one.readings,
            one.work,
            lookup,
            book.shelf,
            book.settings,
            REFERENCE,
            AS_OF,
        )
        found += [m for m in result.measurements if m.parameter != "free_ammonia"]
        met += result.problems
    return found, met


def believed(book):
    """Return what is believed: cell as written -> best value to three digits."""
    return {
        m.written: float(f"{m.value:.3g}") if m.value is not None else None
        for m in measured(book)[0]
        if m.doubt is None
    }


def doubted(book):
    """Return what is not: cell as written -> kind of problem."""
    return {p.value: p.kind for p in measured(book)[1]}


def one_column(tmp_path, header, *cells, tanks=TANKS):
    """Read a column of results, one a day, all of tank T1."""
    rows = [[DAY + dt.timedelta(n), "T1", cell] for n, cell in enumerate(cells)]
    readings = [["Date", "Tank", header], *rows]
    return read_sheets(tmp_path, Tanks=tanks, Readings=readings)


class TestRangesAndLimits:
    """What is written as a range, or with "<", is doubted as a single number is."""

    @pytest.mark.parametrize(
        ("header", "cell", "kind"),
        [
            ("Salinity (ppt)", "1.025-1.026", "value-other-unit"),
            ("Salinity (ppt)", "<1.026", "value-other-unit"),
            ("Salinity (ppt)", "53-54", "value-other-unit"),
            ("Salinity (ppt)", 3.5, "value-lost-point"),
            ("Salinity (ppt)", 1.27, "value-impossible"),
            ("Phosphate (mg/L)", "30-50", "value-other-unit"),
            ("Phosphate (mg/L)", "0-20", "value-other-unit"),
            ("Phosphate (mg/L)", "<30", "value-other-unit"),
            ("Phosphate (mg/L)", "<3", "value-says-little"),
            ("Ammonia (mg/L)", "<5", "value-says-little"),
            ("Nitrate (mg/L)", "500-1000", "value-lost-point"),
            ("Temperature (°C)", "<25", "value-says-little"),
            ("Temperature (°C)", "20-60", "value-impossible"),
            ("Calcium (mg/L)", 0.42, "value-lost-point"),
            ("Calcium (mg/L)", 4.2, "value-lost-point"),
            ("Magnesium (mg/L)", 1.35, "value-lost-point"),
        ],
    )
    def test_doubted(self, tmp_path, header, cell, kind):
        book = one_column(tmp_path, header, cell)
        assert believed(book) == {}
        assert list(doubted(book).values()) == [kind]

    @pytest.mark.parametrize(
        ("header", "cell"),
        [
            ("Salinity (ppt)", "34-35"),
            ("Salinity (ppt)", 15),  # a bath against parasites, or an emergency
            ("Phosphate (mg/L)", "0.03-0.05"),
            ("Phosphate (mg/L)", "<0.03"),
            ("Phosphate (mg/L)", "30-50 ppb"),  # says its unit
            ("Nitrate (mg/L)", "<10"),
            ("Nitrate (mg/L)", "5 to 10"),
            ("Ammonia (mg/L)", "<0.2"),
            ("Alkalinity (dKH)", "<4"),  # too little for every tank: heard
            ("Temperature (°C)", "24-26"),
        ],
    )
    def test_believed(self, tmp_path, header, cell):
        book = one_column(tmp_path, header, cell)
        assert list(believed(book)) == [str(cell)]
        assert (doubted(book), lines(book)) == ({}, [])
