"""summary.xlsx, read back by openpyxl, calamine and LibreOffice."""

import csv
import os
import re
import shutil
import subprocess
import sys
import time
import zipfile
from dataclasses import replace
from datetime import date

import openpyxl
import pytest
from hostile import HOSTILE, STEERING
from python_calamine import CalamineWorkbook
from small_reports import AS_OF, REFERENCE, WORDS, report, wording

from fleet.records import Settings, TankChange
from fleet.render import renderer
from fleet.render.safe import for_sheet
from fleet.render.wording import Wording

TABS = [
    "Summary", "Actions", "Weighing", "Substances", "Readings", "Problems", "About",
]  # fmt: skip


@pytest.fixture
def path(tmp_path):
    return tmp_path / "summary.xlsx"


def written(made, path, **settings):
    renderer("summary.xlsx")(made, wording(**settings), REFERENCE, path)
    return openpyxl.load_workbook(path)


def rows(sheet):
    header, *rest = sheet.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rest]


def test_sheets_have_a_frozen_header_that_filters_all_rows(path):
    book = written(report(), path)
    assert book.sheetnames == TABS
    for sheet in book:
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref == sheet.dimensions
        assert sheet["A1"].font.bold
        assert sheet.print_title_rows == "$1:$1"


def test_summary_tells_each_tank_in_words_worst_first(path):
    summary = rows(written(report(), path)["Summary"])
    assert [row["Tank"] for row in summary] == ["B 2", "A-1", "D-4", "C-3"]
    assert [row["Attention"] for row in summary] == [
        "Today", "This week", "Watch", "Steady",
    ]  # fmt: skip
    assert [row["Phosphate: verdict"] for row in summary] == [
        "cannot tell", "not judged", None, "within",
    ]  # fmt: skip


def test_numbers_are_numbers_in_the_unit_of_the_header_and_days_are_days(path):
    well = rows(written(report(), path)["Summary"])[3]
    assert (well["Nitrate (mg/L)"], well["Phosphate (mg/L)"]) == (8, 0.06)
    assert well["Next test"].date() == date(2026, 4, 6)
    assert well["Volume (L)"] == 400


def test_what_a_test_cannot_tell_is_no_number(path):
    high, unseen, *_ = rows(written(report(), path)["Summary"])
    assert high["Nitrate (mg/L)"] == ">75"
    assert high["Phosphate (mg/L)"] == "<0.08"
    assert unseen["Nitrate (mg/L)"] == "<1"


def test_units_are_those_of_the_workbook(path):
    us = replace(report(), settings=replace(report().settings, units="US"))
    summary = rows(written(us, path, units="US", alkalinity_unit="dKH")["Summary"])
    # 400 L / 3.785411784 L/US gal (exact by definition), worked by hand: 105.669
    assert summary[3]["Volume (US gal)"] == pytest.approx(105.669, abs=0.0005)
    # 2.9 meq/L x 2.804 dKH/(meq/L), worked by hand: 8.13
    assert summary[1]["Alkalinity (dKH)"] == pytest.approx(8.13, abs=0.005)


def test_actions_are_one_row_each_in_order_with_boxes_to_sign(path):
    sheet = written(report(), path)["Actions"]
    actions = [row for row in rows(sheet) if row["Tank"] == "A-1"]
    assert [row["Kind"] for row in actions] == ["Hold off", "Dose", "Test again"]
    assert actions[1]["What to do"] == "Add 1.32 g to A-1, dissolved first."
    assert actions[1]["When"].date() == AS_OF
    box = sheet.cell(3, sheet.max_column)
    assert box.value is None
    assert box.border.bottom.style == "thin"


def test_weighing_and_substances_say_what_to_weigh_and_get(path):
    book = written(report(), path)
    (dose,) = rows(book["Weighing"])
    assert dose["Substance"] == "Sodium nitrate"
    assert (dose["Each day (mL)"], dose["Days"]) == (32.9, 4)
    assert (dose["Stock (g/L)"], dose["In all (mL)"]) == (40, 131.6)
    assert not [head for head in dose if "(g)" in head]  # few amounts can be weighed
    (substance,) = rows(book["Substances"])
    assert (substance["To weigh (g)"], substance["To get (g)"]) == (10, 0)
    assert substance["Solution"] == "Fill up to 250 mL."


def test_readings_are_listed_as_they_were_understood(path):
    readings = [
        r for r in rows(written(report(), path)["Readings"]) if r["Tank"] == "A-1"
    ]
    # Of the two zeros only the one that counts now, and the reading before it.
    assert [r["As written"] for r in readings] == ["4.0", "0", "30.0", "2.9"]
    unseen, doubted = readings[1], readings[2]
    assert (unseen["Value"], unseen["At least"], unseen["At most"]) == (None, 0, 1)
    assert unseen["Cell"] == "Readings!D2"
    assert doubted["Why it is not believed"] == "ppb?"


def test_problems_name_the_cell_and_what_was_done(path):
    (problem,) = rows(written(report(), path)["Problems"])
    assert (problem["Sheet"], problem["Cell"]) == ("Readings", "C22")
    assert problem["What was done"] == "value left out"


def test_change_since_the_last_report_is_a_word(path):
    made = replace(report(), changes=(TankChange("A-1", "worse", "watch"),))
    assert rows(written(made, path)["Summary"])[1]["Since the last report"] == "worse"


def test_equal_reports_make_equal_bytes_at_any_time(path, monkeypatch):
    written(report(), path)
    first = path.read_bytes()
    later = time.time() + 3600
    monkeypatch.setattr(time, "time", lambda: later)
    written(report(), path)
    assert path.read_bytes() == first
    with zipfile.ZipFile(path) as book:
        assert {part.date_time[:3] for part in book.infolist()} == {(2026, 3, 30)}
        assert b"2026-03-30T00:00:00Z" in book.read("docProps/core.xml")


def parts(path):
    with zipfile.ZipFile(path) as book:
        return {name: book.read(name).decode() for name in book.namelist()}


def test_foreign_text_is_text_and_never_a_formula(path):
    book = written(report(HOSTILE), path)
    exact = for_sheet(HOSTILE)
    assert rows(book["Summary"])[1]["Name"] == f"{exact}Tank A-1"
    assert rows(book["Readings"])[2]["Tank"] == f"A-1{exact}"
    assert rows(book["Problems"])[0]["As written"] == f"five{exact}"
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                # openpyxl calls what looks like a formula one; the file must not.
                assert cell.data_type in "snd", cell.coordinate
    for name, xml in parts(path).items():
        assert not re.search(r"<f[ >]", xml), name
        assert 't="e"' not in xml
        assert not set(xml) & set(STEERING)


def test_calamine_reads_the_same(path):
    book = written(report(HOSTILE), path)
    other = CalamineWorkbook.from_path(path)
    assert other.sheet_names == book.sheetnames
    for sheet in book:
        seen = other.get_sheet_by_name(sheet.title).to_python(skip_empty_area=False)
        for row, values in zip(sheet.iter_rows(values_only=True), seen, strict=True):
            for mine, theirs in zip(row, values, strict=False):
                if isinstance(mine, str):
                    assert theirs == mine
                elif isinstance(mine, (int, float)):
                    assert theirs == pytest.approx(mine)
                elif mine is not None:
                    assert theirs == mine.date()


def test_extent_that_readers_trust_is_the_true_one(path):
    # Read-only mode takes the file's word for how far a sheet reaches.
    book = written(report(), path)
    quick = openpyxl.load_workbook(path, read_only=True)
    for sheet in book:
        assert quick[sheet.title].calculate_dimension() == sheet.dimensions
    quick.close()


def test_workbook_that_is_never_finished_leaves_nothing_behind(path, tmp_path):
    # An error or Ctrl-C half-way must not print tracebacks when memory is freed,
    # nor leave files: openpyxl's write-only books do both.
    code = (
        "import small_reports as s\n"
        "from fleet.render import xlsx, xlsx_sheet\n"
        "book = xlsx_sheet.Book(s.report(), s.wording(), s.REFERENCE)\n"
        "xlsx._summary(book)\n"
        "del book\n"
    )
    left = tmp_path / "left"
    left.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True,
        env=os.environ | {"PYTHONPATH": str(WORDS.parent), "TMPDIR": str(left)},
    )  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert list(left.iterdir()) == []


def test_own_words_cannot_break_the_workbook(path, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    shutil.copy(WORDS / "sample.xml.j2", own)
    (own / "labels.toml").write_text(
        '[tab]\nsummary = "[all]:*?/\\\\ tanks of this and of every other week"\n'
        'actions = ""\nweighing = "PROBLEMS"\nproblems = "Problems"\n'
        'readings = "a\\u001bb"\n',
        "utf-8",
    )
    words = Wording(REFERENCE, Settings(), own)
    renderer("summary.xlsx")(report(), words, REFERENCE, path)
    titles = openpyxl.load_workbook(path).sheetnames
    assert titles == [
        "all tanks of this and of every", "actions 2", "PROBLEMS", "Substances", "ab",
        "problems 2", "About",
    ]  # fmt: skip


@pytest.mark.slow
def test_libreoffice_shows_the_same(path, tmp_path):
    office = shutil.which("soffice")
    assert office, "LibreOffice is needed: apt install libreoffice-calc"
    book = written(report(HOSTILE), path)
    options = (
        "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
    )
    subprocess.run(
        [office, "--headless", f"-env:UserInstallation=file://{tmp_path}/profile",
         "--convert-to", options, "--outdir", tmp_path, path],
        check=True, capture_output=True,
    )  # fmt: skip
    for sheet in book:
        exported = tmp_path / f"summary-{sheet.title}.csv"
        with exported.open(encoding="utf-8", newline="") as file:
            seen = list(csv.reader(file))
        for row, values in zip(sheet.iter_rows(values_only=True), seen, strict=True):
            for mine, theirs in zip(row, values, strict=False):
                if isinstance(mine, str):
                    assert theirs == mine
                elif isinstance(mine, (int, float)):
                    assert float(theirs) == pytest.approx(mine)
