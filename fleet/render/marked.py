"""A copy of someone's workbook with the cells marked that need a look."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fleet.records import CellAddress, Problem
from fleet.render.marked_copy import Cells, Copy, free_title, open_copy

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

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
    copy = open_copy(original, cells)
    _drop_earlier_list(copy, words)
    ordered = _in_order(copy, problems)
    for problem in ordered:
        _mark(copy, problem, words["author"])
    _add_list(copy, ordered, words, original.name if copy.cells_only else "")
    save(copy.book, path, None)


# ------------------------------------------------------------------------ marking


def _sheet_of(copy: Copy, where: CellAddress) -> Worksheet | None:
    own = copy.sheets.get(where.sheet.casefold())
    return own or copy.sheets.get(Path(where.file).stem.casefold())


def _in_order(copy: Copy, problems: Sequence[Problem]) -> list[Problem]:
    """Sort by sheet as in the workbook, then row and column."""
    order = {sheet.title: place for place, sheet in enumerate(copy.book.worksheets)}

    def key(problem: Problem) -> tuple[int, int, int]:
        sheet = _sheet_of(copy, problem.where)
        place = -1 if sheet is None else order[sheet.title]
        return place, problem.where.row, problem.where.column

    return sorted(problems, key=key)


def _cell_of(copy: Copy, where: CellAddress) -> Any:
    """Return the cell a problem is at, or None where it has no cell."""
    sheet = _sheet_of(copy, where)
    if sheet is None or (where.row < 1 and where.column < 1):
        return None
    row, column = max(where.row, 1), max(where.column, 1)
    for merged in sheet.merged_cells.ranges:
        inside = merged.min_row <= row <= merged.max_row
        if inside and merged.min_col <= column <= merged.max_col:
            row, column = merged.min_row, merged.min_col
            break
    return sheet.cell(row, column)


def _mark(copy: Copy, problem: Problem, author: str) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Border, PatternFill, Side

    from fleet.render.safe import for_sheet

    cell = _cell_of(copy, problem.where)
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


def _drop_earlier_list(copy: Copy, words: dict[str, Any]) -> None:
    """Take out the list of an earlier marked copy, when that is marked again."""
    for name, sheet in list(copy.sheets.items()):
        if sheet.cell(1, 1).value == words["title"] and len(copy.book.worksheets) > 1:
            copy.book.remove(sheet)
            del copy.sheets[name]


def _add_list(
    copy: Copy, problems: Sequence[Problem], words: dict[str, Any], copied: str
) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter, quote_sheetname
    from openpyxl.worksheet.hyperlink import Hyperlink

    from fleet.render.form_book import BOLD, FACE, HEADER, WHITE_BOLD, put

    book = copy.book
    sheet = book.create_sheet(free_title(book, words["sheet"]), 0)
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
        found = _cell_of(copy, problem.where)
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
