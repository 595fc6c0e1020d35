"""Three open data sets that nobody here wrote; counts as in their SOURCE.md."""

import datetime as dt
from collections import Counter
from pathlib import Path

from .builders import kinds, lines, read

DATA = Path(__file__).parents[1] / "data"


def results_of(book, parameter):
    return [r for x in book.readings for r in x.results if r.parameter == parameter]


class TestEelgrassTanks:
    """Two header rows, the upper merged; ids as numbers and text; rows made ready."""

    def setup_method(self):
        self.book = read(DATA / "eelgrass-tank-checks" / "daily-tank-checks.xlsx")

    def test_counts(self):
        (count,) = self.book.counts
        # 612 rows; 108 of them name a tank only, 18 dated ones hold no bottom value.
        assert (count.rows, count.read, count.left_out) == (612, 486, 126)
        days = {reading.taken_on for reading in self.book.readings}
        assert (min(days), max(days)) == (dt.date(2023, 6, 5), dt.date(2023, 8, 25))

    def test_values_are_those_of_the_columns_at_the_bottom(self):
        assert len(results_of(self.book, "temperature")) == 477
        assert len(results_of(self.book, "salinity")) == 477
        assert len(results_of(self.book, "ph")) == 485
        first = next(r for r in self.book.readings if r.tank == "inlet")
        assert [(r.parameter, r.number, r.source.cell) for r in first.results] == [
            ("temperature", 13.1, "D3"),
            ("salinity", 29.33, "F3"),
            ("ph", 8.15, "H3"),
        ]

    def test_tanks(self):
        assert {tank.id for tank in self.book.tanks} == {"Inlet", *"12345678"}

    def test_what_is_not_read_is_said(self):
        assert kinds(self.book) == [
            "results-not-used", "columns-not-used", "tanks-from-readings",
            "rows-without-values",
        ]  # fmt: skip
        (unused,) = (p for p in self.book.problems if p.kind == "results-not-used")
        assert unused.effect == "value left out"  # among them dissolved oxygen


class TestEstuaryFlags:
    """A flag behind each value; most nitrate below the detection limit."""

    def setup_method(self):
        self.book = read(DATA / "estuary-nutrient-flags")

    def test_values_and_limits(self):
        found = {
            name: Counter(r.form for r in results_of(self.book, name))
            for name in ("phosphate", "ammonia", "nitrate")
        }
        assert found == {
            "phosphate": {"value": 95, "below": 5},
            "ammonia": {"below": 14},
            "nitrate": {"value": 14, "below": 59},
        }
        assert {r.unit for r in results_of(self.book, "phosphate")} == {"mg/L PO4-P"}
        assert {r.unit for r in results_of(self.book, "nitrate")} == {"mg/L NO3-N"}

    def test_month_comes_first_and_times_keep_the_order(self):
        days = [reading.taken_on for reading in self.book.readings]
        assert days == sorted(days)
        assert (days[0], days[-1]) == (dt.date(2020, 1, 22), dt.date(2020, 12, 18))
        first = self.book.readings[:3]
        assert [r.source.row for r in first] == [2, 3, 4]

    def test_what_the_flags_did_is_said_once_a_column(self):
        assert [
            line.split(". Nothing")[0] for line in lines(self.book, "flag-limit")
        ] == [
            "gndblnut2020!I10: 5 values of phosphate: the flag beside says below "
            "detection, so the number was read as 'less than' (I10, I33, I34, ...)",
            "gndblnut2020!K2: 14 values of ammonia: the flag beside says below "
            "detection, so the number was read as 'less than' (K2, K3, K4, ...)",
            "gndblnut2020!Q2: 59 values of nitrate: the flag beside says below "
            "detection, so the number was read as 'less than' (Q2, Q3, Q4, ...)",
        ]
        suspect = [p.message.split(":")[0] for p in self.book.problems
                   if p.kind == "flag-suspect"]  # fmt: skip
        assert suspect == ["53 values of phosphate", "14 values of nitrate"]


class TestShelfStations:
    """Numeric quality flags, NaN for missing, replicates."""

    def setup_method(self):
        self.book = read(DATA / "shelf-nutrients" / "shelf-nutrients.csv")

    def test_counts(self):
        (count,) = self.book.counts
        assert (count.rows, count.read) == (767, 767)
        assert {
            name: len(results_of(self.book, name))
            for name in ("nitrate", "ammonia", "phosphate")
        } == {"nitrate": 765, "ammonia": 747, "phosphate": 761}
        assert {r.unit for r in results_of(self.book, "ammonia")} == {"umol/L NH3"}

    def test_flags_told_in_the_layout_file(self):
        found = [p.message.split(":")[0] for p in self.book.problems
                 if p.kind == "flag-suspect"]  # fmt: skip
        assert found == ["8 values of nitrate", "195 values of ammonia",
                         "30 values of phosphate"]  # fmt: skip
        assert "flag-unknown" not in kinds(self.book)
