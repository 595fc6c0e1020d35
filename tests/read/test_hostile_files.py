"""Files from outside: damaged, hostile or merely odd. None may stop the others."""

import datetime as dt
import io
import zipfile

import openpyxl
import pytest
import xlsxwriter

from .builders import (
    TANKS,
    kinds,
    lines,
    ods,
    ods_number,
    ods_row,
    ods_text,
    raw_parts,
    raw_readings,
    raw_row,
    read,
    text_cell,
    values,
    workbook,
    zipped,
)

STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
NUMBER = '<c r="C{0}"><v>{1}</v></c>'


def plain(**how):
    return raw_parts(raw_readings(raw_row(2, NUMBER.format(2, 5))), **how)


def saved(path, data):
    path.write_bytes(data)
    return path


def failure(path):
    """Return the one line said of a file, read beside a good one."""
    good = workbook(path.parent / "good.xlsx", Tanks=TANKS)
    book = read(path, good)
    assert [tank.id for tank in book.tanks] == ["T1", "T2"]
    first, second = book.sources
    assert (second.name, second.failed) == ("good.xlsx", "")
    assert "\n" not in first.failed
    return first.failed


def encrypted_zip(parts):
    data = bytearray(zipped(parts))
    # The first bit of the flags, in every local and central header.
    for sign, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(sign)
        while at >= 0:
            data[at + offset] |= 1
            at = data.find(sign, at + 4)
    return bytes(data)


def doubled():
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for part, content in plain().items():
            archive.writestr(part, content)
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr("xl/worksheets/sheet1.xml", "<worksheet/>")
    return packed.getvalue()


def chart_only():
    book = openpyxl.Workbook()
    book.create_chartsheet("Chart")
    del book["Sheet"]
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


GOOD = zipped(plain())
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
_SAVE = "Open it in a spreadsheet program and save it as 'Excel Workbook (*.xlsx)'."
DAMAGED = "the file is incomplete or damaged. Copy it again from where it came from."
LOCKED = (
    "the file is protected by a password. Open it, take the password off, save it, and "
    "run this again."
)
DTD = (
    "it holds XML definitions (a DTD), which no workbook needs; for safety it is not "
    "read. Open it in a spreadsheet program and save it again."
)
BOMB = '<!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
XXE = '<!DOCTYPE w [<!ENTITY a SYSTEM "file:///etc/hostname">]>'

REFUSED = {
    "empty": (b"", "the file is empty."),
    "zeros": (b"\0" * 4000, "the file is empty."),
    "old .xls": (OLE, f"it is an old binary workbook (.xls). {_SAVE}"),
    "password": (OLE + "EncryptedPackage".encode("utf-16-le"), LOCKED),
    "zip with a password": (encrypted_zip(plain()), LOCKED),
    "ods with a password": (
        zipped({"mimetype": "x", "content.xml": "\1\2", "META-INF/manifest.xml":
                "<manifest:encryption-data/>"}),
        LOCKED,
    ),
    "xlsb": (zipped({"xl/workbook.bin": b"\1"}),
             f"it is a binary workbook (.xlsb). {_SAVE}"),
    "docx": (zipped({"word/document.xml": "<w/>"}),
             "it is a text document (.docx), not a workbook."),
    "slides": (zipped({"ppt/presentation.xml": "<p/>"}),
               "it is a set of slides, not a workbook."),
    "plain zip": (zipped({"notes.txt": "hello"}),
                  "it is a zip file, not a workbook. Unpack it first."),
    "pdf": (b"%PDF-1.7 ...",
            "it is a PDF, not a workbook. Choose the workbook it was printed from."),
    "picture": (b"\x89PNG\r\n\x1a\n...", "it is a picture, not a workbook."),
    "web page": (b"\xef\xbb\xbf\r\n<!DOCTYPE html><html>",
                 f"it is a web page, whatever its name says. {_SAVE}"),
    "table of a web page": (b"<table><tr><td>Date</td></tr></table>",
                            f"it is a web page, whatever its name says. {_SAVE}"),
    "XML of 2003": (b"<?xml version='1.0'?><Workbook/>",
                    f"it is an XML file, not a workbook. {_SAVE}"),
    "text": (b"Date,Tank\n", "it is not a workbook. Choose an .xlsx or .ods file; if "
             "it is text with commas, let its name end in .csv."),
    "cut in the middle": (GOOD[: len(GOOD) // 2], DAMAGED),
    "cut at the end": (GOOD[:-30], DAMAGED),
    "strict": (
        zipped(plain(main=STRICT)),
        "it is saved as 'Strict Open XML Spreadsheet', which is not read. Save it "
        "again as 'Excel Workbook (*.xlsx)'.",
    ),
    "billion laughs": (zipped(plain(head=BOMB)), DTD),
    "external entity": (zipped(plain(head=XXE)), DTD),
    "ods with entities": (
        zipped({"mimetype": "x", "content.xml": f"{XXE}<office:document-content/>"}),
        DTD,
    ),
    "UTF-16 parts": (
        zipped({k: v.encode("utf-16") for k, v in plain().items()}),
        "it is written in an unusual encoding. Open it in a spreadsheet program and "
        "save it again.",
    ),
    "another encoding": (
        zipped(plain(head='<?xml version="1.0" encoding="iso-8859-1"?>')),
        "it is written in an unusual encoding. Open it in a spreadsheet program and "
        "save it again.",
    ),
    "a part twice": (doubled(), "it holds a part twice; nobody can tell which counts."),
    "charts only": (
        chart_only(),
        "it holds no sheet of cells, only charts. Choose the workbook with the "
        "readings.",
    ),
    "broken XML": (
        zipped(plain() | {"xl/worksheets/sheet1.xml": "<worksheet><sheetData><row>"}),
        DAMAGED,
    ),
    "no workbook part left": (
        zipped({k: v for k, v in plain().items() if "sheet1" not in k}),
        DAMAGED,
    ),
    "unpacks to far more": (
        zipped(plain() | {"xl/worksheets/sheet2.xml": b" " * 30_000_000}),
        "it unpacks to far more than a workbook of its size; it is not read.",
    ),
    "too large unpacked": (
        zipped(plain() | {"xl/media/x.bin": b" " * 105_906_176}),
        "it holds 101 MB when unpacked; the most that is read is 100 MB. Split it into "
        "smaller workbooks.",
    ),
    "too many parts": (
        zipped({f"x{number}": "" for number in range(10_001)}),
        "it is packed from too many parts to be a workbook.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_one_line_and_the_others_are_read(tmp_path, name):
    data, why = REFUSED[name]
    path = saved(tmp_path / "bad.xlsx", data)
    assert failure(path) == f"bad.xlsx: {why}"
    assert path.read_bytes() == data


def test_missing_file_and_folder_without_workbooks(tmp_path):
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "~$lock.xlsx").write_bytes(b"")
    assert failure(tmp_path / "no.xlsx") == "no.xlsx: there is no such file."
    assert failure(tmp_path / "empty") == (
        "empty: the folder holds no workbook and no .csv file."
    )


def test_a_file_too_large_on_disk_is_not_even_read(tmp_path, monkeypatch):
    monkeypatch.setattr("fleet.read.open.MOST_PACKED", 100)
    book = read(saved(tmp_path / "big.xlsx", GOOD))
    assert "MB large" in book.sources[0].failed


def test_a_panic_of_the_library_ends_at_the_file(tmp_path, monkeypatch):
    class PanicException(BaseException):
        pass

    def panic(*_):
        raise PanicException("index out of bounds")

    monkeypatch.setattr("fleet.read.open.sheets_of_xlsx", panic)
    book = read(saved(tmp_path / "book.xlsx", GOOD))
    assert book.sources[0].failed.startswith("book.xlsx: it is damaged")


def test_an_order_to_stop_is_not_swallowed(tmp_path, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("fleet.read.open.sheets_of_xlsx", stop)
    with pytest.raises(KeyboardInterrupt):
        read(saved(tmp_path / "book.xlsx", GOOD))


def test_a_sheet_that_cannot_be_read_is_named(tmp_path):
    rows = raw_readings(raw_row(2, '<c r="C2" t="b"><v>maybe</v></c>'))
    path = saved(tmp_path / "bad.xlsx", zipped(raw_parts(rows, name="Round 7")))
    assert failure(path) == (
        "bad.xlsx: its sheet 'Round 7' is damaged or holds something that cannot be "
        "read. Open it in a spreadsheet program and save it again."
    )


class TestOddSheets:
    def one(self, tmp_path, rows, **how):
        path = saved(tmp_path / "odd.xlsx", zipped(raw_parts(rows, **how)))
        return read(path, workbook(tmp_path / "good.xlsx", Tanks=TANKS))

    @pytest.mark.parametrize(
        "dimension", ["A1", "A1:B1", "A1:XFD1048576", "XFD1048576", "nonsense"]
    )
    def test_wrong_dimension_loses_no_cell(self, tmp_path, dimension):
        rows = raw_readings(*(raw_row(n, NUMBER.format(n, n)) for n in (2, 3, 90)))
        book = self.one(tmp_path, rows, before=f'<dimension ref="{dimension}"/>')
        assert [v[-1] for v in values(book)] == [2, 3, 90]
        assert book.readings[-1].source.row == 90

    def test_cells_without_references(self, tmp_path):
        head = "".join(
            f'<c t="inlineStr"><is><t>{t}</t></is></c>' for t in ("Date", "Tank", "NO3")
        )
        row = "".join(
            f'<c t="inlineStr"><is><t>{t}</t></is></c>' for t in ("2026-03-04", "T1")
        )
        book = self.one(tmp_path, f"<row>{head}</row><row>{row}<c><v>5</v></c></row>")
        assert values(book) == [("t1", "2026-03-04", "nitrate", "value", 5)]

    def test_stray_far_cell_is_named_and_the_rest_read(self, tmp_path):
        far = '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
        near = raw_row(2, NUMBER.format(2, 5))
        book = self.one(tmp_path, raw_readings(near, far))
        assert values(book) == [("t1", "2026-03-04", "nitrate", "value", 5)]
        assert lines(book) == [
            "Readings!: Far from the rest of this sheet and not read: 1 cell "
            "(XFD1048576). Delete them, or move them to the others."
        ]

    @pytest.mark.parametrize("place", ["A1048576", "XFD3"])
    def test_far_cell_that_fits_is_a_row_like_any_other(self, tmp_path, place):
        number = place.lstrip("XFDA")
        far = f'<row r="{number}"><c r="{place}"><v>1</v></c></row>'
        near = raw_row(2, NUMBER.format(2, 5))
        book = self.one(tmp_path, raw_readings(near, far))
        assert [v[-1] for v in values(book)] == [5]
        *others, problem = book.problems
        assert (problem.kind, problem.where.row) == ("rows-without-values", int(number))
        # A cell far to the right stands in a column that nobody knows.
        assert [p.kind for p in others] == ["columns-not-used"] * (place == "XFD3")

    @pytest.mark.parametrize("quote", ['r="{}"', "r='{}'", 'r = "{}"', '\n  r="{}"'])
    def test_far_cell_cannot_hide_behind_spelling(self, tmp_path, quote):
        cell = quote.format("XFD1048576")
        far = f'<row r="1048576"><c {cell}><v>1</v></c></row>'
        book = self.one(tmp_path, raw_readings(raw_row(2, NUMBER.format(2, 5)), far))
        assert [v[-1] for v in values(book)] == [5]
        assert "cells-too-far" in kinds(book)

    def test_blank_far_cell_with_a_format_is_nothing(self, tmp_path):
        far = '<row r="1048576"><c r="XFD1048576" s="0"/></row>'
        book = self.one(tmp_path, raw_readings(raw_row(2, NUMBER.format(2, 5)), far))
        assert [v[-1] for v in values(book)] == [5]
        assert kinds(book) == []

    @pytest.mark.parametrize(
        ("cell", "kind", "value"),
        [
            ('<c r="C2" t="e"><v>#DIV/0!</v></c>', "cell-error", "#DIV/0!"),
            ('<c r="C2" t="e"><f>1/0</f><v>#N/A</v></c>', "cell-error", "#N/A"),
            ('<c t="e" r="C2"><v>#REF!</v></c>', "cell-error", "#REF!"),
            ("<c r='C2' t='e'><v>#REF!</v></c>", "cell-error", "#REF!"),
            ('<c r="C2" cm="1" t="e"><v>#SPILL!</v></c>', "cell-error", "#SPILL!"),
            ('<c r="C2" t="e"><f>X()</f><v>#BUSY!</v></c>', "cell-error", "#BUSY!"),
            ("<c r='C2' t='e'><v>#odd</v></c>", "cell-error", "#odd"),
            ('<c r="C2"><f>1+1</f></c>', "formula-without-value", ""),
            ('<c r="C2">\n<f>1+1</f>\n</c>', "formula-without-value", ""),
            ('<c r="C2"><f>1+1</f><v></v></c>', "formula-without-value", ""),
            ('<c r="C2"><f>1+1</f><v/></c>', "formula-without-value", ""),
            ('<c r="C2"><f t="shared" si="0"/></c>', "formula-without-value", ""),
            ('<c r="C2"><v>eight</v></c>', "value-unreadable", "eight"),
            ('<c r="C2"><v>NaN</v></c>', "value-unreadable", "nan"),
            ('<c r="C2"><v>INF</v></c>', "value-unreadable", "inf"),
            ('<c r="C2" t="b"><v>1</v></c>', "value-unreadable", "TRUE"),
        ],
    )
    def test_cell_in_trouble_is_said_and_is_no_blank(self, tmp_path, cell, kind, value):
        good = raw_row(3, NUMBER.format(3, 7))
        book = self.one(tmp_path, raw_readings(raw_row(2, cell), good))
        assert [v[-1] for v in values(book)] == [7]
        (problem,) = book.problems
        assert (problem.kind, problem.where.cell, problem.value) == (kind, "C2", value)

    @pytest.mark.parametrize(
        ("cell", "number"),
        [
            ('<c r="C2"><f>2+3</f><v>5</v></c>', 5),
            ('<c r="C2" t="str"><f>"&lt;5"</f><v>&lt;5</v></c>', 5),
            ('<c r="C2" t="str"><f>IF(1,"","")</f><v></v></c>', None),  # a real blank
            ('<c r="C2" t="str"><v>5</v></c>', 5),
            ('<c r="C2" t="n"><v>5</v></c>', 5),
            ('<c r="C2"><v></v></c>', None),
        ],
    )
    def test_formula_with_its_saved_value_is_the_value(self, tmp_path, cell, number):
        book = self.one(
            tmp_path, raw_readings(raw_row(2, cell), raw_row(3, NUMBER.format(3, 7)))
        )
        assert [v[-1] for v in values(book)] == [n for n in (number, 7) if n]
        assert "formula-without-value" not in kinds(book)

    def test_trouble_in_keys_leaves_the_row_out(self, tmp_path):
        rows = raw_readings(
            f'<row r="2"><c r="A2" t="e"><v>#N/A</v></c>{text_cell("B2", "T1")}'
            '<c r="C2"><v>5</v></c></row>',
            f'<row r="3">{text_cell("A3", "2026-03-04")}<c r="B3"><f>A1</f></c>'
            '<c r="C3"><v>5</v></c></row>',
        )
        book = self.one(tmp_path, rows)
        assert book.readings == ()
        assert [(p.kind, p.where.cell, p.effect) for p in book.problems] == [
            ("cell-error", "A2", "row left out"),
            ("formula-without-value", "B3", "row left out"),
        ]

    def test_1904_dates(self, tmp_path):
        # 2026-03-04 is serial 46085 counted from 1900 and 44623 counted from 1904
        # (ECMA-376 part 1, 18.17.4.1; the difference is 1462).
        row = f'<row r="2"><c r="A2"><v>44623</v></c>{text_cell("B2", "T1")}'
        rows = raw_readings(f'{row}<c r="C2"><v>5</v></c></row>')
        book = self.one(tmp_path, rows, workbook_pr='<workbookPr date1904="1"/>')
        assert [r.taken_on for r in book.readings] == [dt.date(2026, 3, 4)]

    def test_1904_date_cells(self, tmp_path):
        path = tmp_path / "mac.xlsx"
        made = xlsxwriter.Workbook(str(path), {"date_1904": True})
        sheet = made.add_worksheet("Readings")
        sheet.write_row(0, 0, ["Date", "Tank", "Nitrate"])
        form = made.add_format({"num_format": "yyyy-mm-dd"})
        sheet.write_datetime(1, 0, dt.datetime(2026, 3, 4), form)
        sheet.write_row(1, 1, ["T1", 5])
        made.close()
        assert [r.taken_on for r in read(path).readings] == [dt.date(2026, 3, 4)]

    def test_hidden_sheet_and_rows_are_read_with_a_note(self, tmp_path):
        path = tmp_path / "book.xlsx"
        made = xlsxwriter.Workbook(str(path))
        made.add_worksheet("Start here")
        sheet = made.add_worksheet("Readings")
        sheet.write_row(0, 0, ["Date", "Tank", "Nitrate"])
        sheet.write_row(1, 0, ["2026-03-04", "T1", 5])
        sheet.write_row(2, 0, ["2026-03-05", "T1", 6])
        sheet.set_row(1, None, None, {"hidden": True})
        sheet.very_hidden()
        made.close()
        book = read(path, workbook(tmp_path / "good.xlsx", Tanks=TANKS))
        assert [v[-1] for v in values(book)] == [5, 6]
        assert lines(book) == [
            "Readings!: This sheet is hidden; it was read all the same. Delete it if "
            "it should not count.",
            "Readings!: This sheet has 1 row hidden; they were read all the same. "
            "Delete rows that should not count: hiding or filtering is not enough.",
        ]

    def test_text_repeated_in_thousands_of_cells_is_cut(self, tmp_path):
        # One shared text of a million characters in 3,000 cells: 3 GB if written out.
        path = tmp_path / "book.xlsx"
        made = xlsxwriter.Workbook(str(path))
        sheet = made.add_worksheet("Readings")
        sheet.write_row(0, 0, ["Date", "Tank", "Nitrate", "Notes"])
        for row in range(1, 3001):
            sheet.write_row(row, 0, ["2026-03-04", "T1", 5, "the long one"])
        made.close()
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        strings = parts["xl/sharedStrings.xml"]
        parts["xl/sharedStrings.xml"] = strings.replace(b"the long one", b"x" * 10**6)
        book = read(saved(path, zipped(parts)))
        assert len(book.readings) == 3000
        assert len(book.readings[0].notes) < 4100
        assert book.readings[0].notes.endswith("x [...]")
        assert "texts-cut" in kinds(book)

    def test_a_million_blank_rows_are_nothing(self, tmp_path):
        blank = "".join(f'<row r="{n}" ht="20"/>' for n in range(3, 200_000))
        book = self.one(tmp_path, raw_readings(raw_row(2, NUMBER.format(2, 5)), blank))
        assert [v[-1] for v in values(book)] == [5]
        assert kinds(book) == []

    def test_more_cells_than_fit_are_refused(self, tmp_path, monkeypatch):
        monkeypatch.setattr("fleet.read.xlsx.MOST_CELLS", 6)
        book = read(saved(tmp_path / "bad.xlsx", GOOD))
        assert "it holds more than 0 million cells" in book.sources[0].failed

    def test_control_characters_do_not_come_through(self, tmp_path):
        rows = raw_readings(raw_row(2, NUMBER.format(2, 5), tank="T1_x001B_[31m"))
        path = saved(tmp_path / "odd.xlsx", zipped(raw_parts(rows)))
        (tank,) = read(path).tanks
        assert tank.id == "T1[31m"


class TestOds:
    HEAD = ods_row(ods_text("Date"), ods_text("Tank"), ods_text("Nitrate"))

    def row(self, cell, tank="T1", more=""):
        day = (
            '<table:table-cell office:value-type="date" office:date-value="2026-03-04">'
            "<text:p>4 Mar</text:p></table:table-cell>"
        )
        return ods_row(day, ods_text(tank), cell, more=more)

    def read(self, tmp_path, *rows, **how):
        path = saved(tmp_path / "book.ods", ods(self.HEAD + "".join(rows), **how))
        return read(path, workbook(tmp_path / "good.xlsx", Tanks=TANKS))

    def test_values(self, tmp_path):
        far = "<table:table-cell table:number-columns-repeated='16000'/>"
        blank = ods_row(far, more=" table:number-rows-repeated='1048000'")
        book = self.read(
            tmp_path,
            self.row(ods_number(5)),
            ods_row(far, more=" table:number-rows-repeated='3'"),
            self.row(ods_text("&lt;<text:span>5</text:span>")),
            self.row(ods_number(7, "currency")),
            blank,
        )
        assert [(v[3], v[4]) for v in values(book)] == [
            ("value", 5), ("below", 5), ("value", 7),
        ]  # fmt: skip
        assert [r.source.row for r in book.readings] == [2, 6, 7]
        assert kinds(book) == []

    @pytest.mark.parametrize(
        ("cell", "kind"),
        [
            (ods_text("#DIV/0!", ' calcext:value-type="error" table:formula="of:=1/0"'),
             "cell-error"),
            (ods_text("Err:502", ' table:formula="of:=x"'), "cell-error"),
            ('<table:table-cell table:formula="of:=1+1"/>', "formula-without-value"),
            (ods_number(0.5, "percentage"), "unit-unknown"),
            ('<table:table-cell office:value-type="boolean" '
             'office:boolean-value="true"/>', "value-unreadable"),
        ],
    )  # fmt: skip
    def test_trouble(self, tmp_path, cell, kind):
        book = self.read(tmp_path, self.row(cell), self.row(ods_number(7)))
        assert [v[-1] for v in values(book)] == [7]
        assert [(p.kind, p.where.cell) for p in book.problems] == [(kind, "C2")]

    def test_formula_that_gives_the_empty_text_is_a_blank(self, tmp_path):
        # As LibreOffice 7.4 saves it, known by its own attribute on other cells.
        empty = '<table:table-cell table:formula="of:=IF(1;&quot;&quot;)"/>'
        seven = ods_number(7, more=' calcext:value-type="float"')
        book = self.read(tmp_path, self.row(empty), self.row(seven))
        assert [v[-1] for v in values(book)] == [7]
        assert kinds(book) == ["rows-without-values"]

    def test_comments_are_not_the_text(self, tmp_path):
        note = "<office:annotation><text:p>ask Jo</text:p></office:annotation>"
        cell = (
            f'<table:table-cell office:value-type="string">{note}<text:p>5</text:p>'
            "</table:table-cell>"
        )
        assert [v[-1] for v in values(self.read(tmp_path, self.row(cell)))] == [5]

    def test_hidden_sheet_and_rows(self, tmp_path):
        style = (
            '<style:style style:name="ta1" style:family="table">'
            '<style:table-properties table:display="false"/></style:style>'
        )
        book = self.read(
            tmp_path,
            self.row(ods_number(5), more=' table:visibility="filter"'),
            styles=style,
            sheet='table:name="Readings" table:style-name="ta1"',
        )
        assert [v[-1] for v in values(book)] == [5]
        assert kinds(book) == ["sheet-hidden", "rows-hidden"]

    def test_repeated_values_are_laid_out_within_bounds(self, tmp_path):
        many = " table:number-rows-repeated='3'"
        book = self.read(tmp_path, self.row(ods_number(5), more=many))
        assert len(book.readings) == 3
        bomb = " table:number-rows-repeated='900000'"
        wide = ods_number(5, more=" table:number-columns-repeated='1000'")
        path = saved(tmp_path / "bad.ods", ods(self.HEAD + self.row(wide, more=bomb)))
        assert "it holds more than 5 million cells" in failure(path)

    def test_damaged(self, tmp_path):
        data = ods("<table:table-row>")
        assert failure(saved(tmp_path / "bad.ods", data)) == f"bad.ods: {DAMAGED}"

    def test_without_a_sheet(self, tmp_path):
        data = zipped({"mimetype": "x", "content.xml": "<office:document-content/>"})
        assert "no sheet of cells" in failure(saved(tmp_path / "bad.ods", data))


def test_every_flipped_bit_is_refused_or_changes_no_value_unseen(tmp_path):
    """A damaged workbook is refused, or reads as before: never another value."""
    sheets = {"Tanks": TANKS, "Readings": [["Date", "Tank", "NO3"],
                                           ["2026-03-04", "T1", 5.25]]}  # fmt: skip
    path = workbook(tmp_path / "book.xlsx", **sheets)
    data = path.read_bytes()
    before = values(read(path))
    assert before
    for at in range(0, len(data), max(len(data) // 150, 1)):
        hurt = bytearray(data)
        hurt[at] ^= 1 << (at % 8)
        book = read(saved(path, bytes(hurt)))
        assert book.sources[0].failed or values(book) in (before, []), at


def test_zip_whose_directory_understates_a_size(tmp_path):
    """The part is cut at the stated size and its checksum fails: refused."""
    parts = plain()
    data = bytearray(zipped(parts))
    name = b"xl/worksheets/sheet1.xml"
    for sign, size_at, name_at in ((b"PK\x03\x04", 22, 30), (b"PK\x01\x02", 24, 46)):
        at = data.find(sign)
        while at >= 0:
            if data[at + name_at : at + name_at + len(name)] == name:
                data[at + size_at : at + size_at + 4] = (50).to_bytes(4, "little")
            at = data.find(sign, at + 4)
    assert failure(saved(tmp_path / "bad.xlsx", bytes(data))) == f"bad.xlsx: {DAMAGED}"
