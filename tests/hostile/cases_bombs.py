"""Small files that ask for much: memory, time, or lines of output."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from made_files import (
    PLAIN,
    READINGS,
    Case,
    Cell,
    Entry,
    Raw,
    added,
    changed,
    holds,
    parts_of,
    reading,
    spoilt,
    tank,
    xlsx,
    zipped,
)
from made_others import csv_text, folder, ods, ods_table

SHEET = "xl/worksheets/sheet2.xml"  # Readings
OTHER = "xl/worksheets/sheet5.xml"
TEXTS = "xl/sharedStrings.xml"
END = "</sheetData>"
FAR = "Far from the rest"
TOO_MUCH = "unpacks to far more"


def at_end(xml: str) -> bytes:
    """Return the workbook with XML before the end of the rows of Readings."""
    return zipped(spoilt(SHEET, END, xml + END))


def behind(xml: str) -> bytes:
    """Return the workbook with XML after the rows of Readings."""
    return zipped(spoilt(SHEET, END, END + xml))


def lying(extent: str) -> bytes:
    """Return the workbook with a wrong extent in the sheet of readings."""
    told = f'<dimension ref="{extent}"/><sheetData>'
    return zipped(spoilt(SHEET, "<sheetData>", told))


def other_sheet(xml: str) -> bytes:
    """Return the workbook with one more sheet that holds these rows."""
    parts = parts_of({**PLAIN, "More": (("x",),)})
    rows = parts[OTHER].decode()
    start = rows.index("<sheetData>") + len("<sheetData>")
    made = rows[:start] + xml + rows[rows.index(END) :]
    return zipped({**parts, OTHER: made.encode()})


def blanks(megabytes: int) -> bytes:
    """Return the workbook with so many blanks between two tags."""
    return behind(" " * (megabytes * 1_000_000))


def long_text(megabytes: int) -> bytes:
    """Return the workbook with one text as long as this."""
    return xlsx(added("Tanks", tank(notes="x" * (megabytes * 1_000_000))))


def shared_long_text() -> bytes:
    """Return a megabyte of text that twelve thousand cells share."""
    text = "long " * 200_000
    rows = [reading(nitrate=4, notes=text) for _ in range(12_000)]
    return xlsx(added("Readings", *rows))


def styled_blank_rows(count: int) -> Iterator[str]:
    """Yield rows that hold nothing but a style."""
    for row in range(100, 100 + count):
        yield f'<row r="{row}" s="1" customFormat="1"><c r="A{row}" s="1"/></row>'


def errors_unclosed(count: int) -> str:
    """Return error cells without an end tag of their own: slow to look for."""
    return '<row r="7">' + '<c r="A7" t="e"/>' * count + "</row>"


def rows_of(cell: str, count: int, first: int = 7) -> str:
    """Return so many rows with one cell in each."""
    return "".join(
        f'<row r="{row}">{cell.replace("{r}", f"D{row}")}</row>'
        for row in range(first, first + count)
    )


def merges(count: int) -> bytes:
    """Return the workbook with so many merged cells."""
    made = "".join(f'<mergeCell ref="A{n}:B{n}"/>' for n in range(100, 100 + count))
    return behind(f'<mergeCells count="{count}">{made}</mergeCells>')


def many_bad_rows(count: int) -> bytes:
    """Return the workbook with as many results that cannot be read."""
    rows = [reading(nitrate=f"about {n}", phosphate="n/k!") for n in range(count)]
    return xlsx(added("Readings", *rows))


def many_strangers(count: int) -> bytes:
    """Return as many readings of tanks that are not there, each another."""
    rows: list[list[Cell]] = []
    for number in range(count):
        row = reading(nitrate=4)
        row[1] = f"Unknown {number}"
        rows.append(row)
    return xlsx(added("Readings", *rows))


def wide(columns: int) -> bytes:
    """Return the workbook with so many columns without a header."""
    rows = [[*row, *[None] * (columns - 14), "far"] for row in READINGS]
    return xlsx(changed("Readings", rows))


def wide_and(rows: str) -> bytes:
    """Return the workbook 1400 columns wide, with more rows written as XML."""
    sheets = changed("Readings", [[*row, *[None] * 1387, 1] for row in READINGS])
    return zipped(spoilt(SHEET, END, rows + END, sheets))


def quoted_once() -> bytes:
    """Return the shared long text with its cells quoted in another way."""
    rows = [reading(nitrate=4, notes="long " * 200_000) for _ in range(12_000)]
    parts = parts_of(added("Readings", *rows))
    parts[SHEET] = parts[SHEET].replace(b't="s"', b"t='s'")
    return zipped(parts)


def many_styles(count: int) -> bytes:
    """Return the workbook with so many cell styles."""
    form = '<xf numFmtId="10" xfId="0"/>'
    return zipped(spoilt("xl/styles.xml", "</cellXfs>", form * count + "</cellXfs>"))


def percent_columns() -> bytes:
    """Return a sheet of percentages by many styles, in another order of attributes."""
    parts = spoilt("xl/styles.xml", "</cellXfs>",
                   '<xf numFmtId="10" xfId="0"/>' * 3000 + "</cellXfs>",
                   {**PLAIN, "More": (("x",),)})  # fmt: skip
    cells = "".join(
        f'<row r="{n}"><c t="n" s="{3 + n % 3000}" r="A{n}"><v>0.5</v></c></row>'
        for n in range(2, 30_000)
    )
    xml = parts[OTHER].decode().replace(END, cells + END)
    return zipped({**parts, OTHER: xml.encode()})


def ods_repeat(columns: int, rows: int, filled: bool) -> bytes:
    """Return an .ods whose last row repeats its cells and itself."""
    text = 'office:value-type="float" office:value="1"' if filled else ""
    cell = Raw(f'<table:table-cell table:number-columns-repeated="{columns}" {text}/>')
    start = f'<table:table-row table:number-rows-repeated="{rows}">'
    foot = f"{start}{cell}</table:table-row>"
    sheets = [
        ods_table(name, body, foot if name == "Readings" else "")
        for name, body in PLAIN.items()
    ]
    return ods("".join(sheets))


def csv_of(text: bytes) -> dict[str, bytes]:
    """Return the plain sheets as CSV, with text behind the readings."""
    made = {f"{name}.csv": csv_text(rows).encode() for name, rows in PLAIN.items()}
    made["Readings.csv"] += text
    return made


def defined_names(count: int) -> bytes:
    """Return the workbook with so many names."""
    names = "".join(f'<definedName name="n{n}">A1</definedName>' for n in range(count))
    return zipped(spoilt("xl/workbook.xml", "</sheets>",
                         f"</sheets><definedNames>{names}</definedNames>"))  # fmt: skip


ZIP_BOMBS = (
    Case("bomb-blanks.xlsx", holds(lambda: blanks(90)), "refused", TOO_MUCH),
    Case("bomb-blanks-200.xlsx", holds(lambda: blanks(200)), "refused",
         "MB when unpacked"),
    Case("bomb-text.xlsx", holds(lambda: long_text(95)), "refused", TOO_MUCH),
    Case("bomb-in-a-picture.xlsx",
         holds(lambda: zipped([*(Entry(n, d) for n, d in parts_of().items()),
                               Entry("xl/media/a.png", bytes(99_000_000))])),
         "refused", TOO_MUCH),
    Case("blanks-15.xlsx", holds(lambda: blanks(15))),
    Case("text-15.xlsx", holds(lambda: long_text(15)), says="longer than"),
    Case("text-shared.xlsx", holds(shared_long_text), says="longer than"),
    Case("text-shared-quoted.xlsx", holds(quoted_once), says="longer than"),
)  # fmt: skip

GRIDS = (
    Case("extent-of-a-whole-sheet.xlsx", holds(lying("A1:XFD1048576"))),
    Case("extent-of-one-cell.xlsx", holds(lying("A1"))),
    Case("extent-of-three-rows.xlsx", holds(lying("A1:M3"))),
    Case("extent-no-extent.xlsx", holds(lying("all of it"))),
    Case("far-cell.xlsx", holds(at_end(
        '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')), says=FAR),
    Case("far-cell-below.xlsx", holds(at_end(
        '<row r="1048576"><c r="A1048576"><v>1</v></c></row>')), "either"),
    Case("far-cell-right.xlsx", holds(at_end(
        '<row r="7"><c r="XFD7"><v>1</v></c></row>')), says=FAR),
    Case("far-cell-styled.xlsx", holds(at_end(
        '<row r="1048576"><c r="XFD1048576" s="1"/></row>'))),
    Case("far-cell-below-its-row.xlsx", holds(lambda: wide_and(
        '<row r="7"><c r="A1048576"><v>1</v></c></row>')), says=FAR),
    Case("far-cell-in-small-letters.xlsx", holds(lambda: wide_and(
        '<row r="1048576"><c r="a1048576"><v>1</v></c></row>')), says=FAR),
    Case("far-cells-without-references.xlsx", holds(lambda: wide_and(
        "<row r='300000'>" + "<c><v>1</v></c>" * 9000 + "</row>")), says=FAR),
    Case("far-cells-many.xlsx", holds(lambda: at_end(
        rows_of('<c r="{r}"><v>4</v></c><c r="XFD7"><v>1</v></c>', 30_000))),
        says=FAR),
    Case("blank-rows-million.xlsx",
         holds(lambda: at_end("".join(styled_blank_rows(1_000_000)))), "either"),
    Case("blank-row-between.xlsx", holds(xlsx(changed("Readings", (
        *READINGS[:4], *((),) * 3000, *READINGS[4:]))))),
    Case("wide-1400.xlsx", holds(lambda: wide(1400))),
    Case("wide-16000.xlsx", holds(lambda: wide(16_000)), says=FAR),
    Case("merges-50000.xlsx", holds(lambda: merges(50_000))),
    Case("merge-whole-sheet.xlsx",
         holds(behind('<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>')),
         "either", keeps=False),
    Case("merge-whole-column.xlsx",
         holds(behind('<mergeCells><mergeCell ref="B6:B1048576"/></mergeCells>'))),
    Case("merge-upside-down.xlsx",
         holds(behind('<mergeCells><mergeCell ref="C9:A1"/></mergeCells>')), "either"),
    Case("merge-nonsense.xlsx",
         holds(behind('<mergeCells><mergeCell ref="x"/></mergeCells>')), "either"),
    Case("ods-repeat-all.ods", holds(ods_repeat(16_384, 1_048_576, True)), "either"),
    Case("ods-repeat-rows.ods", holds(ods_repeat(3, 1_048_576, True)), "either"),
    Case("ods-repeat-blank.ods", holds(ods_repeat(16_384, 1_048_576, False))),
    Case("ods-repeat-endless.ods", holds(ods_repeat(10**18, 10**18, True)), "either"),
)  # fmt: skip

SLOW = (
    Case("errors-unclosed.xlsx", holds(lambda: other_sheet(errors_unclosed(300_000)))),
    Case("errors-100000.xlsx", holds(lambda: other_sheet(
        rows_of('<c r="{r}" t="e"><v>#N/A</v></c>', 100_000)))),
    Case("formulas-200000.xlsx", holds(lambda: other_sheet(
        rows_of('<c r="{r}"><f>A1+1</f></c>', 200_000)))),
    Case("formulas-unclosed.xlsx", holds(lambda: other_sheet(
        '<row r="7">' + '<c r="A7"><f>' * 100_000 + "</row>")), "refused", "damaged"),
    Case("rows-unclosed.xlsx", holds(lambda: other_sheet("<row " * 500_000)),
         "refused", "damaged"),
    Case("styles-60000.xlsx", holds(lambda: many_styles(60_000))),
    Case("percent-3000-styles.xlsx", holds(percent_columns)),
    Case("names-50000.xlsx", holds(lambda: defined_names(50_000))),
    Case("bad-rows-20000.xlsx", holds(lambda: many_bad_rows(20_000))),
    Case("strangers-5000.xlsx", holds(lambda: many_strangers(5000))),
    Case("texts-50000.xlsx", holds(lambda: xlsx(added("Readings", *(
        reading(nitrate=4, notes=f"note {n} " * 20) for n in range(50_000)))))),
    Case("one-tank-30000-visits.xlsx", holds(lambda: xlsx(added("Readings", *(
        [date.fromordinal(date(2024, 1, 1).toordinal() + n % 800), "A2", "", 4 + n % 3]
        for n in range(30_000)))))),
    Case("csv-line-60-mb", folder(csv_of(b"x" * 60_000_000)), "nothing",
         "larger than 50 MB", keeps=False),
    Case("csv-field-2-mb", folder(csv_of(b'"' + b"x" * 2_000_000 + b'"\r\n')),
         "either"),
    Case("csv-columns-million", folder(csv_of(b"," * 1_000_000 + b"\r\n")), "either"),
    Case("csv-lines-million", folder(csv_of(b"\r\n" * 1_000_000))),
    Case("csv-quotes", folder(csv_of(b'"' * 999_999 + b"\r\n")), "either"),
)  # fmt: skip

CASES = (*ZIP_BOMBS, *GRIDS, *SLOW)
