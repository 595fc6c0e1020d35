"""Build the workbook to fill in: sheets, drop-down lists, checks and notes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from fleet.render.safe import for_sheet

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

    from fleet.render.form import Column, Form, FormSheet

HEADER = PatternFill("solid", fgColor="2F5D62")
WANTED = PatternFill("solid", fgColor="8A4B08")  # header of a required column
MISSING = PatternFill("solid", bgColor="F6D9A8")
GREY = PatternFill("solid", fgColor="E8E8E8")
FACE = "Calibri"  # a font without a name comes out with serifs in LibreOffice
WHITE_BOLD = Font(name=FACE, bold=True, color="FFFFFF")
BOLD = Font(name=FACE, bold=True)
PALE = Font(name=FACE, color="6A6A6A", italic=True)
LINE = Border(bottom=Side("thin", color="B7C4C4"))
WRAP = Alignment(wrap_text=True, vertical="top")
HEAD = Alignment(wrap_text=True, vertical="center", horizontal="left")
PRINTED = 41  # rows that a blank sheet prints: one page
DAY = "yyyy-mm-dd"
TEXT = "@"
# Lists that grow with the workbook: the sheet and column they are read from.
FROM_SHEETS = {"tanks": ("Tanks", "tank"), "methods": ("Methods", "method")}


def new_book(form: Form) -> Workbook:
    """Return the form with its helps and headers, and no rows yet."""
    book = Workbook()
    read_me = book.active
    read_me.title = "Read me"
    for sheet in form.sheets:
        _add_sheet(book, form, sheet)
    _add_lists(book, form)
    for sheet in form.sheets:
        _add_helps(book[sheet.name], form, sheet)
    _add_settings(book["Settings"], form)
    return book


def add_read_me(
    book: Workbook, form: Form,
    examples: Mapping[str, Mapping[str, object]] | None = None,
    extra: Iterable[str] = (),
) -> None:  # fmt: skip
    """Fill the first sheet: what to do, then one invented example row a sheet."""
    sheet, words = book["Read me"], form.words["read-me"]
    sheet.column_dimensions["A"].width = 24
    sheet.column_dimensions["B"].width = 84
    row = 1
    sheet.cell(row, 1, words["title"]).font = Font(name=FACE, bold=True, size=15)
    for line in (*extra, *words["lines"]):
        row += 1
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=2)
        put(sheet.cell(row, 1), line).alignment = WRAP
        sheet.row_dimensions[row].height = 15 * (1 + len(line) // 112)
    if examples:
        row += 2
        sheet.cell(row, 1, words["examples"]).font = BOLD
    for name, cells in (examples or {}).items():
        row += 2
        sheet.cell(row, 1, words[f"on-{name.lower()}"]).font = BOLD
        for column in form.sheet(name).columns:
            if column.key not in cells:
                continue
            row += 1
            sheet.cell(row, 1, column.header).font = PALE
            example = put(sheet.cell(row, 2), cells[column.key])
            example.font, example.fill = PALE, GREY
            example.alignment = Alignment(horizontal="left")
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def put(cell: Any, value: object) -> Any:
    """Write a value; foreign text stays text, whatever it starts with."""
    if value is None or value == "":
        return cell
    if isinstance(value, str):
        cell.value = for_sheet(value)
        cell.data_type = "s"  # or '=...' would become a live formula
        return cell
    cell.value = value
    if isinstance(value, date):
        cell.number_format = DAY
    return cell


def add_rows(
    book: Workbook, sheet: FormSheet, rows: Iterable[Mapping[str, object]]
) -> None:
    """Append rows given by column key; what the form has no column for is left."""
    target = book[sheet.name]
    for row, cells in enumerate(rows, start=target.max_row + 1):
        for place, column in enumerate(sheet.columns, start=1):
            value = cells.get(column.key)
            if value not in (None, ""):  # an empty cell costs as much as a full one
                put(target.cell(row, place), value)
    width = get_column_letter(len(sheet.columns))
    target.print_area = f"A1:{width}{max(target.max_row, PRINTED)}"


def _add_sheet(book: Workbook, form: Form, sheet: FormSheet) -> None:
    made = book.create_sheet(sheet.name)
    for place, column in enumerate(sheet.columns, start=1):
        add_header(made, place, column.header, form.note(sheet.name, column.key),
                   column.width, column.required)  # fmt: skip
    made.row_dimensions[1].height = 32
    made.freeze_panes = "C2" if sheet.columns[1].key == "tank" else "B2"
    made.print_title_rows = "1:1"
    made.page_setup.orientation = "landscape"
    made.page_setup.fitToHeight = 0
    made.sheet_properties.pageSetUpPr.fitToPage = True
    made.print_options.gridLines = True  # boxes to write in, on paper
    made.oddFooter.center.text = "&A, &P / &N"


def add_header(
    sheet: Worksheet, place: int, header: str, note: str, width: float, required: bool
) -> None:
    """Write one header cell with its note."""
    cell = sheet.cell(1, place, header)
    cell.font, cell.alignment = WHITE_BOLD, HEAD
    cell.fill = WANTED if required else HEADER
    comment = Comment(note, "form")
    comment.width, comment.height = 260, 30 + 18 * (1 + len(note) // 38)
    cell.comment = comment
    sheet.column_dimensions[get_column_letter(place)].width = width + 1


def _add_lists(book: Workbook, form: Form) -> None:
    """Put the drop-down words on a sheet of their own and name each list."""
    sheet = book.create_sheet("Lists")
    sheet.cell(1, 1, form.words["read-me"]["lists-title"]).font = BOLD
    for place, (name, words) in enumerate(form.lists.items(), start=1):
        letter = get_column_letter(place)
        sheet.cell(3, place, name).font = BOLD
        for row, word in enumerate(words, start=4):
            sheet.cell(row, place, word)
        sheet.column_dimensions[letter].width = 24
        where = f"Lists!${letter}$4:${letter}${3 + len(words)}"
        book.defined_names.add(DefinedName(_list_name(name), attr_text=where))
    for name, (other, key) in FROM_SHEETS.items():
        from_sheet = form.sheet(other)
        letter = get_column_letter(from_sheet.place(key))
        where = f"{quote_sheetname(other)}!${letter}$2:${letter}${from_sheet.rows + 1}"
        book.defined_names.add(DefinedName(_list_name(name), attr_text=where))
    sheet.sheet_state = "hidden"


def _list_name(name: str) -> str:
    return "list_" + name.replace("-", "_")


def _add_helps(sheet: Worksheet, form: Form, plan: FormSheet) -> None:
    """Add one validation a column, and mark what a started row still needs."""
    last = plan.rows + 1
    for place, column in enumerate(plan.columns, start=1):
        letter = get_column_letter(place)
        cells = f"{letter}2:{letter}{last}"
        help_ = validation(form, column, f"{letter}2")
        if help_ is not None:
            help_.add(cells)
            sheet.add_data_validation(help_)
        form_number = {"day": DAY, "id": TEXT, "text": TEXT}.get(column.kind)
        if column.list == "tanks":
            form_number = TEXT
        if form_number and plan.name != "Settings":
            # The style of the column serves cells that do not exist yet.
            sheet.column_dimensions[letter].number_format = form_number
        if column.required and place > 1 and plan.name != "Settings":
            rule = f'AND($A2<>"",{letter}2="")'
            sheet.conditional_formatting.add(cells, FormulaRule([rule], fill=MISSING))
    width = get_column_letter(len(plan.columns))
    sheet.print_area = f"A1:{width}{min(last, PRINTED)}"


def validation(form: Form, column: Column, first: str) -> DataValidation | None:
    """Return the check for a column's cells, or None; a courtesy, never the rule."""
    ask, span = form.words["ask"], {"least": column.least, "most": column.most}
    made: DataValidation | None = None
    if column.kind in ("choice", "choices"):
        made = DataValidation(type="list", formula1=f"={_list_name(column.list)}")
        _say(made, "warning", ask["choice-title"], ask["choice"])
        # Several words with commas are not on any list, and are right.
        made.showErrorMessage = column.kind == "choice"
    elif column.kind == "day":
        made = _between("date", "DATE(1990,1,1)", "DATE(2100,1,1)")
        _say(made, "warning", ask["day-title"], ask["day"])
    elif column.kind == "whole":
        made = _between("whole", column.least, column.most)
        _say(made, "warning", ask["number-title"], ask["whole"].format(**span))
    elif column.kind == "number":
        made = _between("decimal", column.least, column.most)
        _say(made, "warning", ask["number-title"], ask["number"].format(**span))
    elif column.kind == "result":
        # Text ('<0.03', 'ND') passes; only an unusual number is asked about.
        usual = f"{first}>={column.least},{first}<={column.most}"
        rule = f"OR(ISTEXT({first}),AND({usual}))"
        made = DataValidation(type="custom", formula1=rule)
        _say(made, "warning", ask["unusual-title"], ask["unusual"].format(**span))
        made.prompt, made.showInputMessage = ask["result"], True
    if made is not None and column.kind == "choices":
        made.prompt, made.showInputMessage = ask["choices"], True
    return made


def _between(kind: str, least: object, most: object) -> DataValidation:
    return DataValidation(
        type=kind, operator="between", formula1=str(least), formula2=str(most)
    )


def _say(made: DataValidation, style: str, title: str, text: str) -> None:
    made.allow_blank = True
    made.errorStyle = style
    made.errorTitle, made.error = title, text
    made.showErrorMessage = True
    made.showInputMessage = False


def _add_settings(sheet: Worksheet, form: Form) -> None:
    for row, setting in enumerate(form.settings, start=2):
        sheet.cell(row, 1, setting.header).border = LINE
        sheet.cell(row, 2).border = LINE
        help_ = validation(form, setting, f"B{row}")
        if help_ is not None:
            help_.add(f"B{row}")
            sheet.add_data_validation(help_)
