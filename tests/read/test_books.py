"""Several workbooks as one: tanks joined or kept apart, files that fail."""

import datetime as dt
import gc
import hashlib

from .builders import TANKS, kinds, lines, read, values, workbook

DAY = dt.date(2026, 3, 4)
READINGS = [["Date", "Tank", "Nitrate (mg/L)"], [DAY, "T1", 5]]


def test_tanks_of_one_workbook_serve_the_readings_of_another(tmp_path):
    tanks = workbook(tmp_path / "tanks.xlsx", Tanks=TANKS)
    readings = workbook(tmp_path / "march.xlsx", Readings=READINGS)
    for order in ((tanks, readings), (readings, tanks)):
        book = read(*order)
        assert values(book) == [("t1", "2026-03-04", "nitrate", "value", 5)]
        assert [tank.volume_l for tank in book.tanks] == [200, 300]
        assert kinds(book) == []


def test_a_folder_of_workbooks(tmp_path):
    folder = tmp_path / "rounds"
    folder.mkdir()
    workbook(folder / "a.xlsx", Tanks=TANKS, Readings=READINGS)
    workbook(folder / "b.xlsx", Readings=[READINGS[0], [dt.date(2026, 3, 11), "T1", 6]])
    (folder / "~$a.xlsx").write_bytes(b"lock")
    (folder / "notes.txt").write_text("hello")
    (folder / ".hidden.xlsx").write_bytes(b"")
    book = read(folder)
    assert [source.name for source in book.sources] == ["a.xlsx", "b.xlsx"]
    assert [v[-1] for v in values(book)] == [5, 6]


def test_an_old_workbook_in_a_folder_is_named(tmp_path):
    folder = tmp_path / "rounds"
    folder.mkdir()
    workbook(folder / "a.xlsx", Tanks=TANKS)
    (folder / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 99)
    book = read(folder)
    assert [(s.name, bool(s.failed)) for s in book.sources] == [
        ("a.xlsx", False),
        ("old.xls", True),
    ]


def test_the_same_tank_in_two_workbooks_is_one(tmp_path):
    first = workbook(tmp_path / "a.xlsx", Tanks=TANKS, Readings=READINGS)
    second = workbook(
        tmp_path / "b.xlsx",
        Tanks=[["Tank", "Volume (L)", "Place"], ["t1", 200, "Front"], ["T2", "", ""]],
        Readings=[READINGS[0], [dt.date(2026, 3, 11), "t1", 6]],
    )
    book = read(first, second)
    assert [(t.id, t.volume_l, t.place) for t in book.tanks] == [
        ("T1", 200, "Front"),
        ("T2", 300, ""),
    ]
    assert [(v[0], v[-1]) for v in values(book)] == [("t1", 5), ("t1", 6)]
    assert lines(book, "tank-shared")[0] == (
        "Tanks!A2: Tank 't1' is also in a.xlsx; the two were joined. Nothing to do if "
        "it is the same tank."
    )


def test_a_sheet_of_tanks_copied_into_every_workbook_is_no_news(tmp_path):
    first = workbook(tmp_path / "a.xlsx", Tanks=TANKS, Readings=READINGS)
    second = workbook(tmp_path / "b.xlsx", Tanks=TANKS, Notes=[["x"]])
    assert kinds(read(first, second)) == []


def test_different_tanks_of_one_id_are_kept_apart(tmp_path):
    first = workbook(tmp_path / "north.xlsx", Tanks=TANKS, Readings=READINGS)
    second = workbook(
        tmp_path / "south.xlsx",
        Tanks=[["Tank", "Volume (L)"], ["T1", 999]],
        Readings=[READINGS[0], [DAY, "T1", 9]],
        Work=[["Date", "Tank", "Work"], [DAY, "T1", "clean"]],
        Bands=[["Tank", "Parameter", "Low"], ["T1", "nitrate", 2]],
    )
    book = read(first, second)
    assert [(t.id, t.key, t.volume_l) for t in book.tanks] == [
        ("T1", "t1", 200),
        ("T2", "t2", 300),
        ("T1 (south)", "t1 (south)", 999),
    ]
    assert [(v[0], v[-1]) for v in values(book)] == [("t1", 5), ("t1 (south)", 9)]
    assert [work.tank for work in book.work] == ["t1 (south)"]
    assert [band.tank for band in book.bands] == ["t1 (south)"]
    assert lines(book, "tank-clash") == [
        "Tanks!A2: Another tank 'T1' is in north.xlsx; this one is called 'T1 (south)' "
        "here. Give each tank its own id over all workbooks."
    ]


def test_the_same_file_twice_is_read_once(tmp_path):
    first = workbook(tmp_path / "a.xlsx", Tanks=TANKS, Readings=READINGS)
    copy = tmp_path / "copy.xlsx"
    copy.write_bytes(first.read_bytes())
    book = read(first, copy, first)
    assert [source.name for source in book.sources] == ["a.xlsx", "copy.xlsx"]
    assert len(book.readings) == 1
    assert kinds(book) == ["file-twice"]


def test_files_of_one_name_are_told_apart_by_their_folder(tmp_path):
    for name, number in (("north", 5), ("south", 6)):
        (tmp_path / name).mkdir()
        workbook(
            tmp_path / name / "book.xlsx",
            Tanks=TANKS,
            Readings=[READINGS[0], [DAY, "T1", number]],
        )
    book = read(tmp_path / "north" / "book.xlsx", tmp_path / "south" / "book.xlsx")
    assert [source.name for source in book.sources] == [
        "north/book.xlsx",
        "south/book.xlsx",
    ]
    assert {r.source.file for r in book.readings} == {s.name for s in book.sources}


def test_hash_is_that_of_the_bytes_and_the_file_is_unchanged(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Tanks=TANKS)
    data = path.read_bytes()
    (source,) = read(path).sources
    assert source.sha256 == hashlib.sha256(data).hexdigest()
    assert path.read_bytes() == data


def test_all_files_fail_and_there_is_still_a_book(tmp_path):
    (tmp_path / "a.xlsx").write_bytes(b"")
    book = read(tmp_path / "a.xlsx", tmp_path / "b.xlsx")
    assert [bool(source.failed) for source in book.sources] == [True, True]
    assert (book.tanks, book.readings) == ((), ())


def test_settings_that_differ_are_said_and_the_first_is_kept(tmp_path):
    head = ["Setting", "Value"]
    first = workbook(tmp_path / "a.xlsx", Settings=[head, ["Paper", "A4"]])
    second = workbook(
        tmp_path / "b.xlsx", Settings=[head, ["Paper", "Letter"], ["Contact", "Jo"]]
    )
    book = read(first, second)
    assert (book.settings.paper, book.settings.contact) == ("A4", "Jo")
    assert lines(book) == [
        "Settings!B2: The setting 'Paper' differs from that in a.xlsx; the first was "
        "kept. Give both workbooks the same."
    ]


def test_readings_come_by_tank_then_day(tmp_path):
    rows = [
        [dt.date(2026, 3, 11), "T2", 1],
        [dt.date(2026, 3, 4), "T2", 2],
        [dt.date(2026, 3, 11), "T1", 3],
    ]
    path = workbook(tmp_path / "a.xlsx", Tanks=TANKS, Readings=[READINGS[0], *rows])
    assert [v[-1] for v in values(read(path))] == [3, 2, 1]


def test_every_row_is_read_or_left_out(tmp_path):
    rows = [
        [DAY, "T1", 5], ["", "", ""], ["x", "T1", 5], [DAY, "T9", 5], [DAY, "", ""],
        [DAY, "T2", "five"], ["Date", "Tank", "Nitrate (mg/L)"], [DAY, "T2", "n/a"],
    ]  # fmt: skip
    path = workbook(tmp_path / "a.xlsx", Tanks=TANKS, Readings=[READINGS[0], *rows])
    count = next(c for c in read(path).counts if c.sheet == "Readings")
    assert (count.rows, count.read, count.left_out) == (7, 3, 4)


def test_ids_of_readings_that_differ_in_case_or_form_are_one_tank_and_said(tmp_path):
    rows = [[DAY, "Caf\u00e9", 5], [DAY, " CAFE\u0301", 6], [DAY, "Caf\u00e9", 7]]
    path = workbook(tmp_path / "a.xlsx", Readings=[READINGS[0], *rows])
    book = read(path)
    assert [tank.id for tank in book.tanks] == ["Caf\u00e9"]
    assert len(book.readings) == 3
    assert lines(book, "tank-twice") == [
        "Readings!B3: 'CAFE\u0301' is the same tank as 'Caf\u00e9' in B2; the two were "
        "joined. Write its id in one way."
    ]


def test_the_collector_of_cycles_is_left_as_it_was(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Tanks=TANKS)
    read(path)
    assert gc.isenabled()
    gc.disable()
    try:
        read(path)
        assert not gc.isenabled()
    finally:
        gc.enable()
