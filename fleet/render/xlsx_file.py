"""A workbook file of plain sheets, in the few parts and forms that it needs.

openpyxl takes longer to load than a hundred tanks to judge, and 7 to 15 us for a
cell, which is more than all else that a report does with a reading. Numbers of
clauses are those of ECMA-376 Part 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Literal, NamedTuple
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from fleet.records import CellAddress
from fleet.render.safe import for_sheet

Kind = Literal["text", "long", "number", "day", "box"]

LINE = 15  # points
_FACE = "Calibri"  # a font without a name comes out with serifs in LibreOffice
_DAY_NOUGHT = date(1899, 12, 30)  # 18.17.4.1
_FIRST_ZIP_DAY = date(1980, 1, 1)

_HOME = "http://schemas.openxmlformats.org"
_MAIN = f"{_HOME}/spreadsheetml/2006/main"
_OFFICE = f"{_HOME}/officeDocument/2006/relationships"
_PACKAGE = f"{_HOME}/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'

# Styles of cells (18.8.10), in the order of ``_styles``; 0 is the workbook's own.
STYLE: dict[Kind, int] = {"text": 1, "number": 2, "long": 3, "day": 4, "box": 5}
_HEADER, _HEADER_RIGHT = 6, 7
_RIGHT: tuple[Kind, ...] = ("number", "day")


class Column(NamedTuple):
    """One column of a sheet: its header, width in characters, and what it holds.

    ``long`` text is wrapped; a ``box`` stays empty, to be filled in by hand.
    """

    header: str
    width: float
    kind: Kind = "text"


class SheetPart(NamedTuple):
    """One sheet: its title, its columns with headers, and its rows as XML."""

    title: str
    columns: Sequence[Column]
    rows: Sequence[str]  # from row 2


class About(NamedTuple):
    """What a workbook says of itself."""

    title: str
    made_by: str
    on: date


def letters_of(column: int) -> str:
    """Return how a sheet names its ``column``, counted from 1."""
    return CellAddress("", "", 0, column).cell


def serial(day: date) -> int:
    """Return the number that a cell holds for a day."""
    return (day - _DAY_NOUGHT).days


def inline(text: str) -> str:
    """Return a text, already fit for a cell, as the content of the cell."""
    shown = escape(text, quote=False)
    kept = "" if shown == " ".join(shown.split()) else ' xml:space="preserve"'
    return f"<is><t{kept}>{shown}</t></is>"


def write(path: Path, sheets: Sequence[SheetPart], about: About) -> None:
    """Write the workbook; equal content gives equal bytes."""
    numbers = range(1, len(sheets) + 1)
    parts: list[tuple[str, Iterable[str]]] = [
        ("[Content_Types].xml", _types(numbers)),
        ("_rels/.rels", [_package()]),
        ("docProps/core.xml", [_core(about)]),
        ("xl/workbook.xml", _workbook(sheets)),
        ("xl/_rels/workbook.xml.rels", _relationships(numbers)),
        ("xl/styles.xml", [_styles()]),
    ]
    parts += [
        (f"xl/worksheets/sheet{number}.xml", _sheet(sheet, number == 1))
        for number, sheet in zip(numbers, sheets, strict=True)
    ]
    day = max(about.on, _FIRST_ZIP_DAY)
    with ZipFile(path, "w", ZIP_DEFLATED, compresslevel=1) as whole:
        for name, texts in parts:
            entry = ZipInfo(name, (day.year, day.month, day.day, 0, 0, 0))
            entry.external_attr = 0o600 << 16
            entry.compress_type = ZIP_DEFLATED
            whole.writestr(entry, (_HEAD + "".join(texts)).encode())


# -------------------------------------------------------------------- the package


def _types(numbers: Iterable[int]) -> Iterable[str]:
    yield (
        f'<Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType='
        '"application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        '<Override PartName="/docProps/core.xml" ContentType='
        '"application/vnd.openxmlformats-package.core-properties+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_TYPE}.styles+xml"/>'
    )
    for number in numbers:
        yield (
            f'<Override PartName="/xl/worksheets/sheet{number}.xml" '
            f'ContentType="{_TYPE}.worksheet+xml"/>'
        )
    yield "</Types>"


def _package() -> str:
    return (
        f'<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="rId1" Type="{_OFFICE}/officeDocument" '
        'Target="xl/workbook.xml"/>'
        f'<Relationship Id="rId2" Type="{_PACKAGE}/relationships/metadata/'
        'core-properties" Target="docProps/core.xml"/></Relationships>'
    )


def _core(about: About) -> str:
    stamp = f'xsi:type="dcterms:W3CDTF">{about.on.isoformat()}T00:00:00Z'
    title = f"<dc:title>{escape(about.title)}</dc:title>" if about.title else ""
    return (
        f'<cp:coreProperties xmlns:cp="{_PACKAGE}/metadata/core-properties" '
        'xmlns:dc="http://purl.org/dc/elements/1.1/" '
        'xmlns:dcterms="http://purl.org/dc/terms/" '
        'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
        f"<dc:creator>{escape(about.made_by)}</dc:creator>{title}"
        f"<dcterms:created {stamp}</dcterms:created>"
        f"<dcterms:modified {stamp}</dcterms:modified></cp:coreProperties>"
    )


def _relationships(numbers: Sequence[int]) -> Iterable[str]:
    yield f'<Relationships xmlns="{_PACKAGE}/relationships">'
    for number in numbers:
        yield (
            f'<Relationship Id="rId{number}" Type="{_OFFICE}/worksheet" '
            f'Target="worksheets/sheet{number}.xml"/>'
        )
    yield (
        f'<Relationship Id="rId{len(numbers) + 1}" Type="{_OFFICE}/styles" '
        'Target="styles.xml"/></Relationships>'
    )


# ------------------------------------------------------------------- the workbook


def _workbook(sheets: Sequence[SheetPart]) -> Iterable[str]:
    """Yield the list of sheets, what each filters, and what repeats in print."""
    yield f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><bookViews><workbookView/>'
    yield "</bookViews><sheets>"
    for number, sheet in enumerate(sheets, start=1):
        name = escape(sheet.title)
        yield f'<sheet name="{name}" sheetId="{number}" r:id="rId{number}"/>'
    yield "</sheets><definedNames>"
    for number, sheet in enumerate(sheets):
        name = escape(sheet.title.replace("'", "''"), quote=False)
        last, rows = letters_of(len(sheet.columns)), len(sheet.rows) + 1
        yield (
            f'<definedName name="_xlnm._FilterDatabase" localSheetId="{number}" '
            f"hidden=\"1\">'{name}'!$A$1:${last}${rows}</definedName>"
            f'<definedName name="_xlnm.Print_Titles" localSheetId="{number}">'
            f"'{name}'!$1:$1</definedName>"
        )
    yield "</definedNames></workbook>"


def _styles() -> str:
    """Return fonts, fills, borders and the cell styles made of them (18.8)."""
    font = f'<sz val="11"/><name val="{_FACE}"/><family val="2"/>'
    side = ' style="thin"><color rgb="FF808080"/></'
    sides = ("left", "right", "top", "bottom")
    border = "".join([f"<{name}{side}{name}>" for name in sides])
    blank = "<left/><right/><top/><bottom/><diagonal/>"
    left, right = 'horizontal="left" indent="1"', 'horizontal="right"'
    wrap = ' wrapText="1"'

    def style(align: str, form: int = 0, bold: int = 0, box: int = 0) -> str:
        return (
            f'<xf numFmtId="{form}" fontId="{bold}" fillId="{2 * bold}" '
            f'borderId="{box}" '
            'xfId="0" applyNumberFormat="1" applyFont="1" applyFill="1" '
            'applyBorder="1" applyAlignment="1">'
            f'<alignment vertical="top" {align}/></xf>'
        )

    styles = (
        '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>',
        style(left),
        style(right),
        style(left + wrap),
        style(right, form=164),
        style(left, box=1),
        style(left + wrap, bold=1),
        style(right + wrap, bold=1),
    )
    return (
        f'<styleSheet xmlns="{_MAIN}">'
        '<numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd"/>'
        f'</numFmts><fonts count="2"><font>{font}</font><font><b/>{font}</font></fonts>'
        '<fills count="3"><fill><patternFill patternType="none"/></fill>'
        '<fill><patternFill patternType="gray125"/></fill>'
        '<fill><patternFill patternType="solid"><fgColor rgb="FFE4E4E4"/>'
        "</patternFill></fill></fills>"
        f'<borders count="2"><border>{blank}</border>'
        f"<border>{border}<diagonal/></border></borders>"
        '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/>'
        f'</cellStyleXfs><cellXfs count="{len(styles)}">{"".join(styles)}</cellXfs>'
        '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/>'
        "</cellStyles></styleSheet>"
    )


def _sheet(sheet: SheetPart, first: bool) -> Iterable[str]:
    """Yield a sheet: a frozen header that filters, then its rows (18.3.1)."""
    extent = f"A1:{letters_of(len(sheet.columns))}{len(sheet.rows) + 1}"
    shown = ' tabSelected="1"' if first else ""
    yield (
        f'<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
        f'<dimension ref="{extent}"/><sheetViews><sheetView{shown} workbookViewId="0">'
        '<pane xSplit="1" ySplit="1" topLeftCell="B2" activePane="bottomRight" '
        'state="frozen"/><selection pane="topRight"/><selection pane="bottomLeft"/>'
        '<selection pane="bottomRight" activeCell="B2" sqref="B2"/></sheetView>'
        f'</sheetViews><sheetFormatPr defaultRowHeight="{LINE}"/><cols>'
    )
    for number, column in enumerate(sheet.columns, start=1):
        yield (
            f'<col min="{number}" max="{number}" width="{column.width:g}" '
            'customWidth="1"/>'
        )
    yield f'</cols><sheetData><row r="1" ht="{2 * LINE}" customHeight="1">'
    for number, column in enumerate(sheet.columns, start=1):
        style = _HEADER_RIGHT if column.kind in _RIGHT else _HEADER
        yield (
            f'<c r="{letters_of(number)}1" s="{style}" t="inlineStr">'
            f"{inline(for_sheet(column.header))}</c>"
        )
    yield "</row>"
    yield from sheet.rows
    yield (
        f'</sheetData><autoFilter ref="{extent}"/><pageMargins left="0.75" '
        'right="0.75" top="1" bottom="1" header="0.5" footer="0.5"/>'
        '<pageSetup orientation="landscape" fitToHeight="0"/></worksheet>'
    )
