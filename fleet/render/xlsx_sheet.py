"""Sheets of a workbook, row by row: headers, cells, titles and units."""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache, partial
from html import escape
from math import ceil, isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple
from zipfile import ZipFile

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel

from fleet.records import Measurement, Report
from fleet.reference import Reference
from fleet.render.display import LITRES_PER_US_GALLON, Display
from fleet.render.json_findings import number
from fleet.render.json_report import substance_name
from fleet.render.safe import for_sheet
from fleet.render.same_bytes import save
from fleet.render.summary import as_read, best_value
from fleet.render.wording import Wording

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

Value = str | float | date | None
Kind = Literal["text", "long", "number", "day", "box"]

FACE = "Calibri"  # a font without a name comes out with serifs in LibreOffice
LONGEST_TITLE = 31  # characters of a sheet's name
LINE = 15  # points
MOST_LINES = 27  # a row can be 409 points high
_LEVEL = 2  # takes a third of the usual level's time, for a fifth more bytes
_END = b"</sheetData>"
_DIMENSION = re.compile(rb'<dimension ref="[^"]*"')


class Column(NamedTuple):
    """One column of a sheet: its header, width in characters, and what it holds.

    ``long`` text is wrapped; a ``box`` stays empty, to be filled in by hand.
    """

    header: str
    width: float
    kind: Kind = "text"


class Sheet:
    """One sheet: a frozen header that filters, then rows, top to bottom.

    openpyxl makes the sheet, its header and the styles, but takes 7 to 15 us for a
    cell, which is more than all else that a report does with a reading. The rows
    below the header are therefore put together here, in the few forms of ECMA-376
    Part 1, 18.3.1.4 (c) that they need, and added when the book is saved.
    """

    def __init__(self, book: Workbook, title: str, columns: list[Column]) -> None:
        self._sheet: Worksheet = book.create_sheet(title)
        letters = [get_column_letter(place + 1) for place in range(len(columns))]
        self._last = letters[-1]
        self._cells = [
            (f'<c r="{letter}', Held(_style_id(self._sheet, column), column.kind))
            for letter, column in zip(letters, columns, strict=True)
        ]
        self._long = [(n, c.width) for n, c in enumerate(columns) if c.kind == "long"]
        self._rows: list[str] = []
        for letter, column in zip(letters, columns, strict=True):
            self._sheet.column_dimensions[letter].width = column.width
        self._sheet.row_dimensions[1].height = 2 * LINE
        self._sheet.freeze_panes = "B2"
        self._sheet.print_title_rows = "1:1"
        self._sheet.page_setup.orientation = "landscape"
        self._sheet.page_setup.fitToHeight = 0
        self._sheet.sheet_properties.pageSetUpPr.fitToPage = True
        for place, column in enumerate(columns, start=1):
            _fill_header(self._sheet.cell(1, place), column)

    def add(self, *values: Value) -> None:
        """Add a row, one value a column; None leaves a cell blank."""
        row = str(len(self._rows) + 2)
        cells = [
            f"{cell}{row}{rest}"
            for (cell, held), value in zip(self._cells, values, strict=True)
            if (rest := held[value])
        ]
        height = self._height(values)
        self._rows.append(f'<row r="{row}"{height}>{"".join(cells)}</row>')

    def _height(self, values: tuple[Value, ...]) -> str:
        """Return the height that wrapped text needs; not every program works it out."""
        lines = 1
        for place, width in self._long:
            text = values[place]
            if text is not None:
                lines = max(lines, ceil(len(str(text)) / width))
        if lines == 1:
            return ""
        return f' ht="{LINE * min(lines, MOST_LINES)}" customHeight="1"'

    def close(self) -> None:
        """Let the header filter all rows, before the book is saved."""
        self._sheet.auto_filter.ref = self._extent

    @property
    def _extent(self) -> str:
        return f"A1:{self._last}{len(self._rows) + 1}"

    @property
    def part(self) -> str:
        """The name of the sheet's part in the saved book."""
        path: str = self._sheet.path
        return path.removeprefix("/")

    def whole(self, headed: bytes) -> bytes:
        """Return the saved part with all the rows in it, and its true extent."""
        extent = f'<dimension ref="{self._extent}"'.encode()
        headed = _DIMENSION.sub(extent, headed, count=1)
        return headed.replace(_END, "".join(self._rows).encode() + _END, 1)


class Held(dict[Value, str]):
    """What follows the row's number in the cells of one column, value by value.

    Most values come again and again.
    """

    def __init__(self, style: int, kind: Kind) -> None:
        super().__init__()
        self._style = f'" s="{style}"'
        self[None] = f"{self._style}/>" if kind == "box" else ""

    def __missing__(self, value: Value) -> str:
        if isinstance(value, str):
            rest = f' t="inlineStr">{_text(value)}</c>'
        elif isinstance(value, date):
            rest = f"><v>{to_excel(value):g}</v></c>"
        else:
            rest = f"><v>{value!r}</v></c>"
        self[value] = f"{self._style}{rest}"
        return self[value]


def _text(text: str) -> str:
    shown = escape(for_sheet(text), quote=False)
    kept = "" if shown == " ".join(shown.split()) else ' xml:space="preserve"'
    return f"<is><t{kept}>{shown}</t></is>"


def _fill_header(cell: Cell, column: Column) -> None:
    cell.value = for_sheet(column.header)
    cell.data_type = "s"  # openpyxl takes "=…" for a formula
    cell.font = Font(name=FACE, bold=True)
    cell.fill = PatternFill("solid", fgColor="E4E4E4")
    cell.alignment = _alignment(column, wrap=True)


def _alignment(column: Column, wrap: bool) -> Alignment:
    side = "right" if column.kind in ("number", "day") else "left"
    return Alignment(side, "top", wrap_text=wrap, indent=int(side == "left"))


def _style_id(sheet: Worksheet, column: Column) -> int:
    """Return the number, in the workbook, of the style of a column's cells."""
    cell = Cell(sheet, row=2, column=1)  # never part of the sheet
    cell.font = Font(name=FACE)
    cell.alignment = _alignment(column, wrap=column.kind == "long")
    if column.kind == "day":
        cell.number_format = "yyyy-mm-dd"
    if column.kind == "box":
        cell.border = Border(*(Side("thin", color="808080") for _ in range(4)))
    number: int = cell.style_id
    return number


class Book:
    """The workbook of one report, in the report's own words and units."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        self.report = report
        self.wording = wording
        self.reference = reference
        self._book = Workbook()
        self._book.remove(self._book.active)
        self._sheets: dict[str, Sheet] = {}
        # The values that a test can read come again at every tank.
        self.shown = lru_cache(maxsize=16384)(partial(_shown, wording.display))

    def save(self, path: Path) -> None:
        """Write the workbook; equal reports give equal bytes."""
        for sheet in self._sheets.values():
            sheet.close()
        properties = self._book.properties
        properties.creator = self.report.made_by
        properties.title = for_sheet(self.report.settings.organisation) or None
        save(self._book, path, self.report.as_of)
        sheets = {sheet.part: sheet for sheet in self._sheets.values()}
        with ZipFile(path) as headed:
            parts = [(part, headed.read(part)) for part in headed.infolist()]
        with ZipFile(path, "w") as whole:
            for part, data in parts:
                sheet_of = sheets.get(part.filename)
                made = sheet_of.whole(data) if sheet_of else data
                whole.writestr(part, made, compresslevel=_LEVEL)

    def sheet(self, title: str, *columns: Column) -> Sheet:
        """Add a sheet; its title is a label, held to what a workbook allows."""
        label = for_sheet(self.wording.label(title, "tab"))
        label = " ".join(re.sub(r"[\[\]:*?/\\]", " ", label).split())
        label = label[:LONGEST_TITLE].strip("' ")
        number = 1
        while not label or label.casefold() in self._sheets:
            number += 1
            label = f"{title} {number}"
        made = Sheet(self._book, label, list(columns))
        self._sheets[label.casefold()] = made
        return made

    def column(
        self, name: str, width: float, kind: Kind = "text", unit: str = ""
    ) -> Column:
        """Return a column headed by the label ``name``, and its unit."""
        header = self.label(name, "column")
        return Column(f"{header} ({unit})" if unit else header, width, kind)

    def label(self, word: str, kind: str) -> str:
        """Return the words for ``word``."""
        return self.wording.label(word, kind)

    def substance(self, key: str) -> str:
        """Return a salt's full name; any other substance as it is."""
        if key in self.reference.salts:
            shown = self.label(key, "salt")
            return shown if shown != key else substance_name(key, self.reference)
        return key

    # -- numbers in the shown unit

    @property
    def volume_unit(self) -> str:
        """The unit that volumes of water are shown in."""
        us = self.report.settings.units == "US"
        return self.label("US gal", "unit") if us else "L"

    def volume(self, litres: float | None) -> float | None:
        """Return a volume of water in that unit."""
        if litres is None or self.report.settings.units != "US":
            return number(litres)
        return number(litres / LITRES_PER_US_GALLON)

    def result(self, measured: Measurement) -> Value:
        """Return a number, or a text such as ``<2`` where there is none."""
        value = best_value(measured)
        if value is None:
            return as_read(measured, self.wording.display)
        return self.shown(measured.parameter, value)


def _shown(display: Display, parameter: str, value: float | None) -> float | None:
    """Return a kept value in the shown unit."""
    if value is None:
        return None
    shown = display.shown(parameter, value)
    if not isfinite(shown):
        return None
    # Two decimals more than the sheets print: nothing is lost, nothing pretended.
    return round(shown, display.decimals(parameter) + 2)
