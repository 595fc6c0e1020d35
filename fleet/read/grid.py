"""Sheets of cells as they came from a file, before anything is understood."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

from fleet.records import CellAddress, Problem

# A cell is what the file held: text, float, bool, a date or time, or Trouble; a blank
# is "" (or missing at the end of a row).
Row = list[Any]


class Trouble(NamedTuple):
    """A cell that holds no value: an error, or a formula never calculated."""

    text: str  # "#DIV/0!"; "" for a formula without a saved result


@dataclass(slots=True)
class Sheet:
    """One sheet: ``rows[0]`` is row 1, ``rows[0][0]`` is A1."""

    file: str
    name: str
    rows: list[Row]
    hidden: bool = False
    hidden_rows: int = 0
    # top, left, bottom, right; counted from 0, both ends inside
    merged: tuple[tuple[int, int, int, int], ...] = ()
    date1904: bool = False
    problems: list[Problem] = field(default_factory=list)  # met while opening

    def at(self, row: int, column: int) -> CellAddress:
        """Return the address of a cell whose row and column count from 0."""
        return CellAddress(self.file, self.name, row + 1, column + 1)

    @property
    def whole(self) -> CellAddress:
        """The address of the sheet itself."""
        return CellAddress(self.file, self.name, 0, 0)


def blank(cell: object) -> bool:
    """Say whether a cell is empty, or holds only spaces."""
    return cell == "" or cell is None or (isinstance(cell, str) and not cell.strip())


def blank_row(row: Row) -> bool:
    """Say whether all cells of a row are empty."""
    # Most blank rows hold only "": the comparison is left to C before looking closer.
    return row.count("") == len(row) or all(blank(cell) for cell in row)
