"""Rarer ways to write and lay out, each met in some workbook."""

import datetime as dt

import pytest

from fleet.read.log import Log, Texts
from fleet.read.shared_strings import CUT_MARK

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
    read_sheets,
    values,
    workbook,
    zipped,
)

DAY = dt.date(2026, 3, 4)
NEXT = dt.date(2026, 3, 11)


class TestGroupedSheets:
    """Wide sheets, and sheets with a row for each result: what they may get wrong."""

    def test_a_sheet_for_every_test_one_row_a_result(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            **{"Nitrate NO3-N": [["Date", "Tank", "Result", "Method", "By"],
                                 [DAY, "T1", 1.1, "card", "Jo"]],
               "Phosphate": [["Date", "Tank", "Reading"], [DAY, "T1", "<0.03"]]},
        )  # fmt: skip
        (reading,) = book.readings
        assert [(r.parameter, r.number, r.unit, r.method) for r in reading.results] == [
            ("nitrate", 1.1, "mg/L NO3-N", "card"),
            ("phosphate", 0.03, "mg/L PO4", ""),
        ]
        assert reading.taken_by == "Jo"

    def test_faults_of_one_row_a_result(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[
                ["Date", "Tank", "Test", "Result", "Unit", "Look", "Notes"],
                [DAY, "T1", "Nitrate", 5, "ppm", "brown film", "first"],
                [DAY, "T1", "Nitrate", 6, "ppm", "", ""],
                [DAY, "T1", "Oxygen", 6, "ppm", "", ""],
                [DAY, "T1", "Nitrate", 6, "stones", "", ""],
                [DAY, "T9", "Nitrate", 6, "", "", ""],
                [DAY, "", "Nitrate", 6, "", "", ""],
                ["soon", "T1", "Nitrate", 6, "", "", ""],
                [DAY, "T2", "Nitrate", "five", "", "", ""],
                [DAY, "T2", "Nitrate", "n/a", "", "", ""],
                [DAY, "T2", "Nitrate", "5*", "", "", ""],
                [DAY, "T2", "pH", "", "", "", ""],
                ["Date", "Tank", "Test", "Result", "Unit", "Look", "Notes"],
            ],
        )
        # Two results of one test on one day are two visits.
        assert [(v[0], v[-1]) for v in values(book)] == [
            ("t1", 5), ("t1", 6), ("t2", 5),
        ]  # fmt: skip
        assert (book.readings[0].looks, book.readings[0].notes) == (
            ("brown film",), "first",
        )  # fmt: skip
        assert [(p.kind, p.where.cell) for p in book.problems] == [
            ("measures-unknown", "C4"),
            ("row-unit-unknown", "E5"),
            ("tank-unknown", "B6"),
            ("tank-missing", "B7"),
            ("date-unreadable", "A8"),
            ("header-again", "A13"),
            ("tank-unknown", "B13"),
            ("measures-unknown", "C13"),
            ("rows-without-values", "A12"),
            ("value-unreadable", "D9"),
            ("mark-read", "D11"),
        ]
        count = next(c for c in book.counts if c.sheet == "Readings")
        assert (count.rows, count.read, count.left_out) == (12, 5, 7)

    def test_column_of_a_tank_that_is_not_listed(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Nitrate=[["Date", "Test", "T1", "T7"], [DAY, "nitrate", 5, 6]],
        )
        assert [v[-1] for v in values(book)] == [5]
        layout = tmp_path / "book.layout.toml"
        layout.write_text(
            '[[sheet]]\nname = "Nitrate"\nparameter = "nitrate"\n[sheet.columns]\n'
            '"T1" = "tank T1"\n"T7" = "tank T7"\n',
            "utf-8",
        )
        book = read(tmp_path / "book.xlsx")
        assert [v[-1] for v in values(book)] == [5]
        assert lines(book, "tank-unknown") == [
            "Nitrate!D1: No tank 'T7' is in the sheet of tanks. Add the tank to the "
            "sheet of tanks, or correct the id."
        ]

    def test_values_of_no_test_are_left_out_and_said(self, tmp_path):
        path = workbook(
            tmp_path / "book.xlsx", Tanks=TANKS, Log=[["Date", "left"], [DAY, 5]]
        )
        (tmp_path / "book.layout.toml").write_text(
            '[[sheet]]\nname = "Log"\n[sheet.columns]\n"left" = "tank T1"\n', "utf-8"
        )
        book = read(path)
        assert book.readings == ()
        assert kinds(book) == ["sheet-without-column"]
        assert (book.counts[-1].rows, book.counts[-1].left_out) == (1, 1)

    def test_times_of_day_part_visits(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Nitrate=[
                ["Date", "Time", "T1"],
                [DAY, dt.time(18, 0), 7],
                [DAY, dt.time(9, 0), 5],
            ],
        )
        assert [v[-1] for v in values(book)] == [5, 7]

    def test_unit_that_only_makes_sense_is_found_here_too(self, tmp_path):
        book = read_sheets(
            tmp_path, Tanks=TANKS, Temperature=[["Date", "T1"], [DAY, 78], [NEXT, 77]]
        )
        assert {r.unit for x in book.readings for r in x.results} == {"°F"}
        assert kinds(book) == ["unit-read"]

    def test_test_named_in_a_title_above(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Sheet3=[["Nitrate (ppm)"], [], ["Date", "T1", "T2"], [DAY, 5, 6]],
        )
        assert [(v[0], v[2], v[-1]) for v in values(book)] == [
            ("t1", "nitrate", 5),
            ("t2", "nitrate", 6),
        ]


class TestFlags:
    def read(self, folder, *rows, head=("Date", "Tank", "Nitrate", "Flag")):
        return read_sheets(folder, Tanks=TANKS, Readings=[list(head), *rows])

    @pytest.mark.parametrize(
        ("value", "flag", "found"),
        [
            (5, "<0>", ("value", 5)),
            (5, "", ("value", 5)),
            (5, "[SBL]", ("below", 5)),
            (5, "<-4> [SBL] (CHB)", ("below", 5)),
            (5, "U", ("below", 5)),
            (5, "nd", ("below", 5)),
            (0, "[SBL]", ("none seen", 0)),
            ("", "[SBL]", ("none seen", 0)),
            ("<2", "U", ("below", 2)),
            (75, "<-5>", ("above", 75)),
            (75, ">", ("above", 75)),
            (5, "<1>", ("value", 5)),
            (5, "J", ("value", 5)),
            ("", "<-2>", None),
            (5, "<-2> [GDM]", None),
            (5, "rejected", None),
            (5, "bad", None),
            ("five", "U", None),
        ],
    )
    def test_flag_right_of_its_value(self, tmp_path, value, flag, found):
        book = self.read(tmp_path, [DAY, "T1", value, flag])
        assert [(v[3], v[4]) for v in values(book)] == ([found] if found else [])

    def test_good_value_flagged_as_missing_is_said(self, tmp_path):
        book = self.read(tmp_path, [DAY, "T1", 5, "<-2>"])
        assert lines(book) == [
            "Readings!C2: The flag '<-2>' beside 5 says that there is no good value. "
            "Clear the flag if the value should count."
        ]

    @pytest.mark.parametrize(
        "head",
        [
            ("Date", "Tank", "Nitrate", "Nitrate flag"),
            ("Date", "Tank", "Nitrate (mg/L)", "flag_nitrate"),
            ("Date", "Tank", "NO3", "F_NO3"),
            ("Date", "Tank", "Nitrate", "QC nitrate"),
            ("Date", "Tank", "Nitrate (mg/L)", "Qualifier"),
        ],
    )
    def test_names_of_flag_columns(self, tmp_path, head):
        book = self.read(tmp_path, [DAY, "T1", 5, "U"], head=head)
        assert [v[3] for v in values(book)] == ["below"]

    def test_flag_may_stand_before_or_far_from_its_value(self, tmp_path):
        head = ("Nitrate flag", "Date", "Tank", "pH", "Nitrate")
        book = self.read(tmp_path, ["U", DAY, "T1", 8.1, 5], head=head)
        assert [(v[2], v[3]) for v in values(book)] == [
            ("ph", "value"), ("nitrate", "below"),
        ]  # fmt: skip

    def test_flag_of_a_value_that_is_not_there_is_not_used(self, tmp_path):
        head = ("Date", "Tank", "Phosphate flag", "Nitrate")
        book = self.read(tmp_path, [DAY, "T1", "U", 5], head=head)
        assert [v[3] for v in values(book)] == ["value"]
        assert [use.meaning for use in book.columns][-2:] == [
            "not used", "nitrate, mg/L NO3",
        ]  # fmt: skip

    def test_unknown_flags_are_told_once(self, tmp_path):
        book = self.read(tmp_path, [DAY, "T1", 5, "zz top"], [NEXT, "T1", 6, "zz"])
        assert lines(book) == [
            "Readings!D1: The flags 'zz', 'top' beside nitrate are not known and were "
            "passed over. Say in a layout file what they mean, if they matter."
        ]


class TestLongSheets:
    def test_time_stamp_serves_where_the_date_is_blank(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[
                ["Timestamp", "Date", "Tank", "Nitrate"],
                [dt.datetime(2026, 3, 5, 9), DAY, "T1", 5],
                [dt.datetime(2026, 3, 5, 9), "", "T1", 6],
                ["", "", "T1", 7],
            ],
        )
        assert [(v[1], v[-1]) for v in values(book)] == [
            ("2026-03-04", 5),
            ("2026-03-05", 6),
        ]
        assert kinds(book) == ["date-missing"]

    def test_several_columns_of_notes_are_joined(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[
                ["Date", "Tank", "Nitrate", "Notes", "Comments"],
                [DAY, "T1", 5, "one", "two"],
                [DAY, "T2", 5, "", 3],
            ],
        )
        assert [r.notes for r in book.readings] == ["one; two", "3"]

    def test_a_log_of_looks_alone(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[["Date", "Tank", "Look"], [DAY, "T1", "hair algae"]],
        )
        assert [r.looks for r in book.readings] == [("hair algae",)]

    def test_swapped_dates_are_suspected(self, tmp_path):
        days = [dt.date(2026, 3, 4), dt.date(2026, 5, 4), dt.date(2026, 6, 4)]
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[
                ["Date", "Tank", "Nitrate"],
                *([day, "T1", 5] for day in days),
                ["25/04/2026", "T1", 5],
            ],
        )
        assert lines(book) == [
            "Readings!A1: This column has texts with a day over 12 ('25/04/2026'), "
            "while no real date cell has one: a spreadsheet program may have swapped "
            "day and month in the others. Compare some dates with the paper notes."
        ]

    def test_header_row_far_below_titles_is_found_and_data_above_is_not_read(
        self, tmp_path
    ):
        titles = [[f"line {n}"] for n in range(30)]
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[*titles, ["Date", "Tank", "Nitrate"], [DAY, "T1", 5]],
        )
        assert book.readings[0].source.row == 32

    def test_number_too_long_to_be_one(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[["Date", "Tank", "Nitrate"], [DAY, "T1", "1e999"],
                      [DAY, "T1", "9" * 400], [DAY, "T2", 5]],
        )  # fmt: skip
        assert [v[-1] for v in values(book)][-1] == 5
        assert set(kinds(book)) == {"value-unreadable"}


class TestTankSheet:
    @pytest.mark.parametrize(
        ("header", "cell", "field", "value"),
        [
            ("Fish", "3 fish", "fish", 3),
            ("Fish", "none", "fish", 0),
            ("Fish", "?", "fish", None),
            ("Fish", "a few", "fish", None),
            ("Feed (g/day)", "8 g", "feed_g_day", 8),
            ("Feed (g/day)", "500 mg/day", "feed_g_day", 0.5),
            ("Feed (g/day)", "5 mL/day", "feed_g_day", None),
            ("Feed (g/day)", -1, "feed_g_day", None),
            ("Protein (%)", 140, "protein", None),
            ("Round order", "2", "round_order", 2),
            ("Round order", "second", "round_order", None),
            ("Cycled on", "not tested", "cycled_on", None),
            ("Cycled on", "n/a", "cycled_on", None),
        ],
    )
    def test_small_fields(self, tmp_path, header, cell, field, value):
        book = read_sheets(
            tmp_path, Tanks=[["Tank", "Volume (L)", header], ["T1", 200, cell]]
        )
        assert getattr(book.tanks[0], field) == value

    def test_headers_repeated_and_ids_in_trouble(self, tmp_path):
        rows = raw_readings(raw_row(2, '<c r="C2"><v>5</v></c>'))
        rows = rows.replace("Date", "Notes").replace("Nitrate", "Volume (L)")
        rows += (
            '<row r="3"><c r="B3" t="e"><v>#REF!</v></c><c r="C3"><v>9</v></c></row>'
        )
        rows += (
            '<row r="4"><c r="B4" t="inlineStr"><is><t>Tank</t></is></c>'
            '<c r="C4"><v>9</v></c></row>'
        )
        path = tmp_path / "book.xlsx"
        path.write_bytes(zipped(raw_parts(rows, name="Tanks")))
        book = read(path)
        assert [tank.id for tank in book.tanks] == ["T1"]
        assert [(p.kind, p.where.cell, p.effect) for p in book.problems] == [
            ("cell-error", "B3", "row left out"),
            ("header-again", "B4", "row left out"),
        ]

    def test_volume_in_trouble(self, tmp_path):
        rows = raw_readings(raw_row(2, '<c r="C2"><f>A1*2</f></c>'))
        rows = rows.replace("Date", "Notes").replace("Nitrate", "Volume (L)")
        path = tmp_path / "book.xlsx"
        path.write_bytes(zipped(raw_parts(rows, name="Tanks")))
        assert kinds(read(path)) == ["formula-without-value", "volume-missing"]


class TestWorkbooksOfOtherPrograms:
    def test_xlsm(self, tmp_path):
        parts = raw_parts(raw_readings(raw_row(2, '<c r="C2"><v>5</v></c>')))
        parts["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(
            "vnd.openxmlformats-officedocument.spreadsheetml.sheet.main",
            "vnd.ms-excel.sheet.macroEnabled.main",
        )
        path = tmp_path / "book.xlsm"
        path.write_bytes(zipped(parts | {"xl/vbaProject.bin": b"\1\2\3"}))
        assert [v[-1] for v in values(read(path))] == [5]

    def test_prefixed_names_in_the_sheet(self, tmp_path):
        parts = raw_parts(raw_readings(raw_row(2, '<c r="C2"><v>5</v></c>')))
        sheet = parts["xl/worksheets/sheet1.xml"]
        for name in ("worksheet", "sheetData", "row", "c", "is", "t", "v"):
            for before in ("<", "</"):
                for after in (" ", ">"):
                    sheet = sheet.replace(
                        f"{before}{name}{after}", f"{before}x:{name}{after}"
                    )
        parts["xl/worksheets/sheet1.xml"] = sheet.replace("xmlns=", "xmlns:x=")
        path = tmp_path / "book.xlsx"
        path.write_bytes(zipped(parts))
        assert [v[-1] for v in values(read(path))] == [5]

    def test_ods_of_all_kinds_of_cell(self, tmp_path):
        merged = ' table:number-rows-spanned="2"'
        day = (
            '<table:table-cell office:value-type="date" '
            f'office:date-value="2026-03-04T10:30:00"{merged}/>'
        )
        clock = (
            '<table:table-cell office:value-type="time" '
            'office:time-value="PT09H05M00S"><text:p>09:05</text:p></table:table-cell>'
        )
        covered = "<table:covered-table-cell/>"
        notes = (
            '<table:table-cell office:value-type="string"><text:p>a<text:s text:c="2"/>'
            "b<text:tab/>c<text:line-break/>d</text:p><text:p>e</text:p>"
            "</table:table-cell>"
        )
        far = ods_number(1, more=' table:number-columns-repeated="2000"')
        rows = [
            ods_row(*map(ods_text, ("Date", "Tank", "Nitrate", "Time", "Notes"))),
            ods_row(day, ods_text("T1"), ods_number(5), clock, notes, far),
            ods_row(covered, ods_text("T2"), ods_text("6"), clock),
        ]
        path = tmp_path / "book.ods"
        path.write_bytes(ods("".join(rows)))
        book = read(path)
        assert [(v[0], v[1], v[-1]) for v in values(book)] == [
            ("t1", "2026-03-04", 5),
            ("t2", "2026-03-04", 6),
        ]
        assert book.readings[0].notes == "a b c\nd\ne"
        assert "cells-too-far" in kinds(book)

    def test_workbook_of_too_many_sheets(self, tmp_path, monkeypatch):
        monkeypatch.setattr("fleet.read.xlsx.MOST_SHEETS", 1)
        path = workbook(tmp_path / "book.xlsx", Tanks=TANKS, Readings=[["x"]])
        assert "more than 1 sheets" in read(path).sources[0].failed

    def test_shared_texts_in_great_number_are_cut_to_fit(self, tmp_path, monkeypatch):
        monkeypatch.setattr("fleet.read.shared_strings.MOST_TEXT", 20_000)
        rows = [[DAY, "T1", 5, "n" * 3000] for _ in range(200)]
        path = workbook(
            tmp_path / "book.xlsx",
            Readings=[["Date", "Tank", "Nitrate", "Notes"], *rows],
        )
        book = read(path)
        assert len(book.readings) == 200
        assert len(book.readings[0].notes) < 100
        assert "texts-cut" in kinds(book)

    def test_notes_beyond_all_bounds_are_cut(self, tmp_path, monkeypatch):
        monkeypatch.setattr("fleet.read.log.MOST_TEXT_KEPT", 1000)
        rows = [[DAY, "T1", 5, "n" * 900] for _ in range(20)]
        path = workbook(
            tmp_path / "book.xlsx",
            Readings=[["Date", "Tank", "Nitrate", "Notes"], *rows],
        )
        assert {len(r.notes) for r in read(path).readings} == {206}

    @pytest.mark.parametrize("asked", [(100, 2000), (2000, 100)])
    def test_a_text_is_cut_to_the_length_asked_for_not_the_one_before(self, asked):
        texts, note = Texts(Log()), "n" * 500
        cut = {100: note[:100] + CUT_MARK, 2000: note}
        for longest in asked:
            assert texts.of(note, longest) == cut[longest]

    def test_percentages_and_errors_by_a_writer_with_other_habits(self, tmp_path):
        styles = (
            '<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/'
            'main"><numFmts><numFmt numFmtId="164" formatCode="0.0%"/></numFmts>'
            '<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="9"/>'
            "</cellXfs></styleSheet>"
        )
        head = raw_readings().replace("Nitrate", "Amount").replace("Tank", "Work")
        head = head.replace("</row>", "").replace("Date", "Tank")
        head += '<c r="D1" t="inlineStr"><is><t>Date</t></is></c></row>'
        rows = ""
        for number, cell in (
            (2, '<c s="1" r="C2"><v>0.125</v></c>'),
            (3, '<c r="C3" s="2"><v>0.1</v></c>'),
            (4, '<c r="C4" s="0"><v>0.1</v></c>'),
        ):
            rows += (
                f'<row r="{number}"><c r="A{number}" t="inlineStr"><is><t>T1</t></is>'
                f'</c><c r="B{number}" t="inlineStr"><is><t>water change</t></is></c>'
                f'{cell}<c r="D{number}"><v>46085</v></c></row>'
            )
        parts = raw_parts(head + rows, name="Work") | {"xl/styles.xml": styles}
        path = tmp_path / "book.xlsx"
        path.write_bytes(zipped(parts))
        good = workbook(tmp_path / "tanks.xlsx", Tanks=TANKS)
        assert [(w.amount, w.unit) for w in read(path, good).work] == [
            (12.5, "%"), (10, "%"), (0.1, ""),
        ]  # fmt: skip
