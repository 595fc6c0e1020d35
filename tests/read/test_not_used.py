"""Columns and sheets of which nothing is used: said, and whether they are a loss."""

import datetime as dt

import pytest

from fleet.problems import left_out

from .builders import TANKS, kinds, lines, read_sheets

DAY = dt.date(2026, 3, 4)


def readings(tmp_path, *more):
    """Read two visits with more columns, each a header and two cells."""
    rows = [
        ["Date", "Tank", "NO3", *(header for header, *_ in more)],
        [DAY, "T1", 5, *(first for _, first, _ in more)],
        [DAY, "T2", 6, *(second for *_, second in more)],
    ]
    return read_sheets(tmp_path, Tanks=TANKS, Readings=rows)


@pytest.mark.parametrize(
    "column",
    [("Potassium", 400, 380), ("Nutrient X", "<0.03", "0,1"), ("ORP mV", "310 mV", "")],
)
def test_column_of_numbers_that_is_not_used_is_left_out(tmp_path, column):
    book = readings(tmp_path, column)
    assert kinds(book) == ["results-not-used"]
    assert column[0] in lines(book)[0]
    assert left_out(book.problems) == 1


def test_column_of_words_that_is_not_used_is_a_note(tmp_path):
    book = readings(tmp_path, ("Weather", "rain", "sun"))
    assert kinds(book) == ["columns-not-used"]
    assert left_out(book.problems) == 0


def test_columns_that_show_the_last_visit_need_no_word(tmp_path):
    book = readings(tmp_path, ("Last tested", DAY, DAY), ("Last nitrate", 4, 4))
    assert kinds(book) == []
    uses = {use.header: use.meaning for use in book.columns if use.sheet == "Readings"}
    assert uses["Last nitrate"] == "shown from an earlier visit"
    assert len(book.readings) == 2


def test_last_column_of_what_is_not_here_is_still_a_loss(tmp_path):
    assert kinds(readings(tmp_path, ("Last phosphate", 0.1, 0.1))) == [
        "results-not-used"
    ]


@pytest.mark.parametrize(
    ("sheet", "lost"),
    [
        ([["Fecha", "Nitrato (mg/L)"], ["30 marzo", "2,5"], ["1 abril", "3"], [3]], 4),
        ([["", DAY], ["alpha", 5], ["beta", 6], ["gamma", 7]], 4),
        ([["Ida", "0123"], ["Jon", "0456"]], 0),
        ([["Day", "Food"], [DAY, "mysis"]], 0),
    ],
)
def test_sheet_that_seems_to_hold_results_is_left_out(tmp_path, sheet, lost):
    here = [["Date", "Tank", "NO3"], [DAY, "T1", 5]]
    book = read_sheets(tmp_path, Tanks=TANKS, Readings=here, Other=sheet)
    kind = "sheet-of-results-not-used" if lost else "sheet-not-used"
    assert kinds(book) == [kind]
    assert left_out(book.problems) == (1 if lost else 0)
    counts = {c.sheet: (c.rows, c.left_out) for c in book.counts}
    assert counts.get("Other", (0, 0)) == (lost, lost)


def test_row_left_out_for_two_reasons_is_one_row(tmp_path):
    rows = [["Date", "Tank", "NO3"], [DAY, "T1", 5], ["Total", "", 9]]
    book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
    assert sorted(kinds(book)) == ["date-unreadable", "tank-missing"]
    assert left_out(book.problems) == 1
    assert sum(count.left_out for count in book.counts) == 1
