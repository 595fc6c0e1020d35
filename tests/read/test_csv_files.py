"""Folders of .csv files: encodings, separators, quotation marks."""

import pytest

from .builders import kinds, lines, read, values

TANKS = "Tank,Volume (L),Place\nT1,200,Café\n"
READINGS = "Date,Tank,Nitrate (mg/L),Notes\n2026-03-04,T1,<5,Zoë\n2026-03-11,T1,7.5,\n"
FOUND = [
    ("t1", "2026-03-04", "nitrate", "below", 5),
    ("t1", "2026-03-11", "nitrate", "value", 7.5),
]


def folder(path, **files):
    path.mkdir(exist_ok=True)
    for name, content in files.items():
        data = content if isinstance(content, bytes) else content.encode("utf-8")
        (path / f"{name}.csv").write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("encoding", "mark", "told"),
    [
        ("utf-8", b"", []),
        ("utf-8-sig", b"", []),
        ("utf-16", b"", []),  # with its mark
        ("utf-16-le", b"\xff\xfe", []),
        ("utf-16-be", b"\xfe\xff", []),
        ("utf-16-le", b"", []),  # without one
        ("utf-16-be", b"", []),
        ("cp1252", b"", ["encoding-read", "encoding-read"]),
    ],
)
def test_encoding(tmp_path, encoding, mark, told):
    book = read(
        folder(
            tmp_path / "shop",
            Tanks=mark + TANKS.encode(encoding),
            Readings=mark + READINGS.encode(encoding),
        )
    )
    assert values(book) == FOUND
    assert book.tanks[0].place == "Café"
    assert book.readings[0].notes == "Zoë"
    assert kinds(book) == told


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separator_and_line_end(tmp_path, separator, end):
    def written(text):
        return text.replace(",", separator).replace("\n", end)

    book = read(
        folder(tmp_path / "shop", Tanks=written(TANKS), Readings=written(READINGS))
    )
    assert values(book) == FOUND
    assert kinds(book) == []


def test_semicolons_with_decimal_commas(tmp_path):
    text = "Datum;Date;Tank;Nitrate;PO4\nx;2026-03-04;T1;7,5;0,03\n"
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert [v[-1] for v in values(book)] == [7.5, 0.03]


def test_first_line_may_tell_the_separator(tmp_path):
    text = "sep=;\n" + READINGS.replace(",", ";")
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert values(book) == FOUND
    assert book.readings[0].source.row == 2  # as a spreadsheet program shows it


def test_quotation_marks_hold_separators_and_lines(tmp_path):
    text = 'Date,Tank,Nitrate,Notes\n2026-03-04,T1,5,"one, two\nthree ""four"""\n'
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert book.readings[0].notes == 'one, two\nthree "four"'


def test_inch_marks_are_no_quotation(tmp_path):
    text = 'Date,Tank,Nitrate,Notes\n2026-03-04,T1,5,12" pipe\n2026-03-05,T1,6,"a" b\n'
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert [r.notes for r in book.readings] == ['12" pipe', "a b"]


def test_open_quotation_mark_is_refused_with_its_row(tmp_path):
    rows = '2026-03-04,T1,5,ok\n2026-03-05,T1,6,"oh\n2026-03-06,T1,7,\n'
    head = "Date,Tank,Nitrate,Notes\n"
    for text, said in (
        (head + rows, "a quotation mark in row 3 is not closed"),
        (head + rows + rows, "a quotation mark in or before row 3 stands"),
    ):
        book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
        (failed,) = (source for source in book.sources if source.failed)
        assert failed.failed.startswith(f"Readings.csv: {said}")
        assert [tank.id for tank in book.tanks] == ["T1"]


def test_lines_of_unequal_length_and_blank_lines_keep_their_row(tmp_path):
    text = "Date,Tank,Nitrate,Notes\n\n2026-03-04,T1\n\n2026-03-05,T1,5\n"
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert [(r.source.row, len(r.results)) for r in book.readings] == [(5, 1)]
    assert kinds(book) == ["rows-without-values"]


def test_a_folder_of_sheets_is_one_workbook(tmp_path):
    book = read(
        folder(
            tmp_path / "shop",
            Tanks=TANKS,
            Readings=READINGS,
            Work="Date,Tank,Work,Amount,Unit\n2026-03-05,T1,water change,10,%\n",
            Settings="Setting,Value\nOrganisation,Reef club\n",
        )
    )
    assert [s.name for s in book.sources] == [
        "Readings.csv", "Settings.csv", "Tanks.csv", "Work.csv",
    ]  # fmt: skip
    assert (book.work[0].amount, book.work[0].unit) == (10, "%")
    assert book.settings.organisation == "Reef club"
    assert {r.source.sheet for r in book.readings} == {"Readings"}


def test_a_csv_file_for_every_tank(tmp_path):
    rows = "Date,Nitrate\n2026-03-04,5\n"
    book = read(folder(tmp_path / "shop", T1=rows, T2=rows.replace("5", "9")))
    assert [(v[0], v[-1]) for v in values(book)] == [("t1", 5), ("t2", 9)]


def test_one_csv_file_alone(tmp_path):
    place = folder(tmp_path / "shop", Readings=READINGS)
    book = read(place / "Readings.csv")
    assert values(book) == FOUND
    assert kinds(book) == ["tanks-from-readings"]


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "the file is empty."),
        (b"\r\n  \r\n", "the file is empty."),
        (b"\0" * 500, "the file is empty."),
        (b"Date,Tank\0\0\0x", "it is not a text file. Save it again as .csv (UTF-8)."),
        (b"<!DOCTYPE html><html><body>", "it is a web page, whatever its name says."),
        (b"%PDF-1.7", "it is a PDF, not a workbook."),
    ],
    ids=repr,
)
def test_csv_that_cannot_be_read(tmp_path, data, why):
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=data))
    (failed,) = (source for source in book.sources if source.failed)
    assert failed.failed.startswith(f"Readings.csv: {why}")
    assert "\n" not in failed.failed
    assert len(book.tanks) == 1


def test_csv_too_large_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("fleet.read.csv_files.MOST_BYTES", 40)
    book = read(folder(tmp_path / "shop", Readings=READINGS))
    assert "larger than" in book.sources[0].failed


def test_csv_of_too_many_cells_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("fleet.read.csv_files.MOST_CELLS", 8)
    book = read(folder(tmp_path / "shop", Readings=READINGS))
    assert "million cells" in book.sources[0].failed


def test_text_that_a_program_would_take_for_a_formula_is_text(tmp_path):
    text = "Date,Tank,Nitrate,Notes\n2026-03-04,T1,#DIV/0!,=1+1\n"
    book = read(folder(tmp_path / "shop", Tanks=TANKS, Readings=text))
    assert book.readings[0].notes == "=1+1"
    assert lines(book) == [
        "Readings!C2: The formula in this cell gives #DIV/0!. Mend the formula, or "
        "write the value itself."
    ]


class TestDecimalCommas:
    """Commas part the values and the decimals: a row then has one value too many."""

    def test_a_row_with_more_values_than_headers_is_left_out(self, tmp_path):
        path = tmp_path / "Readings.csv"
        path.write_text(
            "Date,Tank,NO3,PO4 (mg/L)\n2026-03-30,A1,5,0,03\n2026-03-30,A2,8,0.06\n",
            "utf-8",
        )
        book = read(path)
        assert {v[0] for v in values(book)} == {"a2"}
        assert lines(book, "row-too-long") == [
            "Readings!E2: This row has 5 values under 4 headers; a decimal comma may "
            "have parted one of them. Write decimals with a point, or put the number "
            "into quotation marks."
        ]
        (count,) = (c for c in book.counts if c.rows)
        assert (count.rows, count.read, count.left_out) == (2, 1, 1)

    def test_a_remark_without_a_header_and_a_number_in_quotes_are_read(self, tmp_path):
        path = tmp_path / "Readings.csv"
        path.write_text(
            'Date,Tank,NO3,PO4 (mg/L)\n2026-03-30,A1,5,"0,03"\n'
            "2026-03-30,A2,8,0.06,seen by Jo\n",
            "utf-8",
        )
        book = read(path)
        assert {v[0] for v in values(book)} == {"a1", "a2"}
        assert not lines(book, "row-too-long")

    def test_a_column_without_a_header_is_no_fault(self, tmp_path):
        path = tmp_path / "Readings.csv"
        path.write_text("Date,Tank,NO3,\n2026-03-30,A1,5,12\n", "utf-8")
        assert not lines(read(path), "row-too-long")
