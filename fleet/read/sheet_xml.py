"""What the fast reader does not tell of a worksheet, found in its XML.

Cells in trouble (errors, formulas never calculated), formats that show a unit or a
percentage, hidden rows, and cells so far out that the grid between would not fit into
memory. Each search runs only where its bytes occur, as a regular expression and in the
thinned sheet; where that misses some of them an XML parser walks the sheet instead.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from fleet.read.grid import Trouble
from fleet.read.number_formats import Shown
from fleet.read.plain_xml import thinned
from fleet.read.sheet_walk import Cell, place, walk

MOST_CELLS = 5_000_000  # of the rectangle from A1, over all sheets of a workbook
MOST_COLUMNS = 1_500  # a column for every tank of a large house

_ERROR = re.compile(
    rb'<c r="([A-Z]+)(\d+)"(?: s="\d+")? t="e"(?: [^<>]*)?(?<!/)>(.*?)</c>', re.S
)
_ERROR_VALUE = re.compile(
    rb"(<(?:\w+:)?c\s[^<>]*\bt\s*=\s*[\"']e[\"'][^<>]*>\s*"
    rb"(?:<(?:\w+:)?f(?:\s[^<>]*)?(?:/>|>[^<]*</(?:\w+:)?f>)\s*)?"
    rb"<(?:\w+:)?v(?:\s[^<>]*)?>)[^<]*"
)
# ECMA-376 part 1, 18.17.3; at any other the fast reader gives the whole file up.
_KNOWN_ERRORS = {
    "", "#DIV/0!", "#GETTING_DATA", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!",
    "#VALUE!",
}  # fmt: skip
_FORMULA = re.compile(
    rb'<c r="([A-Z]+)(\d+)"([^>]*)><f(?:\s[^>]*)?(?:/>|>[^<]*</f>)(<v[^>]*>[^<]|)'
)
_FORMULAS = (b"<f>", b"<f ", b"<f/")
_VALUE = re.compile(rb"<v[^>]*>([^<]*)</v>")
_HIDDEN = re.compile(rb'<(?:\w+:)?row\s[^>]*?hidden\s*=\s*["\'](?:1|true)["\']')
_ROW = re.compile(rb'<row r="(\d+)"')
# Where a cell or row is not written as all spreadsheet programs do.
_UNUSUAL = re.compile(rb'<(?:c(?! r="[A-Z])[\s/>]|row(?! r="\d)[\s/>]|\w+:)')
_BLANK_CELL = re.compile(rb'<c r="[A-Z]+\d+"(?: s="\d+")? ?/>')
_BLANK_ROW = re.compile(rb'<row r="\d+"(?: [\w:]+="[^"<>]*")* ?(?:/>|></row>)')


@dataclass(slots=True)
class Marks:
    """What was found in one sheet; cells count from 0."""

    trouble: dict[tuple[int, int], Trouble] = field(default_factory=dict)
    booleans: bool = False
    shown: dict[tuple[int, int], Shown] = field(default_factory=dict)  # by its format
    hidden_rows: int = 0


class Examined(NamedTuple):
    """A sheet that is safe to lay out, and what is to be marked in it."""

    xml: bytes  # without the cells too far out
    taken: int  # cells of the rectangle from A1
    far: list[tuple[int, int]]  # cells cut; row and column from 0
    marks: Marks


def examine(
    xml: bytes, thin: bytes, room: int, formats: Mapping[int, Shown]
) -> Examined:
    """Return a sheet bounded to ``room`` cells, and what the fast reader hides.

    The fast reader lays out the whole rectangle from A1: one stray mark in the last
    cell of a sheet would ask for hundreds of gigabytes. ``thin`` is the sheet
    `thinned`.
    """
    found = _examined(xml, thin, room, formats)
    if all(trouble.text in _KNOWN_ERRORS for trouble in found.marks.trouble.values()):
        return found
    # What the cell says is kept in the marks.
    return found._replace(xml=_ERROR_VALUE.sub(rb"\g<1>#N/A", found.xml))


def _examined(
    xml: bytes, thin: bytes, room: int, formats: Mapping[int, Shown]
) -> Examined:
    hidden = _hidden_rows(thin)
    if is_usual(thin):
        taken = _extent(xml, thin, room)
        if taken > room:
            # Formats down to the last row of a sheet are common, and hold nothing.
            xml = _BLANK_ROW.sub(b"", _BLANK_CELL.sub(b"", xml))
            thin = thinned(xml)
            taken = _extent(xml, thin, room)
        if taken <= room:
            return Examined(xml, taken, [], _searched(xml, thin, formats, hidden))
    return _walked(xml, room, formats, hidden)


def _searched(
    xml: bytes, thin: bytes, formats: Mapping[int, Shown], hidden: int
) -> Marks:
    """Find the marks by searching; by a walk where that misses some."""
    marks = Marks(booleans=b't="b"' in thin, hidden_rows=hidden)
    found = (
        _errors(thin, marks)
        and _formulas(thin, marks)
        and _formats(xml, formats, marks)
    )
    if not found:
        marks.trouble.clear()
        marks.shown.clear()
        walk(xml, lambda cell: _mark(cell, formats, marks))
    return marks


def _walked(
    xml: bytes, room: int, formats: Mapping[int, Shown], hidden: int
) -> Examined:
    """Find extent and marks in one walk; cut what is too far out in a second."""
    marks = Marks(booleans=True, hidden_rows=hidden)
    columns = rows = 0
    beyond = False

    def look(cell: Cell) -> None:
        nonlocal columns, rows, beyond
        if cell.filled:
            if cell.column < MOST_COLUMNS:
                columns = max(columns, cell.column + 1)
                rows = max(rows, cell.row + 1)
            else:
                beyond = True
            _mark(cell, formats, marks)

    walk(xml, look)
    if not beyond and columns * rows <= room:
        return Examined(xml, columns * rows, [], marks)
    most_rows = max(room // max(columns, 1), 1)
    far: list[Cell] = []
    rows = 0

    def sort_out(cell: Cell) -> None:
        nonlocal rows
        if not cell.filled:
            return
        if cell.column >= MOST_COLUMNS or cell.row >= most_rows:
            far.append(cell)
        else:
            rows = max(rows, cell.row + 1)

    walk(xml, sort_out)
    kept, at = [], 0
    for cell in far:
        kept.append(xml[at : cell.start])
        at = cell.end
    kept.append(xml[at:])
    where = [(cell.row, cell.column) for cell in far]
    for place_ in where:
        marks.trouble.pop(place_, None)
        marks.shown.pop(place_, None)
    return Examined(b"".join(kept), columns * rows, where, marks)


def _hidden_rows(xml: bytes) -> int:
    return len(_HIDDEN.findall(xml)) if b"hidden" in xml else 0


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


def _formats(xml: bytes, styles: Mapping[int, Shown], marks: Marks) -> bool:
    """Collect the cells whose format shows more than a number; False as above."""
    if not styles:
        return True
    which = b"|".join(str(style).encode() for style in sorted(styles))
    found = re.findall(rb'<c r="([A-Z]+)(\d+)" s="(' + which + rb')"', xml)
    for letters, number, style in found:
        marks.shown[place(letters, number)] = styles[int(style)]
    # Other writers may order the attributes otherwise.
    others = re.findall(rb'<c [^>]*s="(?:' + which + rb')"', xml)
    return len(found) == len(others)


def _mark(cell: Cell, formats: Mapping[int, Shown], marks: Marks) -> None:
    where = (cell.row, cell.column)
    if cell.kind == "e":
        marks.trouble[where] = Trouble(cell.text or "#ERROR")
    elif cell.formula and not cell.text and cell.kind != "str":
        marks.trouble[where] = Trouble("")
    elif cell.style in formats:
        marks.shown[where] = formats[cell.style]


def is_usual(xml: bytes) -> bool:
    """Say whether every row and cell says where it stands, as programs write it."""
    start, end = xml.find(b"<sheetData"), xml.rfind(b"</sheetData>")
    if min(start, end) < 0 or b"<row r=" not in xml:
        return False
    return not _UNUSUAL.search(xml, start, end)


def _extent(xml: bytes, thin: bytes, room: int) -> int:
    """Return how many cells the rectangle from A1 takes, or more where too many."""
    rows = max(map(int, _ROW.findall(xml)), default=0)
    taken = rows * _roughly(thin)
    if taken > room:
        taken = rows * _width(xml)
    if taken <= room and re.search(rb' r="[A-Z]+' + _above(rows) + rb'"', thin):
        return room + 1  # a cell that stands below its own row
    return taken


def _above(number: int) -> bytes:
    """Return a pattern of the numbers above ``number``."""
    digits = str(number)
    patterns = [rf"\d{{{len(digits) + 1},}}"]
    for place_, digit in enumerate(digits):
        if digit != "9":
            rest = len(digits) - place_ - 1
            patterns.append(rf"{digits[:place_]}[{int(digit) + 1}-9]\d{{{rest}}}")
    return f"(?:{'|'.join(patterns)})".encode()


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
