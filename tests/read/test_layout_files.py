"""Own layouts: what a layout file says, and the first draft of one."""

import datetime as dt
import tomllib

import pytest

from fleet.errors import DataTableError, UnreadableError
from fleet.read.layout_file import suggest_layout

from .builders import REFERENCE, TANKS, kinds, lines, read, values, workbook

DAY = dt.date(2026, 3, 4)
ODD = [
    ["Sunday round"],
    ["Wann", "Becken", "N", "P", "qn", "Kit"],
    [DAY, "T1", 1.1, 0.03, "~", "card"],
    [DAY, "T2", 2.2, 0.01, "", "card"],
]
SAYS = """
[[sheet]]
name = "Liste"
holds = "readings"

[sheet.columns]
"Wann" = "date"
"becken " = "tank"
"N" = "nitrate, mg/L NO3-N"
"column D" = "phosphate, mg/L PO4-P, photometer"
"qn" = "nitrate flag"
"Kit" = "nitrate method"

[sheet.flags]
"~" = "below"
"""
FOUND = [
    ("t1", "2026-03-04", "nitrate", "below", 1.1),
    ("t1", "2026-03-04", "phosphate", "value", 0.03),
    ("t2", "2026-03-04", "nitrate", "value", 2.2),
    ("t2", "2026-03-04", "phosphate", "value", 0.01),
]


def odd_book(folder, name="club.xlsx"):
    folder.mkdir(exist_ok=True)
    return workbook(folder / name, Tanks=TANKS, Liste=ODD)


@pytest.mark.parametrize("place", ["club.layout.toml", "fleet-layout.toml"])
def test_layout_beside_the_workbook(tmp_path, place):
    path = odd_book(tmp_path / "shop")
    (path.parent / place).write_text(SAYS, "utf-8")
    for asked in (path, path.parent):
        book = read(asked)
        assert values(book) == FOUND
        assert kinds(book) == ["flag-limit"]
    (first, *_) = book.readings
    assert [r.unit for r in first.results] == ["mg/L NO3-N", "mg/L PO4-P"]
    assert [r.method for r in first.results] == ["card", "photometer"]


def test_layout_given(tmp_path):
    path = odd_book(tmp_path / "shop")
    layout = tmp_path / "ours.toml"
    layout.write_text(SAYS, "utf-8")
    assert values(read(path, layout=layout)) == FOUND
    assert values(read(path)) == []


def test_sheets_it_does_not_name_are_recognised_as_ever(tmp_path):
    path = odd_book(tmp_path / "shop")
    (path.parent / "club.layout.toml").write_text(SAYS, "utf-8")
    assert [tank.volume_l for tank in read(path).tanks] == [200, 300]


@pytest.mark.parametrize(
    ("says", "found"),
    [
        # A day that could be read two ways.
        ('date_order = "day first"', ("2026-04-03", 5)),
        ('date_order = "month first"', ("2026-03-04", 5)),
    ],
)
def test_order_of_dates(tmp_path, says, found):
    rows = [["Date", "Tank", "Nitrate"], ["03/04/2026", "T1", 5]]
    path = workbook(tmp_path / "club.xlsx", Tanks=TANKS, Readings=rows)
    layout = tmp_path / "club.layout.toml"
    layout.write_text(f'[[sheet]]\nname = "Readings"\n{says}\n', "utf-8")
    assert [(v[1], v[-1]) for v in values(read(path))] == [found]


def test_tank_and_parameter_of_a_whole_sheet_and_days_in_columns(tmp_path):
    rows = [["", "Jan", "Feb"], ["nitrate", 5, 6], ["po4", 0.1, 0.2]]
    path = workbook(tmp_path / "club.xlsx", Tanks=TANKS, A=rows)
    (tmp_path / "club.layout.toml").write_text(
        '[[sheet]]\nname = "A"\ntank = "T2"\nheader = 1\n[sheet.columns]\n'
        '"column A" = "parameter"\n"Jan" = "2026-01-15"\n"Feb" = "2026-02-15"\n',
        "utf-8",
    )
    assert values(read(path)) == [
        ("t2", "2026-01-15", "nitrate", "value", 5),
        ("t2", "2026-01-15", "phosphate", "value", 0.1),
        ("t2", "2026-02-15", "nitrate", "value", 6),
        ("t2", "2026-02-15", "phosphate", "value", 0.2),
    ]


def test_tanks_in_columns_with_a_parameter_told(tmp_path):
    rows = [["When", "left", "right"], [DAY, 5, 6]]
    path = workbook(tmp_path / "club.xlsx", Tanks=TANKS, A=rows)
    (tmp_path / "club.layout.toml").write_text(
        '[[sheet]]\nname = "A"\nparameter = "nitrate, mg/L NO3-N"\n[sheet.columns]\n'
        '"When" = "date"\n"left" = "tank T1"\n"right" = "tank T2"\n',
        "utf-8",
    )
    book = read(path)
    assert [(v[0], v[-1]) for v in values(book)] == [("t1", 5), ("t2", 6)]
    assert {r.unit for x in book.readings for r in x.results} == {"mg/L NO3-N"}


def test_dates_that_stand_once_for_several_rows(tmp_path):
    rows = [["Date", "Tank", "Nitrate"], [DAY, "T1", 5], ["", "T2", 6]]
    path = workbook(tmp_path / "club.xlsx", Tanks=TANKS, Readings=rows)
    (tmp_path / "club.layout.toml").write_text(
        '[[sheet]]\nname = "Readings"\nfill_down = ["date"]\n', "utf-8"
    )
    assert [(v[0], v[1], v[-1]) for v in values(read(path))] == [
        ("t1", "2026-03-04", 5),
        ("t2", "2026-03-04", 6),
    ]


def test_other_sheets_may_be_told_too(tmp_path):
    path = workbook(
        tmp_path / "club.xlsx",
        Bestand=[["Nr", "Inhalt"], ["T1", 50], ["T2", 60]],
        Nothing=[["Date", "Tank", "Nitrate"], [DAY, "T1", 5]],
    )
    (tmp_path / "club.layout.toml").write_text(
        '[[sheet]]\nname = "Bestand"\nholds = "tanks"\n[sheet.columns]\n'
        '"Nr" = "tank"\n"Inhalt" = "volume, US gal"\n'
        '[[sheet]]\nname = "Nothing"\nholds = "nothing"\n',
        "utf-8",
    )
    book = read(path)
    assert [tank.volume_l for tank in book.tanks] == pytest.approx(
        [189.27, 227.12], abs=0.01
    )
    assert book.readings == ()
    assert kinds(book) == ["gallons-read"] * 2 or kinds(book) == []


def test_column_that_is_not_there_is_said(tmp_path):
    path = odd_book(tmp_path / "shop")
    says = SAYS.replace('"qn"', '"gone"')
    (path.parent / "club.layout.toml").write_text(says, "utf-8")
    assert lines(read(path)) == [
        "Liste!: The layout file names a column 'gone' that this sheet does not have. "
        "Write the header as it stands in the sheet.",
        "Liste!E2: Not used, as no meaning was found for the header: 'qn'. Correct the "
        "header, or say in a layout file what it means, if it matters.",
    ]


@pytest.mark.parametrize(
    ("says", "why"),
    [
        ("[[sheet", "Expected"),
        ("[sheets]", "it must hold [[sheet]] entries. 'sheets' is not known there."),
        ('[[sheet]]\nsheat = "x"', "sheet 1: 'sheat' is not known."),
        ('[[sheet]]\nholds = "fish"', "sheet 1: holds = 'fish' must be one of:"),
        ("[[sheet]]\nheader = 0", "sheet 1: header must be one row number"),
        ("[[sheet]]\nheader = [1, 2, 3]", "sheet 1: header must be one row number"),
        ('[[sheet]]\ndate_order = "dmy"', "sheet 1: date_order must be one of:"),
        (
            '[[sheet]]\n[sheet.flags]\nx = "y"',
            "sheet 1: the flag 'x' must mean one of:",
        ),
        ('[[sheet]]\n[sheet.columns]\nWann = "then"', "'Wann' = 'then' is not known."),
        ('[[sheet]]\nparameter = "mood"', "'mood' is no parameter."),
        (
            '[[sheet]]\nname = "Liste"\n[sheet.columns]\nN = "nitrate, 2026-02-30"',
            "'N': there is no day 2026-02-30. Write it as in 2026-02-28.",
        ),
    ],
)
def test_layout_that_says_what_it_may_not(tmp_path, says, why):
    path = odd_book(tmp_path / "shop")
    (path.parent / "club.layout.toml").write_text(says, "utf-8")
    (source,) = read(path).sources
    assert source.failed.startswith("club.layout.toml: ")
    assert why in source.failed
    given = tmp_path / "given.toml"
    given.write_text("[[sheet", "utf-8")
    with pytest.raises(DataTableError, match=r"^given\.toml: "):
        read(path, layout=given)


class TestDraft:
    def test_draft_reads_as_the_workbook_does_without_it(self, tmp_path):
        path = workbook(
            tmp_path / "club.xlsx",
            Tanks=TANKS,
            Log=[
                ["Spring"],
                ["Date", "Tank", "NO3-N (ppm)", "Nitrate method", "Mood", "PO4 flag",
                 "PO4"],
                [DAY, "T1", 1.1, "card", "fine", "", 0.03],
            ],
            Nitrite=[["Date", "T1", "T2"], [DAY, 0.1, 0.2]],
            Shopping=[["Milk"]],
        )  # fmt: skip
        before = read(path)
        draft = suggest_layout(path, REFERENCE)
        tomllib.loads(draft)
        (tmp_path / "club.layout.toml").write_text(draft, "utf-8")
        after = read(path)
        assert after.readings == before.readings
        assert after.tanks == before.tanks
        assert '"Mood" = "not used"  # such as fine' in draft
        assert '"NO3-N (ppm)" = "nitrate, mg/L NO3-N"' in draft

    def test_draft_of_a_sheet_that_is_not_understood_lists_its_columns(self, tmp_path):
        path = odd_book(tmp_path / "shop")
        draft = suggest_layout(path, REFERENCE)
        assert 'holds = "nothing"' in draft
        tomllib.loads(draft)

    def test_names_that_need_escaping(self, tmp_path):
        path = workbook(
            tmp_path / "club.xlsx",
            Readings=[["Date", "Tank", 'A "b" \\ c\nd', "Nitrate"], [DAY, "x", 1, 5]],
        )
        draft = tomllib.loads(suggest_layout(path, REFERENCE))
        assert 'A "b" \\ c d' in draft["sheet"][0]["columns"]

    def test_file_that_cannot_be_read(self, tmp_path):
        with pytest.raises(UnreadableError, match=r"no\.xlsx: there is no such file"):
            suggest_layout(tmp_path / "no.xlsx", REFERENCE)
