"""The cells of a workbook and no more: what its marked copy is made from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fleet.read.grid import Trouble
from fleet.read.open import read_bytes, sheets_of
from fleet.read.sources import expand
from fleet.read.table import language_of
from fleet.reference import Reference


def plain_cells(
    path: Path, reference: Reference
) -> Iterator[tuple[str, list[list[object]]]]:
    """Yield name and rows of each sheet of a workbook, within the reader's bounds.

    Raises
    ------
    UnreadableError
        It cannot be read.
    """
    known = language_of(reference).headers.known
    for source in expand([path]):
        data = read_bytes(source.name, source.path)
        for sheet in sheets_of(source.name, source.path, data, known):
            yield sheet.name, [[_plain(cell) for cell in row] for row in sheet.rows]


def _plain(cell: object) -> object:
    return cell.text if isinstance(cell, Trouble) else cell
