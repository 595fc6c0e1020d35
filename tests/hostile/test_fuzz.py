"""Anything at all in numbers, dates, names and headers, within bounds, seeded.

The quick set tries a few of each; the slow set a thousand.
"""

import datetime as dt
import json
import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_files import AS_OF, KEPT, LAST, READINGS, TANKS, reading, tank
from made_others import csv_text
from run_hostile import harmed, steering

from fleet import pipeline
from fleet.read.books import read_books
from fleet.read.cells import Parsed, ResultColumn
from fleet.read.dates import FIRST_DAY, LAST_DAY, DateColumn, Moment
from fleet.read.numbers import NUMBER, Either, number_of
from fleet.read.table import language_of
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render import FORMATS, renderer
from fleet.render.wording import Wording

REFERENCE = load_reference()
LANGUAGE = language_of(REFERENCE)
SLOW = pytest.mark.slow
FEW = settings(max_examples=25, suppress_health_check=list(HealthCheck))
MANY = settings(FEW, max_examples=1000)

# Texts near to what is meant, and texts of anything.
MARKS = st.sampled_from(
    [*"0123456789.,-+<>~ ()/%e’'±≤−٣５½", "ND", "mg/L", "ppb", "trace"]
)
NUMBERISH = st.lists(MARKS, max_size=12).map("".join)
ANY = st.text(st.characters(exclude_categories=()), max_size=60)
DATEMARKS = st.sampled_from(
    [*"0123456789/-.: T", "Mar", "March", "th", "2026", "am", "W"]
)
DATEISH = st.lists(DATEMARKS, max_size=10).map("".join)
HEADISH = st.lists(
    st.sampled_from(["NO3", "PO4", "Nitrate", "-N", " ", "(", ")", "mg/L", "ppm",
                     "Date", "Tank", "method", "Temp", "°F", "SG", "1.026", "?", "Ca",
                     "Alk"]),
    max_size=6,
).map("".join)  # fmt: skip


def both(strategy):
    """Return a decorator for a quick and for a thorough trial of one property."""

    def double(check):
        def quick(value):
            check(value)

        def thorough(value):
            check(value)

        return (
            FEW(given(strategy)(quick)),
            SLOW(MANY(given(strategy)(thorough))),
        )

    return double


# ----------------------------------------------------------------- parts of a cell


def check_result(text):
    for name in ("nitrate", "phosphate", "ph", "salinity"):
        column = ResultColumn(
            REFERENCE.parameters[name], "", [text], LANGUAGE.words, LANGUAGE.units
        )
        read = column.read[text]
        if isinstance(read, Parsed):
            assert math.isfinite(read.number)
            assert read.upper is None or read.number < read.upper < math.inf
            # A result has come from what was written, not from what was cut off.
            assert len(text.strip()) <= 200


def check_number(text):
    import re

    if re.fullmatch(NUMBER, text):
        read = number_of(text)
        values = read if isinstance(read, Either) else (read,)
        assert all(value is None or math.isfinite(value) for value in values)


def check_date(text):
    for order in ("", "day first", "month first", "year first"):
        column = DateColumn([text], LANGUAGE.words, date1904=False, order=order)
        read = column.read(text)
        if isinstance(read, Moment):
            assert FIRST_DAY <= read.day <= LAST_DAY
            assert 0 <= read.seconds < 86_400


test_results, test_results_thoroughly = both(st.one_of(NUMBERISH, ANY))(check_result)
test_numbers, test_numbers_thoroughly = both(NUMBERISH)(check_number)
test_dates, test_dates_thoroughly = both(st.one_of(DATEISH, ANY))(check_date)


# ------------------------------------------------------------- a sheet, to a book


def book_of(tanks, readings):
    """Return what is read of two CSV sheets, and both as they were written."""
    with tempfile.TemporaryDirectory() as folder:
        for name, rows in (("Tanks", tanks), ("Readings", readings)):
            text = csv_text(rows).encode("utf-8", "surrogatepass")
            (Path(folder) / f"{name}.csv").write_bytes(text)
        return read_books([Path(folder)], REFERENCE)


def kept(book):
    """Say whether A1 has come through with its own results."""
    latest = [r for r in book.readings if r.tank == "a1" and r.taken_on == LAST]
    return (
        len(latest) == 1
        and KEPT.items()
        <= {result.parameter: result.number for result in latest[0].results}.items()
    )


def check_cells(cells):
    value, day, name, other = cells
    row = reading(nitrate=value, phosphate=other, ph=value, look=name, notes=name)
    row[0] = day
    named = tank(tank="B1", volume=value, filled_on=day, fish=other, notes=name)
    book = book_of((*TANKS, named), (*READINGS, row))
    if any(source.failed for source in book.sources):
        return  # a bare quotation mark or the like: refused as a whole
    assert kept(book)
    assert all(c.rows == c.read + c.left_out for c in book.counts)
    made = pipeline.report(book, REFERENCE, AS_OF)
    for entry in made.tanks:
        for action in entry.plan.actions:
            for amount in (action.amount_g, action.amount_ml, action.water_change_l):
                assert amount is None or 0 <= amount < math.inf


CELLS = st.tuples(
    st.one_of(NUMBERISH, ANY), st.one_of(DATEISH, st.dates().map(str)), ANY, NUMBERISH
)
test_cells, test_cells_thoroughly = both(CELLS)(check_cells)


def check_headers(heads):
    width = len(READINGS[0])
    more = [*READINGS[0], *heads]
    rows = [[*row, *(f"{n}.{k}" for k in range(len(heads)))]
            for n, row in enumerate(READINGS[1:])]  # fmt: skip
    book = book_of(TANKS, (more, *rows))
    if any(source.failed for source in book.sources):
        return
    # Every column is accounted for: used, or told that it is not.
    told = {c.column for c in book.columns if c.sheet == "Readings"}
    headed = {n for n, head in enumerate(more, start=1) if head.strip()}
    assert set(range(1, width + 1)) <= told
    assert all(c.rows == c.read + c.left_out for c in book.counts)
    assert len(headed) >= width


HEADS = st.lists(st.one_of(HEADISH, ANY), min_size=1, max_size=5)
test_headers, test_headers_thoroughly = both(HEADS)(check_headers)


# ----------------------------------------------------------- a name, to every file

WORDING = Wording(REFERENCE, Settings())


def check_name(name):
    row = [LAST, name, name, 0, name, 0, name, "", "", "", "", name, name]
    named = tank(tank=name, name=name, place=name, keeper=name, notes=name)
    book = book_of((*TANKS, named), (*READINGS, row))
    if any(source.failed for source in book.sources) or not kept(book):
        # A name such as A1 itself may join that tank.
        return
    made = pipeline.report(book, REFERENCE, AS_OF)
    with tempfile.TemporaryDirectory() as folder:
        for file in FORMATS:
            path = Path(folder) / file
            renderer(file)(made, WORDING, REFERENCE, path)
            if path.suffix in (".html", ".csv", ".ics", ".json"):
                text = path.read_bytes().decode("utf-8")
                assert not steering(text.replace("\r\n", "\n"))
        report = json.loads((Path(folder) / "report.json").read_bytes())
        assert harmed(report) == ""
        assert len(list(Path(folder).iterdir())) == len(FORMATS)


NAMES = st.one_of(ANY, st.text("<>&\"'={}%;,\\/@+- a\n\x1b\x9b\u202e", max_size=30))


@given(NAMES)
@settings(FEW, max_examples=3)
def test_names(name):
    check_name(name)


@SLOW
@given(NAMES)
@MANY
def test_names_thoroughly(name):
    check_name(name)


def test_days_of_the_fuzz_are_those_of_the_reader():
    assert FIRST_DAY < dt.date(2026, 3, 29) < LAST_DAY
