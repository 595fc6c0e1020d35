"""The marked copy: their own workbook, with the cells that need a look."""

import csv
import hashlib
import shutil
import subprocess
from functools import partial
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.styles import Font

from fleet.errors import UnreadableError
from fleet.read.books import read_books
from fleet.read.plain_cells import plain_cells
from fleet.records import CellAddress, Problem
from fleet.reference import load_reference
from fleet.render.marked import write_marked

EXAMPLES = Path(__file__).resolve().parents[2] / "example_workbooks"
REFERENCE = load_reference()


def problem(
    sheet, row, column, message, severity="error", value="x", file="tanks.xlsx"
):
    effect = {"error": "value left out", "warning": "read as", "note": "note"}[severity]
    where = CellAddress(file, sheet, row, column)
    return Problem("a-kind", where, value, message, effect, severity)


def cells_of(path):
    return partial(plain_cells, path, REFERENCE)


@pytest.fixture
def book(tmp_path):
    made = openpyxl.Workbook()
    sheet = made.active
    sheet.title = "Water tests"
    sheet.append(["Date", "Tank", "Nitrate (mg/L)"])
    sheet.append(["2026-03-30", "007", "five"])
    sheet.append(["2026-03-30", "A2", 4])
    sheet["B3"].font = Font(bold=True)
    sheet["C2"].comment = Comment("ask Wren", "Ines")
    sheet.merge_cells("A5:B6")
    sheet["A5"] = "two cells in one"
    other = made.create_sheet("Plan")
    other["A1"] = "=1+1"
    path = tmp_path / "tanks.xlsx"
    made.save(path)
    return path


def test_bad_cell_is_filled_framed_and_commented(book, tmp_path):
    out = tmp_path / "marked.xlsx"
    write_marked(book, [problem("Water tests", 3, 3, "4 looks low.")], out)
    cell = openpyxl.load_workbook(out)["Water tests"]["C3"]
    assert cell.fill.fill_type == "solid"
    assert cell.border.left.style == cell.border.bottom.style == "medium"
    assert cell.comment.text == "4 looks low."
    assert cell.value == 4


def test_comment_that_is_there_is_added_to(book, tmp_path):
    out = tmp_path / "marked.xlsx"
    write_marked(book, [problem("Water tests", 2, 3, "'five' is no number.")], out)
    comment = openpyxl.load_workbook(out)["Water tests"]["C2"].comment
    assert comment.text == "ask Wren\n\n'five' is no number."
    assert comment.author == "Ines"


def test_everything_else_is_as_it_was(book, tmp_path):
    before = hashlib.sha256(book.read_bytes()).hexdigest()
    out = tmp_path / "marked.xlsx"
    write_marked(book, [problem("Water tests", 2, 3, "'five' is no number.")], out)
    assert hashlib.sha256(book.read_bytes()).hexdigest() == before
    old, new = openpyxl.load_workbook(book), openpyxl.load_workbook(out)
    assert new.sheetnames == ["Issues", *old.sheetnames]
    for sheet in old:
        twin = new[sheet.title]
        assert twin.dimensions == sheet.dimensions
        assert twin.merged_cells.ranges == sheet.merged_cells.ranges
        for row in sheet.iter_rows():
            for cell in row:
                other = twin[cell.coordinate]
                assert other.value == cell.value
                if cell.coordinate != "C2":
                    assert other.fill.fill_type == cell.fill.fill_type
                    assert other.font.bold == cell.font.bold


def test_list_links_each_line_to_its_cell_in_the_order_of_the_sheet(book, tmp_path):
    out = tmp_path / "marked.xlsx"
    found = [
        problem("Plan", 1, 1, "third", "note"),
        problem("Water tests", 3, 3, "second", "warning"),
        problem("Water tests", 2, 3, "first", value="five"),
        problem("", 0, 0, "of the whole file"),
    ]
    write_marked(book, found, out)
    made = openpyxl.load_workbook(out)
    rows = list(made["Issues"].iter_rows(min_row=6))
    assert [row[3].value for row in rows] == [
        "of the whole file", "first", "second", "third",
    ]  # fmt: skip
    assert [row[1].value for row in rows] == ["(whole file)", "C2", "C3", "A1"]
    assert rows[1][2].value == "five"
    assert rows[0][1].hyperlink is None
    assert rows[1][1].hyperlink.location == "'Water tests'!C2"
    assert made["Issues"]["A3"].value == "2 left out, 1 to look at, 1 notes."
    assert made.active.title == "Issues"


def test_problem_inside_a_merged_cell_marks_the_cell_that_shows(book, tmp_path):
    out = tmp_path / "marked.xlsx"
    write_marked(book, [problem("Water tests", 6, 2, "no date")], out)
    assert openpyxl.load_workbook(out)["Water tests"]["A5"].comment.text == "no date"


def test_foreign_text_in_the_list_is_never_a_formula(book, tmp_path):
    out = tmp_path / "marked.xlsx"
    bad = problem("Water tests", 2, 3, "=HYPERLINK(1)\x00", value='=cmd|"x"')
    write_marked(book, [bad], out)
    row = openpyxl.load_workbook(out)["Issues"][6]
    assert [row[2].data_type, row[3].data_type] == ["s", "s"]
    assert row[2].value == '=cmd|"x"'
    assert row[3].value == "=HYPERLINK(1)"


def test_marking_a_marked_copy_leaves_one_list_and_one_note(book, tmp_path):
    once, twice = tmp_path / "once.xlsx", tmp_path / "twice.xlsx"
    found = [problem("Water tests", 3, 3, "4 looks low.")]
    write_marked(book, found, once)
    write_marked(once, found, twice)
    made = openpyxl.load_workbook(twice)
    assert made.sheetnames == ["Issues", "Water tests", "Plan"]
    assert made["Water tests"]["C3"].comment.text == "4 looks low."


def test_a_sheet_of_theirs_called_issues_stays(tmp_path):
    made = openpyxl.Workbook()
    made.active.title = "Issues"
    made["Issues"]["A1"] = "leaks"
    made.save(tmp_path / "own.xlsx")
    write_marked(tmp_path / "own.xlsx", [], tmp_path / "out.xlsx")
    again = openpyxl.load_workbook(tmp_path / "out.xlsx")
    assert again.sheetnames == ["Issues 2", "Issues"]
    assert again["Issues"]["A1"].value == "leaks"
    assert again["Issues 2"]["A2"].value == "Nothing was found that needs a look."


def test_same_input_gives_the_same_bytes(book, tmp_path):
    found = [problem("Water tests", 2, 3, "no number")]
    first, second = tmp_path / "1.xlsx", tmp_path / "2.xlsx"
    write_marked(book, found, first)
    write_marked(book, found, second)
    assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_csv_becomes_a_workbook_of_its_cells(tmp_path, delimiter):
    path = tmp_path / "Readings.csv"
    with path.open("w", encoding="cp1252", newline="") as file:
        writer = csv.writer(file, delimiter=delimiter)
        writer.writerows([["Date", "Tank", "Temp °C"], [], ["=1+1", "007", "0,05"]])
    where = CellAddress("Readings.csv", "Readings", 3, 1)
    bad = Problem("k", where, "=1+1", "no date", "row left out", "error")
    write_marked(path, [bad], tmp_path / "out.xlsx", cells=cells_of(path))
    made = openpyxl.load_workbook(tmp_path / "out.xlsx")
    sheet = made["Readings"]
    assert sheet["C1"].value == "Temp °C"
    assert [cell.value for cell in sheet[3]] == ["=1+1", "007", "0,05"]
    assert sheet["A3"].data_type == "s"
    assert sheet["A3"].comment.text == "no date"
    assert "Readings.csv" in made["Issues"]["A4"].value


def test_folder_of_csv_files_becomes_one_workbook(tmp_path):
    folder = tmp_path / "club"
    folder.mkdir()
    (folder / "Tanks.csv").write_text("Tank,Volume (L)\nA1,many\n")
    (folder / "Readings.csv").write_text("Date,Tank\n2026-03-30,A1\n")
    where = CellAddress("Tanks.csv", "Tanks", 2, 2)
    bad = Problem("k", where, "many", "no number", "value left out", "error")
    write_marked(folder, [bad], tmp_path / "out.xlsx", cells=cells_of(folder))
    made = openpyxl.load_workbook(tmp_path / "out.xlsx")
    assert made.sheetnames == ["Issues", "Readings", "Tanks"]
    assert made["Tanks"]["B2"].comment.text == "no number"


@pytest.mark.parametrize(
    "names",
    [
        ["Readings of the spring intake, tank by tank"],
        [
            "Readings of the spring intake, north",
            "Readings of the spring intake, south",
        ],
        ["Readings [spring]"],
    ],
)
def test_a_sheet_whose_name_no_title_can_bear_is_marked_too(tmp_path, names):
    folder = tmp_path / "club"
    folder.mkdir()
    found = []
    for row, name in enumerate(names, start=2):
        rows = ["Date,Tank", *["2026-03-30,A1"] * 3]
        (folder / f"{name}.csv").write_text("\n".join(rows))
        where = CellAddress(f"{name}.csv", name, row, 2)
        found.append(Problem("k", where, "A1", name, "value left out", "error"))
    write_marked(folder, found, tmp_path / "out.xlsx", cells=cells_of(folder))
    issues, *sheets = openpyxl.load_workbook(tmp_path / "out.xlsx").worksheets
    assert len(sheets) == len(names)
    for row, (name, sheet) in enumerate(zip(names, sheets, strict=True), start=2):
        assert len(sheet.title) <= 31
        assert [c.coordinate for r in sheet for c in r if c.comment] == [f"B{row}"]
        assert sheet.cell(row, 2).comment.text == name
        linked = {cell.hyperlink.location for cell in issues["B"] if cell.hyperlink}
        assert f"'{sheet.title}'!B{row}" in linked


def test_file_that_is_no_workbook_is_one_clear_line(tmp_path):
    path = tmp_path / "torn.xlsx"
    path.write_bytes(b"PK\x03\x04 not the rest")
    with pytest.raises(UnreadableError) as err:
        write_marked(path, [], tmp_path / "out.xlsx")
    assert str(err.value) == (
        "torn.xlsx: cannot be opened, so no copy of it can be marked."
    )


@pytest.mark.slow
def test_ods_becomes_a_workbook_of_its_cells(book, tmp_path):
    office = shutil.which("soffice")
    assert office, "LibreOffice is needed for this test"
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
         "--convert-to", "ods", "--outdir", tmp_path, book],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    bad = problem("Water tests", 2, 3, "no number", file="tanks.ods")
    path = tmp_path / "tanks.ods"
    write_marked(path, [bad], tmp_path / "out.xlsx", cells=cells_of(path))
    made = openpyxl.load_workbook(tmp_path / "out.xlsx")
    assert made["Water tests"]["B2"].value == "007"
    assert made["Water tests"]["C3"].value == 4
    assert made["Water tests"]["C2"].comment.text == "no number"


def test_marked_copy_of_an_example_is_read_like_the_example(tmp_path):
    before = read_books([EXAMPLES / "shop.xlsx"], REFERENCE)
    write_marked(EXAMPLES / "shop.xlsx", before.problems, tmp_path / "shop.xlsx")
    after = read_books([tmp_path / "shop.xlsx"], REFERENCE)
    assert after.readings == before.readings
    assert after.tanks == before.tanks
    assert after.problems == before.problems
    marked = openpyxl.load_workbook(tmp_path / "shop.xlsx")["Readings"]
    assert "'about forty'" in marked["D232"].comment.text


def test_file_too_large_to_load_is_refused_before_it_is_loaded(
    book, tmp_path, monkeypatch
):
    monkeypatch.setattr("fleet.render.marked_copy.MOST_CELLS", 5)
    monkeypatch.setattr("openpyxl.load_workbook", None)
    with pytest.raises(UnreadableError, match=r"^tanks\.xlsx: it has too many cells"):
        write_marked(book, [], tmp_path / "out.xlsx")
    monkeypatch.setattr("fleet.render.marked_copy.LARGEST", 1000)
    with pytest.raises(UnreadableError, match=r"^tanks\.xlsx: it has too many cells"):
        write_marked(book, [], tmp_path / "out.xlsx")
