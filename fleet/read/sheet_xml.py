"""What the fast reader does not tell of a worksheet, found in its XML.

Cells in trouble (errors, formulas never calculated), percentages, hidden rows, and
cells so far out that the grid between would not fit into memory. Each search runs
only where its bytes occur, as a regular expression; where that misses some of them
an XML parser walks the sheet instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.parsers import expat

from fleet.read.grid import Trouble

MOST_CELLS = 5_000_000  # of the rectangle from A1, over all sheets of a workbook
MOST_COLUMNS = 1_500  # a column for every tank of a large house

_ERROR = re.compile(rb'<c r="([A-Z]+)(\d+)"(?: s="\d+")? t="e"[^>]*>(.*?)</c>', re.S)
_FORMULA = re.compile(
    rb'<c r="([A-Z]+)(\d+)"([^>]*)><f(?:\s[^>]*)?(?:/>|>[^<]*</f>)(<v[^>]*>[^<]|)'
)
_FORMULAS = (b"<f>", b"<f ", b"<f/")
_VALUE = re.compile(rb"<v[^>]*>([^<]*)</v>")
_HIDDEN = re.compile(rb'<(?:\w+:)?row\s[^>]*?hidden\s*=\s*["\'](?:1|true)["\']')
_ROW = re.compile(rb'<row r="(\d+)"')
_REFERENCE = re.compile(r"([A-Za-z]+)(\d+)$")
_SPACED = (b"r =", b"r\n=", b"r\t=", b"r\r=")


class Cell(NamedTuple):
    """One cell as the walk meets it; row and column count from 0."""

    row: int
    column: int
    kind: str  # the t attribute
    style: int
    formula: bool
    text: str  # of <v>, "" if none
    filled: bool
    start: int
    end: int


@dataclass(slots=True)
class Marks:
    """What was found in one sheet; cells count from 0."""

    trouble: dict[tuple[int, int], Trouble] = field(default_factory=dict)
    booleans: bool = False
    percent: list[tuple[int, int]] = field(default_factory=list)
    hidden_rows: int = 0


def place(letters: bytes, number: bytes) -> tuple[int, int]:
    """Return row and column, from 0, of a reference such as ``D14``."""
    column = 0
    for letter in letters:
        column = column * 26 + letter - 64
    return int(number) - 1, column - 1


def marks_of(xml: bytes, percent_styles: frozenset[int], usual: bool) -> Marks:
    """Return the cells in trouble, the percentages and the hidden rows of a sheet.

    ``usual`` says that `is_usual` holds for it; else it is walked by a parser.
    """
    marks = Marks()
    if b"hidden" in xml:
        marks.hidden_rows = len(_HIDDEN.findall(xml))
    marks.booleans = not usual or b't="b"' in xml
    found = (
        usual
        and _errors(xml, marks)
        and _formulas(xml, marks)
        and _percents(xml, percent_styles, marks)
    )
    if not found:
        marks.trouble.clear()
        marks.percent.clear()
        walk(xml, lambda cell: _mark(cell, percent_styles, marks))
    return marks


def _errors(xml: bytes, marks: Marks) -> bool:
    """Collect the error cells; False if there are more than could be found so."""
    if b't="e"' not in xml:
        return True
    found = _ERROR.findall(xml)
    for letters, number, inside in found:
        value = _VALUE.search(inside)
        text = value[1].decode("utf-8", "replace") if value else "#ERROR"
        marks.trouble[place(letters, number)] = Trouble(text)
    return len(found) == xml.count(b't="e"')


def _formulas(xml: bytes, marks: Marks) -> bool:
    """Collect formulas without a saved result; False as above."""
    if b"<f" not in xml:
        return True
    count = sum(xml.count(tag) for tag in _FORMULAS)
    found = _FORMULA.findall(xml)
    for letters, number, attributes, value in found:
        # A formula whose result is the empty text has t="str" and an empty <v>.
        if not value and b't="str"' not in attributes and b't="e"' not in attributes:
            marks.trouble[place(letters, number)] = Trouble("")
    return len(found) == count


def _percents(xml: bytes, styles: frozenset[int], marks: Marks) -> bool:
    if not styles:
        return True
    which = b"|".join(str(style).encode() for style in sorted(styles))
    found = re.findall(rb'<c r="([A-Z]+)(\d+)" s="(?:' + which + rb')"', xml)
    marks.percent = [place(letters, number) for letters, number in found]
    # Rows and columns carry styles too, and other writers order attributes otherwise.
    others = re.findall(rb'<c [^>]*s="(?:' + which + rb')"', xml)
    return len(found) == len(others)


def _mark(cell: Cell, percent_styles: frozenset[int], marks: Marks) -> None:
    where = (cell.row, cell.column)
    if cell.kind == "e":
        marks.trouble[where] = Trouble(cell.text or "#ERROR")
    elif cell.formula and not cell.text and cell.kind != "str":
        marks.trouble[where] = Trouble("")
    elif cell.style in percent_styles:
        marks.percent.append(where)


def walk(xml: bytes, visit: Callable[[Cell], None]) -> None:
    """Call ``visit`` with every cell of a worksheet, whatever writer made it.

    Raises
    ------
    xml.parsers.expat.ExpatError
        The XML is not well-formed.
    """
    _Walker(xml, visit)


class _Walker:
    """The three callbacks of the XML parser, and what they remember."""

    def __init__(self, xml: bytes, visit: Callable[[Cell], None]) -> None:
        self._xml = xml
        self._visit = visit
        self._row = self._column = -1
        self._attributes: dict[str, str] = {}
        self._text: list[str] = []
        self._formula = self._filled = self._in_value = False
        self._start = 0
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._on_start
        parser.EndElementHandler = self._on_end
        parser.CharacterDataHandler = self._on_text
        self._parser = parser
        parser.Parse(xml, True)

    def _on_start(self, tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        if local == "row":
            self._row = int(attributes.get("r", self._row + 2)) - 1
            self._column = -1
        elif local == "c":
            self._column += 1
            reference = _REFERENCE.match(attributes.get("r", ""))
            if reference:
                letters = reference[1].upper().encode()
                self._row, self._column = place(letters, reference[2].encode())
            self._attributes = attributes
            self._formula = self._filled = False
            self._text.clear()
            self._start = self._parser.CurrentByteIndex
        elif local == "v":
            self._in_value = self._filled = True
        elif local == "is":
            self._filled = True
        elif local == "f":
            self._formula = True

    def _on_end(self, tag: str) -> None:
        local = tag.rpartition(":")[2]
        if local == "v":
            self._in_value = False
        elif local == "c":
            # At the end tag; of <c/> the parser still stands at its beginning.
            end = self._xml.index(b">", self._parser.CurrentByteIndex) + 1
            text, attributes = "".join(self._text), self._attributes
            kind, style = attributes.get("t", ""), int(attributes.get("s", 0))
            self._visit(
                Cell(
                    self._row,
                    self._column,
                    kind,
                    style,
                    self._formula,
                    text,
                    self._filled,
                    self._start,
                    end,
                )
            )

    def _on_text(self, data: str) -> None:
        if self._in_value:
            self._text.append(data)


def within_bounds(
    xml: bytes, room: int, usual: bool
) -> tuple[bytes, int, list[tuple[int, int]]]:
    """Return the sheet without cells too far out, the cells it takes, and those cut.

    The fast reader lays out the whole rectangle from A1: one stray mark in the last
    cell of a sheet would ask for hundreds of gigabytes.
    """
    if usual:
        rows = max(map(int, _ROW.findall(xml)), default=0)
        for width in (_roughly, _width):
            taken = rows * width(xml)
            if taken <= room:
                return xml, taken, []
    columns = height = 0

    def measure(cell: Cell) -> None:
        nonlocal columns
        if cell.filled and cell.column < MOST_COLUMNS:
            columns = max(columns, cell.column + 1)

    walk(xml, measure)
    most_rows = max(room // max(columns, 1), 1)
    far: list[Cell] = []

    def sort_out(cell: Cell) -> None:
        nonlocal height
        if not cell.filled:
            return
        if cell.column >= MOST_COLUMNS or cell.row >= most_rows:
            far.append(cell)
        else:
            height = max(height, cell.row + 1)

    walk(xml, sort_out)
    kept, at = [], 0
    for cell in far:
        kept.append(xml[at : cell.start])
        at = cell.end
    kept.append(xml[at:])
    where = [(cell.row, cell.column) for cell in far]
    return b"".join(kept), columns * height, where


def is_usual(xml: bytes) -> bool:
    """Say whether every reference is written as all spreadsheet programs do."""
    start, end = xml.find(b"<sheetData"), xml.rfind(b"</sheetData>")
    if b"<row r=" not in xml or min(start, end) < 0:
        return False
    if xml.count(b"r=", start, end) != xml.count(b' r="', start, end):
        return False
    return not any(bytes_ in xml for bytes_ in _SPACED)


def _roughly(xml: bytes) -> int:
    """Return a number of columns that no cell lies beyond, blank ones included."""
    if re.search(rb' r="[A-Z]{3}', xml):
        return MOST_COLUMNS * 1000  # far out, if only styled: let the walk decide
    pairs = set(re.findall(rb' r="([A-Z]{2})\d', xml))
    return place(max(pairs), b"1")[1] + 1 if pairs else 26


def _width(xml: bytes) -> int:
    """Return the same to the column; slower."""
    rough = _roughly(xml)
    if rough > 26:
        return rough
    for letter in range(ord("Z"), ord("A"), -1):
        if re.search(b' r="' + bytes([letter]) + rb"\d", xml):
            return letter - ord("A") + 1
    return 1
