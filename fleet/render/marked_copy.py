"""The workbook to mark: theirs with all its looks, or its cells alone."""

from __future__ import annotations

import re
import warnings
import zipfile
from collections.abc import Callable, Iterable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from fleet.errors import UnreadableError

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

LARGEST = 100_000_000  # bytes unpacked; a larger file is refused, not marked
MOST_CELLS = 500_000  # likewise; the library takes 30 us and 0.6 kB for each
_ROW_OR_CELL = re.compile(rb"<(?:\w+:)?(?:c|row)[\s/>]")
_AREA = re.compile(
    rb"<(?:\w+:)?(?:mergeCell|hyperlink)\s[^<>]*?ref\s*=\s*[\"']([^\"':]+:[^\"']+)"
)
_TEXT_END = re.compile(rb"</(?:\w+:)?si>")
_LONG = 40_000  # bytes of a text that no cell can hold

Cells = Callable[[], Iterable[tuple[str, list[list[object]]]]]  # name, rows


class Copy(NamedTuple):
    """The workbook to mark, and its sheets by the names that problems know."""

    book: Workbook
    sheets: dict[str, Worksheet]  # a title may hold less of a name than a file has
    cells_only: bool  # made of the cells; nothing else could be copied


def open_copy(original: Path, cells: Cells | None) -> Copy:
    """Return the workbook to mark, or one of its cells where that fails.

    Raises
    ------
    UnreadableError
        The file cannot be opened as a workbook, or is too large to mark.
    """
    if original.suffix.lower() in (".xlsx", ".xlsm") and original.is_file():
        book = _as_workbook(original)
        if book is not None:
            named = {sheet.title.casefold(): sheet for sheet in book.worksheets}
            return Copy(book, named, cells_only=False)
    if cells is None:
        raise UnreadableError(
            f"{original.name}: cannot be opened, so no copy of it can be marked."
        )
    return _from_cells(original.name, cells())


def _as_workbook(original: Path) -> Workbook | None:
    """Return the workbook with all its looks, or None where that fails."""
    from openpyxl import load_workbook
    from openpyxl.xml import DEFUSEDXML

    if not DEFUSEDXML:
        return None  # without defusedxml it obeys DTDs
    try:
        data = original.read_bytes()
        size = _size(data)
        if size.cells > MOST_CELLS:
            raise _too_large(original.name)
        if size.area > MOST_CELLS or size.text > LARGEST:
            return None
        with warnings.catch_warnings():
            # What is dropped (pictures, extensions) is no news to who asked.
            warnings.simplefilter("ignore")
            book = load_workbook(BytesIO(data))
    except UnreadableError:
        raise
    except Exception:  # noqa: BLE001 - a damaged file raises a dozen kinds
        return None
    return book if book.worksheets else None


class _Size(NamedTuple):
    """What a workbook would take when the library has laid it out."""

    cells: int  # rows and cells, blank ones too
    area: int = 0  # cells of merged and linked areas, each of which is made
    text: int = 0  # bytes, at most, of texts: each is written out wherever it shows


def _size(data: bytes) -> _Size:
    cells = area = longest = 0
    with zipfile.ZipFile(BytesIO(data)) as packed:
        if sum(entry.file_size for entry in packed.infolist()) > LARGEST:
            return _Size(MOST_CELLS + 1)
        for entry in packed.infolist():
            name = entry.filename.lower()
            if "worksheets/" in name:
                xml = packed.read(entry)
                cells += len(_ROW_OR_CELL.findall(xml))
                area += sum(map(_area, _AREA.findall(xml)))
            elif name.endswith("sharedstrings.xml"):
                longest = max(map(len, _TEXT_END.split(packed.read(entry))))
    return _Size(cells, area, cells * longest if longest > _LONG else 0)


def _area(reference: bytes) -> int:
    """Return how many cells a reference such as ``A1:C9`` takes."""
    from openpyxl.utils import range_boundaries

    left, top, right, bottom = range_boundaries(reference.decode())
    if None in (left, top, right, bottom):
        return MOST_CELLS + 1  # whole rows or columns
    return int((right - left + 1) * (bottom - top + 1))


def _from_cells(name: str, sheets: Iterable[tuple[str, list[list[object]]]]) -> Copy:
    from openpyxl import Workbook

    from fleet.render.form_book import put

    book, room = Workbook(), MOST_CELLS
    book.remove(book.active)
    named: dict[str, Worksheet] = {}
    for title, rows in sheets:
        sheet = book.create_sheet(free_title(book, title))
        named.setdefault(title.casefold(), sheet)
        for row, cells in enumerate(rows, start=1):
            for column, value in enumerate(cells, start=1):
                if value is None or value == "":
                    continue
                put(sheet.cell(row, column), value)
                room -= 1
        if room < 0:
            raise _too_large(name)
    if not book.worksheets:
        raise UnreadableError("There is nothing in it, so no copy can be marked.")
    return Copy(book, named, cells_only=True)


def _too_large(name: str) -> UnreadableError:
    return UnreadableError(
        f"{name}: it has too many cells to mark a copy of. Run the check without "
        "--marked: it names each cell."
    )


def free_title(book: Workbook, name: str) -> str:
    """Return a name as a sheet of the workbook can bear it."""
    from fleet.render.safe import for_sheet

    kept = "".join(c for c in for_sheet(name) if c not in r"[]:*?/\'")[:28] or "Sheet"
    title, number = kept, 2
    taken = {other.casefold() for other in book.sheetnames}
    while title.casefold() in taken:
        title, number = f"{kept} {number}", number + 1
    return title
