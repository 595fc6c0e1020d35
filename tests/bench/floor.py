"""The floor: the least a Python program could do for the same files.

    python -m tests.bench.floor WORKBOOK OUT

The fastest reader to plain lists, one bare page a tank by the PDF library's canvas
(fixed words, the last values, two small charts, a built-in font), and a summary row
a tank as PDF, workbook, page, JSON and CSV by the cheapest means at hand. Nothing is
checked, judged or laid out: it is something to divide by.
"""

from __future__ import annotations

import csv
import json
import sys
import time
import zipfile
from html import escape
from pathlib import Path
from typing import Any

Row = list[Any]

TESTS = ("Nitrate", "Phosphate", "Ammonia", "Nitrite", "Salinity", "Temperature", "pH")
TESTS += ("Alkalinity",)
LINES = (
    "Test again tomorrow; write the result here: ________",
    "Change 10 % of the water with water of the same salinity and temperature",
    "Feed half as much until the next reading",
    "Clean the mechanical filter and check the return flow",
    "Look over every animal; note what is missing or breathes fast",
    "Next reading in 7 days; show this sheet to the keeper",
)
HEADS = ("Tested", "Last", "Band", "Trend a week", "Stage")
LEFT = (40, 150, 230, 310, 440)
A4 = (595.28, 841.89)


class Read:
    """Both sheets as lists, and where each tested column stands."""

    def __init__(self, path: str) -> None:
        from python_calamine import CalamineWorkbook

        book = CalamineWorkbook.from_path(path)
        sheet = book.get_sheet_by_name("Tanks").to_python(skip_empty_area=False)
        self.tanks = sheet[1:]
        rows = book.get_sheet_by_name("Readings").to_python(skip_empty_area=False)
        heads = [str(head) for head in rows[0]]
        self.tested = [
            next(n for n, head in enumerate(heads) if head.startswith(test))
            for test in TESTS
        ]
        tank, self.day = heads.index("Tank"), heads.index("Date")
        self.of: dict[str, list[Row]] = {}
        for row in rows[1:]:
            self.of.setdefault(row[tank], []).append(row)


def last(rows: list[Row], column: int) -> Any:
    """Return the newest value of a column."""
    for row in reversed(rows):
        if row[column] != "":
            return row[column]
    return ""


def chart(canvas: Any, x: int, y: int, rows: list[Row], column: int, day: int) -> None:
    """Draw one chart, 210 by 120 points."""
    values = (row[column] for row in rows)
    points = [(n, v) for n, v in enumerate(values) if type(v) is float]
    top = max((v for _, v in points), default=1.0) or 1.0
    canvas.rect(x, y, 210, 120)
    for tick in range(5):
        canvas.drawRightString(x - 3, y + 30 * tick - 2, f"{top * tick / 4:.3g}")
    canvas.drawString(x, y - 10, str(rows[0][day])[:10])
    canvas.drawRightString(x + 210, y - 10, str(rows[-1][day])[:10])
    if len(points) > 1:
        path, steps = canvas.beginPath(), max(1, len(rows) - 1)
        for start, (n, v) in enumerate(points):
            draw = path.lineTo if start else path.moveTo
            draw(x + 210 * n / steps, y + 120 * v / top)
        canvas.drawPath(path)


def sheets(read: Read, out: Path) -> None:
    """Draw one bare page a tank."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(out), pagesize=A4, pageCompression=1)
    for tank in read.tanks:
        rows = read.of[tank[0]]
        canvas.setFont("Helvetica-Bold", 16)
        canvas.drawString(40, 795, tank[1])
        canvas.setFont("Helvetica", 9)
        about = "   ".join(map(str, tank[:6]))
        canvas.drawString(40, 778, f"{about}   {str(rows[-1][read.day])[:10]}")
        canvas.setLineWidth(0.5)
        y = 750
        for x, head in zip(LEFT, HEADS, strict=True):
            canvas.drawString(x, y, head)
        for test, column in zip(TESTS, read.tested, strict=True):
            y -= 18
            canvas.line(40, y + 13, 555, y + 13)
            cells = (test, str(last(rows, column)), "0 to 10", "+0.5 (0.1 to 0.9)", "?")
            for x, cell in zip(LEFT, cells, strict=True):
                canvas.drawString(x, y, cell)
        canvas.rect(36, y - 5, 523, 770 - y)
        chart(canvas, 70, 430, rows, read.tested[0], read.day)
        chart(canvas, 340, 430, rows, read.tested[1], read.day)
        for number, line in enumerate(LINES):
            canvas.rect(40, 388 - 22 * number, 9, 9)
            canvas.drawString(56, 390 - 22 * number, line)
        canvas.drawString(40, 30, "Done by ________  on ________")
        canvas.showPage()
    canvas.save()


def summary(read: Read, out: Path) -> None:
    """Write one row a tank in five formats."""
    head = ["Tank", "Name", "Place", "Keeper", "Last", *TESTS, "Stage", "First"]
    rows = []
    for tank in read.tanks:
        own = read.of[tank[0]]
        values = [str(last(own, column)) for column in read.tested]
        rows.append([*tank[:4], str(own[-1][read.day])[:10], *values, "?", LINES[1]])
    with (out / "summary.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([head, *rows])
    listed = [dict(zip(head, row, strict=True)) for row in rows]
    (out / "summary.json").write_text(json.dumps(listed), "utf-8")
    table = "".join(
        "<tr><td>" + escape("\0".join(row)).replace("\0", "<td>") for row in rows
    )
    page = f"<!doctype html><title>Summary</title><table>{table}</table>"
    (out / "summary.html").write_text(page, "utf-8")
    _workbook([head, *rows], out / "summary.xlsx")
    _table([head, *rows], out / "summary.pdf")


def _workbook(rows: list[list[str]], path: Path) -> None:
    """Write the smallest workbook there is, straight as XML."""
    cells = "".join(
        "<row>"
        + "".join(
            f'<c t="inlineStr"><is><t>{text}</t></is></c>'
            for text in escape("\0".join(row), quote=False).split("\0")
        )
        + "</row>"
        for row in rows
    )
    home = "http://schemas.openxmlformats.org/"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    office = f"{home}officeDocument/2006/relationships"
    package = f"{home}package/2006"
    main = f"{home}spreadsheetml/2006/main"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" ContentType='
        '"application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>'
        '<Override PartName="/xl/worksheets/sheet1.xml" '
        f'ContentType="{kind}.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship '
        f'Id="r1" Type="{office}/officeDocument" Target="xl/workbook.xml"/>'
        "</Relationships>",
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets>'
        '<sheet name="Summary" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="r1" Type="{office}/worksheet" '
        'Target="worksheets/sheet1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{cells}'
        "</sheetData></worksheet>",
    }
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
        for name, text in parts.items():
            packed.writestr(name, head + text)


def _table(rows: list[list[str]], path: Path) -> None:
    """Draw the summary, 40 rows a page."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), pagesize=A4[::-1], pageCompression=1)
    across = [30, 70, 160, 225, 285, *range(340, 740, 40)]
    for start in range(1, len(rows), 40):
        canvas.setFont("Helvetica", 7)
        for number, row in enumerate([rows[0], *rows[start : start + 40]]):
            y = 560 - 13 * number
            for x, text in zip(across, row, strict=True):
                canvas.drawString(x, y, text)
            canvas.line(30, y - 3, 812, y - 3)
        canvas.showPage()
    canvas.save()


def main() -> None:
    """Do all of it, and say how long each part took."""
    started = time.perf_counter()
    out = Path(sys.argv[2])
    out.mkdir(parents=True, exist_ok=True)
    read = Read(sys.argv[1])
    marks = [time.perf_counter()]
    sheets(read, out / "sheets.pdf")
    marks.append(time.perf_counter())
    summary(read, out)
    marks.append(time.perf_counter())
    parts = zip(("read", "sheets", "summary"), marks, strict=True)
    before, said = started, []
    for name, mark in parts:
        said.append(f"{name} {mark - before:.2f}")
        before = mark
    print(f"floor: {len(read.tanks)} tanks, {', '.join(said)} s")


if __name__ == "__main__":
    main()
