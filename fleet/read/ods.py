"""An .ods workbook -> sheets of cells.

Read here and not by the library used for .xlsx: that one gives errors and blanks
alike, takes a percentage for a share, and lays out repeated rows without a bound.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time
from typing import Any
from xml.parsers import expat

from fleet import problems
from fleet.read.grid import Row, Sheet, Trouble
from fleet.read.number_formats import shown_in
from fleet.read.sheet_xml import MOST_CELLS, MOST_COLUMNS
from fleet.read.zipped import DAMAGED, LOCKED, members, unpack, unreadable
from fleet.spelling import visible

_BARE = re.compile(r"[-\d.,]*")  # a number shown as such
_DURATION = re.compile(r"PT(\d+)H(\d+)M(\d+)")


def sheets_of_ods(name: str, data: bytes) -> list[Sheet]:
    """Return the sheets of an OpenDocument workbook, hidden ones too.

    Raises
    ------
    UnreadableError
        It is damaged, protected, too large, or holds no sheet.
    """
    infos = members(name, data)
    wanted = ("content.xml", "META-INF/manifest.xml")
    parts = unpack(name, data, (info for key, info in infos.items() if key in wanted))
    if b"encryption-data" in parts.get("META-INF/manifest.xml", b""):
        raise unreadable(name, LOCKED)
    if "content.xml" not in parts:
        raise unreadable(name, DAMAGED)
    reader = _Content(name)
    try:
        reader.parse(parts["content.xml"])
    except expat.ExpatError as err:
        raise unreadable(name, DAMAGED) from err
    if not reader.sheets:
        raise unreadable(name, "it holds no sheet of cells.")
    return reader.sheets


class _Content:
    """The callbacks of the XML parser, and what they remember."""

    def __init__(self, name: str) -> None:
        self.sheets: list[Sheet] = []
        self._name = name
        self._room = MOST_CELLS
        self._hidden_styles: set[str] = set()
        self._style = ""
        self._depth_note = 0
        self._sheet: Sheet | None = None
        self._row: Row = []
        self._blank_cells = self._blank_rows = self._laid_out = 0
        self._repeat_row = 1
        self._attributes: dict[str, str] = {}
        self._lines: list[str] = []
        self._in_line = self._calculated = False
        self._far: list[str] = []
        self._merged: list[tuple[int, int, int, int]] = []

    def parse(self, xml: bytes) -> None:
        """Read the whole content."""
        # LibreOffice leaves the value out where a formula gives the empty text; other
        # writers where they never calculated it.
        self._calculated = b"calcext:value-type" in xml
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._on_start
        parser.EndElementHandler = self._on_end
        parser.CharacterDataHandler = self._on_text
        parser.Parse(xml, True)

    # -- elements

    def _on_start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "office:annotation":
            self._depth_note += 1
        if self._depth_note:
            return
        if tag in ("table:table-cell", "table:covered-table-cell"):
            self._attributes = attributes
            self._lines = []
        elif tag == "text:p":
            self._in_line = True
            self._lines.append("")
        elif tag == "text:s" and self._in_line:
            self._lines[-1] += " " * min(int(attributes.get("text:c", 1)), 100)
        elif tag in ("text:tab", "text:line-break") and self._in_line:
            self._lines[-1] += "\t" if tag == "text:tab" else "\n"
        elif tag == "table:table-row":
            self._row, self._blank_cells = [], 0
            self._repeat_row = int(attributes.get("table:number-rows-repeated", 1))
            hidden = attributes.get("table:visibility") in ("collapse", "filter")
            if hidden and self._sheet and self._repeat_row < MOST_COLUMNS:
                self._sheet.hidden_rows += self._repeat_row
        elif tag == "table:table" and self._sheet is None:
            self._open_sheet(attributes)
        elif tag == "style:style":
            self._style = attributes.get("style:name", "")
        elif attributes.get("table:display") == "false":
            self._hidden_styles.add(self._style)

    def _on_end(self, tag: str) -> None:
        if tag == "office:annotation":
            self._depth_note -= 1
        if self._depth_note:
            return
        if tag in ("table:table-cell", "table:covered-table-cell"):
            self._close_cell()
        elif tag == "text:p":
            self._in_line = False
        elif tag == "table:table-row":
            self._close_row()
        elif tag == "table:table" and self._sheet is not None:
            self._close_sheet()

    def _on_text(self, text: str) -> None:
        if self._in_line and not self._depth_note:
            self._lines[-1] += text

    # -- sheets, rows, cells

    def _open_sheet(self, attributes: dict[str, str]) -> None:
        self._sheet = Sheet(
            self._name,
            visible(attributes.get("table:name", "")),
            [],
            hidden=attributes.get("table:style-name", "") in self._hidden_styles,
        )
        self._blank_rows = self._laid_out = 0
        self._far, self._merged = [], []

    def _close_sheet(self) -> None:
        sheet = self._sheet
        assert sheet is not None  # noqa: S101 - opened by the start of the element
        width = max(map(len, sheet.rows), default=0)
        self._take(max(width * len(sheet.rows) - self._laid_out, 0))
        for row in sheet.rows:
            row.extend([""] * (width - len(row)))
        sheet.merged = tuple(self._merged)
        if self._far:
            cells = ", ".join(self._far[:3])
            sheet.problems.append(
                problems.CELLS_TOO_FAR.at(
                    sheet.whole,
                    "1 cell" if len(self._far) == 1 else f"{len(self._far)} cells",
                    cells=cells,
                )
            )
        self.sheets.append(sheet)
        self._sheet = None

    def _take(self, cells: int) -> None:
        self._room -= cells
        if self._room < 0:
            raise unreadable(
                self._name,
                f"it holds more than {MOST_CELLS // 1_000_000} million cells. Split it "
                "into smaller workbooks.",
            )

    def _close_row(self) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        if not self._row:
            self._blank_rows += self._repeat_row  # kept only if something follows
            return
        self._take(self._blank_rows + self._repeat_row * len(self._row))
        self._laid_out += self._blank_rows + self._repeat_row * len(self._row)
        sheet.rows.extend([] for _ in range(self._blank_rows))
        sheet.rows.extend(list(self._row) for _ in range(self._repeat_row))
        self._blank_rows = 0

    def _close_cell(self) -> None:
        attributes = self._attributes
        repeat = int(attributes.get("table:number-columns-repeated", 1))
        value = self._value(attributes)
        if value == "":
            self._blank_cells += repeat
            return
        column = len(self._row) + self._blank_cells
        if column + repeat > MOST_COLUMNS:
            if self._sheet is not None:
                row = len(self._sheet.rows) + self._blank_rows
                self._far.append(self._sheet.at(row, column).cell)
            return
        self._row.extend([""] * self._blank_cells)
        self._blank_cells = 0
        across = int(attributes.get("table:number-columns-spanned", 1))
        down = int(attributes.get("table:number-rows-spanned", 1))
        if (across > 1 or down > 1) and self._sheet is not None:
            row = len(self._sheet.rows) + self._blank_rows
            self._merged.append((row, column, row + down - 1, column + across - 1))
        self._row.extend([value] * repeat)

    def _value(self, attributes: dict[str, str]) -> Any:
        kind = attributes.get("office:value-type", "")
        text = "\n".join(self._lines)
        if attributes.get("calcext:value-type") == "error":
            return Trouble(text or "#ERROR")
        if kind in ("float", "currency"):
            return _number(attributes, text)
        if kind == "percentage":
            number = _number(attributes, text)
            return f"{number * 100:.10g}%" if isinstance(number, float) else number
        if kind == "date":
            return _date(attributes.get("office:date-value", "")) or text
        if kind == "time":
            found = _DURATION.match(attributes.get("office:time-value", ""))
            if found and int(found[1]) < 24:
                return time(int(found[1]), int(found[2]), int(found[3]))
            return text
        if kind == "boolean":
            return attributes.get("office:boolean-value", "").upper()
        if not kind and not text and "table:formula" in attributes:
            return "" if self._calculated else Trouble("")
        return attributes.get("office:string-value", text)


def _number(attributes: dict[str, str], text: str) -> float | str:
    try:
        number = float(attributes.get("office:value", ""))
    except ValueError:
        return text
    shown = None if _BARE.fullmatch(text) else shown_in(text)
    return shown.of(number) if shown else number


def _date(text: str) -> date | datetime | None:
    try:
        if len(text) <= 10:
            return date.fromisoformat(text)
        return datetime.fromisoformat(text[:26]).replace(tzinfo=None)
    except ValueError:
        return None
