"""Sheets of a workbook written row by row: headers, cells, titles and units."""

from __future__ import annotations

import re
from datetime import date
from html import escape
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple
from zipfile import ZipFile

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel

from fleet.records import Measurement, Report
from fleet.reference import Reference
from fleet.render.display import LITRES_PER_US_GALLON
from fleet.render.json_findings import number
from fleet.render.json_report import substance_name
from fleet.render.safe import for_sheet
from fleet.render.same_bytes import save
from fleet.render.summary import as_read, best_value
from fleet.render.wording import Wording

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

Value = str | float | date | None
Kind = Literal["text", "long", "number", "day", "box"]

FACE = "Calibri"  # a font without a name comes out with serifs in LibreOffice
LONGEST_TITLE = 31  # characters of a sheet's name
LINE = 15  # points
MOST_LINES = 27  # a row can be 409 points high
_END = b"</sheetData>"


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
        self._sheet: WriteOnlyWorksheet = book.create_sheet(title)
        self._places = [
            (get_column_letter(place), f's="{_style_id(self._sheet, column)}"')
            for place, column in enumerate(columns, start=1)
        ]
        self._boxes = [column.kind == "box" for column in columns]
        self._long = [(n, c.width) for n, c in enumerate(columns) if c.kind == "long"]
        self._rows: list[str] = []
        for (letter, _), column in zip(self._places, columns, strict=True):
            self._sheet.column_dimensions[letter].width = column.width
        self._sheet.row_dimensions[1].height = 2 * LINE
        self._sheet.freeze_panes = "B2"
        self._sheet.print_title_rows = "1:1"
        self._sheet.page_setup.orientation = "landscape"
        self._sheet.page_setup.fitToHeight = 0
        self._sheet.sheet_properties.pageSetUpPr.fitToPage = True
        self._sheet.append([_header(self._sheet, column) for column in columns])

    def add(self, *values: Value) -> None:
        """Add a row, one value a column; None leaves a cell blank."""
        row = len(self._rows) + 2
        cells = [
            _xml(f'{letter}{row}" {style}', value)
            for (letter, style), box, value in zip(
                self._places, self._boxes, values, strict=True
            )
            if value is not None or box
        ]
        high = self._height(values)
        self._rows.append(f'<row r="{row}"{high}>{"".join(cells)}</row>')

    def _height(self, values: tuple[Value, ...]) -> str:
        """Return the height that wrapped text needs; not every program works it out."""
        lines = max((ceil(len(str(values[n])) / w) for n, w in self._long), default=1)
        if lines <= 1:
            return ""
        return f' ht="{LINE * min(lines, MOST_LINES)}" customHeight="1"'

    def close(self) -> None:
        """Let the header filter all rows, before the book is saved."""
        last, _ = self._places[-1]
        self._sheet.auto_filter.ref = f"A1:{last}{len(self._rows) + 1}"

    def part(self) -> tuple[str, bytes]:
        """Return the sheet's part in the saved book, and the rows to add to it."""
        return self._sheet.path.removeprefix("/"), "".join(self._rows).encode()


def _xml(place: str, value: Value) -> str:
    """Return one cell; ``place`` is its address and style, up to the open quote."""
    if value is None:
        return f'<c r="{place}/>'
    if isinstance(value, str):
        text = escape(for_sheet(value), quote=False)
        return (
            f'<c r="{place} t="inlineStr"><is>'
            f'<t xml:space="preserve">{text}</t></is></c>'
        )
    if isinstance(value, date):
        return f'<c r="{place}><v>{to_excel(value):g}</v></c>'
    return f'<c r="{place}><v>{value!r}</v></c>'


def _header(sheet: WriteOnlyWorksheet, column: Column) -> WriteOnlyCell:
    cell = WriteOnlyCell(sheet, for_sheet(column.header))
    cell.data_type = "s"
    cell.font = Font(name=FACE, bold=True)
    cell.fill = PatternFill("solid", fgColor="E4E4E4")
    cell.alignment = _alignment(column, wrap=True)
    return cell


def _alignment(column: Column, wrap: bool) -> Alignment:
    side = "right" if column.kind in ("number", "day") else "left"
    return Alignment(side, "top", wrap_text=wrap, indent=int(side == "left"))


def _style_id(sheet: WriteOnlyWorksheet, column: Column) -> int:
    """Return the number, in the workbook, of the style of a column's cells."""
    cell = WriteOnlyCell(sheet)
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
        self._book = Workbook(write_only=True)
        self._sheets: dict[str, Sheet] = {}

    def save(self, path: Path) -> None:
        """Write the workbook; equal reports give equal bytes."""
        for sheet in self._sheets.values():
            sheet.close()
        properties = self._book.properties
        properties.creator = self.report.made_by
        properties.title = for_sheet(self.report.settings.organisation) or None
        save(self._book, path, self.report.as_of)
        rows = dict(sheet.part() for sheet in self._sheets.values())
        with ZipFile(path) as headed:
            parts = [(part, headed.read(part)) for part in headed.infolist()]
        with ZipFile(path, "w", compresslevel=3) as whole:
            for part, data in parts:
                more = rows.get(part.filename, b"")
                whole.writestr(part, data.replace(_END, more + _END, 1))

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
        return "US gal" if self.report.settings.units == "US" else "L"

    def volume(self, litres: float | None) -> float | None:
        """Return a volume of water in that unit."""
        if litres is None or self.report.settings.units != "US":
            return number(litres)
        return number(litres / LITRES_PER_US_GALLON)

    def shown(self, parameter: str, value: float | None) -> float | None:
        """Return a kept value in the shown unit."""
        if value is None:
            return None
        display = self.wording.display
        # Two decimals more than the sheets print: nothing is lost, nothing pretended.
        return number(
            round(display.shown(parameter, value), display.decimals(parameter) + 2)
        )

    def result(self, measured: Measurement) -> Value:
        """Return a number, or a text such as ``<2`` where there is none."""
        value = best_value(measured)
        if value is None:
            return as_read(measured, self.wording.display)
        return self.shown(measured.parameter, value)
