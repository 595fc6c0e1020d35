"""Cells that hold what no result, date, amount or setting should."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from made_files import (
    METHODS,
    READINGS,
    TANKS,
    Case,
    Cell,
    Raw,
    Rows,
    added,
    changed,
    holds,
    reading,
    tank,
    xlsx,
)
from made_others import csv_folder, csv_text, folder


def value(xml: str) -> Raw:
    """Return a cell written as XML, with ``{r}`` for its reference."""
    return Raw(f'<c r="{{r}}"{xml}')


ERRORS = [
    value(f' t="e"><v>{text}</v></c>')
    for text in ("#N/A", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#NULL!")
]
NOT_NUMBERS = [
    value(f"><v>{text}</v></c>")
    for text in ("NaN", "INF", "-INF", "eight", "1e400", "0x10", "1,5", " ")
]
TEXTS = (
    "NaN", "inf", "-inf", "1e308", "1e400", "-5", "0x10", "１２", "٣", "5²", "½",
    "1.000,5", "5,0,0", "--", "=5", "1_000", "5 000", "<", "<<3", "< -1", ">1e300",
    "5-", "-5-10", "10-5", "5±", "٫٥", "5e", "e5", "+-5", "0.0.1", "5 mg/L mg/L",
    "5 mg/kg", "5 (6)", "infinity mg/L", "nan ppm", "99999999999999999999999999",
    "0." + "0" * 400 + "1", "9" * 5000, "5" + "\u0301", "\u200b7\u200b", "7\u00a0",
    "√9", "5%", "7‰", "1e-320", "-0", "+0", "0,0", ".5", "5.", ",5", "five",
)  # fmt: skip
NUMBERS = (1e308, -1e308, 1e-320, -5, -0.0, 1e15, 123456789012345678, 5e-324)
SERIALS = (0, 1, 59, 60, 61, -1, 2958465, 2958466, 1e10, 1e300, 46110.999999, 0.5)
DATES = (
    "1900-01-01", "9999-12-31", "10000-01-01", "0000-00-00", "2026-02-30",
    "2026-13-01", "29/02/2026", "31.04.2026", "3/4/5", "30 Feb 2026", "yesterday",
    "2026-W13", "12:30", "2026-03-28T25:00", "March", "=TODAY()", "28-03", "20260328",
    "2026/03/28 07:15:00 PM +99:99", "२०२६-०३-२८", "2026-03-28\n", "9" * 4000,
)  # fmt: skip
SETTINGS: Rows = (
    ("Setting", "Value"),
    ("Organisation", "=cmd|'/c calc'!A1"),
    ("Paper", "A0"),
    ("Units", "cubits"),
    ("Round every (days)", 1e300),
    ("Largest nitrate rise a day (mg/L)", -5),
    ("Largest phosphate rise a day (mg/L)", "1e308"),
    ("Largest water change (%)", 100000),
    ("Change water nitrate (mg/L)", "NaN"),
    ("Change water phosphate (mg/L)", -1),
    ("Default nitrate method", "drops_x001B_[2J"),
    ("Logo", "/etc/passwd"),
    ("Language", "../../etc"),
    ("Chance needed", 0),
    ("Nonsense", "x" * 40_000),
)
ODD_METHODS: Rows = (
    *METHODS,
    ("zero", "nitrate", "mg/L", 0, 0, 0, 0),
    ("negative", "nitrate", "mg/L", -1, -1, -1, -5),
    ("huge", "nitrate", "mg/L", 1e308, 1e308, 1e308, 1e308),
    ("tiny", "nitrate", "mg/L", 5e-324, 5e-324, 5e-324, 5e-324),
    ("words", "nitrate", "mg/L", "some", "few", "±", "%"),
    ("other", "plutonium", "mg/L", 1, 1, 1, 1),
    ("unit", "nitrate", "furlongs", 1, 1, 1, 1),
    ("drops", "nitrate", "mg/L", 99, 99, 99, 99),
)
ODD_BANDS: Rows = (
    ("Livestock", "Tank", "Parameter", "Stage", "Low", "High", "Note"),
    ("", "A2", "nitrate", "", 10, 1, "upside down"),
    ("", "A2", "phosphate", "", 1e308, 1e308, ""),
    ("", "A2", "alkalinity", "", -5, "NaN", ""),
    ("", "nobody", "nitrate", "", 1, 2, ""),
    ("dragons", "", "nitrate", "", 1, 2, ""),
    ("", "A2", "ph", "retired", 8, 8, ""),
    ("", "A2", "salinity", "", 0, 0, ""),
)
ODD_SHELF: Rows = (
    ("Substance", "Purity (%)", "On hand (g)", "Stock strength (g/L)"),
    ("sodium nitrate", 0, 0, 0),
    ("sodium nitrate", 1e308, -1, 1e308),
    ("KH2PO4", "NaN", "lots", "inf"),
    ("gunpowder", 100, 500, ""),
    ("=1+1", 50, 50, 50),
)
ODD_WORK = (
    (date(2026, 3, 20), "A2", "dose", "sodium nitrate", 1e308, "g", "Ben"),
    (date(2026, 3, 21), "A2", "dose", "sodium nitrate", -5, "g", "Ben"),
    (date(2026, 3, 21), "A2", "dose", "sodium nitrate", 5, "stones", "Ben"),
    (date(2026, 3, 22), "A2", "water change", "", 1000, "%", "Ben"),
    (date(2026, 3, 22), "A2", "water change", "", "NaN", "%", "Ben"),
    (date(2099, 1, 1), "A2", "dose", "KH2PO4", 5, "g", "Ben"),
    (date(1981, 1, 1), "A2", "dose", "KH2PO4", 5, "g", "Ben"),
    (date(2026, 3, 22), "A99", "dose", "KH2PO4", 5, "g", "Ben"),
    (date(2026, 3, 22), "A2", "explode", "", 5, "g", "Ben"),
    (None, "A2", "clean", "", "", "", ""),
)
VOLUMES = (0, -5, 1e308, 5e-324, "NaN", "inf", "lots", "75 hogsheads", "1e400", "",
           "1,000,000,000,000", True, date(2026, 1, 1))  # fmt: skip


def with_dates(*cells: Cell) -> bytes:
    """Return the workbook with a row of Readings for each cell in its Date."""
    rows = []
    for cell in cells:
        row = reading(nitrate=4)
        row[0] = cell
        rows.append(row)
    return xlsx(added("Readings", *rows))


def headers(*heads: Cell, rows: int = 6) -> bytes:
    """Return the workbook with other headers on Readings."""
    width = len(READINGS[0])
    first = (*heads, *[None] * width)[:width]
    return xlsx(changed("Readings", (first, *READINGS[1:rows])))


def layout(text: bytes) -> Callable[[Path], None]:
    """Return what makes a folder of CSV sheets with a layout file for all."""
    sheets = {"Tanks.csv": csv_text(TANKS), "Readings.csv": csv_text(READINGS)}
    files = {name: sheet.encode() for name, sheet in sheets.items()}
    return folder({**files, "fleet-layout.toml": text})


RESULTS = (
    Case("error-cells.xlsx", holds(xlsx(added("Readings", *(
        reading(nitrate=cell, phosphate=cell) for cell in ERRORS)))), says="#N/A"),
    Case("formula-without-value.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=Raw('<c r="{r}"><f>A1+1</f></c>'))))), says="never saved"),
    Case("formula-to-the-web.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=Raw('<c r="{r}"><f>WEBSERVICE("http://127.0.0.1:9")</f></c>'))))),
        says="never saved"),
    *(
        Case(f"cell-not-a-number-{number}.xlsx",
             holds(xlsx(added("Readings", reading(nitrate=cell)))), "either")
        for number, cell in enumerate(NOT_NUMBERS)
    ),
    Case("cell-blank-number.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=value("><v></v></c>"), phosphate=0.05)))), "either"),
    Case("cell-kind-unknown.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=value(' t="zz"><v>4</v></c>'))))), "either"),
    Case("cell-date-text.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=value(' t="d"><v>2026-99-99</v></c>'))))), "either"),
    Case("cell-true.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=True, phosphate=False))))),
    Case("cell-true-9.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=value(' t="b"><v>9</v></c>'))))), "either"),
    Case("result-texts.xlsx", holds(xlsx(added("Readings", *(
        reading(nitrate=text, phosphate=text, alkalinity=text) for text in TEXTS))))),
    Case("result-numbers.xlsx", holds(xlsx(added("Readings", *(
        reading(nitrate=n, phosphate=n, salinity=n, temperature=n, ph=n, alkalinity=n)
        for n in NUMBERS))))),
    Case("result-is-a-date.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=date(2026, 5, 10))))), says="holds the date"),
)  # fmt: skip

DAYS = (
    Case("date-serials.xlsx", holds(with_dates(*SERIALS))),
    Case("date-serials-dated.xlsx", holds(with_dates(*(
        value(f' s="1"><v>{n!r}</v></c>') for n in SERIALS))), "either"),
    Case("date-texts.xlsx", holds(with_dates(*DATES))),
    Case("date-future.xlsx", holds(with_dates(date(2099, 1, 1), date(2026, 3, 31))),
         says="after the day of the report"),
    Case("date-order-unknown.xlsx", holds(xlsx(changed("Readings", (
        *READINGS, *([f"{d:02}/0{m}/2026", "A2", "", 4] for d, m in
                     ((1, 2), (2, 3), (3, 1)))))))),
    Case("date-blank.xlsx", holds(with_dates(None)), says="no date"),
    Case("date-error.xlsx", holds(with_dates(ERRORS[0]))),
    Case("filled-in-year-1.xlsx", holds(xlsx(added("Tanks",
         tank(filled_on="0001-01-01"), tank(tank="A4", filled_on=-1),
         tank(tank="A5", filled_on=1e300))))),
)  # fmt: skip

SHEETS = (
    Case("settings-odd.xlsx", holds(xlsx(changed("Settings", SETTINGS)))),
    Case("methods-odd.xlsx", holds(xlsx({**changed("Methods", ODD_METHODS),
         "Readings": (*READINGS, *(reading(nitrate=v, nitrate_method=m[0])
                                   for m in ODD_METHODS[3:] for v in (0, 5, "<5")))}))),
    Case("bands-odd.xlsx", holds(xlsx(changed("Bands", ODD_BANDS)))),
    Case("shelf-odd.xlsx", holds(xlsx(changed("Shelf", ODD_SHELF)))),
    Case("work-odd.xlsx", holds(xlsx(added("Work", *ODD_WORK)))),
    Case("volumes-odd.xlsx", holds(xlsx(added("Tanks", *(
        tank(tank=f"V{n}", volume=cell) for n, cell in enumerate(VOLUMES)),
        ))),),
    Case("volumes-odd-tested.xlsx", holds(xlsx({
        **added("Tanks", *(
            tank(tank=f"V{n}", volume=c) for n, c in enumerate(VOLUMES))),
        "Readings": (*READINGS, *([date(2026, 3, 29), f"V{n}", "", 0, "drops", 0,
                                   "meter"] for n in range(len(VOLUMES)))),
    }))),
    Case("fish-odd.xlsx", holds(xlsx(added("Tanks", *(
        tank(tank=f"F{n}", fish=c) for n, c in enumerate(
            (-3, 1e308, 2.5, "many", "NaN", True))))))),
    Case("orphan-rows.xlsx", holds(xlsx(added("Readings",
         [date(2026, 3, 28), "Z9", "", 4], [date(2026, 3, 28), None, "", 4],
         [date(2026, 3, 28), "#REF!", "", 4]))), says="No tank 'Z9'"),
    Case("bad-row-100.xlsx", holds(xlsx(added("Readings", *(
        ["???", "A2", "?", "?", "?"] for _ in range(100))))), says="is not a date"),
    Case("tank-twice.xlsx", holds(xlsx(added("Tanks", tank(tank="A2", volume=999)))),
         says="same tank"),
    Case("only-tanks.xlsx", holds(xlsx({"Tanks": TANKS})), "nothing", keeps=False),
    Case("only-readings.xlsx", holds(xlsx({"Readings": READINGS})), keeps=False),
    Case("only-strangers.xlsx", holds(xlsx({"Budget": (("Rent", 5), ("Salt", 6))})),
         "nothing", keeps=False),
)  # fmt: skip

HEADERS = (
    Case("header-twice.xlsx", holds(headers(*READINGS[0][:4], "NO3", *READINGS[0][5:])),
         says="Two columns"),
    Case("header-unit-unknown.xlsx",
         holds(headers(*READINGS[0][:3], "Nitrate (furlongs)", *READINGS[0][4:])),
         says="Not used", keeps=False),
    Case("header-none.xlsx", holds(xlsx(changed("Readings", READINGS[1:]))),
         "either", keeps=False),
    Case("header-numbers.xlsx", holds(headers(*range(13))), "either", keeps=False),
    Case("header-long.xlsx",
         holds(headers(*READINGS[0][:12], "Notes " + "x" * 100_000))),
    Case("header-hostile.xlsx", holds(headers(*READINGS[0][:12],
         "=HYPERLINK(1)<script>\x9b{{7*7}}"))),
    Case("header-under-title.xlsx", holds(xlsx(changed("Readings", (
        ("Round of March",), (), *READINGS))))),
    Case("header-again.xlsx", holds(xlsx(added("Readings", READINGS[0],
                                               reading(nitrate=4)))),
         says="repeats the headers"),
    Case("header-dirty.xlsx", holds(headers(*(f"  {h!s:>30}\u200b\n" for h in
                                              READINGS[0])))),
    Case("header-300.xlsx", holds(xlsx(changed("Readings", [
        [*row, *[f"Extra {n}" if not k else n for n in range(300)]]
        for k, row in enumerate(READINGS)])))),
)  # fmt: skip

CSVS = (
    Case("csv", csv_folder()),
    Case("csv-mark", csv_folder("utf-8-sig")),
    Case("csv-utf-16", csv_folder("utf-16")),
    Case("csv-utf-16-le", csv_folder("utf-16-le")),
    Case("csv-cp1252", csv_folder("cp1252"), says="Western European"),
    Case("csv-semicolon", csv_folder("utf-8", ";", ",")),
    Case("csv-tab", csv_folder("utf-8", "\t")),
    Case("csv-sep", csv_folder("utf-8", ";", ",", b"sep=;\r\n")),
    Case("csv-utf-7", csv_folder("utf-7"), "either", keeps=False),
    Case("csv-zeros", folder({"Readings.csv": b"Date\0,Tank\0\n"}), "refused",
         "not a text file"),
    Case("csv-noise", folder({"Readings.csv": bytes(range(1, 256)) * 20}), "either",
         keeps=False),
    Case("csv-quote-open", folder({
        "Tanks.csv": csv_text(TANKS).encode(),
        "Readings.csv": csv_text(READINGS).encode() + b'"never closed,A1,\r\n' * 3,
    }), "nothing", "a quotation mark in", keeps=False),
    Case("csv-layout-broken", layout(b"[[sheet]\nholds = "), "refused", "layout"),
    Case("csv-layout-deep", layout(b"x = " + b"[" * 100_000), "refused", "layout"),
    Case("csv-layout-wrong", layout(b'[[sheet]]\nholds = "dragons"'), "refused",
         "layout"),
    Case("csv-layout-kinds", layout(b'[[sheet]]\nheader = {a = 1}\ncolumns = 5'),
         "refused", "layout"),
    Case("csv-layout-no-text", layout(bytes(range(256))), "refused", "layout"),
    Case("csv-layout-large", layout(b"#" * 30_000_000), "refused", "layout"),
    Case("csv-layout-escapes", layout(b'[[sheet]]\n"\\u001b[2J" = 1'), "refused",
         "layout"),
    Case("csv-lines-of-old", folder({
        "Tanks.csv": csv_text(TANKS).replace("\r\n", "\r").encode(),
        "Readings.csv": csv_text(READINGS).replace("\r\n", "\r").encode(),
    })),
    Case("csv-quoted-lines", folder({
        "Tanks.csv": csv_text(TANKS).encode(),
        "Readings.csv": csv_text((*READINGS, reading(
            nitrate=4, notes='one\ntwo\r\n"three"'))).encode(),
    })),
    Case("csv-ragged", folder({
        "Tanks.csv": csv_text(TANKS).encode(),
        "Readings.csv": csv_text(READINGS).encode()
        + b"2026-03-28\r\n,,,,,,,,,,,,,,,,,x\r\n",
    })),
    Case("csv-escapes", folder({
        "Tanks.csv": csv_text(TANKS).encode(),
        "Readings.csv": csv_text((*READINGS, reading(
            nitrate="\x1b[2J\x1b]0;x\x07", notes="\x9b31m\x08\x7f"))).encode(),
    })),
)  # fmt: skip

CASES = (*RESULTS, *DAYS, *SHEETS, *HEADERS, *CSVS)
