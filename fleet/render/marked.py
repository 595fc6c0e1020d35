"""A copy of someone's workbook with the cells marked that need a look."""

from __future__ import annotations

import re
import warnings
import zipfile
from collections.abc import Callable, Iterable, Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from fleet.errors import UnreadableError
from fleet.records import CellAddress, Problem

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
FILLS = {"error": "F4B6A6", "warning": "F9DFA0", "note": "CFE3F0"}
WIDTHS = (16, 10, 28, 90, 16)


def write_marked(
    original: Path,
    problems: Sequence[Problem],
    path: Path,
    own: Path | None = None,
    cells: Cells | None = None,
) -> None:
    """Write a copy of ``original`` with the cells of ``problems`` marked.

    Each cell is filled, framed and commented (a comment that is there is added
    to), and a first sheet lists all with links. The original is not touched. A
    ``.csv`` or ``.ods`` file, or a folder of CSV files, becomes a workbook of
    its cells, as ``cells`` gives them. ``own`` is a folder of the user's wording.

    Raises
    ------
    UnreadableError
        The file cannot be opened as a workbook.
    """
    from fleet.render.form import form_words
    from fleet.render.same_bytes import save

    words = form_words(own)["marked"]
    book, copied = _open(original, cells)
    _drop_earlier_list(book, words)
    ordered = _in_order(book, problems)
    for problem in ordered:
        _mark(book, problem, words["author"])
    _add_list(book, ordered, words, original.name if copied else "")
    save(book, path, None)


# ------------------------------------------------------------------------ opening


def _open(original: Path, cells: Cells | None) -> tuple[Workbook, bool]:
    """Return the workbook, and whether only its cells were copied."""
    if original.suffix.lower() in (".xlsx", ".xlsm") and original.is_file():
        book = _as_workbook(original)
        if book is not None:
            return book, False
    if cells is None:
        raise UnreadableError(
            f"{original.name}: cannot be opened, so no copy of it can be marked."
        )
    return _from_cells(original.name, cells()), True


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


def _from_cells(
    name: str, sheets: Iterable[tuple[str, list[list[object]]]]
) -> Workbook:
    from openpyxl import Workbook

    from fleet.render.form_book import put

    book, room = Workbook(), MOST_CELLS
    book.remove(book.active)
    for title, rows in sheets:
        sheet = book.create_sheet(_title(book, title))
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
    return book


def _too_large(name: str) -> UnreadableError:
    return UnreadableError(
        f"{name}: it has too many cells to mark a copy of. Run the check without "
        "--marked: it names each cell."
    )


def _title(book: Workbook, name: str) -> str:
    from fleet.render.safe import for_sheet

    kept = "".join(c for c in for_sheet(name) if c not in r"[]:*?/\'")[:28] or "Sheet"
    title, number = kept, 2
    taken = {other.casefold() for other in book.sheetnames}
    while title.casefold() in taken:
        title, number = f"{kept} {number}", number + 1
    return title


# ------------------------------------------------------------------------ marking


def _sheet_of(book: Workbook, where: CellAddress) -> Worksheet | None:
    wanted = {where.sheet.casefold(), Path(where.file).stem.casefold()}
    for sheet in book.worksheets:
        if sheet.title.casefold() == where.sheet.casefold():
            return sheet
    for sheet in book.worksheets:
        if sheet.title.casefold() in wanted:
            return sheet
    return None


def _in_order(book: Workbook, problems: Sequence[Problem]) -> list[Problem]:
    """Sort by sheet as in the workbook, then row and column."""
    order = {sheet.title: place for place, sheet in enumerate(book.worksheets)}

    def key(problem: Problem) -> tuple[int, int, int]:
        sheet = _sheet_of(book, problem.where)
        place = -1 if sheet is None else order[sheet.title]
        return place, problem.where.row, problem.where.column

    return sorted(problems, key=key)


def _cell_of(book: Workbook, where: CellAddress) -> Any:
    """Return the cell a problem is at, or None where it has no cell."""
    sheet = _sheet_of(book, where)
    if sheet is None or (where.row < 1 and where.column < 1):
        return None
    row, column = max(where.row, 1), max(where.column, 1)
    for merged in sheet.merged_cells.ranges:
        inside = merged.min_row <= row <= merged.max_row
        if inside and merged.min_col <= column <= merged.max_col:
            row, column = merged.min_row, merged.min_col
            break
    return sheet.cell(row, column)


def _mark(book: Workbook, problem: Problem, author: str) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Border, PatternFill, Side

    from fleet.render.safe import for_sheet

    cell = _cell_of(book, problem.where)
    if cell is None:
        return
    edge = Side("medium", color="7A1F0E")
    cell.fill = PatternFill("solid", fgColor=FILLS[problem.severity])
    cell.border = Border(edge, edge, edge, edge)
    text, before = for_sheet(problem.message), cell.comment
    if before is None:
        cell.comment = Comment(text, author, height=110, width=300)
    elif text not in before.text:
        # The writer's own note stays in front, under their own name.
        both = Comment(f"{before.text}\n\n{text}", before.author or author)
        both.height, both.width = before.height + 80, max(before.width, 300)
        cell.comment = both


# ------------------------------------------------------------------------ the list


def _drop_earlier_list(book: Workbook, words: dict[str, Any]) -> None:
    """Take out the list of an earlier marked copy, when that is marked again."""
    for sheet in book.worksheets:
        if sheet.cell(1, 1).value == words["title"] and len(book.worksheets) > 1:
            book.remove(sheet)


def _add_list(
    book: Workbook, problems: Sequence[Problem], words: dict[str, Any], copied: str
) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter, quote_sheetname
    from openpyxl.worksheet.hyperlink import Hyperlink

    from fleet.render.form_book import BOLD, FACE, HEADER, WHITE_BOLD, put

    sheet = book.create_sheet(_title(book, words["sheet"]), 0)
    book.active = 0
    for other in book.worksheets[1:]:
        other.sheet_view.tabSelected = False
    for place, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.cell(1, 1, words["title"]).font = Font(name=FACE, bold=True, size=15)
    count = {kind: sum(p.severity == kind for p in problems) for kind in FILLS}
    told = words["counts"].format(
        errors=count["error"], warnings=count["warning"], notes=count["note"]
    )
    lines = [words["explain"] if problems else words["none"], told]
    if copied:
        lines.append(words["copied"].format(name=copied))
    for row, line in enumerate(lines, start=2):
        put(sheet.cell(row, 1), line)
    head = len(lines) + 3
    for place, word in enumerate(words["headers"], start=1):
        cell = sheet.cell(head, place, word)
        cell.font, cell.fill = WHITE_BOLD, HEADER
    wrap = Alignment(wrap_text=True, vertical="top")
    for row, problem in enumerate(problems, start=head + 1):
        found = _cell_of(book, problem.where)
        where = problem.where
        values = (
            where.sheet or where.file, where.cell or words["file-only"],
            problem.value, problem.message, problem.effect,
        )  # fmt: skip
        for place, value in enumerate(values, start=1):
            cell = put(sheet.cell(row, place), value)
            cell.alignment = wrap
        sheet.cell(row, 5).fill = PatternFill("solid", fgColor=FILLS[problem.severity])
        sheet.cell(row, 5).font = BOLD
        if found is not None:
            link = sheet.cell(row, 2)
            link.hyperlink = Hyperlink(
                ref=link.coordinate,
                location=f"{quote_sheetname(found.parent.title)}!{found.coordinate}",
            )
            link.font = Font(name=FACE, color="0B5394", underline="single")
    sheet.freeze_panes = sheet.cell(head + 1, 1)
    sheet.print_title_rows = f"{head}:{head}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
