"""An .xlsx or .xlsm workbook -> sheets of cells."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from defusedxml import ElementTree
from python_calamine import SheetTypeEnum, load_workbook

from fleet import problems
from fleet.read import sheet_xml
from fleet.read.grid import Row, Sheet
from fleet.read.number_formats import Shown, shown_by_styles
from fleet.read.plain_xml import ODD, has_plain_cells, outline, thinned
from fleet.read.shared_strings import LONGEST_TEXT, STRINGS, shorten_strings
from fleet.read.sheet_xml import MOST_CELLS, Marks
from fleet.read.zipped import (
    DAMAGED,
    members,
    of_library,
    pack,
    unpack,
    unreadable,
)
from fleet.spelling import visible

MOST_SHEETS = 500

_WORKBOOK = "xl/workbook.xml"
_STYLES = "xl/styles.xml"
_STRICT = b"http://purl.oclc.org/ooxml"
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_NEEDED = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/(workbook|sharedStrings|styles)\.xml"
    r"|xl/_rels/workbook\.xml\.rels|xl/(worksheets|chartsheets|dialogsheets|macrosheets)"
    r"/[^/]+\.xml|xl/worksheets/_rels/.*",
    re.I,
)
_RELATIONS = "xl/_rels/workbook.xml.rels"
_USUAL_CASE = {part.lower(): part for part in (_WORKBOOK, _RELATIONS, _STYLES, STRINGS)}
_LOOKED_FOR = {"styles": _STYLES, "sharedStrings": STRINGS}  # by the fast reader
_ABOUT = ("[Content_Types].xml", "_rels/.rels", _STYLES)
_DATA = re.compile(rb"(?=<(?:\w+:)?sheetData[\s/>])")
_DIMENSION = re.compile(rb"<(?:\w+:)?dimension\s[^>]*>")


def sheets_of_xlsx(name: str, data: bytes) -> list[Sheet]:
    """Return the worksheets of a workbook, hidden ones too.

    Raises
    ------
    UnreadableError
        It is damaged, protected, too large, or of a kind that is not read.
    """
    infos = members(name, data)
    parts = unpack(name, data, (i for k, i in infos.items() if _NEEDED.fullmatch(k)))
    parts = {_USUAL_CASE.get(part.lower(), part): xml for part, xml in parts.items()}
    if _WORKBOOK not in parts:
        raise unreadable(name, DAMAGED)
    thin = {part: thinned(xml) for part, xml in parts.items()}
    for part, xml in thin.items():
        _check(name, part, xml)
    if _STRICT in parts[_WORKBOOK]:
        raise unreadable(
            name,
            "it is saved as 'Strict Open XML Spreadsheet', which is not read. Save it "
            "again as 'Excel Workbook (*.xlsx)'.",
        )
    about_book = ElementTree.fromstring(parts[_WORKBOOK], forbid_dtd=True)
    paths = _sheet_paths(name, about_book, parts, (*infos, *parts))
    if len(paths) > MOST_SHEETS:
        raise unreadable(name, f"it has more than {MOST_SHEETS} sheets.")
    formats = shown_by_styles(parts.get(_STYLES, b""))
    examined = _examine(name, parts, thin, paths, formats)
    merges = {path for path in paths if b"mergeCell" in thin[path]}
    del thin  # a sheet may be a hundred megabytes
    for path in {*paths} - merges:
        # The fast reader goes through a sheet twice, the second time up to its list of
        # merged cells. Where there is none, an empty one spares it that.
        parts[path] = _DATA.sub(b"<mergeCells></mergeCells>", parts[path], count=1)
    cut = shorten_strings(parts, paths)
    date1904 = _uses_1904(about_book)
    book = load_workbook(pack(parts))
    if len(book.sheets_metadata) != len(paths):
        raise unreadable(name, ODD)  # or the marks of one would go to another
    titles = Counter(about.name.casefold() for about in book.sheets_metadata)
    if max(titles.values(), default=0) > 1:
        # The fast reader finds a sheet by its name, and would give the first for both.
        raise unreadable(name, "it has two sheets of the same name. Rename one.")
    sheets = []
    for number, about in enumerate(book.sheets_metadata):
        if about.typ is not SheetTypeEnum.WorkSheet:
            continue
        path = paths[number]
        far, marks = examined[path]
        try:
            read = book.get_sheet_by_index(number)
        except BaseException as err:
            if not of_library(err):
                raise
            title = " ".join(visible(about.name)[:60].split())
            raise unreadable(
                name,
                f"its sheet '{title}' is damaged or holds something that cannot be "
                "read. Open it in a spreadsheet program and save it again.",
            ) from err
        sheet = Sheet(
            file=name,
            name=visible(about.name),
            rows=_marked(read.to_python(skip_empty_area=False), marks),
            hidden="Hidden" in str(about.visible),
            hidden_rows=marks.hidden_rows,
            merged=_merged(read) if path in merges else (),
            date1904=date1904,
        )
        _tell(sheet, far, cut if number == 0 else 0)
        sheets.append(sheet)
    if not sheets:
        raise unreadable(
            name, "it holds no sheet of cells, only charts. Choose the workbook with "
            "the readings."
        )  # fmt: skip
    return sheets


def _check(name: str, part: str, xml: bytes) -> None:
    """Refuse a part that is damaged, or that readers do not read alike."""
    if not part.lower().endswith((".xml", ".rels")):
        return
    found = outline(xml)
    if not found.whole:
        raise unreadable(name, DAMAGED)
    if part in _ABOUT or "/_rels/" in part:
        return
    of_cells = "worksheets/" in part.lower()
    if not found.plain or (of_cells and not has_plain_cells(xml)):
        raise unreadable(name, ODD)


def _sheet_paths(
    name: str, book: Any, parts: dict[str, bytes], members: Iterable[str]
) -> list[str]:
    """Return the part of each sheet, in the order of the workbook.

    Raises
    ------
    UnreadableError
        A part that the workbook names is not there: its cells would be lost, or
        with the styles its dates and percentages.
    """
    relations = ElementTree.fromstring(
        parts.get(_RELATIONS, b"<none/>"), forbid_dtd=True
    )
    there = {part.lower(): part for part in members}
    targets: dict[str | None, str] = {}
    for entry in relations:
        path = posixpath.normpath(posixpath.join("/xl", entry.get("Target", "")))
        kind = entry.get("Type", "").rpartition("/")[2]
        part = there.get(path.lstrip("/").lower(), "")
        if kind not in _LOOKED_FOR and "sheet" not in kind:
            continue
        if not part:
            raise unreadable(name, DAMAGED)
        if part not in parts or part != _LOOKED_FOR.get(kind, part):
            raise unreadable(name, ODD)  # there, but not where it is looked for
        targets[entry.get("Id")] = part
    paths = [targets.get(s.get(_RELATION), "") for s in book.iter(f"{_MAIN}sheet")]
    if not all(paths):
        raise unreadable(name, DAMAGED)
    return paths


def _examine(
    name: str,
    parts: dict[str, bytes],
    thin: Mapping[str, bytes],
    paths: list[str],
    formats: Mapping[int, Shown],
) -> dict[str, tuple[list[tuple[int, int]], Marks]]:
    """Bound every sheet part; return the cells cut and the marks by part."""
    examined: dict[str, tuple[list[tuple[int, int]], Marks]] = {}
    taken: dict[str, int] = {}
    room = MOST_CELLS
    others = [p for p in parts if "sheets/" in p and p not in paths]
    for path in [*paths, *others]:
        if path not in parts or "/_rels/" in path:
            continue
        if path not in examined:
            # Writers state a size that may be wrong; nothing here needs it.
            xml = _DIMENSION.sub(b"", parts[path], count=1)
            found = sheet_xml.examine(xml, thin[path], room, formats)
            parts[path], taken[path] = found.xml, found.taken
            examined[path] = (found.far, found.marks)
        room -= taken[path]  # a part that two sheets share is laid out twice
        if room <= 0:
            raise unreadable(
                name,
                f"it holds more than {MOST_CELLS // 1_000_000} million cells. Split it "
                "into smaller workbooks.",
            )
    return examined


def _uses_1904(book: Any) -> bool:
    about = book.find(f"{_MAIN}workbookPr")
    told = about.get("date1904", "") if about is not None else ""
    return told.lower() in ("1", "true", "on")


def _marked(rows: list[Row], marks: Marks) -> list[Row]:
    """Put into the grid what the fast reader leaves blank or cannot tell."""
    for (row, column), trouble in marks.trouble.items():
        while len(rows) <= row:
            rows.append([""] * (len(rows[0]) if rows else 0))
        if len(rows[row]) <= column:
            wide = column + 1
            for cells in rows:
                cells.extend([""] * (wide - len(cells)))
        if rows[row][column] == "":
            rows[row][column] = trouble
    for (row, column), shown in marks.shown.items():
        if row < len(rows) and column < len(rows[row]):
            cell = rows[row][column]
            if isinstance(cell, float):
                rows[row][column] = shown.of(cell)
    if marks.booleans:
        for cells in rows:
            for column, cell in enumerate(cells):
                if isinstance(cell, bool):
                    # Text, or True would be taken for 1.
                    cells[column] = "TRUE" if cell else "FALSE"
    return rows


def _merged(read: Any) -> tuple[tuple[int, int, int, int], ...]:
    ranges = read.merged_cell_ranges or []
    return tuple((top, left, bottom, right) for (top, left), (bottom, right) in ranges)


def _tell(sheet: Sheet, far: list[tuple[int, int]], cut: int) -> None:
    if far:
        cells = ", ".join(sheet.at(*where).cell for where in far[:3])
        more = " and others" if len(far) > 3 else ""
        sheet.problems.append(
            problems.CELLS_TOO_FAR.at(
                sheet.whole,
                "1 cell" if len(far) == 1 else f"{len(far)} cells",
                cells=f"{cells}{more}",
            )
        )
    if cut:
        sheet.problems.append(
            problems.TEXTS_CUT.at(sheet.whole, f"{cut} texts", length=LONGEST_TEXT)
        )
