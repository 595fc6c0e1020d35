"""Small workbooks for the tests, written by libraries the reader does not use."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import xlsxwriter

from fleet.read.books import read_books
from fleet.records import Book
from fleet.reference import load_reference

REFERENCE = load_reference()
Rows = list[list[Any]]

TANKS: Rows = [
    ["Tank", "Volume (L)", "Filled on"],
    ["T1", 200, "2026-01-10"],
    ["T2", 300, "2026-01-10"],
]


def workbook(path: Path, **sheets: Rows) -> Path:
    """Write a workbook; ``__`` in a sheet's name stands for a space."""
    book = xlsxwriter.Workbook(str(path))
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name.replace("__", " "))
        for row, cells in enumerate(rows):
            for column, cell in enumerate(cells):
                put(sheet, row, column, cell, day)
    book.close()
    return path


def put(sheet: Any, row: int, column: int, cell: Any, day: Any) -> None:
    """Write one cell without guessing what a text may mean."""
    if cell is None or cell == "":
        return
    if isinstance(cell, str):
        sheet.write_string(row, column, cell)
    elif isinstance(cell, bool):
        sheet.write_boolean(row, column, cell)
    elif isinstance(cell, int | float):
        sheet.write_number(row, column, cell)
    else:
        sheet.write_datetime(row, column, cell, day)


def read(*paths: Path, layout: Path | None = None) -> Book:
    """Read the files."""
    return read_books(list(paths), REFERENCE, layout=layout)


def read_sheets(folder: Path, **sheets: Rows) -> Book:
    """Write one workbook and read it."""
    return read(workbook(folder / "book.xlsx", **sheets))


def values(book: Book) -> list[tuple[str, str, str, str, float]]:
    """Return tank, day, parameter, form and number of all results, in order."""
    return [
        (r.tank, r.taken_on.isoformat(), x.parameter, x.form, x.number)
        for r in book.readings
        for x in r.results
    ]


def lines(book: Book, *kinds: str) -> list[str]:
    """Return the problems as sheet!cell: message, all or those of some kinds."""
    return [
        f"{p.where.sheet}!{p.where.cell}: {p.message}"
        for p in book.problems
        if not kinds or p.kind in kinds
    ]


def kinds(book: Book) -> list[str]:
    """Return the kinds of all problems."""
    return [p.kind for p in book.problems]


# ------------------------------------------------------------- files made by hand

_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/'
    'vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/'
    'vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>'
)
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELS = (
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
    'relationships"><Relationship Id="rId1" Type="{office}/{kind}" Target="{target}"/>'
    "</Relationships>"
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def raw_parts(
    sheet_data: str,
    *,
    name: str = "Readings",
    workbook_pr: str = "",
    main: str = _MAIN,
    before: str = "",
    after: str = "",
    head: str = '<?xml version="1.0"?>',
) -> dict[str, str]:
    """Return the parts of a workbook of one sheet, its cells as XML."""
    return {
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _RELS.format(
            office=_OFFICE, kind="officeDocument", target="xl/workbook.xml"
        ),
        "xl/workbook.xml": f'{head}<workbook xmlns="{main}" xmlns:r="{_OFFICE}">'
        f'{workbook_pr}<sheets><sheet name="{name}" sheetId="1" r:id="rId1"/></sheets>'
        "</workbook>",
        "xl/_rels/workbook.xml.rels": _RELS.format(
            office=_OFFICE, kind="worksheet", target="worksheets/sheet1.xml"
        ),
        "xl/worksheets/sheet1.xml": f'{head}<worksheet xmlns="{main}">{before}'
        f"<sheetData>{sheet_data}</sheetData>{after}</worksheet>",
    }


def zipped(parts: dict[str, str | bytes]) -> bytes:
    """Return the parts as a zip."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in parts.items():
            archive.writestr(part, content)
    return packed.getvalue()


def text_cell(place: str, text: str) -> str:
    """Return a cell that holds its text itself."""
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def raw_readings(*rows: str) -> str:
    """Return a Readings sheet: the headers Date, Tank, Nitrate, and ``rows``."""
    head = "".join(
        text_cell(f"{letter}1", text)
        for letter, text in zip("ABC", ("Date", "Tank", "Nitrate"), strict=True)
    )
    return f'<row r="1">{head}</row>' + "".join(rows)


def raw_row(number: int, nitrate: str, tank: str = "T1") -> str:
    """Return one row of it; ``nitrate`` is the XML of cell C."""
    day = text_cell(f"A{number}", "2026-03-04")
    return f'<row r="{number}">{day}{text_cell(f"B{number}", tank)}{nitrate}</row>'


ODS_NAMES = (
    " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{space}:1.0"'
        for name, space in (
            ("office", "office"),
            ("table", "table"),
            ("text", "text"),
            ("style", "style"),
        )  # fmt: skip
    )
    + ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:'
    + 'calcext:1.0"'
)


def ods(rows: str, *, styles: str = "", sheet: str = 'table:name="Readings"') -> bytes:
    """Return an OpenDocument workbook of one sheet, its rows as XML."""
    return zipped(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "content.xml": f'<?xml version="1.0"?><office:document-content {ODS_NAMES}>'
            f"<office:automatic-styles>{styles}</office:automatic-styles><office:body>"
            f"<office:spreadsheet><table:table {sheet}>{rows}</table:table>"
            "</office:spreadsheet></office:body></office:document-content>",
        }
    )


def ods_text(text: str, more: str = "") -> str:
    """Return a cell of text."""
    return (
        f'<table:table-cell office:value-type="string"{more}><text:p>{text}</text:p>'
        "</table:table-cell>"
    )


def ods_number(number: float, kind: str = "float", more: str = "") -> str:
    """Return a cell with a number."""
    return (
        f'<table:table-cell office:value-type="{kind}" office:value="{number}"{more}>'
        f"<text:p>{number}</text:p></table:table-cell>"
    )


def ods_row(*cells: str, more: str = "") -> str:
    """Return a row."""
    return f"<table:table-row{more}>{''.join(cells)}</table:table-row>"
