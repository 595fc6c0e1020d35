"""A copy of someone's workbook with the cells marked that need a look."""

from __future__ import annotations

import csv
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fleet.errors import UnreadableError
from fleet.records import CellAddress, Problem

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

LARGEST = 300_000_000  # bytes unpacked; a larger file is refused, not marked
FILLS = {"error": "F4B6A6", "warning": "F9DFA0", "note": "CFE3F0"}
WIDTHS = (16, 10, 28, 90, 16)


def write_marked(
    original: Path, problems: Sequence[Problem], path: Path, own: Path | None = None
) -> None:
    """Write a copy of ``original`` with the cells of ``problems`` marked.

    Each cell is filled, framed and commented (a comment that is there is added
    to), and a first sheet lists all with links. The original is not touched. A
    ``.csv`` or ``.ods`` file, or a folder of CSV files, becomes a workbook of
    its cells. ``own`` is a folder of the user's wording.

    Raises
    ------
    UnreadableError
        The file cannot be opened as a workbook.
    """
    from fleet.render.form import form_words
    from fleet.render.same_bytes import save

    words = form_words(own)["marked"]
    book, copied = _open(original)
    _drop_earlier_list(book, words)
    ordered = _in_order(book, problems)
    for problem in ordered:
        _mark(book, problem, words["author"])
    _add_list(book, ordered, words, original.name if copied else "")
    save(book, path, None)


# ------------------------------------------------------------------------ opening


def _open(original: Path) -> tuple[Workbook, bool]:
    """Return the workbook, and whether only its cells were copied."""
    if original.is_dir():
        return _from_rows(_csv_sheets(sorted(original.glob("*.csv")))), True
    if original.suffix.lower() in (".csv", ".txt", ".tsv"):
        return _from_rows(_csv_sheets([original])), True
    if original.suffix.lower() in (".xlsx", ".xlsm"):
        book = _as_workbook(original)
        if book is not None:
            return book, False
    return _from_rows(_sheets(original)), True


def _as_workbook(original: Path) -> Workbook | None:
    """Return the workbook with all its looks, or None where that fails."""
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(original) as packed:
            size = sum(entry.file_size for entry in packed.infolist())
        if size > LARGEST:
            raise UnreadableError(f"{original.name}: too large to mark a copy of.")
        with warnings.catch_warnings():
            # What is dropped (pictures, extensions) is no news to who asked.
            warnings.simplefilter("ignore")
            book = load_workbook(original)
    except UnreadableError:
        raise
    except Exception:  # noqa: BLE001 - a damaged file raises a dozen kinds
        return None
    return book if book.worksheets else None


def _sheets(original: Path) -> Iterator[tuple[str, list[list[object]]]]:
    """Yield sheet name and cells of a spreadsheet of any kind."""
    import pandas

    try:
        tables = pandas.read_excel(
            original, sheet_name=None, header=None, dtype=object,
            na_filter=False, engine="calamine",
        )  # fmt: skip
    except Exception as err:  # noqa: BLE001 - see above
        raise UnreadableError(
            f"{original.name}: cannot be opened, so no copy of it can be marked."
        ) from err
    for name, table in tables.items():
        yield str(name), table.to_numpy().tolist()


def _csv_sheets(paths: Sequence[Path]) -> Iterator[tuple[str, list[list[object]]]]:
    for path in paths:
        try:
            raw = path.read_bytes()
        except OSError as err:
            raise UnreadableError(f"{path.name}: {err.strerror}.") from err
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = raw.decode("cp1252", "replace")
        first = text.partition("\n")[0]
        mark = max(",;\t", key=first.count)
        rows = csv.reader(text.splitlines(keepends=True), delimiter=mark)
        yield path.stem, [list(row) for row in rows]


def _from_rows(sheets: Iterator[tuple[str, list[list[object]]]]) -> Workbook:
    from openpyxl import Workbook

    from fleet.render.form_book import put

    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets:
        sheet = book.create_sheet(_title(book, name))
        for row, cells in enumerate(rows, start=1):
            for column, value in enumerate(cells, start=1):
                put(sheet.cell(row, column), value)
    if not book.worksheets:
        raise UnreadableError("There is nothing in it, so no copy can be marked.")
    return book


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
