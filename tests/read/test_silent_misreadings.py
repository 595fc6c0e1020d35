"""Values that could be misread without a word: found by the column, or asked about.

Each case goes the whole way from a workbook to what its results can mean.
"""

import datetime as dt

import pytest
import xlsxwriter

from fleet.normalise.measurements import measure_tank
from fleet.normalise.methods import MethodLookup
from fleet.pipeline import inputs_of

from .builders import (
    REFERENCE,
    TANKS,
    lines,
    ods,
    ods_row,
    ods_text,
    read,
    read_sheets,
    values,
)

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


class TestColumnsWithoutAUnit:
    """What the numbers of a column say of its unit, and what they leave open."""

    def test_alkalinity_in_meq_is_read_so_and_listed(self, tmp_path):
        book = one_column(tmp_path, "Alk", 2.8, 3.0, 3.2, "2.8-3.0", "~2.9", "<3.1")
        assert {r.unit for x in book.readings for r in x.results} == {"meq/L"}
        assert lines(book) == [
            "Readings!C1: This column names no unit; its numbers are usual in meq/L "
            "and would be far too low in dKH, so they were read as meq/L. Put the unit "
            "into the header, as in 'Alk (meq/L)'."
        ]

    def test_a_few_alkalinities_that_can_be_either_are_asked_about(self, tmp_path):
        book = one_column(tmp_path, "Alk", 8.2, 3, 7.9, "2.9 meq/L", "4 dKH", "2.8-3")
        assert [r.written for x in book.readings for r in x.results] == [
            "8.2", "7.9", "2.9 meq/L", "4 dKH",
        ]  # fmt: skip
        assert lines(book) == [
            f"Readings!{cell}: '{value}' of alkalinity names no unit, and can be dKH "
            "or meq/L. Write the unit behind the number or into the header."
            for cell, value in (("C3", "3"), ("C7", "2.8-3"))
        ]

    @pytest.mark.parametrize("header", ["KH", "Alk (dKH)", "dKH"])
    def test_a_header_with_its_unit_is_believed(self, tmp_path, header):
        book = one_column(tmp_path, header, 4.0, 4.1, 3.9)
        assert list(believed(book)) == ["4", "4.1", "3.9"]
        assert lines(book) == []

    @pytest.mark.parametrize("cell", [2.9, "~2.9", "2.8-3.0", 3.3])
    def test_what_looks_like_meq_in_a_column_of_dkh_is_doubted(self, tmp_path, cell):
        book = one_column(tmp_path, "KH (dKH)", cell)
        assert list(doubted(book).values()) == ["value-other-unit"]

    @pytest.mark.parametrize(
        "cells", [(3, 5, 2, 8), (30, 80, 12), (0, 1, 0, 2), ("<5", 3, "5-8"), (5,)]
    )
    def test_whole_phosphates_may_be_micrograms(self, tmp_path, cells):
        book = one_column(tmp_path, "PO4", *cells)
        assert {r.number for x in book.readings for r in x.results} <= {0}
        assert lines(book) == [
            "Readings!C1: This column names no unit, and its whole numbers can be ug/L "
            "PO4 or ug/L PO4-P or mg/L PO4, which lie far apart; those above 0 were "
            "not used. Put the unit into the header, as in 'PO4 (ug/L PO4)'."
        ]

    @pytest.mark.parametrize(
        ("header", "cells"),
        [
            ("PO4", (0.05, 0, 1, 2)),
            ("PO4", (0, 0, 0, 0)),
            ("PO4", (0, 2)),  # a colour card
            ("PO4 (ppb)", (3, 5, 2, 8)),
            ("PO4 (ppm)", (0, 1, 2, 1)),
            ("PO4", ("3 ppb", "5 ppb", "8 ppb")),
        ],
    )
    def test_phosphates_that_leave_nothing_open(self, tmp_path, header, cells):
        book = one_column(tmp_path, header, *cells)
        assert sum(len(x.results) for x in book.readings) == len(cells)
        assert lines(book) == []

    def test_a_sheet_for_phosphate_with_a_column_a_tank(self, tmp_path):
        book = read_sheets(
            tmp_path, Tanks=TANKS, PO4=[["Date", "T1", "T2"], [DAY, 3, 5], [DAY, 8, 2]]
        )
        assert not book.readings
        assert [p.kind for p in book.problems] == ["column-unit-open"]


class TestMarksOfThousands:
    """``1.200``: a mark before three digits, settled by the column or by sense."""

    @pytest.mark.parametrize(
        ("cell", "beside", "litres"),
        [
            ("1.200 L", "400", 1200),  # a tank of 1.2 L is none
            ("1.000", "450,5", 1000),
            ("1,000", "400", 1000),
            ("12.500", "450,5", 12_500),
            ("12.500", "450.5", 12.5),
            ("12,500", "450,5", 12.5),
        ],
    )
    def test_volumes(self, tmp_path, cell, beside, litres):
        tanks = [["Tank", "Volume (L)"], ["T1", cell], ["T2", beside]]
        book = read_sheets(tmp_path, Tanks=tanks)
        assert book.tanks[0].volume_l == litres
        said = [
            f"Tanks!B2: '{cell}' was read as {litres}. Nothing to do if that is right."
        ]
        assert lines(book) == ([] if litres < 100 else said)

    def test_a_volume_that_can_be_both_is_asked_about(self, tmp_path):
        tanks = [["Tank", "Volume (L)"], ["T1", "12.500"], ["T2", 400]]
        book = read_sheets(tmp_path, Tanks=tanks)
        assert book.tanks[0].volume_l is None
        assert lines(book)[0] == (
            "Tanks!B2: '12.500' can be read as 12.5 or as 12500. Write 12.5 or 12500."
        )

    @pytest.mark.parametrize("cell", [1.2, "1.2 L", "1,2"])
    def test_no_tank_holds_a_litre(self, tmp_path, cell):
        book = read_sheets(tmp_path, Tanks=[["Tank", "Volume (L)"], ["T1", cell]])
        assert book.tanks[0].volume_l is None
        assert lines(book)[0] == (
            f"Tanks!B2: '{cell}' cannot be: volume must be at least 2 L. "
            "Correct the cell."
        )

    def test_a_result_read_in_thousands_is_listed(self, tmp_path):
        book = one_column(tmp_path, "Magnesium (mg/L)", "1.350", 1280)
        assert list(believed(book).values()) == [1350, 1280]
        assert lines(book) == [
            "Readings!C2: '1.350' was read as 1350. Nothing to do if that is right."
        ]

    def test_a_calcium_with_a_point_too_many_is_doubted(self, tmp_path):
        book = one_column(tmp_path, "Calcium (mg/L)", "1.420")
        assert doubted(book) == {"1.420": "value-impossible"}


class TestNumberFormats:
    """A person sees ``5 ppb`` where the cell holds 5 and its format the unit."""

    @pytest.mark.parametrize(
        ("header", "number", "code", "written", "unit"),
        [
            ("Phosphate", 5, '0" ppb"', "5 ppb", "ug/L PO4"),
            ("Phosphate", 5, 'General" ppb"', "5 ppb", "ug/L PO4"),
            ("Phosphate (mg/L)", 5, "0\\ \\p\\p\\b;-0", "5 ppb", "ug/L PO4"),
            ("Nitrate", 1, '0.0" mg/L NO3-N"', "1 mg/L NO3-N", "mg/L NO3-N"),
            ("Alkalinity", 2.9, '[Red]0.0" meq/L"', "2.9 meq/L", "meq/L"),
            ("Temperature", 77, '0"°F"', "77°F", "°F"),
            ("Phosphate (mg/L)", 0.03, '"<"0.00', "<0.03", "mg/L PO4"),
            ("Phosphate (mg/L)", 0.03, "0.00_);(0.00)", "0.03", "mg/L PO4"),
            ("Phosphate (mg/L)", 0.03, "#,##0.00", "0.03", "mg/L PO4"),
        ],
    )
    def test_results(self, tmp_path, header, number, code, written, unit):
        path = tmp_path / "book.xlsx"
        formatted(path, ["Date", "Tank", header], [DAY, "T1", number], code)
        (reading,) = read(path).readings
        (result,) = reading.results
        assert (result.written, result.unit) == (written, unit)

    def test_a_volume_in_gallons(self, tmp_path):
        path = tmp_path / "book.xlsx"
        formatted(path, ["Filled on", "Tank", "Volume"], [DAY, "T1", 75], '0" gal"')
        (tank,) = read(path).tanks
        # 1 US gal = 3.785411784 L: exact, NIST SP 811 B.8.
        assert tank.volume_l == pytest.approx(283.9058838)

    def test_an_opendocument_sheet(self, tmp_path):
        path = tmp_path / "book.ods"
        number = (
            '<table:table-cell office:value-type="float" office:value="5">'
            "<text:p>5 ppb</text:p></table:table-cell>"
        )
        head = ods_row(ods_text("Date"), ods_text("Tank"), ods_text("PO4"))
        path.write_bytes(
            ods(head + ods_row(ods_text("2026-03-04"), ods_text("T1"), number))
        )
        (reading,) = read(path).readings
        assert [(r.written, r.unit) for r in reading.results] == [("5 ppb", "ug/L PO4")]


def formatted(path, header, row, code):
    """Write a sheet of one row, its last cell in a number format."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, header)
    sheet.write_datetime(1, 0, row[0], book.add_format({"num_format": "yyyy-mm-dd"}))
    sheet.write_string(1, 1, row[1])
    sheet.write_number(1, 2, row[2], book.add_format({"num_format": code}))
    book.close()


class TestHeadersAgain:
    """Headers said again below, with other columns, are those of another table."""

    TOP = (["Date", "Tank", "NO3 (mg/L)", "KH"], [DAY, "T1", 4, 8])

    def test_rows_below_are_read_by_them(self, tmp_path):
        below = [
            ["Date", "Tank", "Temp", "NO3 (mg/L)"],
            [DAY, "T2", 25, 9],
            ["Date", "Tank", "Temp", "NO3 (mg/L)"],
            [DAY + dt.timedelta(7), "T2", 26, 8],
        ]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[*self.TOP, [], *below])
        assert {(v[0], v[2], v[4]) for v in values(book)} == {
            ("t1", "nitrate", 4), ("t1", "alkalinity", 8),
            ("t2", "nitrate", 9), ("t2", "temperature", 25),
            ("t2", "nitrate", 8), ("t2", "temperature", 26),
        }  # fmt: skip
        assert lines(book) == [
            "Readings!A4: Here other headers begin (Date, Tank, Temp, NO3 (mg/L)); the "
            "rows below were read by them. Nothing to do if that is right.",
            "Readings!A6: This row repeats the headers. Nothing to do.",
        ]

    def test_rows_below_headers_that_cannot_be_used_are_left_out(self, tmp_path):
        below = [["Date", "Tank", "Weather", "Lamp"], [DAY, "T2", 25, 9]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[*self.TOP, *below])
        assert {v[0] for v in values(book)} == {"t1"}
        assert lines(book) == [
            "Readings!A3: Here other headers begin (Date, Tank, Weather, Lamp), and "
            "the rows below (1) cannot be read by them. Put these rows into a sheet of "
            "their own."
        ]

    def test_columns_told_by_a_layout_file_do_not_move(self, tmp_path):
        layout = tmp_path / "book.layout.toml"
        layout.write_text(
            '[[sheet]]\nname = "Readings"\nholds = "readings"\n[sheet.columns]\n'
            '"Date" = "date"\n"Tank" = "tank"\n"NO3 (mg/L)" = "nitrate"\n',
            "utf-8",
        )
        below = [["Date", "Tank", "PO4", "NO3 (mg/L)"], [DAY, "T2", 0.1, 9]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[*self.TOP, *below])
        assert {v[0] for v in values(book)} == {"t1"}
        assert "headers-unread" in [p.kind for p in book.problems]
        (count,) = (c for c in book.counts if c.sheet == "Readings")
        assert (count.rows, count.left_out) == (len(self.TOP), 1)

    def test_headers_said_again_in_part_are_the_same(self, tmp_path):
        below = [["Date", "Tank", "NO3 (mg/L)"], [DAY, "T2", 9, 7]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[*self.TOP, *below])
        assert len(values(book)) == 4
        assert [p.kind for p in book.problems] == ["header-again"]

    def test_headers_without_end_are_not_followed(self, tmp_path):
        other = ["Date", "Tank", "PO4 (mg/L)"]
        rows = [*self.TOP] + [other, [DAY, "T1", 0.1], *self.TOP] * 100
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert len(lines(book, "headers-change")) == 50
        assert len(lines(book, "headers-unread")) == 1


class TestWhoseRows:
    """Rows of several tanks are never read as those of one."""

    HEAD = ("Date", "Bac", "Nitrate (mg/L)")
    ROWS = ([DAY, "R1", 2], [DAY, "R2", 9])

    @pytest.mark.parametrize("sheet", ["Readings", "Sheet1", "Relevés"])
    @pytest.mark.parametrize("header", ["Bac", "Name", "#", "Becken"])
    def test_a_column_that_may_name_tanks_is_asked_about(self, tmp_path, header, sheet):
        rows = [["Date", header, "Nitrate (mg/L)"], *self.ROWS]
        book = read_sheets(tmp_path, **{sheet: rows})
        assert (book.tanks, book.readings) == ((), ())
        assert lines(book) == [
            f"{sheet}!B1: No column of this sheet is known to name the tank, but "
            f"'{header}' may; the rows were not used. Head the column of tanks 'Tank', "
            "or say in a layout file which it is."
        ]

    def test_numbers_may_be_ids_too(self, tmp_path):
        rows = [["Date", "No.", "Nitrate (mg/L)"], [DAY, 1, 2], [DAY, 2, 9]]
        book = read_sheets(tmp_path, Readings=rows)
        assert [p.kind for p in book.problems] == ["tank-column-open"]

    def test_a_column_of_ids_that_are_known_is_read_so(self, tmp_path):
        tanks = [["Tank", "Volume (L)"], ["R1", 200], ["R2", 300]]
        book = read_sheets(tmp_path, Tanks=tanks, Readings=[[*self.HEAD], *self.ROWS])
        assert [(v[0], v[4]) for v in values(book)] == [("r1", 2), ("r2", 9)]
        assert lines(book) == [
            "Readings!B1: 'Bac' holds ids of tanks, and was read as the column of "
            "tanks. Head it 'Tank'."
        ]

    def test_one_tank_with_notes_and_a_column_of_numbers_is_read(self, tmp_path):
        notes = "a long remark on how the tank looked and what was done to it"
        rows = [
            ["Date", "Nitrate (mg/L)", "Lamp %", "Bemerkung"],
            [DAY, 2, 61.5, notes],
            [DAY + dt.timedelta(7), 3, 62.5, ""],
        ]
        book = read_sheets(tmp_path, Readings=rows)
        assert [v[0] for v in values(book)] == ["book", "book"]

    def test_a_sheet_for_each_tank_is_called_after_it(self, tmp_path):
        rows = [["Date", "Nitrate (mg/L)", "Prüfer"], [DAY, 2, "Jo"], [DAY, 3, "Kim"]]
        book = read_sheets(tmp_path, Cube=rows, Reef=rows)
        assert {v[0] for v in values(book)} == {"cube", "reef"}


class TestTitles:
    """Text above or beside the headers that says how to read the values."""

    ROWS = (["Date", "Tank", "NO3", "PO4", "Temp"], [DAY, "T1", 1, 0.01, 25])

    @pytest.mark.parametrize(
        ("title", "units"),
        [
            ("All nitrate as N, phosphate as P", ["mg/L NO3-N", "mg/L PO4-P", "°C"]),
            ("Nitrate values in NO3-N", ["mg/L NO3-N", "mg/L PO4", "°C"]),
            ("Temps in °F and PO4 in ppb", ["mg/L NO3", "ug/L PO4", "°F"]),
        ],
    )
    def test_units_of_columns_that_name_none(self, tmp_path, title, units):
        rows = [[title], [], *self.ROWS]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert [r.unit for x in book.readings for r in x.results] == units
        said = lines(book)
        assert len(said) == sum(unit not in PLAIN for unit in units)
        assert all(line.startswith(f"Readings!A1: '{title}' was read") for line in said)

    def test_a_header_with_its_own_unit_is_heeded_first(self, tmp_path):
        rows = [["All nitrate as N"], ["Date", "Tank", "NO3 (ppm)"], [DAY, "T1", 1]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert [r.unit for x in book.readings for r in x.results] == ["mg/L NO3"]

    def test_a_note_beside_the_headers(self, tmp_path):
        rows = [["Date", "Tank", "Nitrate", "", "all nitrate is NO3-N"], [DAY, "T1", 1]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert lines(book) == [
            "Readings!E1: 'all nitrate is NO3-N' was read as the unit of the nitrate "
            "column, mg/L NO3-N. Put the unit into the header."
        ]

    def test_a_unit_of_no_column_is_said(self, tmp_path):
        rows = [["Units: ppb"], *self.ROWS]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert lines(book) == [
            "Readings!A1: 'Units: ppb' seems to name a unit, but not plainly of which "
            "column; it was not used. Put units into the headers."
        ]

    @pytest.mark.parametrize("title", ["Our weekly round", "printed by Jo, March"])
    def test_a_mere_title_is_no_matter(self, tmp_path, title):
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[[title], *self.ROWS])
        assert lines(book) == []

    def test_rows_above_the_headers_are_listed(self, tmp_path):
        rows = [["Mean of", "last year", 5], *self.ROWS]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert lines(book) == [
            "Readings!A1: Above the headers and not used: 'Mean of', 'last year', '5'. "
            "Nothing to do, unless it says how to read the values."
        ]

    def test_a_table_of_tanks_above_the_readings_is_read(self, tmp_path):
        rows = [
            ["Our tanks"], ["Tank", "Vol L", "Filled"],
            ["A1", 400, dt.date(2025, 6, 1)], ["A2", 300, dt.date(2025, 7, 1)],
            [], ["Readings"], *(["Date", "Tank", "NO3"], [DAY, "A1", 5]),
        ]  # fmt: skip
        book = read_sheets(tmp_path, Log=rows)
        assert [(t.id, t.volume_l) for t in book.tanks] == [("A1", 400), ("A2", 300)]
        assert values(book) == [("a1", "2026-03-04", "nitrate", "value", 5)]
        assert lines(book) == []


PLAIN = ("mg/L NO3", "mg/L PO4", "°C")


class TestWordsOfTheLook:
    """What is said not to be there is not there; what is not known is listed."""

    @pytest.mark.parametrize(
        ("look", "words"),
        [
            ("tissue loss no", ()),
            ("hair algae: none", ()),
            ("brown film gone", ()),
            ("red slime is all gone", ()),
            ("no sign of tissue loss", ()),
            ("tissue loss not seen", ()),
            ("no more gasping fish", ()),
            ("fish not gasping", ()),
            ("brown film not gone", ("brown film",)),
            ("brown film mostly gone", ("brown film",)),
            ("hair algae no change", ("hair algae",)),
            ("brown film no hair algae", ("brown film",)),
            ("no growth", ("slow growth",)),
            ("corals pale", ("pale coral",)),
            ("good colour but one pale", ("good colour", "pale coral")),
        ],
    )
    def test_words(self, tmp_path, look, words):
        rows = [["Date", "Tank", "Nitrate (mg/L)", "Look"], [DAY, "T1", 5, look]]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows)
        assert book.readings[0].looks == words
        assert lines(book) == []

    def test_words_not_known_are_listed_once(self, tmp_path):
        looks = ["bubble algae", "white film, clear", "bubble algae",
                 "we moved the big rock to the left", "no algae", "-"]  # fmt: skip
        rows = [[DAY + dt.timedelta(n), "T1", 5, look] for n, look in enumerate(looks)]
        head = ["Date", "Tank", "Nitrate (mg/L)", "Look"]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[head, *rows])
        assert [line.partition(" Known are")[0] for line in lines(book)] == [
            "Readings!D1: No rule knows these words of the look, which are kept as a "
            "remark: 'bubble algae', 'white film'."
        ]


class TestSmallThings:
    """Single words and headers that were taken for something else."""

    def test_clear_is_no_nitrate(self, tmp_path):
        book = one_column(tmp_path, "Nitrate (mg/L)", "clear", 5)
        assert [p.kind for p in book.problems] == ["value-unreadable"]

    @pytest.mark.parametrize("header", ["Nitrite ppb", "Ammonia ppb"])
    def test_a_hundredth_of_a_microgram_is_no_result(self, tmp_path, header):
        book = one_column(tmp_path, header, 0.3)
        assert list(doubted(book).values()) == ["value-other-unit"]

    @pytest.mark.parametrize("header", ["Nitrite ppb", "Ammonia ppb"])
    def test_some_micrograms_are(self, tmp_path, header):
        book = one_column(tmp_path, header, 3, 0, 20)
        assert len(believed(book)) == 3

    def test_a_tester_is_a_person_unless_of_a_test(self, tmp_path):
        head = ["Date", "Tank", "Nitrate (mg/L)", "Tester"]
        book = read_sheets(tmp_path, Tanks=TANKS, Readings=[head, [DAY, "T1", 5, "Jo"]])
        (reading,) = book.readings
        assert (reading.taken_by, reading.results[0].method) == ("Jo", "")
        head[-1] = "Nitrate tester"
        rows = [head, [DAY, "T1", 5, "photometer"]]
        (reading,) = read_sheets(tmp_path, Tanks=TANKS, Readings=rows).readings
        assert reading.results[0].method == "photometer"

    @pytest.mark.parametrize(
        ("header", "read_as"),
        [
            ("P", "phosphate, mg/L PO4-P"),
            ("Phos", "phosphate, mg/L PO4"),
            ("NH3/NH4", "ammonia, mg/L NH3-N"),
            ("NH3", "ammonia, mg/L NH3"),
        ],
    )
    def test_how_a_loose_header_was_read_is_said(self, tmp_path, header, read_as):
        book = one_column(tmp_path, header, 0.05)
        assert lines(book) == [
            f"Readings!C1: The header '{header}' was read as {read_as}. "
            "Nothing to do if that is right."
        ]

    def test_feed_that_no_tank_can_take(self, tmp_path):
        tanks = [["Tank", "Volume (L)", "Feed (g/day)"], ["T1", 400, 5000]]
        book = read_sheets(tmp_path, Tanks=tanks)
        assert book.tanks[0].feed_g_day is None
        assert lines(book) == [
            "Tanks!C2: '5000' cannot be: feed must be at most 800 g a day in 400 L. "
            "Correct the cell."
        ]


class TestWorkInWords:
    """Amount and substance told in the text of the work are not lost."""

    @pytest.mark.parametrize(
        ("text", "read_as"),
        [
            ("20% WC", ("water change", "", 20, "%")),
            ("wc 40 l", ("water change", "", 40, "L")),
            # 1 US gal = 3.785411784 L: exact, NIST SP 811 B.8.
            ("wc 10 gal", ("water change", "", 37.85411784, "L")),
            ("water change 10 us gal today", ("water change", "", 37.85411784, "L")),
            ("dosed 2 ml nitrate", ("dose", "nitrate", 2, "mL")),
            ("Dose of 1.5 g sodium nitrate", ("dose", "sodium nitrate", 1.5, "g")),
        ],
    )
    def test_read_and_listed(self, tmp_path, text, read_as):
        work = [["Date", "Tank", "Work"], [DAY, "T1", text]]
        book = read_sheets(tmp_path, Tanks=TANKS, Work=work)
        (done,) = book.work
        found = (done.work, done.substance, pytest.approx(done.amount), done.unit)
        assert found == read_as
        (line,) = lines(book)
        assert line.startswith(f"Work!C2: '{text}' was read as: {read_as[0]}, ")

    @pytest.mark.parametrize("text", ["water change", "WC", "cleaned skimmer"])
    def test_nothing_told_nothing_said(self, tmp_path, text):
        work = [["Date", "Tank", "Work"], [DAY, "T1", text]]
        book = read_sheets(tmp_path, Tanks=TANKS, Work=work)
        assert (book.work[0].amount, lines(book)) == (None, [])

    def test_the_amount_column_is_heeded_first(self, tmp_path):
        work = [["Date", "Tank", "Work", "Amount"], [DAY, "T1", "20% WC", "40 L"]]
        book = read_sheets(tmp_path, Tanks=TANKS, Work=work)
        assert (book.work[0].amount, book.work[0].unit) == (40, "L")
        assert lines(book) == []


class TestWrittenOnce:
    """A day or tank that stands for the rows below it; cells that were forgotten."""

    HEAD = ("Date", "Tank", "Nitrate (mg/L)")
    LATER = DAY + dt.timedelta(7)

    def read(self, tmp_path, *rows, **sheets):
        return read_sheets(tmp_path, Readings=[[*self.HEAD], *rows], **sheets)

    def test_a_day_for_the_tanks_of_a_round(self, tmp_path):
        book = self.read(
            tmp_path,
            ["Week 10"], [DAY, "A1", 4], ["", "A2", 8], ["", "Average", 6],
            [], ["Week 11"], [*self.HEAD], [self.LATER, "A1", 5], ["", "A2", 9],
        )  # fmt: skip
        assert [(v[0], v[1], v[4]) for v in values(book)] == [
            ("a1", "2026-03-04", 4), ("a1", "2026-03-11", 5),
            ("a2", "2026-03-04", 8), ("a2", "2026-03-11", 9),
        ]  # fmt: skip
        assert lines(book, "written-once") == [
            "Readings!A4: The date stands once for several rows: 2 blank cells down to "
            "A10 were read as the date above them. Nothing to do if that is right."
        ]
        assert lines(book, "date-missing") == [
            "Readings!A5: This row has no date. Write the day, as in 2026-11-21."
        ]

    def test_a_tank_for_its_days(self, tmp_path):
        book = self.read(
            tmp_path,
            [DAY, "A1", 4], [self.LATER, "", 5], [DAY, "A2", 8], [self.LATER, "", 9],
        )  # fmt: skip
        assert [(v[0], v[4]) for v in values(book)] == [
            ("a1", 4), ("a1", 5), ("a2", 8), ("a2", 9),
        ]  # fmt: skip

    def test_a_forgotten_cell_is_asked_about(self, tmp_path):
        rows = [[DAY + dt.timedelta(n), "T1", 5] for n in range(6)]
        rows[2][1] = rows[4][1] = ""
        book = self.read(tmp_path, *rows, Tanks=TANKS)
        assert [p.kind for p in book.problems] == ["tank-missing", "tank-missing"]

    def test_no_visit_is_made_twice(self, tmp_path):
        rows = [[DAY, "T1", 5], ["", "T2", 6], ["", "T1", 7], ["", "T2", 8]]
        book = self.read(tmp_path, *rows, Tanks=TANKS)
        assert [p.kind for p in book.problems] == ["date-missing"] * 3

    def test_merged_cells_of_the_tanks(self, tmp_path):
        path = tmp_path / "book.xlsx"
        book = xlsxwriter.Workbook(str(path))
        sheet = book.add_worksheet("Tanks")
        sheet.write_row(0, 0, ["Place", "Tank", "Volume (L)"])
        sheet.write_row(1, 1, ["A1", 400])
        sheet.write_row(2, 1, ["A2"])
        sheet.merge_range(1, 0, 2, 0, "Front")
        sheet.merge_range(1, 2, 2, 2, 400)
        book.close()
        found = [(t.id, t.place, t.volume_l) for t in read(path).tanks]
        # One volume over two tanks may be that of both together.
        assert found == [("A1", "Front", 400), ("A2", "Front", None)]
