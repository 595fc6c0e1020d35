"""Every way to lay readings out gives the same readings."""

import datetime as dt

import pytest

from .builders import TANKS, kinds, lines, read_sheets, values, workbook
from .builders import read as read_files

DAYS = [dt.date(2026, 3, 4), dt.date(2026, 3, 11)]
# Tank, day, nitrate, phosphate: what every layout below holds.
SAME = [
    ("t1", "2026-03-04", "nitrate", "value", 5),
    ("t1", "2026-03-04", "phosphate", "below", 0.03),
    ("t1", "2026-03-11", "nitrate", "value", 6),
    ("t1", "2026-03-11", "phosphate", "value", 0.04),
    ("t2", "2026-03-04", "nitrate", "value", 10),
    ("t2", "2026-03-04", "phosphate", "value", 0.1),
    ("t2", "2026-03-11", "nitrate", "range", 10),
    ("t2", "2026-03-11", "phosphate", "value", 0.12),
]

LONG = [
    ["Date", "Tank", "Nitrate (mg/L)", "Phosphate (mg/L)"],
    [DAYS[0], "T1", 5, "<0.03"],
    [DAYS[1], "T1", 6, 0.04],
    [DAYS[0], "T2", 10, 0.1],
    [DAYS[1], "T2", "10-15", 0.12],
]

LAYOUTS = {
    "long": {"Readings": LONG},
    "long, other names": {"Sheet1": LONG},
    "long under a title and a blank row": {
        "Readings": [["Our readings, spring 2026"], [], *LONG]
    },
    "long, columns in another order, one of them unknown": {
        "Log": [[row[3], row[2], "x" if i else "Mood", row[1], row[0]]
                for i, row in enumerate(LONG)]
    },
    "one row a result": {
        "Readings": [
            ["Date", "Tank", "Test", "Result", "Unit"],
            [DAYS[0], "T1", "Nitrate", 5, "mg/L"],
            [DAYS[0], "T1", "Phosphate", "<0.03", "ppm"],
            [DAYS[1], "T1", "NO3", 6, ""],
            [DAYS[1], "T1", "PO4", 0.04, ""],
            [DAYS[0], "T2", "nitrate", 10, "mg/L"],
            [DAYS[0], "T2", "phosphate (mg/L)", 0.1, ""],
            [DAYS[1], "T2", "nitrate", "10-15", ""],
            [DAYS[1], "T2", "phosphate", 0.12, ""],
        ]
    },
    "a sheet for every tank": {
        "T1": [row[:1] + row[2:] for row in LONG[:3]],
        "T2": [LONG[0][:1] + LONG[0][2:], *(row[:1] + row[2:] for row in LONG[3:])],
    },
    "a sheet for every test, a column for every tank": {
        "Nitrate": [["Date", "T1", "T2"], [DAYS[0], 5, 10], [DAYS[1], 6, "10-15"]],
        "Phosphate": [["Date", "T1", "T2"], [DAYS[0], "<0.03", 0.1],
                      [DAYS[1], 0.04, 0.12]],
    },
    "a column for every tank, the test in the row": {
        "Readings": [
            ["Date", "Test", "T1", "T2"],
            [DAYS[0], "Nitrate", 5, 10],
            [DAYS[0], "Phosphate", "<0.03", 0.1],
            [DAYS[1], "Nitrate", 6, "10-15"],
            [DAYS[1], "Phosphate", 0.04, 0.12],
        ]
    },
    "a sheet for every test, a column for every day": {
        "Nitrate mg-L": [["Tank", *DAYS], ["T1", 5, 6], ["T2", 10, "10-15"]],
        "PO4": [["Tank", *DAYS], ["T1", "<0.03", 0.04], ["T2", 0.1, 0.12]],
    },
    "a column for every day, the test in the row": {
        "Readings": [
            ["Tank", "Test", *DAYS],
            ["T1", "Nitrate", 5, 6],
            ["T1", "Phosphate", "<0.03", 0.04],
            ["T2", "Nitrate", 10, "10-15"],
            ["T2", "Phosphate", 0.1, 0.12],
        ]
    },
    "a sheet for every tank, tests down, days across": {
        "T1": [["", *DAYS], ["Nitrate", 5, 6], ["Phosphate", "<0.03", 0.04]],
        "T2": [["", *DAYS], ["Nitrate", 10, "10-15"], ["Phosphate", 0.1, 0.12]],
    },
    "days across as text": {
        "Nitrate": [["Tank", "2026-03-04", "2026-03-11"], ["T1", 5, 6],
                    ["T2", 10, "10-15"]],
        "Phosphate": [["Tank", "4 Mar 2026", "11 Mar 2026"], ["T1", "<0.03", 0.04],
                      ["T2", 0.1, 0.12]],
    },
    "tanks above, tests below": {
        "Readings": [
            ["", "T1", "", "T2", ""],
            ["Date", "Nitrate", "Phosphate", "Nitrate", "Phosphate"],
            [DAYS[0], 5, "<0.03", 10, 0.1],
            [DAYS[1], 6, 0.04, "10-15", 0.12],
        ]
    },
    "tank and test in one header": {
        "Readings": [
            ["Date", "T1 nitrate", "T1 PO4 (mg/L)", "NO3 T2", "T2 - phosphate"],
            [DAYS[0], 5, "<0.03", 10, 0.1],
            [DAYS[1], 6, 0.04, "10-15", 0.12],
        ]
    },
    "two header rows, the upper a group": {
        "Readings": [
            ["", "", "Nutrients", ""],
            ["Date", "Tank", "Nitrate (mg/L)", "Phosphate (mg/L)"],
            *LONG[1:],
        ]
    },
    "a row of units under the headers": {
        "Readings": [
            ["Date", "Tank", "Nitrate", "Phosphate"],
            ["", "", "mg/L", "(ppm)"],
            *LONG[1:],
        ]
    },
    "answers of a form": {
        "Form Responses 1": [
            ["Timestamp", "Which tank did you test?",
             "What was the nitrate reading (mg/L)?", "Phosphate (mg/L)?"],
            *([dt.datetime(2026, 3, d.day, 10, 5), *row] for d, *row in LONG[1:]),
        ]
    },
}  # fmt: skip


@pytest.mark.parametrize("name", LAYOUTS)
def test_layout_gives_the_same_readings(tmp_path, name):
    sheets = {"Tanks": TANKS, **LAYOUTS[name]}
    book = read_sheets(tmp_path, **{k.replace(" ", "__"): v for k, v in sheets.items()})
    assert sorted(values(book)) == sorted(SAME)
    unknown = ["columns-not-used"] if "unknown" in name else []
    assert kinds(book) == unknown
    assert all(c.rows == c.read + c.left_out for c in book.counts)


@pytest.mark.parametrize(
    "name",
    [
        "long",
        "one row a result",
        "a sheet for every tank",
        "a sheet for every test, a column for every tank",
        "a sheet for every test, a column for every day",
        "tanks above, tests below",
    ],
)
def test_layout_without_a_sheet_of_tanks(tmp_path, name):
    sheets = LAYOUTS[name]
    book = read_sheets(tmp_path, **{k.replace(" ", "__"): v for k, v in sheets.items()})
    assert sorted(values(book)) == sorted(SAME)
    assert {tank.id for tank in book.tanks} == {"T1", "T2"}
    assert "tanks-from-readings" in kinds(book)
    assert set(kinds(book)) <= {"tanks-from-readings", "tank-from-sheet"}


def test_values_of_one_visit_stand_in_one_reading_whatever_the_layout(tmp_path):
    name = "a sheet for every test, a column for every tank"
    book = read_sheets(tmp_path, Tanks=TANKS, **LAYOUTS[name])
    assert len(book.readings) == 4
    assert [len(reading.results) for reading in book.readings] == [2, 2, 2, 2]


def test_numbers_as_tank_ids_head_columns(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=[["Tank", "Volume (L)"], [1, 200], ["007", 300]],
        Nitrate=[["Date", 1, "007"], [DAYS[0], 5, 10]],
    )
    assert values(book) == [
        ("007", "2026-03-04", "nitrate", "value", 10),
        ("1", "2026-03-04", "nitrate", "value", 5),
    ]


def test_addresses_are_those_of_the_sheet(tmp_path):
    book = read_sheets(tmp_path, Tanks=TANKS, Readings=[["A title"], [], [], *LONG[:2]])
    (reading,) = book.readings
    assert [result.source.cell for result in reading.results] == ["C5", "D5"]
    assert (reading.source.row, reading.source.cell) == (5, "A5")


def test_merged_cells_name_the_rows_below(tmp_path):
    import xlsxwriter

    path = tmp_path / "book.xlsx"
    made = xlsxwriter.Workbook(str(path))
    tanks, sheet = made.add_worksheet("Tanks"), made.add_worksheet("Readings")
    for row, cells in enumerate(TANKS):
        tanks.write_row(row, 0, cells)
    sheet.write_row(0, 0, ["Date", "Tank", "Nitrate (mg/L)"])
    sheet.merge_range("A2:A3", "2026-03-04")
    sheet.write_row(1, 1, ["T1", 5])
    sheet.write_row(2, 1, ["T2", 10])
    sheet.write_row(3, 1, ["T1", 7])
    made.close()
    book = read_files(path)
    assert [(t, d, n) for t, d, _, _, n in values(book)] == [
        ("t1", "2026-03-04", 5),
        ("t2", "2026-03-04", 10),
    ]
    # A blank that is not merged is not "the same as above".
    assert lines(book) == [
        "Readings!A4: This row has no date. Write the day, as in 2026-11-21."
    ]


def test_merged_headers_parted_below_are_read_together(tmp_path):
    import xlsxwriter

    path = tmp_path / "book.xlsx"
    made = xlsxwriter.Workbook(str(path))
    tanks, sheet = made.add_worksheet("Tanks"), made.add_worksheet("Readings")
    for row, cells in enumerate(TANKS):
        tanks.write_row(row, 0, cells)
    for place, text in (("A1:A2", "Date"), ("B1:B2", "Tank"), ("C1:D1", "Nitrate")):
        sheet.merge_range(place, text)
    sheet.write_row(1, 2, ["mg/L", "method"])
    sheet.write_row(2, 0, ["2026-03-04", "T1", 5, "photometer"])
    made.close()
    book = read_files(path)
    (reading,) = book.readings
    (result,) = reading.results
    assert (result.number, result.unit, result.method) == (5, "mg/L NO3", "photometer")
    assert [use.header for use in book.columns if use.sheet == "Readings"] == [
        "Date", "Tank", "Nitrate mg/L", "Nitrate method",
    ]  # fmt: skip


def test_parts_of_a_merged_header_that_are_not_understood_are_not_guessed(tmp_path):
    import xlsxwriter

    path = tmp_path / "book.xlsx"
    made = xlsxwriter.Workbook(str(path))
    sheet = made.add_worksheet("Readings")
    sheet.merge_range("C1:D1", "Nitrate (mg/L)")
    sheet.write_row(1, 0, ["Date", "Tank", "Surface", "Bottom"])
    sheet.write_row(2, 0, ["2026-03-04", "T1", 5, 6])
    made.close()
    book = read_files(path)
    assert book.readings == ()
    assert lines(book) == [
        "Readings!: No column of this sheet of readings is headed with a test, such as "
        "'Nitrate (mg/L)'; it was not used. Add the header, or say in a layout file "
        "which column it is."
    ]


def test_units_of_the_row_below_hold_for_the_column(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[
            ["Date", "Tank", "Nitrate", "Salinity", "Temperature", "PO4"],
            ["", "", "mg/L NO3-N", "sg", "°F", "ppb P"],
            [DAYS[0], "T1", 1.1, 1.025, 78, 30],
        ],
    )
    (reading,) = book.readings
    assert [(r.unit, r.number) for r in reading.results] == [
        ("mg/L NO3-N", 1.1),
        ("SG", 1.025),
        ("°F", 78),
        ("ug/L PO4-P", 30),
    ]


def test_two_columns_of_one_test_use_the_first_and_say_so(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[["Date", "Tank", "Nitrate (mg/L)", "NO3"], [DAYS[0], "T1", 5, 6]],
    )
    assert values(book) == [("t1", "2026-03-04", "nitrate", "value", 5)]
    assert lines(book) == [
        "Readings!D1: Two columns are nitrate: 'Nitrate (mg/L)' was used, 'NO3' was "
        "not. Rename one, or say in a layout file which is meant."
    ]


def test_two_columns_by_two_methods_are_both_read(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[
            ["Date", "Tank", "Nitrate (strip)", "Nitrate (photometer)"],
            [DAYS[0], "T1", 5, 6.2],
        ],
    )
    (reading,) = book.readings
    assert [(r.number, r.method) for r in reading.results] == [
        (5, "strip"),
        (6.2, "photometer"),
    ]
    assert kinds(book) == []


def test_method_columns_belong_to_their_value(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[
            ["Date", "Tank", "Nitrate", "Method", "Phosphate", "Phosphate method"],
            [DAYS[0], "T1", 5, "card", 0.1, "photometer"],
            [DAYS[1], "T1", 5, "", 0.1, ""],
        ],
    )
    assert [[r.method for r in reading.results] for reading in book.readings] == [
        ["card", "photometer"],
        ["", ""],
    ]


def test_header_with_an_unknown_unit_leaves_its_column_out(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[["Date", "Tank", "Nitrate (mgg/L)", "pH"], [DAYS[0], "T1", 5, 8.1]],
    )
    assert values(book) == [("t1", "2026-03-04", "ph", "value", 8.1)]
    assert lines(book) == [
        "Readings!C1: The header 'Nitrate (mgg/L)' names 'mgg/l', which is not a unit "
        "known for nitrate; the column was not used. Write one of: mg/L NO3, "
        "mg/L NO3-N, ug/L NO3, ug/L NO3-N, umol/L NO3."
    ]


def test_only_tank_there_is_takes_a_sheet_without_tanks(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS[:2],
        Readings=[["Date", "Nitrate (mg/L)"], [DAYS[0], 5]],
    )
    assert values(book) == [("t1", "2026-03-04", "nitrate", "value", 5)]
    assert kinds(book) == ["tank-from-sheet"]


def test_sheet_that_names_no_tank_among_several_is_left_out_and_said(tmp_path):
    rows = [["Date", "Nitrate (mg/L)"], [DAYS[0], 5], [DAYS[1], 6]]
    book = read_sheets(tmp_path, Tanks=TANKS, Readings=rows, T3=rows)
    assert book.readings == ()
    assert lines(book) == [
        "Readings!: No column of this sheet of readings is headed 'Tank'; it was not "
        "used. Add the header, or say in a layout file which column it is.",
        "T3!: No tank 'T3' is in the sheet of tanks. Add the tank to the sheet of "
        "tanks, or correct the id.",
    ]
    assert [(c.rows, c.read, c.left_out) for c in book.counts] == [
        (2, 2, 0), (2, 0, 2), (2, 0, 2),
    ]  # fmt: skip


def test_one_workbook_a_tank(tmp_path):
    rows = [["Date", "Nitrate (mg/L)"], [DAYS[0], 5]]
    first = workbook(tmp_path / "Anna.xlsx", Sheet1=rows)
    second = workbook(tmp_path / "Ben.xlsx", Sheet1=[rows[0], [DAYS[0], 9]])
    book = read_files(first, second)
    assert values(book) == [
        ("anna", "2026-03-04", "nitrate", "value", 5),
        ("ben", "2026-03-04", "nitrate", "value", 9),
    ]


def test_sheets_that_hold_no_data_are_passed_over_in_silence_others_not(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Start__here=[["Fill in the sheets"], ["Then run the tool"]],
        Shopping=[["Milk"], ["Bread"]],
    )
    assert lines(book) == [
        "Shopping!: Nothing was recognised in this sheet (2 rows); it was not used. "
        "Say in a layout file what it holds, if it matters."
    ]


def test_columns_say_how_they_were_understood(tmp_path):
    book = read_sheets(
        tmp_path,
        Tanks=TANKS,
        Readings=[
            ["Date", "Tank", "NO3-N (ppm)", "Nitrate method", "Mood"],
            [DAYS[0], "T1", 5, "card", "fine"],
        ],
    )
    assert [(u.column, u.meaning) for u in book.columns if u.sheet == "Readings"] == [
        (1, "date"),
        (2, "tank"),
        (3, "nitrate, mg/L NO3-N"),
        (4, "nitrate method"),
        (5, "not used"),
    ]
