"""The workbook to fill in: blank, for the next round, as questions for a form."""

import csv
import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from fleet.normalise.units import to_kept, unit_of
from fleet.read.books import read_books
from fleet.records import (
    Book,
    CellAddress,
    Method,
    Reading,
    Result,
    Settings,
    ShelfItem,
    Tank,
    Work,
)
from fleet.reference import load_reference
from fleet.render.blank import form_questions, write_blank, write_next
from fleet.render.form import load_form

REFERENCE = load_reference()
EXAMPLES = Path(__file__).resolve().parents[2] / "example_workbooks"
AT = CellAddress("old.xlsx", "Tanks", 2, 1)
SHEETS = ["Tanks", "Readings", "Methods", "Work", "Bands", "Shelf", "Settings"]
# contract of the workbook: the headers outside programs write
HEADERS = {
    "Tanks": "Tank|Name|Place|Keeper|Group|Notes|Round order|Volume (L)|Livestock|Rock|Rock (kg)|Filled on|Cycled on|Equipment|Fish|Feed (g/day)|Protein (%)",  # noqa: E501
    "Readings": "Date|Tank|Taken by|Nitrate (mg/L)|Nitrate method|Phosphate (mg/L)|Phosphate method|Ammonia (mg/L)|Ammonia method|Nitrite (mg/L)|Salinity (PSU)|Temperature (°C)|pH|Alkalinity (dKH)|Calcium (mg/L)|Magnesium (mg/L)|Look|Notes",  # noqa: E501
    "Methods": "Method|Measures|Unit|Lowest|Step|Accuracy (±)|Accuracy (%)|Highest",
    "Work": "Date|Tank|Work|Substance|Amount|Unit|Done by|Notes",
    "Bands": "Livestock|Tank|Parameter|Stage|Low|High|Note",
    "Shelf": "Substance|Purity (%)|On hand (g)|Stock strength (g/L)",
}
SETTINGS = "Organisation|Contact|Paper|Units|Round every (days)|Change water nitrate (mg/L)|Change water phosphate (mg/L)|Default nitrate method|Default phosphate method|Largest nitrate rise a day (mg/L)|Largest phosphate rise a day (mg/L)|Largest water change (%)"  # noqa: E501


@pytest.fixture(scope="module")
def blank(tmp_path_factory):
    path = tmp_path_factory.mktemp("blank") / "tanks.xlsx"
    write_blank(path, REFERENCE)
    return path


@pytest.fixture(scope="module")
def book(blank):
    return openpyxl.load_workbook(blank)


def helps(sheet):
    return {str(found.sqref): found for found in sheet.data_validations.dataValidation}


def test_sheets_and_headers_are_those_of_the_contract(book):
    assert [name for name in book.sheetnames if name not in ("Read me", "Lists")] == (
        SHEETS
    )
    for name, headers in HEADERS.items():
        found = {cell.value for cell in book[name][1]}
        assert set(headers.split("|")) <= found
    labels = [row[0].value for row in book["Settings"].iter_rows(min_row=2)]
    assert labels[: SETTINGS.count("|") + 1] == SETTINGS.split("|")


def test_no_sheet_that_is_read_holds_an_example(book):
    for name in ("Tanks", "Readings", "Work", "Bands", "Shelf"):
        assert book[name].max_row == 1
    assert "Corner reef" in {cell.value for cell in book["Read me"]["B"]}


def test_every_header_has_a_note_and_every_sheet_a_frozen_header(book):
    for name in SHEETS:
        sheet = book[name]
        assert all(cell.comment and len(cell.comment.text) > 8 for cell in sheet[1])
        assert sheet.freeze_panes in ("B2", "C2")
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.sheet_properties.pageSetUpPr.fitToPage


def test_every_closed_list_is_offered(book):
    lists = book["Lists"]
    offered = {}
    for column in lists.iter_cols(min_row=3):
        name, *words = [cell.value for cell in column if cell.value]
        offered[name] = tuple(words)
    for kind in ("livestock", "rock", "equipment", "look", "work", "yes-no", "paper"):
        assert offered[kind] == tuple(REFERENCE.vocabulary[kind])
    assert offered["measures"] == tuple(REFERENCE.parameters)
    assert offered["stage"] == (
        "cycling", "just cycled", "ugly phase", "settling", "mature",
    )  # fmt: skip
    assert lists.sheet_state == "hidden"


def test_drop_down_lists_lead_to_cells_that_hold_the_words(book):
    sheet = book["Tanks"]
    place = [cell.value for cell in sheet[1]].index("Livestock") + 1
    letter = openpyxl.utils.get_column_letter(place)
    found = helps(sheet)[f"{letter}2:{letter}501"]
    where = book.defined_names[found.formula1.lstrip("=")].attr_text
    name, cells = where.replace("$", "").split("!")
    words = [row[0].value for row in book[name][cells]]
    assert words == list(REFERENCE.vocabulary["livestock"])


def test_each_check_shows_itself_and_never_refuses(book):
    for name in SHEETS:
        for found in book[name].data_validations.dataValidation:
            assert found.showErrorMessage or found.showInputMessage
            assert found.allow_blank
            if found.showErrorMessage:
                assert found.errorStyle == "warning"
                assert found.errorTitle
                assert 10 < len(found.error) <= 225


def test_a_result_may_be_words_and_only_an_odd_number_is_asked_about(book):
    sheet = book["Readings"]
    letter = "F"
    assert sheet["F1"].value == "Phosphate (mg/L)"
    found = helps(sheet)[f"{letter}2:{letter}5001"]
    assert found.type == "custom"
    assert found.formula1 == "OR(ISTEXT(F2),AND(F2>=0,F2<=3))"


def test_span_asked_about_is_the_usual_span_of_the_parameter():
    # The form's numbers stand in the header's unit, parameters.toml in the kept one.
    meq = 2.80385  # dKH a meq/L: 10 mg/L CaO each, molar mass of CaO 56.077
    form = load_form(REFERENCE)
    us = load_form(REFERENCE, "US")
    checked = 0
    for column, other in zip(
        form.sheet("Readings").columns, us.sheet("Readings").columns, strict=True
    ):
        if column.kind != "result":
            continue
        usual = REFERENCE.parameters[column.key].usual
        factor = meq if column.key == "alkalinity" else 1
        assert (column.least, column.most) == pytest.approx(
            tuple(factor * end for end in usual), abs=0.05
        )
        if column.key == "temperature":
            assert (other.least, other.most) == pytest.approx(
                tuple(end * 9 / 5 + 32 for end in usual)
            )
        checked += 1
    assert checked == len(REFERENCE.parameters)


def test_ids_are_kept_as_text_and_days_as_days(book):
    assert book["Tanks"].column_dimensions["A"].number_format == "@"
    assert book["Readings"].column_dimensions["B"].number_format == "@"
    assert book["Readings"].column_dimensions["A"].number_format == "yyyy-mm-dd"


def test_methods_begin_with_the_typical_classes(book):
    rows = {row[0]: row for row in book["Methods"].iter_rows(2, values_only=True)}
    assert rows["Phosphate colour card"][1:4] == ("phosphate", "mg/L", 0.08)
    assert rows["Low-range phosphate photometer"][3] == 0.03


def test_us_workbook_asks_in_us_units(tmp_path):
    path = tmp_path / "us.xlsx"
    write_blank(path, REFERENCE, Settings(units="US", paper="Letter"))
    made = openpyxl.load_workbook(path)
    tanks = {cell.value for cell in made["Tanks"][1]}
    assert {"Volume (US gal)", "Rock (lb)"} <= tanks
    assert "Temperature (°F)" in {cell.value for cell in made["Readings"][1]}
    assert made["Settings"]["B4"].value == "Letter"


def test_equal_bytes_and_no_clock(blank, tmp_path):
    again = tmp_path / "again.xlsx"
    write_blank(again, REFERENCE)
    assert again.read_bytes() == blank.read_bytes()


def test_own_wording_replaces_word_by_word(tmp_path):
    (tmp_path / "form.toml").write_text(
        '[column.Tanks]\ntank = "Kurzer Name."\n', "utf-8"
    )
    write_blank(tmp_path / "de.xlsx", REFERENCE, own=tmp_path)
    made = openpyxl.load_workbook(tmp_path / "de.xlsx")
    assert made["Tanks"]["A1"].comment.text == "Kurzer Name."
    assert made["Tanks"]["B1"].comment.text == "What people call the tank."


# ---------------------------------------------------------------------- next round


def result(parameter, written, unit, method="", form="value", number=None):
    number = float(written) if number is None else number
    return Result(parameter, written, form, number, None, unit, method, AT)


@pytest.fixture
def old():
    tanks = (
        Tank("B-07", "b-07", AT, 283.9, name="=Bay", place="Front", round_order=2,
             livestock="mixed coral", rock="dry", rock_kg=30.0,
             filled_on=date(2025, 11, 3), equipment=("skimmer", "uv"), fish=4,
             feed_g_day=0.5, protein=0.45, displays=("left", "right")),
        Tank("007", "007", AT, 100.0, place="Back", round_order=1),
        Tank("X", "x", AT, 50.0, in_use=False),
    )  # fmt: skip
    card, meter = "Phosphate colour card", "Low-range phosphate photometer"
    readings = (
        Reading("b-07", date(2026, 3, 16), (
            result("phosphate", "0", "mg/L PO4", card),
            result("ph", "8.1", "pH"),
        ), AT, "Ines", ("green film",), "green film"),
        Reading("b-07", date(2026, 3, 23), (
            result("phosphate", "<0.03", "mg/L PO4", meter, "below", 0.03),
            result("nitrate", "1.2", "mg/L NO3-N", "lab"),
        ), AT, "Ines", notes="=SUM(A1)"),
    )  # fmt: skip
    return Book(
        tanks=tanks, readings=readings,
        methods=(Method(card, "phosphate", "card", 0.08, 0.08, None, 0.4, 3.0),),
        work=(Work(date(2026, 3, 17), "b-07", "dose", AT, "sodium nitrate", 2.0, "g"),),
        shelf=(ShelfItem("sodium-nitrate", "sodium nitrate", 0.99, 450, None),),
        bands=(),
        settings=Settings(organisation="Hall", round_days=14,
                          change_water=(("nitrate", 1.0),), largest_water_change=0.3),
        problems=(), counts=(), columns=(), sources=(),
    )  # fmt: skip


def table(sheet):
    head, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rows]


def test_next_round_keeps_tanks_methods_shelf_and_settings(old, tmp_path):
    write_next(tmp_path / "next.xlsx", old, REFERENCE)
    made = openpyxl.load_workbook(tmp_path / "next.xlsx")
    first, second, third = table(made["Tanks"])
    assert (first["Tank"], second["Tank"], third["Tank"]) == ("007", "B-07", "X")
    assert second["Name"] == "=Bay"
    assert made["Tanks"]["B3"].data_type == "s"
    assert second["Volume (L)"] == 283.9
    assert second["Equipment"] == "skimmer, uv"
    assert second["Displays"] == "left, right"
    assert second["Protein (%)"] == 45
    assert table(made["Methods"])[0]["Accuracy (%)"] == 40
    assert table(made["Shelf"])[0]["Purity (%)"] == 99
    settings = {row["Setting"]: row["Value"] for row in table(made["Settings"])}
    assert settings["Round every (days)"] == 14
    assert settings["Change water nitrate (mg/L)"] == 1
    assert settings["Largest water change (%)"] == 30


def test_next_round_has_a_row_a_tank_with_last_values_beside_empty_boxes(old, tmp_path):
    write_next(tmp_path / "next.xlsx", old, REFERENCE)
    made = openpyxl.load_workbook(tmp_path / "next.xlsx")
    rows = table(made["Readings"])
    assert [row["Tank"] for row in rows] == ["007", "B-07"]  # X is not in use
    bay = rows[1]
    assert bay["Last tested"].date() == date(2026, 3, 23)
    assert bay["Last phosphate"] == "<0.03"
    assert bay["Last nitrate"] == "1.2 mg/L NO3-N"  # the header beside says mg/L NO3
    assert bay["Last pH"] == "8.1 (2026-03-16)"  # not tested the last time
    assert bay["Phosphate method"] == "Low-range phosphate photometer"
    assert bay["Date"] is bay["Phosphate (mg/L)"] is bay["Nitrate (mg/L)"] is None
    assert made["Work"].max_row == 1


def test_next_round_can_keep_the_history_above_the_new_rows(old, tmp_path):
    write_next(tmp_path / "next.xlsx", old, REFERENCE, keep_history=True)
    made = openpyxl.load_workbook(tmp_path / "next.xlsx")
    rows = table(made["Readings"])
    assert [str(row["Date"])[:10] for row in rows] == [
        "2026-03-16", "2026-03-23", "None", "None",
    ]  # fmt: skip
    assert rows[0]["Phosphate (mg/L)"] == 0
    assert rows[1]["Phosphate (mg/L)"] == "<0.03"
    assert rows[1]["Nitrate (mg/L)"] == "1.2 mg/L NO3-N"  # not the header's unit
    assert rows[1]["Notes"] == "=SUM(A1)"
    assert rows[0]["Last phosphate"] is None
    (work,) = table(made["Work"])
    assert (work["Tank"], work["Amount"], work["Unit"]) == ("B-07", 2, "g")


def said(book):
    """What a book says, without where it stands."""
    readings = sorted(
        (
            reading.tank, reading.taken_on, reading.taken_by, reading.looks,
            reading.notes,
            sorted((r.parameter, r.form, r.number, r.upper, r.unit, r.method)
                   for r in reading.results),
        )
        for reading in book.readings
    )  # fmt: skip
    work = sorted(
        (w.on, w.tank, w.work, w.substance, str(w.amount), w.unit, w.done_by, w.notes)
        for w in book.work
    )
    methods = sorted(
        (m.name, m.measures, m.kind, m.lowest, m.step, m.accuracy, m.accuracy_share,
         m.highest)
        for m in book.methods
    )  # fmt: skip
    tanks = [replace(tank, source=AT) for tank in book.tanks]
    shelf = [replace(item, source=AT) for item in book.shelf]
    return {
        "readings": readings, "work": work, "methods": methods, "shelf": shelf,
        "tanks": sorted(tanks, key=lambda tank: tank.key), "settings": book.settings,
    }  # fmt: skip


@pytest.mark.parametrize("name", ["shop.xlsx", "club.xlsx"])
def test_next_round_of_an_example_is_read_as_what_was_read_before(name, tmp_path):
    before = read_books([EXAMPLES / name], REFERENCE)
    write_next(tmp_path / "next.xlsx", before, REFERENCE, keep_history=True)
    after = read_books([tmp_path / "next.xlsx"], REFERENCE)
    first, second = said(before), said(after)
    for tank in first["tanks"]:  # 75 gal comes back as its litres
        assert tank.volume_l == pytest.approx(
            next(t.volume_l for t in second["tanks"] if t.key == tank.key), abs=0.05
        )
    for what in ("readings", "work", "methods", "shelf", "settings"):
        assert second[what] == first[what], what
    assert [t.key for t in second["tanks"]] == [t.key for t in first["tanks"]]


# Of every parameter its units by their place: each column is in the first, then each
# in the second, and so on.
UNITS = range(max(len(p.units) for p in REFERENCE.parameters.values()))
WAYS = (
    "{}", "about {}", "~{}", "under {}", "<{}", "> {}", "{} or more", "{0}-{0}9",
    "{0} to {0}9", "ND", "trace", "{}?",
)  # fmt: skip


def kept(book):
    """Every result in the kept unit, whatever it was written in."""
    found = []
    for reading in book.readings:
        for r in reading.results:
            unit = unit_of(REFERENCE.parameters[r.parameter], r.unit)
            ends = [] if r.form == "none seen" else [r.number, r.upper or r.number]
            if unit.key != "SG":  # no water has a gravity of 8
                ends = [to_kept(unit, end) for end in ends]
            found.append((reading.taken_on, r.parameter, r.form, *ends))
    return sorted(found)


@pytest.mark.parametrize(("number", "of_units"), [("0.35", "US"), ("12", "metric")])
@pytest.mark.parametrize("place", UNITS)
def test_next_round_means_the_same_in_every_unit(tmp_path, place, number, of_units):
    head, units = ["Date", "Tank"], set()
    for parameter in REFERENCE.parameters.values():
        unit = parameter.units[min(place, len(parameter.units) - 1)].key
        head.append(f"{parameter.key} ({unit})")
        units.add((parameter.key, unit))
    cells = [way.format(number) for way in WAYS]
    rows = [
        [f"2026-03-{day:02}", "A1", *[cell] * len(units)]
        for day, cell in enumerate(cells, start=1)
    ]
    with (tmp_path / "Readings.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([head, *rows])
    (tmp_path / "Tanks.csv").write_text("Tank,Volume (L)\nA1,300\n")
    old = read_books([tmp_path], REFERENCE)
    assert {(r.parameter, r.unit) for v in old.readings for r in v.results} == units
    old = replace(old, settings=replace(old.settings, units=of_units))
    write_next(tmp_path / "next.xlsx", old, REFERENCE, keep_history=True)
    after = read_books([tmp_path / "next.xlsx"], REFERENCE)
    assert kept(after) == kept(old)
    assert all(p.effect != "value left out" for p in after.problems)


@pytest.mark.parametrize(
    ("written", "becomes"),
    [
        ("about 5", "~5 mg/L NO3-N"),
        ("under 2", "<2 mg/L NO3-N"),
        ("about 5 ppm", "~5 mg/L NO3-N"),  # of the column's own kind
        ("about 5 mg/L NO3", "about 5 mg/L NO3"),
        ("5,5", "5.5 mg/L NO3-N"),
        ("ND", "ND"),
    ],
)
def test_next_round_gives_worded_cells_their_unit(tmp_path, written, becomes):
    lines = ["Date;Tank;Nitrate (mg/L NO3-N)", f"2026-03-01;A1;{written}"]
    (tmp_path / "Readings.csv").write_text("\n".join(lines), "utf-8")
    (tmp_path / "Tanks.csv").write_text("Tank,Volume (L)\nA1,300\n")
    old = read_books([tmp_path], REFERENCE)
    write_next(tmp_path / "next.xlsx", old, REFERENCE, keep_history=True)
    first, second = table(openpyxl.load_workbook(tmp_path / "next.xlsx")["Readings"])
    assert first["Nitrate (mg/L)"] == second["Last nitrate"] == becomes


def test_next_round_names_what_could_not_be_read(tmp_path):
    old = read_books([EXAMPLES / "shop.xlsx"], REFERENCE)
    write_next(tmp_path / "next.xlsx", old, REFERENCE)
    sheet = openpyxl.load_workbook(tmp_path / "next.xlsx")["Read me"]
    told = " ".join(str(cell.value) for cell in sheet["A"])
    assert "could not be read" in told
    for place in ("Readings A275", "Readings B337", "Readings D232"):
        assert place in told


def test_rows_nobody_filled_in_are_passed_over(tmp_path):
    old = read_books([EXAMPLES / "shop.xlsx"], REFERENCE)
    write_next(tmp_path / "next.xlsx", old, REFERENCE)
    assert read_books([tmp_path / "next.xlsx"], REFERENCE).readings == ()


def test_blank_workbook_is_read_without_a_problem(blank):
    book = read_books([blank], REFERENCE)
    assert book.problems == ()
    assert book.tanks == book.readings == book.work == ()
    assert len(book.methods) == 6
    assert book.settings == Settings()


# ------------------------------------------------------------------- questions


def test_answers_to_the_questions_are_read_back(tmp_path):
    titles = re.findall(r"^\d+\. (.+?)  \(", form_questions(REFERENCE), re.MULTILINE)
    answers = {
        "Date": "2026-03-30", "Tank": "A1", "Nitrate (mg/L)": "<2",
        "Nitrate method": "Nitrate colour card", "Look": "green film, coralline",
    }  # fmt: skip
    (tmp_path / "Tanks.csv").write_text("Tank,Volume (L)\nA1,300\n")
    with (tmp_path / "Readings.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["Timestamp", *titles])
        writer.writerow(["2026-03-31 09:12:44", *(answers.get(t, "") for t in titles)])
    book = read_books([tmp_path], REFERENCE)
    (reading,) = book.readings
    assert reading.taken_on == date(2026, 3, 30)
    assert reading.looks == ("green film", "coralline")
    (result,) = reading.results
    assert (result.parameter, result.form, result.number) == ("nitrate", "below", 2)


def test_questions_use_the_headers_of_the_form(book):
    text = form_questions(REFERENCE)
    asked = re.findall(r"^\d+\. (.+?)  \(", text, re.MULTILINE)
    assert asked == [cell.value for cell in book["Readings"][1]]
    assert "   - green film" in text
    nitrate = text.split("Nitrate method")[1].split("6. ")[0]
    assert "Nitrate photometer" in nitrate
    assert "Phosphate" not in nitrate


@pytest.mark.slow
def test_opens_in_an_office_program_with_lists_and_checks_kept(blank, tmp_path):
    office = shutil.which("soffice")
    assert office, "LibreOffice is needed for this test"
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
         "--convert-to", "xlsx", "--outdir", tmp_path / "out", blank],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    made = openpyxl.load_workbook(tmp_path / "out" / blank.name)
    for name in SHEETS:
        before = openpyxl.load_workbook(blank)[name].data_validations.dataValidation
        after = made[name].data_validations.dataValidation
        assert len(after) == len(before)
        kinds = sorted((found.type, found.errorStyle) for found in after)
        assert kinds == sorted((found.type, found.errorStyle) for found in before)
    assert "list_livestock" in made.defined_names
