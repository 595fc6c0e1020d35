"""Columns of dates."""

import datetime as dt

import pytest

from fleet.read.clock import clock_seconds
from fleet.read.date_order import hint_of, swapped_suspects
from fleet.read.dates import DateColumn, Fault, Moment
from fleet.read.grid import Trouble
from fleet.read.table import language_of
from fleet.reference import load_reference

from .builders import TANKS, lines, read_sheets, values

WORDS = language_of(load_reference()).words


def read(cells, order="", date1904=False):
    column = DateColumn(cells, WORDS, date1904=date1904, order=order)
    return [column.read(cell) for cell in cells]


def days(cells, **how):
    return [f.day.isoformat() if isinstance(f, Moment) else f.kind.key
            for f in read(cells, **how)]  # fmt: skip


@pytest.mark.parametrize(
    "cell",
    [
        dt.date(2026, 3, 4),
        dt.datetime(2026, 3, 4, 10, 5),
        46085.0,  # days from 1899-12-30, worked by hand: 46023 is 2026-01-01
        46085.42,
        "46085",
        20260304.0,
        "20260304",
        "2026-03-04",
        "2026/3/4",
        "2026.03.04",
        "2026-03-04T10:05:00",
        "2026-03-04T10:05:00Z",
        "2026-03-04 10:05",
        "4 March 2026",
        "4 Mar 26",
        "Mar 4, 2026",
        "March 4th, 2026",
        "4th of March 2026",
        "4-Mar-2026",
        "Wed 4 Mar 2026",
        "Wednesday, March 4, 2026",
        "2026 March 4",
        "4. März 2026",
        "Mi, 4. März 2026",
        "mercredi 4 mars 2026",
        "mar 4 marzo 2026".replace("mar ", "mer "),
        "4 de marzo de 2026",
        "4 mars 2026 10:05",
        "  4 march 2026 ",
    ],
    ids=str,
)
def test_ways_to_write_the_fourth_of_march(cell):
    assert days([cell]) == ["2026-03-04"]


@pytest.mark.parametrize(
    "cell",
    ["", "soon", "March 2026", "4 March", "4/3", "2026-02-30", "31 June 2026",
     "2026-13-01", "32.01.2026", dt.time(10, 5), Trouble("#N/A"), Trouble(""),
     -5.0, float("nan"), 1e12, "1234", "4 March 2026 25:00"],
    ids=repr,
)  # fmt: skip
def test_what_is_no_day(cell):
    (found,) = read([cell])
    assert isinstance(found, Fault)


@pytest.mark.parametrize(
    "cell",
    [
        dt.date(1900, 1, 5),
        dt.date(9999, 12, 31),
        5.0,
        230612.0,
        "1 May 1066",
        "2300-01-01",
    ],
    ids=str,
)
def test_a_day_that_cannot_be_is_said(cell):
    (found,) = read([cell])
    assert isinstance(found, Fault)
    assert found.kind.key in ("date-unlikely", "date-unreadable")


class TestOrderOfDayAndMonth:
    def test_one_day_over_twelve_decides_for_all(self):
        assert days(["03/04/2026", "25/04/2026"]) == ["2026-04-03", "2026-04-25"]
        assert days(["03/04/2026", "04/25/2026"]) == ["2026-03-04", "2026-04-25"]

    def test_two_digit_years(self):
        assert days(["3/4/26", "25/4/26"]) == ["2026-04-03", "2026-04-25"]

    def test_nothing_decides(self):
        assert days(["03/04/2026"]) == ["date-ambiguous"]
        assert days(["03/04/2026", "10/04/2026"]) == ["date-ambiguous"] * 2

    def test_the_question_names_both_days(self):
        (found,) = read(["03/04/2026"])
        assert dict(found.facts) == {
            "one": "4 March 2026",
            "other": "3 April 2026",
            "one_iso": "2026-03-04",
            "other_iso": "2026-04-03",
        }

    def test_the_same_either_way_is_no_question(self):
        assert days(["05/05/2026"]) == ["2026-05-05"]

    def test_evidence_both_ways_decides_nothing(self):
        assert days(["25/04/2026", "04/25/2026", "03/04/2026"]) == [
            "2026-04-25",
            "2026-04-25",
            "date-ambiguous",
        ]

    def test_points_are_written_day_first(self):
        assert days(["04.03.2026"]) == ["2026-03-04"]

    def test_only_one_order_runs_forward_in_time(self):
        assert days(["01/02/2026", "08/02/2026", "01/03/2026"]) == [
            "2026-02-01",
            "2026-02-08",
            "2026-03-01",
        ]

    def test_date_cells_between_help_to_see_the_run(self):
        cells = [dt.date(2026, 2, 27), "06/03/2026", dt.date(2026, 3, 13)]
        assert days(cells) == ["2026-02-27", "2026-03-06", "2026-03-13"]

    def test_the_order_may_be_told(self):
        assert days(["03/04/2026"], order="day first") == ["2026-04-03"]
        assert days(["03/04/2026"], order="month first") == ["2026-03-04"]

    @pytest.mark.parametrize(
        ("header", "order"),
        [
            ("Date (DD/MM/YYYY)", "day first"),
            ("Date (dd.mm.yy)", "day first"),
            ("Datum (TT.MM.JJJJ)", "day first"),
            ("Date [day/month]", "day first"),
            ("Date (MM/DD/YYYY)", "month first"),
            ("Date (month/day/year)", "month first"),
            ("Date (YYMMDD)", "year first"),
            ("Date (UTC)", ""),
            ("Date", ""),
        ],
    )
    def test_the_header_may_say_it(self, header, order):
        assert hint_of(header) == order

    def test_year_first_in_six_digits(self):
        assert days([230612.0, "230612", 90612.0], order="year first") == [
            "2023-06-12",
            "2023-06-12",
            "2009-06-12",
        ]

    def test_year_first_with_two_digits_is_a_question(self):
        assert days(["25-03-04"]) == ["date-ambiguous"]
        assert days(["25-03-04", "12-03-04"]) == ["2004-03-25", "2004-03-12"]


def test_1904_workbook():
    # ECMA-376 part 1, 18.17.4.1: serial 0 is 1904-01-01 there, so 1904-01-01 + 44623
    # days is 2026-03-04 (worked by hand: 46085 - 1462).
    assert days([44623.0], date1904=True) == ["2026-03-04"]


def test_clock_times_are_kept_for_order():
    assert read(["2026-03-04 6:04 PM"])[0].seconds == 18 * 3600 + 4 * 60
    assert read(["2026-03-04 12:00 AM"])[0].seconds == 0
    assert clock_seconds(dt.time(8, 30)) == 30600
    assert clock_seconds(" 12:41 PM") == 12 * 3600 + 41 * 60
    assert clock_seconds("8:51AM") == 8 * 3600 + 51 * 60
    assert clock_seconds("noon") == 0
    assert clock_seconds(0.5) == 43200


def test_program_that_swapped_days_and_months_is_suspected():
    # Texts 25/04 and 27/04 beside date cells that all have a day up to 12.
    real = [dt.date(2026, 3, 4), dt.date(2026, 5, 4), dt.date(2026, 6, 4)]
    cells = ["25/04/2026", *real, "27/04/2026"]
    assert swapped_suspects(cells) == (2, "25/04/2026")
    assert swapped_suspects([*cells, dt.date(2026, 4, 25)]) == (0, "")
    # One date cell among texts is enough to look: 3 February may be 2 March.
    few = ["16/02/2026", "23/02/2026", dt.date(2026, 2, 3)]
    assert swapped_suspects(few) == (2, "16/02/2026")
    assert swapped_suspects([*few, "02/03/2026"]) == (0, "")


def test_dates_that_may_be_swapped_are_said(tmp_path):
    texts = ["16/02/2026", "23/02/2026", "16/03/2026"]
    cells = [texts[0], texts[1], dt.date(2026, 2, 3), texts[2]]
    head = ["Date", "Tank", "Nitrate (mg/L)"]
    rows = [head, *([cell, "T1", 5 + n] for n, cell in enumerate(cells))]
    book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
    assert lines(book, "dates-swapped") == [
        "Readings!A1: This column has texts with a day over 12 ('16/02/2026' and 2 "
        "more), while no real date cell has one: a spreadsheet program may have "
        "swapped day and month in the others. Compare some dates with the paper notes."
    ]


def test_undecided_dates_are_named_cell_by_cell_and_the_rest_is_read(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[
            ["Date", "Tank", "Nitrate (mg/L)"],
            ["03/04/2026", "T1", 5],
            ["2026-04-10", "T1", 6],
        ],
    )
    assert values(book) == [("t1", "2026-04-10", "nitrate", "value", 6)]
    assert lines(book) == [
        "Readings!A2: '03/04/2026' can be 4 March 2026 or 3 April 2026, and nothing in "
        "this column says which. Write 2026-03-04 or 2026-04-03."
    ]


def test_order_found_out_is_told_once(tmp_path):
    rows = [[f"{day:02d}/04/2026", "T1", 5] for day in (3, 10, 17, 24)]
    book = read_sheets(
        tmp_path, Tanks=TANKS, Readings=[["Date", "Tank", "Nitrate (mg/L)"], *rows]
    )
    assert [day for _, day, *_ in values(book)] == [
        "2026-04-03", "2026-04-10", "2026-04-17", "2026-04-24",
    ]  # fmt: skip
    assert lines(book) == [
        "Readings!A1: Dates such as '03/04/2026' were read with the day first, as "
        "'17/04/2026' can only be that. Nothing to do if that is right."
    ]
